"""What the moving parts put on the case, order by order: shaking force, couples, and the torque reaction.

The torque that leaves through a shaft, or that the flywheel takes up and gives back, turns the case the
other way about the shafts. The load is taken to act on the engine by its torque alone: a belt's pull or
the weight of a driven machine on the same case must be counted with the case.
"""

import numpy as np

from balance.cycle.harmonics import orders
from balance.cycle.load import Load, PlanarForce
from balance.joints import YokeForces
from balance.machine.machine import Machine
from balance.machine.mount import Mount
from balance.motion import Motion
from balance.quantities import over_angle, result
from balance.shaking import Shaking
from balance.torque import Torques
from balance.turning import HANDS, turning_masses

ORDERS = 8
"""Highest order that is followed; what is beyond is far above any foot's resonance and far smaller."""


@result
class CaseLoads:
    """Force and couples on the case about the origin, between the shafts at z = 0, over the cycle.

    shaking : per (rad/s)^2.
    roll : couple about z with the torque reaction in it, which takes the place of the shaking's own, N m.
    sense : +1 where crank angle grows as time goes on, else -1.
    """

    shaking: Shaking
    roll: Load
    sense: float = 1.0

    def by_order(self, mount: Mount) -> tuple[np.ndarray, np.ndarray]:
        """Return the loads on the case's freedoms by order 1 to 8, about its mass centre.

        Two complex arrays (options..., orders, freedoms): what does not depend on speed, and what is
        per (rad/s)^2; forces in N, couples in N m.
        """
        across, along = _spectrum(self.shaking.x), _spectrum(self.shaking.y)
        cx, cy, cz = (over_angle(each) for each in mount.cg)
        still = np.zeros_like(along)
        arm = cx * along - cy * across
        growing = [across, along, still]
        steady = [still, still, still]
        if mount.turns:
            pitch, yaw = _spectrum(self.shaking.pitch) + cz * along, _spectrum(self.shaking.yaw) - cz * across
            growing += [pitch, yaw, _spectrum(self.roll.inertia) - arm]
            steady += [still, still, _spectrum(self.roll.steady)]
        return np.stack(np.broadcast_arrays(*steady), axis=-1), np.stack(np.broadcast_arrays(*growing), axis=-1)


def case_loads(
    motion: Motion, machine: Machine, forces: dict[str, YokeForces], torques: Torques, shaking: Shaking
) -> CaseLoads:
    """Return the loads on the case of a machine as it runs."""
    return CaseLoads(shaking, roll_on_case(machine, motion, forces, torques), motion.sense)


def roll_on_case(machine: Machine, motion: Motion, forces: dict[str, YokeForces], torques: Torques) -> Load:
    """Return the couple about z that shafts and guides put on the case, N m, (options..., angles).

    Summed from what the case feels: each shaft's bearings at half the centre distance, the yoke guides at
    their height, and the pair of bearing forces that answers the gear teeth. The steady weight of the
    turning parts is left out.
    """
    half = over_angle(machine.cranks.centre_distance) / 2
    guides = [forces[name].guide * each.height for name, each in motion.yokes.items()]
    shafts = [_on_shaft(machine, motion, forces, hand).y * (sign * half) for hand, sign in HANDS.items()]
    return sum((*guides, *shafts), torques.mesh * 2.0)


def _on_shaft(machine: Machine, motion: Motion, forces: dict[str, YokeForces], hand: str) -> PlanarForce:
    pins = [getattr(each.pin, hand) for each in forces.values()]
    return sum(
        (*pins, *(mass.push(motion.theta, HANDS[hand]) for mass in turning_masses(machine, hand))), PlanarForce()
    )


def _spectrum(values: np.ndarray | float) -> np.ndarray:
    values = np.asarray(values)
    if values.ndim == 0 or values.shape[-1] == 1:  # a load that stays the same over the cycle has no orders
        return np.zeros((*values.shape[:-1], ORDERS), dtype=complex)
    return orders(values, ORDERS)[..., 1:]
