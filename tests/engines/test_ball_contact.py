"""The give of a ball bearing, against Hertz's theory solved in full and the balls' own equilibrium.

Harris, Rolling Bearing Analysis, 4th ed., chapters 6 and 7 (recalled): elliptical contact of a ball in two
grooves, its ellipse found from the elliptic integrals, and the load shared out by the balls' approach.
"""

import numpy as np
import pytest
from scipy.optimize import brentq
from scipy.special import ellipe, ellipkm1

from shafts.bearings.ratings import Internals
from shafts.bearings.standard_sizes import TABLE
from shafts.bearings.stiffness import contact_approach, contact_give

YOUNG, POISSON = 207e9, 0.3
GROOVE = 0.52  # groove radius over ball diameter, the usual one


def approach_of_one_contact(diameter: float, ratio: float, inner: bool, load: float) -> float:
    """Return how far ball and ring approach under a load, m."""
    ring = 2 * ratio / (1 - ratio) if inner else -2 * ratio / (1 + ratio)
    total = (4 - 1 / GROOVE + ring) / diameter
    difference = (1 / GROOVE + ring) / (4 - 1 / GROOVE + ring)

    def integrals(slender: float) -> tuple[float, float]:
        parameter = 1 - 1 / slender**2
        return ellipkm1(1 - parameter), ellipe(parameter)

    def miss(slender: float) -> float:
        first, second = integrals(slender)
        return ((slender**2 + 1) * second - 2 * first) / ((slender**2 - 1) * second) - difference

    slender = brentq(miss, 1.001, 100.0, xtol=1e-12)
    first, second = integrals(slender)
    scaled = 2 * first / np.pi * (np.pi / (2 * slender**2 * second)) ** (1 / 3)
    return scaled * (3 * load / (2 * total) * 2 * (1 - POISSON**2) / YOUNG) ** (2 / 3) * total / 2


def ring_displacement(balls: int, diameter: float, pitch: float, load: float) -> float:
    """Return how far the inner ring moves, without clearance, m: mean over where the balls happen to stand."""
    both = sum(approach_of_one_contact(diameter, diameter / pitch, inner, 1.0) for inner in (True, False))
    stiffness = both**-1.5

    def carried(moved: float, first: float) -> float:
        pressed = np.maximum(moved * np.cos(first + 2 * np.pi * np.arange(balls) / balls), 0.0)
        return float(np.sum(stiffness * pressed**1.5 * np.cos(first + 2 * np.pi * np.arange(balls) / balls)))

    starts = np.linspace(0, 2 * np.pi / balls, 12, endpoint=False)
    return float(
        np.mean([brentq(lambda moved, at=at: carried(moved, at) - load, 0.0, 1e-3, xtol=1e-15) for at in starts])
    )


SIZES = TABLE[np.isfinite(TABLE[:, 6])][::9]


@pytest.mark.parametrize("row", SIZES, ids=lambda row: f"{row[0] * 1e3:g}x{row[1] * 1e3:g}")
@pytest.mark.parametrize("share", [0.01, 0.1])
def test_displacement_is_that_of_hertz_to_one_part_in_twenty(row, share):
    """Palmgren's constant stands for all grooves; for the usual one it is 3.5 percent on the stiff side."""
    bore, outside, balls, diameter = row[0], row[1], int(row[6]), row[7]
    pitch, load = (bore + outside) / 2, share * row[4]
    expected = ring_displacement(balls, diameter, pitch, load)
    np.testing.assert_allclose(contact_approach(Internals(balls, diameter, pitch), load), expected, rtol=0.05)


def test_give_falls_with_the_cube_root_of_the_load():
    inside = Internals(7.0, 3.969e-3, 15e-3)
    np.testing.assert_allclose(contact_give(inside, 800.0) * 2, contact_give(inside, 100.0), rtol=1e-12)


def test_give_stays_finite_without_a_load():
    inside = Internals(7.0, 3.969e-3, 15e-3)
    np.testing.assert_allclose(contact_give(inside, 0.0), contact_give(inside, 1.0), rtol=1e-12)
