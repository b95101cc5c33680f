"""The largest size of a deflection, slope or bearing load over the cycle and over a range of speeds.

The size of what is in proportion to speed squared is convex in it, so it is largest at an end of the range. Only
the teeth's separating force breaks that: as the tooth force changes sign between two speeds, what it pushes
dips. The depth of that dip bounds what can lie between the ends, and tells whether one must look there.
"""

from collections.abc import Sequence
from typing import Any

import numpy as np

from balance.cycle.extremes import highest, largest_roots
from balance.cycle.load import Load
from balance.quantities import Number
from shafts.crank.loaded import LoadedCrank
from shafts.crank.vectors import Peak

CLEAR = 1 - 1e-9  # share of the larger end below which rounding cannot decide


def shaft_peaks(crank: LoadedCrank, speeds: Sequence[Any]) -> dict[str, list[Peak]]:
    """Return the peaks of all that is judged of a shaft, by kind: "bearings", N, and those of its `weights`."""
    kinds = {"bearings": crank.pushes, **crank.weights}
    options = np.broadcast_shapes(*(weights.shape[:-2] for weights in kinds.values()))
    every = [np.broadcast_to(weights, (*options, *weights.shape[-2:])) for weights in kinds.values()]
    largest = iter(peaks(crank, np.concatenate(every, axis=-2), speeds))
    return {kind: [next(largest) for _ in range(weights.shape[-2] // 2)] for kind, weights in kinds.items()}


def peaks(crank: LoadedCrank, weights: np.ndarray, speeds: Sequence[Any]) -> list[Peak]:
    """Return the largest size of each response over the cycle at any of the speeds.

    weights : as for `LoadedCrank.vectors`.   speeds : from the slowest to the fastest, rad/s, each (options...).
    """
    last = len(speeds) - 1
    sizes, angles = _largest_at(crank, weights, [speeds[0], speeds[last]])
    ends, dip = [speeds[0], speeds[last]], _dip(crank, weights, speeds)
    # What vibrates peaks where it meets a critical speed: there no end says anything about what lies between.
    between = [index for index in range(1, last)
               if crank.vibration is not None or np.any(~_surely_less(speeds[index], ends, sizes, dip))]  # fmt: skip
    if between:
        more = _largest_at(crank, weights, [speeds[index] for index in between])
        sizes, angles = (np.concatenate(each) for each in ((sizes, more[0]), (angles, more[1])))
    tried = np.stack(np.broadcast_arrays(*ends, *(speeds[index] for index in between), sizes[0])[:-1])
    index = np.argmax(sizes, axis=0)[None]
    largest = (np.take_along_axis(each, index, axis=0)[0] for each in (sizes, tried, angles))
    return [Peak(*each) for each in zip(*largest, strict=True)]


def _largest_at(crank: LoadedCrank, weights: np.ndarray, speeds: Sequence[Any]) -> tuple[np.ndarray, np.ndarray]:
    """Return the largest size of each response over the cycle, and its angle, (speeds, responses, options...)."""
    roots = largest_roots(crank.squares(weights, speeds))
    sizes, angles = (each.reshape(len(speeds), -1, *each.shape[1:]) for each in roots)
    return sizes, angles


def _dip(crank: LoadedCrank, weights: np.ndarray, speeds: Sequence[Any]) -> Number:
    """Return the root of |push at one end times push at the other| where the tooth force turns, at its largest.

    With a and b its sizes at the ends, the chord at a share p lies above the size by 2 min((1 - p) a, p b), which
    is at most 2 sqrt(p (1 - p) a b).   Returns (responses, options...).
    """
    teeth, columns = crank.named("gear teeth"), crank.stations.teeth
    if teeth is None or crank.tooth is None or columns is None:
        return 0.0
    push = np.asarray(teeth.apart * _turning(crank.tooth, speeds[0], speeds[-1]))
    # The push turns in the crank frame: no response to it is larger than the root of all four squares.
    square = weights[..., columns[0]] ** 2 + weights[..., columns[1]] ** 2
    size = np.sqrt(square[..., 0::2] + square[..., 1::2])
    return np.moveaxis(np.abs(size * push[..., None]), -1, 0)


def largest_of(peaks: dict[str, Peak]) -> tuple[str, Peak]:
    """Return the largest of several peaks for each option, and the name of the largest of all."""
    columns = ([getattr(each, of) for each in peaks.values()] for of in ("size", "speed", "angle"))
    every = [np.stack(np.broadcast_arrays(*column)) for column in columns]  # one shaft alone may have options
    index = np.argmax(every[0], axis=0)[None]
    name = max(peaks, key=lambda each: float(np.max(peaks[each].size)))
    return name, Peak(*(np.take_along_axis(each, index, axis=0)[0] for each in every))


def _surely_less(speed: Number, ends: list[Any], sizes: np.ndarray, dip: Number) -> np.ndarray:
    """Return whether the size at a speed is surely less than at one of the ends, (options...)."""
    low, middle, high = (np.square(each) for each in (ends[0], speed, ends[1]))
    with np.errstate(divide="ignore", invalid="ignore"):  # a range of no width leaves it open
        share = (middle - low) / (high - low)
        most = (1 - share) * sizes[0] + share * sizes[1] + 2 * dip * np.sqrt(share * (1 - share))
        return most < np.max(sizes, axis=0) * CLEAR


def _turning(tooth: Load, slowest: Number, fastest: Number) -> np.ndarray:
    """Return the root of the product of tooth forces at two speeds where their signs differ, N, (options...)."""
    product = np.multiply(*(np.atleast_1d(tooth.at(speed)) for speed in (slowest, fastest)))
    return np.sqrt(np.maximum(highest(-product), 0.0))
