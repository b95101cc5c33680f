"""Static ratings of ball bearings: ISO 76:2006."""

import numpy as np
import pytest
from bearing_catalogue import CATALOGUE

from shafts.bearings.ratings import Internals, static_equivalent_load, static_factor, static_rating
from shafts.bearings.standard_sizes import BALLS


@pytest.mark.parametrize(("size", "dynamic", "static", "balls"), CATALOGUE)
def test_rating_from_the_balls_is_the_catalogue_rating(size, dynamic, static, balls):
    """NSK, Rolling Bearings, lists of single-row deep-groove bearings; to 1.5 percent, which is how the lists round."""
    number, diameter, pitch = balls
    np.testing.assert_allclose(static_rating(Internals(number, diameter * 1e-3, pitch * 1e-3)), static, rtol=0.015)


@pytest.mark.parametrize("row", BALLS[np.isfinite(BALLS[:, 8])], ids=lambda row: f"{row[0] * 1e3:g}x{row[1] * 1e3:g}")
def test_every_size_of_the_table_agrees_with_the_rating_from_its_balls(row):
    bore, outside, (low, high), (balls, diameter) = *row[:2], row[5:7], row[8:]
    found = static_rating(Internals(balls, diameter, (bore + outside) / 2))
    assert low * (1 - 0.026) <= found <= high * (1 + 0.026)


@pytest.mark.parametrize(("ratio", "factor"), [(0.0, 14.7), (0.09, 16.5), (0.10, 16.4), (0.25, 12.8), (0.40, 9.4)])
def test_factor_of_table_1(ratio, factor):
    """ISO 76:2006, table 1 (GOST 18854-2013, table 1)."""
    np.testing.assert_allclose(static_factor(Internals(7.0, ratio, 1.0)), factor, rtol=1e-9)


@pytest.mark.parametrize(
    ("balls", "factor"), [((7, 4.762, 18), 12.4), ((8, 4.762, 20), 13.0), ((8, 7.938, 33.5), 13.1)]
)
def test_factor_of_a_catalogue(balls, factor):
    """NSK, Rolling Bearings, column f_0 of the lists of single-row deep-groove bearings, to their one decimal."""
    number, diameter, pitch = balls
    np.testing.assert_allclose(static_factor(Internals(number, diameter, pitch)), factor, atol=0.11)


@pytest.mark.parametrize(
    ("radial", "axial", "load"), [(100.0, 0.0, 100.0), (100.0, 60.0, 100.0), (100.0, 200.0, 160.0)]
)
def test_equivalent_load(radial, axial, load):
    """ISO 76:2006, table 2: the larger of 0.6 F_r + 0.5 F_a and F_r."""
    np.testing.assert_allclose(static_equivalent_load(radial, axial), load, rtol=1e-12)
