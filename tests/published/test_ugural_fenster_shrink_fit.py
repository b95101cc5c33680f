"""Pressure of a shrink fit: Ugural and Fenster, Advanced Strength and Applied Elasticity, example 8.3 (p. 243).

The solid shaft in a ring of the same metal after the makers' form E delta (1 - (d/D)^2)/(2 d): from memory, check
against the standard; its numbers were worked out apart from this code.
"""

from dataclasses import replace

import numpy as np

from balance.machine.materials import MATERIALS
from shafts.strength.grips import pressure, ring_pressure

METAL = replace(MATERIALS["steel"], young=200e9, shear=200e9 / 2.6)


def test_two_tubes():
    """Radii 150, 200 and 250 mm, 0.1 mm on the radius: 12.3 MPa."""
    found = ring_pressure(0.2e-3, 0.4, 0.5, 0.3, METAL, METAL)
    np.testing.assert_allclose(found / 1e6, 12.3047, rtol=1e-5)


def test_a_shaft_in_a_hub():
    """8 mm in 20 mm, 15 um, E 206 GPa: 162.225 MPa; friction 0.12 over 10 mm: 19.570 N m."""
    found = pressure(15e-6, 0.008, 0.020, replace(METAL, young=206e9, shear=206e9 / 2.6), replace(
        METAL, young=206e9, shear=206e9 / 2.6))  # fmt: skip
    np.testing.assert_allclose(found / 1e6, 162.225, rtol=1e-5)
    np.testing.assert_allclose(0.12 * found * np.pi * 0.008**2 * 0.010 / 2, 19.570, rtol=1e-4)
