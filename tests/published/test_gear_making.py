"""What speed and form do to gear teeth: velocity factors by making and by quality, form factors, worked examples.

Shigley's Mechanical Engineering Design, 9th ed., eqs. 14-4 to 14-6, 14-27, 14-28 and example 14-4 (from memory, check
against the book; inputs give the outputs); Wentzell, Machine Design, examples 12.3 to 12.5, pp. 258 to 263; Jindal,
Machine Design, example 25-3, p. 670.
"""

from dataclasses import replace

import numpy as np
import pytest

from balance.errors import BadDesign
from balance.machine.crank import Gears
from balance.machine.materials import MATERIALS
from shafts.strength.teeth import bending_stress, form_factor, velocity_factor

FOOT_PER_MINUTE, INCH, LBF, PSI = 0.3048 / 60, 0.0254, 4.4482216152605, 6894.757293168
STEEP, SLIGHT = np.deg2rad(20), np.deg2rad(14.5)


@pytest.mark.parametrize(
    ("made", "factor"),
    [
        *(("cast", 1.83333), ("cut", 1.41667), ("milled", 1.41667)),
        *(("hobbed", 1.447214), ("shaped", 1.447214), ("shaved", 1.134317), ("ground", 1.134317)),
    ],
)
def test_velocity_factor_at_500_feet_a_minute(made, factor):
    np.testing.assert_allclose(velocity_factor(500 * FOOT_PER_MINUTE, made), factor, rtol=3e-6)


@pytest.mark.parametrize(
    ("made", "factor"), [("cast", 1.83279), ("cut", 1.41639), ("hobbed", 1.447679), ("ground", 1.134303)]
)
def test_velocity_factor_in_metric_form(made, factor):
    """The book rounds its feet to (3.05 + v) / 3.05 and so on: 2.54 m/s."""
    np.testing.assert_allclose(velocity_factor(2.54, made), factor, rtol=4e-4)


def test_hobbed_is_above_cut_below_576_feet_a_minute_and_the_larger_counts_where_nothing_is_said():
    """(V / 1200) = sqrt(V) / 50 at V = 576."""
    crossing = 576 * FOOT_PER_MINUTE
    np.testing.assert_allclose(velocity_factor(crossing, "cut"), velocity_factor(crossing, "hobbed"), rtol=1e-12)
    assert velocity_factor(crossing / 2) == velocity_factor(crossing / 2, "hobbed")
    assert velocity_factor(crossing * 2) == velocity_factor(crossing * 2, "cut")


def test_quality_of_example_14_4():
    """17 teeth, P 10, 1800 rpm, Q_v 6: V 801.1 ft/min, K_v 1.377."""
    speed = 17 / 10 / 2 * INCH * 1800 * 2 * np.pi / 60
    np.testing.assert_allclose(speed / FOOT_PER_MINUTE, 801.1, rtol=1e-4)
    np.testing.assert_allclose(velocity_factor(speed, quality=6), 1.377, rtol=3e-4)


@pytest.mark.parametrize(("feet", "factor"), [(200, 1.1546), (500, 1.2410), (1000, 1.3358)])
def test_quality_7(feet, factor):
    np.testing.assert_allclose(velocity_factor(feet * FOOT_PER_MINUTE, quality=7), factor, rtol=5e-5)


def test_a_quality_has_a_fastest_speed():
    """V_max = (A + Q_v - 3)^2: 4769.8 ft/min for Q_v 7."""
    assert np.isfinite(velocity_factor(4769 * FOOT_PER_MINUTE, quality=7))
    assert np.isnan(velocity_factor(4771 * FOOT_PER_MINUTE, quality=7))


@pytest.mark.parametrize(
    ("teeth", "factor", "digits"),
    [(12, 0.210, 3e-3), (18, 0.270, 3e-3), (20, 0.283, 4e-3), (24, 0.302, 7e-3), (30, 0.318, 2e-3), (50, 0.346, 2e-3)],
)
def test_form_factor_of_composite_teeth(teeth, factor, digits):
    """The formula against the tables of pi times two or three digits; 24 teeth by Wentzell, example 12.5."""
    np.testing.assert_allclose(form_factor(teeth, SLIGHT), factor, rtol=digits)


@pytest.mark.parametrize(("teeth", "factor"), [(20, 0.320), (24, 0.337), (30, 0.358), (50, 0.409)])
def test_form_factor_of_full_depth_teeth_in_another_table(teeth, factor):
    """Wentzell examples 12.3 and 12.7, Jindal example 25-3: tables differ by up to 0.003."""
    np.testing.assert_allclose(form_factor(teeth, STEEP), factor, atol=0.003)


def test_wentzell_12_3():
    """S_n 47500 psi, face 1 in, P 8, 20 teeth: 1900 lb; his table has Y 0.320, ours 0.322."""
    gears = Gears(module=INCH / 8, teeth=20, face=INCH, at=0.0)
    np.testing.assert_allclose(47500 * PSI / bending_stress(gears, 1.0) / LBF, 1900.0, rtol=7e-3)


def test_wentzell_12_4():
    """146 lb at 1129 ft/min, by the form for rough teeth: 420.72 lb."""
    np.testing.assert_allclose(146 * velocity_factor(1129 * FOOT_PER_MINUTE, "cast"), 420.72, rtol=2e-5)


def test_wentzell_12_5():
    """14.5 degrees, 24 teeth, P 12, face 0.75 in, 27.5 kpsi, 1800 rpm, rough: 519.06 lb, 201.91 lb, 5.77 hp."""
    gears = Gears(module=INCH / 12, teeth=24, face=0.75 * INCH, pressure_angle=SLIGHT, at=0.0)
    speed = gears.pitch_radius * 1800 * 2 * np.pi / 60
    capacity = 27500 * PSI / bending_stress(gears, 1.0)
    carried = capacity / velocity_factor(speed, "cast")
    np.testing.assert_allclose(capacity / LBF, 519.06, rtol=7e-3)
    np.testing.assert_allclose(carried / LBF, 201.91, rtol=7e-3)
    np.testing.assert_allclose(carried * speed / 745.7, 5.77, rtol=8e-3)


def test_jindal_25_3():
    """30 teeth of 5 mm, face 60 mm, 150 MPa: 16110 N; at 1000 rpm, made roughly, 11.657 kW with 1.5 and 2 to spare."""
    gears = Gears(module=5e-3, teeth=30, face=60e-3, at=0.0)
    np.testing.assert_allclose(150e6 / bending_stress(gears, 1.0), 16110, rtol=3e-3)
    speed = gears.pitch_radius * 1000 * 2 * np.pi / 60
    carried = 16110 / velocity_factor(speed, "cast") / 1.5 / 2
    np.testing.assert_allclose(carried * speed, 11657, rtol=0.015)  # the book takes 3 m/s for 3.048


def test_what_a_design_says_of_its_teeth_must_fit_together():
    good = Gears(module=1e-3, teeth=40, at=0.0, quality=6, form="20 deg full depth")
    with pytest.raises(BadDesign, match="either made or quality"):
        replace(good, made="ground")
    with pytest.raises(BadDesign, match="the form of that angle"):
        replace(good, form="14.5 deg composite")
    with pytest.raises(BadDesign, match="quality"):
        replace(good, quality=12)
    assert replace(good, pressure_angle=SLIGHT, form="14.5 deg composite").form


def test_each_gear_weighs_what_its_own_material_does():
    gears = Gears(module=1e-3, teeth=44, face=6e-3, at=0.0, material=MATERIALS["steel"])
    mixed = replace(gears, left_material=MATERIALS["acetal"])
    solid = np.pi * 0.022**2 * 6e-3
    np.testing.assert_allclose(mixed.mass_of("right"), solid * MATERIALS["steel"].density, rtol=1e-12)
    np.testing.assert_allclose(mixed.mass_of("left"), solid * MATERIALS["acetal"].density, rtol=1e-12)
    np.testing.assert_allclose(mixed.polar_inertia_of("left") / mixed.mass_of("left"), 0.022**2 / 2, rtol=1e-12)
    np.testing.assert_allclose(gears.mass_of("left"), gears.mass_of("right"), rtol=0)
