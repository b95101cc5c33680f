"""Bearings as they are bought: small deep-groove ball bearings and drawn-cup needle bearings, by size and designation.

Boundary dimensions and basic designations are those of ISO 15 and ISO 3245, those of the inch series the ones that
catalogues share. Below 10 mm bore catalogues differ by up to a factor of two in their ratings: each row holds the span
of those that were read (up to three makers for balls, two for needles and for inches above 3/8 in; a single value is
one maker's, or from memory), and a design is rated by the low end. Shielded bearings that are wider than open ones bear
as much as those or less. Number and size of the balls are typical; where they were not known they are the standard
balls with which the ISO formulas come nearest to the ratings, halfway between bore and outside, and of several the
softest. Limiting speeds are for grease, open or shielded: of metric ones from memory, of the inch series the lowest of
the catalogues.
"""

from functools import cache
from typing import Any

import numpy as np

from balance.quantities import Scalar
from shafts.bearings.kind import millimetres

UNKNOWN = float("nan")

# designation; bore, outside, width in mm; dynamic and static rating in N, each least and most of the catalogues;
# limiting speed in rpm; balls; ball diameter in mm
_BALLS: tuple[tuple[str | float, ...], ...] = (
    ("618/3", 3, 7, 2, 310, 380, 110, 130, 63000, 8, 1.0),
    ("", 3, 7, 3, 310, 380, 110, 130, 63000, 8, 1.0),
    ("619/3", 3, 8, 3, 550, 560, 180, 180, 60000, 6, 1.588),
    ("", 3, 8, 4, 550, 560, 180, 180, 60000, 6, 1.588),
    ("603", 3, 9, 3, 570, 630, 190, 220, 56000, 7, 1.588),
    ("623", 3, 10, 4, 540, 640, 180, 230, 50000, 7, 1.588),
    ("633", 3, 13, 5, 1300, 1300, 490, 490, 45000, UNKNOWN, UNKNOWN),
    ("618/4", 4, 9, 2.5, 420, 640, 120, 230, 53000, 7, 1.588),
    ("", 4, 9, 3.5, 420, 640, 120, 230, 53000, 7, 1.588),
    ("", 4, 9, 4, 420, 640, 120, 230, 53000, 7, 1.588),
    ("619/4", 4, 11, 4, 620, 1000, 180, 350, 48000, 7, 2.0),
    ("604", 4, 12, 4, 810, 1000, 280, 350, 45000, 7, 2.0),
    ("624", 4, 13, 5, 940, 1310, 290, 490, 40000, 7, 2.381),
    ("634", 4, 16, 5, 1110, 1740, 380, 670, 36000, 7, 2.778),
    ("618/5", 5, 11, 3, 470, 720, 140, 282, 45000, 8, 1.588),
    ("", 5, 11, 4, 470, 720, 140, 282, 45000, 8, 1.588),
    ("", 5, 11, 5, 470, 720, 140, 282, 45000, 8, 1.588),
    ("619/5", 5, 13, 4, 880, 1100, 340, 430, 43000, 8, 2.0),
    ("605", 5, 14, 5, 1300, 1330, 505, 510, 40000, 7, 2.381),
    ("625", 5, 16, 5, 1140, 1740, 380, 670, 36000, 7, 2.778),
    ("635", 5, 19, 6, 2210, 2820, 885, 1070, 32000, 6, 3.572),
    ("", 6, 12, 4, 715, 715, 294, 294, 43000, 8, 1.588),
    ("618/6", 6, 13, 3.5, 720, 1100, 220, 440, 40000, 8, 2.0),
    ("", 6, 13, 5, 720, 1100, 220, 440, 40000, 8, 2.0),
    ("619/6", 6, 15, 5, 880, 1740, 270, 670, 40000, 7, 2.778),
    ("606", 6, 17, 6, 2260, 2300, 835, 840, 38000, 6, 3.5),
    ("626", 6, 19, 6, 2210, 2820, 885, 1070, 32000, 6, 3.5),
    ("636", 6, 22, 7, 3300, 3300, 1400, 1400, 30000, UNKNOWN, UNKNOWN),
    ("618/7", 7, 14, 3.5, 780, 1200, 260, 510, 40000, 9, 2.0),
    ("", 7, 14, 5, 780, 1200, 260, 510, 40000, 9, 2.0),
    ("619/7", 7, 17, 5, 1060, 1610, 380, 720, 36000, 9, 2.381),
    ("607", 7, 19, 6, 2210, 2610, 885, 1060, 36000, 6, 3.5),
    ("627", 7, 22, 7, 3300, 3450, 1370, 1400, 30000, 7, 3.969),
    ("637", 7, 26, 9, 4600, 4600, 2000, 2000, 27000, UNKNOWN, UNKNOWN),
    ("", 8, 14, 4, 820, 820, 390, 390, 41000, UNKNOWN, UNKNOWN),
    ("618/8", 8, 16, 4, 820, 1610, 300, 710, 36000, 9, 2.381),
    ("", 8, 16, 5, 820, 1610, 300, 710, 36000, 9, 2.381),
    ("", 8, 16, 6, 820, 1610, 300, 710, 36000, 9, 2.381),
    ("619/8", 8, 19, 6, 1460, 2460, 470, 1060, 36000, 7, 3.175),
    ("608", 8, 22, 7, 3300, 3450, 1370, 1400, 34000, 7, 3.969),
    ("628", 8, 24, 8, 3300, 3900, 1370, 1660, 28000, 7, 3.969),
    ("638", 8, 28, 9, 4600, 4600, 2000, 2000, 25000, UNKNOWN, UNKNOWN),
    ("618/9", 9, 17, 4, 870, 1720, 340, 810, 36000, 11, 2.0),
    ("", 9, 17, 5, 870, 1720, 340, 810, 36000, 11, 2.0),
    ("619/9", 9, 20, 6, 1720, 2500, 840, 1100, 34000, 10, 2.381),
    ("609", 9, 24, 7, 3300, 3900, 1370, 1660, 32000, 7, 3.969),
    ("629", 9, 26, 8, 4550, 4750, 1960, 2000, 28000, 7, 4.762),
    ("639", 9, 30, 10, 5100, 5100, 2400, 2400, 23000, UNKNOWN, UNKNOWN),
    ("", 10, 15, 4, 860, 860, 440, 440, 36000, UNKNOWN, UNKNOWN),
    ("61800", 10, 19, 5, 1380, 2120, 590, 990, 34000, 10, 2.381),
    ("61900", 10, 22, 6, 2080, 2700, 850, 1270, 32000, 9, 3.175),
    ("6000", 10, 26, 8, 4550, 4750, 1960, 1970, 30000, 7, 4.762),
    ("6200", 10, 30, 9, 5100, 5400, 2360, 2390, 24000, 8, 4.762),
    ("6300", 10, 35, 11, 8100, 8520, 3400, 3450, 22000, 6, 7.144),
    ("61801", 12, 21, 5, 1430, 1920, 670, 1040, 32000, 12, 2.381),
    ("61901", 12, 24, 6, 2250, 2890, 980, 1460, 30000, 10, 3.175),
    ("6001", 12, 28, 8, 5100, 5400, 2360, 2370, 28000, 8, 4.762),
    ("6201", 12, 32, 10, 6800, 7280, 3050, 3100, 22000, 7, 5.953),
    ("6301", 12, 37, 12, 9700, 10100, 4150, 4200, 20000, 6, 7.938),
    ("61802", 15, 24, 5, 1560, 2070, 800, 1260, 28000, 14, 2.381),
    ("61902", 15, 28, 7, 4350, 4360, 2240, 2260, 26000, 10, 3.969),
    ("6002", 15, 32, 9, 5600, 5850, 2830, 2850, 24000, 9, 4.762),
    ("6202", 15, 35, 11, 7650, 8060, 3750, 3750, 20000, 8, 5.953),
    ("6302", 15, 42, 13, 11400, 11900, 5400, 5450, 17000, 7, 7.938),
    ("61803", 17, 26, 5, 1680, 2630, 930, 1570, 26000, 13, 2.778),
    ("61903", 17, 30, 7, 4600, 4620, 2550, 2550, 24000, 11, 3.969),
    ("6003", 17, 35, 10, 6000, 6370, 3250, 3250, 22000, 10, 4.762),
    ("6203", 17, 40, 12, 9550, 9950, 4750, 4800, 17000, 8, 6.747),
    ("6303", 17, 47, 14, 13600, 14300, 6550, 6650, 15000, 7, 8.731),
    ("61804", 20, 32, 7, 4000, 4030, 2320, 2470, 22000, 13, 3.5),
    ("61904", 20, 37, 9, 6370, 6400, 3650, 3700, 19000, 11, 4.762),
    ("6004", 20, 42, 12, 9400, 9950, 5000, 5000, 18000, 9, 6.35),
    ("6204", 20, 47, 14, 12800, 13500, 6550, 6600, 15000, 8, 7.938),
    ("6304", 20, 52, 15, 15900, 16800, 7800, 7900, 14000, 7, 9.525),
    ("61805", 25, 37, 7, 4500, 4500, 3150, 3150, 18000, 16, 3.5),
    ("61905", 25, 42, 9, 7050, 7050, 4550, 4550, 16000, 13, 4.762),
    ("6005", 25, 47, 12, 10100, 10100, 5850, 5850, 15000, 10, 6.35),
    ("6205", 25, 52, 15, 14000, 14000, 7850, 7850, 13000, 9, 7.938),
    ("6305", 25, 62, 17, 20600, 20600, 11200, 11200, 11000, 8, 10.319),
)

# The inch series: designation; bore, outside, widths open and shielded in inches; the rest as above
_INCH_BALLS: tuple[tuple[Any, ...], ...] = (
    ("R144", 1 / 8, 1 / 4, (3 / 32, 7 / 64), 283, 314, 95, 108, 67000, 7, 1.0),
    ("R2-5", 1 / 8, 5 / 16, (7 / 64, 9 / 64), 558, 560, 177, 180, 60000, 6, 1.588),
    ("R2-6", 1 / 8, 3 / 8, (7 / 64, 9 / 64), 638, 640, 225, 227, 53000, 7, 1.588),
    ("R2", 1 / 8, 3 / 8, (5 / 32,), 628, 631, 216, 219, 56000, UNKNOWN, UNKNOWN),
    ("R2A", 1 / 8, 1 / 2, (11 / 64,), 638, 640, 225, 227, 53000, UNKNOWN, UNKNOWN),
    ("R155", 5 / 32, 5 / 16, (7 / 64, 1 / 8), 359, 363, 147, 150, 53000, 10, 1.0),
    ("R156", 3 / 16, 5 / 16, (7 / 64, 1 / 8), 359, 363, 147, 150, 53000, 10, 1.0),
    ("R166", 3 / 16, 3 / 8, (1 / 8,), 706, 710, 270, 275, 50000, 8, 1.588),
    ("R3", 3 / 16, 1 / 2, (5 / 32, 0.196), 1300, 1305, 485, 491, 43000, 7, 2.381),
    ("R3A", 3 / 16, 5 / 8, (0.196,), 1480, 1481, 618, 621, 38000, UNKNOWN, UNKNOWN),
    ("R168", 1 / 4, 3 / 8, (1 / 8,), 373, 420, 172, 204, 48000, 11, 1.0),
    ("R188", 1 / 4, 1 / 2, (1 / 8, 3 / 16), 1079, 1082, 440, 442, 40000, 8, 2.0),
    ("R4", 1 / 4, 5 / 8, (0.196,), 1480, 1610, 618, 660, 38000, 8, 2.381),
    ("R4A", 1 / 4, 3 / 4, (7 / 32, 9 / 32), 2335, 2620, 893, 1060, 36000, 6, 3.572),
    ("R1810", 5 / 16, 1 / 2, (5 / 32,), 540, 542, 275, 276, 40000, 12, 1.2),
    ("R6", 3 / 8, 7 / 8, (7 / 32, 9 / 32), 3332, 3350, 1410, 1422, 32000, 7, 3.969),
    ("R8", 1 / 2, 1 + 1 / 8, (1 / 4, 5 / 16), 5108, 5111, 2413, 2413, 27000, 8, 4.762),
    ("R10", 5 / 8, 1 + 3 / 8, (9 / 32, 11 / 32), 5988, 5994, 3286, 3287, 21000, 10, 4.762),
    ("R12", 3 / 4, 1 + 5 / 8, (5 / 16, 7 / 16), 7907, 9378, 4483, 5057, 17000, 9, 6.35),
    ("R14", 7 / 8, 1 + 7 / 8, (3 / 8, 1 / 2), 9000, 12000, 5400, 6400, 14000, 7, 7.938),
    ("R16", 1, 2, (3 / 8, 1 / 2), 10200, 11800, 6200, 7200, 12000, 9, 7.144),
)
_INCH = 25.4  # mm
_INCH_ROWS = tuple(
    (name * (width == widths[0]), *(each * _INCH for each in (bore, outside, width)), *rest)
    for name, bore, outside, widths, *rest in _INCH_BALLS
    for width in widths
)

# designation; diameter inside the rollers, outside, width in mm; dynamic and static rating in N, least and most
_NEEDLES: tuple[tuple[str | float, ...], ...] = (
    ("HK0306", 3, 6.5, 6, 1170, 1230, 800, 880),
    ("HK0408", 4, 8, 8, 1690, 1760, 1240, 1370),
    ("HK0509", 5, 9, 9, 2280, 2380, 1890, 2080),
    ("HK0607", 6, 10, 7, 2100, 2100, 1700, 1700),
    ("HK0608", 6, 10, 8, 1900, 2010, 1570, 1730),
    ("HK0609", 6, 10, 9, 2700, 2810, 2470, 2700),
    ("HK0709", 7, 11, 9, 2950, 3030, 2800, 3050),
    ("HK0808", 8, 12, 8, 2600, 2700, 2470, 2750),
    ("HK0810", 8, 12, 10, 3600, 3690, 3750, 4050),
    ("HK0908", 9, 13, 8, 3370, 3520, 3560, 3900),
    ("HK0910", 9, 13, 10, 4050, 4130, 4400, 4800),
    ("HK0912", 9, 13, 12, 5040, 5120, 6000, 6400),
    ("HK1010", 10, 14, 10, 4180, 4290, 4850, 5300),
    ("HK1012", 10, 14, 12, 5200, 5200, 6450, 6450),
    ("HK1015", 10, 14, 15, 6450, 6450, 8350, 8350),
    ("HK1208", 12, 16, 8, 4320, 4320, 5100, 5100),
    ("HK1210", 12, 16, 10, 4700, 4700, 5900, 5900),
    ("HK1212", 12, 18, 12, 6150, 6150, 6900, 6900),
)

_SI = np.array([1e-3, 1e-3, 1e-3, 1.0, 1.0, 1.0, 1.0, np.pi / 30, 1.0, 1e-3])
BALLS = np.array([row[1:] for row in (*_BALLS, *_INCH_ROWS)], dtype=float) * _SI
"""Rows as above in SI: m, N, rad/s."""
BALL_NAMES = tuple(str(row[0]) for row in (*_BALLS, *_INCH_ROWS))
"""Their designations; "" where none is common."""
NEEDLES = np.array([row[1:] for row in _NEEDLES], dtype=float) * _SI[:7]
NEEDLE_NAMES = tuple(str(row[0]) for row in _NEEDLES)


def row_of(table: np.ndarray, bore: Scalar, outside: Scalar, width: Scalar) -> np.ndarray:
    """Return a table's row of a size (m), (options..., columns), in SI; NaN throughout where the size is not known."""
    if any(isinstance(each, np.ndarray) for each in (bore, outside, width)):
        return _rows_of(table, np.stack(np.broadcast_arrays(bore, outside, width), axis=-1))
    return _row_of_one(table is NEEDLES, float(bore), float(outside), float(width))


@cache
def _row_of_one(needle: bool, *size: float) -> np.ndarray:
    """A design asks for the same few sizes again and again."""
    row = _rows_of(NEEDLES if needle else BALLS, np.array(size, dtype=float))
    row.flags.writeable = False
    return row


def _rows_of(table: np.ndarray, size: np.ndarray) -> np.ndarray:
    same = _matches(table, size)
    return np.where(np.any(same, axis=-1)[..., None], table[np.argmax(same, axis=-1)], UNKNOWN)


def _matches(table: np.ndarray, size: np.ndarray) -> np.ndarray:
    # A hundredth of a millimetre tells every size from every other and forgives any rounding.
    return np.all(np.abs(size[..., None, :] - table[:, :3]) < 1e-5, axis=-1)


def designation(bore: float, outside: float, width: float, table: np.ndarray = BALLS) -> str:
    """Return the basic designation of a size (m), as 608; "" where there is none or it is not known."""
    names = NEEDLE_NAMES if table is NEEDLES else BALL_NAMES
    rows = np.flatnonzero(_matches(table, np.array([bore, outside, width])))
    return names[rows[0]] if rows.size else ""


def span(row: np.ndarray) -> str:
    """Return what catalogues give of one size, in words, least to most; "" if the size is not known."""
    if not np.all(np.isfinite(row[3:7])):
        return ""
    spans = [f"{low:.0f}" if low == high else f"{low:.0f} to {high:.0f}" for low, high in (row[3:5], row[5:7])]
    return f"dynamic {spans[0]}, static {spans[1]} N"


def nearest_sizes(bore: float, outside: float, width: float, count: int = 3, table: np.ndarray = BALLS) -> list[str]:
    """Return the known sizes nearest to one bearing's (m), as text like "5 x 16 x 5 mm"; the bore weighs most."""
    away = (table[:, :3] - np.array([bore, outside, width])) * np.array([10.0, 1.0, 1.0])
    near = np.argsort(np.sum(away**2, axis=-1), kind="stable")[:count]
    return [f"{millimetres(*size)} mm" for size in table[near, :3]]
