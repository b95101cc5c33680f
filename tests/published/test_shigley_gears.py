"""Spur gear teeth: Shigley's Mechanical Engineering Design, 9th ed., ch. 14 (from memory; inputs give the outputs)."""

from dataclasses import replace

import numpy as np
import pytest

from balance.machine.crank import Gears
from balance.machine.materials import Material
from shafts.strength.teeth import (
    bending_stress,
    contact_stress,
    elastic_coefficient,
    fillet_factor,
    form_factor,
    root_endurance,
    surface_endurance,
    velocity_factor,
)

INCH, LBF, PSI, FOOT = 0.0254, 4.4482216152605, 6894.757293168, 0.3048
PINION = Gears(module=INCH / 8, teeth=16, face=1.5 * INCH, at=0.0)
SPEED = 1200 * 2 * np.pi / 60
STEEL = Material(density=7850, young=30e6 * PSI, shear=30e6 * PSI / (2 * 1.292), tensile_strength=55e3 * PSI)
CAST_IRON = Material(density=7200, young=14.5e6 * PSI, shear=14.5e6 * PSI / (2 * 1.211))


def test_example_14_1():
    """P 8, 16 teeth, face 1.5 in, Y 0.296, 1200 rpm, 10 kpsi: V 628 ft/min, K_v 1.52, W 365 lbf, 6.95 hp.

    The book goes on with K_v rounded to 1.52.
    """
    pitch_speed = PINION.pitch_radius * SPEED
    np.testing.assert_allclose(pitch_speed / FOOT * 60, 628.3, rtol=1e-4)
    np.testing.assert_allclose(velocity_factor(pitch_speed, "cut"), 1.5236, rtol=1e-4)
    force = 10e3 * PSI / bending_stress(PINION, 1.52)
    np.testing.assert_allclose(force / LBF, 365.1, rtol=2e-4)
    np.testing.assert_allclose(force * pitch_speed / 745.7, 6.95, rtol=1e-3)


def test_example_14_2():
    """The same tooth of 55 kpsi steel bent one way: endurance 28.5 kpsi, 347 lbf with a safety of 3.

    The book reads the fillet's factor off a chart (1.42); its own equation 14-9 gives 1.40. So 2 percent.
    """
    np.testing.assert_allclose(fillet_factor(PINION), 1.42, rtol=0.02)
    endurance = root_endurance(PINION, STEEL, reverses=False)
    np.testing.assert_allclose(endurance / PSI, 28.5e3, rtol=0.02)
    force = endurance / 3 / bending_stress(PINION, velocity_factor(PINION.pitch_radius * SPEED, "milled"))
    np.testing.assert_allclose(force / LBF, 347, rtol=0.02)


def test_a_tooth_bent_both_ways_lacks_the_gain_of_one_way_bending():
    """Example 14-2: by Gerber's line one-way bending is borne 1.66 times as well as reversed bending."""
    one_way, both = (root_endurance(PINION, STEEL, reverses=each) for each in (False, True))
    np.testing.assert_allclose(one_way / both, 1.66, rtol=1e-12)


def test_example_14_3():
    """Pinion as before on a wheel of 50 teeth of cast iron, 382 lbf: C_p 1817 sqrt(psi), contact stress 72.4 kpsi.

    Our gears are equal; curvatures 1/0.342 + 1/1.069 per inch are those of two gears of 24.24 teeth.
    """
    np.testing.assert_allclose(elastic_coefficient(STEEL, CAST_IRON) / np.sqrt(PSI), 1817, rtol=1e-3)
    curvature = (1 / 0.342 + 1 / 1.069) / INCH
    radius = 2 / curvature / np.sin(np.deg2rad(20))
    gears = Gears(module=radius * 2 / 24, teeth=24, face=1.5 * INCH, at=0.0)
    stress = contact_stress(gears, STEEL, CAST_IRON, 1.52 * 382 * LBF)
    np.testing.assert_allclose(stress / PSI, 72.4e3, rtol=1e-3)


@pytest.mark.parametrize(
    ("teeth", "factor"),
    [
        *((12, 0.245), (13, 0.261), (14, 0.277), (15, 0.290), (16, 0.296), (17, 0.303), (18, 0.309), (19, 0.314)),
        *((20, 0.322), (21, 0.328), (22, 0.331), (24, 0.337), (26, 0.346), (28, 0.353), (30, 0.359), (34, 0.371)),
        *((38, 0.384), (43, 0.397), (50, 0.409), (60, 0.422), (75, 0.435), (100, 0.447), (150, 0.460), (300, 0.472)),
    ],
)
def test_form_factor_of_table_14_2(teeth, factor):
    np.testing.assert_allclose(form_factor(teeth, np.deg2rad(20)), factor, rtol=1e-12)


@pytest.mark.parametrize("teeth", [16, 20, 30, 50, 100])
def test_form_factor_is_near_the_older_formula(teeth):
    """Compare pi (0.154 - 0.912 / N) for full-depth 20-degree teeth (common practice, no source): within 8 percent."""
    np.testing.assert_allclose(form_factor(teeth, np.deg2rad(20)), np.pi * (0.154 - 0.912 / teeth), rtol=0.08)


@pytest.mark.parametrize("hardness", [150, 200, 300])
def test_contact_strength_of_steel(hardness):
    """Eq. 6-68: 0.4 H_B - 10 kpsi; eq. 2-21: H_B is the tensile strength over 3.4 MPa."""
    steel = replace(STEEL, tensile_strength=3.4e6 * hardness)
    np.testing.assert_allclose(surface_endurance(steel) / PSI, (0.4 * hardness - 10) * 1e3, rtol=3e-3)


def test_too_few_teeth_have_no_form_factor():
    assert np.isnan(form_factor(9, np.deg2rad(20)))


def test_form_factors_lie_on_one_curve():
    """By 1/N, as Lewis's layout has it: each within 2 percent of its neighbours' line, all below a rack's 0.485."""
    teeth = np.array([*range(10, 23), 24, 26, 28, 30, 34, 38, 43, 50, 60, 75, 100, 150, 300])
    found = form_factor(teeth, np.deg2rad(20))
    for place in range(1, len(teeth) - 1):
        before, here, after = 1 / teeth[place - 1 : place + 2]
        between = np.interp(here, [after, before], found[[place + 1, place - 1]])
        np.testing.assert_allclose(found[place], between, rtol=0.02)
    assert np.all(np.diff(found) > 0)
    assert found[-1] < 0.485


@pytest.mark.parametrize(("teeth", "factor"), [(12, 0.210), (20, 0.282), (50, 0.347)])
def test_form_factor_of_older_teeth(teeth, factor):
    """Teeth of 14.5 degrees: pi times Lewis's y of the old tables, 0.067, 0.090 and 0.110 (from memory, two digits)."""
    np.testing.assert_allclose(form_factor(teeth, np.deg2rad(14.5)), factor, rtol=0.02)
