"""What `balance` and `shafts` have in common: tables, JSON, and a plot to a file."""

from collections.abc import Callable
from dataclasses import dataclass

import click

from designs.command import VERSION, screen
from designs.command.inputs import Named
from designs.evaluate import Evaluation, closely
from designs.tables import Table
from designs.tables.doubt import taken_words


@dataclass(frozen=True)
class Wanted:
    """What the caller asked for."""

    as_json: bool
    plot: str | None
    force: bool


def options(command):
    """Add the options of both commands."""
    command = click.option("--force", is_flag=True, help="Replace the plot file if it exists.")(command)
    command = click.option("--plot", metavar="FILE", help="Also draw to FILE: .png, .svg or .pdf.")(command)
    return click.option("--json", "as_json", is_flag=True, help="Print one JSON object, numbers in SI.")(command)


def run(named: Named, half: str, tables: Callable[[Evaluation], list[Table]], wanted: Wanted) -> None:
    """Show one half of a design."""
    evaluation = closely(named.design)
    found = tables(evaluation)
    if wanted.as_json:
        screen.put_json(
            {"quietcrank": VERSION, "title": named.name, "file": str(named.path), "results": screen.tables_json(found)}
        )
    else:
        click.echo(f"{named.name}  [{named.path.name}]\n")
        # The course over the cycle is for machines to read: JSON has it, the screen does not.
        screen.show(table for table in found if table.key != "course")
        if taken := taken_words(named.design):
            click.echo(click.wrap_text(f"{taken} All numbers are those of the middle of what is not known.", width=100))
    if wanted.plot:
        from designs.command.plotting import draw_half  # matplotlib is loaded only to draw

        draw_half(evaluation, half, wanted.plot, wanted.force)
