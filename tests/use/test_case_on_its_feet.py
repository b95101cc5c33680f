"""What is said of a case on its feet: what stands, lifts, shakes and helps, and what was not looked at."""

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from balance.case.taken import missing, taken_mount
from balance.machine.machine import Gravity
from balance.machine.mount import Feet
from balance.machine.rubber import Rubber
from designs.counsel.free import free_choices
from designs.design import Design
from designs.evaluate import Evaluation
from designs.reading import read
from designs.reading.complaints import BadFile
from designs.tables import mount as mount_tables
from designs.verdict import vibration

SHIPPED = Path(__file__).parents[2] / "designs"
FEET = {"stiffness": 5e3, "damping_ratio": 0.08}


def shipped(name: str) -> Design:
    return read(SHIPPED / f"{name}.yaml")


def judged(design: Design) -> dict:
    return {row.key: row for row in vibration.rows(Evaluation(design))}


def with_feet(design: Design, **changes) -> Design:
    return replace(design, mount=replace(design.mount, feet=replace(design.mount.feet, **changes)))


def without_size(design: Design) -> Design:
    return replace(design, mount=replace(design.mount, size=None, feet=replace(design.mount.feet, places=())))


def one_wheel(design: Design) -> Design:
    return replace(design, flywheel=replace(design.flywheel, on="right", inertia=1.6e-3, mass=0.9))


def test_a_case_of_unknown_size_does_not_pass() -> None:
    """Balanced by two planes and two wheels it passes when the size is given; without, it is not checked."""
    whole, bare = judged(shipped("redesign")), judged(without_size(shipped("redesign")))
    assert [whole[key].state for key in ("stands", "vibration", "uplift")] == ["pass"] * 3
    assert [bare[key].state for key in ("stands", "vibration", "uplift")] == ["not checked"] * 3
    assert "mount.size and mount.feet.places" in bare["vibration"].words
    assert "as taken boxes rock" in bare["uplift"].words


def test_what_fails_as_it_shifts_fails_though_it_might_rock_as_well() -> None:
    """The engine as built shakes far above its limit along the cylinder alone."""
    row = judged(shipped("as-built"))["vibration"]
    assert row.state == "FAIL"
    assert "size of the case taken" in row.what


def test_torque_ripple_is_named() -> None:
    """The rhombic engine is free of every force; with one wheel it rolls, with two nothing moves it."""
    design = one_wheel(shipped("rhombic"))
    rows = judged(design)
    assert rows["vibration"].state == "FAIL"
    assert "mostly torque ripple" in rows["vibration"].change
    assert judged(shipped("rhombic"))["vibration"].value == pytest.approx(0.0, abs=1e-9)


def test_a_case_on_feet_too_soft_and_close_falls_over() -> None:
    design = shipped("redesign")
    close = tuple((x / 2, y, z / 2) for x, y, z in design.mount.feet.places)
    row = judged(with_feet(design, places=close))["stands"]
    assert row.state == "FAIL"
    near = with_feet(design, places=close)
    (apart,) = [dial for dial in free_choices(near) if dial.paths == ("mount.feet.places",)]
    assert judged(apart.levels[-1].of(near))["stands"].state == "pass"  # twice as far apart, as they were
    off = replace(design, mount=replace(design.mount, cg=(0.09, 0.025, 0.0)))  # beside the feet
    assert judged(off)["stands"].value == 0
    assert judged(off)["stands"].state == "FAIL"


def test_a_cylinder_that_lies_is_not_said_to_fall_over() -> None:
    lying = replace(shipped("redesign"), gravity=Gravity(x=-9.81, y=0.0))
    assert [judged(lying)[key].state for key in ("stands", "uplift")] == ["not checked"] * 2


def test_static_stiffness_below_the_dynamic_one_tips_sooner_and_sags_more() -> None:
    """Rubber's dynamic stiffness is what `stiffness` gives; weight alone feels it divided by the ratio."""
    design = shipped("redesign")
    rows = {ratio: judged(with_feet(design, dynamic_ratio=ratio)) for ratio in (1.0, 1.5)}
    assert rows[1.5]["stands"].value == pytest.approx(rows[1.0]["stands"].value / 1.5, rel=1e-9)
    tables = {ratio: mount_tables.tables(Evaluation(with_feet(design, dynamic_ratio=ratio))) for ratio in (1.0, 1.5)}
    sags = {ratio: next(t for t in each if t.key == "standing").rows[0][-1] for ratio, each in tables.items()}
    assert sags[1.0] == pytest.approx(6.5 * 9.80665 / 6e3, rel=1e-6)
    assert sags[1.5] == pytest.approx(1.5 * sags[1.0])


def test_a_foot_that_leaves_the_bench_makes_the_velocity_unreal() -> None:
    """As built at its resonance; held down it is real again, and no row says that a foot lifts."""
    evaluation = Evaluation(shipped("as-built"))
    row = vibration.rows(evaluation)[1]
    assert "not real: a foot leaves the bench" in row.what
    table = next(each for each in mount_tables.tables(evaluation) if each.key == "vibration")
    real = [each[-1] for each in table.rows]
    assert "yes" in real
    assert any("a foot leaves the bench" in each for each in real)
    assert any("more power than the gas has" in each for each in real)
    held = judged(with_feet(shipped("as-built"), held_down=True))
    assert "bench" not in held["vibration"].what
    assert held["uplift"].state == "not checked"
    assert not held["uplift"].asked


def test_a_velocity_within_its_limit_is_no_pass_where_a_foot_lifts() -> None:
    design = shipped("redesign")
    shaky = replace(with_feet(design, stiffness=65e3), counterweights=replace(design.counterweights, fitted=False),
                    limits=replace(design.limits, vibration=1e3))  # fmt: skip
    rows = judged(shaky)
    assert rows["uplift"].state == "FAIL"
    assert "a foot leaves the bench from" in rows["uplift"].change
    assert rows["vibration"].state == "not checked"


def test_many_options_of_unknown_size_are_judged_as_each_alone() -> None:
    masses = np.array([2.0, 5.5, 11.0])
    base = without_size(one_wheel(shipped("rhombic")))
    together = judged(replace(base, mount=replace(base.mount, mass=masses)))
    for place, mass in enumerate(masses):
        alone = judged(replace(base, mount=replace(base.mount, mass=float(mass))))
        for key in ("vibration", "uplift"):
            assert together[key].value[place] == pytest.approx(float(alone[key].value), rel=1e-9)
            assert bool(together[key].passed[place]) == bool(alone[key].passed)


def test_the_box_that_is_taken_holds_every_part() -> None:
    design = without_size(shipped("redesign"))
    evaluation = Evaluation(design)
    found = taken_mount(replace(design.mount, cg=(0.0, 0.0, 0.0)), evaluation.around)
    assert missing(found) == ()
    ends = [(middle - side / 2, middle + side / 2) for middle, side in zip(found.cg, found.size, strict=True)]
    assert ends[0][1] >= 0.026 + 0.025  # half the centre distance and a counterweight's reach
    assert ends[1][0] <= -0.036  # the floor
    for name, length in (("piston", 0.026), ("displacer", 0.030)):
        assert ends[1][1] >= float(np.max(evaluation.motion.yokes[name].height)) + length
    assert ends[2][0] <= -0.051
    assert ends[2][1] >= 0.042
    assert {place[1] for place in found.feet.places} == {ends[1][0]}


def test_speeds_to_avoid_are_where_an_order_shakes_a_resonance() -> None:
    """As built: order 1 of the shaking force at the springs' 21.8 Hz, within its half-power band and no other."""
    design = with_feet(shipped("as-built"), held_down=True)
    table = next(each for each in mount_tables.tables(Evaluation(design)) if each.key == "avoid")
    own = np.sqrt(60e3 / 3.2)
    assert any(least <= own <= most and "order 1 meets along the cylinder" in met for least, most, met, _ in table.rows)
    assert table.rows == sorted(table.rows)
    assert all(one[1] < other[0] for one, other in zip(table.rows, table.rows[1:], strict=False))


RUBBER = """
mount:
  mass: 5.5 kg
  size: [130 mm, 130 mm, 100 mm]
  feet:
    rubber: {diameter: 20 mm, height: 20 mm, hardness: 40}
    places: [[60 mm, -60 mm, 55 mm], [-60 mm, -60 mm, 55 mm], [60 mm, -60 mm, -37 mm], [-60 mm, -60 mm, -37 mm]]
"""


def rubber(tmp_path: Path, old: str = "", new: str = "") -> Design:
    text = (SHIPPED / "rhombic.yaml").read_text()
    start, end = text.index("mount:"), text.index("walls:")
    file = tmp_path / "rubber.yaml"
    file.write_text(text[:start] + RUBBER.lstrip().replace(old, new) + text[end:])
    return read(file)


def test_feet_of_rubber_are_read_and_told(tmp_path: Path) -> None:
    design = rubber(tmp_path)
    feet = design.mount.feet
    area = np.pi / 4 * 0.02**2
    assert feet.stiffnesses[1] == pytest.approx(4 * 1.15 * 1.5e6 * (1 + 2 * 0.85 * 0.25**2) * area / 0.02)
    tables = {each.key: each for each in mount_tables.tables(Evaluation(design))}
    assert "Lindley" in tables["standing"].note
    assert judged(design)["stands"].state == "pass"


@pytest.mark.parametrize(
    ("old", "new", "words"),
    [
        ("hardness: 40", "hardness: 90", "hardness"),
        ("height: 20 mm", "height: 60 mm", "height"),
        ("    rubber:", "    stiffness: 6 N/mm\n    rubber:", "both stiffness and rubber"),
        ("hardness: 40}", "hardness: 40, number: 3}", "number"),
        ("    rubber: {diameter: 20 mm, height: 20 mm, hardness: 40}\n", "", "neither stiffness nor rubber"),
        ("hardness: 40}", "hardness: 40}\n    across: 3 N/mm", "across"),
    ],
)
def test_feet_that_cannot_be_are_refused(tmp_path: Path, old: str, new: str, words: str) -> None:
    assert old in RUBBER
    with pytest.raises(BadFile, match=words):
        rubber(tmp_path, old, new)


def test_loss_factor_and_dashpot_stand_beside_each_other() -> None:
    """Today's files keep a ratio of 0.05; with a loss factor alone there is no dashpot; rubber has a loss factor."""
    assert Feet(stiffness=1e4).viscous == 0.05
    assert Feet(stiffness=1e4).loss == 0
    assert Feet(stiffness=1e4, loss_factor=0.2).viscous == 0
    both = Feet(stiffness=1e4, loss_factor=0.2, damping_ratio=0.03)
    assert (both.viscous, both.loss) == (0.03, 0.2)
    assert Feet(rubber=Rubber(diameter=0.02, height=0.02, hardness=50.0, number=4)).loss == 0.1
