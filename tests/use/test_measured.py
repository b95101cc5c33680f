"""What was measured on the machine: how a file says it, what it is worked with, and readings that cannot be."""

import json
from dataclasses import replace
from pathlib import Path

import jsonschema
import numpy as np
import pytest
import yaml
from click.testing import CliRunner

from balance.evidence.estimate import Estimate
from designs import summary
from designs.command import group
from designs.design import Design
from designs.doubt.unknowns import unknowns_of
from designs.evaluate import Evaluation, evaluate_finely
from designs.measuring.braked import COOLING, NOT_APART, braked
from designs.measuring.predicted import at_rest, predictions
from designs.reading import BadFile, read, read_options, read_text
from designs.reading.schema import schema
from designs.verdict import gap

DESIGN, REBUILT = ((Path(__file__).parents[2] / "designs" / f"{name}.yaml").read_text("utf-8")
                   for name in ("as-built", "redesign"))  # fmt: skip
ROD = """
  rods:
    displacer:
      mass: 12.31 g +- 0.05 g
      small_end_on_scale: 4.86 g +- 0.05 g
      big_end_on_scale: 7.44 g +- 0.05 g
      between_centres: 64.62 mm +- 0.05 mm
      swings: {hung_at: 28 mm +- 0.3 mm, number: 50, times: [21.02 s, 20.98 s, 21.05 s]}
"""


def text(measured: str) -> str:
    return f"{DESIGN}\nmeasured:\n{measured}"


def design(measured: str) -> Design:
    return read_text(text(measured), "fan.yaml")


def found(measured: str) -> dict[str, object]:
    return {each.key: each for each in design(measured).found}


def complaint(measured: str) -> str:
    with pytest.raises(BadFile) as error:
        design(measured)
    return str(error.value)


def run(*words: str):
    return CliRunner().invoke(group, list(words))


# How a reading is said.


def mass(words: str) -> Estimate:
    return design(f"  yokes: {{displacer: {{mass: {words}}}}}").measured.yokes["displacer"].mass


def test_the_half_width_is_two_standard_deviations() -> None:
    assert (mass("166.2 g +- 0.2 g").value, mass("166.2 g +- 0.2 g").sd) == pytest.approx((0.1662, 1e-4))
    assert mass("166.2 +- 0.2 g").sd == pytest.approx(1e-4)
    assert mass("166 g +- 1 %").sd == pytest.approx(0.83e-3)


def test_a_number_alone_is_as_doubtful_as_its_last_digit() -> None:
    assert mass("166.2 g").sd == pytest.approx(0.1e-3 / np.sqrt(12))
    assert mass("166 g").sd == pytest.approx(1e-3 / np.sqrt(12))
    assert mass("exactly 166 g").sd == 0.0
    assert mass("165..167 g").sd == pytest.approx(2e-3 / np.sqrt(12))


# What it is worked with.


def test_what_was_found_takes_the_place_of_what_is_drawn_and_both_are_kept() -> None:
    made = design(ROD)
    rod, each = made.yokes["displacer"].rod, {one.key: one for one in made.found}
    assert rod is not None
    assert rod.mass == pytest.approx(12.31e-3) and rod.length == pytest.approx(64.62e-3)
    assert rod.cg == pytest.approx(64.62e-3 * 4.86 / (4.86 + 7.44))
    assert each["yokes_displacer_rod_mass"].drawn == 12e-3
    assert each["yokes_displacer_rod_mass"].used and each["yokes_displacer_rod_mass"].disagrees
    assert not each["yokes_displacer_rod_length"].disagrees
    range_ = made.doubts[("yokes", "displacer", "rod", "length")]
    assert range_.law == "normal" and range_.high - range_.middle == pytest.approx(5e-5)
    assert range_.words.startswith("measured")


def test_the_drawing_stays_where_the_file_asks_for_it() -> None:
    made = design("  check_with: drawing\n" + ROD)
    assert made.yokes["displacer"].rod.mass == 12e-3
    assert len(made.found) == 4 and not any(each.used for each in made.found)


def test_an_entry_that_an_option_sets_is_another_part() -> None:
    body = text(ROD + "  yokes: {displacer: {mass: 166.2 g +- 0.2 g}}\n")
    options = "options:\n  long rods: {yokes.displacer.rod.length: 66 mm}\n"
    body = body.replace("options:\n", options)
    file_design = read_text(body, "fan.yaml")
    assert file_design.yokes["displacer"].rod.length == pytest.approx(64.62e-3)
    changed = read_options_of(body)["long rods"]
    assert changed.yokes["displacer"].rod.length == pytest.approx(66e-3)
    assert changed.yokes["displacer"].rod.mass == pytest.approx(12.31e-3)
    assert changed.yokes["displacer"].mass == pytest.approx(0.1662)


def read_options_of(body: str) -> dict[str, Design]:
    import tempfile

    with tempfile.TemporaryDirectory() as folder:
        file = Path(folder) / "fan.yaml"
        file.write_text(body, "utf-8")
        return read_options(file)  # type: ignore[return-value]


def test_no_reading_is_better_than_its_scale() -> None:
    """A kitchen scale's 0.5 g: of a rod, of its end, and of what a crank pulls on an arm."""
    coarse = "  scale: {error: 0.5 g, gain: 1 %}\n"
    rod = "  rods: {displacer: {mass: 12.31 g, small_end_on_scale: 4.86 g, big_end_on_scale: 7.2 g}}\n"
    assert "add up" in complaint(rod) and len(found(coarse + rod)) == 2  # off by 0.25 g, which such a scale may be
    mass, centre = found(coarse + rod).values()
    assert mass.found.sd == pytest.approx(np.hypot(0.25e-3, 0.005 * 12.31e-3))
    assert centre.found.sd == pytest.approx(64.6e-3 / 12.06**2 * np.hypot(7.2, 4.86) * 0.25)
    crank = "  cranks: {right: {on_scale: {arm: exactly 100 mm, at: [0 deg, 90 deg, 180 deg, 270 deg], "
    crank += "readings: [31 g, 31 g, 29 g, 29 g]}}}\n"
    for scale, error, gain in (("", 1e-3 / np.sqrt(12), 0.0), (coarse, 1e-3 / np.sqrt(12), 0.005)):
        x = found(scale + crank)["cranks_right_unbalance_x"].found
        assert x.value == pytest.approx(1e-4)
        assert x.sd == pytest.approx(np.hypot(0.1 * error / np.sqrt(2), gain * x.value))


def test_a_yokes_parts_share_what_the_scale_found() -> None:
    made = design("  yokes: {displacer: {mass: 181.5 g +- 0.2 g}}")
    parts = made.yokes["displacer"].parts
    assert made.yokes["displacer"].mass == pytest.approx(0.1815)
    assert parts["yoke"].mass / parts["stem"].mass == pytest.approx(44 / 26)
    shared = {each.alike for path, each in made.doubts.items() if path[:3] == ("yokes", "displacer", "parts")}
    assert len(shared) == 1  # one unknown, not three


def test_any_entry_may_be_found_by_its_path() -> None:
    made = design("  entries: {shafts.segments.0.diameter: 4.98 mm +- 0.01 mm, gas.hot: 450 degC +- 20 K}")
    assert made.shafts.segments[0].diameter == pytest.approx(4.98e-3)
    assert made.gas.hot == pytest.approx(723.15)
    assert made.doubts[("gas", "hot")].high - made.gas.hot == pytest.approx(20.0)
    many = design("  entries: {shafts.bearings.*.seat_stiffness: 20 N/um +- 4 N/um}")
    assert {each.seat_stiffness for each in many.shafts.bearings} == {20e6}


def test_feet_by_tapping_with_and_without_a_known_mass() -> None:
    """The shipped feet, 60 N/mm and 3.2 kg with a phone of 0.19 kg: the frequencies are computed by hand."""
    one, two = (np.sqrt(60e3 / (3.39 + added)) / (2 * np.pi) for added in (0.0, 0.4))
    each = found(
        f"  tapped:\n    - {{frequency: {one:.6f} Hz, phone: 190 g}}\n"
        f"    - {{frequency: {two:.6f} Hz, phone: 190 g, added: 400 g}}\n"
    )
    undamped = 1 / (1 - 0.05**2)  # the ringing is slower by its damping, which is counted in
    assert each["mount_feet_stiffness"].found.value == pytest.approx(60e3 * undamped, rel=1e-4)
    assert each["mount_mass"].found.value == pytest.approx(3.2, rel=1e-3)
    assert not each["mount_mass"].used


def test_a_bare_crank_on_the_scale_and_on_rails() -> None:
    u = np.array([104.4e-6, 147.4e-6])  # of the shipped webs, kg m
    readings = [30e-3 + (u[0] * np.sin(a) + u[1] * np.cos(a)) / 0.1 for a in np.deg2rad([0, 90, 180, 270])]
    words = ", ".join(f"{1e3 * each:.6f} g" for each in readings)
    size, angle = np.hypot(*u), np.rad2deg(np.arctan2(*u))
    each = found(
        "  cranks:\n"
        f"    right: {{on_scale: {{arm: 100 mm, at: [0 deg, 90 deg, 180 deg, 270 deg], readings: [{words}]}}}}\n"
        f"    left: {{rolled: {{radius: 20 mm, hangs_at: {angle:.4f} deg, "
        f"just_moves: [{size / 0.02 * 1e3 - 0.2:.5f} g, {size / 0.02 * 1e3 + 0.2:.5f} g]}}}}\n"
    )
    for hand in ("right", "left"):
        for axis, value in zip("xy", u, strict=True):
            one = each[f"cranks_{hand}_unbalance_{axis}"]
            assert one.found.value == pytest.approx(value, rel=1e-4) and one.drawn == pytest.approx(value)
            assert not one.disagrees and not one.used


def test_the_whole_machine_beside_its_readings() -> None:
    made = design(
        "  first_contact: 1150 rpm +- 30 rpm\n"
        "  gap: [{yokes: [displacer, diaphragm], at: 34 deg, feeler: [0.12 mm, 0.14 mm]}]\n"
        "  pushed: [{at: bearing 1, forces: [0 N, 10 N, 20 N], readings: [0 um, 6 um, 8 um], dial: 0.2 um}]\n"
        "  pressure: {swing: 40 kPa +- 2 kPa}\n"
    )
    each = {one.key: one for one in predictions(evaluate_finely(made))}
    assert each["first_contact"].drawn * 30 / np.pi == pytest.approx(891, abs=40)
    gap = each["gap_at_34_deg"].drawn
    # Heights by hand: 9 mm at 34 degrees on 40 mm rods, 12 mm at 124 on 64.6 mm ones, pivots 9 mm in, faces 10 apart.
    one, two = (radius * np.exp(1j * np.deg2rad(angle)) for radius, angle in ((9, 34), (12, 124)))
    lower, upper = (crank.real + np.sqrt(rod**2 - (9 + crank.imag) ** 2) for crank, rod in ((one, 40.0), (two, 64.6)))
    nominal = (upper - lower - 10.0) * 1e-3
    assert nominal == pytest.approx(0.129e-3, abs=0.2e-6)
    resting = Evaluation(at_rest(made), evaluate_finely(made).oversampling).pairs[0]
    end = int(np.argmin(resting.clearances(0.0)[:, 34]))
    budget = {name: float(line[end, 34]) for name, line in resting.items(0.0).items()}
    # Weights bend the cranks and take up bearings and rods; the feeler sets the faces upright. What they lean within
    # their guides for contact: 0.03 mm over 30 mm, to 22.15 mm from the rods' plane of the one and 3.15 of the other.
    assert gap == pytest.approx(nominal + sum(budget.values()) + 1e-3 * (22.15e-3 + 3.15e-3), abs=0.2e-6)
    assert nominal - 30e-6 < gap < nominal - 10e-6
    push = each["pushed_right_bearing 1_y"]
    assert push.found.value == pytest.approx(0.2e-6)
    assert push.drawn == pytest.approx(1 / 8e6, rel=0.9)  # seat, and the balls on top
    assert push.drawn > 1 / 8e6


def test_a_flywheel_on_three_strings() -> None:
    """Times worked out by hand for the shipped wheel, 6e-4 kg m2 and 0.45 kg, on a plate of 4e-4 kg m2 and 0.2 kg."""
    length, radius, g = 0.6, 0.08, 9.80665
    one, two = (2 * np.pi * np.sqrt(i * length / (m * g * radius**2)) * 20 for i, m in ((1e-3, 0.65), (4e-4, 0.2)))
    words = "strings: 600 mm +- 2 mm, radius: 80 mm +- 0.2 mm, mass: 450 g, plate: 200 g, number: 20"
    each = found(f"  flywheel: {{three_strings: {{{words}, times: [{one:.6f} s], times_empty: [{two:.6f} s]}}}}")
    wheel = each["flywheel_inertia"]
    assert wheel.found.value == pytest.approx(6e-4, rel=1e-6) and wheel.used and not wheel.disagrees
    assert wheel.found.sd > 6e-4 * 0.0025  # the radius alone


# Brake and drag.


def rope(gas: bool, speeds: np.ndarray, hot: bool, ideal: np.ndarray) -> str:
    """Pulls of a machine with s 0.8, M0 8 mN m and 4 mN m per 1000 rpm, exactly."""
    friction = 8e-3 + 4e-3 * speeds / 1000
    torque = 0.8 * ideal - friction if gas else friction
    points = [
        f"{{speed: {speed:g} rpm, pull: {each / 0.04:.9f} N +- 0.02 N{f', hot: {480 - 60 * n} degC' if hot else ''}}}"
        for n, (speed, each) in enumerate(zip(speeds, torque, strict=True))
    ]
    return f"{{radius: exactly 40 mm, points: [{', '.join(points)}]}}"


SPEEDS = np.array([400.0, 800.0, 1200.0, 1600.0])


def ideal_torque(hot: np.ndarray) -> np.ndarray:
    """Torque of the shipped isothermal gas at these hot ends, degC, one design at a time."""
    found_ = []
    for each in hot:
        made = read_text(DESIGN.replace("hot: 480 degC", f"hot: {each:g} degC"), "fan.yaml")
        evaluation = Evaluation(made)
        found_.append(float(evaluation.gas.indicated_work(evaluation.motion).gas[0]) / (2 * np.pi))
    return np.array(found_)


def test_a_brake_alone_leaves_pressure_and_friction_together() -> None:
    steady = ideal_torque(np.full(4, 480.0))
    # Torque hardly falls with so little friction that grows: given as found at one hot end.
    torque = 0.8 * steady - 8e-3
    points = ", ".join(
        f"{{speed: {speed:g} rpm, pull: {each / 0.04:.9f} N +- 0.02 N}}"
        for speed, each in zip(SPEEDS, torque, strict=True)
    )
    told = braked(Evaluation(design(f"  brake: {{radius: exactly 40 mm, points: [{points}]}}")))
    assert told.told is not None and not told.told.apart
    assert told.told.values["scale"] is None and told.told.values["constant"] is None
    assert told.told.together.value == pytest.approx(0.8 * steady[0] - 8e-3, rel=1e-6)
    assert NOT_APART in told.words


def test_a_drag_test_tells_them_apart_and_a_cooling_hot_end_is_no_friction() -> None:
    hot = 480.0 - 60 * np.arange(4)
    drag = rope(False, SPEEDS, False, np.zeros(4))
    warm = rope(True, SPEEDS, True, ideal_torque(hot))
    told = braked(Evaluation(design(f"  brake: {warm}\n  drag: {drag}")))
    assert told.told.apart and told.words == ()
    assert told.told.values["scale"].value == pytest.approx(0.8, rel=1e-6)
    assert told.told.values["constant"].value == pytest.approx(8e-3, rel=1e-5)
    assert told.told.values["viscous"].value == pytest.approx(4e-3 / (1000 * np.pi / 30), rel=1e-4)


def test_without_temperatures_a_fall_has_no_cause() -> None:
    hot = 480.0 - 60 * np.arange(4)
    warm = rope(True, SPEEDS, False, ideal_torque(hot))
    told = braked(Evaluation(design(f"  brake: {warm}")))
    assert told.told is None and told.falls.value > 0 and COOLING in told.words and NOT_APART in told.words
    drag = rope(False, SPEEDS, False, np.zeros(4))
    told = braked(Evaluation(design(f"  brake: {warm}\n  drag: {drag}")))
    assert told.told.values["constant"].value == pytest.approx(8e-3, rel=1e-5)  # by the drag alone
    assert told.told.values["scale"] is None and COOLING in told.words


def test_the_pressures_swing_tells_them_apart_too() -> None:
    steady = ideal_torque(np.full(4, 480.0))
    evaluation = Evaluation(read_text(DESIGN, "fan.yaml"))
    swing = 0.8 * float(np.ptp(evaluation.gas.pressure))
    warm = rope(True, SPEEDS, False, steady).replace("}]", ", hot: 480 degC}]").replace("N}, ", "N, hot: 480 degC}, ")
    told = braked(Evaluation(design(f"  brake: {warm}\n  pressure: {{swing: {swing:.3f} Pa +- 100 Pa}}")))
    assert told.told.apart
    assert told.told.values["constant"].value == pytest.approx(8e-3, rel=1e-3)


# Readings that cannot be: each complaint has its line and the number that was expected.


@pytest.mark.parametrize(
    ("measured", "words"),
    [
        ("  rods: {displacer: {mass: 12.3 g, swings: {hung_at: 28 mm, number: 50, times: [12.3 s]}}}",
         ("0.2460 s each, shorter than a point's", "16.79")),
        ("  rods: {displacer: {mass: 12.3 g, swings: {hung_at: 28 mm, number: 50, times: [62 s]}}}",
         ("longer than any body's", "for 50 swings so hung")),
        ("  rods: {displacer: {mass: 12.3 g, swings: {hung_at: 280 mm, number: 50, times: [62 s]}}}",
         ("280.0 mm", "the rod's own reach of 81 mm")),
        ("  rods: {displacer: {mass: 12.31 g +- 0.05 g, small_end_on_scale: 6.20 g +- 0.05 g, "
         "big_end_on_scale: 7.44 g +- 0.05 g}}", ("6.20 g", "about 4.87 g", "add up to the mass of 12.31 g")),
        ("  rods: {displacer: {mass: 12 g, small_end_on_scale: 14 g}}", ("14.00 g", "less than the rod's mass")),
        ("  rods: {displacer: {swings: {hung_at: 28 mm, number: 50, times: [21 s]}}}",
         ("read nothing", "the rod's mass")),
        ("  rods: {displcer: {mass: 12 g}}", ("'displcer'", "did you mean 'displacer'")),
        ("  rods: {displacer: {mass: 12, between_centres: 64 mm}}", ("read '12'", "a mass with its unit, e.g. 12 g")),
        ("  rods: {displacer: {mass: 12 g +- 1}}", ("without a unit at its end",)),
        ("  rods: {displacer: {mass: 12 mm}}", ("which is not a mass",)),
        ("  rods: {displacer: {mas: 12 g}}", ("an unknown key", "did you mean 'mass'")),
        ("  gap: [{yokes: [displacer, diaphragm], at: 34 deg, feeler: [0.12 mm, 0.10 mm]}]",
         ("[0.12 mm, 0.1 mm]", "[0.1 mm, 0.12 mm]: what goes in, what does not")),
        ("  gap: [{yokes: [displacer, displacer], at: 34 deg, feeler: [0.1 mm, 0.12 mm]}]", ("displacer twice",)),
        ("  pushed: [{at: inner, forces: [5 N, 10 N], readings: [30 um, 10 um]}]", ("grow with the force",)),
        ("  pushed: [{at: inner, forces: [5 N, 10 N], readings: [30 um]}]", ("one under each force",)),
        ("  pushed: [{at: bearing 3, forces: [5 N, 10 N], readings: [3 um, 10 um]}]",
         ("'bearing 3'", "bearing 1, bearing 2")),
        ("  tapped: [{frequency: 20 Hz}, {frequency: 21 Hz, added: 400 g}]", ("more mass rings lower", "20.00 Hz")),
        ("  tapped: [{frequency: 20 Hz, decay: {peaks: [0.4, 0.5]}}]", ("each less than the last",)),
        ("  first_contact: {seen: 900 rpm, none_up_to: 1000 rpm}", ("seen and none_up_to", "one of them")),
        ("  entries: {shafts.segments.0.diametr: 5 mm}", ("the path of an entry of the machine",)),
        ("  entries: {shafts.segments.0.diameter: 5 g}", ("which is not a length",)),
        ("  entries: {limits.gap: 1 mm}", ("the path of an entry of the machine",)),
        ("  entries: {cranks.centre_distance: 90 mm +- 1 mm}", ("the gears do not reach each other",)),
        ("  brake: {radius: 40 mm, points: [{speed: 900 rpm, pull: 1 N, slack: 2 N}, {speed: 400 rpm, pull: 1 N}]}",
         ("no more than the tight side's 1 N",)),
        ("  cranks: {right: {on_scale: {arm: 100 mm, at: [0 deg, 180 deg, 0 deg], readings: [30 g, 31 g, 30 g]}}}",
         ("on one line", "three directions or more")),
        ("  cranks: {right: {}}", ("none of on_scale, rolled and swung",)),
        ("  backlash: {radius: 40 mm, readings: []}", ("no reading",)),
        ("  rods: {displacer: {mass: 12 g, two_strings: {strings: 500 mm, apart: [40 mm, 40 mm], number: 20, "
         "times: [60 s]}}}", ("so a radius of gyration of", "s a swing for a rod of that length")),
    ],
)  # fmt: skip
def test_readings_that_cannot_be(measured: str, words: tuple[str, ...]) -> None:
    said = complaint(measured)
    assert said.startswith("fan.yaml:") and ":0" not in said.split(" ")[0]
    for each in words:
        assert each in said
    assert "Traceback" not in said


# Screen, JSON, schema.


@pytest.mark.usefixtures("unadvised")
def test_check_says_what_it_worked_with_and_where_they_disagree(tmp_path: Path) -> None:
    file = tmp_path / "fan.yaml"
    file.write_text(text(ROD), "utf-8")
    shown = run("check", str(file)).stdout
    assert "Worked with: what was measured for 4 of its entries; 3 readings disagree" in shown.replace("\n", " ")
    assert "Measured against the drawing" in shown
    rows = json.loads(run("balance", str(file), "--json").stdout)["results"]["measured"]["rows"]
    mass_row = next(row for row in rows if row["what"] == "mass of a rod of the displacer")
    assert mass_row["drawn"] == {"value": 0.012, "unit": "kg"}
    assert mass_row["found"]["value"] == pytest.approx(0.01231) and mass_row["worked_with"] == "found"
    assert mass_row["half_width"]["value"] == pytest.approx(5e-5) and mass_row["disagrees"] is True


@pytest.mark.parametrize(
    ("told", "heard"),
    [
        ("{heard: 1300 rpm +- 40 rpm}", "heard to knock from 1300 rpm on"),
        ("1200 rpm +- 30 rpm", "seen to touch from 1200 rpm on"),
        ("{heard: 1600 rpm +- 40 rpm}", ""),  # beyond 1500 rpm, the fastest that it runs
        ("{none_up_to: 1400 rpm +- 10 rpm}", ""),
    ],
)
def test_where_yokes_were_heard_to_touch_numbers_that_say_otherwise_do_not_pass(told: str, heard: str) -> None:
    evaluation = Evaluation(read_text(f"{REBUILT}\nmeasured: {{first_contact: {told}}}\n", "fan.yaml"))
    found = {row.key: row for row in gap.rows(evaluation)}
    assert {found[key].state for key in gap.KEYS} == {"not checked" if heard else "pass"}
    assert heard in found["gap"].words and ("quietcrank learn" in found["contact"].words) == bool(heard)
    first = summary.answers(evaluation, [*found.values()])[0]
    assert first.words.startswith(f"The machine was {heard}" if heard else "No: no contact")
    assert (first.state == "bad") == bool(heard)


@pytest.mark.parametrize("worked", ["measured", "drawing"])
def test_a_machine_that_an_option_rebuilds_has_not_knocked(tmp_path: Path, worked: str) -> None:
    """One that it only runs slower, or allows to shake more, is the machine that did."""
    file = tmp_path / "fan.yaml"
    options = "{slower: {speed.most: 1450 rpm}, longer: {yokes.*.rod.length: 66 mm}, asked: {limits.gap: 0.2 mm}}"
    knock = f"{{first_contact: {{heard: 1300 rpm +- 40 rpm}}, check_with: {worked}}}"
    file.write_text(f"{REBUILT}\nmeasured: {knock}\noptions: {options}\n", "utf-8")
    made = read_options(file)
    heard = {name: bool(gap.knock(Evaluation(each))) for name, each in made.items()}
    assert heard == {"slower": True, "longer": False, "asked": True}
    assert gap.knock(Evaluation(read(file)))


def test_a_knock_that_the_numbers_tell_too_is_no_news() -> None:
    """As built the yokes touch from 894 rpm on by its numbers."""
    evaluation = Evaluation(design("  first_contact: {heard: 950 rpm +- 30 rpm}"))
    assert gap.knock(evaluation) == ""
    assert summary.answers(evaluation, gap.rows(evaluation))[0].words.startswith("Yes: ")


@pytest.mark.usefixtures("unadvised")
def test_a_design_without_readings_says_nothing_of_them(tmp_path: Path) -> None:
    file = tmp_path / "fan.yaml"
    file.write_text(DESIGN, "utf-8")
    assert "Worked with" not in run("check", str(file)).stdout
    assert read(file).found == ()


def test_the_schema_knows_all_that_the_reader_reads() -> None:
    whole = yaml.load(text(ROD), yaml.BaseLoader)
    jsonschema.validate(whole, schema())
    whole["measured"]["rods"]["displacer"]["mas"] = "12 g"
    with pytest.raises(jsonschema.ValidationError):
        jsonschema.validate(whole, schema())


def test_readings_do_not_change_what_is_worked_out_for_many_options() -> None:
    from balance.many import planted

    made = design(ROD)
    many = planted(made, (("yokes", "displacer", "rod", "length"),), np.array([0.0646, 0.0647]))
    bare = replace(made, measured=None, found=())
    other = planted(bare, (("yokes", "displacer", "rod", "length"),), np.array([0.0646, 0.0647]))
    one, two = (Evaluation(each).pairs[0].gap(100.0) for each in (many, other))
    np.testing.assert_array_equal(one, two)


# Left and right told apart, taps in every direction.


def test_each_rod_by_itself() -> None:
    made = design(
        "  rods:\n    displacer:\n"
        "      right: {mass: 12.31 g +- 0.05 g, between_centres: 64.62 mm +- 0.02 mm}\n"
        "      left: {mass: 12.11 g +- 0.05 g, small_end_on_scale: 4.86 g +- 0.05 g, "
        "between_centres: 64.59 mm +- 0.02 mm}\n"
    )
    rod = made.yokes["displacer"].rod
    assert (rod.length, rod.left_length) == pytest.approx((64.62e-3, 64.59e-3))
    assert (rod.mass, rod.left.mass) == pytest.approx((12.31e-3, 12.11e-3))
    assert (rod.cg, rod.left.cg) == pytest.approx((26e-3, 64.59e-3 * 4.86 / 12.11))
    assert rod.left.inertia == rod.inertia  # what was not found on it is as of the right one
    for key in ("length", "left_length"):
        assert made.doubts[("yokes", "displacer", "rod", key)].words.startswith("measured")
    pair = Evaluation(made).pairs[0]
    unlike = pair.items(0.0)["unlike sides"][:, 7]
    # The left end of the upper yoke stands 0.03 mm lower at 15 mm from the middle: the two ends, at 28 mm, differ.
    assert np.ptp(unlike) == pytest.approx(0.03e-3 * 56 / 30, rel=0.1)


def test_one_reading_without_a_side_leaves_the_left_rod_as_made() -> None:
    made = design("  rods: {displacer: {between_centres: 64.62 mm +- 0.02 mm}}\n")
    assert made.yokes["displacer"].rod.left_length is None
    named = {each.paths: each.range for each in unknowns_of(made)}
    left = named["yokes.displacer.rod.left_length"]
    assert left.law == "cut normal" and left.middle == pytest.approx(64.62e-3)  # about what was found


def test_one_reading_stands_for_both_rods_or_for_each() -> None:
    """As the cards' blanks ask for it: lengths of each rod, weighed and swung together."""
    made = design(
        "  rods:\n    displacer:\n      mass: 12.31 g +- 0.05 g\n      small_end_on_scale: 4.86 g +- 0.05 g\n"
        "      swings: {hung_at: 40.6 mm +- 0.3 mm, number: 50, times: [21.5 s]}\n"
        "      right: {between_centres: 64.62 mm +- 0.02 mm}\n      left: {between_centres: 64.58 mm +- 0.02 mm}\n"
    )
    rod, keys = made.yokes["displacer"].rod, [each.key for each in made.found]
    assert (rod.length, rod.left_length) == pytest.approx((64.62e-3, 64.58e-3)) and rod.left is None
    assert rod.cg == pytest.approx(64.60e-3 * 4.86 / 12.31)  # by the mean of both lengths
    assert len(keys) == len(set(keys)) == 5 and "yokes_displacer_rod_inertia" in keys
    alone = found("  rods: {displacer: {small_end_on_scale: 4.8 g, right: {mass: 12 g}, left: {mass: 12.2 g}}}")
    assert alone["yokes_displacer_rod_cg"].found.value == pytest.approx(64.6e-3 * 4.8 / 12.1)
    assert {each for each in alone if each.endswith("mass")} == {
        "yokes_displacer_rod_mass", "yokes_displacer_rod_left_mass"}  # fmt: skip
    said = complaint("  rods: {displacer: {mass: 12 g, left: {mass: 12.1 g}}}")
    assert "mass beside left.mass" in said and "under right and left" in said
    said = complaint("  rods: {displacer: {left: {mass: 12 g, small_end_on_scale: 14 g}}}")
    assert "left.small_end_on_scale" in said and "less than the rod's mass" in said
    said = complaint("  rods: {displacer: {mass: 12 g, left: {small_end_on_scale: 14 g}}}")
    assert said.count("read") == 1 and "left.small_end_on_scale: read 14.00 g" in said
    said = complaint("  rods: {displacer: {left: {between_centres: 67 mm +- 0.02 mm}}}")
    assert "left_length" in said and "within 2% of it" in said


@pytest.mark.parametrize(("axis", "key"), [("x", "across"), ("z", "along_shafts")])
def test_taps_across_and_along_the_shafts(axis: str, key: str) -> None:
    """A case that does not rock: its frequency by hand, with and without a known mass."""
    one, two = (np.sqrt(40e3 / (3.39 + added)) / (2 * np.pi) for added in (0.0, 0.4))
    undamped = 1 / (1 - 0.05**2)
    each = found(f"  tapped: [{{along: {axis}, frequency: {one:.6f} Hz, phone: 190 g}}]\n")
    stiffness = each[f"mount_feet_{key}"]
    assert stiffness.found.value == pytest.approx(40e3 * undamped, rel=1e-4)
    assert stiffness.used and stiffness.drawn == 60e3 and "mass as drawn" in stiffness.how
    both = f"{{along: {axis}, frequency: {one:.6f} Hz}}, {{along: {axis}, frequency: {two:.6f} Hz, added: 400 g}}"
    each = found(f"  tapped: [{both}]\n")
    assert each[f"mount_feet_{key}"].found.value == pytest.approx(40e3 * undamped, rel=1e-4)
    assert f"mount_mass_{axis}" in each and "mount_feet_stiffness" not in each


def test_a_tapped_case_that_rocks_is_told_by_its_modes() -> None:
    """Feet 10 mm below the mass centre, the same on both sides: the mode along z by hand from a 2 x 2 problem."""
    drawn = "mount: {mass: 3.2 kg, feet: {stiffness: 60 N/mm, damping_ratio: 0.05}}"
    corners = ", ".join(f"[{x} mm, {{y}} mm, {z} mm]" for x in (-80, 80) for z in (-60, 60))
    body = "mount: {{mass: 3.2 kg, cg: [0 mm, 0 mm, 0 mm], size: [160 mm, 120 mm, 120 mm], feet: {{stiffness: 60 N/mm, "
    body += "along_shafts: 30 N/mm, damping_ratio: 0.05, places: [{corners}]}}}}"
    assert drawn in DESIGN

    def heard(y: float, frequency: float) -> dict[str, object]:
        mount = body.format(corners=corners.format(y=y))
        text_ = DESIGN.replace(drawn, mount) + f"\nmeasured:\n  tapped: [{{along: z, frequency: {frequency:.6f} Hz}}]\n"
        return {each.key: each for each in read_text(text_, "fan.yaml").found}

    k, y, m = 40e3, -0.01, 3.2
    inertia, pitch = m / 12 * (0.12**2 + 0.12**2), 60e3 * 0.06**2
    # Shift along z and turn about x: springs (k, -k y; -k y, pitch + k y^2), and the weight that tips it.
    springs = np.array([[k, k * y], [k * y, pitch + k * y**2 + m * 9.80665 * y]])
    squares, shapes = np.linalg.eig(np.linalg.solve(np.diag([m, inertia]), springs))
    wanted = int(np.argmax(m * shapes[0] ** 2 / (m * shapes[0] ** 2 + inertia * shapes[1] ** 2)))
    damped = np.sqrt(squares[wanted]) / (2 * np.pi)
    ratio = heard(-10, damped)["mount_feet_along_shafts"]
    assert ratio.found.value == pytest.approx(k, rel=0.01) and "rocking" in ratio.how and ratio.used
    # Far below it both modes are as much shift as rocking: nothing is told of the stiffness.
    told = heard(-100, 15.0)
    assert "mount_feet_along_shafts" not in told and "which of them rang is not told" in told["ringing_z"].how


def test_taps_on_rubber_buffers_are_compared_only() -> None:
    text_ = DESIGN.replace(
        "feet: {stiffness: 60 N/mm, damping_ratio: 0.05}",
        "feet: {rubber: {diameter: 15 mm, height: 15 mm, hardness: 40, number: 4}}",
    )
    assert text_ != DESIGN
    made = read_text(f"{text_}\nmeasured: {{tapped: [{{frequency: 20 Hz, phone: 190 g}}]}}\n", "fan.yaml")
    (each,) = [one for one in made.found if one.key == "mount_feet_stiffness"]
    assert not each.used and each.drawn == pytest.approx(float(made.mount.feet.stiffnesses[1]))
