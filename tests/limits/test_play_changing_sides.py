"""Where play changes sides between two angles: against the same gap looked at far more finely."""

from dataclasses import replace

import numpy as np
import pytest
from limits.gaps import carried
from random_engines import random_engine

from balance.cycle.load import Load
from shafts.gap.curve import Leads, RodRows
from shafts.gap.pair import budget, yoke_pairs
from shafts.gap.play_reversal import _cubic_weights, with_reversals

SEEDS = [seed for seed in range(40) if all(yoke.rod is not None for yoke in random_engine(seed).yokes.values())]
FINE = 128


def loose(seed):
    """Return a random engine whose rods rattle: 40 um in each pin."""
    engine = random_engine(seed)
    yokes = {name: replace(yoke, rod=replace(yoke.rod, play=40e-6)) for name, yoke in engine.yokes.items()}
    return replace(engine, yokes=yokes)


def pairs(seed, count, finely):
    return yoke_pairs(carried(loose(seed), count), finely=finely)


def test_the_least_gap_is_that_of_a_far_finer_look():
    """To a micrometre; the plain look at every degree misses ten somewhere."""
    missed = []
    for seed in SEEDS:
        looks = [pairs(seed, 360, False), pairs(seed, 360, True), pairs(seed, 360 * FINE, False)]
        for plain, close, fine in zip(*looks, strict=True):
            for speed in (60.0, 130.0):
                truly = float(np.min(fine.gap(speed)))
                # The finer look stands up to a step of its own beside a leap, and there the gap changes by as much.
                step = float(np.max(np.abs(np.diff(np.min(fine.facing.nominal, axis=-2)))))
                found = float(close.least(speed)[0])
                assert truly - step - 1e-7 < found < truly + 1e-6
                missed.append(float(plain.least(speed)[0]) - found)
    assert max(missed) > 1e-5


@pytest.mark.parametrize("seed", SEEDS[:4])
def test_items_add_up_to_the_gap_with_reversals_too(seed):
    for found in pairs(seed, 360, True):
        for speed in (60.0, 130.0):
            for case in ("expected", "worst"):
                total = found.facing.nominal + sum(found.items(speed, case).values())
                np.testing.assert_allclose(found.clearances(speed, case), total, rtol=0, atol=1e-15)
            nominal, items = budget(found, speed)
            assert nominal + sum(items.values()) == pytest.approx(float(found.least(speed)[0]), abs=2e-6)


def test_several_speeds_at_once_reverse_as_each_does_alone():
    for found in pairs(SEEDS[0], 360, True):
        speeds = np.array([0.5, 60.0, 130.0])
        for rooms, speed in zip(found.clearances(speeds), speeds, strict=True):
            np.testing.assert_allclose(rooms, found.clearances(speed), rtol=0, atol=1e-15)


def leapt(gap, turn, pressed_first, more=20.0):
    """Return a gap, um, at 36 steps with so much more of it where a rod is pressed, and the same with reversals."""
    (found,) = pairs(SEEDS[0], 360, False)[:1]
    thrust = (turn - np.arange(36.0))[None] * (1 if pressed_first else -1)
    still, slack = np.zeros((1, 36)), np.full((1, 1, 36), -more / 2 * 1e-6)
    curve = replace(found.curve(), tooth=Load(steady=still), leads=Leads(still, still, still),
                    rods=RodRows(Load(steady=thrust), slack))  # fmt: skip
    rooms = (gap * 1e-6)[None] + np.where(thrust > 0, more * 1e-6, 0.0)
    return rooms[0] * 1e6, with_reversals(curve, 0.0, rooms)[0] * 1e6


@pytest.mark.parametrize(("turn", "stands"), [(10.25, 10), (10.75, 11)])
@pytest.mark.parametrize("pressed_first", [False, True])
def test_a_leap_by_hand(turn, stands, pressed_first):
    """Falling by 2 um a step, the gap leaps up at `turn`, or rising by as much it leaps down: least just beside that.

    Just before it, 100 - 2 turn; just after it, 100 + 2 (turn - 9).
    """
    steps = np.arange(36.0)
    falling = 100 - 2 * np.minimum(steps, 20) + 200 * np.maximum(steps - 20, 0)
    rising = 100 + 200 * np.maximum(9 - steps, 0) + 2 * np.maximum(steps - 9, 0)
    plain, lowered = leapt(rising if pressed_first else falling, turn, pressed_first)
    assert lowered[stands] == pytest.approx(100 + 2 * (turn - 9) if pressed_first else 100 - 2 * turn, abs=1e-6)
    np.testing.assert_array_equal(np.delete(lowered, stands), np.delete(plain, stands))


def test_a_leap_is_looked_at_if_its_whole_play_could_make_it_the_least():
    """By hand: 100 um at step 10, 82 just before the leap of 30 at 10.9, 110 at step 11; and 84 far from there."""
    gap = np.full(36, 200.0)
    gap[8:14] = 140.0 - 20.0 * np.arange(6)
    gap[13], gap[30] = 60.0, 54.0
    plain, lowered = leapt(gap, 10.9, False, 30.0)
    assert plain.min() == pytest.approx(84.0)
    assert lowered[11] == pytest.approx(82.0, abs=1e-6)


@pytest.mark.parametrize("share", [0.0, 0.3, 1.0])
def test_the_cubic_between_two_angles_is_exact_for_cubics(share):
    at = np.arange(-1.0, 3.0)
    curve = np.polynomial.Polynomial([1.0, -2.0, 0.5, 3.0])
    assert curve(at) @ _cubic_weights(share) == pytest.approx(curve(share), rel=1e-12)
