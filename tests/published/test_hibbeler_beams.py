"""Overhung, straddled and sprung beams: Hibbeler, Mechanics of Materials, chapter 12. Tolerance: the digits printed."""

import numpy as np
from bare_shafts import influence
from published.beams import slender

INCH, FOOT, KIP, KSI = 0.0254, 0.3048, 4448.2216, 6894757.29


def test_example_12_12_overhung_load():
    """Page 612: span 12 ft, overhang 12 ft, 5 kip at the tip, E 29e3 ksi, I 125 in4: the tip falls 2.75 in."""
    shaft = slender([29e3 * KSI * 125 * INCH**4], [24 * FOOT], [0.0, 12 * FOOT])
    found = influence(shaft, [24 * FOOT], [], [0.0, 0.0])
    np.testing.assert_allclose(found.bending[0, 0] * 5 * KIP / INCH, 2.75, atol=0.005)
    np.testing.assert_allclose(found.share[:, 0], [-1.0, 2.0], rtol=1e-14)


def test_example_12_10_slope_in_the_span():
    """Page 610: span 8 m, 16 kN at 6 m, E 200 GPa, I 17e-6 m4: slope 0.0094 rad at 2 m."""
    shaft = slender([200e9 * 17e-6], [8.0], [0.0, 8.0])
    found = influence(shaft, [6.0], [2.0], [0.0, 0.0])
    np.testing.assert_allclose(found.bending[1, 0] * 16e3, 0.0094, atol=5e-5)


def test_example_12_16_sprung_supports():
    """Page 623: span 9 ft, 3 kip at 3 ft, 15 kip/ft under both ends, I 12 in4: 0.126 ft under the load.

    Of that 0.1111 ft is the springs' (E 29e3 ksi), the rest the beam's.
    """
    shaft = slender([29e3 * KSI * 12 * INCH**4], [9 * FOOT], [0.0, 9 * FOOT])
    give = 1 / (15 * KIP / FOOT)
    found = influence(shaft, [3 * FOOT], [], [give, give])
    springs, beam = (each[0, 0] * 3 * KIP / FOOT for each in (found.seating, found.bending))
    np.testing.assert_allclose(springs + beam, 0.126, atol=5e-4)
    np.testing.assert_allclose(springs, 0.1111, atol=5e-5)


def test_bansal_load_off_the_middle():
    """Bansal, Strength of Materials, chapter 12: 5 m, 5 kN at 3 m, E 2e5 N/mm2, I 1e8 mm4.

    0.00035 rad at the near end, 0.6 mm under the load, at most 0.6173 mm.
    """
    shaft = slender([2e11 * 1e-4], [5.0], [0.0, 5.0])
    places = list(np.linspace(2.4, 2.8, 41))
    found = influence(shaft, [3.0, *places], [0.0], [0.0, 0.0]).bending * 5e3
    np.testing.assert_allclose(found[0, 0] * 1e3, 0.6, atol=5e-5)
    np.testing.assert_allclose(found[-1, 0], 0.00035, atol=5e-8)
    np.testing.assert_allclose(found[1:-1, 0].max() * 1e3, 0.6173, atol=5e-5)
