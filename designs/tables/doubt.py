"""What is not known of a design, and what to find out first."""

from dataclasses import replace

from designs.design import Design
from designs.doubt import Outcome
from designs.doubt.unknowns import unknowns_of
from designs.doubt.words import known_of, measure_of
from designs.table import Column, Table

MOST = 5  # entries to find out that a short look shows
WORTH = 0.03  # share of the open verdict below which finding out is not worth the walk, and estimates are noise
GOOD = 0.8  # part of a margin's spread from which a fit is taken to rank its entries well; common practice, no source


def tables(outcome: Outcome) -> list[Table]:
    """Return all that is not known, and what to find out first."""
    return [table for table in (_first(outcome), _unknowns(outcome)) if table.rows]


def brief(outcome: Outcome) -> list[Table]:
    """Return what to find out first, in short."""
    first = _first(outcome)
    if not first.rows:
        return []
    kept = [index for index, column in enumerate(first.columns) if column.key in ("entry", "settles", "measure")]
    rows = [tuple(row[index] for index in kept) for row in first.brief or ()]
    note = "Settles: part of the doubt that is gone once this one entry is known; --all tells more."
    return [replace(first, columns=tuple(first.columns[index] for index in kept), rows=rows, note=note, brief=None)]


def for_people(table: Table) -> Table:
    """Return a table without what only a program reads, and without the path in each name that has a column."""
    kept = [index for index, column in enumerate(table.columns) if column.unit != "SI" and column.key != "unit"]
    rows = [tuple(row[index] for index in kept) for row in table.rows]
    if any(column.key == "paths" for column in table.columns):
        rows = [(str(row[0]).split(" (")[0], *row[1:]) for row in rows]
    return replace(table, columns=tuple(table.columns[index] for index in kept), rows=rows)


def taken_words(design: Design) -> str:
    """Return in a sentence what was taken without being given; "" if nothing was."""
    names = dict.fromkeys(each.range.name or each.name for each in unknowns_of(design) if not each.range.given)
    return f"Taken, not given: {', '.join(names)}." if names else ""


def _first(outcome: Outcome) -> Table:
    """One row for each unknown that would settle a good part of the open verdict."""
    columns = (
        Column("entry", "entry"),
        Column("settles", "settles", "share"),
        Column("together", "with others up to", "share"),
        Column("known", "known so far"),
        Column("measure", "how to find it out"),
    )
    rows = [
        (each.unknown.name, each.share, each.together, known_of(each.unknown.range), measure_of(each.unknown.range))
        for each in outcome.first
        if each.share >= WORTH
    ]
    fit = min((row.doubt.fit for row in outcome.rows if row.doubt is not None and row.doubt.turns), default=1.0)
    note = (
        "Settles: part of the doubt about 'depends' limits that is gone once this one entry is known. With others up "
        f"to: what would be left if all but it were known. The fit that ranks them explains {100 * fit:.0f} of 100 of "
        f"a margin's spread (R²){'' if fit >= GOOD else ': the order is a rough one'}."
    )
    return Table("find_out_first", "What to find out first", columns, rows, note, rows[:MOST])


def _unknowns(outcome: Outcome) -> Table:
    columns = (
        Column("entry", "entry"),
        Column("paths", "in the file"),
        Column("known", "known"),
        Column("law", "law"),
        Column("low", "low (SI)", "SI"),
        Column("middle", "middle (SI)", "SI"),
        Column("high", "high (SI)", "SI"),
        Column("unit", "unit"),
        Column("source", "why"),
    )
    rows = [
        (each.name, each.paths, known_of(each.range), each.range.law, each.range.low, each.range.middle,
         each.range.high, each.range.si, each.range.words)
        for each in outcome.unknowns
    ]  # fmt: skip
    note = (
        "Taken: not given by the design, so the usual range. The middle is what all other results are worked out with. "
        "What is made once for each side is drawn for each side: lengths of rods, throws, half-spans, internal "
        "clearance. What follows from one drawing or one way of making is taken alike on both: mass centres, inertias, "
        "support stiffness, play of pins. Drawn machines vibrate as the middle one does, but for two with vibration of "
        "their own where it could turn a limit (vibration of each doubt in the JSON). What a "
        "swinging speed changes is that of the middle machine."
    )
    return Table("unknowns", "What is not known exactly", columns, rows, note)
