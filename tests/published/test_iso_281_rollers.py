"""Ratings and life of roller and needle bearings: ISO 281:2007, and worked examples that apply it."""

from dataclasses import replace

import numpy as np
import pytest

from shafts.bearings.needle import NEEDLE_STOCK, Needle
from shafts.bearings.ratings import (
    ROLLER_EXPONENT,
    ROLLER_FACTOR,
    Rollers,
    life_revolutions,
    mean_load,
    roller_dynamic_rating,
    roller_static_rating,
)
from shafts.bearings.standard_sizes import NEEDLES, row_of


def hours(dynamic: float, load: float, rpm: float) -> float:
    return float(life_revolutions(dynamic, load, ROLLER_EXPONENT)) / rpm / 60


@pytest.mark.parametrize(
    ("ratio", "factor"),
    [(0.01, 52.1), (0.05, 74.1), (0.10, 84.2), (0.15, 88.2), (0.18, 88.8), (0.20, 88.7), (0.25, 87.0), (0.30, 83.8)],
)
def test_factor_of_table_7(ratio, factor):
    """ISO 281:2007, table 7 (GOST 18855-2013, table 7); one roller of 1 mm by 1 mm shows the factor itself."""
    np.testing.assert_allclose(roller_dynamic_rating(Rollers(1.0, 1e-3, 1e-3, 1e-3 / ratio), 1.0), factor, rtol=1e-9)


def test_between_its_rows_the_table_is_read_linearly():
    """ISO 281:2007, table 7, note: intermediate values by linear interpolation."""
    found = roller_dynamic_rating(Rollers(1.0, 1e-3, 1e-3, 1e-3 / 0.125), 1.0)
    np.testing.assert_allclose(found, (86.4 + 87.1) / 2, rtol=1e-9)
    assert np.isnan(roller_dynamic_rating(Rollers(1.0, 1e-3, 1e-3, 1e-3 / 0.31), 1.0))


def test_factors_rise_to_one_peak_and_fall():
    steps = np.diff(ROLLER_FACTOR)
    assert len(ROLLER_FACTOR) == 30
    assert np.all(steps[:17] > 0)
    assert np.all(steps[18:] < 0)


def test_powers_of_number_length_and_diameter():
    """ISO 281:2007, 7.1: L^(7/9) Z^(3/4) D^(29/27)."""
    one = roller_dynamic_rating(Rollers(10.0, 2e-3, 5e-3, 10e-3), 1.0)
    np.testing.assert_allclose(roller_dynamic_rating(Rollers(20.0, 2e-3, 5e-3, 10e-3), 1.0), one * 2**0.75)
    np.testing.assert_allclose(roller_dynamic_rating(Rollers(10.0, 2e-3, 10e-3, 10e-3), 1.0), one * 2 ** (7 / 9))
    np.testing.assert_allclose(roller_dynamic_rating(Rollers(10.0, 4e-3, 5e-3, 20e-3), 1.0), one * 2 ** (29 / 27))


def test_drawn_cups_are_rated_lower_than_machined_rings():
    """ISO 281:2007, table 6: b_m 1.00 and 1.10."""
    said = {"shaft": 10e-3, "outside": 16e-3, "width": 10e-3, "hardness": 60.0}
    said |= {"rollers": 14, "roller_diameter": 2e-3, "roller_length": 7e-3}
    cup, ring = (Needle(kind=kind, **said).ratings() for kind in ("drawn cup", "machined"))
    np.testing.assert_allclose(ring.dynamic, 1.1 * cup.dynamic, rtol=1e-12)
    assert ring.static == cup.static


def test_static_rating_of_rollers():
    """ISO 76:2006, 7.1 (from memory): 44 (1 - D / D_pw) Z L D, here 44 (1 - 0.2) 10 5 2."""
    np.testing.assert_allclose(roller_static_rating(Rollers(10.0, 2e-3, 5e-3, 10e-3)), 3520, rtol=1e-12)


# SKF, Rolling bearings, drawn cup needle roller bearings: shaft, outside, width in mm; ratings in kN.
CUPS = [
    ((3, 6.5, 6), 1.23, 0.88), ((4, 8, 8), 1.76, 1.37), ((5, 9, 9), 2.38, 2.08), ((6, 10, 8), 2.01, 1.73),
    ((6, 10, 9), 2.81, 2.7), ((7, 11, 9), 3.03, 3.05), ((8, 12, 8), 2.7, 2.75), ((8, 12, 10), 3.69, 4.05),
    ((9, 13, 8), 3.52, 3.9), ((9, 13, 10), 4.13, 4.8), ((9, 13, 12), 5.12, 6.4), ((10, 14, 10), 4.29, 5.3),
]  # fmt: skip


@pytest.mark.parametrize(("size", "dynamic", "static"), CUPS)
def test_small_drawn_cups_of_a_catalogue(size, dynamic, static):
    """The catalogue lies within the span of its size, and a design is rated by the low end."""
    shaft, outside, width = (each * 1e-3 for each in size)
    row, found = row_of(NEEDLES, shaft, outside, width), Needle(shaft=shaft, outside=outside, width=width).ratings()
    assert row[3] <= dynamic * 1e3 <= row[4]
    assert row[5] <= static * 1e3 <= row[6]
    assert (found.dynamic, found.static) == (row[3], row[5])


@pytest.mark.parametrize(("dynamic", "life"), [(2010, 24_339), (3690, 184_393)])
def test_life_of_small_drawn_cups(dynamic, life):
    """ISO 281:2007, 7.3 with p = 10/3, computed by hand: 200 N at 1500 rpm."""
    np.testing.assert_allclose(hours(dynamic, 200, 1500), life, rtol=1e-4)


def test_rating_that_a_life_asks_for():
    """NTN, Ball and Roller Bearings, example 3 (p. A-43): 200 kN, 450 rpm, 20 000 h ask for 1313 kN (by a chart)."""
    needed = 200e3 * (20_000 * 60 * 450 / 1e6) ** (1 / ROLLER_EXPONENT)
    np.testing.assert_allclose(needed, 1313e3, rtol=0.007)
    np.testing.assert_allclose(hours(1460e3, 200e3, 450), 27_950, rtol=1e-3)


def test_weighted_mean_of_a_duty_cycle():
    """NTN, example 5 (p. A-45): five loads, their shares of time and speeds: 50.0 kN; the cube would give 49.5."""
    loads, shares, speeds = [18.3, 31.3, 48.3, 57.4, 78.2], [5, 10, 60, 15, 10], [12, 10, 8, 6, 4]
    turns = np.multiply(shares, speeds)
    cycle = np.repeat(loads, turns)
    np.testing.assert_allclose(mean_load(cycle, ROLLER_EXPONENT), 50.0, atol=0.05)
    np.testing.assert_allclose(mean_load(cycle, ROLLER_EXPONENT), 50.020, atol=1e-3)
    assert mean_load(cycle) < 49.6


def test_life_of_a_spherical_roller_bearing():
    """NSK, Rolling Bearings, section 5.7, example 4 (p. A35): C 505 kN, P 64.2 kN at 500 rpm: about 32 000 h.

    Before that: 62.6 kN for 30 000 h ask for 486.4 kN by rounded factors, which last 31 000 h.
    """
    np.testing.assert_allclose(hours(505e3, 64.2e3, 500), 32_000, rtol=0.01)
    np.testing.assert_allclose(hours(486.4e3, 62.6e3, 500), 30_000, rtol=0.035)


def test_a_softer_shaft_bears_less():
    """Harris, Rolling Bearing Analysis (from memory): the power 3.6 of hardness over 58 HRC, and no more above it."""
    full, hard, soft = (replace(NEEDLE_STOCK["HK0608"], hardness=each).ratings() for each in (58.0, 62.0, 50.0))
    assert (hard.dynamic, hard.static) == (full.dynamic, full.static)
    np.testing.assert_allclose(soft.dynamic / full.dynamic, (50 / 58) ** 3.6, rtol=1e-12)
    np.testing.assert_allclose(soft.static / full.static, (50 / 58) ** 3.6, rtol=1e-12)
