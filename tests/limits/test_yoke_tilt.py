"""How a yoke leans along the shafts, by hand: one yoke, a face from 10 mm before its rods' plane to 15 mm behind it."""

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from limits.gaps import carried, pair, rise
from limits.test_gap_items import simple

from balance.gas import gas_state
from balance.machine.joint import Guide
from balance.machine.materials import MATERIALS
from balance.machine.yoke import Displacer, Outline, Part
from designs.reading import read
from shafts.gap.bounds.largest_shift import largest_shift
from shafts.gap.items import yoke_tilt_along_shafts as leaning
from shafts.shaft import Fits

STEEL = MATERIALS["steel"]
OUTLINE = Outline(rectangle=(0.06, 0.008), z=(-0.040, -0.015))
PLAY, GUIDED = 30e-6, 0.030


def engine(at=None, play=PLAY, length=GUIDED, gravity=-9.81, **more):
    found = simple(gravity=gravity, fits=Fits(guide_play=play))
    parts = {"all": Part(mass=0.4, at=at)}
    guide = length and Guide(length=length)
    yoke = replace(found.yokes["only"], parts=parts, outline=OUTLINE, guide=guide, **more)
    return replace(found, yokes={"only": yoke})


@pytest.mark.parametrize(("beside", "gravity", "lifted"), [(0.005, -9.81, -15e-6), (0.005, 9.81, -10e-6),
                                                           (-0.005, -9.81, -10e-6)])  # fmt: skip
def test_the_weight_leans_a_yoke_in_its_guide(beside, gravity, lifted):
    """A mass behind the plane lowers what lies behind it: 1 mrad on 15 mm; upward it lowers what lies 10 mm before."""
    found = carried(engine(-0.030 + beside, gravity=gravity), 24)
    np.testing.assert_allclose(rise(found, leaning, "only"), lifted, rtol=1e-12)
    np.testing.assert_allclose(rise(found, leaning, "only", case="worst"), -15e-6, rtol=1e-12)


def test_of_an_unknown_couple_the_side_that_closes_the_gap_counts():
    np.testing.assert_allclose(rise(carried(engine(), 24), leaning, "only"), -15e-6, rtol=1e-12)


def test_inertia_turns_the_lean_over():
    """At speed the mass pulls up where it is slowed at the top: a w^2 beyond g leans it the other way."""
    found, speed = carried(engine(-0.025), 360), 90.0
    up = found.motion.yokes["only"].acceleration * speed**2 + 9.81
    assert np.any(up > 0) and np.any(up < 0)
    np.testing.assert_allclose(rise(found, leaning, "only", speed), np.where(up > 0, -15e-6, -10e-6), rtol=1e-12)


def test_a_stem_bends_under_the_couple():
    """0.4 g 5 mm over 60 mm of a stem of 4 mm: C l/(E I), times 15 mm; the couple does not reverse at rest."""
    carries = Displacer(bore=0.04, stem_diameter=0.004, stem_length=0.06, stem_material=STEEL)
    found = carried(engine(-0.025, play=0.0, carries=carries), 24)
    tilt = 0.4 * 9.81 * 0.005 * 0.06 / (207e9 * np.pi / 64 * 0.004**4)
    speed = float(found.engine.speed.most)
    up = found.motion.yokes["only"].acceleration * speed**2 + 9.81
    expected = np.where(up > 0, -tilt * 0.015, tilt * 0.010)  # the end that closes the gap at the fastest speed
    np.testing.assert_allclose(rise(found, leaning, "only"), expected, rtol=1e-12)


def test_the_gas_leans_a_yoke_whose_cylinder_stands_beside_its_rods():
    """What the gas pushes follows from the yoke's forces as it does from pressure and area; 10 mm beside the rods."""
    design = read(Path(__file__).parents[2] / "designs" / "rhombic.yaml")
    cylinder = replace(design.cylinder, z=design.cranks.throws["common"].at + 0.010)
    found = carried(replace(design, cylinder=cylinder), 72)
    push = gas_state(design, found.motion).push
    for name in design.yokes:
        expected = push[name].at(100.0) * 0.010
        np.testing.assert_allclose(leaning.couple(found, name).at(100.0), expected, atol=1e-9 * np.abs(expected).max())


def test_without_play_or_a_guided_length_it_stands_upright():
    for each in (engine(-0.025, play=0.0), engine(-0.025, length=None)):
        np.testing.assert_array_equal(rise(carried(each, 24), leaning, "only"), np.zeros(24))


def two(at, below=None):
    """Return an engine of two yokes, the mass of one or both beside its rods."""
    found = engine()
    upper = found.yokes["only"]
    lower = replace(upper, slot=replace(upper.slot, offset=-0.010), parts={"all": Part(mass=0.3, at=below)})
    higher = replace(upper, parts={"all": Part(mass=0.4, at=at)})
    return replace(found, yokes={"upper": higher, "lower": lower})


def test_a_lower_yoke_closes_the_gap_where_it_rises():
    """Its mass behind lowers what lies behind it and lifts what lies 10 mm before; the upper one takes 15 um."""
    flat, lower = pair(replace(two(None), fits=Fits()), 72), pair(two(None, -0.025), 72)
    np.testing.assert_allclose(flat.gap(5.0) - lower.gap(5.0), 25e-6, rtol=1e-9)


def test_a_gap_closes_by_both_yokes_and_no_more_than_its_bound():
    known, unknown = (pair(two(at), 72) for at in (-0.025, None))
    flat = pair(replace(two(-0.025), fits=Fits()), 72)
    for speed in (5.0, 60.0, 100.0):
        before, worst = flat.gap(speed), unknown.gap(speed)
        np.testing.assert_allclose(before - worst, 30e-6, rtol=1e-9)  # 15 each: nobody knows which way
        assert np.all(before - known.gap(speed) >= 25e-6 - 1e-12)
    bound = largest_shift(known.loaded, known.facing, 100.0) - largest_shift(flat.loaded, flat.facing, 100.0)
    np.testing.assert_allclose(bound, 30e-6, rtol=1e-9)
