"""What vibration of the cranks does to the gap: each pin's further displacement, by the geometry of rods and yoke."""

from dataclasses import replace

import numpy as np
import pytest
from limits.one_throw import loaded
from random_engines import random_engine

from shafts.gap.pair import VIBRATION, yoke_pairs
from shafts.gap.vibrated import vibrated
from shafts.whirl.pair import pair, rotors
from shafts.whirl.vibration import ShaftVibration


@pytest.mark.parametrize("seed", range(4))
def test_it_moves_the_yokes_as_the_pins_move_them(seed: int):
    """The true height of both rods' ends with the pins shifted, rods as long as they are, and a line through both."""
    carried = loaded(random_engine(seed))
    vibration = ShaftVibration(carried, pair(carried, rotors(carried), 8, 0.02))
    pairs = yoke_pairs(carried, vibrated(vibration))
    if not pairs:
        pytest.skip("no yokes that face each other")
    (found,) = pairs
    speed, engine = float(carried.engine.speed.most), carried.engine
    added = vibration.at(speed)
    expected = 0.0
    for name, sign in ((found.upper, 1.0), (found.lower, -1.0)):
        yoke, moved = engine.yokes[name], carried.motion.yokes[name]
        side, ends, share = 1.0 if yoke.side == "above" else -1.0, [], 1e-3  # to first order, whatever resonates
        for hand, way in (("right", 1.0), ("left", -1.0)):
            x, y = (share * each for each in added[hand, name])
            if yoke.rod is None:
                ends.append(moved.height + y)
                continue
            lean = moved.pin.x - yoke.half_span + way * x
            ends.append(moved.pin.along + y + side * np.sqrt(yoke.rod.length**2 - lean**2))
        rise = (np.array(ends) - moved.height) / share
        span = moved.pin.x if yoke.rod is None else yoke.half_span + 0 * moved.pin.x
        at = np.asarray(found.facing.x)[:, None]
        tilt = np.where(span > 0, (rise[0] - rise[1]) / np.where(span > 0, 2 * span, 1.0), 0.0)
        expected = expected + sign * ((rise[0] + rise[1]) / 2 + at * tilt)
    size = np.max(np.abs(expected))
    np.testing.assert_allclose(found.items(speed)[VIBRATION], expected, rtol=0, atol=1e-2 * size)
    total = found.facing.nominal + sum(found.items(speed).values())
    np.testing.assert_allclose(found.clearances(speed), total, rtol=0, atol=1e-12)


def test_several_speeds_at_once_are_each_what_they_are_alone():
    carried = loaded(replace(random_engine(0)))
    vibration = ShaftVibration(carried, pair(carried, rotors(carried), 8, 0.02))
    (found,) = yoke_pairs(carried, vibrated(vibration))
    speeds = np.array([0.5, 0.8, 1.0]) * float(carried.engine.speed.most)
    every = found.gap(speeds)
    for place, speed in enumerate(speeds):
        np.testing.assert_allclose(every[place], found.gap(float(speed)), rtol=0, atol=1e-12)
