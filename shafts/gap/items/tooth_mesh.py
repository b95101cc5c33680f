"""Tooth mesh: teeth that yield put the two cranks out of step, and the yokes tilt.

The torque M that crosses turns one gear against the other by M / (k (R cos a)^2), k the stiffness along the line of
action, R the pitch radius and a the pressure angle at which they run; half of it on each crank. A yoke rises by its
velocity, per radian, times the angle by which its crank is turned.
"""

import numpy as np

from balance.cycle.load import Load
from balance.quantities import over_angle
from shafts.gap.curve import GapCurve
from shafts.gap.facing import Facing
from shafts.gap.shift import spread, tilt_per_rise
from shafts.loaded_shafts import Case, LoadedShafts

NAME = "tooth mesh"


def line(loaded: LoadedShafts, facing: Facing, case: Case) -> GapCurve:
    """Return what yielding teeth add to the gap; nothing without gears, or if their stiffness is not known."""
    behind = lag(loaded)
    if behind is None:
        return GapCurve()
    plain = Load()
    for name, sign in facing.yokes:
        yoke, moved = loaded.engine.yokes[name], loaded.motion.yokes[name]
        tilt = behind * (moved.velocity * tilt_per_rise(yoke, moved) * (-sign / 2))
        plain = plain + spread(tilt, np.asarray(facing.x)[..., :, None])
    return GapCurve(plain)


def lag(loaded: LoadedShafts) -> Load | None:
    """Return by how much yielding teeth let one crank fall behind the other, rad, (options..., angles)."""
    cranks, tooth = loaded.engine.cranks, loaded.tooth
    if cranks.gears is None or tooth is None or cranks.gears.stiffness is None:
        return None
    base = cranks.pitch_radius * np.cos(cranks.working_pressure_angle)
    return tooth * over_angle(cranks.pitch_radius / (cranks.gears.stiffness * base**2))
