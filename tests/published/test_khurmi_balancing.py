"""R. S. Khurmi and J. K. Gupta, Theory of Machines, chapters 21 and 22 (both examples from memory)."""

import numpy as np
import pytest
from published.test_bevan_balancing import at, crank, needed

from balance import motion, shaking


def test_four_masses_in_one_plane():
    """Example 21.1: 200 kg at 0.2, 300 at 0.15, 240 at 0.25, 260 at 0.3 m, 45, 75 and 135 degrees apart.

    116 kg at 0.2 m, 201.5 degrees (drawn; 201.3 by components).
    """
    masses = (at(200, 0.2, 0), at(300, 0.15, 45), at(240, 0.25, 120), at(260, 0.3, 255))
    ((moment, angle),) = needed(crank(masses))
    assert moment / 0.2 == pytest.approx(116, abs=0.5)
    assert angle == pytest.approx(201.5, abs=0.25)


def test_two_thirds_of_the_reciprocating_mass():
    """Example 22.1: stroke 300 mm, 50 kg reciprocating, 37 kg revolving at 150 mm, 240 rpm, weight at 400 mm.

    26.38 kg; 2849 N is left at 60 degrees (the book rounds on the way: 0.1 percent).
    """
    ((moment, _),) = needed(crank((at(37, 0.15, 0),), mass=2 * 2 / 3 * 50, radius=0.15))
    assert moment / 0.4 == pytest.approx(26.38, abs=0.006)
    one_crank = crank((at(37, 0.15, 0, on="right"), at(26.375, 0.4, 180, on="right")), mass=50, radius=0.15)
    left = shaking.shaking(one_crank, motion.move(one_crank, np.deg2rad([60.0]))).size
    assert left[0] * (240 * np.pi / 30) ** 2 == pytest.approx(2849, rel=1e-3)
