"""Tables on the screen and as JSON."""

import json
from collections.abc import Iterable
from typing import Any

import click

from designs.tables.table import Table

NARROW = 80


def show(tables: Iterable[Table]) -> None:
    """Draw tables on standard output."""
    from rich.console import Console  # a table is drawn by rich, which only a drawn table should pay for

    console = Console(highlight=False, soft_wrap=False)
    width = console.width if console.is_terminal else max(console.width, 140)
    console = Console(highlight=False, width=max(width, NARROW))
    for table in tables:
        console.print(_drawn(table))
        if table.note:
            console.print(f"  {table.note}", style="dim")
        console.print()


def _drawn(table: Table):
    from rich.table import Table as Drawn
    from rich.text import Text

    style: dict[str, Any] = {"title_justify": "left", "title_style": "bold", "pad_edge": False, "padding": (0, 2, 0, 0)}
    drawn = Drawn(title=table.title, box=None, **style)
    for column in table.columns:
        drawn.add_column(column.heading, justify="left" if column.unit is None else "right", overflow="fold")
    for cells in table.cells():
        drawn.add_row(*(Text(cell, style="bold" if cell == "FAIL" else "") for cell in cells))
    return drawn


def put_json(value: Any) -> None:
    """Write plain data as JSON on standard output."""
    click.echo(json.dumps(value, indent=1, allow_nan=False))


def tables_json(tables: Iterable[Table]) -> dict[str, Any]:
    """Return tables as plain data by their keys."""
    return {table.key: table.json() for table in tables}
