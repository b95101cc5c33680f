"""What `balance` and `shafts` have in common: tables, JSON, and a plot to a file."""

from collections.abc import Callable
from dataclasses import dataclass

import click

from designs.command import VERSION, files, screen
from designs.command.inputs import Named
from designs.evaluate import Evaluation, evaluate_finely
from designs.reading.complaints import nearest
from designs.tables import Table
from designs.tables.doubt import taken_words


@dataclass(frozen=True)
class Wanted:
    """What the caller asked for."""

    as_json: bool
    plot: str | None
    force: bool
    show: tuple[str, ...] = ()


def options(command):
    """Add the options of both commands."""
    command = click.option("--force", is_flag=True, help="Replace the plot file if it exists.")(command)
    command = click.option("--plot", metavar="FILE", help="Also draw to FILE: .png, .svg or .pdf.")(command)
    shown = "Show this table; may be given more than once, `all` for every table."
    command = click.option("--show", multiple=True, metavar="NAME", help=shown)(command)
    return click.option("--json", "as_json", is_flag=True, help="Print one JSON object, numbers in SI.")(command)


def run(named: Named, half: str, tables: Callable[[Evaluation], list[Table]], wanted: Wanted, first: tuple) -> None:
    """Show one half of a design.   first : keys of the tables that answer a question, which are shown unless asked."""
    files.free(wanted.plot, wanted.force, files.PICTURES)  # a name that will not do is told before the work
    evaluation = evaluate_finely(named.design)
    results = tables(evaluation)
    if wanted.as_json:
        screen.put_json(
            {
                "quietcrank": VERSION,
                "title": named.name,
                "file": str(named.path),
                "results": screen.tables_json(results),
            }
        )
    else:
        click.echo(screen.titled(named))
        # The course over the cycle is for machines to read: JSON has it, the screen does not.
        _show([table for table in results if table.key != "course"], first, wanted.show)
        if taken := taken_words(named.design):
            click.echo(screen.wrapped(f"{taken} All numbers are those of the middle of what is not known."))
    if wanted.plot:
        from designs.command.plotting import draw_half  # matplotlib is loaded only to draw

        draw_half(evaluation, half, wanted.plot, wanted.force)


def _show(results: list[Table], first: tuple[str, ...], asked: tuple[str, ...]) -> None:
    """Show the tables that were asked for by name, else those that answer a question, and name the others."""
    keys = [table.key for table in results]
    wanted = [each.strip().replace(" ", "_").replace("-", "_") for each in asked]
    for each in wanted:
        if each not in (*keys, "all"):
            near = nearest(each, keys)
            hint = f"; the nearest is {near}" if near else ""
            files.refuse(f"--show: read {each!r}; allowed: all, {', '.join(keys)}{hint}")
    chosen = keys if "all" in wanted else wanted or [key for key in keys if key in first]
    order = list(first) if chosen and not wanted else keys
    screen.show(sorted((table for table in results if table.key in chosen), key=lambda table: order.index(table.key)))
    others = [key for key in keys if key not in chosen]
    if others and not asked:
        click.echo(screen.wrapped(f"More tables, with --show NAME (or all): {', '.join(others)}."))
