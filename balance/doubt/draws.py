"""Draws of many unknowns at once, and how much of an answer's spread each unknown explains."""

from collections.abc import Sequence
from zlib import crc32

import numpy as np


def latin_hypercube(unknowns: Sequence[str], count: int, seed: int) -> np.ndarray:
    """Return shares between 0 and 1, (unknowns, count): every unknown has one draw in each of `count` equal parts.

    McKay, Beckman and Conover, Technometrics 21 (1979), 239. The draws of an unknown follow from the seed and its
    name alone, so that two designs are drawn on the same unknown machine wherever their unknowns are the same.
    """
    found = np.empty((len(unknowns), count))
    for place, name in enumerate(unknowns):
        generator = np.random.default_rng((seed, crc32(name.encode())))
        found[place] = (generator.permutation(count) + generator.random(count)) / count
    return found


def explained(share: np.ndarray, answer: np.ndarray, parts: int = 16) -> float:
    """Return the part of an answer's variance that is gone on average once one unknown is known: its first-order index.

    share : the unknown's draws, between 0 and 1, (draws,).   answer : (draws,), numbers or yes and no.
    The index V(E(answer | unknown)) / V(answer) of Sobol, estimated from the draws that there are: they are laid
    into equal parts by the unknown's rank, and what varies within the parts is what it does not explain. The
    number of draws less the number of parts divides the variance within, so an unknown that does nothing gets zero
    on average. A thing that varies within a part counts as not explained: the estimate errs to the low side.
    """
    answer = np.asarray(answer, dtype=float)
    total = float(np.var(answer, ddof=1))
    if total == 0.0 or not np.isfinite(total):
        return 0.0
    order = answer[np.argsort(share, kind="stable")]
    groups = np.array_split(order, parts)
    within = sum(float(np.sum((each - each.mean()) ** 2)) for each in groups) / (len(answer) - parts)
    return max(0.0, 1.0 - within / total)
