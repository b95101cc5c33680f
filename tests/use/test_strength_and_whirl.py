"""Rows and tables of strength, whirl and torsion: what they say of the shipped engine, and of many designs at once."""

from dataclasses import replace
from pathlib import Path
from types import SimpleNamespace

import numpy as np
import pytest

from balance.machine.wheels import Wheel
from designs.evaluate import Evaluation
from designs.reading import read
from designs.tables import strength as strength_tables
from designs.tables import whirl as whirl_tables
from designs.verdict import strength, whirl
from shafts.shaft import Notch

DESIGN = read(Path(__file__).parents[2] / "designs" / "as-built.yaml")


def rows(design, without_vibration: bool = False) -> dict:
    evaluation = Evaluation(design, without_vibration=without_vibration)
    return {row.key: row for row in (*strength.rows(evaluation), *whirl.rows(evaluation))}


def with_shafts(**changes):
    return replace(DESIGN, shafts=replace(DESIGN.shafts, **changes))


def with_diameter(diameter):
    return with_shafts(segments=tuple(replace(each, diameter=diameter) for each in DESIGN.shafts.segments))


def test_every_limit_is_looked_at():
    found = rows(DESIGN)
    assert list(found) == ["yield_safety", "fatigue_safety", "critical_speed_margin", "torsional_margin"]
    assert all(row.checked for row in found.values())
    assert "soldered web 1" in found["fatigue_safety"].what


def with_bearing_at(place):
    first, last = DESIGN.shafts.bearings
    return with_shafts(bearings=(first, replace(last, at=place)))


def with_fastest(speed):
    return replace(DESIGN, speed=replace(DESIGN.speed, most=speed))


def with_pressure(pressure):
    return replace(DESIGN, gas=replace(DESIGN.gas, mean_pressure=pressure))


def with_notch_at(place):
    return with_shafts(notches=(Notch(at=place, kind="groove", depth=3e-4, fillet=1e-4),))


def with_strength(strength):
    return with_shafts(material=replace(DESIGN.shafts.material, tensile_strength=strength))


def with_web_mass(mass):
    webs = tuple(replace(each, mass=mass) for each in DESIGN.cranks.webs)
    return replace(DESIGN, cranks=replace(DESIGN.cranks, webs=webs))


@pytest.mark.parametrize(
    ("change", "values"),
    [
        (with_diameter, [0.004, 0.005, 0.006, 0.008]),
        (with_bearing_at, [0.02, 0.024, 0.03, 0.035]),
        (with_fastest, [150.0, 188.0, 200.0, 250.0]),
        (with_pressure, [1.01e5, 1.1e5, 1.5e5, 2e5]),
        (with_notch_at, [-0.01, 0.0, 0.012, 0.03]),
        (with_strength, [4e8, 6e8, 8e8, 1e9]),
        (with_web_mass, [0.01, 0.02, 0.03, 0.04]),
    ],
)
def test_many_designs_at_once_get_the_rows_that_each_gets_alone(change, values: list[float]):
    together = rows(change(np.array(values)))
    for option, value in enumerate(values):
        for key, row in rows(change(value), without_vibration=True).items():
            for name in ("value", "speed", "passed", "unlooked"):
                if name != "unlooked":
                    several = np.broadcast_to(getattr(together[key], name), len(values))[option]
                    np.testing.assert_allclose(float(several), float(getattr(row, name)), rtol=1e-6)
                elif key in ("yield_safety", "fatigue_safety"):
                    assert "vibration of the shafts is left out" in getattr(together[key], name) == row.unlooked


def test_a_thin_shaft_fails_and_says_where():
    row = rows(with_diameter(0.0025), without_vibration=True)["fatigue_safety"]
    assert not row.passed
    assert "right shaft soldered web 1 at -14 mm" in row.what


def test_a_thin_shaft_fails_where_it_vibrates():
    """Between the speeds that are looked at anyway, at less than half of what slowly changing loads leave."""
    still, moving = (rows(with_diameter(0.0025), without_vibration=each)["fatigue_safety"] for each in (True, False))
    assert float(moving.value) < 0.5 * float(still.value)
    assert all(abs(float(moving.speed) / float(each) - 1) > 0.01 for each in Evaluation(DESIGN).speeds)


@pytest.mark.parametrize("missing", ["tensile_strength", "yield_strength"])
def test_a_material_of_unknown_strength_is_not_checked(missing: str):
    found = rows(with_shafts(material=replace(DESIGN.shafts.material, **{missing: None})))
    for key in ("yield_safety", "fatigue_safety"):
        assert not found[key].checked
        assert "tensile_strength" in found[key].change
    assert found["critical_speed_margin"].checked


def test_half_the_modulus_halves_the_square_of_the_margins():
    """Seats as stiff as steel itself, so that only the shaft bends; torsion by its own modulus."""
    material = DESIGN.shafts.material
    bearings = tuple(replace(each, seat_stiffness=None, stiffness=1e15) for each in DESIGN.shafts.bearings)
    soft = replace(material, young=material.young / 2, shear=material.shear / 2)
    stiff, halved = (rows(with_shafts(material=each, bearings=bearings)) for each in (material, soft))
    for key in ("critical_speed_margin", "torsional_margin"):
        np.testing.assert_allclose(halved[key].value, stiff[key].value / np.sqrt(2), rtol=1e-3)


def test_finish_and_reliability_move_fatigue_alone():
    plain, better = rows(DESIGN), rows(with_shafts(finish="ground", reliability=0.5))
    assert better["fatigue_safety"].value > 1.1 * plain["fatigue_safety"].value
    np.testing.assert_allclose(better["yield_safety"].value, plain["yield_safety"].value, rtol=1e-12)


def test_tables_agree_with_the_rows():
    evaluation = Evaluation(DESIGN)
    found = rows(DESIGN)
    inside, safety, *_ = strength_tables.tables(evaluation)
    keys = [column.key for column in safety.columns]
    by_goodman = [row[keys.index("goodman")] for row in safety.rows]
    np.testing.assert_allclose(min(by_goodman), found["fatigue_safety"].value, rtol=1e-6)
    np.testing.assert_allclose(min(row[keys.index("yielding")] for row in safety.rows), found["yield_safety"].value)
    for row in safety.rows:
        goodman, gerber, elliptic, soderberg = (
            row[keys.index(k)] for k in ("goodman", "gerber", "elliptic", "soderberg")
        )
        assert soderberg <= goodman <= gerber * (1 + 1e-9)
        assert soderberg <= elliptic * (1 + 1e-9)
    assert len(inside.rows) == len(safety.rows)
    crossings = whirl_tables.tables(evaluation)[1]
    columns = [column.key for column in crossings.columns]
    counting = [row for row in crossings.rows if row[columns.index("counts")] == "yes"]
    speeds = [row[columns.index("speed")] / DESIGN.speed.most for row in counting]
    assert min(speeds) == pytest.approx(found["critical_speed_margin"].value)


@pytest.mark.parametrize(
    "path", sorted((Path(__file__).parents[2] / "designs").glob("*.yaml")), ids=lambda each: each.stem
)
def test_every_shipped_engine_has_every_table(path: Path):
    evaluation = Evaluation(read(path))
    for table in (*strength_tables.tables(evaluation), *whirl_tables.tables(evaluation)):
        assert table.rows
        assert table.note
        assert table.markdown()


def test_what_vibration_adds_is_said():
    table = next(each for each in whirl_tables.tables(Evaluation(DESIGN)) if each.key == "vibration_of_shafts")
    assert "counted in gap and clearances, bearing loads, slopes, stresses and teeth" in table.note
    assert max(row[-1] for row in table.rows) > 0.05
    wheel = replace(DESIGN.flywheel, inertia=0.1)  # what else turns takes no share of the torque's swing
    quiet = replace(DESIGN, speed=replace(DESIGN.speed, least=1.0, rated=2.0, most=3.0), flywheel=wheel)
    table = next(each for each in whirl_tables.tables(Evaluation(quiet)) if each.key == "vibration_of_shafts")
    assert "not counted" in table.note


def with_long_shaft(inertia: float, mass: float):
    """The shaft twice as long, a heavy wheel on its far end."""
    shafts = replace(DESIGN.shafts, segments=(replace(DESIGN.shafts.segments[0], length=0.118),))
    return replace(DESIGN, shafts=shafts, flywheel=replace(DESIGN.flywheel, at=0.1, inertia=inertia, mass=mass))


def test_a_heavy_wheel_on_a_long_shaft_is_met_against_the_turning():
    """Order 1 with the turning lies above the range; against it, within, and the row fails on it."""
    evaluation = Evaluation(with_long_shaft(4e-3, 0.6))
    first = [each for each in evaluation.crossings if each.order == 1 and each.hand == "right"]
    backward = min(each.speed for each in first if each.way == "backward")
    assert evaluation.design.speed.least < backward < evaluation.design.speed.most
    assert not [each for each in first if each.way == "forward" and each.speed < evaluation.design.speed.most]
    row = rows(evaluation.design)["critical_speed_margin"]
    assert row.value < 1
    assert not row.passed


def test_a_crossing_that_hardly_bends_a_crank_does_not_fail_it():
    rhombic = Evaluation(read(Path(__file__).parents[2] / "designs" / "rhombic.yaml"))
    crossed = [each for each in rhombic.crossings if each.speed < rhombic.design.speed.most]
    assert crossed
    assert max(each.added for each in crossed) < 1e-6
    (row,) = (each for each in whirl.rows(rhombic) if each.key == "critical_speed_margin")
    assert row.passed


def test_each_throw_and_wheel_turns_and_the_load_too():
    """A load of known inertia lowers the first torsional frequency, and evens out the turning."""
    at = float(DESIGN.shafts.ends_at) - 4e-3
    loaded = replace(DESIGN, pulley=Wheel(on=DESIGN.cranks.load_on, at=at, inertia=3e-4))
    one, other = (rows(each)["torsional_margin"].value for each in (DESIGN, loaded))
    assert other < 0.99 * one
    even, evener = (Evaluation(each).swings[0].fluctuation for each in (DESIGN, loaded))
    assert evener < 0.8 * even


def test_what_has_no_frequency_beside_something_very_soft_is_not_listed(monkeypatch):
    """Teeth as soft as air leave the shaft one frequency; such a file ended the command."""
    monkeypatch.setattr(whirl_tables, "torsional_frequencies", lambda system: np.array([90.0, np.inf, np.inf]))
    monkeypatch.setattr(whirl_tables, "highest_strong_order", lambda torques, speed: 2)
    design = SimpleNamespace(speed=SimpleNamespace(least=40.0, most=100.0), pulley=None,
                             cranks=SimpleNamespace(gears=None))  # fmt: skip
    found = whirl_tables._torsion(SimpleNamespace(design=design, torsional_systems=[None], torques=None))
    assert [row[1:] for row in found.rows] == [(1, 90.0, pytest.approx(90.0 / 6.283185), "1", 90.0)]
