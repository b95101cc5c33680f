"""B. K. Sarkar, Theory of Machines, chapters 8 and 12: balancing in one plane and in two, and of a single cylinder."""

import numpy as np
import pytest
from published.test_bevan_balancing import at, crank, needed

from balance import motion, shaking


def test_four_masses_in_one_plane():
    """Chapter 8, illustration 1 (p. 221): 12 kg at 40, 10 at 50, 18 at 60, 15 at 30 mm; 8.1 kg at 100 mm, 267.5 deg."""
    masses = (at(12, 40, 0), at(10, 50, 60), at(18, 60, 130), at(15, 30, 270))
    ((moment, angle),) = needed(crank(masses))
    assert moment / 100 == pytest.approx(8.1, abs=0.05)
    assert angle == pytest.approx(267.5, abs=0.05)


def test_four_masses_in_four_planes():
    """Chapter 8, illustration 3 (p. 223), also Khurmi example 21.2: graphical answers, so 1 percent and 1.7 degrees.

    X 355 kg at 145 degrees and Y 182.5 kg at 12.5 degrees, both counted against the sense of the masses' angles.
    The last digits are a resolution by hand into components, no source: 352.97 kg at 213.37 and 184.06 at 347.20.
    """
    masses = (at(200, 80, 0, 0.0), at(300, 70, 45, 300.0), at(400, 60, 115, 400.0), at(200, 80, 235, 700.0))
    x, y = needed(crank(masses), planes=(100.0, 500.0))
    for (moment, angle), mass, place in ((x, 355.0, 360 - 145.0), (y, 182.5, 360 - 12.5)):
        assert moment / 100 == pytest.approx(mass, rel=0.01)
        assert angle == pytest.approx(place, abs=1.7)
    np.testing.assert_allclose([x[0] / 100, y[0] / 100], [352.97, 184.06], atol=0.005)
    np.testing.assert_allclose([x[1], y[1]], [213.37, 347.20], atol=0.005)


def test_two_thirds_of_the_reciprocating_mass():
    """Chapter 12, illustration 1 (p. 310): stroke 180 mm, 120 kg reciprocating, 70 kg revolving, 250 rpm.

    Two thirds balanced by 90 kg at 150 mm; 3264 N is left at 30 degrees.
    """
    ((moment, _),) = needed(crank((at(70, 0.09, 0),), mass=2 * 2 / 3 * 120, radius=0.09))
    assert moment / 0.15 == pytest.approx(90.0, abs=1e-9)
    one_crank = crank((at(70, 0.09, 0, on="right"), at(90, 0.15, 180, on="right")), mass=120, radius=0.09)
    left = shaking.shaking(one_crank, motion.move(one_crank, np.deg2rad([30.0]))).size
    assert left[0] * (250 * np.pi / 30) ** 2 == pytest.approx(3264, abs=0.5)
