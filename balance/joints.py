"""The force in every joint of yokes and rods, from Newton's and Euler's laws for each body.

A yoke's two rods share what it needs along the cylinder equally, and its guide carries what is left
across it and no tilting moment: five unknown forces for the four equations of a yoke and its rods need
one such choice, and for a mirrored machine symmetry makes it.
"""

import numpy as np

from balance.cycle.at_speed import AtSpeed, accelerated
from balance.cycle.load import Load, PlanarForce, combined, weight
from balance.gas import GasState
from balance.machine.machine import Machine
from balance.machine.yoke import Rod, RodMasses, Yoke
from balance.motion import Motion, YokeMotion
from balance.quantities import Scalar, over_angle, result
from balance.stop import stop_push

Displaced = tuple[AtSpeed, AtSpeed]
"""How far a crankpin is displaced along x and y at a speed, m, (angles,)."""


@result
class Sides:
    """The same force on the right and on the left, each in x and y as they stand, N.

    mirrored : whether the left one is known to be the mirror image of the right one.
    """

    right: PlanarForce
    left: PlanarForce
    mirrored: bool = False

    @property
    def untold(self) -> "Sides":
        """The same forces without gravity's share told (see Load.untold)."""
        return Sides(self.right.untold, self.left.untold, self.mirrored)

    def __add__(self, other: "Sides") -> "Sides":
        return Sides(self.right + other.right, self.left + other.left, self.mirrored and other.mirrored)


@result
class YokeForces:
    """The joint forces of one yoke, N; every part (options..., angles).

    pivot : by the rods on the yoke at its pivots (by the pins on the yoke, for a slot).
    pin : by the rods (or the slot) on the crankpins.
    guide : by the guide on the yoke, along x.
    """

    pivot: Sides
    pin: Sides
    guide: Load

    @property
    def untold(self) -> "YokeForces":
        """The same forces without gravity's share told (see Load.untold)."""
        return YokeForces(self.pivot.untold, self.pin.untold, self.guide.untold)

    def __add__(self, other: "YokeForces") -> "YokeForces":
        return YokeForces(self.pivot + other.pivot, self.pin + other.pin, self.guide + other.guide)


def joint_forces(machine: Machine, motion: Motion, gas: GasState) -> dict[str, YokeForces]:
    """Return the joint forces of every yoke, by its name."""
    stops = stop_push(machine, motion)
    return {
        name: yoke_forces(machine, yoke, motion.yokes[name], gas.push[name] + stops.get(name, Load()))
        for name, yoke in machine.yokes.items()
    }


def yoke_forces(machine: Machine, yoke: Yoke, moved: YokeMotion, push: Load) -> YokeForces:
    """Return the joint forces of one yoke that gas and rubber push with `push`, N along y."""
    mass, half = over_angle(yoke.mass), over_angle(yoke.mass) / 2
    gravity = machine.gravity
    along = weight(-half * over_angle(gravity.y)) + Load(inertia=half * moved.acceleration) - push * 0.5
    weight_across = weight(mass * over_angle(gravity.x)) if np.any(np.asarray(gravity.x)) else Load()
    if yoke.rod is None:
        pull = PlanarForce(y=along)
        return YokeForces(Sides(pull, pull, True), Sides(-pull, -pull, True), -weight_across)
    assert moved.rod is not None
    right = _rod_ends(machine, yoke, yoke.rod, moved, along)
    mirrored = yoke.rod.left is None and not np.any(np.asarray(gravity.x))
    if mirrored:
        left = (_mirror(right[0]), _mirror(right[1]))
        guide = Load(inertia=np.zeros_like(moved.height))
    else:
        left = _rod_ends(machine, yoke, yoke.rod.masses_of("left"), moved, along, hand=-1.0)
        guide = -(right[0].x + left[0].x + weight_across)
    return YokeForces(Sides(right[0], left[0], mirrored), Sides(right[1], left[1], mirrored), guide)


def vibrating_forces(yoke: Yoke, moved: YokeMotion, right: Displaced, left: Displaced) -> YokeForces:
    """Return what is more at the joints of one yoke as its crankpins are displaced, x and y as they stand, m.

    Each pin lifts its side of the yoke by y + x ex/ey, (ex, ey) the unit vector along the rod, and half of the yoke's
    mass with it; the rod turns by x/(l ey). To first order in the displacements.
    """
    ends = [_vibrating_ends(yoke, moved, *each, hand) for each, hand in ((right, 1.0), (left, -1.0))]
    across = ends[0][0].x + ends[1][0].x
    return YokeForces(Sides(ends[0][0], ends[1][0]), Sides(ends[0][1], ends[1][1]), -across)


def _vibrating_ends(
    yoke: Yoke, moved: YokeMotion, x: AtSpeed, y: AtSpeed, hand: float
) -> tuple[PlanarForce, PlanarForce]:
    half = np.asarray(yoke.mass) / 2
    if yoke.rod is None or moved.rod is None:
        pull = PlanarForce(y=Load(vibration=accelerated(y) * half))
        return pull, -pull
    lifted = accelerated(y + x * (hand * moved.rod.x / moved.rod.y))
    turned = accelerated(x * (1 / (yoke.rod.length * moved.rod.y)))
    rod = yoke.rod.masses_of("right" if hand > 0 else "left")
    share = np.asarray(rod.cg) / yoke.rod.length
    across, along = accelerated(x) * (1 - share), accelerated(y) * (1 - share) + lifted * share
    body = PlanarForce(Load(vibration=across * -np.asarray(rod.mass)), Load(vibration=along * -np.asarray(rod.mass)))
    spin = Load(vibration=turned * rod.inertia)
    levers = hand * moved.rod.x / moved.rod.y, 1 / (moved.rod.y * yoke.rod.length)
    return _ends_under(levers, share, Load(vibration=lifted * half), body, spin)


def centre_of(rod: Rod | RodMasses, length: float | np.ndarray, moved: YokeMotion) -> tuple[np.ndarray, np.ndarray]:
    """Return the acceleration (x, y) of the right-hand rod's mass centre per (rad/s)^2, m.

    It lies on the line from crankpin to pivot, so its acceleration is the mean of theirs, weighted.
    """
    share = over_angle(rod.cg) / over_angle(length)
    return -(1 - share) * moved.pin.across, -(1 - share) * moved.pin.along + share * moved.acceleration


def _rod_ends(
    machine: Machine, yoke: Yoke, rod: Rod | RodMasses, moved: YokeMotion, along: Load, hand: float = 1.0
) -> tuple[PlanarForce, PlanarForce]:
    """Return the forces (on the yoke, on the crankpin) of one rod that must pull the yoke with `along`.

    Moments about the crankpin: d x (-Q) + a x (m g - m a_G) = I_G alpha, with d from crankpin to pivot,
    a to the mass centre and Q the force on the yoke; then the forces give that on the pin.
    """
    assert moved.rod is not None
    body = _body_force(machine, rod, yoke, moved, hand)
    spin = Load(inertia=over_angle(rod.inertia) * (hand * moved.rod.turn_rate))
    assert yoke.rod is not None
    levers = hand * moved.rod.x / moved.rod.y, 1 / (moved.rod.y * over_angle(yoke.rod.length))
    return _ends_under(levers, over_angle(rod.cg) / over_angle(yoke.rod.length), along, body, spin)


def _ends_under(
    levers: tuple[np.ndarray, np.ndarray], share: Scalar, along: Load, body: PlanarForce, spin: Load
) -> tuple[PlanarForce, PlanarForce]:
    """Return the same of a rod under a force at its mass centre, N, whose turning takes the moment `spin`, N m.

    levers : of the way from crankpin to pivot its x over its y, and one over its y, 1/m.   share : of that way, at
    which the mass centre lies.
    """
    slope, per_height = levers
    across = combined((along - body.y * share, slope), (body.x, share), (spin, per_height)).kept
    on_yoke = PlanarForce(across, along)
    return on_yoke, body - on_yoke


def _body_force(machine: Machine, rod: Rod | RodMasses, yoke: Yoke, moved: YokeMotion, hand: float) -> PlanarForce:
    """Return weight less mass times acceleration of a rod, N."""
    assert yoke.rod is not None
    mass, gravity = over_angle(rod.mass), machine.gravity
    at_yoke = mass * over_angle(rod.cg) / over_angle(yoke.rod.length)
    at_pin = mass - at_yoke  # what moves as its ends do: see centre_of
    return PlanarForce(
        weight(mass * over_angle(gravity.x)) + Load(inertia=hand * at_pin * moved.pin.across),
        weight(mass * over_angle(gravity.y)) + Load(inertia=at_pin * moved.pin.along - at_yoke * moved.acceleration),
    )


def _mirror(pull: PlanarForce) -> PlanarForce:
    return PlanarForce(-pull.x, pull.y)
