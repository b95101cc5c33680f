"""What shifts two yokes against each other is the upper one's shift less the lower one's, item by item."""

import numpy as np
import pytest
from limits.gaps import pair
from random_engines import random_engine

from shafts.gap import LINEAR, YokePair
from shafts.pressed import bearing_play, pressed_shift, rod_play
from shafts.timing import timing_of
from shafts.tolerances import deviations
from shafts.warming import growth, warm_shift
from shafts.yoke_give import yoke_bow

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
    for name, of in LINEAR.items():
        same(items[name], against(found, lambda yoke, of=of: of(found.carried, yoke).at(SPEED)))
    tilted = [np.ptp(items[name], axis=-2).max() for name in LINEAR]
    assert max(tilted) > 1e-9


@pytest.mark.parametrize("case", ["expected", "worst"])
@pytest.mark.parametrize("seed", SEEDS)
def test_plays_and_bows(seed, case):
    found = pair(random_engine(seed))
    items, carried = found.items(SPEED, case), found.carried
    pressed = against(found, lambda yoke: pressed_shift(bearing_play(carried, yoke), SPEED, case))
    same(items["bearing clearance"], pressed)
    total = 0.0
    for sign, yoke in ((1, found.upper), (-1, found.lower)):
        for each in rod_play(carried, yoke):
            shift = each.at(SPEED)
            total = total + sign * at_places(found, shift.rise, shift.tilt)
    same(items["rod pin play"], np.broadcast_to(total, found.nominal.shape))
    bows = [yoke_bow(carried, yoke, found.x).at(SPEED) for yoke in (found.upper, found.lower)]
    same(items["yoke arm bending"], bows[0] - bows[1])


@pytest.mark.parametrize("seed", SEEDS)
def test_timing_heat_and_tolerances(seed):
    found = pair(random_engine(seed))
    carried, items = found.carried, found.items(SPEED)
    same(items["timing and backlash"], against(found, lambda yoke: timing_of(carried, yoke).at(SPEED)))
    names = set(deviations(carried, found.upper)) | set(deviations(carried, found.lower))
    assert set(found.deviations) == names
    for name in names:
        shifts = [deviations(carried, yoke).get(name) for yoke in (found.upper, found.lower)]
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
