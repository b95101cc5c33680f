"""The speed at which two yokes first touch, found as a root."""

from collections.abc import Callable

import numpy as np

from balance.extremes import least
from balance.quantities import Number
from shafts.carried import Case
from shafts.gap import YokePair

SCAN = 24  # speeds tried for the first change of sign; contact that comes and goes between two of them is missed


def least_gap(pair: YokePair, speed: Number, case: Case = "expected") -> tuple[np.ndarray, np.ndarray]:
    """Return the least gap over the cycle at a speed, m, and its crank angle, rad."""
    return least(pair.gap(speed, case))


def first_contact(pair: YokePair, up_to: Number, case: Case = "expected") -> np.ndarray:
    """Return the lowest speed, rad/s, (options...), at which the yokes touch; inf if none up to `up_to`."""
    return first_root(lambda speed: least_gap(pair, speed, case)[0], up_to)


def first_root(f: Callable[[np.ndarray], np.ndarray], up_to: Number, scan: int = SCAN) -> np.ndarray:
    """Return the lowest argument from 0 to `up_to` at which f is no longer positive, for each option.

    The argument is scanned in equal steps of its square, since loads grow with that, and the first change of
    sign is closed in on by the Illinois form of false position (Dowell and Jarratt, BIT 11 (1971), 168) with
    bisection where that stalls. Returns inf where f stays positive at every speed tried, 0 where it begins
    at or below zero. For a single design f is also called with an array of speeds, (speeds,).
    """
    top = np.asarray(up_to, dtype=float)
    start = np.asarray(f(np.zeros_like(top)))
    speeds = np.multiply.outer(np.sqrt(np.arange(1, scan + 1) / scan), np.broadcast_to(top, start.shape))
    # A single design takes all speeds at once along the speed axis; many options would not fit the cache so.
    values = f(speeds) if start.ndim == 0 else np.stack([f(each) for each in speeds])
    touches = values <= 0
    first = np.argmax(touches, axis=0)[None]
    every = np.concatenate([np.zeros_like(start)[None], speeds]), np.concatenate([start[None], values])
    low, f_low = (np.take_along_axis(each, first, axis=0)[0] for each in every)
    high, f_high = (np.take_along_axis(each, first + 1, axis=0)[0] for each in every)
    none = ~np.any(touches, axis=0)
    root = close_in(f, low, f_low, np.where(none, low, high), f_high)
    return np.where(start <= 0, 0.0, np.where(none, np.inf, root))


def close_in(
    f: Callable[[np.ndarray], np.ndarray], low: np.ndarray, f_low: np.ndarray, high: np.ndarray, f_high: np.ndarray
) -> np.ndarray:
    """Return the root of f between `low`, where it is positive, and `high`, where it is not, for each option.

    An option that is done stands still, so that its root does not depend on what else is worked out with it.
    """
    kept_low = np.zeros(np.shape(f_low), dtype=bool)
    kept_high = kept_low
    for turn in range(60):
        open_ = high - low > 1e-12 * high
        if not np.any(open_):
            break
        fall = f_low - f_high
        weight = np.where(fall > 0, f_low / np.where(fall > 0, fall, 1.0), 0.5)
        guess = low + np.where(turn % 4 == 3, 0.5, np.clip(weight, 1e-6, 1 - 1e-6)) * (high - low)
        value = f(guess)
        up, down = open_ & (value > 0), open_ & ~(value > 0)
        low, high = np.where(up, guess, low), np.where(down, guess, high)
        # Halving an end that stays put twice running keeps false position from creeping along one side.
        f_low = np.where(up, value, np.where(down & kept_low, f_low / 2, f_low))
        f_high = np.where(down, value, np.where(up & kept_high, f_high / 2, f_high))
        kept_low, kept_high = down, up
    return high
