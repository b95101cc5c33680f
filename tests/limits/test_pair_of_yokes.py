"""What shifts two yokes against each other is the upper one's shift less the lower one's, item by item."""

from dataclasses import replace

import numpy as np
import pytest
from limits.gaps import carried, pair
from random_engines import random_engine
from shafts.gap.linear_items import linear_items
from shafts.gap.pressed import bearing_play, pressed_shift, rod_play
from shafts.gap.timing import timing_of
from shafts.gap.tolerances import deviations
from shafts.gap.warming import growth, warm_shift
from shafts.gap.yoke_give import yoke_bow
from shafts.superposition import Response
from shafts.whirl.vibrating import swinging, vibrating

from balance.cycle.load import Load, PlanarForce
from balance.machine.machine import NoGas
from shafts.gap.pair import YokePair, yoke_pairs
from shafts.gap.shift import lean_of, pin_shift, turn_of

SEEDS = range(10)
SPEED = 85.0


def at_places(found: YokePair, rise, tilt) -> np.ndarray:
    """Return rise + x tilt at every place and angle, written out."""
    return np.array([np.broadcast_to(rise + x * tilt, found.nominal.shape[-1:]) for x in found.x])


def against(found: YokePair, shift_of) -> np.ndarray:
    upper, lower = (shift_of(name) for name in (found.upper, found.lower))
    return at_places(found, upper.rise, upper.tilt) - at_places(found, lower.rise, lower.tilt)


def same(found: np.ndarray, expected: np.ndarray) -> None:
    usable = np.isfinite(found)
    np.testing.assert_allclose(found[usable], expected[usable], rtol=0, atol=1e-12 * np.abs(expected).max() + 1e-18)


@pytest.mark.parametrize("seed", SEEDS)
def test_items_in_proportion_to_loads(seed):
    found = pair(random_engine(seed))
    items = found.items(SPEED)
    shifts = {yoke: linear_items(found.carried, yoke) for yoke in (found.upper, found.lower)}
    for name in shifts[found.upper]:
        same(items[name], against(found, lambda yoke, name=name: shifts[yoke][name].at(SPEED)))
    tilted = [np.ptp(items[name], axis=-2).max() for name in shifts[found.upper]]
    assert max(tilted) > 1e-9


@pytest.mark.parametrize("case", ["expected", "worst"])
@pytest.mark.parametrize("seed", SEEDS)
def test_plays_and_bows(seed, case):
    found = pair(random_engine(seed))
    items, holder = found.items(SPEED, case), found.carried
    pressed = against(found, lambda yoke: pressed_shift(bearing_play(holder, yoke), SPEED, case))
    same(items["bearing clearance"], pressed)
    total = 0.0
    for sign, yoke in ((1, found.upper), (-1, found.lower)):
        for each in rod_play(holder, yoke):
            shift = each.at(SPEED)
            total = total + sign * at_places(found, shift.rise, shift.tilt)
    same(items["rod pin play"], np.broadcast_to(total, found.nominal.shape))
    bows = [yoke_bow(holder, yoke, found.x).at(SPEED) for yoke in (found.upper, found.lower)]
    same(items["yoke arm bending"], bows[0] - bows[1])


@pytest.mark.parametrize("seed", SEEDS)
def test_timing_heat_and_tolerances(seed):
    found = pair(random_engine(seed))
    items, holder = found.items(SPEED), found.carried
    same(items["timing and backlash"], against(found, lambda yoke: timing_of(holder, yoke).at(SPEED)))
    names = set(deviations(holder, found.upper)) | set(deviations(holder, found.lower))
    assert set(found.deviations) == names
    for name in names:
        shifts = [deviations(holder, yoke).get(name) for yoke in (found.upper, found.lower)]
        parts = [0.0 if each is None else at_places(found, each[1].rise, each[1].tilt) for each in shifts]
        same(found.deviations[name][1].at(found.x), parts[0] - parts[1])


@pytest.mark.parametrize("seed", SEEDS)
def test_warm_faces(seed):
    """The lower face of the upper yoke and the upper face of the lower one move away from their pivots as they grow."""
    from balance.outlines import edge_heights

    found = pair(random_engine(seed))
    engine = found.carried.engine
    expected = against(found, lambda yoke: warm_shift(found.carried, yoke))
    for sign, name, face in ((1, found.upper, 0), (-1, found.lower, 1)):
        yoke = engine.yokes[name]
        strain = growth(yoke.material, yoke.temperature, engine.fits.set_up_at)
        assert strain == yoke.material.expansion * (yoke.temperature - 293.15)
        height = edge_heights(yoke.outline, found.x)[face]
        expected = expected + sign * strain * np.where(np.isfinite(height), height, 0.0)[:, None]
    same(found.items(SPEED)["growth by heat"], expected)


def test_what_is_not_stated_does_not_grow():
    steel = pair(random_engine(0)).carried.engine.yokes["power"].material
    assert growth(None, 400.0, 293.15) == 0.0
    assert growth(steel, None, 293.15) == 0.0


# Vibration, several speeds, and which yoke is the upper one


@pytest.mark.parametrize("seed", SEEDS[:6])
def test_vibration_shifts_a_yoke_as_any_displacement_of_its_pins(seed):
    shafts_so = carried(random_engine(seed))
    (found,) = yoke_pairs(shafts_so, swinging(shafts_so))
    shaken = vibrating(swinging(shafts_so), np.array([SPEED]))

    def shift_of(name):
        yoke, moved = shafts_so.engine.yokes[name], shafts_so.motion.yokes[name]
        extra = [np.stack(shaken.extra(hand, name, shafts_so.motion.theta))[:, 0] for hand in ("right", "left")]
        pins = (Response(PlanarForce(Load(gas=x), Load(gas=y)), None, 0.0) for x, y in extra)
        return pin_shift(lean_of(moved), turn_of(yoke, moved), *pins).at(0.0)

    same(found.items(SPEED)["shaft vibration"], against(found, shift_of))
    for case in ("expected", "worst"):
        total = found.nominal + sum(found.items(SPEED, case).values())
        np.testing.assert_allclose(found.rooms(SPEED, case), total, rtol=0, atol=1e-15)
    assert np.abs(found.items(SPEED)["shaft vibration"]).max() > 1e-12


@pytest.mark.parametrize("vibrates", [False, True])
@pytest.mark.parametrize("seed", SEEDS[:4])
def test_several_speeds_at_once_are_each_what_they_are_alone(seed, vibrates):
    shafts_so = carried(random_engine(seed))
    (found,) = yoke_pairs(shafts_so, swinging(shafts_so) if vibrates else None)
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
    heights = [np.mean(found.carried.motion.yokes[name].height) for name in (found.upper, found.lower)]
    assert heights[0] > heights[1]
