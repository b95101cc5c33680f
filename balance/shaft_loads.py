"""All that pulls on one shaft, and where along it: pins, turning masses, weights and gear teeth."""

from collections.abc import Callable
from dataclasses import dataclass, replace
from typing import Any

import numpy as np

from balance.cycle.load import Load, PlanarForce
from balance.joints import YokeForces
from balance.machine.machine import Machine
from balance.motion import Motion
from balance.quantities import Number, over_angle
from balance.torque import Torques
from balance.turning import HANDS, TurningMass, turning_masses


@dataclass(frozen=True, eq=False)
class Mesh:
    """The force of the other gear's teeth on this shaft.

    at : place along the shaft, m.
    tangential : force along y, N. The separating force along x is |tangential| * `spread` at each
    instant, away from the other shaft whichever way the torque goes; being an absolute value it
    belongs to no part that grows with speed by itself.
    spread : tan(working pressure angle), with the sign of x on this side; (options...).
    """

    at: Number
    tangential: Load
    spread: Number

    def separating(self, speed: Number) -> np.ndarray:
        """Return the separating force along x at a speed (see Load.at), N."""
        return over_angle(self.spread) * np.abs(self.tangential.at(speed))


@dataclass(frozen=True, eq=False)
class ShaftLoads:
    """What pulls on one shaft ("right" or "left").

    pins : for each yoke, its throw's place along the shaft, m, and the force on the crankpin.
    turning : the masses that turn with the shaft.
    gravity : acceleration (x, y), m/s^2, that gives them weight.
    mesh : the gear teeth; None without gears.
    added_up : whether gas and gravity of pins and mesh are added up (see Load.added_up).
    """

    hand: str
    pins: dict[str, tuple[Number, PlanarForce]]
    turning: list[TurningMass]
    gravity: tuple[Number, Number]
    mesh: Mesh | None
    added_up: bool = False

    def with_courses(self, change: Callable[[Any], Any]) -> "ShaftLoads":
        """Return the same loads with something done to everything that runs over crank angle."""
        pins = {name: (at, change(pull)) for name, (at, pull) in self.pins.items()}
        mesh = None if self.mesh is None else replace(self.mesh, tangential=change(self.mesh.tangential))
        return replace(self, pins=pins, mesh=mesh)

    @property
    def sign(self) -> float:
        """+1 on the right, -1 on the left."""
        return HANDS[self.hand]


def shaft_loads(machine: Machine, forces: dict[str, YokeForces], torques: Torques, hand: str) -> ShaftLoads:
    """Return all that pulls on the right or left shaft."""
    pins = {name: (machine.throw_of(machine.yokes[name]).at, getattr(each.pin, hand)) for name, each in forces.items()}
    gravity = machine.gravity.x, machine.gravity.y
    return ShaftLoads(hand, pins, turning_masses(machine, hand), gravity, _mesh(machine, torques, hand))


def _mesh(machine: Machine, torques: Torques, hand: str) -> Mesh | None:
    """At the pitch point both gears move toward +y, so a torque that drives the right one pushes it that way."""
    gears, sign = machine.cranks.gears, HANDS[hand]
    if gears is None:
        return None
    tangential = torques.mesh * (sign / over_angle(machine.cranks.pitch_radius))
    return Mesh(gears.at, tangential, sign * np.tan(machine.cranks.working_pressure_angle))


def tooth_force(machine: Machine, torques: Torques) -> Load:
    """Return the tangential tooth force, N, positive where the left gear drives the right one."""
    return torques.mesh * (1 / over_angle(machine.cranks.pitch_radius))


def loads_sum(loads: ShaftLoads, motion: Motion) -> PlanarForce:
    """Return the sum of all linear forces on a shaft (the separating force of the teeth left out), N."""
    pulls = [pull for _, pull in loads.pins.values()]
    pulls += [mass.push(motion.theta, loads.sign) for mass in loads.turning]
    weight = sum(mass.mass for mass in loads.turning)
    pulls.append(PlanarForce(*(Load(gravity=over_angle(weight * pull)) for pull in loads.gravity)))
    if loads.mesh is not None:
        pulls.append(PlanarForce(y=loads.mesh.tangential))
    return sum(pulls, PlanarForce())
