"""How the speed of a crank swings over a turn, in closed form, and a flywheel in print.

A torque T (1 - cos 2 theta) against a steady T on an even moment of inertia I: w^2 = c - (T/I) sin 2 theta exactly,
c from the mean speed (computed to the digits below). Jindal, Machine Design, ex. 19-3: a flywheel for pulses of energy.
"""

import numpy as np
import pytest

from balance.flywheel import inertia_for
from balance.speed_swing import swing_of

THETA = 2 * np.pi / 720 * np.arange(720)


@pytest.mark.parametrize(
    ("rpm", "slowest", "fastest", "fluctuation"),
    [(1500.0, 1469.761, 1530.547, 0.0405243), (600.0, 526.700, 678.079, 0.252298)],
)
def test_closed_form(rpm: float, slowest: float, fastest: float, fluctuation: float):
    """I 1e-3 kg m^2, T 1 N m; to first order 4.05285 and 25.3303 percent."""
    found = swing_of(1e-3 * np.ones(720), 1 - np.cos(2 * THETA), np.zeros(720), rpm * np.pi / 30)
    assert np.min(found.speed) * 30 / np.pi == pytest.approx(slowest, abs=1e-3)
    assert np.max(found.speed) * 30 / np.pi == pytest.approx(fastest, abs=1e-3)
    assert float(found.fluctuation) == pytest.approx(fluctuation, rel=1e-5)
    assert float(found.load) == pytest.approx(1.0)
    assert 1 / np.mean(1 / found.speed) == pytest.approx(rpm * np.pi / 30, rel=1e-12)


def test_jindal_example_19_3():
    """Pulses of pi 200/16 N m at 300 rpm within 3 percent, 0.9 of I in the rim of R by 0.1 R and 0.15 R: R 0.2816 m.

    I = 39.27/(0.03 w^2); the rim weighs rho 2 pi R (0.1 R)(0.15 R).
    """
    inertia = 0.9 * float(inertia_for(np.pi * 200 / 16, 300 * np.pi / 30, 0.03))
    radius = (inertia / (7150 * 2 * np.pi * 0.1 * 0.15)) ** (1 / 5)
    assert radius == pytest.approx(0.281618, rel=1e-5)
