"""Swung and hung bodies: Khurmi and Gupta, Theory of Machines, chapter 4, pages 83 to 91.

The book takes g = 9.81 m/s2, the code 9.80665; only g T^2 enters, so the times are stretched to make up for it.
Tolerances are half the last digit printed, unless a test says why not.
"""

import numpy as np
import pytest

from balance.evidence.estimate import Estimate
from balance.evidence.pendulum import inertia_by_one_edge, period, shortest_period, two_edges
from balance.evidence.strings import ThreeStrings, gyration_by_two_strings, inertia_of

BOOK = np.sqrt(9.81 / 9.80665)


def swing(seconds, number):
    return period([seconds * BOOK], number, reaction=0.0)


def test_example_4_5_a_flywheel_on_a_knife_edge():
    """Page 83: 85 kg, mass centre 0.1 m below the edge, 100 swings in 145 s: I = 3.6 kg m2."""
    found = inertia_by_one_edge(Estimate(85.0), Estimate(0.1), swing(145.0, 100))
    assert found.value == pytest.approx(3.6, abs=0.05)
    assert found.value == pytest.approx(3.5908, abs=5e-5)


def test_example_4_6_a_rod_on_both_ends():
    """Page 84: 60 kg, edges 1 m apart, 190 s (small end) and 165 s for 100: G 0.759 m from the small end.

    The book prints I as 6, a whole number; with its own numbers it is 6.30 (k = 0.324 m).
    """
    found = two_edges(swing(190.0, 100), swing(165.0, 100), Estimate(1.0))
    assert found.arm.value == pytest.approx(0.759, abs=0.0005)
    assert found.gyration.value == pytest.approx(0.32410, abs=5e-6)
    assert found.inertia(Estimate(60.0)).value == pytest.approx(6.3024, abs=5e-5)


def test_example_4_7_a_bar_hung_near_its_end():
    """Page 85: a bar 1.2 m long, hung 50 mm from its end, 1.76 s; its shortest period 1.67 s.

    The law is turned round: the inertia that these periods give is that of the bar, L^2/12.
    """
    for arm, printed in ((0.55, 1.76), (1.2 / np.sqrt(12.0), 1.67)):
        found = inertia_by_one_edge(Estimate(1.0), Estimate(arm), Estimate(printed * BOOK, 0.005 / 2))
        assert abs(found.value - 1.44 / 12) < 2 * found.sd  # half the last digit of the period
        assert printed > shortest_period(arm)


def test_example_4_9_a_rod_on_two_strings():
    """Page 89: 1.5 kg, strings 1.25 m, 120 mm to each side, 20 swings in 40 s: k = 107 mm, I = 0.017 kg m2."""
    gyration = gyration_by_two_strings(swing(40.0, 20), Estimate(1.25), Estimate(0.12), Estimate(0.12))
    assert gyration.value == pytest.approx(0.107, abs=0.0005)
    assert gyration.value == pytest.approx(0.107007, abs=5e-7)
    assert inertia_of(Estimate(1.5), gyration).value == pytest.approx(0.017, abs=0.0005)


def test_example_4_10_a_wheel_on_three_strings():
    """Page 90: strings 2.5 m at 250 mm, 50 swings in 170 s: k = 267 mm, cut and not rounded (268.0)."""
    inertia = ThreeStrings(Estimate(2.5), Estimate(0.25)).inertia(Estimate(1.0), swing(170.0, 50))
    assert np.sqrt(inertia.value) == pytest.approx(0.267, abs=0.001)
    assert np.sqrt(inertia.value) == pytest.approx(0.267981, abs=5e-7)


def test_example_4_11_a_part_on_a_plate_on_three_strings():
    """Page 91: 5.5 kg on a plate of 1.5 kg, strings 1.25 m at 125 mm, 10 swings in 30 s: I of both 0.196 kg m2."""
    strings = ThreeStrings(Estimate(1.25), Estimate(0.125))
    both = strings.inertia(Estimate(7.0), swing(30.0, 10))
    assert both.value == pytest.approx(0.196, abs=0.0005)
    empty = swing(28.0, 10)
    plate = strings.inertia(Estimate(1.5), empty)
    part = strings.on_plate(Estimate(5.5), swing(30.0, 10), Estimate(1.5), empty)
    assert part.value == pytest.approx(both.value - plate.value, rel=1e-12)
