"""What a maker would find out too late: an engine that pumps heat, a shaft that does not fit, a builds' worst case."""

from dataclasses import replace
from pathlib import Path
from types import SimpleNamespace

import numpy as np
import pytest

from balance.machine.machine import NoGas
from balance.weights.balancing import Weight
from designs.command.inputs import SHIPPED
from designs.counsel.advice import Counsel
from designs.counsel.advised import judge
from designs.evaluate import Evaluation
from designs.reading import read
from designs.reading.units import BadQuantity, quantity
from designs.summary import answers
from designs.verdict import along, gap, power
from shafts.along import axial_clearances, sitting

NAMES = ("as-built", "counterweighted", "redesign", "rhombic")


def row(rows, key):
    return next(each for each in rows if each.key == key)


@pytest.mark.parametrize("name", NAMES)
def test_every_shipped_engine_gives_the_power_of_its_indicated_work(name):
    """Power is indicated work per turn times turns per second, whatever the shafts carry (energy balance)."""
    evaluation = Evaluation(read(SHIPPED / f"{name}.yaml"))
    (found,) = power.rows(evaluation)
    work = float(np.sum(evaluation.gas.indicated_work(evaluation.motion).gas))
    assert work > 0
    assert float(found.value) == pytest.approx(work * float(evaluation.design.speed.rated) / (2 * np.pi), rel=1e-9)
    assert bool(found.passed)


def test_the_other_way_round_it_pumps_heat_and_is_told_so():
    """Throws led by -90 in place of +90 degrees: the same volumes run backwards, so the work changes its sign."""
    design = read(SHIPPED / "redesign.yaml")
    throws = {name: replace(each, phase=-each.phase) for name, each in design.cranks.throws.items()}
    evaluation = Evaluation(replace(design, cranks=replace(design.cranks, throws=throws)))
    (found,) = power.rows(evaluation)
    assert float(found.value) < -5
    assert not found.passed
    answer = next(each for each in answers(evaluation, judge(evaluation)) if "power" in each.question)
    assert answer.state == "bad"
    advice = Counsel(evaluation.design, judge(evaluation)).advice("power")
    assert advice.holds
    assert advice.plan.trial.design.cranks.turning == "inward"


def test_without_gas_there_is_no_power_to_speak_of():
    (found,) = power.rows(Evaluation(replace(read(SHIPPED / "redesign.yaml"), gas=NoGas())))
    assert found.passed is None


@pytest.mark.parametrize(
    ("face", "at", "room", "between"),
    [
        (15.0, 12.0, 0.35, "right plate 1 and right gear"),  # 12 - 15/2 to the plate's 0 + 8/2, less the float
        (8.0, 25.0, -3.15, "right plate 2 and right gear"),  # 26 less 25 + 8/2, less the float
        (16.0, 12.0, -0.15, "right plate 1 and right gear"),  # flush is not clear
        (None, 12.0, 0.85, "right plate 1 and right web 1"),  # 0 - 8/2 less -10 + 10/2, with a gear of unknown face
    ],
)
def test_what_sits_on_a_shaft_must_find_room_beside_each_other(face, at, room, between):
    """Bearings and plates 8 mm wide at 0 and 30 mm, 0.15 mm of end float; lengths and places in mm, by hand."""
    design = read(SHIPPED / "redesign.yaml")
    gears = replace(design.cranks.gears, face=face and face * 1e-3, at=at * 1e-3)
    bare = replace(design, counterweights=None, cranks=replace(design.cranks, gears=gears))
    found = row(along.rows(Evaluation(bare)), "axial_room")
    assert float(found.value) == pytest.approx(room * 1e-3, abs=1e-12)
    assert bool(found.passed) == (room >= 0)
    assert found.what.endswith(f"{between}, less their end float")


def test_what_leans_on_a_bearing_has_room_where_no_plate_is_given():
    """A gear 16 mm wide at 12 mm ends at the bearing's face at 4 mm."""
    design = read(SHIPPED / "redesign.yaml")
    gears = replace(design.cranks.gears, face=16e-3, at=12e-3)
    bare = replace(design, counterweights=None, cranks=replace(design.cranks, gears=gears),
                   shafts=replace(design.shafts, plates=()))  # fmt: skip
    found = row(along.rows(Evaluation(bare)), "axial_room")
    assert float(found.value) == 0.0
    assert found.what.endswith("right bearing 1 and right gear")


def test_a_web_that_reaches_into_a_bearing_has_no_room():
    """Web 10 mm thick at -10 mm, the bearing 8 mm wide at zero; further from the web it clears a wheel by 9 mm."""
    design = read(SHIPPED / "redesign.yaml")
    design = replace(design, shafts=replace(design.shafts, plates=()))
    rooms = {each.names: each.clearance for each in axial_clearances(sitting(design, "right"), 0.15e-3)}
    assert float(rooms["right bearing 2", "right flywheel"]) == pytest.approx(9e-3)
    assert ("right web 1", "right web 2") not in rooms
    near, *others = design.cranks.webs
    for thick, room in ((10e-3, 1e-3), (12.5e-3, -0.25e-3)):
        webs = (replace(near, thickness=thick), *others)
        found = row(along.rows(Evaluation(replace(design, cranks=replace(design.cranks, webs=webs),
                                                  counterweights=None))), "axial_room")  # fmt: skip
        assert float(found.value) == pytest.approx(room, abs=1e-12)
        assert found.what.endswith("right bearing 1 and right web 1")


def test_a_fitted_weight_must_clear_the_bearing_beside_it():
    """12 mm thick at -9 mm it ends at -3 mm, half a millimetre from a 5 mm bearing at zero; at -8 mm it does not."""
    design = read(SHIPPED / "counterweighted.yaml")
    design = replace(design, shafts=replace(design.shafts, plates=()))  # which are thicker than their bearings
    for at, room in ((-9e-3, 0.5e-3), (-8e-3, -0.5e-3)):
        moved = replace(design, counterweights=replace(design.counterweights, at=at, thickness=12e-3))
        found = row(along.rows(Evaluation(moved)), "axial_room")
        assert float(found.value) == pytest.approx(room, abs=1e-12)
        assert found.what.endswith("right bearing 1 and right counterweight")
        unfitted = replace(moved, counterweights=replace(moved.counterweights, fitted=False))
        left_off = row(along.rows(Evaluation(unfitted)), "axial_room")
        assert left_off.what.endswith("right bearing 2 and right flywheel")


def test_a_weight_of_no_mass_is_in_nobodys_way():
    engine = read(SHIPPED / "counterweighted.yaml")
    plates = [SimpleNamespace(mass=mass, thickness=12e-3) for mass in (0.0, 0.1)]
    none, some = (Weight(at=0.0, wanted=0.0, angle=0.0, shape=plate) for plate in plates)
    for weight, room in ((none, np.inf), (some, -(12e-3 + 5e-3) / 2)):  # at the first bearing, which is 5 mm wide
        rooms = {each.names: each.clearance for each in axial_clearances(sitting(engine, "right", [weight]), 0.0)}
        assert float(rooms["right bearing 1", "right counterweight"]) == pytest.approx(room)


def test_a_gap_that_is_closed_on_paper_is_said_to_be_so_everywhere():
    design = read(SHIPPED / "redesign.yaml")
    rod = replace(design.yokes["displacer"].rod, length=design.yokes["displacer"].rod.length - 3e-3)
    yokes = {**design.yokes, "displacer": replace(design.yokes["displacer"], rod=rod)}
    evaluation = Evaluation(replace(design, yokes=yokes))
    touching = answers(evaluation, judge(evaluation))[0]
    assert "On the drawing alone they overlap" in touching.words
    gap_row = row(gap.rows(evaluation), "gap")
    assert gap_row.state == "FAIL"


def test_rocking_that_is_not_looked_at_is_no_good_news():
    """The redesign's case as it is, and with neither size nor places of its feet."""
    design = read(SHIPPED / "redesign.yaml")
    bare = replace(design.mount, size=None, feet=replace(design.mount.feet, places=()))
    for each, state, words in (
        (replace(design, mount=bare), "unknown", "mount.feet.places"),
        (design, "good", "mm/s rms"),
    ):
        evaluation = Evaluation(each)
        answer = next(each for each in answers(evaluation, judge(evaluation)) if "vibrate" in each.question)
        assert answer.state == state
        assert words in answer.words


def test_builds_that_touch_at_their_worst_are_no_good_news():
    design = read(SHIPPED / "redesign.yaml")
    rough = replace(design.fits, tolerances=replace(design.fits.tolerances, rod_length=0.3e-3))
    evaluation = Evaluation(replace(design, fits=rough))
    answer = answers(evaluation, judge(evaluation))[0]
    assert answer.state == "unknown"
    assert "`shafts` tells" in answer.words


@pytest.mark.parametrize(
    ("text", "si", "value"),
    [("0.375 inch", "m", 0.375 * 0.0254), ('0.375"', "m", 0.375 * 0.0254), ("2 lbs", "kg", 2 * 0.45359237),
     ("8 micron", "m", 8e-6), ("2 inches", "m", 2 * 0.0254)],
)  # fmt: skip
def test_units_as_they_are_written_in_a_workshop(text, si, value):
    assert quantity(text, si) == pytest.approx(value, rel=1e-15)


def test_an_unknown_unit_is_never_answered_with_the_same_number_in_another():
    with pytest.raises(BadQuantity) as caught:
        quantity("480 C", "K")
    assert "480" not in caught.value.allowed
    with pytest.raises(BadQuantity) as caught:
        quantity("3 mms", "m")
    assert caught.value.allowed.endswith("the nearest unit is mm")


def test_a_decimal_comma_within_braces_is_told(tmp_path: Path, capsys):
    from designs.command import group

    text = (SHIPPED / "redesign.yaml").read_text("utf-8").replace("{radius: 9 mm,", "{radius: 9,5 mm,", 1)
    (tmp_path / "comma.yaml").write_text(text, "utf-8")
    with pytest.raises(SystemExit) as left:
        group(["check", str(tmp_path / "comma.yaml")])
    assert left.value.code == 2
    assert "decimal comma (write a point)" in capsys.readouterr().err


def test_where_no_shaft_passes_the_nearest_is_named_with_what_would_help(capsys, tmp_path):
    """As built, neither bore passes. The thicker shaft fails one limit more: it meets the other one's flywheel."""
    from designs.command import group

    file = tmp_path / "fan.yaml"
    file.write_text((SHIPPED / "as-built.yaml").read_text("utf-8") + "\nstock: {bearings: [625, 6000]}\n", "utf-8")
    with pytest.raises(SystemExit) as left:
        group(["size", str(file), "--diameter", "5 mm, 10 mm"])
    said = " ".join(capsys.readouterr().out.split())
    assert left.value.code == 1
    assert "None of these passes. The nearest is 5 mm, on bearings of 5 x" in said
    assert "slope at gears" in said
    assert "--all says what would help each" in said
    assert said.index("The nearest") < said.index("Shafts tried")
