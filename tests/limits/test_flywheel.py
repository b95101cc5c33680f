"""Laws of even turning: closed forms of energy, the exact turning by a fine integration, and discs."""

from dataclasses import replace

import numpy as np
import pytest
from limits.evaluated import one_yoke, run
from random_designs import random_machine
from scipy.integrate import solve_ivp

from balance.cycle.load import Load
from balance.errors import BadDesign
from balance.flywheel import (
    energy_over_cycle,
    evenness,
    fluctuation,
    inertia_for,
    speed_fluctuation,
    torque_over_cycle,
    turning_inertia,
    turning_inertias,
)
from balance.machine.crank import Gears, Web
from balance.machine.disc import Disc, disc_inertia, disc_mass, disc_stress, rim_speed
from balance.machine.machine import Flywheel
from balance.machine.materials import MATERIALS
from balance.machine.yoke import Rod, RodMasses, Slot

THETA = np.arange(72) * (2 * np.pi / 72)


@pytest.mark.parametrize("order", [1, 2, 5])
@pytest.mark.parametrize("shift", [0.0, 0.4])
def test_single_order(order: int, shift: float) -> None:
    """T = 3 + A cos(n t + s): dE = 2 A/n; the torque changes sense 2 n times where A is above the mean."""
    found = evenness(3 + 5 * np.cos(order * THETA + shift))
    assert found.mean == pytest.approx(3.0)
    assert found.work == pytest.approx(6 * np.pi)
    assert found.energy == pytest.approx(2 * 5 / order, rel=2e-4)
    assert found.ripple == pytest.approx(10.0, rel=2e-4)
    assert found.reversals == 2 * order
    assert evenness(6 + 5 * np.cos(order * THETA)).reversals == 0


def test_share_of_energy_is_that_over_the_work_of_a_turn_and_endless_without_work() -> None:
    """3 + 5 cos 2t: 5 J up and down over 6 pi J of work; a torque that does none has no share."""
    shares = evenness(np.stack([3 + 5 * np.cos(2 * THETA), -3 + 5 * np.cos(2 * THETA)])).energy_share
    np.testing.assert_allclose(shares, 5 / (6 * np.pi), rtol=1e-3)
    assert evenness(np.tile([1.0, -1.0], 36)).energy_share == np.inf


def test_energy_is_the_integral_of_torque() -> None:
    torque = 1 + np.exp(np.sin(THETA)) * np.cos(2 * THETA)
    energy = energy_over_cycle(torque)
    slope = np.fft.irfft(1j * np.arange(37) * np.fft.rfft(energy), 72)
    np.testing.assert_allclose(slope, torque - np.mean(torque), atol=1e-12)


def test_fluctuation_against_the_turning_itself() -> None:
    """J w dw/dt = T - mean, integrated by scipy: (fastest - slowest)/mean of what comes out."""
    inertia, speed = 4e-4, 150.0

    def torque(angle: float) -> float:
        return 0.3 + 0.2 * np.cos(angle) - 0.15 * np.sin(2 * angle)

    turned = solve_ivp(
        lambda angle, w: (torque(angle) - 0.3) / (inertia * w), (0, 2 * np.pi), [speed], rtol=1e-10, max_step=0.02
    )
    fast, slow = turned.y[0].max(), turned.y[0].min()
    found = speed_fluctuation(evenness(torque(THETA)).energy, inertia, (fast + slow) / 2)
    assert (fast - slow) / ((fast + slow) / 2) == pytest.approx(float(found), rel=1e-3)
    assert found > 0.01


def test_needed_inertia_and_fluctuation_are_inverse() -> None:
    needed = inertia_for(0.5, np.array([20.0, 90.0]), 0.05)
    np.testing.assert_allclose(speed_fluctuation(0.5, needed, np.array([20.0, 90.0])), 0.05)
    assert needed[0] / needed[1] == pytest.approx((90 / 20) ** 2)
    assert speed_fluctuation(0.5, 0.0, 90.0) == np.inf


def test_fluctuation_of_gas_falls_with_speed_squared_and_that_of_inertia_stays() -> None:
    wave = np.cos(2 * THETA)
    gas, inertia = Load(steady=wave), Load(inertia=1e-5 * wave)
    assert fluctuation(gas, 1e-3, 50.0) == pytest.approx(4 * fluctuation(gas, 1e-3, 100.0))
    assert fluctuation(inertia, 1e-3, 50.0) == pytest.approx(fluctuation(inertia, 1e-3, 100.0))
    assert fluctuation(inertia, 1e-3, 50.0) == pytest.approx(1e-5 / 1e-3, rel=1e-3)


def test_what_counts_as_turning() -> None:
    """Flywheel, webs as point masses, crankpin ends of both rods; closed forms."""
    rod = Rod(length=0.05, mass=0.010, cg=0.02, left=RodMasses(mass=0.012, cg=0.01))
    machine = one_yoke({"rod": rod})
    machine = replace(
        machine,
        flywheel=Flywheel(on="both", inertia=3e-4, at=0.03, mass=0.3),
        cranks=replace(
            machine.cranks,
            webs=(Web(at=0.0, mass=0.1, cg=(0.003, -0.004)), Web(at=0.0, mass=0.2, cg=(0.01, 0.0), on="left")),
        ),
    )
    found = turning_inertias(machine)
    assert found["flywheel"] == pytest.approx(6e-4)
    assert found["webs and weights"] == pytest.approx(2 * 0.1 * 0.005**2 + 0.2 * 0.01**2)
    assert found["rods' crankpin ends"] == pytest.approx((0.010 * 0.6 + 0.012 * 0.8) * 0.01**2)
    assert turning_inertia(machine) == pytest.approx(sum(found.values()))
    assert turning_inertia(one_yoke({"slot": Slot()})) == 0.0


def test_gears_count_as_solid_discs_on_both_shafts() -> None:
    machine = one_yoke({"slot": Slot()})
    gears = Gears(module=0.001, teeth=44, at=0.01, mass=0.08)
    found = turning_inertias(replace(machine, cranks=replace(machine.cranks, gears=gears)))
    thickness = 0.08 / disc_mass(0.044, 1.0, 8500.0)
    assert found["gears"] == pytest.approx(2 * disc_inertia(0.044, thickness, 8500.0))


@pytest.mark.parametrize("stated", [{"thickness": 0.012}, {"diameter": 0.09}])
def test_disc_has_the_inertia_asked_for(stated: dict) -> None:
    """Its moment of inertia and mass by rings, summed finely: sum of rho t 2 pi r^3 dr."""
    brass = MATERIALS["brass"]
    diameter, thickness = Disc(material=brass, **stated).measures(5e-4)
    radius = (np.arange(2000) + 0.5) / 2000 * diameter / 2
    rings = brass.density * thickness * 2 * np.pi * radius * (diameter / 2 / 2000)
    assert np.sum(rings * radius**2) == pytest.approx(5e-4, rel=1e-6)
    assert disc_mass(diameter, thickness, brass.density) == pytest.approx(np.sum(rings), rel=1e-6)
    assert disc_inertia(diameter, thickness, brass.density) == pytest.approx(5e-4)


def test_disc_stress_against_a_fine_integration() -> None:
    """Hoop stress at a small bore from d(r s_r)/dr = s_t - rho w^2 r^2 of a turning disc, shot from the rim."""
    density, poisson, young, speed, outer, bore = 7850.0, 0.3, 207e9, 400.0, 0.1, 0.1 * 1e-3

    def slopes(r: float, state: np.ndarray) -> list[float]:
        radial, shift = state
        hoop = young * shift / r + poisson * radial
        return [(hoop - radial) / r - density * speed**2 * r, (radial - poisson * hoop) / young]

    def at_bore(shift: float) -> tuple[float, float]:
        end = solve_ivp(slopes, (outer, bore), [0.0, shift], rtol=1e-10, atol=1e-16).y[:, -1]
        return end[0], young * end[1] / bore + poisson * end[0]

    guess = density * speed**2 * outer**3 / young
    (first, hoop), (second, other) = at_bore(0.0), at_bore(guess)
    share = -first / (second - first)
    expected = hoop + share * (other - hoop)
    assert disc_stress(rim_speed(2 * outer, speed), density, poisson) == pytest.approx(expected, rel=1e-3)


def test_disc_stress_of_steel_by_the_handbook() -> None:
    """(3 + nu)/4 rho v^2 at a small central hole: 0.825 rho v^2 with nu = 0.3 (Roark, Den Hartog, from memory)."""
    assert disc_stress(120.0, 7850.0) == pytest.approx(0.825 * 7850 * 120**2)


@pytest.mark.parametrize("speed", [50.0, np.array([50.0, 60.0, 70.0])])
@pytest.mark.parametrize("gas", [np.cos(THETA), np.cos(THETA) * np.array([[1.0], [2.0], [3.0]]), np.array([2.0])])
def test_torque_over_the_cycle_has_every_option_and_angle(speed, gas) -> None:
    """One speed or several, one torque or several, of every angle or the same at all: gas + w^2 x 1e-3."""
    found = torque_over_cycle(Load(steady=gas, inertia=1e-3), speed, 72)
    options = () if np.ndim(speed) == 0 and gas.ndim == 1 else (3,)
    assert found.shape == (*options, 72)
    for option in range(3 if options else 0):
        one = gas[option] if gas.ndim == 2 else gas
        np.testing.assert_allclose(found[option], one + np.broadcast_to(speed, 3)[option] ** 2 * 1e-3 + 0 * THETA)


def test_disc_states_one_measure() -> None:
    for wrong in ({}, {"thickness": 0.01, "diameter": 0.1}):
        with pytest.raises(BadDesign, match="thickness and diameter"):
            Disc(**wrong)


def test_torque_of_a_machine_gives_its_work() -> None:
    found = run(random_machine(2, "A"))
    torque = torque_over_cycle(found.torques.total, 80.0, found.moved.theta.size)
    work = np.squeeze(found.gas.indicated_work(found.moved).at(80.0))
    assert evenness(torque).work == pytest.approx(float(work), rel=1e-9, abs=1e-12)
