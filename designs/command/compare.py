"""`quietcrank compare`: designs and their options side by side."""

import json
import sys
from pathlib import Path

import click

from designs import status
from designs.command import VERSION, files, inputs, screen
from designs.options import side_by_side
from designs.options.comparing import Candidate, Faulty, conclusion, gather
from designs.options.figures import NoFigureError
from designs.table import markdown_text


@click.command(name="compare")
@click.argument("designs", nargs=-1, metavar="[DESIGN]...")
@click.option(
    "--option", "only", multiple=True, metavar="NAME", help="Compare this option alone; may be given more than once."
)
@click.option(
    "--show",
    multiple=True,
    metavar="KEY",
    help="Show this figure: a limit (gap), or TABLE.COLUMN, or TABLE.COLUMN[words].",
)
@click.option("--all", "every", is_flag=True, help="Show every figure, and how sure it is that one is better.")
@click.option("--json", "form", flag_value="json", help="As JSON, numbers in SI.")
@click.option("--csv", "form", flag_value="csv", help="As CSV, one design a row, numbers in SI.")
@click.option("--markdown", "form", flag_value="markdown", help="As Markdown.")
@click.option("--output", metavar="FILE", help="Write to FILE instead of the screen.")
@click.option("--plot", metavar="FILE", help="Also draw shaking force and gap over speed: .png, .svg or .pdf.")
@click.option("--force", is_flag=True, help="Replace files that exist.")
@click.option("--allow-above", is_flag=True, help="Let a file name tables that do not stand beside it.")
@inputs.sure
@inputs.units
def command(
    designs: tuple[str, ...], only: tuple[str, ...], show: tuple[str, ...], every: bool, form: str | None,
    output: str | None, plot: str | None, force: bool, allow_above: bool, sure: float,
) -> None:  # fmt: skip
    """Set each DESIGN and all options in its file side by side, against the first.

    Without DESIGN, the shipped demonstration engine and its options are compared. Exit status 0: in
    all of them nothing fails and all was looked at; 1: a limit fails or depends; 2: one could not be read;
    3: nothing fails, but not all could be looked at.
    """
    picture, text = files.free(plot, force, files.PICTURES), files.free(output, force)
    gathered = gather([Path(each) for each in designs] or [inputs.DEMO], only, allow_above, sure)
    candidates = [each for each in gathered if isinstance(each, Candidate)]
    faulty = [each for each in gathered if isinstance(each, Faulty)]
    inputs.tell(each.why for each in faulty)
    if not candidates:
        sys.exit(status.BAD_INPUT)
    try:
        lines = side_by_side.lines(candidates, show)
    except NoFigureError as error:
        files.refuse(str(error))
    if form is None and text is None:
        click.echo(screen.wrapped(conclusion(candidates)) + "\n")
        screen.show((side_by_side.tables if every or show else side_by_side.brief)(candidates, lines, faulty))
    else:
        _put(candidates, lines, faulty, form, text, force)
    if picture:
        from designs.pages.compared import draw  # matplotlib is loaded only to draw

        files.write(picture, lambda part: draw(candidates, part), force)
    sys.exit(status.BAD_INPUT if faulty else status.worst([each.status for each in candidates]))


def _put(
    candidates: list[Candidate], lines: list, faulty: list[Faulty], form: str | None, to: Path | None, force: bool
) -> None:
    if form == "json":
        text = (
            json.dumps(
                {"quietcrank": VERSION, **side_by_side.data(candidates, lines, faulty)}, indent=1, allow_nan=False
            )
            + "\n"
        )
    elif form == "csv":
        text = side_by_side.wide(candidates, lines).csv()
    else:
        tables = side_by_side.tables(candidates, lines, faulty)
        text = "\n".join(table.markdown() for table in tables) + f"\n{markdown_text(conclusion(candidates))}\n"
    if to is None:
        click.echo(text, nl=False)
    else:
        files.write_text(to, text, force)
