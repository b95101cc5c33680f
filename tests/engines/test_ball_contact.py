"""The give of a ball bearing, against Hertz's theory solved in full and the balls' own equilibrium.

Harris, Rolling Bearing Analysis, 4th ed., chapters 6 and 7 (from memory): elliptical contact of a ball in two
grooves, its ellipse found from the elliptic integrals, and the load shared out by the balls' approach.
"""

import numpy as np
import pytest
from scipy.optimize import brentq
from scipy.special import ellipe, ellipkm1

from shafts.bearings.contact import contact_approach, contact_compliance
from shafts.bearings.ratings import STATIC_FACTOR, Internals
from shafts.bearings.standard_sizes import BALLS

YOUNG, POISSON = 207e9, 0.3
GROOVE = 0.52  # groove radius over ball diameter, the usual one


def contact(ratio: float, inner: bool) -> tuple[float, float, float]:
    """Return the sum of curvatures times the ball's diameter, how slender the ellipse is, and its integral E."""
    ring = 2 * ratio / (1 - ratio) if inner else -2 * ratio / (1 + ratio)
    total = 4 - 1 / GROOVE + ring
    difference = (1 / GROOVE + ring) / total

    def miss(slender: float) -> float:
        first, second = integrals(slender)
        return ((slender**2 + 1) * second - 2 * first) / ((slender**2 - 1) * second) - difference

    slender = brentq(miss, 1.001, 100.0, xtol=1e-12)
    return total, slender, integrals(slender)[1]


def integrals(slender: float) -> tuple[float, float]:
    parameter = 1 - 1 / slender**2
    return ellipkm1(1 - parameter), ellipe(parameter)


def approach_of_one_contact(diameter: float, ratio: float, inner: bool, load: float) -> float:
    """Return how far ball and ring approach under a load, m."""
    total, slender, second = contact(ratio, inner)
    total, first = total / diameter, integrals(slender)[0]
    scaled = 2 * first / np.pi * (np.pi / (2 * slender**2 * second)) ** (1 / 3)
    return scaled * (3 * load / (2 * total) * 2 * (1 - POISSON**2) / YOUNG) ** (2 / 3) * total / 2


def load_of_pressure(ratio: float, pressure: float) -> float:
    """Return the load, N, under which the middle of a ball of 1 mm presses so hard on its inner groove, Pa.

    3 Q/(2 pi a b) with a = k b the half axes, a^3 = 6 k^2 E Q (1 - nu^2)/(pi sum Y).
    """
    total, slender, second = contact(ratio, inner=True)
    grows = 6 * slender**2 * second * (1 - POISSON**2) / (np.pi * total * 1e3 * YOUNG)  # a^3 per newton
    return (pressure * 2 * np.pi * grows ** (2 / 3) / (3 * slender)) ** 3


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


SIZES = BALLS[np.isfinite(BALLS[:, 8])][::9]


@pytest.mark.parametrize("row", SIZES, ids=lambda row: f"{row[0] * 1e3:g}x{row[1] * 1e3:g}")
@pytest.mark.parametrize("share", [0.01, 0.1])
def test_displacement_is_that_of_hertz_to_one_part_in_twenty(row, share):
    """Palmgren's constant stands for all grooves; for the usual one it is 3.5 percent on the stiff side."""
    bore, outside, balls, diameter = row[0], row[1], int(row[8]), row[9]
    pitch, load = (bore + outside) / 2, share * row[6]
    expected = ring_displacement(balls, diameter, pitch, load)
    np.testing.assert_allclose(contact_approach(Internals(balls, diameter, pitch), load), expected, rtol=0.05)


def test_static_factors_are_the_loads_that_press_4200_mpa():
    """ISO 76: the heaviest loaded of Z balls bears 5/Z of the load, and presses 4200 MPa where C_0r is reached.

    So f_0 is a fifth of that ball's load in N for a ball of 1 mm; the table has it to one decimal. Below 0.10 the
    standard (from memory) stays under it, by steps of 0.2.
    """
    ratios = 0.01 * np.arange(41)
    expected = [load_of_pressure(ratio, 4.2e9) / 5 for ratio in ratios[10:]]
    np.testing.assert_allclose(STATIC_FACTOR[10:], expected, rtol=0, atol=0.06)
    np.testing.assert_allclose(np.diff(STATIC_FACTOR[:10]), 0.2, rtol=1e-9)
    assert all(STATIC_FACTOR[place] <= load_of_pressure(ratios[place], 4.2e9) / 5 for place in range(10))


def test_give_falls_with_the_cube_root_of_the_load():
    inside = Internals(7.0, 3.969e-3, 15e-3)
    np.testing.assert_allclose(contact_compliance(inside, 800.0) * 2, contact_compliance(inside, 100.0), rtol=1e-12)


def test_give_stays_finite_without_a_load():
    inside = Internals(7.0, 3.969e-3, 15e-3)
    np.testing.assert_allclose(contact_compliance(inside, 0.0), contact_compliance(inside, 1.0), rtol=1e-12)
