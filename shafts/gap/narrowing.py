"""The gap of many options at only those angles and places where it can be least: the same answer for less work.

An angle whose gap cannot fall below the largest that another angle's can be is never the tightest, so it is left
out; its neighbours stay, since the parabola through the lowest three angles needs them. A wide bound serves
before anything is worked out over angle, a close one after.
"""

from dataclasses import dataclass, replace

import numpy as np

from balance.cycle.extremes import least
from balance.quantities import Number
from shafts.carried import LoadedShafts
from shafts.gap.allowance import most_shift
from shafts.gap.course import GapCurve, at_numbers
from shafts.gap.crank_give import give_of
from shafts.gap.envelope import envelope_of
from shafts.gap.facing import Facing, facing_yokes
from shafts.gap.give import sides
from shafts.gap.pair import course_of, pair_of
from shafts.gap.warming import thicker_faces, warm_shift


@dataclass(frozen=True, eq=False)
class Narrow:
    """The expected gap of two yokes at few angles and places.

    upper, lower : their names.   course : with arrays of (options, kept angles).
    kept : which angles these are, (options, kept), of `count`.
    """

    upper: str
    lower: str
    course: GapCurve
    kept: np.ndarray
    count: int

    def least(self, speed: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
        """Return least gap, m, and crank angle, rad, at speeds (speeds, options) or (options,)."""
        values = self.course.gap(speed)
        place = np.argmin(values, axis=-1)[..., None]
        value, angle = least(values)
        turn = values.shape[-1] / (2 * np.pi)
        shift = (angle * turn - place[..., 0] + 1) % values.shape[-1] - 1
        kept = np.take_along_axis(np.broadcast_to(self.kept, values.shape), place, axis=-1)[..., 0]
        return value, ((kept + shift) * (2 * np.pi / self.count)) % (2 * np.pi)

    def of(self, options: np.ndarray) -> "Narrow":
        """Return some of the options."""
        return replace(self, course=self.course.of(options), kept=self.kept[options])


def narrow_pairs(carried: LoadedShafts, top: np.ndarray) -> list[Narrow]:
    """Return every two yokes that face each other at the angles where they can be nearest.

    top : the fastest speed, rad/s, (options,).
    """
    return [_narrow(carried, each, top) for each in facing_yokes(carried.engine, carried.motion)]


def _narrow(carried: LoadedShafts, facing: Facing, top: np.ndarray) -> Narrow:
    options, count = len(top), facing.nominal.shape[-1]
    warm = (warm_shift(carried, facing.upper) - warm_shift(carried, facing.lower)).at(facing.x)
    thicker = thicker_faces(carried, facing.upper, facing.lower, facing.x)[..., None]
    gives = [give_of(side) for side in sides(carried, facing.upper, facing.lower)]
    middle, shift = facing.nominal + warm + thicker, most_shift(carried, facing, gives, top)[..., None]
    kept = _kept(*np.broadcast_arrays(middle - shift, middle + shift, np.zeros((options, 1, 1)))[:2])
    nominal = np.broadcast_to(facing.nominal, (options, *facing.nominal.shape[-2:]))
    few = replace(facing, nominal=at_numbers(nominal, kept))
    course = course_of(pair_of(carried.at_angles(kept), few, gives=gives), "expected").spread(options)
    return _closer(Narrow(facing.upper, facing.lower, course, kept, count), top)


def _closer(pair: Narrow, top: Number) -> Narrow:
    """Return a pair at those of its angles that a close bound leaves, and at those places."""
    envelope = envelope_of(pair.course, top)
    low, high = envelope.least, envelope.most
    places = np.any(low <= np.min(high, axis=(-2, -1), keepdims=True), axis=(0, -1))
    kept = _kept(low, high)
    return replace(pair, course=pair.course.at(kept, places), kept=at_numbers(pair.kept, kept))


def _kept(low: np.ndarray, high: np.ndarray) -> np.ndarray:
    """Return which angles can be the lowest, and their neighbours, (options, kept): as many for each option.

    low, high : between what the gap can be, m, (options, places, angles).
    """
    lowest, ceiling = np.min(low, axis=-2), np.min(np.min(high, axis=-2), axis=-1, keepdims=True)
    tight = (lowest <= ceiling) & np.isfinite(lowest)
    wanted = tight | np.roll(tight, 1, axis=-1) | np.roll(tight, -1, axis=-1)
    most = int(np.max(np.sum(wanted, axis=-1)))
    return np.sort(np.argsort(~wanted, axis=-1, kind="stable")[..., :most], axis=-1)
