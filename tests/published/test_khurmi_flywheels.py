"""Khurmi and Gupta, Theory of Machines, chapter 16: flywheels."""

import numpy as np
import pytest

from balance.flywheel import evenness, inertia_for, largest_acceleration, speed_fluctuation

RPM = np.pi / 30


def test_example_16_1() -> None:
    """P. 573: 6.5 t of radius of gyration 1.8 m, 56 kN m of energy, 120 rpm: 121 and 119 rpm."""
    speed = 120 * RPM
    coefficient = speed_fluctuation(56e3, 6500 * 1.8**2, speed)
    assert speed * (1 + coefficient / 2) / RPM == pytest.approx(121, abs=0.5)
    assert speed * coefficient / RPM == pytest.approx(2.02, abs=0.005)


def test_example_16_3() -> None:
    """P. 574: 300 kW at 90 rpm, energy 0.1 of a turn's work, speed within 0.5 percent, k = 2 m: about 5630 kg."""
    speed = 90 * RPM
    work = 300e3 * 2 * np.pi / speed
    assert inertia_for(0.1 * work, speed, 0.01) / 2**2 == pytest.approx(5630, rel=2e-3)


def three_cylinders(angles: int = 1440) -> np.ndarray:
    """P. 580, example 16.8: triangles of torque from 0 to 180 degrees, 90 N m at 60, the three 120 degrees apart."""
    theta = np.arange(angles) * (360.0 / angles)
    return sum(np.interp((theta - lag) % 360, [0, 60, 180, 360], [0, 90, 0, 0]) for lag in (0, 120, 240))


def test_example_16_8() -> None:
    """600 rpm, 12 kg of radius of gyration 80 mm: 4.24 kW, C_E 2.78 and C_S about 4 percent, 292 rad/s^2."""
    speed, inertia, torque = 600 * RPM, 12 * 0.08**2, three_cylinders()
    found = evenness(torque)
    assert found.mean * speed == pytest.approx(4.24e3, abs=5)
    assert found.energy_share == pytest.approx(0.0278, abs=5e-5)
    assert speed_fluctuation(found.energy, inertia, speed) == pytest.approx(0.0389, abs=5e-5)
    assert largest_acceleration(torque, inertia) == pytest.approx(292, abs=1)


def test_example_16_8_needs_its_own_flywheel() -> None:
    """The flywheel that holds its speed to what the example finds is the example's own."""
    found = evenness(three_cylinders())
    assert inertia_for(found.energy, 600 * RPM, 0.0389) == pytest.approx(12 * 0.08**2, rel=2e-3)
