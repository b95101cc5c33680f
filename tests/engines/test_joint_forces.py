"""Every joint force, torque and shaking couple of random machines against mujoco (general-purpose rigid bodies).

mujoco's side is in engines/multibody.py; it shares no formula with the balance package. The gas push
enters both as an external force (it has its own check). All parts are compared apart, and each
against the largest force of its own part, so that small terms are not lost beside large ones.
"""

from dataclasses import dataclass
from functools import cache

import numpy as np
import pytest
from engines.multibody import PARTS, SIDES, Answer, Multibody
from limits.evaluated import loads_sum, on_shafts, teeth
from random_designs import random_machine

from balance import gas, joints, motion, shaking, torque
from balance.cycle.load import Load, PlanarForce
from balance.machine.machine import Machine
from shafts.crank.loads import crank_loads

SEEDS = range(48)
LOOKS = 6  # crank angles at which a machine is compared
RELATIVE = 1e-8


@dataclass
class Case:
    """One random machine as both see it, at the same few crank angles."""

    machine: Machine
    moved: motion.Motion
    forces: dict[str, joints.YokeForces]
    torques: torque.Torques
    looks: np.ndarray
    answers: dict[str, list[Answer]]

    def ours(self, load: Load, part: str) -> np.ndarray:
        """Return one part of one of the program's loads at the angles compared."""
        return np.broadcast_to(getattr(load, part), self.moved.theta.shape)[self.looks]

    def pull(self, pull: PlanarForce, part: str) -> np.ndarray:
        return np.stack([self.ours(pull.x, part), self.ours(pull.y, part)], axis=-1)

    def theirs(self, read) -> dict[str, np.ndarray]:
        """Return the same value of mujoco's, by part of the load."""
        return {part: np.array([read(answer) for answer in self.answers[part]]) for part in PARTS}


@cache
def case(seed: int) -> Case:
    machine = random_machine(seed)
    moved = motion.move(machine)
    push = gas.gas_state(machine, moved).push
    forces = joints.joint_forces(machine, moved, gas.gas_state(machine, moved))
    looks = (np.arange(LOOKS) * len(moved.theta)) // LOOKS + seed % 7
    bodies = Multibody(machine, moved.theta[looks])
    answers = {
        part: [bodies.answer(n, part, pushes(push, part, look)) for n, look in enumerate(looks)] for part in PARTS
    }
    return Case(machine, moved, forces, torque.torques(machine, moved, forces), looks, answers)


def pushes(push: dict[str, Load], part: str, look: int) -> dict[str, float]:
    """Return the gas push (the flow loss with the inertia part) at one angle."""
    values = {name: np.atleast_1d(getattr(each, part)) for name, each in push.items()}
    return {name: float(value[look % len(value)]) for name, value in values.items()}


def same(ours: np.ndarray, theirs: np.ndarray, scale: float) -> None:
    assert np.all(np.isfinite(ours))
    np.testing.assert_allclose(ours, theirs, rtol=0, atol=RELATIVE * scale + 1e-300)


def scale_of(one: Case, part: str) -> float:
    """Return the largest force in any joint in this part, N."""
    found = one.answers[part]
    joined = [force for answer in found for force in (*answer.pivot.values(), *answer.pin.values())]
    return float(max(np.max(np.abs(joined)), *(abs(force) for answer in found for force in answer.guide.values())))


@pytest.mark.parametrize("seed", SEEDS)
def test_pivots_pins_and_guides(seed: int) -> None:
    one = case(seed)
    for name, forces in one.forces.items():
        guide = one.theirs(lambda answer, n=name: answer.guide[n])
        for part in PARTS:
            scale = scale_of(one, part)
            same(one.ours(forces.guide, part), guide[part], scale)
            for hand in SIDES:
                pivot = one.theirs(lambda answer, key=(name, hand): answer.pivot[key][:2])[part]
                pin = one.theirs(lambda answer, key=(name, hand): answer.pin[key][:2])[part]
                same(one.pull(getattr(forces.pivot, hand), part), pivot, scale)
                same(one.pull(getattr(forces.pin, hand), part), pin, scale)


@pytest.mark.parametrize("seed", SEEDS)
def test_torque_of_each_crank(seed: int) -> None:
    one = case(seed)
    arm = max(each.radius for each in one.machine.cranks.throws.values())
    for hand in SIDES:
        theirs = one.theirs(lambda answer, h=hand: answer.torque[h])
        for part in PARTS:
            scale = max(arm * scale_of(one, part), float(np.max(np.abs(theirs[part]))))
            same(one.ours(getattr(one.torques, hand), part), theirs[part], scale)


@pytest.mark.parametrize("seed", SEEDS)
def test_all_that_pulls_on_each_shaft(seed: int) -> None:
    """The bearings must hold what pins and turning masses put on a shaft, and the teeth's tangential force."""
    one = case(seed)
    for hand in SIDES:
        loads = crank_loads(on_shafts(one.machine), one.forces, one.torques, hand)
        sums, mesh = loads_sum(one.machine, loads, one.moved.theta, hand), teeth(loads)
        theirs = one.theirs(lambda answer, h=hand: answer.bearings[h][:2])
        for part in PARTS:
            push = 0.0 if mesh is None else one.ours(mesh.force.y, part)
            scale = max(scale_of(one, part), float(np.max(np.abs(theirs[part]))))
            same(one.ours(sums.x, part), theirs[part][:, 0], scale)
            same(one.ours(sums.y, part) - push, theirs[part][:, 1], scale)


@pytest.mark.parametrize("seed", SEEDS)
def test_shaking_force_and_couples(seed: int) -> None:
    """Force and couples that keep a floating case still while everything in it moves, with no gravity."""
    one = case(seed)
    ours = shaking.shaking(one.machine, one.moved)
    theirs = one.theirs(lambda answer: answer.case)["inertia"]
    assert np.max(np.abs(theirs[:, 2])) == 0.0
    for way, column in {"x": 0, "y": 1, "pitch": 3, "yaw": 4, "roll": 5}.items():
        value = np.broadcast_to(getattr(ours, way), one.moved.theta.shape)[one.looks]
        scale = np.max(np.abs(theirs[:, :2])) * (1.0 if column < 3 else one.machine.cranks.centre_distance)
        same(value, theirs[:, column], scale)
