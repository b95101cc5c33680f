"""The gap of many options at only those angles and places where it can be least: the same answer for less work.

An angle whose gap cannot fall below the largest that another angle's can be is never the tightest, so it is left
out; its neighbours stay, since the parabola through the lowest three angles needs them. A wide bound serves
before anything is worked out over angle, a close one after.
"""

from collections.abc import Callable
from dataclasses import replace

import numpy as np

from balance.cycle.extremes import least
from balance.cycle.load import Load
from balance.quantities import Number, result
from shafts.gap.bounds.bounds import bounds_of
from shafts.gap.bounds.largest_shift import largest_shift
from shafts.gap.curve import GapCurve
from shafts.gap.facing import Facing, facing_yokes
from shafts.gap.items import sum_of_lines, thermal_expansion
from shafts.loaded_shafts import LoadedShafts

BY_PLACE = ("plain", "apart", "ahead", "behind", "neither", "across", "along", "slack")
"""Fields of a curve with an axis of places; the last three have one of rows behind it."""
BY_ROW = ("across", "along", "slack")


@result
class PrunedPair:
    """The expected gap of two yokes at few angles and places.

    upper, lower : their names.   curve : with arrays of (options, kept angles).
    kept : which angles these are, (options, kept), of `count`.
    """

    upper: str
    lower: str
    curve: GapCurve
    kept: np.ndarray
    count: int

    def least(self, speed: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
        """Return least gap, m, and crank angle, rad, at speeds (speeds, options) or (options,)."""
        values = self.curve.gap(speed)
        index = np.argmin(values, axis=-1)[..., None]
        value, angle = least(values)
        turn = values.shape[-1] / (2 * np.pi)
        shift = (angle * turn - index[..., 0] + 1) % values.shape[-1] - 1
        kept = np.take_along_axis(np.broadcast_to(self.kept, values.shape), index, axis=-1)[..., 0]
        return value, ((kept + shift) * (2 * np.pi / self.count)) % (2 * np.pi)

    def of(self, options: np.ndarray) -> "PrunedPair":
        """Return some of the options."""
        return replace(self, curve=self.curve.each(lambda _, values: values[options]), kept=self.kept[options])


def pruned_pairs(loaded: LoadedShafts, top: np.ndarray) -> list[PrunedPair]:
    """Return every two yokes that face each other at the angles where they can be nearest.

    top : the fastest speed, rad/s, (options,).
    """
    return [_pruned(loaded, each, top) for each in facing_yokes(loaded.engine, loaded.motion)]


def _pruned(loaded: LoadedShafts, facing: Facing, top: np.ndarray) -> PrunedPair:
    options, count = len(top), facing.nominal.shape[-1]
    warm = thermal_expansion.line(loaded, facing, "expected").plain.at(0.0)
    middle, shift = facing.nominal + warm, largest_shift(loaded, facing, top)[..., None]
    kept = _lowest(*np.broadcast_arrays(middle - shift, middle + shift, np.zeros((options, 1, 1)))[:2])
    nominal = np.broadcast_to(facing.nominal, (options, *facing.nominal.shape[-2:]))
    few = replace(facing, nominal=at_numbers(kept)(nominal))
    curve = GapCurve(Load(steady=few.nominal)) + sum_of_lines(loaded.at_angles(kept), few, "expected")
    return _closer(PrunedPair(facing.upper, facing.lower, _spread(curve, options), kept, count), top)


def _closer(pair: PrunedPair, top: Number) -> PrunedPair:
    """Return a pair at those of its angles that a close bound leaves, and at those places."""
    bounds = bounds_of(pair.curve, top)
    low, high = bounds.least, bounds.most
    places = np.any(low <= np.min(high, axis=(-2, -1), keepdims=True), axis=(0, -1))
    kept = _lowest(low, high)
    at = at_numbers(kept)

    def cut(name: str, values: np.ndarray) -> np.ndarray:
        if name in BY_PLACE and values.shape[1] > 1 and not np.all(places):
            values = values[:, places]
        return values if values.shape[-1] == 1 else at(values)

    return replace(pair, curve=pair.curve.each(cut), kept=at(pair.kept))


def _spread(curve: GapCurve, options: int) -> GapCurve:
    """Return a curve with an option axis everywhere."""

    def wide(name: str, values: np.ndarray) -> np.ndarray:
        axes = 3 if name in BY_ROW else 2
        return np.broadcast_to(values, (options, *(1,) * (axes - values.ndim), *values.shape[-axes:]))

    return curve.each(wide)


def _lowest(low: np.ndarray, high: np.ndarray) -> np.ndarray:
    """Return which angles can be the lowest, and their neighbours, (options, kept): as many for each option.

    low, high : between what the gap can be, m, (options, places, angles).
    """
    lowest, ceiling = np.min(low, axis=-2), np.min(np.min(high, axis=-2), axis=-1, keepdims=True)
    tight = (lowest <= ceiling) & np.isfinite(lowest)
    wanted = tight | np.roll(tight, 1, axis=-1) | np.roll(tight, -1, axis=-1)
    most = int(np.max(np.sum(wanted, axis=-1)))
    return np.sort(np.argsort(~wanted, axis=-1, kind="stable")[..., :most], axis=-1)


def at_numbers(numbers: np.ndarray) -> Callable[[np.ndarray], np.ndarray]:
    """Return what takes arrays (options or 1, ..., angles) at the angles of these numbers, (options, kept).

    It returns them as (options, ..., kept): what numpy's take_along_axis does, in a fraction of the time.
    """
    known: dict[tuple[int, ...], np.ndarray] = {}

    def at(values: np.ndarray) -> np.ndarray:
        rows = np.broadcast_to(values, (len(numbers), *values.shape[1:]))
        if rows.shape not in known:
            start = np.arange(rows[..., 0].size).reshape(*rows.shape[:-1], 1) * rows.shape[-1]
            known[rows.shape] = start + numbers.reshape(len(numbers), *(1,) * (rows.ndim - 2), -1)
        return rows.reshape(-1).take(known[rows.shape])

    return at
