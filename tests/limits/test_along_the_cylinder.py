"""Along the cylinder: heights and volumes by hand, and against the gas model."""

from dataclasses import replace

import numpy as np
import pytest

from balance.cylinder import along_cylinder, cap
from balance.gas import circle, swept_volumes
from balance.machine.cylinder import Cylinder
from balance.motion import crank_angles, move
from designs.command.inputs import SHIPPED
from designs.evaluate import Evaluation
from designs.reading import read
from designs.tables import cylinder as table
from designs.verdict import cylinder

NAMES = ("redesign", "rhombic")


def found(name):
    design = read(SHIPPED / f"{name}.yaml")
    motion = move(design, crank_angles(3600))
    return design, motion, along_cylinder(design, motion)


@pytest.mark.parametrize("name", NAMES)
def test_distances_by_hand(name):
    """Crown, stem and lengths added to the heights of the pivot lines."""
    design, motion, along = found(name)
    piston, displacer = (design.yokes[each].carries for each in ("piston", "displacer"))
    height, lower = motion.yokes["displacer"].height, motion.yokes["piston"].height
    between = height + displacer.stem_length - lower - piston.crown
    np.testing.assert_allclose(along.between({}), between, atol=1e-15)
    end = design.cylinder.starts_at + design.cylinder.length
    rim = end - height - displacer.stem_length - displacer.length
    np.testing.assert_allclose(along.to_hot_end({}), rim + min(0.0, design.cylinder.dome - displacer.dome), atol=1e-15)
    held = lower + piston.crown - np.maximum(lower + piston.crown - piston.length, design.cylinder.starts_at)
    np.testing.assert_allclose(along.held({}), held, atol=1e-15)
    np.testing.assert_allclose(along.between({"displacer": 1e-4, "piston": 3e-4}), between - 2e-4, atol=1e-15)


def test_the_middle_of_a_dome_may_be_the_nearest_to_the_hot_end():
    """A dome of 8 mm under a hot end 5 mm deeper in the middle: 3 mm less than the rim has."""
    design, motion, along = found("redesign")
    carried = replace(design.yokes["displacer"].carries, dome=0.008)
    yokes = {**design.yokes, "displacer": replace(design.yokes["displacer"], carries=carried)}
    domed = along_cylinder(replace(design, yokes=yokes), motion)
    np.testing.assert_allclose(domed.to_hot_end({}), along.to_hot_end({}) - 0.003, atol=1e-12)


@pytest.mark.parametrize("name", NAMES)
def test_a_cylinder_of_the_needed_length_leaves_just_the_clearance(name):
    design, motion, along = found(name)
    fitted = replace(design, cylinder=replace(design.cylinder, length=along.needed_length(2e-4)))
    assert np.min(along_cylinder(fitted, motion).to_hot_end({})) == pytest.approx(2e-4, abs=1e-12)


@pytest.mark.parametrize("name", NAMES)
def test_with_the_least_dead_volumes_the_gas_spaces_are_those_of_the_heights(name):
    """Dead volumes at their least: the gas model's spaces are then what lies between the flat ends at every angle."""
    design, motion, along = found(name)
    flat = replace(design, cylinder=replace(design.cylinder, dome=0.0))
    carried = replace(design.yokes["displacer"].carries, dome=0.0)
    flat = replace(flat, yokes={**flat.yokes, "displacer": replace(flat.yokes["displacer"], carries=carried)})
    along = along_cylinder(flat, motion)
    least = along.least_volumes()
    gas = replace(flat.gas, dead=replace(flat.gas.dead, **least))
    volumes = swept_volumes(replace(flat, gas=gas), motion)
    bore, stem = circle(carried.bore), circle(carried.stem_diameter)
    np.testing.assert_allclose(volumes.hot, bore * along.to_hot_end({}), atol=1e-11)
    np.testing.assert_allclose(volumes.cold, (bore - stem) * along.between({}), atol=1e-11)
    ring = np.pi / 4 * (carried.bore**2 - carried.diameter**2) * carried.length
    assert least["regenerator"] == pytest.approx(ring, rel=1e-12)


def test_domes_add_and_take_their_caps():
    """A half sphere is 2/3 pi r^3; a deeper hot end adds its cap, a domed displacer takes its own away."""
    assert cap(0.02, 0.02) == pytest.approx(2 / 3 * np.pi * 0.02**3, rel=1e-12)
    design, motion, _ = found("redesign")
    domed, plain = (
        along_cylinder(replace(design, cylinder=replace(design.cylinder, length=0.13, dome=dome)), motion)
        for dome in (0.005, 0.0)
    )
    deeper = domed.least_volumes()["hot"] - plain.least_volumes()["hot"]
    assert deeper == pytest.approx(cap(0.021, 0.005), rel=1e-9)
    flat = circle(0.042) * (0.082 + 0.13 - np.max(motion.yokes["displacer"].height) - 0.122)
    assert plain.least_volumes()["hot"] == pytest.approx(flat - cap(0.0206, 0.005), rel=1e-9)


def test_the_table_has_the_heights_and_what_is_needed():
    (shown,) = table.tables(Evaluation(read(SHIPPED / "redesign.yaml")))
    rows = {row[0]: row for row in shown.rows}
    lowest, highest = rows["displacer, lower end"][1], rows["displacer, lower end"][3]
    assert (lowest, highest) == pytest.approx((0.0524333 + 0.062, 0.0766734 + 0.062), abs=1e-6)
    assert rows["cylinder, hot end at the rim"][1] == pytest.approx(0.2)
    assert "116.8 mm long at least" in shown.note
    machine = read(SHIPPED / "redesign.yaml")
    bare = {name: replace(yoke, carries=None) for name, yoke in machine.yokes.items()}
    from balance.machine.machine import NoGas

    assert table.tables(Evaluation(replace(machine, yokes=bare, gas=NoGas()))) == []


@pytest.mark.parametrize("key", ["displacer_to_hot_end", "displacer_to_piston"])
def test_a_displacer_that_leans_in_a_looser_guide_comes_nearer_by_its_edge(key):
    """By hand: the axis is 9 mm from its rods' plane, its edge 20.6 mm to either side: levers of 29.6 and 11.6 mm.

    Its bush guides 24 mm of its stem; 0.03 mm more of play. The piston, 26 mm long and of a diameter of 41.97 mm, hangs
    in a plane 9 mm to the other side: levers of 11.985 and 29.985 mm.
    """
    design = read(SHIPPED / "redesign.yaml")
    loose = replace(design, fits=replace(design.fits, guide_play=0.06e-3))
    before, after = (
        next(float(row.value) for row in cylinder.rows(Evaluation(each)) if row.key == key) for each in (design, loose)
    )
    own = [0.03 / 24 * lever for lever in (29.6e-3, 11.6e-3)]
    piston = [0.03 / 26 * lever for lever in (29.985e-3, 11.985e-3)]
    falls = own if key == "displacer_to_hot_end" else [one + other for one in own for other in piston]
    assert min(abs(before - after - fall) for fall in falls) < 2e-6


def test_a_cylinder_reaches_out_by_its_wall_or_by_the_usual_one():
    """6 percent of the bore where none is given, as its entry says."""
    assert Cylinder(bore=40e-3, starts_at=0.0, wall=3e-3).outside == pytest.approx(23e-3, rel=1e-12)
    assert Cylinder(bore=40e-3, starts_at=0.0).outside == pytest.approx(20e-3 + 2.4e-3, rel=1e-12)
