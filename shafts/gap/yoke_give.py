"""How rods stretch and yoke arms bend under their loads."""

from dataclasses import dataclass
from typing import Literal

import numpy as np

from balance.cycle.load import Load
from balance.machine.yoke import Yoke
from balance.quantities import Number, Scalar, over_angle
from balance.turning import HANDS
from shafts.carried import LoadedShafts
from shafts.gap.shift import LinearShift, sides_shift, turn_of


def rod_thrust(carried: LoadedShafts, name: str, hand: str, end: Literal["pivot", "pin"] = "pivot") -> Load:
    """Return the force along a rod at its yoke end or at its crankpin, N, positive where the rod is pressed.

    Between the two lies what the rod itself weighs and what it takes to swing it, so they may differ in sign.
    """
    forces, rod = carried.forces[name], carried.motion.yokes[name].rod
    pull, away = getattr(getattr(forces, end), hand), 1.0 if end == "pivot" else -1.0
    if rod is None:
        return pull.y * away
    return pull.x * (away * HANDS[hand] * rod.x) + pull.y * (away * rod.y)


def rod_stretch(carried: LoadedShafts, name: str) -> LinearShift:
    """Return how a yoke shifts as its rods shorten under thrust, by N l / (E A); not at all if no section is stated."""
    yoke, moved = carried.engine.yokes[name], carried.motion.yokes[name]
    if moved.rod is None or not np.any(stretch(yoke)):
        return LinearShift(Load(), Load())
    give = -over_angle(stretch(yoke)) / moved.rod.y
    right, left = (rod_thrust(carried, name, hand) * give for hand in HANDS)
    return sides_shift(right, left, turn_of(yoke, moved))


def stretch(yoke: Yoke) -> Number:
    """Return how much shorter a yoke's rods get per unit of thrust, m/N, (options...); zero if no section is stated."""
    rod = yoke.rod
    if rod is None or rod.section is None or rod.material is None:
        return 0.0
    return rod.length / (rod.material.young * rod.section)


@dataclass(frozen=True, eq=False)
class Bow:
    """A yoke's arms bent by the forces at its pivots.

    load : vertical force at each pivot, N, the mean of both.
    shape : rise per newton at each place x, m/N, (options..., places).
    """

    load: Load
    shape: np.ndarray

    def at(self, speed: Number) -> np.ndarray:
        """Return the rise at each place at a speed, m, (options..., places, angles)."""
        return self.shape[..., :, None] * np.atleast_1d(self.load.at(speed))[..., None, :]

    def at_places(self) -> Load:
        """Return the rise at each place as it grows with speed, m, (options..., places, angles)."""
        return self.load.each(lambda part: self.shape[..., :, None] * np.atleast_1d(part)[..., None, :])

    def __neg__(self) -> "Bow":
        return Bow(self.load, -self.shape)


def yoke_bow(carried: LoadedShafts, name: str, x: np.ndarray) -> Bow | None:
    """Return how a yoke's arms bend, seen at places x, m, (options..., places); None if they count as rigid.

    Each arm is a cantilever from the middle, b long, loaded at its pivot; the rods hold the pivots, so
    the middle gives way by Q b^3 / (3 E I) (Roark, cantilever with end load).
    """
    yoke = carried.engine.yokes[name]
    if yoke.arm is None:
        return None
    arm, span = yoke.arm, np.asarray(_span(carried, yoke))[..., None]
    inertia = np.asarray(arm.section.width * arm.section.height**3 / 12 * arm.material.young)[..., None]
    pivot = carried.forces[name].pivot
    shape = (_cantilever(np.abs(x), span) - _cantilever(span, span)) / inertia
    return Bow((pivot.right.y + pivot.left.y) * 0.5, shape)


def _cantilever(x: Scalar, span: Scalar) -> np.ndarray:
    """Return E I times the deflection at x per unit load at `span`: straight beyond it."""
    inner = np.minimum(x, span)
    return inner**2 * (3 * span - inner) / 6 + np.maximum(x - span, 0.0) * span**2 / 2


def _span(carried: LoadedShafts, yoke: Yoke) -> Number:
    """A slot's pins travel along it; half the centre distance is where they are on the mean."""
    return yoke.half_span if yoke.rod is not None else carried.engine.cranks.centre_distance / 2
