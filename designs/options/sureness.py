"""How sure it is that one design is better than another, on the same unknown machine."""

import numpy as np

from balance.doubt.shares import wilson
from designs.doubt.judging import Judged
from designs.options.comparing import Candidate
from designs.table import Column, Table
from designs.verdict.row import name_of

ALIKE = 1e-9  # of a limit; margins this close are the same but for rounding


def margins(candidate: Candidate, key: str) -> np.ndarray | None:
    """Return the least margin to a limit in each drawn machine, (draws,), as a share of it; None if not drawn."""
    several = [_margin(each) for (name, _), each in candidate.outcome.judged.items() if name == key]
    return np.min(several, axis=0) if several else None


def _margin(judged: Judged) -> np.ndarray:
    limits = np.abs(np.nan_to_num(judged.limits))
    return judged.reserve / np.where(limits > 0, limits, 1.0)


def all_hold(candidate: Candidate) -> np.ndarray:
    """Return in which drawn machines every limit holds that is judged by draws, (draws,)."""
    return np.all([each.holds for each in candidate.outcome.judged.values()], axis=0)


def tables(candidates: list[Candidate]) -> list[Table]:
    """Return for each limit in how many machines each design is better than the first; nothing if nothing is drawn."""
    if len(candidates) < 2 or not all(each.outcome.judged for each in candidates):
        return []
    first, *others = candidates
    columns = [Column("limit", "of 100 unknown machines")]
    columns += [Column(f"design_{index}", each.name) for index, each in enumerate(candidates)]
    rows: list[tuple] = [
        ("every limit drawn holds in", *(_share(all_hold(each)) for each in candidates)),
        ("more margin where it is tightest than the first in", "", *(_tighter(first, each) for each in others)),
    ]
    for key in dict.fromkeys(key for key, _ in first.outcome.judged):
        words = [_better(first, each, key) for each in others]
        if any(each not in (SAME, UNLOOKED) for each in words):
            rows.append((f"more margin to {name_of(key)} than the first in", "", *words))
    note = (
        f"Every design on the same machines: what is not known of both has the same draws, {_count(first)} of them. "
        "In brackets the 95 percent interval (Wilson). A limit that is looked at on one design only favours neither."
    )
    return [Table("sureness", f"How sure, against {first.name!r}", tuple(columns), rows, note)]


SAME, UNLOOKED = "the same in all", "not looked at in both"


def _count(candidate: Candidate) -> int:
    return next(iter(candidate.outcome.judged.values())).values.size


def _tighter(first: Candidate, other: Candidate) -> str:
    """Return in how many machines the other has more margin to the limit that is nearest, of those drawn of both."""
    keys = dict.fromkeys(key for key, _ in first.outcome.judged)
    both = ((margins(first, key), margins(other, key)) for key in keys)
    known = [(one, two) for one, two in both if one is not None and two is not None]
    before, after = (np.min(each, axis=0) for each in zip(*known, strict=True))
    return _share(_apart(before, after) > ALIKE) if before.shape == after.shape else UNLOOKED


def _better(first: Candidate, other: Candidate, key: str) -> str:
    before, after = margins(first, key), margins(other, key)
    if before is None or after is None or before.shape != after.shape:
        return UNLOOKED
    apart = _apart(before, after)
    if np.all(np.abs(apart) <= ALIKE):
        return SAME
    return _share(apart > ALIKE)


def _apart(before: np.ndarray, after: np.ndarray) -> np.ndarray:
    """Return how much more margin there is in each machine; nothing where it cannot be built either way."""
    with np.errstate(invalid="ignore"):
        return np.nan_to_num(after - before, nan=0.0)


def _share(holds: np.ndarray) -> str:
    share, low, high = (round(100 * each) for each in wilson(int(np.sum(holds)), holds.size))
    return f"{share} ({low} to {high})"
