"""Unlike sides: what the left crank and its rods are made otherwise than the right ones does to the gap.

A left rod longer by d lifts its side by d / ey, a larger throw radius or a phase moves its crankpin, a wider half-span
its pivot, as for making tolerances: to first order, the yoke free to tilt. Loads and all other clearances are worked
out with the right side's sizes on both sides.
"""

import numpy as np

from balance.cycle.load import Load
from balance.quantities import Scalar, over_angle
from shafts.gap.curve import GapCurve
from shafts.gap.facing import Facing
from shafts.gap.items.making_tolerances import rises
from shafts.gap.shift import Shift, shift_of_sides, tilt_per_rise
from shafts.loaded_shafts import Case, LoadedShafts

NAME = "unlike sides"


def line(loaded: LoadedShafts, facing: Facing, case: Case) -> GapCurve:
    """Return what differences of the left side from the right one add to the gap."""
    shifts = [
        each.at(facing.x) * sign for name, sign in facing.yokes if (each := unlike_shift(loaded, name)) is not None
    ]
    return GapCurve(Load(steady=np.zeros(facing.nominal.shape) + sum(shifts))) if shifts else GapCurve()


def unlike_shift(loaded: LoadedShafts, name: str) -> Shift | None:
    """Return how a yoke shifts by what its left side is otherwise, (options..., angles); None where it is alike."""
    yoke, moved = loaded.engine.yokes[name], loaded.motion.yokes[name]
    throw, per_unit = loaded.engine.cranks.throws[yoke.throw], rises(loaded, name)
    pairs = {
        "throw radius": (throw.radius, throw.left_radius),
        "throw phase": (throw.phase, throw.left_phase),
        "rod length": (None, None) if yoke.rod is None else (yoke.rod.length, yoke.rod.left_length),
        "half-span": (yoke.half_span, yoke.left_half_span),
    }
    given = {key: (right, left) for key, (right, left) in pairs.items() if left is not None and key in per_unit}
    if not given:
        return None
    rise: Scalar = np.zeros_like(moved.height)
    for key, (right, left) in given.items():
        rise = rise + over_angle(np.asarray(left) - np.asarray(right)) * per_unit[key]
    return shift_of_sides(0.0, rise, tilt_per_rise(yoke, moved))


def largest_unlike(loaded: LoadedShafts, name: str, x: np.ndarray) -> np.ndarray:
    """Return the most that it shifts a yoke at places x, m, (options..., places)."""
    shift = unlike_shift(loaded, name)
    return np.zeros(np.shape(x)) if shift is None else np.max(np.abs(shift.at(x)), axis=-1)
