"""Limits of size by tolerance class, as h6 of a shaft or H7 of a hole: ISO 286-1 and -2.

Every class follows from two small tables: the standard tolerance grades IT, and the fundamental deviation of
each letter of a shaft. A hole of the same letter mirrors it; for K to R the difference of two grades comes on top.
Both tables from memory, check against the standard; tests hold the holes to a printed table.
"""

from typing import Literal

import numpy as np

from balance.errors import refuse_unknown
from balance.quantities import Number, Scalar

ShaftClass = Literal[
    "f6", "f7", "g5", "g6", "h5", "h6", "h7", "h8", "h9", "js5", "js6", "k5", "k6", "m5", "m6", "n5", "n6", "p6",
    "r6", "s6",
]  # fmt: skip
HoleClass = Literal[
    "F6", "F7", "F8", "G6", "G7", "H6", "H7", "H8", "H9", "JS6", "JS7", "K6", "K7", "M6", "M7", "N6", "N7", "P6", "P7",
    "R7",
]  # fmt: skip
Range = tuple[Number, Number]
"""Least and most, m, each (options...)."""

BANDS = (3, 6, 10, 18, 30, 50, 65)  # mm: nominal sizes up to and including; beyond the last no limits are known
LARGEST = 50e-3  # m: up to here every class is known, those of rings included
GRADES = {
    5: (4, 5, 6, 8, 9, 11, 13),
    6: (6, 8, 9, 11, 13, 16, 19),
    7: (10, 12, 15, 18, 21, 25, 30),
    8: (14, 18, 22, 27, 33, 39, 46),
    9: (25, 30, 36, 43, 52, 62, 74),
}
"""Width of each grade in um, by band."""
NEAREST = {
    "f": (-6, -10, -13, -16, -20, -25, -30),
    "g": (-2, -4, -5, -6, -7, -9, -10),
    "h": (0, 0, 0, 0, 0, 0, 0),
    "k": (0, 1, 1, 1, 2, 2, 2),
    "m": (2, 4, 6, 7, 8, 9, 11),
    "n": (4, 8, 10, 12, 15, 17, 20),
    "p": (6, 12, 15, 18, 22, 26, 32),
    "r": (10, 15, 19, 23, 28, 34, 41),
    "s": (14, 19, 23, 28, 35, 43, 53),
}
"""The deviation of a shaft that lies nearest the nominal size, in um, by band: the upper one to h, the lower from k."""


def limits(tolerance: str, size: Scalar) -> Range:
    """Return the lower and upper deviation of a class from the nominal size (m), m; NaN beyond the table.

    Small letters are shafts, capitals holes. Raises ValueError for a class that is not in the tables.
    """
    refuse_unknown("letter of a tolerance class", tolerance[:-1].lower(), (*NEAREST, "js"))
    refuse_unknown("grade of a tolerance class", tolerance[-1], [str(grade) for grade in GRADES])
    letter, grade = tolerance[:-1], int(tolerance[-1])
    width = _in_band(GRADES[grade], size)
    if letter.lower() == "js":
        return -width / 2, width / 2
    near = _in_band(NEAREST[letter.lower()], size)
    above = letter.lower() >= "k"
    if letter.islower():
        return (near, near + width) if above else (near - width, near)
    if not above:
        return -near, -near + width
    # ISO 286-1, 4.3.2.5: from K on a finer grade's shaft in a hole one grade coarser, above 3 mm.
    rise = np.where(np.asarray(size) > 3e-3 + 1e-9, width - _in_band(GRADES[grade - 1], size), 0.0)
    return -near + rise - width, -near + rise


def play(hole: Range, shaft: Range) -> Range:
    """Return the least and most diametral play of a shaft in a hole by their deviations, m; negative: interference."""
    return np.asarray(hole[0]) - shaft[1], np.asarray(hole[1]) - shaft[0]


def _in_band(values: tuple[int, ...], size: Scalar) -> np.ndarray:
    # A nominal size belongs to the band that ends with it, whatever its last binary digit.
    band = np.searchsorted(np.array(BANDS) * 1e-3, np.asarray(size) - 1e-9)
    return np.array([*values, np.nan])[band] * 1e-6
