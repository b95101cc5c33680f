"""Dynamic ratings and life of ball bearings: ISO 281:2007, and worked examples that apply it."""

import numpy as np
import pytest
from bearing_catalogue import CATALOGUE

from shafts.bearings.ratings import (
    AXIAL,
    LIFE_FACTOR,
    Internals,
    Ratings,
    dynamic_rating,
    equivalent_load,
    life_revolutions,
    mean_load,
)
from shafts.bearings.standard_sizes import BALLS

MINUTE = 2 * np.pi / 60


def hours(dynamic: float, load: float, rpm: float) -> float:
    return float(life_revolutions(dynamic, load)) / rpm / 60


@pytest.mark.parametrize(("size", "dynamic", "static", "balls"), CATALOGUE)
def test_rating_from_the_balls_is_the_catalogue_rating_to_one_percent(size, dynamic, static, balls):
    number, diameter, pitch = balls
    found = dynamic_rating(Internals(number, diameter * 1e-3, pitch * 1e-3))
    np.testing.assert_allclose(found, dynamic, rtol=0.01)


@pytest.mark.parametrize("row", BALLS[np.isfinite(BALLS[:, 8])], ids=lambda row: f"{row[0] * 1e3:g}x{row[1] * 1e3:g}")
def test_every_size_of_the_table_agrees_with_the_rating_from_its_balls(row):
    """A row's own parts agree: most balls were chosen, from standard sizes, to give its ratings by the formula.

    So this guards against slips of the pen; what speaks for the ratings themselves is the catalogue above.
    """
    bore, outside, (low, high), (balls, diameter) = *row[:2], row[3:5], row[8:]
    found = dynamic_rating(Internals(balls, diameter, (bore + outside) / 2))
    assert low * (1 - 0.026) <= found <= high * (1 + 0.026)


@pytest.mark.parametrize(("ratio", "factor"), [(0.01, 29.1), (0.10, 55.5), (0.19, 60.0), (0.25, 58.6), (0.40, 48.4)])
def test_factor_of_table_2(ratio, factor):
    """ISO 281:2007, table 2 (GOST 18855-2013, table 2); one ball of 1 mm shows the factor itself, times b_m = 1.3."""
    np.testing.assert_allclose(dynamic_rating(Internals(1.0, 1e-3, 1e-3 / ratio)), 1.3 * factor, rtol=1e-9)


def test_every_factor_of_table_2_is_that_of_lundberg_and_palmgren():
    """Their formula (Harris, Rolling Bearing Analysis, 4th ed., section 18.4, from memory) with grooves of 0.52 balls.

    Deep-groove bearings reach 0.95 of it. The standard's constant lies 0.75 % above the formula's 39.9, the same in
    every row to the printed digit.
    """
    ratio, groove = 0.01 * np.arange(1, 41), 0.52
    lead = (1.04 * ((1 - ratio) / (1 + ratio)) ** 1.72) ** (10 / 3)  # both grooves alike
    share = ratio**0.3 * (1 - ratio) ** 1.39 / (1 + ratio) ** (1 / 3)
    formula = 39.9 * (1 + lead) ** -0.3 * share * (2 * groove / (2 * groove - 1)) ** 0.41
    np.testing.assert_allclose(LIFE_FACTOR, 1.0075 * 0.95 * formula, rtol=2e-3)


def test_balls_outside_the_standards_range_have_no_rating():
    assert np.isnan(dynamic_rating(Internals(3.0, 4.1e-3, 10e-3)))
    assert np.isnan(dynamic_rating(Internals(9.0, 26e-3, 100e-3)))


def test_life_of_a_purely_radial_load():
    """NSK, Rolling Bearings, section 5.7, example 1 (p. A34): C 29 100 N, 2500 N, 900 rpm, about 29 000 h."""
    np.testing.assert_allclose(hours(29100, 2500, 900), 29206, rtol=2e-4)


def test_rating_that_a_life_asks_for():
    """Same, example 2: 3000 N at 1900 rpm for 10 000 h asks for 31 380 N (rounded factors); 35 000 N give 13 929 h."""
    needed = 3000 * (10_000 * 60 * 1900 / 1e6) ** (1 / 3)
    np.testing.assert_allclose(needed, 31380, rtol=2e-3)
    np.testing.assert_allclose(hours(needed, 3000, 1900), 10_000, rtol=1e-12)
    np.testing.assert_allclose(hours(35_000, 3000, 1900), 13929, rtol=1e-4)


def test_life_in_turns_and_hours():
    """SKF General Catalogue, example 1 (p. 78): C 55.3 kN, 10 kN, 3000 rpm: 169 million turns, 940 h."""
    np.testing.assert_allclose(life_revolutions(55.3e3, 10e3), 169e6, rtol=1e-3)
    np.testing.assert_allclose(hours(55.3e3, 10e3, 3000), 940, rtol=1e-3)


def test_life_under_a_heavy_load():
    """Wentzell, Machine Design, example 20.1 (p. 431): C 5050 lb, 2400 lb, 1750 rpm: 88.73 h."""
    np.testing.assert_allclose(hours(5050, 2400, 1750), 88.73, rtol=1e-4)


def test_rating_for_a_life_in_turns():
    """Wentzell, example 20.2 (p. 432): 2400 lb for 200 h at 1750 rpm, 21 million turns, asks for 6621 lb."""
    turns = life_revolutions(6621, 2400)
    np.testing.assert_allclose(turns, 200 * 60 * 1750, rtol=5e-4)


def test_rating_over_load_of_a_chart():
    """URB General Catalogue v.14, p. 17: 25 000 h at 1000 rpm ask for C/P 11.447; 61.8 kN under 5 kN last 31 470 h."""
    np.testing.assert_allclose(hours(11.447, 1.0, 1000), 25_000, rtol=1e-3)
    np.testing.assert_allclose(hours(61.8e3, 5e3, 1000), 31_470, rtol=1e-3)


def test_radial_and_axial_load_together():
    """Jindal, Machine Design, example 18-2 (p. 508): C 5590, F_r 1250, F_a 625 N, X 0.56, Y 1.2: 57.3 million turns.

    Y 1.2 stands at f_0 F_a / C_0r = 3.018 by interpolation, from which the static rating is taken here.
    """
    relative = np.interp(-1.2, [-1.31, -1.15], [2.07, 3.45])
    rating = Ratings(5590.0, 13.0 * 625 / relative, np.nan, 13.0, "")
    load = equivalent_load(np.array([1250.0]), 625.0, rating)
    np.testing.assert_allclose(load, 0.56 * 1250 + 1.2 * 625, rtol=1e-12)
    np.testing.assert_allclose(life_revolutions(5590.0, load), 57.3e6, rtol=1e-3)


@pytest.mark.parametrize(
    ("relative", "share", "factor"),
    [(0.172, 0.19, 2.30), (0.689, 0.26, 1.71), (1.38, 0.30, 1.45), (2.07, 0.34, 1.31), (6.89, 0.44, 1.00)],
)
def test_factors_of_axial_load(relative, share, factor):
    """ISO 281:2007, table 3: just below e the axial load counts for nothing, just above 0.56 F_r + Y F_a."""
    axial = 100.0
    rating = Ratings(5000.0, 13.0 * axial / relative, np.nan, 13.0, "")
    below, above = np.array([axial / share * 1.001]), np.array([axial / share * 0.5])
    np.testing.assert_allclose(equivalent_load(below, axial, rating), below, rtol=1e-12)
    np.testing.assert_allclose(equivalent_load(above, axial, rating), 0.56 * above + factor * axial, rtol=1e-12)


def test_axial_factors_hang_together():
    """The rows of table 3 were round numbers of pound per square inch; the load just at e counts as radial alone.

    So the first column is 25 to 1000 psi in N/mm2, 0.56 + Y e = 1 to the digits printed, and Y falls steadily.
    """
    relative, share, factor = AXIAL
    pounds = np.array([25, 50, 100, 150, 200, 300, 500, 750, 1000]) * 0.0068948
    np.testing.assert_allclose(relative, pounds, rtol=5e-3)
    np.testing.assert_array_equal(share, np.round(0.44 / factor, 2))
    steepness = np.diff(np.log(factor)) / np.diff(np.log(relative))
    assert np.all((steepness > -0.27) & (steepness < -0.13))


def test_mean_load_of_a_duty_cycle():
    """Jindal, example 18-9 (p. 512): 3000, 4000, 5000 N for turns in the ratio 2 : 3 : 1; 10 000 h ask for 34 219 N."""
    mean = mean_load(np.repeat([3000.0, 4000.0, 5000.0], [2, 3, 1]))
    np.testing.assert_allclose(mean, 3954.3, atol=0.06)
    turns = 10_000 * 60 * (1440 / 4 + 1080 / 2 + 720 / 4)
    np.testing.assert_allclose(life_revolutions(34219, mean), turns, rtol=1e-4)


def test_life_under_a_radial_and_an_axial_load():
    """NTN, Ball and Roller Bearings, examples 1 and 2 (p. A-43): 6208, C 32.5, C_0 17.8 kN, f_0 14, 3.2 kN at 650 rpm.

    About 27 000 h; with 1.8 kN along the shaft P 4.38 kN and about 10 500 h (a chart; 10 475 worked out).
    """
    np.testing.assert_allclose(hours(32.5e3, 3200, 650), 26_862, rtol=1e-4)
    both = equivalent_load(np.array([3200.0]), 1800.0, Ratings(32.5e3, 17.8e3, np.nan, 14.0, ""))
    np.testing.assert_allclose(both, 4.38e3, rtol=0.004)
    np.testing.assert_allclose(hours(32.5e3, both.item(), 650), 10_475, rtol=0.011)


def test_a_duty_of_two_loads():
    """Jindal, example 18-10 (p. 513): C 1430 N, 600 N at 1440 rpm for two thirds, 300 and 120 N at 720: 227.66 h.

    His Y 1.13 is met by interpolation, as in example 18-2.
    """
    relative = np.interp(-1.13, [-1.15, -1.04], [3.45, 5.17])
    light = equivalent_load(np.array([300.0]), 120.0, Ratings(1430.0, 13.0 * 120 / relative, np.nan, 13.0, ""))
    np.testing.assert_allclose(light, 303.6, rtol=1e-6)
    mean = mean_load(np.repeat([600.0, float(np.ravel(light)[0])], [4, 1]))  # turns as 1440 x 2 to 720
    np.testing.assert_allclose(mean, 562.94, atol=0.01)
    np.testing.assert_allclose(hours(1430, mean, 1200), 227.66, rtol=1e-4)
