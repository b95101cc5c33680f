"""Tables on the screen and as JSON."""

import json
import os
from collections.abc import Iterable
from typing import Any

import click

from designs.tables.table import Table

HEADING = 9  # characters of a heading that reads well
NARROW, WIDE = 80, 120  # characters: the least a table is drawn in, and what a file or a pipe gets


def show(tables: Iterable[Table]) -> None:
    """Draw tables on standard output."""
    from rich.console import Console as Drawing  # a table is drawn by rich, which only a drawn table should pay for

    class Console(Drawing):
        def on_broken_pipe(self) -> None:
            """Leave it to the command's one place for that; rich would end with a status of its own."""
            raise BrokenPipeError

    from rich.text import Text

    console = Console(highlight=False, soft_wrap=False)
    width = console.width if console.is_terminal or "COLUMNS" in os.environ else WIDE
    console = Console(highlight=False, width=max(width, NARROW))
    for table in tables:
        console.print(_drawn(table))
        if table.note:
            console.print(Text(f"  {table.note}"), style="dim")
        console.print()


def _drawn(table: Table):
    from rich.table import Table as Drawn
    from rich.text import Text

    style: dict[str, Any] = {"title_justify": "left", "title_style": "bold", "pad_edge": False, "padding": (0, 2, 0, 0)}
    # Names may have brackets, and plain text would be searched for commands in them.
    drawn = Drawn(title=Text(table.title), box=None, **style)
    rows = table.cells()
    for place, column in enumerate(table.columns):
        cells = [row[place] for row in rows]
        if column.unit is None:
            drawn.add_column(Text(column.heading), overflow="fold")
            continue
        # A heading takes no more room than its numbers or its longest word, so that what is said in words has the rest.
        most = max([HEADING, *(len(text) for text in (*cells, *column.heading.split()))])
        drawn.add_column(Text(column.heading), justify="right", max_width=most, overflow="fold")
    for cells in rows:
        drawn.add_row(*(Text(cell, style="bold" if cell == "FAIL" else "") for cell in cells))
    return drawn


def put_json(value: Any) -> None:
    """Write plain data as JSON on standard output."""
    click.echo(json.dumps(value, indent=1, allow_nan=False))


def tables_json(tables: Iterable[Table]) -> dict[str, Any]:
    """Return tables as plain data by their keys."""
    return {table.key: table.json() for table in tables}
