"""Cranks out of step: how backlash and timing error tilt the yokes."""

from dataclasses import dataclass

import numpy as np

from balance.quantities import Number, over_angle
from balance.yoke import Displacer, Piston, Yoke
from shafts.carried import Carried, Case
from shafts.gap.shift import Shift, turn_of
from shafts.shaft import Engine


@dataclass(frozen=True, eq=False)
class Timing:
    """How cranks out of step tilt one yoke, or one against another.

    tilts : of each yoke, (sign, tilt per radian by which the right crank is ahead, most tilt in rad).
    """

    carried: Carried
    tilts: list[tuple[float, np.ndarray, Number]]

    def at(self, speed: Number, case: Case = "expected") -> Shift:
        """Return the tilt at a speed; in the worst case with all the lead on one side."""
        ahead = lead_angle(self.carried, speed, case)
        each = (sign * np.clip(ahead * tilt, -over_angle(most), over_angle(most)) for sign, tilt, most in self.tilts)
        return Shift(np.zeros_like(ahead), sum(each))

    def __sub__(self, other: "Timing") -> "Timing":
        return Timing(self.carried, self.tilts + [(-sign, tilt, most) for sign, tilt, most in other.tilts])


def timing_of(carried: Carried, name: str) -> Timing:
    """Return how cranks out of step tilt one yoke: by lead y' / (2 b), about the mean of both cranks."""
    yoke, moved = carried.engine.yokes[name], carried.motion.yokes[name]
    return Timing(carried, [(1.0, moved.velocity * turn_of(yoke, moved) / 2, tilt_allowed(carried.engine, yoke))])


def tilt_allowed(engine: Engine, yoke: Yoke) -> Number:
    """Return how far a guide of known length lets its yoke tilt, rad; no limit if its length is not given."""
    length = yoke.carries.length if isinstance(yoke.carries, Piston | Displacer) else None
    return np.inf if length is None else engine.fits.guide_play / length


def lead_angle(carried: Carried, speed: Number, case: Case) -> np.ndarray:
    """Return by how much the right crank is ahead of the left one, rad, (options..., angles).

    Half the backlash lies on each side of true; the tooth force decides which side. In the worst
    case the timing error and the backlash add up, whichever way.
    """
    gears, error = carried.engine.cranks.gears, over_angle(carried.engine.fits.timing_error)
    mesh = carried.loads[0].mesh
    if gears is None or mesh is None:
        return -error + 0.0 * carried.motion.theta
    half = over_angle(gears.backlash) / (2 * over_angle(gears.pitch_radius))
    if case == "worst":
        return np.abs(error) + half + 0.0 * carried.motion.theta
    return -error - half * np.sign(mesh.tangential.at(speed))
