"""How thick a shaft is where: for what turns beside it."""

import numpy as np

from balance.many import refuse_many
from balance.quantities import Number, Scalar
from shafts.bearings.bearing import Bearing
from shafts.shaft import Shaft

HAIR = 1e-7  # m; a step so near to where a part begins is beside it, for places that come from sums


def pieces(shaft: Shaft) -> list[tuple[float, float, float]]:
    """Return from where to where each segment reaches, and its radius, m; for a single design."""
    refuse_many(shaft, "the pieces of a shaft")
    return [(float(start), float(end), float(segment.diameter) / 2) for segment, start, end in shaft.placed_segments]


def widest_between(shaft: Shaft, low: Scalar, high: Scalar) -> Number:
    """Return the largest radius of a shaft between two places along it, m, (options...); zero beside it."""
    widest: Number = 0.0
    for segment, start, end in shaft.placed_segments:
        there = (start < np.asarray(high)) & (end > np.asarray(low))
        widest = np.maximum(widest, np.where(there, np.asarray(segment.diameter) / 2, 0.0))
    return widest


def diameters_in(shaft: Shaft, bearing: Bearing) -> tuple[Number, Number]:
    """Return the least and the largest diameter of the shaft over a bearing's width, m, (options...).

    A step within a hair of the bearing's side is beside it.
    """
    half = np.asarray(bearing.inside.width) / 2 - HAIR
    low, high = np.asarray(bearing.at) - half, np.asarray(bearing.at) + half
    thinnest: Number = np.inf
    for segment, start, end in shaft.placed_segments:
        thinnest = np.minimum(thinnest, np.where((start < high) & (end > low), np.asarray(segment.diameter), np.inf))
    return thinnest, 2 * widest_between(shaft, low, high)


def height_beside(shaft: Shaft, bearing: Bearing, groove: bool = False, within: float = 1e-3) -> Number:
    """Return the height of the highest shoulder that touches a bearing, m, (options...), or a groove's depth there.

    within : how far from its side, m, a shoulder's step may stand; a groove as far, and as much again for the circlip.
    """
    half, at = np.asarray(bearing.inside.width) / 2, np.asarray(bearing.at)
    if groove:
        depths = [
            np.where(np.abs(np.abs(np.asarray(notch.at) - at) - half) <= 2 * within, np.asarray(notch.depth), 0.0)
            for notch in shaft.notches
            if notch.kind == "groove" and notch.depth is not None
        ]
        return np.max(np.stack(np.broadcast_arrays(0.0, *depths)), axis=0)
    around = widest_between(shaft, at - half - within, at + half + within)
    return np.maximum(around - np.asarray(bearing.inside.bore) / 2, 0.0)
