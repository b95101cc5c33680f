"""What a comparison shows: figures line by line with difference and best, as tables and as plain data."""

from collections.abc import Iterator
from dataclasses import dataclass, replace
from typing import Any

import numpy as np

from designs import status
from designs.options import sureness
from designs.options.comparing import Candidate, Faulty
from designs.options.figures import TABLE_FIGURES, NoFigureError, usual
from designs.table import SI, Column, Table, plain
from designs.verdict.figure import Figure
from designs.verdict.row import name_of

ABREAST = 4  # designs in one table; more do not fit a screen, so they go below, the first repeated
LONGEST = 28  # letters of a name that heads a column
NO_BREAK = "\u00a0"  # a blank at which no line breaks
SHORT = 14  # letters of a value that stays on one line
SHOWN = 5e-4  # relative; figures this close are shown with the same digits
MOST_CHANGES = 16  # entries listed of one design; two unlike files differ in all of them
SAME = 1e-9  # relative; figures this close are the same but for rounding, and this share of a limit is zero


@dataclass(frozen=True, eq=False)
class Line:
    """One figure of every design, in their order; None where a design has no such figure."""

    key: str
    figures: tuple[Figure | None, ...]

    @property
    def first(self) -> Figure:
        """The first figure that has a value, and so tells unit and sense; else the first that there is."""
        there = [each for each in self.figures if each is not None]
        return next((each for each in there if each.value is not None), there[0])

    @property
    def what(self) -> str:
        """What it is in words; without the part that it was found on where that differs among designs."""
        words = {each.what for each in self.figures if each is not None}
        return words.pop() if len(words) == 1 else name_of(self.key)

    @property
    def values(self) -> np.ndarray:
        """The values, SI, (designs,); NaN where there is none."""
        return np.array([np.nan if each is None or each.value is None else float(each.value) for each in self.figures])

    @property
    def told_apart(self) -> np.ndarray:
        """The same values with what is zero but for rounding, seen from their limit, as zero."""
        limits = [abs(float(each.limit)) for each in self.figures if each is not None and each.limit is not None]
        zero = np.abs(self.values) < SAME * max((each for each in limits if np.isfinite(each)), default=0.0)
        return np.where(zero, 0.0, self.values)

    @property
    def best(self) -> np.ndarray:
        """Whether each is the best, (designs,); none is if all are the same or neither way is better."""
        half = [each is not None and bool(each.note) for each in self.figures]  # what is not wholly looked at
        values, better = np.where(half, np.nan, self.told_apart), self.first.better
        known = values[~np.isnan(values)]
        if better is None or len(known) < 2:
            return np.zeros(len(values), dtype=bool)
        top = known.max() if better == "more" else known.min()
        best = np.isclose(values, top, rtol=SAME, atol=0.0)  # never what is no number
        return best & ~np.all(best[~np.isnan(values)])

    def difference(self, index: int) -> float | None:
        """Return how far a value is from the first design's, as a share of that; None if that says nothing.

        It does not across zero: a clearance in place of a clash is no multiple of it.
        """
        base, value = self.told_apart[[0, index]]
        if index == 0 or not np.isfinite(base) or not np.isfinite(value) or base == 0 or base * value < 0:
            return None
        return float((value - base) / abs(base))

    def cell(self, index: int, depends: bool = False) -> str:
        """Return a value for people, with its difference, and a word where it fails or is the best.

        depends : whether the limit holds in some of the machines that the design may be, and fails in others.
        """
        figure = self.figures[index]
        if figure is None or figure.value is None:
            return "not checked" if figure is not None and figure.note else "-"
        share = self.difference(index)
        words = [figure.text(figure.value)]
        words += [f"({_changed_by(share)})"] if share is not None and abs(share) >= 5e-4 else []
        fails = figure.passed is not None and not np.all(figure.passed)
        words += ["depends"] if depends else ["FAIL"] if fails else ["not all checked"] if figure.note else []
        return " ".join(words + ["best"] * bool(self.best[index]))


def lines(candidates: list[Candidate], keys: tuple[str, ...] = ()) -> list[Line]:
    """Return the lines for the wanted keys, or for every limit and the usual figures; raises NoFigureError."""
    if keys:
        return [_line(candidates, key) for key in keys]
    limits = dict.fromkeys(key for each in candidates for key in each.limits)
    every = [Line(key, tuple(each.limits.get(key) for each in candidates)) for key in limits]
    usual_ones = ((key, tuple(usual(each.evaluation, key) for each in candidates)) for key in TABLE_FIGURES)
    every += [Line(key, figures) for key, figures in usual_ones if any(figures)]
    return [line for line in every if not np.all(np.isnan(line.values))]


def _line(candidates: list[Candidate], key: str) -> Line:
    """Return one line; raises NoFigureError if no design has this figure."""
    figures: list[Figure | None] = []
    missing = None
    for each in candidates:
        try:
            figures.append(each.figure(key))
        except NoFigureError as error:
            figures.append(None)
            missing = missing or error
    if missing is not None and not any(figures):
        raise missing
    return Line(key, tuple(figures))


def tables(candidates: list[Candidate], rows: list[Line], faulty: list[Faulty]) -> list[Table]:
    """Return changes, key figures and limits as tables for people."""
    result = [_changes(candidates)] if any(each.changes for each in candidates) else []
    heads = _short([each.name for each in candidates])
    for table in (_figures(candidates, rows), *sureness.tables(candidates)):
        result += _abreast(table, heads)
    return [*result, _limits(candidates, faulty)]


ANSWERS = ("gap", "contact", "shaking_force", "vibration", "power")
"""Limits that answer what a person asks first."""
OPEN = ("FAIL", "depends")


def brief(candidates: list[Candidate], rows: list[Line], faulty: list[Faulty]) -> list[Table]:
    """Return how each design stands, the limits that one of them does not hold, and what each changes."""
    limits = _limits(candidates, faulty)
    open_keys = {row.key for each in candidates for row in each.rows if row.state in OPEN}
    table = _figures(candidates, [line for line in rows if line.key in open_keys.union(ANSWERS)], short=True)
    note = f"Shares are against {candidates[0].name!r}. --all shows every figure, and how sure that is."
    heads = _short([each.name for each in candidates])
    kept = limits if faulty else replace(limits, columns=limits.columns[:-1], rows=[row[:-1] for row in limits.rows])
    changes = [_changes(candidates)] if any(each.changes for each in candidates) else []
    return [kept, *_abreast(replace(table, title="What fails, and what is asked first", note=note), heads), *changes]


def _short(names: list[str]) -> list[str]:
    """Return names that can head a column: long ones by their file, where that tells them apart.

    Else without the words that they all begin with, or cut at a word; whole where two would then be alike.
    """
    files = [name[name.rindex(" [") + 1 :] if name.endswith("]") and " [" in name else name for name in names]
    names = _without_shared([file if name != file and len(name) > LONGEST else name
                             for name, file in zip(names, files, strict=True)])  # fmt: skip
    cut = [name if len(name) <= LONGEST else f"{name[: LONGEST - 2].rpartition(' ')[0] or name[: LONGEST - 2]} ..."
           for name in names]  # fmt: skip
    return [short if cut.count(short) == 1 else name for short, name in zip(cut, names, strict=True)]


def _without_shared(names: list[str]) -> list[str]:
    """Return names of which the long ones lack the words that all of these begin with."""
    long = [name.split(" ") for name in names if len(name) > LONGEST]
    shared = next((index for index, words in enumerate(zip(*long, strict=False)) if len(set(words)) > 1), 0)
    if not shared:
        return names
    return [f"... {' '.join(name.split(' ')[shared:])}" if len(name) > LONGEST else name for name in names]


def _abreast(table: Table, heads: list[str]) -> Iterator[Table]:
    """Yield a table with a column for each design, after one that names the row, in tables that fit a screen."""
    step, count = ABREAST - 1, len(heads)
    for start in range(1, max(count, 2), step):
        indices = [0, *range(start, min(start + step, count))]
        columns = [replace(table.columns[index + 1], title=heads[index]) for index in indices]
        rows = [(row[0], *(row[index + 1] for index in indices)) for row in table.rows]
        last = start + step >= count
        yield Table(table.key, table.title, (table.columns[0], *columns), rows, table.note if last else "")


def _changes(candidates: list[Candidate]) -> Table:
    columns = (Column("design", "design"), Column("path", "entry"), Column("change", "was → is"))
    rows: list[tuple] = []
    for each, name in zip(candidates, _short([each.name for each in candidates]), strict=True):
        rows += [(name, change.path, " → ".join(map(_whole, (change.old, change.new))))
                 for change in each.changes[:MOST_CHANGES]]  # fmt: skip
        if len(each.changes) > MOST_CHANGES:
            rows.append((name, f"... and {len(each.changes) - MOST_CHANGES} more; --json has all", ""))
    return Table("changes", "What each changes", columns, rows)


def _whole(value: str) -> str:
    """Return a value that stays on one line, if it is a short one."""
    return value.replace(" ", NO_BREAK) if len(value) <= SHORT else value


def _figures(candidates: list[Candidate], listed: list[Line], short: bool = False) -> Table:
    places = range(len(candidates))
    columns = [Column("figure", "figure"), *(Column(f"design_{index}", candidates[index].name) for index in places)]
    telling = [line for line in listed if _tells(line)] or listed
    hangs = [_hanging(each) for each in candidates]
    rows: list[tuple] = [
        (_named(line, short), *(line.cell(index, line.key in hangs[index]) for index in places)) for line in telling
    ]
    note = f"Shares are against {candidates[0].name!r}. Of several of a kind, the one of least margin is shown."
    same = [name_of(line.key) for line in listed if line not in telling]
    note += f" The same in all, and within what is asked: {', '.join(same)}." if same else ""
    return Table("figures", "Key figures", tuple(columns), rows, note)


def _hanging(candidate: Candidate) -> set[str]:
    """Return the limits that depend on what is not known of a design, and fail nowhere."""
    fails, depends = ({row.key for row in candidate.rows if row.state == state} for state in OPEN)
    return depends - fails


def _tells(line: Line) -> bool:
    """Whether designs differ in a figure, or one of them fails it or was not looked at on it as others were."""
    values = line.told_apart
    if any(each is not None and each.passed is not None and not np.all(each.passed) for each in line.figures):
        return True
    apart = values[:1] != values if np.isnan(values[0]) else ~np.isclose(values, values[0], rtol=SHOWN, atol=0.0)
    return len(values) < 2 or bool(np.any(apart & ~(np.isnan(values) & np.isnan(values[0]))))


def _named(line: Line, short: bool) -> str:
    """Return a figure in words with its unit and its limit, which stays on one line."""
    unit = line.first.shown[0]
    limits = {line.first.text(each.limit) for each in line.figures if each is not None and each.limit is not None}
    sign = {"less": "<=", "more": ">=", None: ""}[line.first.better]
    limit = f"{sign} {limits.pop()}".strip() if len(limits) == 1 else "limit by design" if limits else ""
    ends = [each.replace(" ", NO_BREAK) for each in (unit, limit) if each]
    what = name_of(line.key) if short else line.what
    return f"{what} ({', '.join(ends)})" if ends else what


def _limits(candidates: list[Candidate], faulty: list[Faulty]) -> Table:
    words = ("design", "verdict"), ("hold", "fail", "depend", "not checked"), ("which fail or depend",)
    columns = tuple(
        Column(word.replace(" ", "_"), word, unit)
        for unit, each in zip((None, "", None), words, strict=True)
        for word in each
    )
    rows: list[tuple] = []
    for each in candidates:
        numbers = [str(number) for number in status.counts(each.rows).values()]
        rows.append((each.name, status.in_a_word(each.rows), *numbers, ", ".join(_open(each))))
    rows += [(each.name, "FAULTY", None, None, None, None, each.why.splitlines()[0]) for each in faulty]
    return Table("limits", "Limits", columns, rows)


def _open(candidate: Candidate) -> list[str]:
    """Return the keys of limits that fail, and of those that depend on what is not known."""
    keys = {(name_of(row.key), row.state): None for row in candidate.rows if row.state in OPEN}
    return [key if state == "FAIL" else f"{key} depends" for key, state in keys]


def wide(candidates: list[Candidate], listed: list[Line]) -> Table:
    """Return one row a design and one column a figure, in SI, for spreadsheets and programs."""
    columns = (
        *(Column(word, word) for word in ("design", "file", "passes", "failing")),
        *(line.first.column for line in listed),
    )
    rows = [
        (each.name, str(each.path), each.passes, "; ".join(each.failing()), *(line.values[index] for line in listed))
        for index, each in enumerate(candidates)
    ]
    return Table("designs", "Designs", columns, rows)


def data(candidates: list[Candidate], listed: list[Line], faulty: list[Faulty]) -> dict[str, Any]:
    """Return the whole comparison as plain data in SI."""
    return {
        "designs": [_design_data(index, each, listed) for index, each in enumerate(candidates)],
        "same_unknown_machine": {table.key: table.json() for table in sureness.tables(candidates)},
        "faulty": [{"name": each.name, "file": str(each.path), "why": each.why} for each in faulty],
    }


def _design_data(index: int, candidate: Candidate, listed: list[Line]) -> dict[str, Any]:
    return {
        "name": candidate.name,
        "file": str(candidate.path),
        "changes": [{"entry": change.path, "was": change.old, "is": change.new} for change in candidate.changes],
        "passes": candidate.passes,
        "failing": candidate.failing(),
        "depending": candidate.depending(),
        "not_checked": candidate.unchecked(),
        "figures": {line.key: _figure_data(line, index) for line in listed if line.figures[index] is not None},
    }


def _figure_data(line: Line, index: int) -> dict[str, Any]:
    figure = line.figures[index]
    assert figure is not None
    return {
        "what": figure.what,
        "value": plain(figure.value),
        "limit": plain(figure.limit),
        "unit": SI.get(figure.unit, figure.unit),
        "passed": None if figure.passed is None else bool(np.all(figure.passed)),
        "difference": line.difference(index),
        "best": bool(line.best[index]),
    }


def _changed_by(share: float) -> str:
    """Return a change as percent, or beyond tenfold as how many times as much."""
    return f"{share:+.1%}".replace("-", "\N{MINUS SIGN}") if abs(share) < 10 else f"{1 + share:.3g} times"
