"""Gas pressure and push of random machines against plain integration with scipy, from heights that sympy derives.

The reference states only the physics: a fixed amount of ideal gas in spaces of known temperature
(p V / (R T) summed over the spaces is constant), each space's volume as the integral of area over
height, and a push as area times pressure difference. Least and largest values between the angles come
from a minimiser here, from a parabola there, so both are compared at many angles; what the parabola
costs at the usual number of angles is a test of its own.
"""

from functools import cache

import numpy as np
import pytest
from engines.symbols import placed
from random_designs import random_machine
from scipy.integrate import quad_vec
from scipy.optimize import minimize_scalar

from balance import gas, motion
from balance.machine.machine import IsothermalGas, Machine
from balance.machine.yoke import Diaphragm, Displacer, Piston, Yoke

MANY = 1152  # crank angles
RELATIVE = 1e-7
SEEDS = [seed for seed in range(400) if isinstance(random_machine(seed).gas, IsothermalGas)][:15]


@cache
def built(seed: int) -> Machine:
    return random_machine(seed)


@cache
def extreme(machine: Machine, yoke: Yoke, sign: float, of: int = 0) -> float:
    """Return the largest (sign 1) or least (-1) height, or derivative number `of`, over the cycle."""

    def value(angle: float) -> float:
        return -sign * float(placed(machine, yoke, np.array([angle])).height[of][0])

    grid = np.linspace(0, 2 * np.pi, 721)
    near = grid[np.argmax(sign * placed(machine, yoke, grid).height[of])]
    found = minimize_scalar(value, bounds=(near - 0.01, near + 0.01), method="bounded", options={"xatol": 1e-9})
    return -sign * float(found.fun)


def circle(diameter: float) -> float:
    return np.pi * (diameter / 2) ** 2


def area_at(machine: Machine, yoke: Yoke, height: np.ndarray, stem: float) -> np.ndarray:
    """Return the effective area of a piston or diaphragm at each height, m^2."""
    carried = yoke.carries
    if isinstance(carried, Piston):
        return np.full_like(height, circle(carried.bore) - stem)
    assert isinstance(carried, Diaphragm)
    top, bottom = extreme(machine, yoke, 1), extreme(machine, yoke, -1)
    place = (2 * height - top - bottom) / (top - bottom)
    return carried.area + (carried.area_at_ends - carried.area) * place**2


def spaces(machine: Machine, theta: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    """Return the swept hot volume and the cold volume from the same zero at all angles, m^3."""
    hot_yoke = next(each for each in machine.yokes.values() if isinstance(each.carries, Displacer))
    cold_yoke = next(each for each in machine.yokes.values() if isinstance(each.carries, Piston | Diaphragm))
    displacer = hot_yoke.carries
    stem = circle(displacer.stem_diameter)
    through = stem if displacer.stem_through_piston else 0.0
    up, low = placed(machine, hot_yoke, theta).height[0], placed(machine, cold_yoke, theta).height[0]
    base = extreme(machine, cold_yoke, -1)
    pushed = quad_vec(lambda u: (low - base) * area_at(machine, cold_yoke, base + u * (low - base), through), 0, 1)[0]
    hot = circle(displacer.bore) * (extreme(machine, hot_yoke, 1) - up)
    return hot, (circle(displacer.bore) - stem) * up - pushed


@pytest.mark.parametrize("seed", SEEDS)
def test_isothermal_pressure(seed: int) -> None:
    machine = built(seed)
    moved = motion.move(machine, motion.crank_angles(MANY))
    ours = gas.gas_state(machine, moved).pressure
    np.testing.assert_allclose(ours, pressure(machine, moved.theta), rtol=RELATIVE)


@pytest.mark.parametrize("seed", SEEDS[:10])
def test_volumes(seed: int) -> None:
    """The total with every dead volume, and what is swept: largest less least of a much finer curve."""
    machine = built(seed)
    moved = motion.move(machine, motion.crank_angles(MANY))
    volumes, dead = gas.gas_state(machine, moved).volumes, machine.gas.dead
    hot, cold = spaces(machine, motion.crank_angles(20 * MANY))
    total = hot + dead.hot + cold - cold.min() + dead.cold + dead.regenerator
    np.testing.assert_allclose(volumes.total, total[::20], rtol=RELATIVE)
    np.testing.assert_allclose(volumes.swept, np.ptp(total), rtol=RELATIVE)


@pytest.mark.parametrize("seed", SEEDS[:10])
def test_pressure_at_the_usual_number_of_angles(seed: int) -> None:
    machine = built(seed)
    moved = motion.move(machine)
    np.testing.assert_allclose(gas.gas_state(machine, moved).pressure, pressure(machine, moved.theta), rtol=1e-7)


def pressure(machine: Machine, theta: np.ndarray) -> np.ndarray:
    """Return the absolute pressure of a fixed amount of ideal gas, Pa, at equally spaced angles."""
    model = machine.gas
    assert isinstance(model, IsothermalGas)
    hot, cold = spaces(machine, theta)
    _, fine = spaces(machine, motion.crank_angles(20000))
    cold = cold - fine.min()
    span = model.hot - model.cold
    middle = model.cold if span < 1e-6 else span / np.log(model.hot / model.cold)
    amount = (
        (hot + model.dead.hot) / model.hot + model.dead.regenerator / middle + (cold + model.dead.cold) / model.cold
    )
    return model.mean_pressure / amount / np.mean(1 / amount)


@pytest.mark.parametrize("seed", range(200, 240))
def test_push_on_every_yoke(seed: int) -> None:
    machine = built(seed)
    moved = motion.move(machine, motion.crank_angles(MANY))
    state = gas.gas_state(machine, moved)
    excess = 0.0 if state.pressure is None else state.pressure - machine.gas.case_pressure
    stems = [
        y.carries for y in machine.yokes.values() if isinstance(y.carries, Displacer) and y.carries.stem_through_piston
    ]
    through = sum(circle(each.stem_diameter) for each in stems)
    for name, yoke in machine.yokes.items():
        height, rate, _ = placed(machine, yoke, moved.theta).height
        steady, flow = np.zeros_like(height), np.zeros_like(height)
        if isinstance(yoke.carries, Piston | Diaphragm):
            steady = -area_at(machine, yoke, height, through) * excess
        if isinstance(yoke.carries, Diaphragm):
            steady = steady - yoke.carries.spring * (
                height - (extreme(machine, yoke, 1) + extreme(machine, yoke, -1)) / 2
            )
        if isinstance(yoke.carries, Displacer):
            steady = -circle(yoke.carries.stem_diameter) * excess * np.ones_like(height)
            flow = flow_drag(machine, yoke, rate)
        for ours, expected in ((state.push[name].gas, steady), (state.push[name].inertia, flow)):
            atol = RELATIVE * np.max(np.abs(expected)) + 1e-300
            np.testing.assert_allclose(np.broadcast_to(ours, expected.shape), expected, rtol=0, atol=atol)


def flow_drag(machine: Machine, yoke: Yoke, rate: np.ndarray) -> np.ndarray:
    """Return the drag on a displacer per (rad/s)^2: the stated drop at the fastest point, with the square of speed."""
    loss = yoke.carries.flow_loss
    if loss is None:
        return np.zeros_like(rate)
    fastest = max(extreme(machine, yoke, 1, of=1), -extreme(machine, yoke, -1, of=1)) * loss.speed
    return -np.sign(rate) * circle(yoke.carries.bore) * loss.pressure * (rate / fastest) ** 2


@pytest.mark.parametrize("ratio", [1.0, 1 + 1e-8, 1.0005, 1.5, 4.0])
def test_log_mean_of_temperatures(ratio: float) -> None:
    """The mean of 1/T along a straight run of temperature is one over the logarithmic mean, here by Gauss's rule."""
    places, weights = np.polynomial.legendre.leggauss(30)
    between = 300.0 * (1 + (ratio - 1) * (places + 1) / 2)
    np.testing.assert_allclose(gas.log_mean(300.0, 300.0 * ratio), 2 / np.sum(weights / between), rtol=1e-7)
