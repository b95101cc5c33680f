"""What to measure, and how well, where a limit hangs on what is not known and no change makes it hold in all of it."""

from collections.abc import Iterator, Sequence
from copy import copy
from dataclasses import dataclass, replace

import numpy as np

from balance.doubt.ranges import Range
from balance.many import unchecked
from designs.counsel.guards import as_written
from designs.counsel.plan import Plan
from designs.doubt import SURE, standing, under_doubt
from designs.doubt.judging import Judge, placed
from designs.doubt.unknowns import Unknown, unknowns_of
from designs.doubt.words import known_of, measure_of, shown, unit_of
from designs.evaluate import Evaluation, evaluate_finely
from designs.reading.taken import right_of
from designs.verdict.row import Row, names_of

SURE_WORDS = f"{100 * SURE:.0f} of 100 machines"
MOST = 3  # entries that are measured for one machine
SHARES = (1.0, 0.5, 0.25, 0.125, 0.0625)  # of what an entry is spread, to within which it is measured
STEPS = 81  # places along an entry, between which a limit turns


@dataclass(frozen=True, eq=False)
class Reading:
    """An entry to measure.

    entry : each side's own counts as one, of which both are measured.   within : to within what, either way, SI.
    between : from where to where the limits hold, all others at their middle, SI; an end is None where it never turns.
    """

    entry: tuple[Unknown, ...]
    within: float
    between: tuple[float | None, float | None]

    @property
    def words(self) -> str:
        """In words: the entry, to within what, where it turns, and how to find it."""
        known, (low, high) = self.entry[0].range, self.between
        sides = ", on the right and on the left," if len(self.entry) > 1 else ""
        unit, factor, _ = unit_of(known)
        middle = shown(known, known.middle)
        turns = [f"holds {side} {shown(known, at, side)} {unit}" for side, at in (("above", low), ("below", high))
                 if at is not None]  # fmt: skip
        by_itself = " and ".join(turns) or "does not turn by itself"
        within = f"to within {_no_more(self.within * factor):g} {unit} of {middle} {unit}"
        return f"{self.entry[0].name}{sides} {within} ({known_of(known)}; {by_itself}): {measure_of(known)}"


def _no_more(number: float) -> float:
    """Return two digits of a number, rounded down."""
    step = 10.0 ** (np.floor(np.log10(number)) - 1)
    return float(f"{np.floor(number / step + 1e-6) * step:.2g}")


def to_measure(plan: Plan) -> Iterator[str]:
    """Yield in words what to measure so that the limits hold that do so only for a part of what is not known.

    Each was drawn again with the entries known so well, in the middle of what they may be.
    """
    rows = [row for row in plan.trial.rows if row.state == "depends" and row.passed is not None and np.all(row.passed)]
    if not rows:
        return
    evaluation = evaluate_finely(as_written(plan))
    outcome = under_doubt(evaluation, plan.trial.rows)
    named = names_of(dict.fromkeys(row.key for row in rows))
    ranked = _entries([each.unknown for each in outcome.first])[:MOST]
    for count in range(1, len(ranked) + 1):
        shares = _enough(evaluation, ranked[:count], rows)
        if shares is not None:
            said = "; and ".join(_reading(evaluation, each, share, rows).words
                                 for each, share in zip(ranked, shares, strict=False) if share < 1)  # fmt: skip
            yield f"Measured, not changed, so that in {SURE_WORDS} what depends holds ({named}): {said}"
            return
    yield from (f"{row.what} {row.words}" for row in rows)


def _entries(unknowns: Sequence[Unknown]) -> list[tuple[Unknown, ...]]:
    """Return unknowns with what stands for the other side beside them, in order."""
    found: dict[tuple[str, ...], list[Unknown]] = {}
    for each in unknowns:
        path = each.entries[0][0]
        found.setdefault(right_of(path) or path, []).append(each)
    return [tuple(sorted(each, key=lambda one: right_of(one.entries[0][0]) is not None)) for each in found.values()]


def _enough(evaluation: Evaluation, entries: Sequence[tuple[Unknown, ...]], rows: list[Row]) -> list[float] | None:
    """Return how well entries must be known, as a share of their spread; None where the finest is not enough."""
    shares = [SHARES[-1]] * len(entries)
    if not _hold(evaluation, entries, shares, rows):
        return None
    for place in range(len(entries)):
        for share in SHARES[:-1]:
            wider = [*shares[:place], share, *shares[place + 1 :]]
            if _hold(evaluation, entries, wider, rows):
                shares = wider
                break
    return shares


def _hold(evaluation: Evaluation, entries: Sequence[tuple[Unknown, ...]], shares: list[float], rows: list[Row]) -> bool:
    doubts = {**evaluation.design.doubts}
    for entry, share in zip(entries, shares, strict=True):
        doubts |= {path: known_better(each, share) for one in entry for path, each in one.entries}
    known = copy(evaluation)  # its numbers are the same: all that was worked out from them stands
    known.design, known.kept = unchecked(evaluation.design, {"doubts": doubts}), {}
    found = standing(known, rows, {row.key for row in rows})
    return all(row.state in ("pass", "not checked") for row in found)


def known_better(known: Range, share: float) -> Range:
    """Return a range so much narrower about its middle: anywhere in it, as a reading leaves it."""
    low, high = (known.middle + share * (end - known.middle) for end in (known.low, known.high))
    return replace(known, law="even", low=low, high=high)


def _reading(evaluation: Evaluation, entry: tuple[Unknown, ...], share: float, rows: list[Row]) -> Reading:
    """Return an entry with where the limits turn along it, both sides alike, all others at their middle."""
    known = entry[0].range
    unknowns = unknowns_of(evaluation.design)
    judge, names = Judge(evaluation, unknowns, rows), {each.identity for each in entry}
    along = np.linspace(*known.ends, STEPS)
    shares = np.array([along if each.identity in names else np.full(STEPS, 0.5) for each in unknowns])
    judge.draws(np.full((len(unknowns), 1), 0.5))
    holds = np.all([each.holds for place, each in judge(shares).items() if place in placed(rows)], axis=0)
    values, middle = known.at(along), STEPS // 2
    below, above = np.flatnonzero(~holds[:middle]), np.flatnonzero(~holds[middle:])
    low = float(values[below[-1] + 1]) if len(below) else None
    high = float(values[middle + above[0] - 1]) if len(above) else None
    return Reading(entry, share * (known.high - known.low) / 2, (low, high))
