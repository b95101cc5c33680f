"""Palmgren's give of rollers against the theory of line contact, and the share of the most loaded roller.

Line contact of elastic cylinders: Johnson, Contact Mechanics, section 5.6 (from memory): each surface comes nearer
to a point at depth d by Q' (1 - nu^2)/(pi E) (2 ln(2 d / b) - nu / (1 - nu)), b the half-width of Hertz.
"""

import numpy as np
import pytest
from scipy.optimize import brentq

from shafts.bearings.contact import contact_compliance, roller_approach
from shafts.bearings.ratings import Rollers

YOUNG, POISSON = 206e9, 0.3


def line_approach(load: float, length: float, diameter: float, raceway: float, depth: float) -> float:
    """Return how far roller's middle and a point of the ring `depth` below the raceway approach, m.

    raceway : its radius, m, negative where it is hollow.
    """
    plane, each = YOUNG / (1 - POISSON**2), load / length
    radius = 1 / (2 / diameter + 1 / raceway)
    half = np.sqrt(4 * each * radius / (np.pi * plane / 2))
    return sum(
        each / (np.pi * plane) * (2 * np.log(2 * deep / half) - POISSON / (1 - POISSON))
        for deep in (diameter / 2, depth)
    )


@pytest.mark.parametrize("load", [20.0, 60.0, 200.0])
@pytest.mark.parametrize(("diameter", "length", "shaft"), [(1.5e-3, 4.8e-3, 6e-3), (2e-3, 6e-3, 10e-3)])
def test_palmgrens_rollers_give_as_line_contact_does(load, diameter, length, shaft):
    """A power law stands for a logarithm: a quarter at most apart over these loads."""
    ring = line_approach(load, length, diameter, shaft / 2, shaft / 2)
    cup = line_approach(load, length, diameter, -(shaft / 2 + diameter), diameter)
    inside = Rollers(12.0, diameter, length, shaft + diameter)
    found = roller_approach(inside, load * 12 / 4.08)
    np.testing.assert_allclose(found, ring + cup, rtol=0.25)


def test_the_most_loaded_roller_bears_4_08_of_the_mean_load():
    """Harris, Rolling Bearing Analysis, chapter on load distribution (from memory): 4.08 F / Z without clearance."""
    angles = 2 * np.pi * np.arange(720) / 720

    def borne(moved: float) -> float:
        return float(np.sum(np.maximum(moved * np.cos(angles), 0) ** (1 / 0.9) * np.cos(angles)))

    moved = brentq(lambda moved: borne(moved) - 720.0, 0, 100)
    np.testing.assert_allclose(moved ** (1 / 0.9), 4.08, atol=0.01)


def test_give_falls_a_little_as_the_load_rises():
    inside = Rollers(12.0, 1.5e-3, 4.8e-3, 7.5e-3)
    ratio = contact_compliance(inside, 1000.0) / contact_compliance(inside, 100.0)
    np.testing.assert_allclose(ratio, 10**-0.1, rtol=1e-12)
