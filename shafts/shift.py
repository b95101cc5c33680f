"""How displaced crankpins and cranks out of step shift a yoke: its rise, and its tilt.

A crankpin displaced by (ux, uy) lifts its side of the yoke by uy + ux ex/ey, (ex, ey) the unit vector
along the rod, since the rod keeps its length. The yoke rises by the mean of its two sides and tilts by
their difference over its span. Relative shifts of two yokes are differences of their shifts.
"""

from dataclasses import dataclass

import numpy as np

from balance.growth import Growth
from balance.motion import YokeMotion
from balance.quantities import Number, Scalar, over_angle
from balance.shaft_loads import Mesh
from balance.turning import HANDS
from balance.yoke import Displacer, Piston, Yoke
from shafts.carried import Carried, Case
from shafts.deflection import Response
from shafts.play import clearance_range, taken_up
from shafts.shaft import Engine


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
        return np.asarray(self.rise)[..., None, :] + x[..., :, None] * np.asarray(self.tilt)[..., None, :]


@dataclass(frozen=True, eq=False)
class LinearShift:
    """A shift that follows the loads in proportion.

    rise, tilt : its parts that grow with speed as the loads do.
    mesh : the gear teeth; rise_spread, tilt_spread : shift per unit of their separating force (options..., angles).
    """

    rise: Growth
    tilt: Growth
    mesh: Mesh | None
    rise_spread: Scalar
    tilt_spread: Scalar

    def at(self, speed: Number) -> Shift:
        """Return the shift at a speed (see Growth.at)."""
        rise, tilt = self.rise.at(speed), self.tilt.at(speed)
        if self.mesh is None:
            return Shift(rise, tilt)
        apart = self.mesh.separating(speed)
        return Shift(rise + self.rise_spread * apart, tilt + self.tilt_spread * apart)

    def __sub__(self, other: "LinearShift") -> "LinearShift":
        return LinearShift(
            self.rise - other.rise,
            self.tilt - other.tilt,
            self.mesh,
            self.rise_spread - other.rise_spread,
            self.tilt_spread - other.tilt_spread,
        )


def lean_of(moved: YokeMotion) -> Scalar:
    """Return ex/ey of the right-hand rod: rise per unit of sideways pin displacement; zero for a slot."""
    return 0.0 if moved.rod is None else moved.rod.x / moved.rod.y


def tilt_per_rise(yoke: Yoke, moved: YokeMotion) -> np.ndarray:
    """Return tilt per unit of half the difference between both sides' rises, 1/m, (options..., angles).

    A slot yoke is held where its pins are; rods that meet in the middle cannot tilt it.
    """
    span = moved.pin.x if yoke.rod is None else over_angle(yoke.half_span)
    return np.where(span > 0, 1 / np.where(span > 0, span, 1.0), 0.0)


def linear_shift(carried: Carried, name: str, right: Response, left: Response) -> LinearShift:
    """Return how displacements of a yoke's two crankpins shift it."""
    yoke, moved = carried.engine.yokes[name], carried.motion.yokes[name]
    lean, turn = lean_of(moved), tilt_per_rise(yoke, moved)
    rises, spreads = [], []
    for hand, pin in zip(HANDS, (right, left), strict=True):
        rises.append(pin.pull.y + pin.pull.x * (HANDS[hand] * lean))
        spreads.append(over_angle(pin.mesh_weight) * HANDS[hand] * lean)
    # The separating force is the right shaft's, along +x; that on the left shaft is its mirror image.
    spreads[1] = -spreads[1]
    half_sum, half_difference = (rises[0] + rises[1]) * 0.5, (rises[0] - rises[1]) * 0.5
    return LinearShift(
        half_sum,
        half_difference * turn,
        right.mesh,
        (spreads[0] + spreads[1]) / 2,
        (spreads[0] - spreads[1]) / 2 * turn,
    )


@dataclass(frozen=True, eq=False)
class Play:
    """How clearance in each bearing shifts a yoke: rise and tilt per metre that the shaft moves there.

    Each of `bearings`: its load, its least and most clearance, m, and the rise and tilt (options..., angles)
    per metre along x and along y.
    """

    bearings: list[tuple[Response, tuple[Number, Number], list[Scalar]]]

    def at(self, speed: Number, case: Case = "expected") -> Shift:
        """Return the shift with each shaft pressed against its bearings, along their loads, at a speed."""
        total = Shift(0.0, 0.0)
        for load, (least, most), (rise_x, rise_y, tilt_x, tilt_y) in self.bearings:
            x, y = taken_up(load.at(speed), most if case == "worst" else (least + most) / 2)
            total = total + Shift(rise_x * x + rise_y * y, tilt_x * x + tilt_y * y)
        return total

    def __sub__(self, other: "Play") -> "Play":
        return Play(
            [
                (load, clearance, [a - b for a, b in zip(mine, theirs[2], strict=True)])
                for (load, clearance, mine), theirs in zip(self.bearings, other.bearings, strict=True)
            ]
        )


def play_of(carried: Carried, name: str) -> Play:
    """Return how clearance in every bearing of both shafts shifts a yoke."""
    yoke, moved = carried.engine.yokes[name], carried.motion.yokes[name]
    lean, turn = lean_of(moved), tilt_per_rise(yoke, moved)
    found = []
    for hand, shaft, state in zip(HANDS, carried.engine.shafts.pair, carried.states, strict=True):
        for place, bearing in enumerate(shaft.bearings):
            share = over_angle(state.shares[name][..., place]) / 2
            across = share * HANDS[hand] * lean
            effect = [across, share, across * turn * HANDS[hand], share * turn * HANDS[hand]]
            found.append((state.bearings[place], clearance_range(bearing), effect))
    return Play(found)


@dataclass(frozen=True, eq=False)
class Timing:
    """How cranks out of step tilt yokes: tilt per radian of lag, and how far each guide lets its yoke tilt.

    tilts : (sign, tilt per radian by which the right crank is ahead, most tilt) of each yoke.
    """

    carried: Carried
    tilts: list[tuple[float, np.ndarray, Number]]

    def at(self, speed: Number, case: Case = "expected") -> Shift:
        """Return the tilt at a speed; in the worst case with all the lag on one side."""
        ahead = lead_angle(self.carried, speed, case)
        each = (
            sign * np.clip(ahead * tilt, -over_angle(most), over_angle(most)) for sign, tilt, most in self.tilts
        )
        return Shift(np.zeros_like(ahead), sum(each))

    def __sub__(self, other: "Timing") -> "Timing":
        return Timing(self.carried, self.tilts + [(-sign, tilt, most) for sign, tilt, most in other.tilts])


def timing_of(carried: Carried, name: str) -> Timing:
    """Return how cranks out of step tilt one yoke: by lead y' / (2 b), about the mean of both cranks."""
    yoke, moved = carried.engine.yokes[name], carried.motion.yokes[name]
    tilt = moved.velocity * tilt_per_rise(yoke, moved) / 2
    return Timing(carried, [(1.0, tilt, tilt_allowed(carried.engine, yoke))])


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
