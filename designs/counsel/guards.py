"""By how much a limit must hold in the middle of what is not known, so that it holds in nearly all machines drawn.

Draws cost as much as many trials, so they are not made for every change that is tried: a change has to bring as much to
spare as the limit of the design as it stands is spread. What `mend` finds is then drawn, and its guards are set anew.
"""

from collections.abc import Iterable

import numpy as np

from designs.verdict.row import Row

FARTHER = 1.25  # of the way to an end that 95 of 100 draws keep within: so that a count of 512 of them is sure
MOST = 3.0  # by which a spread may grow with the value from which it was read


def guards_of(rows: Iterable[Row]) -> dict[str, float]:
    """Return how much limits must have to spare, SI, by key; none where nothing is in doubt."""
    found: dict[str, float] = {}
    for row in rows:
        spare = _spare(row)
        if spare > 0:
            found[row.key] = max(spare, found.get(row.key, 0.0))
    return found


def _spare(row: Row) -> float:
    if row.doubt is None or row.value is None or row.limit is None:
        return 0.0
    value, limit = (float(np.max(each)) for each in (row.value, row.limit))
    end = row.doubt.spread[1 if row.sense == "at most" else 0]
    away = abs(end - value) * (1.0 if row.doubt.note else FARTHER)
    if not np.isfinite(away) or row.doubt.all_hold:
        return 0.0
    if limit == 0 or value == 0 or row.unit == "m" or (value > limit) == (row.sense == "at least"):
        return away
    return away * float(np.clip(abs(limit / value), 0.0, MOST))  # what is spread grows with it
