"""How pins, rods and yokes move with the crank angle: positions and their exact derivatives.

All is per radian of crank angle: multiply a first derivative by omega for a velocity, a second by
omega^2 for an acceleration. Everything is given for the right-hand side; the left is its mirror image.
"""

import numpy as np
from numpy.typing import ArrayLike

from balance.errors import refuse_unknown
from balance.machine.crank import Throw
from balance.machine.machine import Machine
from balance.machine.reach import angles_needed, reach_ratio
from balance.machine.yoke import Yoke
from balance.quantities import Number, Scalar, over_angle, result


@result
class PinMotion:
    """A crankpin on its circle, m; arrays of shape (options..., angles).

    across, along : x and y from its own shaft. Their derivatives by crank angle are
    (along, -across), their second derivatives (-across, -along).
    x : from the middle between the shafts.
    """

    across: np.ndarray
    along: np.ndarray
    x: np.ndarray


@result
class RodMotion:
    """A connecting rod; arrays of shape (options..., angles).

    x, y : unit vector from crankpin to yoke pivot.
    turn, turn_rate : its angle's first and second derivative by crank angle, counter-clockwise seen from +z.
    """

    x: np.ndarray
    y: np.ndarray
    turn: np.ndarray
    turn_rate: np.ndarray


@result
class YokeMotion:
    """A yoke: height of its pivots and derivatives by crank angle, m; arrays (options..., angles)."""

    height: np.ndarray
    velocity: np.ndarray
    acceleration: np.ndarray
    pin: PinMotion
    rod: RodMotion | None


@result
class Motion:
    """The motion of every yoke at crank angles `theta`, rad, shape (angles,).

    sense : +1 where crank angle grows as time goes on, else -1 (see Cranks.sense).
    """

    theta: np.ndarray
    yokes: dict[str, YokeMotion]
    sense: float = 1.0


def crank_angles(count: int) -> np.ndarray:
    """Return `count` equally spaced crank angles over one turn from zero, rad; raises ValueError for none of them."""
    if count < 1:
        raise ValueError(f"count of crank angles: read {count}; allowed: 1 or more")
    return np.arange(count) * (2 * np.pi / count)


def angle_count(machine: Machine) -> np.ndarray:
    """Return how many angles make every harmonic of every yoke exact to 1e-10, shape (options...)."""
    counts = [
        angles_needed(reach_ratio(yoke, machine.throw_of(yoke), machine.cranks.centre_distance))
        for yoke in machine.yokes.values()
    ]
    return np.max(np.broadcast_arrays(*counts), axis=0)


def move(machine: Machine, theta: ArrayLike | None = None) -> Motion:
    """Return the motion at crank angles theta (rad, shape (angles,)); by default as many as it takes.

    Raises ValueError for angles that are not finite numbers.
    """
    theta = crank_angles(int(np.max(angle_count(machine)))) if theta is None else np.atleast_1d(_numbers(theta))
    distance = machine.cranks.centre_distance
    return Motion(
        theta,
        {name: move_yoke(yoke, machine.throw_of(yoke), distance, theta) for name, yoke in machine.yokes.items()},
        machine.cranks.sense,
    )


def _numbers(theta: ArrayLike) -> np.ndarray:
    angles = np.asarray(theta, dtype=float)
    if not np.all(np.isfinite(angles)):
        raise ValueError("crank angles: read one that is not finite; allowed: finite numbers, rad")
    return angles


def move_pin(throw: Throw, centre_distance: Scalar, theta: np.ndarray) -> PinMotion:
    """Return a right-hand crankpin's motion; theta of shape (angles,) or (options, angles)."""
    angle = theta + over_angle(throw.phase)
    radius = over_angle(throw.radius)
    across, along = radius * np.sin(angle), radius * np.cos(angle)
    return PinMotion(across, along, over_angle(centre_distance) / 2 + across)


def move_yoke(yoke: Yoke, throw: Throw, centre_distance: Scalar, theta: np.ndarray) -> YokeMotion:
    """Return a yoke's motion; theta of shape (angles,) or (options, angles).

    Rods: y = r cos(phi) + s S with S = sqrt(l^2 - h^2), h = c/2 + r sin(phi) - b; the derivatives
    follow from S S' = -h h'. Slot: y = r cos(phi) + offset.
    """
    pin = move_pin(throw, centre_distance, theta)
    if yoke.rod is None:
        assert yoke.slot is not None
        return YokeMotion(pin.along + over_angle(yoke.slot.offset), -pin.across, -pin.along, pin, None)
    side = 1.0 if yoke.side == "above" else -1.0
    length = over_angle(yoke.rod.length)
    offset, offset_d, offset_dd = pin.x - over_angle(yoke.half_span), pin.along, -pin.across
    rise = side * np.sqrt(length**2 - offset**2)
    turn = offset_d / rise
    rise_d = -offset * turn
    rise_dd = -(offset_d**2 + offset * offset_dd + rise_d**2) / rise
    rod = RodMotion(x=-offset / length, y=rise / length, turn=turn, turn_rate=(offset_dd - turn * rise_d) / rise)
    return YokeMotion(pin.along + rise, rise_d - pin.across, rise_dd - pin.along, pin, rod)


@result
class Stroke:
    """A yoke's travel: shape (options...), m and rad."""

    length: Number
    lowest: Number
    highest: Number
    lowest_angle: Number
    highest_angle: Number


def stroke(machine: Machine, name: str, motion: Motion) -> Stroke:
    """Return a yoke's stroke and dead centres, to rounding: Newton's method on the exact derivative.

    Raises ValueError for a name that is no yoke's.
    """
    refuse_unknown("yoke", name, machine.yokes)
    yoke, throw, distance = machine.yokes[name], machine.throw_of(machine.yokes[name]), machine.cranks.centre_distance
    height = motion.yokes[name].height
    theta = motion.theta[np.stack([np.argmin(height, axis=-1), np.argmax(height, axis=-1)], axis=-1)]
    for _ in range(4):
        now = move_yoke(yoke, throw, distance, theta)
        theta = theta - now.velocity / now.acceleration
    lowest, highest = np.moveaxis(move_yoke(yoke, throw, distance, theta).height, -1, 0)
    lowest_angle, highest_angle = np.moveaxis(theta % (2 * np.pi), -1, 0)
    return Stroke(highest - lowest, lowest, highest, lowest_angle, highest_angle)
