"""Every shaft that was tried, and what failed it."""

from designs import status
from designs.doubt.words import share_words
from designs.options.sizing import Sized, Tried
from designs.table import Column, Table
from designs.tables.verdict import amount
from designs.verdict.row import Row, name_of, names_of

SHOWN = 5  # sizes that pass, and that a person is shown unless all are asked for


def worth_showing(sized: Sized) -> list[Tried]:
    """Return the first few that pass, or the nearest, thinnest first; the smallest bearing of each diameter."""
    best = [each for each in sized.tried if sized.passes(each)] or ([] if sized.nearest is None else [sized.nearest])
    first = {each.choice.diameter: each for each in reversed(best)}
    return [each for each in best if first[each.choice.diameter] is each][:SHOWN]


def sizing_table(sized: Sized, every: bool = True) -> Table:
    """Return one row a choice, thinnest first.   every : else those that are worth showing."""
    columns = (
        Column("verdict", ""),
        Column("diameter", "diameter", "m"),
        Column("bearing", "bearing"),
        Column("material", "material"),
        Column("overhang", "overhang", "m"),
        Column("span", "span", "m"),
        Column("gap", "least gap", "m"),
        Column("failed", "what failed it"),
    )
    note = (
        "Every ball bearing in stock for each bore. Steps of a stepped shaft keep their proportion. "
        "A blank means: as designed."
    )
    if sized.sure is not None and sized.best is not None:
        note += " Not drawn: passes in the middle of what is not known; a thinner one holds in enough machines already."
    if sized.fixed:
        fixed = names_of(sized.fixed)
        note += f" Fails whatever the shaft, and so is not held against any: {fixed}."
    cells = [_cells(sized, each, every) for each in (sized.tried if every else worth_showing(sized))]
    if not every:
        note = f"The best of {len(sized.tried)} that were tried; --all shows every one and what failed it. {note}"
    return Table("sizes", "Shafts tried", columns, cells, note)


def _cells(sized: Sized, tried: Tried, every: bool) -> tuple:
    choice = tried.choice
    rows = sized.failed(tried)
    failed = tried.why_not or ("; ".join(map(failure, rows)) if every else names_of(row.key for row in rows))
    material = "" if choice.material is None else choice.material.name
    gap = min((row.value for row in tried.rows if row.key == "gap" and row.value is not None), default=None)
    return (
        _verdict(sized, tried),
        choice.diameter,
        f"{choice.ball.size} mm",
        material,
        choice.overhang,
        choice.span,
        gap,
        failed,
    )


def _verdict(sized: Sized, tried: Tried) -> str:
    if sized.passes(tried):
        if sized.sure is not None and not tried.drawn:
            return "not drawn"
        return "pass" if status.of_verdict(sized.mattering(tried)) == status.HOLDS else "not all checked"
    only_depends = not tried.why_not and all(row.state == "depends" for row in sized.failed(tried))
    return "depends" if only_depends else "FAIL"


def failure(row: Row) -> str:
    """Return a failed limit by its name, its value and what is asked; if it depends, in how many machines it holds."""
    name = name_of(row.key)
    if row.state == "depends" and row.doubt is not None:
        return f"{name} ({share_words(row.doubt)})"
    return f"{name} {amount(row, row.value)}, {row.sense} {amount(row, row.limit)}"
