"""The speed at which two yokes first touch, found as a root."""

from collections.abc import Callable

import numpy as np

from balance.quantities import Number
from shafts.gap.pair import YokePair
from shafts.loaded_shafts import Case

SECTIONS, ROUNDS = 8, 13  # of the closing in: a 24th of the range is cut to 1e-12 of itself
FIRST_ROUNDS = 2  # after which a smooth root is as good as alone
SECANTS = 3  # that meet a smooth root from there to rounding
SETTLED = 1e-12  # share of a speed to which it is found
SCAN = 24  # speeds tried for the first change of sign; contact that comes and goes between two of them is missed


def first_contact(pair: YokePair, up_to: Number, case: Case = "expected") -> np.ndarray:
    """Return the lowest speed, rad/s, (options...), at which the yokes touch; inf if none up to `up_to`."""
    return first_root(lambda speed: pair.least(speed, case)[0], up_to)


def first_root(f: Callable[[np.ndarray], np.ndarray], up_to: Number, scan: int = SCAN) -> np.ndarray:
    """Return the lowest argument from 0 to `up_to` at which f is no longer positive, for each option.

    The argument is scanned in equal steps of its square, since loads grow with that, and the first change of
    sign is closed in on by cutting again and again. Returns inf where f stays positive at every speed tried, 0
    where it begins at or below zero. For a single design f is also called with an array of speeds, (speeds,).
    """
    top = np.asarray(up_to, dtype=float)
    start = np.asarray(f(np.zeros_like(top)))
    speeds = np.multiply.outer(np.sqrt(np.arange(1, scan + 1) / scan), np.broadcast_to(top, start.shape))
    # A single design takes all speeds at once along the speed axis; many options would not fit the cache so.
    values = f(speeds) if start.ndim == 0 else np.stack([f(each) for each in speeds])
    touches = values <= 0
    first = np.argmax(touches, axis=0)[None]
    every = np.concatenate([np.zeros_like(start)[None], speeds])
    low, high = (np.take_along_axis(every, place, axis=0)[0] for place in (first, first + 1))
    found = np.where(start <= 0, 0.0, np.where(np.any(touches, axis=0), high, np.inf))
    inside = np.isfinite(found) & (start > 0)
    return np.where(inside, close_in(f, low, high, start.ndim == 0), found) if np.any(inside) else found


def close_in(f: Callable[[np.ndarray], np.ndarray], low: np.ndarray, high: np.ndarray, together: bool) -> np.ndarray:
    """Return the lowest root of f from `low`, where it is positive, to `high`, where it is not, for each option.

    A few rounds of cutting single out one change of sign; secants then meet a smooth root. Where play
    changes sides f leaps and secants stall: there cutting goes on. What an option comes to does not depend on
    what else is worked out with it.
    together : whether f takes an array of speeds with a further axis in front.
    """
    for _ in range(FIRST_ROUNDS):
        low, high = _cut(f, low, high, together)
    low, high = _secants(f, low, high)
    leaps = high - low > SETTLED * high
    if np.any(leaps):
        below, above = low, high
        for _ in range(ROUNDS - FIRST_ROUNDS):
            below, above = _cut(f, below, above, together)
        high = np.where(leaps, above, high)
    return high


def _cut(
    f: Callable[[np.ndarray], np.ndarray], low: np.ndarray, high: np.ndarray, together: bool
) -> tuple[np.ndarray, np.ndarray]:
    """Cut what is left into SECTIONS parts and keep the first at whose end f is not positive."""
    shares = (np.arange(1, SECTIONS) / SECTIONS).reshape(-1, *(1,) * np.ndim(low))
    speeds = low + shares * (high - low)
    values = f(speeds) if together else np.stack([f(each) for each in speeds])
    ends = np.concatenate([speeds, np.asarray(high)[None]])
    touches = np.concatenate([values <= 0, np.ones_like(values[:1], dtype=bool)])
    first = np.argmax(touches, axis=0)[None]
    above = np.take_along_axis(ends, first, axis=0)[0]
    below = np.where(first[0] == 0, low, np.take_along_axis(ends, np.maximum(first - 1, 0), axis=0)[0])
    return below, above


def _secants(f: Callable[[np.ndarray], np.ndarray], low: np.ndarray, high: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    """Take secant steps, and look just below and just above where the last one leads."""
    f_low, f_high = f(low), f(high)
    for _ in range(SECANTS - 1):
        guess = _secant(low, f_low, high, f_high)
        value = f(guess)
        low, f_low = np.where(value > 0, guess, low), np.where(value > 0, value, f_low)
        high, f_high = np.where(value > 0, high, guess), np.where(value > 0, f_high, value)
    guess = _secant(low, f_low, high, f_high)
    for side in (guess * (1 - SETTLED / 4), guess * (1 + SETTLED / 4)):
        side = np.clip(side, low, high)
        positive = f(side) > 0
        low, high = np.where(positive, side, low), np.where(positive, high, side)
    return low, high


def _secant(low: np.ndarray, f_low: np.ndarray, high: np.ndarray, f_high: np.ndarray) -> np.ndarray:
    fall = f_low - f_high
    return low + (high - low) * np.where(fall > 0, f_low / np.where(fall > 0, fall, 1.0), 0.5)
