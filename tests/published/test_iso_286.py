"""Limits of size: ISO 286."""

import numpy as np
import pytest

from shafts.iso_286 import limits, play

# NSK, Needle Roller Bearings, appendices 10 and 11 (ISO 286-2): upper and lower deviation in um.
SIZES = {4.5: 0, 8: 1, 14: 2, 24: 3, 40: 4, 2: 5, 60: 6}
# The last two columns, up to 3 and above 50 mm, from memory: check against the standard.
WIDTHS = {
    5: (5, 6, 8, 9, 11, 4, 13),
    6: (8, 9, 11, 13, 16, 6, 19),
    7: (12, 15, 18, 21, 25, 10, 30),
    8: (18, 22, 27, 33, 39, 14, 46),
    9: (30, 36, 43, 52, 62, 25, 74),
}
HOLES = {
    "H6": ((8, 0), (9, 0), (11, 0), (13, 0), (16, 0), (6, 0), (19, 0)),
    "H7": ((12, 0), (15, 0), (18, 0), (21, 0), (25, 0), (10, 0), (30, 0)),
    "H8": ((18, 0), (22, 0), (27, 0), (33, 0), (39, 0), (14, 0), (46, 0)),
    "G7": ((16, 4), (20, 5), (24, 6), (28, 7), (34, 9), (12, 2), (40, 10)),
    "F7": ((22, 10), (28, 13), (34, 16), (41, 20), (50, 25), (16, 6), (60, 30)),
    "K7": ((3, -9), (5, -10), (6, -12), (6, -15), (7, -18), (0, -10), (9, -21)),
    "M7": ((0, -12), (0, -15), (0, -18), (0, -21), (0, -25), (-2, -12), (0, -30)),
    "N7": ((-4, -16), (-4, -19), (-5, -23), (-7, -28), (-8, -33), (-4, -14), (-9, -39)),
    "P7": ((-8, -20), (-9, -24), (-11, -29), (-14, -35), (-17, -42), (-6, -16), (-21, -51)),
    "R7": ((-11, -23), (-13, -28), (-16, -34), (-20, -41), (-25, -50), (-10, -20), (-30, -60)),
}
# The usual tables of shafts (from memory; each width is that of its grade): upper and lower deviation in um.
SHAFTS = {
    "f7": ((-10, -22), (-13, -28), (-16, -34), (-20, -41), (-25, -50), (-6, -16), (-30, -60)),
    "g6": ((-4, -12), (-5, -14), (-6, -17), (-7, -20), (-9, -25), (-2, -8), (-10, -29)),
    "h6": ((0, -8), (0, -9), (0, -11), (0, -13), (0, -16), (0, -6), (0, -19)),
    "k6": ((9, 1), (10, 1), (12, 1), (15, 2), (18, 2), (6, 0), (21, 2)),
    "m6": ((12, 4), (15, 6), (18, 7), (21, 8), (25, 9), (8, 2), (30, 11)),
    "n6": ((16, 8), (19, 10), (23, 12), (28, 15), (33, 17), (10, 4), (39, 20)),
    "p6": ((20, 12), (24, 15), (29, 18), (35, 22), (42, 26), (12, 6), (51, 32)),
    "r6": ((23, 15), (28, 19), (34, 23), (41, 28), (50, 34), (16, 10), (60, 41)),
    "s6": ((27, 19), (32, 23), (39, 28), (48, 35), (59, 43), (20, 14), (72, 53)),
}


@pytest.mark.parametrize("name", [*HOLES, *SHAFTS])
def test_limits_of_a_class(name):
    for size, column in SIZES.items():
        lower, upper = limits(name, size * 1e-3)
        found = [upper * 1e6, lower * 1e6]
        np.testing.assert_allclose(found, (HOLES | SHAFTS)[name][column], atol=1e-6, err_msg=f"{size}")


@pytest.mark.parametrize("grade", WIDTHS)
def test_widths_of_the_grades(grade):
    sizes = np.array(list(SIZES)) * 1e-3
    lower, upper = limits(f"h{grade}", sizes)
    np.testing.assert_allclose((upper - lower) * 1e6, WIDTHS[grade], atol=1e-6)


def test_widths_follow_the_standards_formula():
    """ISO 286-1, 5.1: i = 0.45 D^(1/3) + 0.001 D, D the mean of the band; 7, 10, 16, 25 and 40 of it, then rounded."""
    middle = np.sqrt(6 * 10)
    unit = 0.45 * middle ** (1 / 3) + 0.001 * middle
    for grade, factor in zip((5, 6, 7, 8, 9), (7, 10, 16, 25, 40), strict=True):
        lower, upper = limits(f"h{grade}", 8e-3)
        np.testing.assert_allclose((upper - lower) * 1e6, factor * unit, rtol=0.05)


def test_symmetric_classes():
    np.testing.assert_allclose(limits("js6", 8e-3), (-4.5e-6, 4.5e-6), rtol=1e-12)
    np.testing.assert_allclose(limits("JS7", 24e-3), (-10.5e-6, 10.5e-6), rtol=1e-12)


def test_a_size_belongs_to_the_band_that_ends_with_it():
    for size in (6e-3, 0.003 + 0.003, 10e-3, 18e-3):
        lower, _ = limits("h6", size)
        assert round(-lower * 1e6) == {6: 8, 10: 9, 18: 11}[round(size * 1e3)]


@pytest.mark.parametrize(
    ("hole", "shaft", "size", "plays"),
    [
        ("H7", "g6", 8, (5, 29)), ("H7", "h6", 5, (0, 20)), ("H7", "k6", 8, (-10, 14)), ("H7", "n6", 12, (-23, 6)),
        ("H7", "p6", 8, (-24, 0)), ("H7", "r6", 8, (-28, -4)), ("H7", "s6", 8, (-32, -8)),
    ],
)  # fmt: skip
def test_usual_fits(hole, shaft, size, plays):
    """The usual table of fits (from memory); H7/p6 at 8 mm has no interference at its loosest."""
    found = play(limits(hole, size * 1e-3), limits(shaft, size * 1e-3))
    np.testing.assert_allclose(np.array(found) * 1e6, plays, atol=1e-6)


@pytest.mark.parametrize(
    ("hole", "shaft", "plays"),
    [((0, 21), (28, 41), (-41, -7)), ((0, 39), (-34, -9), (9, 73))],
)
def test_play_of_limits(hole, shaft, plays):
    """Jindal, Machine Design, examples 4-2 and 4-3 (pp. 112, 113): 25 mm and 50 mm, in thousandths of a millimetre."""
    np.testing.assert_allclose(play(hole, shaft), plays, rtol=1e-12)


def test_beyond_the_table_nothing_is_known():
    assert np.isnan(limits("h6", 80e-3)).all()
