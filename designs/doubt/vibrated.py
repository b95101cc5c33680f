"""Vibration of the drawn machines: that of the middle one for all, and what a few of them do by themselves.

Where vibration would have to do MANYFOLD what it does at the middle machine to turn a limit, its own in each machine is
not looked at. Else the machine that the nearest limit finds worst, and the one drawn nearest to that limit, are worked
out whole, with vibration of their own. By as much as any of them is worse than it was taken to be, all are taken worse.
"""

from collections.abc import Collection, Mapping
from dataclasses import dataclass, replace

import numpy as np

from designs.doubt.judging import Closer, Judge, Judged, RowKey
from designs.doubt.scan import Scan
from designs.evaluate import WORTH
from designs.verdict import STILL

MANYFOLD = 5.0
AS_MIDDLE = "vibration as in the middle machine: to turn this, it would have to do five times as much, or 5 percent"


@dataclass(frozen=True)
class VibrationCheck:
    """What the own vibration of some machines does to a limit.

    machines : how many were worked out.   off : by how much one differs at most from what was taken, in SI.
    worse : by how much one is worse at most.   limit : as it stands, for words.
    """

    machines: int
    off: float
    worse: float
    limit: float

    @property
    def words(self) -> str:
        """In a sentence, for where shares of machines are read."""
        share = self.off / abs(self.limit) if self.limit else np.inf
        by = f"{100 * share:.2g} percent of the limit" if np.isfinite(share) else "more than can be told"
        counted = ", which is counted" if self.worse > 0 else ""
        return f"vibration as in the middle machine, off by {by} in {self.machines} worked out by themselves{counted}"

    def closer(self, sense: str) -> Closer:
        """Return what that makes of every value."""
        return Closer(more=self.worse if sense == "at most" else -self.worse)


def vibrating_alone(
    judge: Judge, scan: Scan, judged: dict[RowKey, Judged], shares: np.ndarray, keys: Collection[str] = STILL
) -> dict[RowKey, VibrationCheck]:
    """Return what was found of every limit that vibration could turn; shares (unknowns, machines) of `judged`.

    keys : those that somebody asks for. Where vibration turns none of them, no machine is worked out.
    """
    near = {
        row_key: _reserve_without_vibration(each, judge.closer_of(row_key))
        for row_key, each in judged.items()
        if row_key[0] in STILL
    }
    near = {row_key: reserve for row_key, reserve in near.items() if np.min(reserve) <= 0}
    if not any(key in keys for key, _ in near):
        return {}
    first = min(near, key=lambda row_key: float(np.min(near[row_key])))
    # The corner last: it is looked at again for what takes one machine at a time.
    tried = np.stack([shares[:, np.argmin(np.abs(judged[first].reserve))], scan.worst(first)], axis=1)
    taken, rows_alone = judge(tried), [judge.alone(each, {key for key, _ in near}) for each in tried.T]
    alone = {}
    for row_key in near:
        values = [
            (taken[row_key].values[number], rows[row_key]) for number, rows in enumerate(rows_alone) if row_key in rows
        ]
        apart = _apart(np.array(values), judge.top if row_key[0] == "contact" else np.inf)
        if len(apart):
            worse = apart if judged[row_key].sense == "at most" else -apart
            limit = float(judged[row_key].limits[0])
            alone[row_key] = VibrationCheck(
                len(apart), float(np.max(np.abs(apart))), max(0.0, float(np.max(worse))), limit
            )
    return alone


def _reserve_without_vibration(judged: Judged, closer: Closer) -> np.ndarray:
    """Return how far each machine is from the limit beyond what vibration may change, (machines,); inf if not known."""
    with np.errstate(invalid="ignore"):
        change = np.abs(judged.values - (judged.values - closer.more) / closer.factor)
        reserve = np.abs(judged.reserve) - MANYFOLD * np.maximum(change, WORTH * np.abs(judged.values))
    return np.where(np.isfinite(reserve), reserve, np.inf)


def _apart(values: np.ndarray, top: float) -> np.ndarray:
    """Return by how much each machine's own value, of (taken, own), is more; beyond `top` nothing was looked for."""
    if not len(values):
        return np.zeros(0)
    taken, own = np.minimum(values, top).T
    apart = own - taken
    return apart[np.isfinite(apart)]


def shifted(judged: dict[RowKey, Judged], checks: Mapping[RowKey, VibrationCheck]) -> dict[RowKey, Judged]:
    """Return every limit as it stands if all machines are as much worse as the worst was found to be.

    No contact comes sooner than at rest.
    """
    found = dict(judged)
    for row_key in found.keys() & checks.keys():
        worse = judged[row_key].seen(checks[row_key].closer(judged[row_key].sense))
        found[row_key] = replace(worse, values=np.maximum(worse.values, 0.0)) if row_key[0] == "contact" else worse
    return found


def words_of(row_key: RowKey, checks: dict[RowKey, VibrationCheck]) -> tuple[float | None, str]:
    """Return by how much own vibration was found off, and what to say; nothing of what it does not bear upon."""
    if row_key[0] not in STILL:
        return None, ""
    return (checks[row_key].off, checks[row_key].words) if row_key in checks else (None, AS_MIDDLE)
