"""What a search shows: the best options, and which limits stand in the way, as tables and as plain data."""

from dataclasses import dataclass
from typing import Any

import numpy as np

from balance.many import one
from designs import status
from designs.design import Design
from designs.doubt import under_doubt
from designs.doubt.quickly import surely_failing
from designs.evaluate import Evaluation, evaluate_finely
from designs.many.beside import shared
from designs.options.batch import alone, limits_of
from designs.options.findings import BINDS, MARGIN, Aim, Findings, Ranking, least_margin
from designs.options.search import Search
from designs.table import Column, Table, plain
from designs.verdict import STILL, rows_of
from designs.verdict.figure import Figure, of_limits
from designs.verdict.row import Row, name_of, names_of, wordless
from shafts.whirl.peaks import WORTH

LOOKED_AT = 60  # ranked options that get the whole verdict, in search of one that passes it
DRAWN = 600  # ranked options of which machines are drawn at the most, in search of one that holds in enough of them
NEAREST = 5  # limits that are shown where none stands in the way


@dataclass(frozen=True, eq=False)
class Full:
    """A ranked option with its verdict.   place : in the ranking, from 0.

    whole : whether the whole verdict; else drawn machines failed what can be judged for many at once.
    """

    place: int
    rows: list[Row]
    whole: bool = True

    @property
    def failing(self) -> list[str]:
        """The limits that fail, or depend on what is not known."""
        failing = (row.key for row in self.rows if row.state in ("FAIL", "depends"))
        return list(dict.fromkeys(failing))

    @property
    def status(self) -> int:
        """The status of its verdict."""
        return status.of_verdict(self.rows)


def whole_verdicts(search: Search, ranking: Ranking, shown: int, sure: float | None = None) -> list[Full]:
    """Return the whole verdict of options from the best on, until as many pass it as are shown.

    sure : share of the machines that an option may be in which each limit must hold; None judges its middle alone.
    """

    def looked_at(rank: int) -> Full:
        design = one(search.options(ranking.values[:, rank : rank + 1]), 0)
        return _drawn_quickly(rank, design, sure) or _whole(rank, design, sure)

    known = list[Full]()
    most = shown if not ranking.passes else LOOKED_AT if sure is None else DRAWN
    ranks = range(min(most, ranking.values.shape[1]))
    for two in (ranks[first : first + 2] for first in ranks[::2]):  # one for each process
        for each in shared(looked_at, two):
            known.append(each)
            wholes = [each for each in known if each.whole]
            if len(wholes) == LOOKED_AT or sum(not each.failing for each in wholes) >= shown:
                return known
    return known


def _drawn_quickly(rank: int, design: Design, sure: float | None) -> Full | None:
    """Return a ranked option whose machines surely fail what is judged for many at once; None for any other.

    A whole verdict with its draws takes twenty times as long. The first gets it all the same, to be shown.
    """
    failing = surely_failing(design, sure) if rank and sure is not None else []
    return Full(rank, failing, whole=False) if failing else None


def _whole(rank: int, design: Design, sure: float | None) -> Full:
    """Return the whole verdict; what fails in the middle already is not drawn."""
    evaluation = evaluate_finely(design)
    full = Full(rank, [*map(wordless, rows_of(evaluation))])
    if sure is None or full.failing:
        return full
    return Full(rank, under_doubt(evaluation, full.rows, sure).rows)


def best_of(full: list[Full]) -> Full | None:
    """Return the first that passes its whole verdict."""
    return next((each for each in full if not each.failing), None)


def _worth_showing(full: list[Full]) -> list[Full]:
    """Return those that pass; if none does, those whose whole verdict is known."""
    return [each for each in full if not each.failing] or [each for each in full if each.whole]


def figures(search: Search) -> dict[str, Figure]:
    """Return every figure of the design as it stands, for words and units."""
    evaluation = Evaluation(search.design)
    limits = limits_of(evaluation)
    return {key: limits.get(key) or alone(evaluation, key) for key in search.keys}


def tables(search: Search, findings: Findings, ranking: Ranking, full: list[Full], shown: int) -> list[Table]:
    """Return ranking and limits as tables for people."""
    words = figures(search)
    places = _worth_showing(full)[:shown]
    return [_ranking(search, ranking, places, words), _limits(search, findings, ranking, words)]


def _ranking(search: Search, ranking: Ranking, places: list[Full], words: dict[str, Figure]) -> Table:
    ends = _ends([each.path for each in search.variations])
    varied = [Column(each.path, each.heading.replace(each.path, end))
              for each, end in zip(search.variations, ends, strict=True)]  # fmt: skip
    columns = [Column("rank", "rank"), *varied]
    columns += [_aim_column(aim, words) for aim in search.aims]
    columns += [
        Column("margin", "least margin", "share"),
        Column("of", "of limit"),
        Column("front", "on front"),
        Column("verdict", "whole verdict"),
    ]
    margins, of = least_margin(ranking.verdicts)
    rows = []
    for each in places:
        aims = [_aimed(aim, each, ranking) for aim in search.aims]
        entries = [f"{value:.12g}" for value in ranking.values[:, each.place]]
        limit = name_of(search.keys[of[each.place]])
        verdict = f"fails: {names_of(each.failing)}" if each.failing else status.in_a_word(each.rows)
        last = (margins[each.place], limit, bool(ranking.front[each.place]), verdict)
        rows.append((each.place + 1, *entries, *aims, *last))
    passes = any(not each.failing for each in places)
    kind = "Best options" if passes else "No option passes; those that come nearest"
    note = (
        "On front: no other option is better by every aim. Aims are as the whole verdict has them, which looks at "
        f"every degree; ranks and margins are the search's, which looks at every fifth. {_left_out(search, places)}"
    )
    return Table("ranking", kind, tuple(columns), rows, note)


def _ends(paths: list[str]) -> list[str]:
    """Return the last words of paths, as few as tell them apart, so that they can head columns."""
    few = ([".".join(path.split(".")[-count:]) for path in paths] for count in (2, 3, 4))
    return next((ends for ends in few if len(set(ends)) == len(set(paths))), paths)


def _left_out(search: Search, full: list[Full]) -> str:
    """Say by name which limits a search leaves out, and which it judges without vibration of the shafts."""
    asked = dict.fromkeys(row.key for each in full for row in each.rows)
    out = names_of(key for key in asked if key not in search.keys)
    still = names_of(key for key in asked if key in search.keys and key in STILL)
    words = f"Only it looks at: {out}." if out else ""
    if still:
        words += f" Only it counts vibration of the shafts, where that comes to {WORTH:.0%} or more, in: {still}."
    return words.strip()


def _aimed(aim: Aim, full: Full, ranking: Ranking) -> float:
    """Return the figure that is aimed at as the whole verdict has it; else as the search has."""
    whole = of_limits(full.rows).get(aim.key)
    known = aim.value(ranking.verdicts)[full.place] if whole is None or whole.value is None else whole.value
    return float(known)


def _aim_column(aim: Aim, words: dict[str, Figure]) -> Column:
    if aim.key == MARGIN:
        return Column("aim_margin", "most least margin", "share")
    figure = words[aim.key]
    column = figure.column
    return Column(column.key, f"{figure.what}, {aim.sense}", column.unit)


def _limits(search: Search, findings: Findings, ranking: Ranking, words: dict[str, Figure]) -> Table:
    columns = (Column("limit", "limit"), Column("fails", "fail it", ""), Column("alone", "fail it alone", ""),
               Column("best", "margin of rank 1", "share"), Column("binds", "binds"))  # fmt: skip
    rows: list[tuple] = []
    for index, key in enumerate(search.keys):
        if words[key].limit is not None:
            margin = float(ranking.verdicts.margins[index, 0]) if ranking.values.shape[1] else np.nan
            held = margin == 0 and bool(ranking.verdicts.passed[index, 0])  # a fit, or a row against zero
            binds = (margin <= BINDS and not held) or findings.alone[index] > 0
            counts = (str(count[index]) for count in (findings.fails, findings.alone))
            rows.append((words[key].what, *counts, margin, bool(binds)))
    note = (
        f"{findings.tried:,} options tried: {findings.illegal:,} cannot be built, {findings.passing:,} pass. "
        f"A limit binds where rank 1 has at most {BINDS:.0%} of it to spare, or where options fail nothing else."
    )
    rows = sorted(rows, key=lambda row: (-int(row[1]), row[3]))
    brief = [row for row in rows if int(row[1]) or row[4]] or rows[:NEAREST]
    note += f" The other {len(rows) - len(brief)} limits fail nothing." if len(brief) < len(rows) else ""
    return Table("binding", "Which limits stand in the way", columns, rows, note, brief)


def conclusion(search: Search, ranking: Ranking, full: list[Full]) -> str:
    """Return in sentences what binds the best option, and what to do."""
    best = best_of(full)
    if best is None:
        fails, looked, ranked = names_of(full[0].failing), full[-1].place + 1, ranking.values.shape[1]
        if ranking.passes and looked < ranked:
            return (
                f"None of the first {looked:,} in rank passes its whole verdict; the first fails {fails}. The other "
                f"{ranked - looked:,} that the search itself lets pass were not looked at so. "
                "Ask for what stands in the way, e.g. most:margin, or `quietcrank mend`."
            )
        return f"No option passes every limit; the nearest fails {fails}. Vary more, or ask `quietcrank mend`."
    margins = {key: float(figure.margin) for key, figure in of_limits(best.rows).items()
               if figure.margin is not None and figure.limit is not None and float(figure.limit)}  # fmt: skip
    key = min(margins, key=margins.__getitem__, default="")
    binds = f"What binds: {name_of(key)}, {margins[key] * 100:.0f} percent to spare." if key else "Nothing binds."
    values = zip(search.variations, ranking.values[:, best.place], strict=True)
    entries = "; ".join(f"{each.path} at {each.written(float(value))}" for each, value in values)
    return f"{binds} Take rank {best.place + 1}: {entries}. --best FILE writes it."


def data(search: Search, findings: Findings, ranking: Ranking, full: list[Full]) -> dict[str, Any]:
    """Return what was found as plain data: figures in SI, varied entries in the units that the caller wrote."""
    best = best_of(full)
    limits = [(index, key) for index, key in enumerate(search.keys)]
    return {
        "method": search.method,
        "seed": search.seed,
        "aims": [str(aim) for aim in search.aims],
        "interrupted": findings.interrupted,
        "tried": findings.tried,
        "cannot_be_built": findings.illegal,
        "pass": findings.passing,
        "without_shaft_vibration": [key for key in search.keys if key in STILL],
        "fails": {key: {"options": int(findings.fails[n]), "alone": int(findings.alone[n])} for n, key in limits},
        "best": None if best is None else best.place + 1,
        "ranking": [_option(search, ranking, each) for each in _worth_showing(full)],
    }


def _option(search: Search, ranking: Ranking, full: Full) -> dict[str, Any]:
    rank, verdicts = full.place, ranking.verdicts
    return {
        "rank": rank + 1,
        "entries": {
            v.path: v.written(float(x)) for v, x in zip(search.variations, ranking.values[:, rank], strict=True)
        },
        "figures": {key: plain(verdicts.values[n, rank]) for n, key in enumerate(verdicts.keys)},
        "margins": {key: plain(verdicts.margins[n, rank]) for n, key in enumerate(verdicts.keys)},
        "passes": bool(verdicts.passes[rank]),
        "on_front": bool(ranking.front[rank]),
        "whole_verdict_failing": full.failing,
    }
