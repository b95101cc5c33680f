"""Notch factors against a second published fit of the same curves (all recalled).

Pilkey, Peterson's Stress Concentration Factors, 3rd ed., charts 3.10 to 3.12 (shoulders); Roark's Formulas for
Stress and Strain, 7th ed., table 17.1 (hole across a round bar); Neuber's and Peterson's limits of shallow grooves.
"""

import numpy as np
import pytest

from shafts.strength.concentration import cross_hole, groove, press_fit, shoulder


def pilkey(height: float, root: float, large: float, rows: list[tuple[float, float, float]]) -> float:
    """Return K = sum of C_i (2 h/D)^i with C_i = a + b sqrt(h/r) + c h/r."""
    steep = height / root
    return sum((a + b * steep**0.5 + c * steep) * (2 * height / large) ** i for i, (a, b, c) in enumerate(rows))


BENDING_LOW = [(0.947, 1.206, -0.131), (0.022, -3.405, 0.915), (0.869, 1.777, -0.555), (-0.810, 0.422, -0.260)]
BENDING_HIGH = [(1.232, 0.832, -0.008), (-3.813, 0.968, -0.260), (7.423, -4.868, 0.869), (-3.839, 3.070, -0.600)]
TORSION = [(0.905, 0.783, -0.075), (-0.437, -1.969, 0.553), (1.557, 1.073, -0.578), (-1.061, 0.171, 0.086)]


@pytest.mark.parametrize("large", [1.1, 1.2, 1.5, 2.0])
@pytest.mark.parametrize("root", [0.03, 0.05, 0.1, 0.2])
def test_shoulders(large: float, root: float):
    """Two fits of one chart: to 11 percent, the most at sharp fillets."""
    height = (large - 1) / 2
    rows = BENDING_LOW if height / root < 2 else BENDING_HIGH
    found = shoulder(large, 1.0, root)
    np.testing.assert_allclose(found.bending, pilkey(height, root, large, rows), rtol=0.11)
    if 0.25 <= height / root <= 4:
        np.testing.assert_allclose(found.torsion, pilkey(height, root, large, TORSION), rtol=0.11)


@pytest.mark.parametrize("ratio", [0.05, 0.1, 0.15, 0.2, 0.25, 0.3])
def test_cross_hole(ratio: float):
    """Roark, solid bar: 3 - 6.25 x + 41 x^2 - 45 x^3 in bending, half of the tension at the edge in torsion."""
    bending, torsion = cross_hole(ratio)
    np.testing.assert_allclose(bending, 3 - 6.25 * ratio + 41 * ratio**2 - 45 * ratio**3, rtol=0.1)
    cubic = 4 - 6.793 * ratio + 38.382 * ratio**2 - 44.576 * ratio**3
    np.testing.assert_allclose(torsion, cubic / 2, rtol=0.06)


def test_shallow_grooves():
    """A shallow half-round groove: 3.065 in bending (Peterson), 2 in torsion (Neuber); a narrow one 1 + 2 sqrt(t/r)."""
    bending, torsion = groove(1e-4, 1e-4, 1.0)
    np.testing.assert_allclose(bending, 3.065, rtol=0.02)
    np.testing.assert_allclose(torsion, 2.0, rtol=0.01)
    bending, torsion = groove(1e-4, 1e-4 / 9, 1.0)
    np.testing.assert_allclose(bending, 1 + 2 * 3, rtol=0.05)
    np.testing.assert_allclose(torsion, 1 + 3, rtol=0.02)


def test_press_fits():
    """DIN 743-2 (2012), table 1, as printed for a hub: 2.3 and 1.4 at 500 MPa, 2.8 and 1.7 at 800 MPa."""
    np.testing.assert_allclose(press_fit(500e6), [2.3, 1.4], atol=0.06)
    np.testing.assert_allclose(press_fit(800e6), [2.8, 1.7], atol=0.06)
