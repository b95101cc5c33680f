"""Masses that turn with a crank: webs, eccentric gears, wheels and, once fitted, counterweights."""

import numpy as np

from balance.cycle.load import Load, PlanarForce, weight
from balance.machine.machine import Machine
from balance.quantities import Number, Scalar, over_angle, result

HANDS = {"right": 1.0, "left": -1.0}
"""The two sides; the sign turns a right-hand x into that of the side."""
OTHER_SIDE = {"right": "left", "left": "right"}


def mirrored_name(name: str) -> str:
    """Return the name of the same part on the other side; of a part that is on neither, its own."""
    hand, _, rest = name.partition(" ")
    return f"{OTHER_SIDE[hand]} {rest}" if hand in OTHER_SIDE else name


def on_bench(across: Scalar, along: Scalar, theta: np.ndarray, sign: float) -> tuple[np.ndarray, np.ndarray]:
    """Return x and y at crank angles theta of a vector that stands still in the crank frame, (options..., angles).

    across, along : its x and y in the frame of the right crank, (options..., 1 or angles).
    sign : +1 on the right; -1 on the left, where all is mirrored. Seen from +z the right crank turns clockwise.
    """
    sine, cosine = np.sin(theta), np.cos(theta)
    return sign * (across * cosine + along * sine), along * cosine - across * sine


def in_crank(x: Scalar, y: Scalar, theta: np.ndarray, sign: float) -> tuple[Scalar, Scalar]:
    """Return x and y in the crank frame of a vector that stands so on the bench: the way back from `on_bench`."""
    sine, cosine = np.sin(theta), np.cos(theta)
    return sign * x * cosine - y * sine, sign * x * sine + y * cosine


@result
class TurningMass:
    """A mass fixed to one shaft; all of shape (options...).

    name : in words.
    at : place along the shaft, m.   mass : kg.
    crank_x, crank_y : mass times mass centre [x, y] in the crank frame of the right-hand side, kg m.
    """

    at: Number
    mass: Number
    crank_x: Number = 0.0
    crank_y: Number = 0.0
    name: str = "turning mass"

    def push(self, theta: np.ndarray, sign: float) -> PlanarForce:
        """Return the centrifugal force on its shaft, N; `sign` is +1 on the right, -1 on the left."""
        x, y = on_bench(over_angle(self.crank_x), over_angle(self.crank_y), theta, sign)
        return PlanarForce(Load(inertia=x), Load(inertia=y))

    def torque(self, theta: np.ndarray, sign: float, gravity: tuple[Scalar, Scalar]) -> Load:
        """Return the torque of its weight, N m, positive where it helps crank angle grow."""
        sine, cosine = np.sin(theta), np.cos(theta)
        sideways, upward = sign * over_angle(gravity[0]), over_angle(gravity[1])
        # What each of the two turns is the same for every mass, and for most designs for every option.
        of_x, of_y = sideways * sine + upward * cosine, sideways * cosine - upward * sine
        return weight(over_angle(self.crank_y) * of_y - over_angle(self.crank_x) * of_x)


def added_masses(masses: list[TurningMass]) -> TurningMass:
    """Return one mass that turns like several in one plane: for forces and torques, whatever their places."""
    total = (sum(getattr(each, of) for each in masses) for of in ("mass", "crank_x", "crank_y"))
    return TurningMass(0.0, *total)


def turning_masses(machine: Machine, hand: str) -> list[TurningMass]:
    """Return all that turns with one shaft ("right" or "left"), counterweights only as far as fitted."""
    masses = [
        TurningMass(web.at, web.mass, web.mass * web.cg[0], web.mass * web.cg[1], f"web {number + 1}")
        for number, web in enumerate(machine.cranks.webs)
        if web.on in (hand, "both")
    ]
    gears = machine.cranks.gears
    if gears is not None:
        masses.append(TurningMass(gears.at, gears.mass, gears.mass * gears.cg[0], gears.mass * gears.cg[1], "gear"))
    for name, wheel in machine.wheels(hand).items():
        masses.append(TurningMass(wheel.z(hand), wheel.wheel_mass, name=name))
    return masses


def mass_on_shafts(machine: Machine) -> Number:
    """Return the mass of all that turns with both shafts, kg, (options...), counterweights only as far as fitted."""
    return sum(each.mass for hand in HANDS for each in turning_masses(machine, hand))
