"""Motion and crank torque of random machines against sympy's algebra and Lagrange's equations (engines/symbols.py)."""

from functools import cache

import numpy as np
import pytest
from engines.multibody import PARTS, SIDES, turning
from engines.symbols import crank_torque, placed, weight_torque
from limits.evaluated import on_shafts, teeth
from random_designs import random_machine

from balance import gas, joints, motion, torque
from balance.cycle.load import Load
from balance.machine.machine import Machine
from shafts.crank.loads import crank_loads

SEEDS = range(100, 140)
RELATIVE = 1e-9


def same(ours: np.ndarray, theirs: np.ndarray, scale: float | None = None) -> None:
    assert np.all(np.isfinite(ours))
    scale = float(np.max(np.abs(theirs))) if scale is None else scale
    np.testing.assert_allclose(np.broadcast_to(ours, theirs.shape), theirs, rtol=0, atol=RELATIVE * scale + 1e-300)


@pytest.mark.parametrize("seed", SEEDS)
def test_motion_and_its_derivatives(seed: int) -> None:
    machine = random_machine(seed)
    moved = motion.move(machine)
    for name, yoke in machine.yokes.items():
        ours, theirs = moved.yokes[name], placed(machine, yoke, moved.theta)
        for value, expected in zip((ours.height, ours.velocity, ours.acceleration), theirs.height, strict=True):
            same(value, expected)
        assert (ours.rod is None) == (yoke.rod is None)
        if ours.rod is not None:
            values = (ours.rod.x, ours.rod.y, ours.rod.turn, ours.rod.turn_rate)
            expected = (theirs.across[0], theirs.along[0], *theirs.angle[1:])
            for value, wanted in zip(values, expected, strict=True):
                same(value, wanted)


def lagrange_torque(machine: Machine, moved: motion.Motion, push: dict[str, Load]) -> dict[str, np.ndarray]:
    """Return the torque on both cranks together, N m, by part, from Lagrange's equation alone."""
    total = {part: np.zeros_like(moved.theta) for part in PARTS}
    for name, yoke in machine.yokes.items():
        per_newton, gravity, inertia = crank_torque(machine, yoke, moved.theta)
        total["gas"] += push[name].gas * per_newton
        total["gravity"] += gravity
        total["inertia"] += inertia + push[name].inertia * per_newton
    for hand, sign in SIDES.items():
        for _, mass, cg in turning(machine, hand):
            total["gravity"] += weight_torque(machine, mass, cg, sign, moved.theta)
    return total


@cache
def computed(seed: int) -> tuple[Machine, dict[str, joints.YokeForces], torque.Torques, dict[str, np.ndarray]]:
    machine = random_machine(seed)
    moved = motion.move(machine)
    state = gas.gas_state(machine, moved)
    forces = joints.joint_forces(machine, moved, state)
    return machine, forces, torque.torques(machine, moved, forces), lagrange_torque(machine, moved, state.push)


@pytest.mark.parametrize("seed", SEEDS)
def test_torque_of_both_cranks(seed: int) -> None:
    _, _, torques, expected = computed(seed)
    for part in PARTS:
        same(getattr(torques.total, part), expected[part])


@pytest.mark.parametrize("seed", SEEDS)
def test_torque_across_the_mesh(seed: int) -> None:
    """What the left crank makes and neither load nor flywheel takes there must cross."""
    machine, _, torques, expected = computed(seed)
    share = {"right": 0.0, "left": 1.0, "both": 0.5}
    load = share[machine.cranks.load_on]
    wheel = load if machine.flywheel is None else share[machine.flywheel.on]
    for part in PARTS:
        mean = np.mean(expected[part])
        taken = load * mean + wheel * (expected[part] - mean)
        wanted = getattr(torques.left, part) - taken
        same(getattr(torques.mesh, part), wanted, np.max(np.abs(expected[part])))


@pytest.mark.parametrize("seed", SEEDS)
def test_tooth_force_and_its_sides(seed: int) -> None:
    """The teeth give each shaft just the torque that crosses, and press the shafts apart."""
    machine, forces, torques, _ = computed(seed)
    angles = motion.move(machine).theta
    pitch_radius = machine.cranks.centre_distance / 2
    for hand, sign in SIDES.items():
        mesh = teeth(crank_loads(on_shafts(machine), forces, torques, hand))
        assert (mesh is None) == (machine.cranks.gears is None)
        if mesh is None or machine.cranks.gears is None:
            continue
        # the pitch point lies half-way between the shafts: there the right gear moves up, and so does the left one
        for part in PARTS:
            force = getattr(mesh.force.y, part) * np.ones_like(angles)
            whole = (
                torques.mesh.inertia if part == "inertia" else torques.mesh.steady
            )  # of which gas and gravity are parts
            scale = float(np.max(np.abs(whole)))
            same(pitch_radius * force, sign * np.asarray(getattr(torques.mesh, part)) * np.ones_like(angles), scale)
        np.testing.assert_allclose(mesh.apart, sign * np.tan(working_angle(machine)), rtol=1e-9)


def working_angle(machine: Machine) -> float:
    """Base circles stay as they are cut, so the line of action leans more the farther apart the gears are set."""
    gears = machine.cranks.gears
    base = gears.module * gears.teeth / 2 * np.cos(gears.pressure_angle)
    return float(np.arccos(base / (machine.cranks.centre_distance / 2)))
