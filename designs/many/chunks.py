"""How many options are worked out together, and which: those whose cranks are built alike."""

from collections.abc import Iterator
from itertools import pairwise

import numpy as np

from balance.many import options_of, picked
from balance.motion import angle_count
from designs.design import Design
from designs.many.parallel import usable_processors
from shafts.crank.layout import order

CHUNK = 1024  # options worked out together: fewer cost more calls for each, more leave the cache
USUAL_ANGLES, USUAL_PLACES = 72, 20  # of a design of which so many fit
BLOCK = 2048  # options sent to a process at a time: enough to forget what sending costs, few enough to end together


def split(design: Design, size: int = BLOCK) -> Iterator[Design]:
    """Yield the options of a design in blocks of at most `size`, as many for each processor, and all alike."""
    count = options_of(design)
    assert count is not None
    return (picked(design, part) for part in _parts(count, size, usable_processors()))


def _parts(count: int, size: int, several: int = 1) -> Iterator[slice]:
    """Yield parts of so many things, each of `size` at the most, all alike, their number a multiple of `several`."""
    parts = -(-count // (size * several)) * several
    ends = [count * part // parts for part in range(parts + 1)]
    return (slice(start, end) for start, end in pairwise(ends) if start < end)


def chunks(design: Design, fine: np.ndarray, most: int = CHUNK) -> Iterator[np.ndarray]:
    """Yield the numbers of the legal options in chunks whose cranks are built alike and need as many crank angles.

    most : options worked out together at the most.
    """
    places = np.flatnonzero(fine)
    if not len(places):
        return
    some = picked(design, places) if len(places) < len(fine) else design
    counts = np.broadcast_to(angle_count(some), places.shape)
    columns = [counts[:, None]]
    for shaft in some.shafts.pair:
        standing = order(shaft, some.cranks)
        columns.append(np.broadcast_to(standing, (len(places), standing.shape[-1])))
    keys = np.concatenate(columns, axis=1)
    unlike = np.any(keys != keys[0], axis=0)  # mostly none, and what is alike in all need not be sorted
    unlike[0] = True
    for key in np.unique(keys[:, unlike], axis=0):
        same = places[np.all(keys[:, unlike] == key, axis=1)]
        yield from (same[part] for part in _parts(len(same), min(most, together(design, int(key[0])))))


def together(design: Design, angles: int = USUAL_ANGLES) -> int:
    """Return how many options of a design are worked out together, at so many crank angles."""
    return max(1, int(CHUNK * min(USUAL_ANGLES / angles, (USUAL_PLACES / _places(design)) ** 2, 1.0)))


def _places(design: Design) -> int:
    """Return at how many places along its cranks a design has something; memory grows with their square."""
    return (
        max(len(shaft.segments) + len(shaft.bearings) for shaft in design.shafts.pair)
        + 2 * (len(design.cranks.throws) + len(design.yokes))
        + len(design.cranks.webs)
    )
