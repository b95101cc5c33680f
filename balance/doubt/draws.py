"""Draws of many unknowns at once."""

from collections.abc import Sequence
from zlib import crc32

import numpy as np


def latin_hypercube(unknowns: Sequence[str], count: int, seed: int) -> np.ndarray:
    """Return shares between 0 and 1, (unknowns, count): every unknown has one draw in each of `count` equal parts.

    McKay, Beckman and Conover, Technometrics 21 (1979), 239. The draws of an unknown follow from the seed and its
    name alone, so that two designs are drawn on the same unknown machine wherever their unknowns are the same.
    """
    draws = np.empty((len(unknowns), count))
    for row, name in enumerate(unknowns):
        generator = np.random.default_rng((seed, crc32(name.encode())))
        draws[row] = (generator.permutation(count) + generator.random(count)) / count
    return draws
