"""How thick a shaft is where: for what turns beside it."""

import numpy as np

from balance.quantities import Number, Scalar
from shafts.shaft import Bearing, Shaft


def pieces(shaft: Shaft) -> list[tuple[float, float, float]]:
    """Return from where to where each segment reaches, and its radius, m; for a single design."""
    start = float(np.asarray(shaft.starts_at))
    found = []
    for each in shaft.segments:
        found.append((start, start + float(each.length), float(each.diameter) / 2))
        start = found[-1][1]
    return found


def widest_between(shaft: Shaft, low: Scalar, high: Scalar) -> Number:
    """Return the largest radius of a shaft between two places along it, m, (options...); zero beside it."""
    start = np.asarray(shaft.starts_at, dtype=float)
    widest: Number = 0.0
    for each in shaft.segments:
        end = start + each.length
        there = (start < np.asarray(high)) & (end > np.asarray(low))
        widest = np.maximum(widest, np.where(there, np.asarray(each.diameter) / 2, 0.0))
        start = end
    return widest


def bore_room(shaft: Shaft, bearing: Bearing) -> np.ndarray:
    """Return by how much a bearing's bore exceeds the shaft where it sits, m, (options...).

    At a step the thinner part counts. A hair of 0.1 um is left out, for sizes that come from sums.
    """
    seat = bearing.ball if bearing.ball is not None else bearing.bush
    assert seat is not None
    room = np.asarray(seat.bore) - 2 * widest_between(shaft, bearing.at, bearing.at)
    return np.where(np.abs(room) < 1e-7, 0.0, room)
