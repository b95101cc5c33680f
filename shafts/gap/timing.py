"""Cranks out of step: how backlash and timing error tilt the yokes."""

from dataclasses import dataclass

import numpy as np

from balance.machine.yoke import Displacer, Piston, Yoke
from balance.quantities import Number, Scalar, over_angle
from shafts.carried import Case, LoadedShafts
from shafts.gap.shift import Shift, turn_of
from shafts.shaft import Engine


@dataclass(frozen=True, eq=False)
class Timing:
    """How cranks out of step tilt one yoke, or one against another.

    tilts : of each yoke, (sign, tilt per radian by which the right crank is ahead, most tilt in rad).
    """

    carried: LoadedShafts
    tilts: list[tuple[float, np.ndarray, Number]]

    def at(self, speed: Number, case: Case = "expected") -> Shift:
        """Return the tilt at a speed; in the worst case with all the lead on one side."""
        return self.with_lead(lead_angle(self.carried, speed, case))

    def with_lead(self, ahead: np.ndarray) -> Shift:
        """Return the tilt with the right crank ahead by so much, rad, (options..., angles)."""
        each = (sign * np.clip(ahead * tilt, -over_angle(most), over_angle(most)) for sign, tilt, most in self.tilts)
        return Shift(np.zeros_like(ahead), sum(each))

    def at_places(self, x: np.ndarray, case: Case) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
        """Return the rise at places x, m, (options..., places, angles), by the tooth force's sign: +, -, 0.

        In the worst case the play may stand on either side, whichever takes more of the gap.
        """
        rises = (self.with_lead(lead_with(self.carried.engine, sense, case)).at(x) for sense in (1.0, -1.0, 0.0))
        ahead, behind, neither = rises if case == "expected" else (-np.abs(rise) for rise in rises)
        return ahead, behind, neither

    def __sub__(self, other: "Timing") -> "Timing":
        return Timing(self.carried, self.tilts + [(-sign, tilt, most) for sign, tilt, most in other.tilts])


def timing_of(carried: LoadedShafts, name: str) -> Timing:
    """Return how cranks out of step tilt one yoke: by lead y' / (2 b), about the mean of both cranks."""
    yoke, moved = carried.engine.yokes[name], carried.motion.yokes[name]
    return Timing(carried, [(1.0, moved.velocity * turn_of(yoke, moved) / 2, tilt_allowed(carried.engine, yoke))])


def tilt_allowed(engine: Engine, yoke: Yoke) -> Number:
    """Return how far a guide of known length lets its yoke tilt, rad; no limit if its length is not given."""
    length = yoke.carries.length if isinstance(yoke.carries, Piston | Displacer) else None
    return np.inf if length is None else engine.fits.guide_play / length


def lead_angle(carried: LoadedShafts, speed: Number, case: Case) -> np.ndarray:
    """Return by how much the right crank is ahead of the left one at a speed, rad, (options..., angles)."""
    mesh, still = carried.loads[0].mesh, np.zeros_like(carried.motion.theta)
    sense = still if mesh is None else np.sign(mesh.tangential.at(speed))
    return lead_with(carried.engine, sense, case) + still


def lead_with(engine: Engine, sense: Scalar, case: Case) -> np.ndarray:
    """Return by how much the right crank is ahead of the left one, rad, (options..., angles or 1).

    Half the backlash lies on each side of true; `sense`, the sign of the tooth force, decides which side. In the
    worst case the timing error and the backlash add up, whichever way.
    """
    error = over_angle(engine.fits.timing_error)
    if engine.cranks.gears is None:
        return -error + 0.0 * np.asarray(sense)
    half = over_angle(half_backlash(engine))
    return np.abs(error) + half if case == "worst" else -error - half * sense


def most_lead(engine: Engine) -> Number:
    """Return by how much one crank can be ahead of the other at the most, rad, (options...)."""
    return np.abs(engine.fits.timing_error) + half_backlash(engine)


def half_backlash(engine: Engine) -> Number:
    """Return half the backlash as an angle of one gear, rad, (options...); zero without gears."""
    gears = engine.cranks.gears
    return 0.0 if gears is None else gears.backlash / (2 * gears.pitch_radius)
