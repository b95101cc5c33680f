"""Deflection and slope of shafts: Budynas and Nisbett, Shigley's Mechanical Engineering Design, 9th edition.

Table A-9 is from memory; its formulas are also in Roark's Formulas for Stress and Strain.
"""

import numpy as np
import pytest
from bare_shafts import influence
from published.beams import BUSH, slender

from balance.machine.materials import Material
from designs.design import Limits
from shafts.bearings.bearing import Bearing
from shafts.crank.members import shear_coefficient
from shafts.shaft import Segment, Shaft

INCH, LBF, PSI = 0.0254, 4.4482216, 6894.757293

EI = 300.0  # N m^2
NO_SHEAR = 2e-5  # what shear adds to the slender beam of these tests, and more


def test_problem_7_8_slopes_of_a_uniform_shaft():
    """Solution of problem 7-8: d 1.875 in, span 11 in, 1449 lbf at 9 in, E 30 Mpsi: 2.823e-4, 4.342e-4 and 3.04e-4 rad.

    Shear bends no slope here, so the real diameter stands. Against the limits of table 7-2 (0.001, 0.0008 and 0.0005
    rad) the safeties are 3.54, 1.84 and 1.64.
    """
    steel = Material(density=7850, young=30e6 * PSI, shear=11.5e6 * PSI)
    shaft = Shaft(
        material=steel,
        segments=(Segment(length=11 * INCH, diameter=1.875 * INCH),),
        starts_at=0.0,
        bearings=(Bearing(at=0.0, bush=BUSH), Bearing(at=11 * INCH, bush=BUSH)),
    )
    slopes = influence(shaft, [9 * INCH], [0.0, 11 * INCH, 9 * INCH], [0.0, 0.0]).bending[1:, 0] * 1449 * LBF
    np.testing.assert_allclose(np.abs(slopes), [2.823e-4, 4.342e-4, 3.04e-4], rtol=6e-4)
    np.testing.assert_allclose(np.array([0.001, 0.0008, 0.0005]) / np.abs(slopes), [3.54, 1.84, 1.64], atol=0.006)
    assert slopes[0] > 0 > slopes[1]


@pytest.mark.parametrize("share", [0.2, 0.5, 0.83])
def test_table_a_9_load_in_the_span(share):
    """Deflection F b x (l^2 - b^2 - x^2)/(6 E I l) up to the load.

    Slopes F b (l^2 - b^2)/(6 E I l) and F a (l^2 - a^2)/(6 E I l) at the ends.
    """
    span = 0.3
    a = share * span
    b = span - a
    x = np.array([0.1, 0.4, 0.9]) * a
    found = influence(slender([EI], [span], [0.0, span]), [a, *x], [0.0, span], [0.0, 0.0]).bending[:, 0]
    np.testing.assert_allclose(found[0], a**2 * b**2 / (3 * EI * span), rtol=NO_SHEAR)
    np.testing.assert_allclose(found[1:4], b * x * (span**2 - b**2 - x**2) / (6 * EI * span), rtol=NO_SHEAR)
    slopes = (b * (span**2 - b**2) / (6 * EI * span), -a * (span**2 - a**2) / (6 * EI * span))
    np.testing.assert_allclose(found[4:], slopes, rtol=NO_SHEAR)


@pytest.mark.parametrize("hand", [1, -1])
@pytest.mark.parametrize("overhang", [0.05, 0.2])
def test_table_a_9_overhung_load(overhang, hand):
    """At the tip F a^2 (l + a)/(3 E I), slope F a (2 l + 3 a)/(6 E I); F a l/(3 E I) and F a l/(6 E I) at the supports.

    Within the span F a x (l^2 - x^2)/(6 E I l) the other way. `hand`: on either side of the bearings.
    """
    span, a = 0.3, overhang
    at = sorted([0.0, hand * span])
    shaft = slender([EI], [span + a], at, starts_at=min(0.0, -(span + a)) if hand < 0 else 0.0)
    x = np.array([0.25, 0.6, 0.9]) * span
    stations = [hand * (span + a), *(hand * x)]
    slopes_at = [hand * (span + a), hand * span, 0.0]
    found = influence(shaft, stations, slopes_at, [0.0, 0.0]).bending[:, 0]
    np.testing.assert_allclose(found[0], a**2 * (span + a) / (3 * EI), rtol=NO_SHEAR)
    np.testing.assert_allclose(found[1:4], -a * x * (span**2 - x**2) / (6 * EI * span), rtol=NO_SHEAR)
    slopes = np.array([a * (2 * span + 3 * a) / (6 * EI), a * span / (3 * EI), -a * span / (6 * EI)])
    np.testing.assert_allclose(found[4:] * hand, slopes, rtol=NO_SHEAR)


def test_stepped_overhang():
    """Root p long of I1, outer length q of I2, on a span that is next to rigid: own integration of M/EI, no source.

    y = F [((p + q)^3 - q^3)/(3 E I1) + q^3/(3 E I2)], slope = F [((p + q)^2 - q^2)/(2 E I1) + q^2/(2 E I2)].
    """
    p, q, first, second = 0.12, 0.08, EI, EI / 3
    shaft = slender([EI * 1e6, first, second], [0.2, p, q], [0.0, 0.2])
    found = influence(shaft, [0.2 + p + q], [0.2 + p + q], [0.0, 0.0]).bending[:, 0]
    deflection = ((p + q) ** 3 - q**3) / (3 * first) + q**3 / (3 * second)
    slope = ((p + q) ** 2 - q**2) / (2 * first) + q**2 / (2 * second)
    np.testing.assert_allclose(found, [deflection, slope], rtol=NO_SHEAR)


def test_cowper_shear_coefficient():
    """6 (1 + nu)/(7 + 6 nu) for a solid round bar, 2 (1 + nu)/(4 + 3 nu) for a thin tube: Cowper (1966), table 1.

    With nu = 0.3: 0.886 and 0.531.
    """
    np.testing.assert_allclose(shear_coefficient(0.0, 0.3), 0.886, atol=5e-4)
    np.testing.assert_allclose(shear_coefficient(1.0, 0.3), 0.531, atol=5e-4)


def test_usual_limits_of_slope_lie_within_table_7_2() -> None:
    """Table 7-2: deep-groove ball bearings 0.001 to 0.003 rad, uncrowned spur gears less than 0.0005 rad."""
    usual = Limits()
    assert 0.001 <= usual.slope_at_bearings <= 0.003
    assert usual.slope_at_gears == pytest.approx(0.0005)
