"""A speed that swings: energy against time integration, momentum against forces, torque against inertia."""

from dataclasses import replace
from types import SimpleNamespace

import numpy as np
import pytest
from random_designs import random_machine
from scipy.integrate import solve_ivp

from balance.flywheel import speed_fluctuation, swing_energy, turning_inertias
from balance.gas import gas_state
from balance.joints import joint_forces
from balance.machine.machine import Flywheel
from balance.motion import crank_angles, move
from balance.shaking import shaking
from balance.speed_swing import derivative, moving_inertia, speed_swing, swung_gas, swung_motion, swung_shaking
from balance.torque import torques

ANGLES = 240


def run(machine, count: int) -> SimpleNamespace:
    """What a machine does over a turn."""
    moved = move(machine, crank_angles(count))
    gas = gas_state(machine, moved)
    forces = joint_forces(machine, moved, gas)
    return SimpleNamespace(
        moved=moved, gas=gas, torques=torques(machine, moved, forces), shaking=shaking(machine, moved)
    )


def swinging(seed: int, share: float = 0.3):
    """A random machine, its torque, and a mean speed at which it swings by about that share."""
    machine = replace(random_machine(seed), flywheel=Flywheel(on="right", inertia=5e-4, at=0.05))
    found = run(machine, ANGLES)
    inertia = np.mean(moving_inertia(machine, found.moved))
    speed = float(np.sqrt(swing_energy(found.torques.total, 0.0) / inertia / share))
    return machine, found, speed


@pytest.mark.parametrize("seed", range(6))
def test_the_inertia_torque_is_half_the_slope_of_the_inertia(seed: int):
    """At constant speed, but for what a flow loss takes."""
    machine = replace(random_machine(seed))
    found = run(machine, ANGLES)
    still = found.torques.total.inertia - sum(
        each.inertia * found.moved.yokes[name].velocity for name, each in found.gas.push.items()
    )
    inertia = moving_inertia(machine, found.moved)
    np.testing.assert_allclose(still, -derivative(inertia) / 2, rtol=0, atol=1e-9 * np.max(inertia))


@pytest.mark.parametrize("seed", range(6))
def test_a_turn_in_time_ends_as_it_began(seed: int):
    """By theta'' = (T(theta) - T_load - I' w^2/2)/I from the slowest point on, in the time of the mean speed."""
    machine, found, speed = swinging(seed)
    swing = speed_swing(machine, found.moved, found.torques, speed)
    assert 0.1 < float(swing.fluctuation) < 1.0
    inertia, torque = moving_inertia(machine, found.moved), found.torques.total
    lost = torque.inertia + derivative(inertia) / 2
    parts = [np.fft.rfft(each + np.zeros(ANGLES)) for each in (inertia, derivative(inertia), torque.steady, lost)]
    number = np.arange(len(parts[0]))

    def at(theta: float) -> list[float]:
        waves = np.exp(1j * number * theta) * np.where(number > 0, 2.0, 1.0) / ANGLES
        return [float(np.real(np.sum(each * waves))) for each in parts]

    def rates(_: float, state: np.ndarray) -> list[float]:
        heavy, slope, pull, loss = at(state[0])
        return [state[1], (pull + loss * state[1] ** 2 - float(swing.load) - slope * state[1] ** 2 / 2) / heavy]

    turn = solve_ivp(rates, (0, 2 * np.pi / speed), [0.0, swing.speed[0]], rtol=1e-9, atol=1e-10)
    np.testing.assert_allclose(turn.y[:, -1], [2 * np.pi, swing.speed[0]], rtol=2e-4)


@pytest.mark.parametrize("seed", range(6))
def test_what_is_left_of_the_torque_speeds_up_what_turns(seed: int):
    """Joint forces as the speed swings: their torque on the cranks, less the load's, is the turning inertia's share."""
    machine, found, speed = swinging(seed)
    swing = speed_swing(machine, found.moved, found.torques, speed)
    forces = joint_forces(machine, swung_motion(found.moved, swing), swung_gas(found.gas, swing))
    total = torques(machine, found.moved, forces).total.at(speed)
    turns = sum(value for name, value in turning_inertias(machine).items() if name != "rods' crankpin ends")
    np.testing.assert_allclose(
        total - swing.load, turns * swing.rate * speed**2, rtol=0, atol=1e-6 * np.max(np.abs(total))
    )


@pytest.mark.parametrize("seed", range(4))
def test_shaking_is_the_rate_of_momentum(seed: int):
    """The momentum p w differentiated by time: w (p w)', with p that per unit of speed."""
    machine, found, speed = swinging(seed)
    swing = speed_swing(machine, found.moved, found.torques, speed)
    even, swung = found.shaking, swung_shaking(found.shaking, swing)
    root = np.sqrt(swing.square)
    for name in ("x", "y", "pitch", "yaw", "roll"):
        force = getattr(even, name) + np.zeros(ANGLES)
        spectrum = np.fft.rfft(force)
        number = np.maximum(np.arange(len(spectrum)), 1)
        spectrum[0] = 0
        momentum = np.fft.irfft(spectrum / (1j * number), ANGLES)
        expected = root * derivative(momentum * root)
        scale = np.max(np.abs(expected)) + 1e-12
        np.testing.assert_allclose(getattr(swung, name), expected, rtol=0, atol=1e-5 * scale)


@pytest.mark.parametrize("seed", range(3))
def test_a_heavy_flywheel_makes_it_even_and_first_order_right(seed: int):
    machine, found, speed = swinging(seed, 0.01)
    swing = speed_swing(machine, found.moved, found.torques, speed)
    inertia = np.mean(moving_inertia(machine, found.moved))
    # Of steady torque alone: the moving inertia's own changes are apart.
    first = float(speed_fluctuation(swing_energy(found.torques.total, speed), inertia, speed))
    assert float(swing.fluctuation) == pytest.approx(first, rel=0.1)


def test_it_says_where_the_engine_would_stop():
    machine, found, speed = swinging(1)
    assert not speed_swing(machine, found.moved, found.torques, speed).stops
    assert speed_swing(machine, found.moved, found.torques, speed / 8).stops


def test_options_are_each_what_they_are_alone():
    machine, _, speed = swinging(2)
    many = replace(machine, flywheel=replace(machine.flywheel, inertia=np.array([4e-4, 5e-4, 9e-4])))
    found = run(many, ANGLES)
    together = speed_swing(many, found.moved, found.torques, np.array([1.0, 1.2, 0.9]) * speed)
    for place, (inertia, factor) in enumerate(((4e-4, 1.0), (5e-4, 1.2), (9e-4, 0.9))):
        one = replace(machine, flywheel=replace(machine.flywheel, inertia=inertia))
        alone = run(one, ANGLES)
        swing = speed_swing(one, alone.moved, alone.torques, factor * speed)
        np.testing.assert_allclose(together.square[place], swing.square, rtol=1e-9)
        np.testing.assert_allclose(together.load[place], swing.load, rtol=1e-9)
