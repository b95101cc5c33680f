"""Total sensitivity indices from paired draws, which know nothing of fits: another road to the same numbers."""

from collections.abc import Callable

import numpy as np


def total_indices(answer: Callable[[np.ndarray], np.ndarray], unknowns: int, draws: int, seed: int = 8) -> np.ndarray:
    """Return the total index of each unknown, V(E) of the answer with that unknown drawn anew.

    Jansen's estimator, Comput. Phys. Commun. 117 (1999), 35, as in Saltelli and others, Comput. Phys. Commun. 181
    (2010), 259, table 2 (from memory): mean((f(A) - f(A with column i of B))^2) / (2 V).
    """
    generator = np.random.default_rng(seed)
    first, other = generator.random((2, unknowns, draws))
    as_drawn = np.asarray(answer(first), dtype=float)
    found = []
    for place in range(unknowns):
        changed = first.copy()
        changed[place] = other[place]
        found.append(np.mean((as_drawn - np.asarray(answer(changed), dtype=float)) ** 2) / 2)
    return np.array(found) / np.var(as_drawn)
