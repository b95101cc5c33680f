"""The shaking force and couples of the moving parts on the case.

All grow with the square of speed: each array is per (rad/s)^2, so multiply by omega^2. Couples are
about the origin: half-way between the shafts, at z = 0. The parts' weight is steady and left out.
"""

from collections.abc import Callable, Iterable
from functools import reduce

import numpy as np

from balance.cycle.harmonics import orders
from balance.cycle.load import added
from balance.joints import centre_of
from balance.machine.machine import Machine
from balance.machine.yoke import Yoke
from balance.motion import Motion, YokeMotion
from balance.quantities import Number, Scalar, over_angle, result
from balance.turning import HANDS, TurningMass, turning_masses


@result
class Shaking:
    """Force and couples on the case per (rad/s)^2; arrays (options..., angles).

    x, y : force, kg m.   pitch, yaw, roll : couples about x, y and z, kg m^2.
    """

    x: np.ndarray
    y: np.ndarray
    pitch: np.ndarray
    yaw: np.ndarray
    roll: np.ndarray

    def __add__(self, other: "Shaking") -> "Shaking":
        return Shaking(*(one + two for one, two in zip(vars(self).values(), vars(other).values(), strict=True)))

    @property
    def square(self) -> np.ndarray:
        """Square of the size of the force per (rad/s)^2, kg^2 m^2, (options..., angles)."""
        return self.x**2 + self.y**2

    @property
    def size(self) -> np.ndarray:
        """Size of the force per (rad/s)^2, kg m, (options..., angles)."""
        return np.hypot(self.x, self.y)

    def orders(self, most: int = 8) -> dict[str, np.ndarray]:
        """Return the complex orders 0 to `most` of each force and couple (see balance.cycle.harmonics)."""
        return {name: orders(values, most) for name, values in vars(self).items()}


Moved = tuple[Scalar, Scalar, Scalar, Scalar, Scalar]
"""What one part puts on the case, as in Shaking; 0.0 stands for nothing at any angle."""


def shaking(machine: Machine, motion: Motion, yokes: Moved | None = None) -> Shaking:
    """Return the shaking force and couples: minus the rate of change of momentum of every moving part.

    yokes : what `of_yokes` returns, if it is known.
    """
    parts = of_turning(machine, motion.theta), of_yokes(machine, motion) if yokes is None else yokes
    columns = _column_sums(parts)
    shape = np.broadcast_shapes(*(moved.height.shape for moved in motion.yokes.values()), *map(np.shape, columns))
    return Shaking(*(np.broadcast_to(column, shape) for column in columns))


def of_yokes(machine: Machine, motion: Motion) -> Moved:
    """Return what yokes and rods put on the case."""
    parts: list[Moved] = []
    for name, yoke in machine.yokes.items():
        moved = motion.yokes[name]
        parts += [_of_yoke(yoke, moved, machine.throw_of(yoke).at), *_of_rods(machine, yoke, moved)]
    return _column_sums(parts)


def _column_sums(parts: Iterable[Moved]) -> Moved:
    return tuple(reduce(added, column) for column in zip(*parts, strict=True))  # type: ignore[return-value]


def couple_of(x: np.ndarray, y: np.ndarray, px: Scalar, py: Scalar, z: Scalar) -> Shaking:
    """Return the force (x, y) acting at the point (px, py, z) with its couples about the origin."""
    return Shaking(x, y, -z * y, z * x, px * y - py * x)


def _of_yoke(yoke: Yoke, moved: YokeMotion, plane: Number) -> Moved:
    """A yoke, with rods that mirror each other: their masses count in parts at both of their ends.

    All moves along the cylinder's axis: what mirrored rods do across, and with it about y and z, cancels out. Masses
    are added up before they are spread over angle.
    """
    mass = sum(part.mass for part in yoke.parts.values())
    lever = sum(part.mass * (plane if part.at is None else part.at) for part in yoke.parts.values())
    if yoke.rod is None or yoke.rod.left is not None:
        return 0.0, -over_angle(mass) * moved.acceleration, over_angle(lever) * moved.acceleration, 0.0, 0.0
    share = np.asarray(yoke.rod.cg) / yoke.rod.length
    at_yoke, at_pin = 2 * yoke.rod.mass * share, 2 * yoke.rod.mass * (1 - share)
    mass, lever = mass + at_yoke, lever + at_yoke * plane
    force = over_angle(at_pin) * moved.pin.along - over_angle(mass) * moved.acceleration
    pitch = over_angle(lever) * moved.acceleration - over_angle(at_pin * plane) * moved.pin.along
    return 0.0, force, pitch, 0.0, 0.0


def _of_rods(machine: Machine, yoke: Yoke, moved: YokeMotion) -> list[Moved]:
    """Rods that do not mirror each other."""
    if yoke.rod is None or yoke.rod.left is None:
        return []
    return [_of_rod(machine, yoke, moved, hand) for hand in HANDS]


def _of_rod(machine: Machine, yoke: Yoke, moved: YokeMotion, hand: str) -> Moved:
    assert yoke.rod is not None
    assert moved.rod is not None
    sign = HANDS[hand]
    rod = yoke.rod.masses_of(hand)
    x, y = centre_of(rod, yoke.rod.length, moved)
    cg, mass = over_angle(rod.cg), over_angle(rod.mass)
    place_x, place_y = moved.pin.x + cg * moved.rod.x, moved.pin.along + cg * moved.rod.y
    force = couple_of(-mass * sign * x, -mass * y, sign * place_x, place_y, over_angle(machine.throw_of(yoke).at))
    return force.x, force.y, force.pitch, force.yaw, force.roll - over_angle(rod.inertia) * sign * moved.rod.turn_rate


def of_turning(machine: Machine, theta: np.ndarray) -> Moved:
    """Return what turns with both cranks: its force passes through its own shaft, and acts there as far as couples go.

    Both sides are added up before they are spread over angle: what is alike on both does nothing across.
    """
    masses = [(sign, each) for hand, sign in HANDS.items() for each in turning_masses(machine, hand)]
    sine, cosine = np.sin(theta), np.cos(theta)

    def sums(of: Callable[[float, TurningMass], Number]) -> tuple[Number, Number]:
        return sum(of(*each) * each[1].crank_x for each in masses), sum(of(*each) * each[1].crank_y for each in masses)

    def spread(with_cosine: Number, with_sine: Number) -> Scalar:
        there = np.any(with_cosine) or np.any(with_sine)
        return over_angle(with_cosine) * cosine + over_angle(with_sine) * sine if there else 0.0

    (across, along), (unlike_across, unlike_along) = sums(lambda _, each: 1.0), sums(lambda sign, each: sign)
    levers, unlike_levers = sums(lambda _, each: each.at), sums(lambda sign, each: sign * each.at)
    centre = over_angle(machine.cranks.centre_distance) / 2
    return (
        spread(unlike_across, unlike_along),
        spread(along, -across),
        spread(-levers[1], levers[0]),
        spread(*unlike_levers),
        centre * spread(unlike_along, -unlike_across),
    )
