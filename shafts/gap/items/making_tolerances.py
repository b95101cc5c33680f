"""Making tolerances: what each toleranced dimension does to the gap; in the worst case all against it.

A longer rod lifts its side by d / ey, a larger throw radius or a phase moves its crankpin, a wider yoke its pivots,
shafts farther apart both. Expected, they are as the drawing says.
"""

import numpy as np

from balance.cycle.load import Load
from balance.quantities import Number, Scalar, over_angle
from shafts.gap.curve import GapCurve
from shafts.gap.facing import Facing
from shafts.gap.shift import STILL, Shift, rod_slope, shift_of_sides, tilt_per_rise
from shafts.loaded_shafts import Case, LoadedShafts

NAME = "making tolerances"
Deviations = dict[str, tuple[Number, Shift]]
"""By name of the dimension: half-width of its tolerance, m or rad, and the shift per unit of it."""


def line(loaded: LoadedShafts, facing: Facing, case: Case) -> GapCurve:
    """Return what making tolerances add to the gap."""
    if case != "worst":
        return GapCurve()
    effects = between(loaded, facing).values()
    taken = sum((np.abs(shift.at(facing.x)) * np.asarray(half)[..., None, None] for half, shift in effects), 0.0)
    return GapCurve(Load(steady=-np.asarray(taken))) if effects else GapCurve()


def between(loaded: LoadedShafts, facing: Facing) -> Deviations:
    """Return what every dimension does to the upper yoke against the lower one."""
    effects: Deviations = {}
    for name, sign in facing.yokes:
        for dimension, (half_width, shift) in deviations(loaded, name).items():
            before = effects[dimension][1] if dimension in effects else STILL
            effects[dimension] = (half_width, before + shift * sign)
    return effects


def rises(loaded: LoadedShafts, name: str) -> dict[str, Scalar]:
    """Return by how much one side of a yoke rises per unit of each of its dimensions, (options..., angles)."""
    yoke, moved = loaded.engine.yokes[name], loaded.motion.yokes[name]
    slope, radius = rod_slope(moved), over_angle(loaded.engine.cranks.throws[yoke.throw].radius)
    per_unit = {
        "throw radius": (moved.pin.along + slope * moved.pin.across) / radius,
        "throw phase": slope * moved.pin.along - moved.pin.across,
    }
    return per_unit if moved.rod is None else per_unit | {"rod length": 1 / moved.rod.y, "half-span": -slope}


def deviations(loaded: LoadedShafts, name: str) -> Deviations:
    """Return what every toleranced dimension does to a yoke; those of a throw are shared by all on it."""
    yoke, moved = loaded.engine.yokes[name], loaded.motion.yokes[name]
    limits, slope, tilt = loaded.engine.fits.tolerances, rod_slope(moved), tilt_per_rise(yoke, moved)
    of = {"throw radius": yoke.throw, "throw phase": yoke.throw, "rod length": name, "half-span": name}
    effects: Deviations = {}
    for dimension, rise in rises(loaded, name).items():
        half_width = getattr(limits, dimension.replace(" ", "_").replace("-", "_"))
        effects[f"{dimension} of {of[dimension]}, right"] = (half_width, shift_of_sides(rise, 0.0, tilt))
        effects[f"{dimension} of {of[dimension]}, left"] = (half_width, shift_of_sides(0.0, rise, tilt))
    still = np.zeros_like(moved.height)
    effects["centre distance"] = (limits.centre_distance, Shift(slope / 2 + still, still))
    effects[f"yoke height of {name}"] = (limits.yoke_height, Shift(1.0 + still, still))
    return {dimension: each for dimension, each in effects.items() if np.any(np.asarray(each[0]))}
