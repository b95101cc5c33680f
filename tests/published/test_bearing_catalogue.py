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

# The same, inch series, sizes as printed in mm. Its list ends at 3/8 in bore.
INCHES = [
    ("R2-5", (3.175, 7.938, 2.779), 560, 179),
    ("R2-6", (3.175, 9.525, 2.779), 640, 225),
    ("R2", (3.175, 9.525, 3.967), 630, 218),
    ("R2A", (3.175, 12.700, 4.366), 640, 225),
    ("R144", (3.175, 6.350, 2.380), 283, 95),
    ("R155", (3.967, 7.938, 2.779), 360, 149),
    ("R156", (4.762, 7.938, 2.779), 360, 149),
    ("R166", (4.762, 9.525, 3.175), 710, 270),
    ("R3", (4.762, 12.700, 3.967), 1300, 485),
    ("R168", (6.350, 9.525, 3.175), 420, 204),
    ("R188", (6.350, 12.700, 3.175), 1080, 440),
    ("R4", (6.350, 15.875, 4.978), 1610, 660),
    ("R4A", (6.350, 19.050, 5.558), 2620, 1060),
    ("R1810", (7.938, 12.700, 3.967), 540, 276),
    ("R6", (9.525, 22.225, 5.558), 3350, 1410),
]
# ZEN, Inch series miniature and small ball bearings, V.10/12; rows that the list above has not.
LARGER = [
    ("R3A", (4.763, 15.875, 4.978), 1480, 621),
    ("R8", (12.700, 28.575, 6.350), 5108, 2413),
    ("R10", (15.875, 34.925, 7.142), 5988, 3287),
    ("R12", (19.050, 41.275, 7.938), 9378, 5057),
    ("R14", (22.225, 47.625, 9.525), 12000, 6400),
    ("R16", (25.400, 50.800, 9.525), 11800, 7200),
]


@pytest.mark.parametrize(
    ("size", "dynamic", "static"), [each[:3] for each in CATALOGUE] + FURTHER + [each[1:] for each in INCHES + LARGER]
)
def test_ratings_of_a_size(size, dynamic, static):
    bore, outside, width = (each * 1e-3 for each in size)
    found = Ball(bore=bore, outside=outside, width=width).ratings()
    row = row_of(BALLS, bore, outside, width)
    assert row[3] <= dynamic <= row[4]
    assert row[5] <= static <= row[6]
    assert (found.dynamic, found.static) == (row[3], row[5])


@pytest.mark.parametrize(("name", "size", "dynamic", "static"), INCHES + LARGER)
def test_an_inch_bearing_is_named_by_its_number_and_found_by_its_size(name, size, dynamic, static):
    """A shielded one that is wider bears the same."""
    assert designation(*(each * 1e-3 for each in size)) == name
    found = BALL_STOCK[name].ratings()
    assert (found.dynamic, found.static) <= (dynamic, static)
    wider = [row for row in BALLS if np.allclose(row[:2], [size[0] * 1e-3, size[1] * 1e-3], atol=1e-5)]
    if name not in ("R2-6", "R2"):  # of one bore and outside, and not one bearing
        assert all(np.array_equal(row[3:8], wider[0][3:8]) for row in wider)


def test_inch_designations_say_the_bore_in_sixteenths():
    """Common practice, no source: R3 has 3/16 in; of R188 the first figure is the outside, the rest thirty-seconds."""
    for name in BALL_STOCK:
        if name[0] == "R":
            number = name[1:].rstrip("A").split("-")[0]
            inches = int(number) / 16 if len(number) < 3 else int(number[2:]) / 32
            assert BALL_STOCK[name].bore == pytest.approx(inches * 25.4e-3), name
            if len(number) > 2:
                assert BALL_STOCK[name].outside == pytest.approx(int(number[1]) / 16 * 25.4e-3), name


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
    halves = BALLS[:, :3] * 2e3
    is_metric = np.all(np.isclose(halves, np.round(halves)), axis=1)
    metric = BALLS[is_metric]
    sizes = {tuple(np.round(row[:3] * 1e3, 6)) for row in metric}
    series = {(bore, *rest) for each in SERIES.values() for bore, rest in each.items()}
    assert sizes == series | SHIELDED
    assert len(metric) == len(sizes)
    inches = BALLS[~is_metric, :2] / 25.4e-3 * 32
    assert len(inches) == 35 and np.allclose(inches, np.round(inches), atol=1e-9)


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
        if name[0] == "R":
            continue  # inches
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
