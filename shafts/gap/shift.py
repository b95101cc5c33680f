"""How what happens to its two sides moves a yoke: its rise, and its tilt.

A crankpin displaced by (ux, uy) lifts its side of the yoke by uy + ux ex/ey, (ex, ey) the unit vector along the rod,
since the rod keeps its length; a rod longer by d lifts it by d / ey. The yoke rises by the mean of its two sides and
tilts by their difference over its span: at x from its middle it is lifted by right (1 + x t)/2 + left (1 - x t)/2,
t the tilt per unit of half that difference.
"""

import numpy as np

from balance.cycle.load import Load, over_places
from balance.machine.yoke import Yoke
from balance.motion import YokeMotion
from balance.quantities import Scalar, over_angle, result


@result
class Shift:
    """A rise, m, and a tilt, rad (right side up), at one speed; (options..., angles)."""

    rise: Scalar
    tilt: Scalar

    def __add__(self, other: "Shift") -> "Shift":
        return Shift(self.rise + other.rise, self.tilt + other.tilt)

    def __sub__(self, other: "Shift") -> "Shift":
        return Shift(self.rise - other.rise, self.tilt - other.tilt)

    def __mul__(self, factor: float) -> "Shift":
        return Shift(self.rise * factor, self.tilt * factor)

    def at(self, x: np.ndarray) -> np.ndarray:
        """Return the rise at places x, m, (options..., places, angles)."""
        return np.atleast_1d(self.rise)[..., None, :] + x[..., :, None] * np.atleast_1d(self.tilt)[..., None, :]


STILL = Shift(0.0, 0.0)


def rod_slope(moved: YokeMotion) -> Scalar:
    """Return ex/ey of the right-hand rod: rise per unit of outward pin displacement; zero for a slot."""
    return 0.0 if moved.rod is None else moved.rod.x / moved.rod.y


def tilt_per_rise(yoke: Yoke, moved: YokeMotion) -> np.ndarray:
    """Return tilt per unit of half the difference between both sides' rises, 1/m, (options..., angles).

    A slot yoke is held where its pins are; rods that meet in the middle cannot tilt it.
    """
    span = moved.pin.x if yoke.rod is None else over_angle(yoke.half_span)
    return np.divide(1.0, span, out=np.zeros(np.shape(span)), where=span > 0)


def rise_per_displacement(moved: YokeMotion, theta: np.ndarray) -> tuple[Scalar, Scalar]:
    """Return how far a crankpin's displacement along x and y of the crank frame lifts its side, (options..., angles).

    The same on both sides, in the frame of each.
    """
    slope, sine, cosine = rod_slope(moved), np.sin(theta), np.cos(theta)
    return slope * cosine - sine, slope * sine + cosine


def at_places(yoke: Yoke, moved: YokeMotion, x: np.ndarray, hand: float) -> np.ndarray:
    """Return by how much a place x of a yoke is lifted per unit by which one side is, (options..., places, angles).

    hand : +1 for the right side, -1 for the left.
    """
    return 0.5 + x[..., :, None] * (hand / 2 * tilt_per_rise(yoke, moved))[..., None, :]


def shift_of_sides(right: Scalar, left: Scalar, tilt: Scalar) -> Shift:
    """Return the shift of a yoke whose two sides rise, m, as given; tilt : see `tilt_per_rise`."""
    return Shift((right + left) / 2, (right - left) / 2 * tilt)


def spread(load: Load, over: np.ndarray) -> Load:
    """Return a load (options..., angles) times what it does at each place, (options..., places, angles)."""
    return load.each(lambda part: over_places(part) * over)
