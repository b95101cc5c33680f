"""Typical ratings of small deep-groove ball bearings, as a catalogue lists them."""

import numpy as np
import pytest
from bearing_catalogue import CATALOGUE

from shafts.bearings.ball import BALL_STOCK, Ball
from shafts.bearings.bearing import Bearing
from shafts.bearings.standard_sizes import BALLS, NEEDLES, designation, nearest_sizes, row_of

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
    found = Ball(bore=bore, outside=outside, width=width).ratings()
    row = row_of(BALLS, bore, outside, width)
    assert row[3] <= dynamic <= row[4]
    assert row[5] <= static <= row[6]
    assert (found.dynamic, found.static) == (row[3], row[5])


def test_all_sizes_at_once():
    sizes = np.array([each[0] for each in CATALOGUE]) * 1e-3
    found = Ball(bore=sizes[:, 0], outside=sizes[:, 1], width=sizes[:, 2]).ratings()
    alone = [Ball(bore=bore, outside=outside, width=width).ratings() for bore, outside, width in sizes]
    np.testing.assert_array_equal(found.dynamic, [each.dynamic for each in alone])
    np.testing.assert_array_equal(found.static, [each.static for each in alone])


def test_a_size_between_two_sizes_is_not_known():
    assert np.all(np.isnan(row_of(BALLS, 8e-3, 22e-3, 6.5e-3)))


def test_load_factor_is_that_of_usual_running():
    """NSK, Rolling Bearings, section 5.3.1: 1.0 to 1.2 smooth, 1.2 to 1.5 normal, 1.5 to 3.0 with shocks."""
    factor = Bearing(at=0.0, ball=Ball(bore=8e-3, outside=22e-3, width=7e-3)).load_factor
    assert 1.2 <= factor <= 1.5


# ISO 15 (from memory): outside diameter and width of each bore, mm, by series of diameters. 8 and 9 are the thin ones.
SERIES = {
    "8": {3: (7, 2), 4: (9, 2.5), 5: (11, 3), 6: (13, 3.5), 7: (14, 3.5), 8: (16, 4), 9: (17, 4), 10: (19, 5),
          12: (21, 5), 15: (24, 5), 17: (26, 5), 20: (32, 7), 25: (37, 7)},
    "9": {3: (8, 3), 4: (11, 4), 5: (13, 4), 6: (15, 5), 7: (17, 5), 8: (19, 6), 9: (20, 6), 10: (22, 6),
          12: (24, 6), 15: (28, 7), 17: (30, 7), 20: (37, 9), 25: (42, 9)},
    "0": {3: (9, 3), 4: (12, 4), 5: (14, 5), 6: (17, 6), 7: (19, 6), 8: (22, 7), 9: (24, 7), 10: (26, 8),
          12: (28, 8), 15: (32, 9), 17: (35, 10), 20: (42, 12), 25: (47, 12)},
    "2": {3: (10, 4), 4: (13, 5), 5: (16, 5), 6: (19, 6), 7: (22, 7), 8: (24, 8), 9: (26, 8), 10: (30, 9),
          12: (32, 10), 15: (35, 11), 17: (40, 12), 20: (47, 14), 25: (52, 15)},
    "3": {3: (13, 5), 4: (16, 5), 5: (19, 6), 6: (22, 7), 7: (26, 9), 8: (28, 9), 9: (30, 10),
          10: (35, 11), 12: (37, 12), 15: (42, 13), 17: (47, 14), 20: (52, 15), 25: (62, 17)},
}  # fmt: skip
SHIELDED = {
    (3, 7, 3), (3, 8, 4), (4, 9, 3.5), (4, 9, 4), (5, 11, 4), (5, 11, 5), (6, 12, 4), (6, 13, 5), (7, 14, 5),
    (8, 14, 4), (8, 16, 5), (8, 16, 6), (9, 17, 5), (10, 15, 4),
}  # fmt: skip  # wider, for the shields


def test_sizes_are_those_of_the_standard():
    sizes = {tuple(np.round(row[:3] * 1e3, 6)) for row in BALLS}
    series = {(bore, *rest) for each in SERIES.values() for bore, rest in each.items()}
    assert sizes == series | SHIELDED
    assert len(BALLS) == len(sizes)


def test_limiting_speeds_follow_the_mean_diameter():
    """Common practice, no source: with grease, rpm times mean diameter is some 500 000 mm/min, less in the smallest."""
    product = BALLS[:, 7] * 30 / np.pi * np.mean(BALLS[:, :2], axis=1) * 1e3
    assert np.all((product > 3.1e5) & (product < 5.8e5))
    assert np.all(product[BALLS[:, 0] >= 7e-3] > 4.1e5)


def test_the_nearest_sizes_have_the_bore():
    """A shaft is turned for its bore: 8 mm bores come before any other, then what is nearest in outside and width."""
    assert nearest_sizes(8e-3, 23e-3, 7e-3) == ["8 x 22 x 7 mm", "8 x 24 x 8 mm", "8 x 19 x 6 mm"]
    assert nearest_sizes(8e-3, 17e-3, 5e-3, 1) == ["8 x 16 x 5 mm"]


def test_designations_name_their_sizes():
    """Common knowledge: 608 is 8 x 22 x 7 mm in every list, 6000 is 10 x 26 x 8, 618/8 is 8 x 16 x 4."""
    for name, size in [("608", (8, 22, 7)), ("625", (5, 16, 5)), ("6000", (10, 26, 8)), ("618/8", (8, 16, 4))]:
        assert designation(*(each * 1e-3 for each in size)) == name
    assert designation(8e-3, 22e-3, 6.5e-3) == ""


def test_designations_from_10_mm_bore_say_the_bore():
    """From memory: the last two figures are 00, 01, 02, 03 for 10, 12, 15, 17 mm, then bore / 5."""
    bores = {0: 10, 1: 12, 2: 15, 3: 17} | {number: 5 * number for number in range(4, 6)}
    for name, ball in BALL_STOCK.items():
        if "/" not in name and len(name) > 3:
            assert bores[int(name[-2:])] == round(ball.bore * 1e3), name
        else:
            assert int(name.split("/")[-1][-1]) == round(ball.bore * 1e3), name


@pytest.mark.parametrize(
    ("name", "dynamic", "static"),
    [("625", (1140, 1740), (380, 670)), ("618/8", (820, 1610), (300, 710)), ("608", (3300, 3450), (1370, 1400))],
)
def test_below_10_mm_the_low_end_counts_and_the_span_is_said(name, dynamic, static):
    """Three makers' catalogues, lists of deep-groove ball bearings: least and most of the three."""
    ball = BALL_STOCK[name]
    found = ball.ratings()
    assert (found.dynamic, found.static) == (dynamic[0], static[0])
    assert ball.span == f"dynamic {dynamic[0]} to {dynamic[1]}, static {static[0]} to {static[1]} N"


def test_low_end_is_never_above_the_high_end():
    for table in (BALLS, NEEDLES):
        assert np.all(table[:, 3] <= table[:, 4])
        assert np.all(table[:, 5] <= table[:, 6])
