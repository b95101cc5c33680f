"""Radial internal clearance of ball bearings: ISO 5753-1:2009, table 1 (from memory; catalogues print the same)."""

import numpy as np
import pytest

from balance.errors import BadDesign
from shafts.bearings.ball import Ball
from shafts.bearings.bearing import Bearing
from shafts.bearings.bush import Bush
from shafts.bearings.play import clearance_range, taken_up

# bore in mm: C2, CN, C3, C4, C5 in micrometres
ROWS = {
    2.6: ((0, 7), (2, 13), (8, 23), (14, 29), (20, 37)),
    5: ((0, 7), (2, 13), (8, 23), (14, 29), (20, 37)),
    10: ((0, 7), (2, 13), (8, 23), (14, 29), (20, 37)),
    10.1: ((0, 9), (3, 18), (11, 25), (18, 33), (25, 45)),
    12: ((0, 9), (3, 18), (11, 25), (18, 33), (25, 45)),
    18: ((0, 9), (3, 18), (11, 25), (18, 33), (25, 45)),
    18.1: ((0, 10), (5, 20), (13, 28), (20, 36), (28, 48)),
    20: ((0, 10), (5, 20), (13, 28), (20, 36), (28, 48)),
    24: ((0, 10), (5, 20), (13, 28), (20, 36), (28, 48)),
    24.1: ((1, 11), (5, 20), (13, 28), (23, 41), (30, 53)),
    30: ((1, 11), (5, 20), (13, 28), (23, 41), (30, 53)),
    30.1: ((1, 11), (6, 20), (15, 33), (28, 46), (40, 64)),
    35: ((1, 11), (6, 20), (15, 33), (28, 46), (40, 64)),
    40: ((1, 11), (6, 20), (15, 33), (28, 46), (40, 64)),
    40.1: ((1, 11), (6, 23), (18, 36), (30, 51), (45, 73)),
    50: ((1, 11), (6, 23), (18, 36), (30, 51), (45, 73)),
}


def ball(bore, **fields):
    return Bearing(at=0.0, ball=Ball(bore=bore, outside=4 * np.max(bore), width=5e-3), **fields)


@pytest.mark.parametrize("bore", ROWS)
def test_groups(bore):
    """A bore at the end of a range belongs to it, whatever its last binary digit."""
    for group, (low, high) in zip(("C2", "CN", "C3", "C4", "C5"), ROWS[bore], strict=True):
        for written in (bore / 1000, bore * 1e-3, np.nextafter(bore * 1e-3, 1.0)):
            found = clearance_range(ball(written, clearance=group))
            np.testing.assert_allclose(found, (low * 1e-6, high * 1e-6), rtol=1e-12)


def test_many_bores_at_once():
    low, high = clearance_range(ball(np.array([5e-3, 12e-3, 50e-3, 80e-3]), clearance="CN"))
    np.testing.assert_allclose(low, [2e-6, 3e-6, 6e-6, 6e-6])
    np.testing.assert_allclose(high, [13e-6, 18e-6, 23e-6, 23e-6])


def test_stated_clearance_and_bushes_are_what_they_say():
    assert clearance_range(ball(8e-3, clearance=5e-6)) == (5e-6, 5e-6)
    assert clearance_range(ball(8e-3, clearance=None)) == clearance_range(ball(8e-3, clearance="CN"))
    assert clearance_range(bush(play=3e-5)) == (3e-5, 3e-5)
    assert clearance_range(bush(clearance=4e-5)) == (4e-5, 4e-5)
    assert clearance_range(bush()) == (0.0, 0.0)


def bush(play: float = 0.0, **said) -> Bearing:
    return Bearing(at=0.0, bush=Bush(bore=8e-3, length=8e-3, play=play), **said)


@pytest.mark.parametrize(("play", "clearance"), [(0.0, "C5"), (3e-5, 4e-5), (3e-5, 0.0)])
def test_a_bush_has_no_group_and_one_play(play, clearance):
    with pytest.raises(BadDesign, match="clearance"):
        bush(play, clearance=clearance)


def test_clearance_is_taken_up_by_half_along_the_load():
    x, y = taken_up((np.array([3.0, 0.0, -2.0]), np.array([4.0, 0.0, 0.0])), 2e-5)
    np.testing.assert_allclose(x, [0.6e-5, 0.0, -1e-5], rtol=1e-12)
    np.testing.assert_allclose(y, [0.8e-5, 0.0, 0.0], rtol=1e-12)
