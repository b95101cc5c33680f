"""The speed of first contact of many options at once: the same root as of one, for less work."""

import numpy as np

from shafts.gap.bounds.bounds import GapBounds, bounds_of
from shafts.gap.bounds.pruning import PrunedPair
from shafts.gap.contact import SCAN, close_in

AT_ONCE = 6  # speeds tried together
ROUNDING = 1e-6  # of a step between the speeds tried, by which bounds must be clear of it


def first_contact(pair: PrunedPair, top: np.ndarray) -> np.ndarray:
    """Return the lowest speed, rad/s, (options,), at which the yokes touch, as `contact` does for a whole pair.

    Of the speeds that are tried, only those are worked out at which bounds leave it open whether they touch.
    """
    top = np.broadcast_to(top, (len(pair.kept),))
    clear, touch = _settled(bounds_of(pair.curve, top))
    first = _first_that_touches(pair, top, clear, touch)
    found = np.where(first == 0, 0.0, np.full(top.shape, np.inf))
    which = np.flatnonzero((first > 0) & (first <= SCAN))
    if len(which):
        low, high = (np.sqrt(step / SCAN) * top[which] for step in (first[which] - 1, first[which]))
        part = pair.of(which)
        found[which] = close_in(lambda speed: part.least(speed)[0], low, high, together=True)
    return found


def _first_that_touches(pair: PrunedPair, top: np.ndarray, clear: np.ndarray, touch: np.ndarray) -> np.ndarray:
    """Return the first of the speeds tried at which the yokes touch, (options,), 0 to SCAN; more if there is none."""
    first, which, begin = np.full(top.shape, SCAN + 1), np.flatnonzero(clear < SCAN), clear
    while len(which):
        tried = np.minimum(begin[which] + np.arange(AT_ONCE)[:, None], touch[which])
        touches = pair.of(which).least(np.sqrt(tried / SCAN) * top[which])[0] <= 0
        some = np.any(touches, axis=0)
        first[which[some]] = np.take_along_axis(tried, np.argmax(touches, axis=0)[None], axis=0)[0][some]
        begin = begin + AT_ONCE
        which = which[~some & (begin[which] <= touch[which])]
    return first


def _settled(bounds: GapBounds) -> tuple[np.ndarray, np.ndarray]:
    """Return up to which of the speeds tried the yokes are surely clear, and from which they surely touch.

    Both (options,), 0 to SCAN; SCAN also where they are clear, or do not surely touch, up to the top speed.
    """
    shares = []
    with np.errstate(divide="ignore", invalid="ignore"):  # where yokes are not face to face there is no end of room
        fall = np.maximum(bounds.rest - bounds.top, 0.0)
        for room in (bounds.rest - bounds.loose - bounds.dip, bounds.rest + bounds.loose):
            share = np.where(room <= 0, 0.0, np.where(fall > 0, room / fall, np.inf))
            shares.append(np.min(share, axis=(-2, -1)))
    clear = np.maximum(np.floor(np.minimum(shares[0], 1.0) * SCAN - ROUNDING), 0)
    touch = np.ceil(np.minimum(shares[1] * SCAN + ROUNDING, SCAN))
    return np.where(shares[0] > 1, SCAN, clear).astype(int), touch.astype(int)
