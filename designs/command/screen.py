"""Tables on the screen and as JSON."""

import json
import os
import re
from collections.abc import Iterable
from dataclasses import replace
from typing import TYPE_CHECKING, Any

import click

from designs.shown import FILE_UNITS, SYSTEMS
from designs.table import Column, Table

if TYPE_CHECKING:
    from designs.command.inputs import Named

HEADING = 9  # characters of a heading that reads well
GUTTER = 2  # characters between columns
NO_BREAK, HELD = "\u00a0", "\ue000"
"""A blank at which no line breaks, and what stands for it while lines are broken: a private letter one place wide."""
_UNITS = {unit.split(" ")[0] for system in SYSTEMS.values() for unit, *_ in system.values()} | {*FILE_UNITS}
_UNIT = re.compile(rf"(?<=[0-9]) (?=(?:{'|'.join(map(re.escape, sorted(filter(None, _UNITS))))})(?![\w]))")
"""Where a number meets its unit."""
BLANK = ("", "-")
SEVERAL = 2  # rows from which on what all of them say is said once
LEADING = 2  # columns among which the one is looked for that names a row
NARROW = 80  # characters: the least a table is drawn in, and what a file or a pipe gets unless COLUMNS says more


def wrapped(text: str, indent: str = "") -> str:
    """Return a text in lines that fit the narrowest screen; no line ends between a number and its unit."""
    held = _UNIT.sub(NO_BREAK, text)
    return click.wrap_text(held, width=NARROW - 1, subsequent_indent=indent).replace(NO_BREAK, " ")


def titled(named: "Named", word: str = "") -> str:
    """Return the first line of a screen: a word for the whole, the design, its file; and an empty line."""
    return wrapped(f"{word}{named.name}  [{named.path.name}]", "  ") + "\n"


def show(tables: Iterable[Table]) -> None:
    """Draw tables on standard output; one that is too wide goes in parts, with what names a row repeated."""
    from rich.console import Console as Drawing  # a table is drawn by rich, which only a drawn table should pay for
    from rich.text import Text

    class Console(Drawing):
        def on_broken_pipe(self) -> None:
            """Leave it to the command's one place for that; rich would end with a status of its own."""
            raise BrokenPipeError

    console = Console(highlight=False, soft_wrap=False)
    width = console.width if console.is_terminal or "COLUMNS" in os.environ else NARROW
    console = Console(highlight=False, width=max(width, NARROW))
    for whole in tables:
        table, cells, same = _without_same(whole)
        cells = [[_UNIT.sub(NO_BREAK, cell) for cell in row] for row in cells]
        for number, places in enumerate(_parts(table, cells, console.width)):
            console.print(Text(f"{table.title}, continued" if number else table.title), style="bold")
            with console.capture() as drawn:
                console.print(_drawn(table, cells, places, console.width))
            click.echo("".join(f"{line.rstrip()}\n" for line in drawn.get().replace(HELD, " ").splitlines()), nl=False)
        for words in filter(None, (same, table.note)):
            lines = click.wrap_text(words, console.width - 1, initial_indent="  ", subsequent_indent="  ")
            console.print(Text(lines), style="dim")
        click.echo()


def _without_same(table: Table) -> tuple[Table, list[list[str]], str]:
    """Return a table without columns that say the same in every row, its cells, and those columns in words.

    A column that says nothing in any row is left out.
    """
    cells = table.cells()
    named = [index for index, column in enumerate(table.columns) if column.title and len(cells) >= SEVERAL]
    same = [index for index in named if len({row[index] for row in cells}) == 1]
    told = [index for index in same if cells[0][index] not in BLANK]
    if not same or len(same) == len(table.columns):
        return table, cells, ""
    kept = [index for index in range(len(table.columns)) if index not in same]
    words = "; ".join(_said(table.columns[index], cells[0][index]) for index in told)
    narrower = replace(table, columns=tuple(table.columns[index] for index in kept))
    return narrower, [[row[index] for index in kept] for row in cells], words and f"In every row {words}."


def _said(column: Column, cell: str) -> str:
    return f"{column.title}: {cell} {'' if column.unit is None else column.shown[0]}".strip()


def _parts(table: Table, cells: list[list[str]], width: int) -> list[list[int]]:
    """Return the columns of each part of a table that fits a width with no word or number broken."""
    needs = [_narrowest(column, [row[index] for row in cells]) for index, column in enumerate(table.columns)]
    heads = _heads(table, cells, needs, width)
    parts, here = [], list(heads)
    for index in range(len(table.columns)):
        if index in heads:
            continue
        if len(here) > len(heads) and sum(needs[each] + GUTTER for each in (*here, index)) > width:
            parts.append(here)
            here = list(heads)
        here.append(index)
    return [*parts, here]


def _heads(table: Table, cells: list[list[str]], needs: list[int], width: int) -> list[int]:
    """Return the columns that each part repeats: the one that names a row, or the first ones that tell rows apart."""
    named = [index for index, column in enumerate(table.columns[:LEADING]) if column.unit is None][:1] or [0]
    first = (list(range(count)) for count in range(1, len(table.columns)))
    for heads in (named, *first):
        if len({tuple(row[index] for index in heads) for row in cells}) == len(cells):
            return heads if sum(needs[index] + GUTTER for index in heads) <= width / 2 else named
    return named


def _narrowest(column: Column, cells: list[str]) -> int:
    """Return how narrow a column may be: a number stands whole, words and headings break at blanks."""
    words = [word for text in (column.heading, *(cells if column.unit is None else ())) for word in text.split(" ")]
    whole = [] if column.unit is None else cells
    return max(1, *(len(each) for each in (*words, *whole)))


def _widths(table: Table, cells: list[list[str]], places: list[int], width: int) -> list[int]:
    """Return how wide each column is drawn: as narrow as it may be, what is left over where most is cut."""
    columns = [(table.columns[index], [row[index] for row in cells]) for index in places]
    widths = [_narrowest(*each) for each in columns]
    # A heading takes no more room than its numbers or its longest word, so that what is said in words has the rest.
    wanted = [max([least, len(column.heading) if column.unit is None else HEADING, *(len(text) for text in texts)])
              for least, (column, texts) in zip(widths, columns, strict=True)]  # fmt: skip
    spare = width - sum(widths) - GUTTER * len(widths)
    while spare > 0 and widths != wanted:
        index = max(range(len(widths)), key=lambda n: (wanted[n] - widths[n]) / widths[n])
        widths[index], spare = widths[index] + 1, spare - 1
    return widths


def _drawn(table: Table, cells: list[list[str]], places: list[int], width: int):
    from rich.table import Table as Drawn
    from rich.text import Text

    # Names may have brackets, and plain text would be searched for commands in them.
    cells = [[cell.replace(NO_BREAK, HELD) for cell in row] for row in cells]
    drawn = Drawn(box=None, pad_edge=False, padding=(0, GUTTER, 0, 0))
    for index, wide in zip(places, _widths(table, cells, places, width), strict=True):
        column = table.columns[index]
        side: Any = "left" if column.unit is None else "right"
        drawn.add_column(Text(column.heading), justify=side, width=wide, overflow="fold")
    for row in cells:
        drawn.add_row(*(Text(row[index], style="bold" if row[index] == "FAIL" else "") for index in places))
    return drawn


def put_json(value: Any) -> None:
    """Write plain data as JSON on standard output."""
    click.echo(json.dumps(value, indent=1, allow_nan=False))


def tables_json(tables: Iterable[Table]) -> dict[str, Any]:
    """Return tables as plain data by their keys."""
    return {table.key: table.json() for table in tables}
