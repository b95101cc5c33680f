"""The verdict under doubt: how each limit stands in all the machines that a design may be."""

from collections.abc import Collection, Mapping
from dataclasses import dataclass, field, replace

import numpy as np

from balance.doubt.draws import latin_hypercube
from balance.doubt.fitted import Fit, best_fit
from balance.doubt.shares import wilson
from designs.doubt.judging import Judge, Judged, RowKey, joined, placed
from designs.doubt.one_by_one import one_by_one
from designs.doubt.scan import Crossing, Scan, confirmed, crossings, scanned, tilted
from designs.doubt.unknowns import Unknown, unknowns_of
from designs.doubt.vibrated import VibrationCheck, shifted, vibrating_alone, words_of
from designs.doubt.words import depends_on
from designs.evaluate import Evaluation
from designs.verdict.row import Doubt, Row, Turn

SURE = 0.95
"""Share of machines in which a limit must hold to pass: 19 of 20, common practice."""
DRAWS, SEED = 512, 1
FEW = 128  # draws that are enough where they settle every limit: none or all of them fail, but for one or two
MOST_TURNS = 3
WORTH = 0.05  # part of the spread below which an entry does not decide a limit
NO_CHECKS: Mapping[RowKey, VibrationCheck] = {}


@dataclass(frozen=True, eq=False)
class Settling:
    """How much of the open verdict one unknown would settle if it were known, as a share.

    together : what would be left open if all but it were known: what it settles alone and together with others.
    """

    unknown: Unknown
    share: float
    together: float


@dataclass(frozen=True, eq=False)
class Outcome:
    """Rows with their doubt, and what to find out first.   shares : of the draws, (unknowns, draws)."""

    rows: list[Row]
    unknowns: list[Unknown] = field(default_factory=list)
    first: list[Settling] = field(default_factory=list)
    shares: np.ndarray | None = None
    judged: dict[RowKey, Judged] = field(default_factory=dict)


def under_doubt(
    evaluation: Evaluation, rows: list[Row], sure: float = SURE, draws: int = DRAWS, few: int = FEW
) -> Outcome:
    """Return the verdict on a single design with what is not known of it drawn, all at once.

    rows : its verdict as it stands, in the middle of every range.   sure : share of machines that must hold.
    draws : machines drawn; only the first `few` of them where these settle every limit.
    """
    unknowns = unknowns_of(evaluation.design)
    if not unknowns or not rows:
        return Outcome(rows)
    judge, at = Judge(evaluation, unknowns, rows), placed(rows)
    drawing = _Drawing(judge, at, sure, max(draws, _enough(sure)))
    shares, judged = drawing.settled(*few_draws(judge, few))
    if not judged:
        return Outcome(rows, unknowns)
    scan = scanned(judge, unknowns)
    checks = vibrating_alone(judge, scan, judged, shares)
    shares, judged = drawing.settled(shares, judged, checks)
    cornered = one_by_one(judge, scan, at, judged, sure)  # at once: one of them was just worked out
    judged = shifted(judged, checks)  # turning points stay as they are found
    doubts = _doubts(judge, scan, judged, checks, sure)
    open_ = [key for key in doubts if key in at and replace(at[key], doubt=doubts[key]).state == "depends"]
    fits = {row_key: best_fit(shares, judged[row_key].reserve) for row_key in open_}
    doubts |= _turning(judge, scan, fits, {row_key: doubts[row_key] for row_key in open_})
    doubts |= cornered
    told = [replace(row, doubt=doubts.get(row_key)) if row.checked else row for row_key, row in at.items()]
    first = _first(unknowns, {row_key: judged[row_key].holds for row_key in open_}, fits)
    return Outcome(told, unknowns, first, shares, judged)


def standing(evaluation: Evaluation, rows: list[Row], keys: Collection[str], sure: float = SURE) -> list[Row]:
    """Return the rows of some limits of a single design with their shares and spreads in the machines that are drawn.

    As in the verdict under doubt, which takes several times as long: it tells besides where and in what they turn.
    """
    unknowns, at = unknowns_of(evaluation.design), placed([row for row in rows if row.key in keys])
    if not unknowns:
        return list(at.values())
    judge = Judge(evaluation, unknowns, rows)
    drawing = _Drawing(judge, at, sure, max(DRAWS, _enough(sure)))
    shares, judged = drawing.settled(*few_draws(judge))
    scan = scanned(judge, unknowns)
    checks = vibrating_alone(judge, scan, judged, shares, keys)
    _, judged = drawing.settled(shares, judged, checks)
    doubts = one_by_one(judge, scan, at, judged, sure)
    for row_key, each in shifted({row_key: each for row_key, each in judged.items() if row_key in at}, checks).items():
        doubts[row_key] = _with_vibration(row_key, replace(doubt_of(each, sure), spread=_spread(each)), checks)
    return [replace(row, doubt=doubts.get(row_key)) if row.checked else row for row_key, row in at.items()]


def unsure(evaluation: Evaluation, rows: list[Row], keys: Collection[str], sure: float = SURE) -> list[str]:
    """Return of some limits of a single design, judged for many at once, those that few draws do not show to hold.

    Vibration as in the middle machine, no machine by itself: a tenth of the time of `standing`, which then decides.
    """
    unknowns, asked = unknowns_of(evaluation.design), [row for row in rows if row.key in keys]
    if not unknowns or not asked:
        return []
    _, judged = few_draws(Judge(evaluation, unknowns, asked))
    return list(dict.fromkeys(key for key, number in placed(asked) if (key, number) in judged
                              and not doubt_of(judged[key, number], sure).all_hold))  # fmt: skip


@dataclass(frozen=True, eq=False)
class _Drawing:
    """The machines that are drawn.   sure : share that must hold.   most : how many, where fewer settle nothing."""

    judge: Judge
    at: dict[RowKey, Row]
    sure: float
    most: int

    def settled(
        self, shares: np.ndarray, judged: dict[RowKey, Judged], checks: Mapping[RowKey, VibrationCheck] = NO_CHECKS
    ) -> tuple[np.ndarray, dict[RowKey, Judged]]:
        """Return draws and what is judged of them: those that are there if they settle every limit, else all.

        checks : what own vibration makes of the limits, with which they are settled.
        """
        count = shares.shape[1]
        further, seen = self.most - count, shifted(judged, checks)
        if further <= 0 or all(_settled(self.at.get(row_key), each, self.sure) for row_key, each in seen.items()):
            return shares, judged
        more = latin_hypercube([each.identity for each in self.judge.unknowns], further, SEED + 1)
        return np.concatenate([shares, more], axis=1), joined(judged, count, self.judge(more), further)


def few_draws(judge: Judge, few: int = FEW) -> tuple[np.ndarray, dict[RowKey, Judged]]:
    """Return the first draws, (unknowns, few), and what is judged of them."""
    shares = latin_hypercube([each.identity for each in judge.unknowns], few, SEED)
    return shares, judge.draws(shares)


def _enough(sure: float) -> int:
    """Return how many draws can show at all that so large a share holds, with some of them to spare."""
    return int(np.ceil(16.0 * sure / (1.0 - sure)))


def _settled(row: Row | None, judged: Judged, sure: float) -> bool:
    return row is None or replace(row, doubt=doubt_of(judged, sure)).state != "depends"


def doubt_of(judged: Judged, sure: float) -> Doubt:
    """Return in how many machines a limit holds, and nothing more."""
    share, low, high = wilson(int(np.sum(judged.holds)), len(judged.holds))
    return Doubt(len(judged.holds), share, low, high, sure, (np.nan, np.nan), None)


def _doubts(
    judge: Judge, scan: Scan, judged: dict[RowKey, Judged], checks: dict[RowKey, VibrationCheck], sure: float
) -> dict[RowKey, Doubt]:
    corners = {row_key: scan.worst(row_key) for row_key in judged}
    corners |= tilted(judge, scan, {row_key: corner for row_key, corner in corners.items() if scan.by_sides(row_key)})
    at_worst = shifted(judge(np.array(list(corners.values())).T), checks)
    doubts = {}
    for number, (row_key, each) in enumerate(judged.items()):
        worst, one_way = _worst(each, at_worst[row_key], number), scan.one_way(row_key)
        doubt = replace(doubt_of(each, sure), spread=_spread(each), worst=worst, one_way=one_way)
        doubts[row_key] = _with_vibration(row_key, doubt, checks)
    return doubts


def _with_vibration(row_key: RowKey, doubt: Doubt, checks: dict[RowKey, VibrationCheck]) -> Doubt:
    off, words = words_of(row_key, checks)
    return replace(doubt, vibration=words, vibration_off=off)


def _worst(drawn: Judged, corners: Judged, number: int) -> float | None:
    """Return the worse of the corner's value and the worst one drawn; None if none of them can be built."""
    values = np.append(drawn.values, corners.values[number])
    reserve = np.append(drawn.reserve, corners.reserve[number])
    built = ~np.isnan(values)
    return float(values[built][np.argmin(reserve[built])]) if np.any(built) else None


def _spread(judged: Judged) -> tuple[float, float]:
    known = np.sort(judged.values[~np.isnan(judged.values)])
    if not len(known):
        return np.nan, np.nan
    low, high = (known[round(share * (len(known) - 1))] for share in (0.05, 0.95))
    return float(low), float(high)


def _turning(judge: Judge, scan: Scan, fits: dict[RowKey, Fit], doubts: dict[RowKey, Doubt]) -> dict[RowKey, Doubt]:
    """Return open doubts with the entries that decide them, and where each turns."""
    parts = {row_key: fits[row_key].alone for row_key in doubts}
    deciding = {row_key: _deciding(part) for row_key, part in parts.items()}
    wanted = [(row_key, unknown) for row_key, several in deciding.items() for unknown in several]
    crossing_points = confirmed(judge, scan, crossings(judge, scan, wanted))
    turned = {}
    for row_key, doubt in doubts.items():
        turns = []
        for unknown in deciding[row_key]:
            crossing, each = crossing_points.get((row_key, unknown)), judge.unknowns[unknown]
            turns.append(_turn(each, float(parts[row_key][unknown]), crossing))
        doubt = replace(doubt, turns=tuple(turns), fit=fits[row_key].explains)
        turned[row_key] = replace(doubt, words=depends_on(doubt))
    return turned


def _turn(unknown: Unknown, part: float, crossing: Crossing | None) -> Turn:
    if crossing is None:
        return Turn(unknown.name, unknown.range, part, None, None)
    at = float(unknown.range.at(np.array(crossing.holds)))
    return Turn(unknown.name, unknown.range, part, at, "above" if crossing.holds > crossing.fails else "below")


def _deciding(parts: np.ndarray) -> list[int]:
    order = np.argsort(-parts, kind="stable")[:MOST_TURNS]
    return [int(each) for each in order if parts[each] >= WORTH] or [int(order[0])]


def _first(unknowns: list[Unknown], holds: dict[RowKey, np.ndarray], fits: dict[RowKey, Fit]) -> list[Settling]:
    """Return what would settle most of the open verdict, most first: the variance of yes and no that would be gone."""
    weights = np.array([np.var(each) for each in holds.values()])
    if not np.sum(weights):
        return []
    settled = [fits[row_key].settled(each) for row_key, each in holds.items()]
    alone, together = np.einsum("p,pku->ku", weights / np.sum(weights), np.array(settled))
    settlings = [Settling(*each) for each in zip(unknowns, map(float, alone), map(float, together), strict=True)]
    return sorted(settlings, key=lambda each: -each.share)
