"""How displaced crankpins, lengthened rods and the like shift a yoke: its rise, and its tilt.

A crankpin displaced by (ux, uy) lifts its side of the yoke by uy + ux ex/ey, (ex, ey) the unit vector
along the rod, since the rod keeps its length; a rod longer by d lifts it by d / ey. The yoke rises by the
mean of its two sides and tilts by their difference over its span. Shifts of one yoke against another are
differences of their shifts.
"""

from dataclasses import dataclass

import numpy as np

from balance.cycle.load import Load, absent
from balance.machine.yoke import Yoke
from balance.motion import YokeMotion
from balance.quantities import Number, Scalar, over_angle
from balance.shaft_loads import Mesh
from balance.turning import HANDS
from shafts.superposition import Response


@dataclass(frozen=True, eq=False)
class Shift:
    """A rise, m, and a tilt, rad (right side up), at one speed; (options..., angles)."""

    rise: Scalar
    tilt: Scalar

    def __add__(self, other: "Shift") -> "Shift":
        return Shift(self.rise + other.rise, self.tilt + other.tilt)

    def __sub__(self, other: "Shift") -> "Shift":
        return Shift(self.rise - other.rise, self.tilt - other.tilt)

    def at(self, x: np.ndarray) -> np.ndarray:
        """Return the rise at places x, m, (options..., places, angles)."""
        return np.atleast_1d(self.rise)[..., None, :] + x[..., :, None] * np.atleast_1d(self.tilt)[..., None, :]


STILL = Shift(0.0, 0.0)


@dataclass(frozen=True, eq=False)
class LinearShift:
    """A shift that follows the loads in proportion.

    rise, tilt : its parts that grow with speed as the loads do.
    mesh : the gear teeth; rise_spread, tilt_spread : shift per unit of their separating force (options..., angles).
    """

    rise: Load
    tilt: Load
    mesh: Mesh | None = None
    rise_spread: Scalar = 0.0
    tilt_spread: Scalar = 0.0

    def at(self, speed: Number) -> Shift:
        """Return the shift at a speed (see Load.at)."""
        rise, tilt = self.rise.at(speed), self.tilt.at(speed)
        if self.mesh is None:
            return Shift(rise, tilt)
        apart = self.mesh.separating(speed)
        return Shift(rise + self.rise_spread * apart, tilt + self.tilt_spread * apart)

    def of(self, yoke: int) -> "LinearShift":
        """Return the shift of one of several yokes that stand along a first axis."""
        rise, tilt = self.rise.at_place(yoke), self.tilt.at_place(yoke)
        return LinearShift(
            rise, tilt, self.mesh, np.asarray(self.rise_spread)[yoke], np.asarray(self.tilt_spread)[yoke]
        )

    def at_places(self, x: np.ndarray) -> Load:
        """Return its rise at places x, m, (options..., places, angles), without what the teeth push apart."""
        parts = zip(self.rise.parts, self.tilt.parts, strict=True)
        return Load(*(0.0 if absent(rise) and absent(tilt) else Shift(rise, tilt).at(x) for rise, tilt in parts))

    def __add__(self, other: "LinearShift") -> "LinearShift":
        return LinearShift(
            self.rise + other.rise,
            self.tilt + other.tilt,
            self.mesh or other.mesh,
            self.rise_spread + other.rise_spread,
            self.tilt_spread + other.tilt_spread,
        )

    def __neg__(self) -> "LinearShift":
        return LinearShift(-self.rise, -self.tilt, self.mesh, -self.rise_spread, -self.tilt_spread)

    def __sub__(self, other: "LinearShift") -> "LinearShift":
        return self + -other


def lean_of(moved: YokeMotion) -> Scalar:
    """Return ex/ey of the right-hand rod: rise per unit of sideways pin displacement; zero for a slot."""
    return 0.0 if moved.rod is None else moved.rod.x / moved.rod.y


def turn_of(yoke: Yoke, moved: YokeMotion) -> np.ndarray:
    """Return tilt per unit of half the difference between both sides' rises, 1/m, (options..., angles).

    A slot yoke is held where its pins are; rods that meet in the middle cannot tilt it.
    """
    span = moved.pin.x if yoke.rod is None else over_angle(yoke.half_span)
    return np.where(span > 0, 1 / np.where(span > 0, span, 1.0), 0.0)


def sides_shift(right: Load, left: Load, turn: Scalar) -> LinearShift:
    """Return the shift of a yoke whose two sides rise, m, as given."""
    return LinearShift((right + left) * 0.5, (right - left) * (0.5 * turn))


def pin_shift(lean: Scalar, turn: np.ndarray, right: Response, left: Response) -> LinearShift:
    """Return how displacements of a yoke's two crankpins, m, shift it; `lean_of` and `turn_of` it.

    Of several yokes everything may have a first axis more.
    """
    rises, spreads = [], []
    for hand, pin in zip(HANDS, (right, left), strict=True):
        rises.append(pin.pull.y + pin.pull.x * (HANDS[hand] * lean))
        spreads.append(over_angle(pin.mesh_weight) * HANDS[hand] * lean)
    # The separating force is the right shaft's, along +x; that on the left shaft is its mirror image.
    spreads[1] = -spreads[1]
    shift = sides_shift(rises[0], rises[1], turn)
    return LinearShift(
        shift.rise, shift.tilt, right.mesh, (spreads[0] + spreads[1]) / 2, (spreads[0] - spreads[1]) / 2 * turn
    )
