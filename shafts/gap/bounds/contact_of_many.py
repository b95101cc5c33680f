"""The speed of first contact of many options at once: the same root as of one, for less work."""

from collections.abc import Callable

import numpy as np

from shafts.gap.between import lowest_between
from shafts.gap.bounds.bounds import GapBounds, bounds_of
from shafts.gap.bounds.pruning import PrunedPair
from shafts.gap.contact import PIECES, SCAN, first_touch

ROUNDING = 1e-6  # of a step, by which bounds must be clear of it


def first_contact(pair: PrunedPair, top: np.ndarray) -> np.ndarray:
    """Return the lowest speed, rad/s, (options,), at which the yokes touch, as `contact` does for a whole pair.

    Only those options are followed at which wide bounds over the whole range leave it open whether they touch.
    """
    top = np.broadcast_to(top, (len(pair.kept),))
    clear = _settled(bounds_of(pair.curve, top))
    speed = np.full(top.shape, np.inf)
    which = np.flatnonzero(clear < SCAN)
    if not len(which):
        return speed
    part = pair.of(which)
    start = part.least(np.zeros(len(which)))[0] <= 0
    speed[which[start]] = 0.0
    which = which[~start]
    if len(which):
        some = _picker(pair.of(which))
        speed[which] = first_touch(
            lambda speeds, of: some(of).least(speeds)[0],
            lambda speeds, of: lowest_between(some(of).curve, speeds),
            top[which],
            clear[which] * PIECES[0],
        )
    return speed


def _picker(pair: PrunedPair) -> Callable[[np.ndarray], PrunedPair]:
    """Return what picks options of a pair, and remembers the last: roots are closed in on by the same ones."""
    last = np.arange(len(pair.kept)), pair

    def some(options: np.ndarray) -> PrunedPair:
        nonlocal last
        if not np.array_equal(options, last[0]):
            last = options, pair.of(options)
        return last[1]

    return some


def _settled(bounds: GapBounds) -> np.ndarray:
    """Return up to which of SCAN equal steps of speed squared the yokes are surely clear, (options,)."""
    with np.errstate(divide="ignore", invalid="ignore"):  # where yokes are not face to face the gap has no end
        fall = np.maximum(bounds.rest - bounds.top, 0.0)
        margin = bounds.rest - bounds.loose - bounds.dip
        share = np.min(np.where(margin <= 0, 0.0, np.where(fall > 0, margin / fall, np.inf)), axis=(-2, -1))
    clear = np.maximum(np.floor(np.minimum(share, 1.0) * SCAN - ROUNDING), 0)
    return np.where(share > 1, SCAN, clear).astype(int)
