"""Play in the bearings: how much there is, and where it is taken up."""

import numpy as np

from balance.quantities import Number, over_angle
from shafts.bearings.bearing import Bearing
from shafts.bearings.fit import fitted
from shafts.iso_286 import Range

NO_LOAD = 1e-150  # N: far less than any load, and enough to divide by


def clearance_range(bearing: Bearing) -> tuple[Number, Number]:
    """Return the least and most radial internal clearance in place, m, (options...).

    It is the whole travel of the shaft from one side to the other, so it moves half of it off centre. What the bearing
    has as it is bought, less what tight rings take of it, and with the play of loose ones; none where it is preloaded.
    """
    least, most = fitted(bearing, bought(bearing))
    return np.maximum(least, 0.0), np.maximum(most, 0.0)


def bought(bearing: Bearing) -> Range:
    """Return the least and most internal clearance before it is fitted, m, (options...): as given, or by its kind."""
    given, fit = bearing.clearance, bearing.fit
    if given is not None and not isinstance(given, str):
        return given, given
    return bearing.inside.clearance(given, fit if isinstance(fit, str) else None) or (0.0, 0.0)


def taken_up(load: tuple[np.ndarray, np.ndarray], clearance: Number) -> tuple[np.ndarray, np.ndarray]:
    """Return how far the shaft's centre moves in a bearing, x and y in m: half the clearance, along the load.

    load : x and y of the load on the bearing, N. A bearing without load stays centred.
    """
    x, y = load
    factor = over_angle(clearance) / 2 / np.maximum(np.sqrt(x * x + y * y), NO_LOAD)
    return x * factor, y * factor
