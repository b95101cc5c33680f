"""Small deep-groove ball bearings by boundary size, and the factors that rate one by its balls.

Sizes are boundary dimensions of ISO 15. The ratings are typical catalogue values (most of them
recalled); makers differ by a few percent, and a design's own values override them. Number and size of
the balls are typical too; where they were not known they are the standard balls with which the ISO formulas
come nearest to both ratings, the balls halfway between bore and outside. Limiting speeds are for grease,
open or shielded, recalled.
"""

from functools import cache

import numpy as np

from balance.quantities import Scalar

UNKNOWN = float("nan")

# bore, outside, width in mm; dynamic and static rating in N; limiting speed in rpm; balls; ball diameter in mm
_ROWS = (
    (3, 7, 2, 310, 111, 63000, 8, 1.0),
    (3, 8, 3, 560, 180, 60000, 6, 1.588),
    (3, 10, 4, 630, 218, 50000, UNKNOWN, UNKNOWN),
    (4, 9, 2.5, 640, 225, 53000, 7, 1.588),
    (4, 11, 4, 960, 345, 48000, 7, 2.0),
    (4, 13, 5, 1300, 485, 40000, 7, 2.381),
    (4, 16, 5, 1730, 670, 36000, 7, 2.778),
    (5, 11, 3, 715, 282, 45000, 8, 1.588),
    (5, 11, 5, 715, 282, 45000, 8, 1.588),
    (5, 13, 4, 1080, 430, 43000, 8, 2.0),
    (5, 14, 5, 1330, 505, 40000, 7, 2.381),
    (5, 16, 5, 1730, 670, 36000, 7, 2.778),
    (5, 19, 6, 2340, 885, 32000, 6, 3.572),
    (6, 12, 4, 715, 294, 43000, 8, 1.588),
    (6, 13, 3.5, 1080, 440, 40000, 8, 2.0),
    (6, 13, 5, 1080, 440, 40000, 8, 2.0),
    (6, 15, 5, 1730, 670, 40000, 7, 2.778),
    (6, 17, 6, 2260, 835, 38000, 6, 3.5),
    (6, 19, 6, 2340, 885, 32000, 6, 3.5),
    (7, 14, 3.5, 1170, 505, 40000, 9, 2.0),
    (7, 14, 5, 1170, 505, 40000, 9, 2.0),
    (7, 17, 5, 1610, 710, 36000, 9, 2.381),
    (7, 19, 6, 2340, 885, 36000, 6, 3.5),
    (7, 22, 7, 3300, 1370, 30000, 7, 3.969),
    (8, 16, 4, 1610, 710, 36000, 9, 2.381),
    (8, 16, 5, 1610, 710, 36000, 9, 2.381),
    (8, 19, 6, 2240, 910, 36000, 7, 3.175),
    (8, 22, 7, 3300, 1370, 34000, 7, 3.969),
    (8, 24, 8, 3350, 1430, 28000, 7, 3.969),
    (9, 17, 4, 1330, 665, 36000, 11, 2.0),
    (9, 17, 5, 1330, 665, 36000, 11, 2.0),
    (9, 20, 6, 1720, 840, 34000, 10, 2.381),
    (9, 24, 7, 3350, 1430, 32000, 7, 3.969),
    (9, 26, 8, 4550, 1970, 28000, 7, 4.762),
    (10, 19, 5, 1720, 840, 34000, 10, 2.381),
    (10, 22, 6, 2700, 1270, 32000, 9, 3.175),
    (10, 26, 8, 4550, 1970, 30000, 7, 4.762),
    (10, 30, 9, 5100, 2390, 24000, 8, 4.762),
    (10, 35, 11, 8100, 3450, 22000, 6, 7.144),
    (12, 21, 5, 1920, 1040, 32000, 12, 2.381),
    (12, 24, 6, 2890, 1460, 30000, 10, 3.175),
    (12, 28, 8, 5100, 2370, 28000, 8, 4.762),
    (12, 32, 10, 6800, 3050, 22000, 7, 5.953),
    (12, 37, 12, 9700, 4200, 20000, 6, 7.938),
    (15, 24, 5, 2070, 1260, 28000, 14, 2.381),
    (15, 28, 7, 4350, 2260, 26000, 10, 3.969),
    (15, 32, 9, 5600, 2830, 24000, 9, 4.762),
    (15, 35, 11, 7650, 3750, 20000, 8, 5.953),
    (15, 42, 13, 11400, 5450, 17000, 7, 7.938),
    (17, 26, 5, 2630, 1570, 26000, 13, 2.778),
    (17, 30, 7, 4600, 2550, 24000, 11, 3.969),
    (17, 35, 10, 6000, 3250, 22000, 10, 4.762),
    (17, 40, 12, 9550, 4800, 17000, 8, 6.747),
    (17, 47, 14, 13600, 6650, 15000, 7, 8.731),
    (20, 32, 7, 4000, 2470, 22000, 13, 3.5),
    (20, 37, 9, 6400, 3700, 19000, 11, 4.762),
    (20, 42, 12, 9400, 5000, 18000, 9, 6.35),
    (20, 47, 14, 12800, 6600, 15000, 8, 7.938),
    (20, 52, 15, 15900, 7900, 14000, 7, 9.525),
    (25, 37, 7, 4500, 3150, 18000, 16, 3.5),
    (25, 42, 9, 7050, 4550, 16000, 13, 4.762),
    (25, 47, 12, 10100, 5850, 15000, 10, 6.35),
    (25, 52, 15, 14000, 7850, 13000, 9, 7.938),
    (25, 62, 17, 20600, 11200, 11000, 8, 10.319),
)

_SI = np.array([1e-3, 1e-3, 1e-3, 1.0, 1.0, np.pi / 30, 1.0, 1e-3])
TABLE = np.array(_ROWS) * _SI
"""Rows as above in SI: m, N, rad/s."""

# ISO 281:2007, table 2, single-row radial contact: f_c at ball diameter over pitch diameter 0.01, 0.02 ... 0.40
LIFE_FACTOR = np.array([
    29.1, 35.8, 40.3, 43.8, 46.7, 49.1, 51.1, 52.8, 54.3, 55.5,
    56.6, 57.5, 58.2, 58.8, 59.3, 59.6, 59.8, 59.9, 60.0, 59.9,
    59.8, 59.6, 59.3, 59.0, 58.6, 58.2, 57.7, 57.1, 56.6, 56.0,
    55.3, 54.6, 53.9, 53.2, 52.4, 51.7, 50.9, 50.0, 49.2, 48.4,
])  # fmt: skip
# ISO 76:2006, table 1, radial ball bearings: f_0 at 0.00, 0.01 ... 0.40
STATIC_FACTOR = np.array([
    14.7, 14.9, 15.1, 15.3, 15.5, 15.7, 15.9, 16.1, 16.3, 16.5,
    16.4, 16.1, 15.9, 15.6, 15.4, 15.2, 14.9, 14.7, 14.4, 14.2,
    14.0, 13.7, 13.5, 13.2, 13.0, 12.8, 12.5, 12.3, 12.1, 11.8,
    11.6, 11.4, 11.2, 10.9, 10.7, 10.5, 10.3, 10.0, 9.8, 9.6,
    9.4,
])  # fmt: skip
# ISO 281:2007, table 3, deep-groove bearings: f_0 F_a / C_0r, and e and Y there (X is 0.56)
AXIAL = (
    np.array([0.172, 0.345, 0.689, 1.03, 1.38, 2.07, 3.45, 5.17, 6.89]),
    np.array([0.19, 0.22, 0.26, 0.28, 0.30, 0.34, 0.38, 0.42, 0.44]),
    np.array([2.30, 1.99, 1.71, 1.55, 1.45, 1.31, 1.15, 1.04, 1.00]),
)


def row_of(bore: Scalar, outside: Scalar, width: Scalar) -> np.ndarray:
    """Return the table's row of a size (m), (options..., 8), in SI; NaN throughout where the size is not known."""
    if any(isinstance(each, np.ndarray) for each in (bore, outside, width)):
        return _rows_of(np.stack(np.broadcast_arrays(bore, outside, width), axis=-1))
    return _row_of_one(float(bore), float(outside), float(width))


@cache
def _row_of_one(*size: float) -> np.ndarray:
    """A design asks for the same few sizes again and again."""
    row = _rows_of(np.array(size, dtype=float))
    row.flags.writeable = False
    return row


def _rows_of(size: np.ndarray) -> np.ndarray:
    # A hundredth of a millimetre tells every size from every other and forgives any rounding.
    same = np.all(np.abs(size[..., None, :] - TABLE[:, :3]) < 1e-5, axis=-1)
    return np.where(np.any(same, axis=-1)[..., None], TABLE[np.argmax(same, axis=-1)], UNKNOWN)


def nearest_sizes(bore: float, outside: float, width: float, count: int = 3) -> list[str]:
    """Return the known sizes nearest to one bearing's (m), as text like "5 x 16 x 5 mm"; the bore weighs most."""
    away = (TABLE[:, :3] - np.array([bore, outside, width])) * np.array([10.0, 1.0, 1.0])
    near = np.argsort(np.sum(away**2, axis=-1), kind="stable")[:count]
    return [f"{d * 1e3:g} x {out * 1e3:g} x {wide * 1e3:g} mm" for d, out, wide in TABLE[near, :3]]
