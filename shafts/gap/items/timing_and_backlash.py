"""Timing and backlash: cranks out of step tilt the yokes.

With the right crank ahead of the left by an angle a, a yoke tilts by a y'/(2 b), y' its velocity per radian and b its
half-span, about the mean of both cranks. Half the backlash lies on each side of true, and the sign of the tooth force
decides which. A guide of known length holds the tilt to its play over its length.
"""

import numpy as np

from balance.cycle.load import Load
from balance.machine.yoke import Yoke
from balance.quantities import Number, Scalar, over_angle
from shafts.engine import Engine
from shafts.gap.curve import GapCurve, Leads
from shafts.gap.facing import Facing
from shafts.gap.shift import Shift, tilt_per_rise
from shafts.loaded_shafts import Case, LoadedShafts

NAME = "timing and backlash"


def line(loaded: LoadedShafts, facing: Facing, case: Case) -> GapCurve:
    """Return what cranks out of step add to the gap; in the worst case on whichever side takes more of it."""

    def shift(sense: float, of: Case) -> np.ndarray:
        ahead = lead(loaded.engine, sense, of)
        return np.asarray(sum(lead_shift(loaded, name, ahead).at(facing.x) * sign for name, sign in facing.yokes))

    if case == "worst":
        return GapCurve(Load(steady=-np.abs(shift(1.0, case))))
    return GapCurve(tooth=facing.tooth(loaded), leads=Leads(*(shift(sense, case) for sense in (1.0, -1.0, 0.0))))


def lead_shift(loaded: LoadedShafts, name: str, ahead: np.ndarray) -> Shift:
    """Return the tilt of a yoke with the right crank ahead by so much, rad, (options..., angles or 1)."""
    tilt, most = tilt_of_lead(loaded, name)
    tilted = np.clip(ahead * tilt, -over_angle(most), over_angle(most))
    return Shift(np.zeros_like(tilted), tilted)


def tilt_of_lead(loaded: LoadedShafts, name: str) -> tuple[np.ndarray, Number]:
    """Return tilt per radian by which the right crank is ahead, (options..., angles), and the most that is let, rad."""
    yoke, moved = loaded.engine.yokes[name], loaded.motion.yokes[name]
    return moved.velocity * tilt_per_rise(yoke, moved) / 2, tilt_allowed(loaded.engine, yoke)


def tilt_allowed(engine: Engine, yoke: Yoke) -> Number:
    """Return how far a guide of known length lets its yoke tilt, rad; no limit if its length is not given."""
    length = yoke.guided_length
    return np.inf if length is None else engine.fits.guide_play / length


def lead(engine: Engine, sense: Scalar, case: Case) -> np.ndarray:
    """Return by how much the right crank is ahead of the left one, rad, (options..., angles or 1).

    sense : the sign of the tooth force. In the worst case the timing error and the backlash add up, whichever way.
    """
    error = over_angle(engine.fits.timing_error)
    half = over_angle(half_backlash(engine))
    return np.abs(error) + half if case == "worst" else -error - half * np.asarray(sense)


def most_lead(engine: Engine) -> Number:
    """Return by how much one crank can be ahead of the other at the most, rad, (options...)."""
    return np.abs(engine.fits.timing_error) + half_backlash(engine)


def half_backlash(engine: Engine) -> Number:
    """Return half the backlash as an angle of one gear, rad, (options...); zero without gears."""
    gears = engine.cranks.gears
    return 0.0 if gears is None else gears.backlash / (2 * gears.pitch_radius)
