"""Gas past a piston: by hand between parallel plates, and never faster than its pressure makes it."""

import numpy as np
import pytest

from balance.leak import air_viscosity, leak_share, past_piston
from balance.machine.carried import Piston


def piston(play: float) -> Piston:
    """A piston 20 mm long in a bore of 40 mm."""
    return Piston(bore=0.040, diameter=0.040 - play, length=0.020)


def test_viscosity_of_air_in_tables():
    """1.81e-5 Pa s at 20 degC, 2.18e-5 at 100 degC: common tables, from memory."""
    assert air_viscosity(293.15) == pytest.approx(1.81e-5, rel=0.005)
    assert air_viscosity(373.15) == pytest.approx(2.18e-5, rel=0.005)


def test_a_narrow_slot_leaks_by_the_cube_of_its_width():
    """40 um of play, 10 kPa: 2.5 x pi x 40 mm x (20 um)^3 x 10 kPa / (12 x 1.81e-5 x 20 mm) = 5.79e-6 m^3/s."""
    pressure = np.array([110e3, 90e3])
    flow = past_piston(piston(40e-6), pressure, 100e3, 293.15)
    assert flow == pytest.approx([5.79e-6, -5.79e-6], rel=0.01)
    assert past_piston(piston(80e-6), pressure, 100e3, 293.15) == pytest.approx(8 * flow)
    # Out half the time: half the mean, at 10 turns a second a tenth of a second long.
    assert leak_share(flow, 10e-6, 20 * np.pi) == pytest.approx(5.79e-6 / 2 / 10 / 10e-6, rel=0.01)


def test_a_wide_slot_is_bound_by_the_speed_that_the_pressure_gives():
    """2 mm of play, 10 kPa at 1.31 kg/m^3: 124 m/s through pi x 40 mm x 1 mm."""
    flow = past_piston(piston(2e-3), np.array([110e3]), 100e3, 293.15)
    assert flow == pytest.approx(np.pi * 0.040 * 0.001 * np.sqrt(2 * 10e3 / (110e3 / 287.05 / 293.15)))


def test_no_play_no_leak_and_no_size_no_answer():
    assert past_piston(piston(0.0), np.array([110e3]), 100e3, 293.15) == pytest.approx(0.0)
    assert past_piston(Piston(bore=0.040), np.array([110e3]), 100e3, 293.15) is None
