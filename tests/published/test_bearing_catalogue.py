"""Typical ratings of small deep-groove ball bearings, as a catalogue lists them."""

import numpy as np
import pytest
from bearing_catalogue import CATALOGUE

from shafts.bearings.ratings import ratings
from shafts.bearings.standard_sizes import row_of
from shafts.shaft import Ball, Bearing

# NSK, Rolling Bearings, further rows of the same lists.
FURTHER = [
    ((5, 13, 4), 1080, 430),
    ((6, 15, 5), 1730, 670),
    ((8, 16, 5), 1610, 710),
    ((8, 19, 6), 2240, 910),
    ((8, 24, 8), 3350, 1430),
    ((10, 19, 5), 1720, 840),
    ((10, 22, 6), 2700, 1270),
    ((10, 35, 11), 8100, 3450),
    ((12, 21, 5), 1920, 1040),
    ((12, 24, 6), 2890, 1460),
    ((12, 37, 12), 9700, 4200),
    ((15, 24, 5), 2070, 1260),
    ((15, 28, 7), 4350, 2260),
    ((15, 42, 13), 11400, 5450),
]


@pytest.mark.parametrize(("size", "dynamic", "static"), [each[:3] for each in CATALOGUE] + FURTHER)
def test_ratings_of_a_size(size, dynamic, static):
    bore, outside, width = (each * 1e-3 for each in size)
    found = ratings(Ball(bore=bore, outside=outside, width=width))
    assert (found.dynamic, found.static) == (dynamic, static)


def test_all_sizes_at_once():
    sizes = np.array([each[0] for each in CATALOGUE]) * 1e-3
    found = ratings(Ball(bore=sizes[:, 0], outside=sizes[:, 1], width=sizes[:, 2]))
    np.testing.assert_array_equal(found.dynamic, [each[1] for each in CATALOGUE])
    np.testing.assert_array_equal(found.static, [each[2] for each in CATALOGUE])


def test_a_size_between_two_sizes_is_not_known():
    assert np.all(np.isnan(row_of(8e-3, 22e-3, 6.5e-3)))


def test_load_factor_is_that_of_usual_running():
    """NSK, Rolling Bearings, section 5.3.1: 1.0 to 1.2 smooth, 1.2 to 1.5 normal, 1.5 to 3.0 with shocks."""
    factor = Bearing(at=0.0, ball=Ball(bore=8e-3, outside=22e-3, width=7e-3)).load_factor
    assert 1.2 <= factor <= 1.5
