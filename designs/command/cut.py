"""`quietcrank cut`: flat drawings of counterweights, webs and discs."""

import sys
from dataclasses import replace
from pathlib import Path

import click

from designs import status
from designs.cautions import CAUTION
from designs.command import files, inputs, screen
from designs.evaluate import Evaluation, evaluate_finely
from designs.tables.counterweights import cutting_tables
from designs.tables.verdict import amount
from designs.verdict import clearances, counterweights, webs
from designs.verdict.row import Row
from designs.whole_file import IsInputError


@click.command(name="cut")
@click.argument("design", required=False)
@inputs.options
@click.option(
    "-o", "--output", "folder", metavar="FOLDER", required=True, help="Write the drawings into FOLDER, made if need be."
)
@click.option("--force", is_flag=True, help="Replace drawings that exist.")
@inputs.units
def command(design: str | None, option: str | None, allow_above: bool, folder: str, force: bool) -> None:
    """Write DXF drawings at 1:1 of the flat parts that DESIGN sizes, and prove that its counterweights clear all else.

    Counterweights, webs, and discs of flywheel and pulley, with their holes, radii and angles from the crankpins.
    Drawings are in millimetres, whatever the screen shows. Exit status 0: drawn, and all fits; 1: drawn, but a limit of
    counterweights or webs fails, as `check` has it; 2: nothing was drawn.
    """
    from designs.drawing import NothingToCut, webs, wheels, write_cut  # the drawing library is loaded only to draw

    evaluation = evaluate_finely(inputs.one(design, option, allow_above).design)
    try:
        Path(folder).mkdir(exist_ok=True)
        written = write_cut(evaluation, folder, force)
    except (NothingToCut, IsInputError) as error:
        files.refuse(str(error))
    except FileExistsError as error:
        what = f"{folder}: it is a file" if Path(folder).is_file() else str(error)
        files.refuse(f"{what}; allowed: another folder, or --force to replace drawings")
    except OSError as error:
        files.refused(folder, error)
    screen.show(cutting_tables(evaluation))
    for file in written:
        click.echo(f"wrote {file}")
    if missing := [*webs.not_sized(evaluation.design), *wheels.not_sized(evaluation)]:
        click.echo(screen.wrapped(f"Not drawn for want of a size: give {', '.join(missing)}."))
    for number, carrier in enumerate(evaluation.weight_carriers.get("right", ()), 1):
        if not carrier.name:
            click.echo(f"Nothing carries counterweight {number}: `check` says where something would.")
    failing = [row for row in weight_rows(evaluation) if row.state == "FAIL"]
    for row in failing:
        click.echo(screen.wrapped(f"FAIL: {row.what}: {amount(row, row.value)}, {row.sense} {amount(row, row.limit)}"))
    click.echo()
    click.echo(screen.wrapped(CAUTION))
    sys.exit(status.FAILS if failing else status.HOLDS)


def weight_rows(evaluation: Evaluation) -> list[Row]:
    """Return what the verdict says of counterweights and webs, as if weights that are only proposed were fitted."""
    weights = evaluation.design.counterweights
    if weights is None:
        return []
    if not weights.fitted:
        evaluation = evaluate_finely(replace(evaluation.design, counterweights=replace(weights, fitted=True)))
    about = [*counterweights.rows(evaluation), *clearances.rows(evaluation), *webs.rows(evaluation)]
    drawn = ("counterweight_holes", "clearance_weights", "web_metal", "weight_screws")
    return [row for row in about if row.key in (*counterweights.KEYS, *drawn)]
