"""The shaking force and couples of the moving parts on the case.

All grow with the square of speed: each array is per (rad/s)^2, so multiply by omega^2. Couples are
about the origin: half-way between the shafts, at z = 0. The parts' weight is steady and left out.
"""

from dataclasses import dataclass
from functools import reduce

import numpy as np

from balance.cycle.harmonics import orders
from balance.cycle.load import added
from balance.joints import centre_of
from balance.machine.machine import Machine
from balance.machine.yoke import Yoke
from balance.motion import Motion, YokeMotion
from balance.quantities import Number, Scalar, over_angle
from balance.turning import HANDS, TurningMass, added_masses, turning_masses


@dataclass(frozen=True, eq=False)
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
        """Square of that size, (options..., angles)."""
        return self.x**2 + self.y**2

    @property
    def size(self) -> np.ndarray:
        """Size of the force per (rad/s)^2, kg m, (options..., angles)."""
        return np.hypot(self.x, self.y)

    def orders(self, most: int = 8) -> dict[str, np.ndarray]:
        """Return the complex orders 0 to `most` of each force and couple (see growth.orders)."""
        return {name: orders(values, most) for name, values in vars(self).items()}


Moved = tuple[Scalar, Scalar, Scalar, Scalar, Scalar]
"""What one part puts on the case, as in Shaking; 0.0 stands for nothing at any angle."""


def shaking(machine: Machine, motion: Motion) -> Shaking:
    """Return the shaking force and couples: minus the rate of change of momentum of every moving part."""
    parts = [_of_turning(machine, motion.theta, hand) for hand in HANDS]
    for name, yoke in machine.yokes.items():
        moved = motion.yokes[name]
        parts += [_of_yoke(yoke, moved, machine.throw_of(yoke).at), *_of_rods(machine, yoke, moved)]
    still = np.zeros(np.broadcast_shapes(*(moved.height.shape for moved in motion.yokes.values())))
    return Shaking(*(still + reduce(added, column) for column in zip(*parts, strict=True)))


def couple_of(x: np.ndarray, y: np.ndarray, px: Scalar, py: Scalar, z: Scalar) -> Shaking:
    """Return the force (x, y) acting at the point (px, py, z) with its couples about the origin."""
    return Shaking(x, y, -z * y, z * x, px * y - py * x)


def _of_yoke(yoke: Yoke, moved: YokeMotion, plane: Number) -> Moved:
    """Its parts are added up before they are spread over angle; all move along the cylinder's axis."""
    mass = sum(part.mass for part in yoke.parts.values())
    lever = sum(part.mass * (plane if part.at is None else part.at) for part in yoke.parts.values())
    return 0.0, -over_angle(mass) * moved.acceleration, over_angle(lever) * moved.acceleration, 0.0, 0.0


def _of_rods(machine: Machine, yoke: Yoke, moved: YokeMotion) -> list[Moved]:
    """What mirrored rods do across, and with it about y and z, cancels out."""
    if yoke.rod is None:
        return []
    x, y, pitch, yaw, roll = _of_rod(machine, yoke, moved, "right")
    if yoke.rod.left is None:
        return [(0.0, 2 * y, 2 * pitch, 0.0, 0.0)]
    return [(x, y, pitch, yaw, roll), _of_rod(machine, yoke, moved, "left")]


def _of_rod(machine: Machine, yoke: Yoke, moved: YokeMotion, hand: str) -> Moved:
    assert yoke.rod is not None
    assert moved.rod is not None
    sign = HANDS[hand]
    rod = yoke.rod.left if hand == "left" and yoke.rod.left is not None else yoke.rod
    x, y = centre_of(rod, yoke.rod.length, moved)
    cg, mass = over_angle(rod.cg), over_angle(rod.mass)
    place_x, place_y = moved.pin.x + cg * moved.rod.x, moved.pin.along + cg * moved.rod.y
    force = couple_of(-mass * sign * x, -mass * y, sign * place_x, place_y, over_angle(machine.throw_of(yoke).at))
    return force.x, force.y, force.pitch, force.yaw, force.roll - over_angle(rod.inertia) * sign * moved.rod.turn_rate


def _of_turning(machine: Machine, theta: np.ndarray, hand: str) -> Moved:
    """A turning mass's force passes through its own shaft, so it acts there as far as couples go."""
    sign, centre, masses = HANDS[hand], over_angle(machine.cranks.centre_distance) / 2, turning_masses(machine, hand)
    whole = added_masses(masses)
    levers = TurningMass(
        0.0, 0.0, sum(each.across * each.at for each in masses), sum(each.along * each.at for each in masses)
    )
    push, turning = whole.push(theta, sign), levers.push(theta, sign)
    along = push.y.inertia
    return push.x.inertia, along, -turning.y.inertia, turning.x.inertia, sign * centre * along
