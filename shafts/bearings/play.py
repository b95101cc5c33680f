"""Play in the bearings: how much there is, and where it is taken up."""

import numpy as np

from balance.quantities import Number, over_angle
from shafts.shaft import Bearing

# Radial internal clearance of deep-groove ball bearings in micrometres by bore: ISO 5753-1:2009, table 1
# (recalled). Each row: bore over .. up to, mm; then least and most for C2, CN, C3, C4, C5.
CLEARANCE = (
    (2.5, 6, (0, 7), (2, 13), (8, 23), (14, 29), (20, 37)),
    (6, 10, (0, 7), (2, 13), (8, 23), (14, 29), (20, 37)),
    (10, 18, (0, 9), (3, 18), (11, 25), (18, 33), (25, 45)),
    (18, 24, (0, 10), (5, 20), (13, 28), (20, 36), (28, 48)),
    (24, 30, (1, 11), (5, 20), (13, 28), (23, 41), (30, 53)),
    (30, 40, (1, 11), (6, 20), (15, 33), (28, 46), (40, 64)),
    (40, 50, (1, 11), (6, 23), (18, 36), (30, 51), (45, 73)),
)
NO_LOAD = 1e-150  # N: far less than any load, and enough to divide by
GROUPS = ("C2", "CN", "C3", "C4", "C5")
NORMAL = "CN"


def clearance_range(bearing: Bearing) -> tuple[Number, Number]:
    """Return the least and most radial internal clearance, m, (options...).

    It is the whole travel of the inner ring from one side to the other, so the shaft moves half of
    it off centre. A group by bore (ISO 5753-1), a stated value, or a bush's play on its shaft.
    """
    stated = bearing.clearance
    if stated is not None and not isinstance(stated, str):
        return stated, stated
    if bearing.bush is not None:
        return bearing.bush.play, bearing.bush.play
    assert bearing.ball is not None
    bores = np.array([row[1] for row in CLEARANCE]) * 1e-3
    # A nominal bore belongs to the row that ends with it, whatever its last binary digit.
    row = np.searchsorted(bores, np.asarray(bearing.ball.bore) - 1e-9)
    ranges = np.array([line[2 + GROUPS.index(stated or NORMAL)] for line in CLEARANCE]) * 1e-6
    row = np.minimum(row, len(CLEARANCE) - 1)
    return ranges[row, 0], ranges[row, 1]


def taken_up(load: tuple[np.ndarray, np.ndarray], clearance: Number) -> tuple[np.ndarray, np.ndarray]:
    """Return how far the shaft's centre moves in a bearing, x and y in m: half the clearance, along the load.

    load : x and y of the load on the bearing, N. A bearing without load stays centred.
    """
    x, y = load
    factor = over_angle(clearance) / 2 / np.maximum(np.sqrt(x * x + y * y), NO_LOAD)
    return x * factor, y * factor
