"""Euler struts held differently in two planes.

Gere and Goodno, Mechanics of Materials, example 11.1 (p. 763); Jindal, Machine Design, example 7-2 (p. 192).
"""

import numpy as np

from shafts.strength.rods import critical_load

STRONG = 1e12  # Pa: no yielding, so that Euler's formula holds


def test_a_column_braced_at_half_its_length():
    """E 29 000 ksi, 300 in, I 98 over the whole and 21.7 in^4 over half the length: 110.42 kip at a safety of 2.5."""
    whole, half = (critical_load(length, 8.24, second, 29e3, STRONG) for length, second in ((300, 98), (150, 21.7)))
    np.testing.assert_allclose([whole, half], [311.66, 276.04], rtol=1e-4)
    np.testing.assert_allclose(min(whole, half) / 2.5, 110.42, rtol=1e-4)


def test_a_section_equally_strong_in_both_planes():
    """37.441 x 13.237 mm, 500 mm, E 70 GPa: a pole in one plane, fixed and pinned in the other, 40 kN."""
    d, b = 0.037441, 0.013237
    for length, second in ((2 * 0.5, b * d**3 / 12), (0.5 / np.sqrt(2), d * b**3 / 12)):
        np.testing.assert_allclose(critical_load(length, b * d, second, 70e9, STRONG), 40e3, rtol=2e-4)
