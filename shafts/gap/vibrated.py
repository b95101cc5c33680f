"""What vibration of the cranks adds to the gap: each crankpin's further displacement lifts its side of the yoke."""

from collections.abc import Callable

import numpy as np

from balance.quantities import Number
from balance.turning import HANDS
from shafts.gap.facing import Facing
from shafts.gap.pair import Quick
from shafts.gap.shift import at_places, rod_slope
from shafts.whirl.vibration import ShaftVibration


def vibrated(vibration: ShaftVibration) -> Quick:
    """Return what vibration adds to the gap of any two facing yokes, for a single design."""

    def of(facing: Facing) -> Callable[[Number], np.ndarray]:
        engine, motion = vibration.carried.engine, vibration.carried.motion
        lifts = []
        for name, sign in facing.yokes:
            yoke, moved = engine.yokes[name], motion.yokes[name]
            for hand, way in HANDS.items():
                lifts.append((hand, name, way * rod_slope(moved), sign * at_places(yoke, moved, facing.x, way)))

        def at(speed: Number) -> np.ndarray:
            added = vibration.at(speed)
            found = np.zeros(())
            for hand, name, slope, places in lifts:
                x, y = added[hand, name]
                found = found + (y + x * slope)[..., None, :] * places
            return found

        return at

    return of
