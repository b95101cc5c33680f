"""The speed at which two yokes first touch, found as a root.

From rest upward each piece of the range is passed over that bounds prove clear (`between`), and cut into finer
ones where they do not. What is proven needs no look; in the finest pieces, a 1536th of the largest speed squared, the
gap is looked at where they end. So a touch that comes and goes is found wherever it is wider than such a piece.
"""

from collections.abc import Callable
from functools import partial

import numpy as np

from balance.quantities import Number
from shafts.gap.between import lowest_between, peaks_of
from shafts.gap.pair import YokePair
from shafts.loaded_shafts import Case

SECTIONS, ROUNDS = 8, 13  # of the closing in: a 24th of the range is cut to 1e-12 of itself
FIRST_ROUNDS = 2  # after which a smooth root is as good as alone
SECANTS = 3  # that meet a smooth root from there to rounding
SETTLED = 1e-12  # share of a speed to which it is found
SCAN = 24  # speeds tried for the first change of sign of any function; what comes and goes between two is missed
PIECES = (64, 8, 1)  # sizes of the pieces, in the finest ones
FINEST = SCAN * PIECES[0]
AT_ONCE = 8  # pieces looked at together; of one design that does not vibrate a look costs the same however many it has

Speeds = Callable[[np.ndarray, np.ndarray], np.ndarray]
"""What some speeds, (speeds, options), of some of the options, (options,), come to."""


def first_contact(pair: YokePair, up_to: Number, case: Case = "expected") -> np.ndarray:
    """Return the lowest speed, rad/s, (options...), at which the yokes touch; inf if none up to `up_to`."""
    start = np.asarray(pair.least(np.zeros_like(np.asarray(up_to, dtype=float)), case)[0])
    top = np.broadcast_to(up_to, start.shape).astype(float)
    peaks = peaks_of(pair.curve(case), np.array([each for each in pair.loaded.peaks() if each < np.max(top)]))

    def among(speeds: np.ndarray, which: np.ndarray) -> np.ndarray:
        """Return speeds of some options as speeds of all of them, (speeds, options...)."""
        every = np.multiply.outer(np.linspace(0.0, 1.0, len(speeds)), top.reshape(-1))
        every[:, which] = speeds
        return every.reshape(len(speeds), *top.shape)

    def of_some(values: np.ndarray, which: np.ndarray) -> np.ndarray:
        return values.reshape(len(values), -1)[:, which]

    speed = first_touch(
        lambda speeds, of: of_some(pair.least(among(speeds, of), case)[0], of),
        lambda speeds, of: of_some(lowest_between(pair.curve(case), among(speeds, of), peaks, pair.finely), of),
        top.reshape(-1),
        np.where(start <= 0, FINEST, 0).reshape(-1),
        AT_ONCE if start.ndim or pair.loaded.vibrates else SCAN,
    )
    return np.where(start <= 0, 0.0, speed.reshape(start.shape))


def first_touch(
    least: Speeds, lowest: Speeds, top: np.ndarray, begin: np.ndarray, together: int = AT_ONCE
) -> np.ndarray:
    """Return the lowest speed, rad/s, (options,), at which a gap is no longer positive; inf if none up to `top`.

    least : the gap.   lowest : what it cannot fall below between each speed and the next, (speeds - 1, options).
    begin : up to where it is known to be clear, in finest pieces, (options,).   together : pieces in one look.
    """
    clear = np.arange(0, FINEST, PIECES[1]) < begin[:, None]  # each middle piece
    level, touches = np.zeros(clear.shape, dtype=int), np.full(len(top), -1)
    while np.any(open_ := (touches < 0) & ~np.all(clear, axis=1)):
        first = np.argmin(clear, axis=1)
        finest = np.take_along_axis(level, first[:, None], axis=1)[:, 0] == len(PIECES) - 1
        if len(which := np.flatnonzero(open_ & ~finest)):
            steps, inside, of = _pieces(first[which], level[which], together)
            proven = lowest(np.sqrt(steps / FINEST) * top[which], which) > 0
            clear[which] |= inside & np.take_along_axis(proven.T, of, axis=1)
            level[which] += inside
        if len(which := np.flatnonzero(open_ & finest)):
            steps = first[which] * PIECES[1] + np.arange(AT_ONCE + 1)[:, None]
            touching = least(np.sqrt(steps[1:] / FINEST) * top[which], which) <= 0
            some = np.any(touching, axis=0)
            touches[which[some]] = np.take_along_axis(steps, np.argmax(touching, axis=0)[None], axis=0)[0, some]
            clear[which[~some], first[which[~some]]] = True
    return _closed_in(least, top, touches)


def _pieces(first: np.ndarray, level: np.ndarray, together: int) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """Return the next pieces of options, from the first middle one that is not clear to the end of what it is part of.

    level : of what every middle piece is looked at next, (options, middle pieces).
    together : how many pieces.
    Returns where they begin and end, in finest ones, (together + 1, options); which middle pieces are inside any, and
    in which of them, (options, middle pieces).
    """
    own, middle = np.take_along_axis(level, first[:, None], axis=1)[:, 0], PIECES[1]
    size, parent = np.array(PIECES)[own], np.array((FINEST, *PIECES[:-1]))[own]
    start = first * middle
    end = np.minimum((start // parent + 1) * parent, start + together * size)
    steps = np.minimum(start + size * np.arange(together + 1)[:, None], end)
    every = np.arange(0, FINEST, middle)
    inside = (every >= start[:, None]) & (every < end[:, None])
    return steps, inside, np.where(inside, (every - start[:, None]) // size[:, None], 0)


def _closed_in(least: Speeds, top: np.ndarray, touches: np.ndarray) -> np.ndarray:
    """Return the speeds of first contact of options that touch in some of the finest pieces; inf where that is -1."""
    speed, which = np.full(len(top), np.inf), np.flatnonzero(touches >= 0)
    if len(which):
        low, high = (np.sqrt((touches[which] + more) / FINEST) * top[which] for more in (0, 1))
        speed[which] = close_in(partial(_gap_at, least, which), low, high, together=True)
    return speed


def _gap_at(least: Speeds, which: np.ndarray, speeds: np.ndarray) -> np.ndarray:
    """Return the gap at one speed of each option, or at several."""
    return least(speeds, which) if speeds.ndim > 1 else least(speeds[None], which)[0]


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
    low, high = (np.take_along_axis(every, index, axis=0)[0] for index in (first, first + 1))
    root = np.where(start <= 0, 0.0, np.where(np.any(touches, axis=0), high, np.inf))
    inside = np.isfinite(root) & (start > 0)
    return np.where(inside, close_in(f, low, high, start.ndim == 0), root) if np.any(inside) else root


def close_in(f: Callable[[np.ndarray], np.ndarray], low: np.ndarray, high: np.ndarray, together: bool) -> np.ndarray:
    """Return the lowest root of f from `low`, where it is positive, to `high`, where it is not, for each option.

    A few rounds of cutting single out one change of sign; secants then meet a smooth root. Where play
    changes sides f leaps and secants stall: there cutting goes on. What an option comes to does not depend on
    what else is worked out with it.
    together : whether f takes an array of speeds with a further axis in front.
    """
    for _ in range(FIRST_ROUNDS):
        low, high = _cut(f, low, high, together)
    low, high = _secants(f, low, high, together)
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
    ends = np.concatenate([speeds, np.asarray(high)[None]])
    values = _at_each(f, speeds, together)
    touches = np.concatenate([values <= 0, np.ones_like(values[:1], dtype=bool)])
    first = np.argmax(touches, axis=0)[None]
    above = np.take_along_axis(ends, first, axis=0)[0]
    below = np.where(first[0] == 0, low, np.take_along_axis(ends, np.maximum(first - 1, 0), axis=0)[0])
    return below, above


def _secants(
    f: Callable[[np.ndarray], np.ndarray], low: np.ndarray, high: np.ndarray, together: bool
) -> tuple[np.ndarray, np.ndarray]:
    """Take secant steps, and look just below and just above where the last one leads."""
    f_low, f_high = _at_each(f, np.stack([low, high]), together)
    for _ in range(SECANTS - 1):
        guess = _secant(low, f_low, high, f_high)
        value = f(guess)
        low, f_low = np.where(value > 0, guess, low), np.where(value > 0, value, f_low)
        high, f_high = np.where(value > 0, high, guess), np.where(value > 0, f_high, value)
    guess = _secant(low, f_low, high, f_high)
    sides = np.clip(np.stack([guess * (1 - SETTLED / 4), guess * (1 + SETTLED / 4)]), low, high)
    first, second = _at_each(f, sides, together) > 0
    low, high = np.where(first, sides[0], low), np.where(first, high, sides[0])
    return np.where(first & second, sides[1], low), np.where(first & ~second, sides[1], high)


def _at_each(f: Callable[[np.ndarray], np.ndarray], speeds: np.ndarray, together: bool) -> np.ndarray:
    return f(speeds) if together else np.stack([f(each) for each in speeds])


def _secant(low: np.ndarray, f_low: np.ndarray, high: np.ndarray, f_high: np.ndarray) -> np.ndarray:
    fall = f_low - f_high
    return low + (high - low) * np.where(fall > 0, f_low / np.where(fall > 0, fall, 1.0), 0.5)
