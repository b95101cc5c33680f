"""Torque on the cranks, and what of it must cross the gears to reach the load.

Positive is the direction in which crank angle grows, which is that of rotation unless the cranks turn inward at the
top. At constant speed the load takes the mean torque and whatever evens out the turning (the flywheel; without one, the
load) takes the ripple.
"""

from functools import cached_property

import numpy as np

from balance.cycle.load import Load, PlanarForce, combined
from balance.joints import YokeForces
from balance.machine.machine import Machine
from balance.motion import Motion, PinMotion
from balance.quantities import over_angle, result
from balance.turning import HANDS, added_masses, turning_masses


@result
class Torques:
    """Torques over the cycle, N m, positive where they help crank angle grow.

    right, left : of rods and weights on each crank.
    mesh : that crosses the gears from the left shaft to the right one.
    """

    right: Load
    left: Load
    mesh: Load

    @property
    def untold(self) -> "Torques":
        """The same torques without gravity's share told (see Load.untold)."""
        return Torques(self.right.untold, self.left.untold, self.mesh.untold)

    def turning(self, sense: float) -> "Torques":
        """Return the same torques, positive in the sense in which the cranks turn (see Cranks.sense)."""
        return self if sense == 1.0 else Torques(self.right * sense, self.left * sense, self.mesh * sense)

    @cached_property
    def total(self) -> Load:
        """Both cranks together."""
        return self.right + self.left

    @cached_property
    def steady(self) -> Load:
        """The mean of both together, (options..., 1)."""
        return mean(self.total)

    @cached_property
    def ripple(self) -> Load:
        """What both together come to beside their mean."""
        return self.total - self.steady


def torques(machine: Machine, motion: Motion, forces: dict[str, YokeForces]) -> Torques:
    """Return the torques on both cranks and across the mesh."""
    right = _on_crank(machine, motion, forces, "right")
    left = right if _mirrored(machine, forces) else _on_crank(machine, motion, forces, "left")
    return Torques(right, left, left - _taken_left(machine, right + left))


def tooth_force(machine: Machine, torques: Torques) -> Load:
    """Return the tangential tooth force, N, positive where the left gear drives the right one."""
    return torques.mesh * (1 / over_angle(machine.cranks.pitch_radius))


def pin_torque(pin: PinMotion, pull: PlanarForce, sign: float) -> Load:
    """Return the torque of a force on a crankpin: force times pin velocity per unit speed, N m."""
    return combined((pull.x, sign * pin.along), (pull.y, -pin.across))


def mean(load: Load) -> Load:
    """Return the mean over the cycle of each part, shape (options..., 1)."""
    return load.each(lambda part: np.mean(part, axis=-1, keepdims=True))


def _mirrored(machine: Machine, forces: dict[str, YokeForces]) -> bool:
    """Return whether both cranks are known to be turned by mirror images of the same forces and weights."""
    both = [added_masses(turning_masses(machine, hand)) for hand in HANDS]
    alike = all(np.array_equal(getattr(both[0], way), getattr(both[1], way)) for way in ("crank_x", "crank_y"))
    return alike and not np.any(np.asarray(machine.gravity.x)) and all(each.pin.mirrored for each in forces.values())


def _on_crank(machine: Machine, motion: Motion, forces: dict[str, YokeForces], hand: str) -> Load:
    sign = HANDS[hand]
    gravity = machine.gravity.x, machine.gravity.y
    pins = (pin_torque(motion.yokes[name].pin, getattr(each.pin, hand), sign) for name, each in forces.items())
    weight = added_masses(turning_masses(machine, hand)).torque(motion.theta, sign, gravity)
    return sum(pins, weight)


def _taken_left(machine: Machine, total: Load) -> Load:
    """Return the torque that leaves from the left shaft: its share of the mean and of the ripple."""
    load = share_of(machine.cranks.load_on, "left")
    evened = load if machine.flywheel is None else share_of(machine.flywheel.on, "left")
    return combined((total, evened), (mean(total), load - evened))


def share_of(on: str, hand: str) -> float:
    """Return the share that one shaft, `hand`, has of what is `on` the right, the left or both."""
    return 0.5 if on == "both" else float(on == hand)
