"""What shifts two yokes against each other is the upper one's shift less the lower one's, item by item."""

from dataclasses import replace

import numpy as np
import pytest
from limits.gaps import carried, lead_angle, pair
from random_engines import random_engine

from balance.machine.machine import NoGas
from shafts.gap.facing import alone
from shafts.gap.items import ELASTIC, elastic, lines
from shafts.gap.items.making_tolerances import deviations
from shafts.gap.items.thermal_expansion import strain, warm_shift
from shafts.gap.items.timing_and_backlash import lead_shift
from shafts.gap.pair import YokePair, yoke_pairs
from shafts.gap.shift import rise_per_displacement, shift_of_sides, tilt_per_rise

SEEDS = range(10)
SPEED = 85.0


def at_places(found: YokePair, rise, tilt) -> np.ndarray:
    """Return rise + x tilt at every place and angle, written out."""
    return np.array([np.broadcast_to(rise + x * tilt, found.facing.nominal.shape[-1:]) for x in found.facing.x])


def against(found: YokePair, shift_of) -> np.ndarray:
    upper, lower = (shift_of(name) for name in (found.upper, found.lower))
    return at_places(found, upper.rise, upper.tilt) - at_places(found, lower.rise, lower.tilt)


def same(found: np.ndarray, expected: np.ndarray) -> None:
    usable = np.isfinite(found)
    np.testing.assert_allclose(found[usable], expected[usable], rtol=0, atol=1e-12 * np.abs(expected).max() + 1e-18)


FACES = ("thermal expansion",)
"""Lines that a yoke by itself does not have all of: its face grows, too."""
ONE_WAY = ("bearing clearance", "making tolerances", "timing and backlash")
"""Lines of the worst case in which what both yokes share stands on one side, not on two."""


@pytest.mark.parametrize("seed", SEEDS)
def test_every_line_is_the_upper_yokes_less_the_lower_ones(seed):
    found = pair(random_engine(seed))
    items, shape = found.items(SPEED), found.facing.nominal.shape
    by_yoke = [lines(found.loaded, alone(name, found.facing.x), "expected") for name in (found.upper, found.lower)]
    assert set(items) == set(by_yoke[0])
    for name in set(items) - set(FACES):
        upper, lower = (np.broadcast_to(each[name].clearances(SPEED), shape) for each in by_yoke)
        same(items[name], upper - lower)
    tilted = [np.ptp(items[each.NAME], axis=-2).max() for each in ELASTIC]
    assert max(tilted) > 1e-9


@pytest.mark.parametrize("seed", SEEDS)
def test_at_worst_what_both_yokes_share_takes_no_more_than_of_each(seed):
    """Rods have play of their own; a bearing, a throw or a tooth that both hang on stands on one side only."""
    found = pair(random_engine(seed))
    items, shape = found.items(SPEED, "worst"), found.facing.nominal.shape
    by_yoke = [lines(found.loaded, alone(name, found.facing.x), "worst") for name in (found.upper, found.lower)]
    for name in ("rod pin play", *ONE_WAY):
        together = sum(np.broadcast_to(each[name].clearances(SPEED), shape) for each in by_yoke)
        usable = np.isfinite(items[name])
        if name == "rod pin play":
            same(items[name], together)
        assert np.all(items[name][usable] >= together[usable] - 1e-15)


@pytest.mark.parametrize("seed", SEEDS)
def test_elastic_lines_add_up_to_the_whole_elastic_product(seed):
    """Whatever stands on two bearings or more: the gap takes all in one, the budget kind by kind."""
    for bearings in (2, 3, 4):
        found = pair(random_engine(seed, bearings))
        whole = elastic.by_crankpins(found.loaded, found.facing)
        parts = [item.line(found.loaded, found.facing, "expected") for item in ELASTIC]
        for speed in (0.0, SPEED, 150.0):
            total, each = whole.clearances(speed), [part.clearances(speed) for part in parts]
            largest = max(np.abs(one).max() for one in each)
            np.testing.assert_allclose(sum(each), total, rtol=0, atol=1e-12 * largest)
            assert largest > 1e-9


@pytest.mark.parametrize("seed", SEEDS)
def test_the_elastic_product_is_what_displaced_crankpins_do(seed):
    """Each crankpin as it is displaced at a speed, with what the teeth push apart, lifts its side of its yoke."""
    found = pair(random_engine(seed))
    loaded, theta = found.loaded, found.loaded.motion.theta

    def shift_of(name):
        yoke, moved = loaded.engine.yokes[name], loaded.motion.yokes[name]
        by_x, by_y = rise_per_displacement(moved, theta)
        pins = [crank.pin(name).at(SPEED) for crank in loaded.cranks]
        return shift_of_sides(*(x * by_x + y * by_y for x, y in pins), tilt_per_rise(yoke, moved))

    whole = elastic.by_crankpins(loaded, found.facing)
    same(whole.clearances(SPEED), against(found, shift_of))


@pytest.mark.parametrize("seed", SEEDS)
def test_timing_and_tolerances(seed):
    found = pair(random_engine(seed))
    items, holder = found.items(SPEED), found.loaded
    ahead = lead_angle(holder, SPEED, "expected")
    same(items["timing and backlash"], against(found, lambda yoke: lead_shift(holder, yoke, ahead)))
    names = set(deviations(holder, found.upper)) | set(deviations(holder, found.lower))
    assert set(found.deviations) == names
    for name in names:
        shifts = [deviations(holder, yoke).get(name) for yoke in (found.upper, found.lower)]
        parts = [0.0 if each is None else at_places(found, each[1].rise, each[1].tilt) for each in shifts]
        same(found.deviations[name][1].at(found.facing.x), parts[0] - parts[1])


@pytest.mark.parametrize("seed", SEEDS)
def test_warm_faces(seed):
    """The lower face of the upper yoke and the upper face of the lower one move away from their pivots as they grow."""
    from balance.outlines import edge_heights

    found = pair(random_engine(seed))
    engine = found.loaded.engine
    expected = against(found, lambda yoke: warm_shift(found.loaded, yoke))
    for sign, name, face in ((1, found.upper, 0), (-1, found.lower, 1)):
        yoke = engine.yokes[name]
        grown = strain(yoke.material, yoke.temperature, engine.fits.set_up_at)
        assert grown == yoke.material.expansion * (yoke.temperature - 293.15)
        height = edge_heights(yoke.outline, found.facing.x)[face]
        expected = expected + sign * grown * np.where(np.isfinite(height), height, 0.0)[:, None]
    same(found.items(SPEED)["thermal expansion"], expected)


def test_what_is_not_stated_does_not_grow():
    steel = pair(random_engine(0)).loaded.engine.yokes["power"].material
    assert strain(None, 400.0, 293.15) == 0.0
    assert strain(steel, None, 293.15) == 0.0


# Several speeds, and which yoke is the upper one


@pytest.mark.parametrize("seed", SEEDS[:4])
def test_several_speeds_at_once_are_each_what_they_are_alone(seed):
    (found,) = yoke_pairs(carried(random_engine(seed)))
    speeds = np.array([0.5, 40.0, 110.0])
    for case in ("expected", "worst"):
        every = found.gap(speeds, case)
        for place, speed in enumerate(speeds):
            np.testing.assert_allclose(every[place], found.gap(speed, case), rtol=0, atol=1e-15)


def test_yokes_at_one_height_are_one_pair():
    """Two yokes alike on one throw: neither is higher, and the first counts as the upper one."""
    engine = random_engine(1)
    one, other = engine.yokes
    alike = {one: engine.yokes[one], other: replace(engine.yokes[one], carries=None)}
    engine = replace(engine, yokes=alike, gas=NoGas())
    (found,) = yoke_pairs(carried(engine))
    assert (found.upper, found.lower) == (one, other)


def test_whichever_yoke_is_higher_is_the_upper_one():
    engine = random_engine(1)
    names = list(engine.yokes)
    (found,) = yoke_pairs(carried(engine))
    turned_round = replace(engine, yokes={name: engine.yokes[name] for name in reversed(names)})
    (again,) = yoke_pairs(carried(turned_round))
    assert (found.upper, found.lower) == (again.upper, again.lower)
    heights = [np.mean(found.loaded.motion.yokes[name].height) for name in (found.upper, found.lower)]
    assert heights[0] > heights[1]
