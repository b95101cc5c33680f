"""Struts and a rod under reversed load: Wentzell, Machine Design (2003), examples 3.6 (p. 55) and 5.4 (p. 98)."""

import numpy as np

from shafts.strength.fatigue import Cycle, soderberg
from shafts.strength.rods import critical_load

INCH, POUND = 0.0254, 4.4482216
PSI = POUND / INCH**2


def test_johnson_strut():
    """60 in long, K 0.65, S_y 36 ksi, E 30e6 psi, A 2.26 in^2, I 0.764 in^4: 35 116.5 lb at a safety of 2."""
    found = critical_load(0.65 * 60 * INCH, 2.26 * INCH**2, 0.764 * INCH**4, 30e6 * PSI, 36e3 * PSI)
    np.testing.assert_allclose(found / 2 / POUND, 35116.5, rtol=1e-5)


def test_rod_under_reversed_load():
    """+1000 and -6000 lb on a square rod, S_u 95, S_y 60 ksi, 1.0 x 0.8 x 0.86: 0.4724 in at 1.5 by Soderberg."""
    area = 0.4724**2
    stress = Cycle(np.asarray(3500 / area), np.asarray(2500 / area))
    np.testing.assert_allclose(soderberg(stress, 0.5 * 95e3 * 1.0 * 0.8 * 0.86, 60e3), 1.5, rtol=2e-4)
