"""The masses on a shaft as bodies that tilt and spin with it, for whirl and torsion.

A web counts as it is described: its moment of inertia if stated, else that of its mass at its mass
centre and, if width, thickness and material are known, of a bar of that mass. A gear is a disc of its
pitch circle, of its stated mass or, that left out, of its face and material. A wheel is thin
unless its thickness is given.
"""

from dataclasses import dataclass

import numpy as np

from balance.machine.crank import Gears, Web
from balance.machine.machine import Machine
from balance.machine.wheels import Wheel
from balance.machine.yoke import Yoke
from balance.quantities import Number


@dataclass(frozen=True, eq=False)
class Disc:
    """A body on a shaft; fields of shape (options...).

    at : place of its mass centre along the shaft, m.   mass : kg.
    polar : moment of inertia about the shaft, kg m^2.   diametral : about a line across it, mean of all, kg m^2.
    """

    name: str
    at: Number
    mass: Number
    polar: Number
    diametral: Number


def discs(machine: Machine, hand: str) -> list[Disc]:
    """Return what turns with one shaft, in the order of `balance.turning.turning_masses`."""
    webs = [web for web in machine.cranks.webs if web.on in (hand, "both")]
    found = [_web_disc(f"web {number + 1}", web) for number, web in enumerate(webs)]
    if machine.cranks.gears is not None:
        found.append(_gear_disc(machine.cranks.gears, hand))
    return found + [_wheel_disc(name, each, hand) for name, each in machine.wheels(hand).items()]


def _web_disc(name: str, web: Web) -> Disc:
    thickness = 0.0 if web.thickness is None else web.thickness
    return Disc(name, web.at, web.mass, web.polar_inertia, web.polar_inertia / 2 + web.mass * thickness**2 / 12)


def _gear_disc(gears: Gears, hand: str) -> Disc:
    face = 0.0 if gears.face is None else gears.face
    mass, polar = gears.mass_of(hand), gears.polar_inertia_of(hand)
    return Disc("gear", gears.at, mass, polar, polar / 2 + mass * face**2 / 12)


def _wheel_disc(name: str, wheel: Wheel, hand: str) -> Disc:
    thick = 0.0 if wheel.thickness is None else wheel.wheel_mass * np.asarray(wheel.thickness) ** 2 / 12
    return Disc(name, wheel.along(hand), wheel.wheel_mass, wheel.polar_inertia, wheel.polar_inertia / 2 + thick)


def carried_mass(yoke: Yoke, hand: str) -> Number:
    """Return the mass, kg, that a crankpin carries along in whatever direction it moves.

    Of the rod the part that turns with the pin, and half of what goes to and fro, which the pin moves in one
    direction of two: common practice for torsional vibration (no source), kept for whirl.
    """
    if yoke.rod is None:
        return yoke.mass / 4
    rod = yoke.rod if hand == "right" or yoke.rod.left is None else yoke.rod.left
    share = rod.cg / yoke.rod.length
    return rod.mass * (1 - share) + (rod.mass * share + yoke.mass / 2) / 2
