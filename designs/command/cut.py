"""`quietcrank cut`: flat drawings of the counterweights."""

import sys
from pathlib import Path

import click

from designs import status
from designs.command import files, inputs, screen
from designs.command.check import CAUTION
from designs.evaluate import Evaluation, closely
from designs.tables.counterweights import cutting_tables
from designs.whole_file import IsInputError


@click.command(name="cut")
@click.argument("design", required=False)
@inputs.options
@click.option(
    "-o", "--output", "folder", metavar="FOLDER", required=True, help="Write the drawings into FOLDER, made if need be."
)
@click.option("--force", is_flag=True, help="Replace drawings that exist.")
def command(design: str | None, option: str | None, allow_above: bool, folder: str, force: bool) -> None:
    """Write DXF drawings at 1:1 of the counterweights of DESIGN, and prove that they clear everything.

    Exit status 0: drawn, and all fits; 1: drawn, but a weight strikes something, falls short, or nothing carries it;
    2: nothing was drawn.
    """
    from designs.drawing import NothingToCut, write_cut  # the drawing library is loaded only to draw

    evaluation = closely(inputs.one(design, option, allow_above).design)
    try:
        Path(folder).mkdir(exist_ok=True)
        written = write_cut(evaluation, folder, force)
    except NothingToCut as error:
        files.refuse(str(error))
    except IsInputError as error:
        files.refuse(str(error))
    except FileExistsError as error:
        what = f"{folder}: it is a file" if Path(folder).is_file() else str(error)
        files.refuse(f"{what}; allowed: another folder, or --force to replace drawings")
    except OSError as error:
        files.refused(folder, error)
    screen.show(cutting_tables(evaluation))
    for file in written:
        click.echo(f"wrote {file}")
    for number, carrier in enumerate(evaluation.weight_carriers["right"], 1):
        if not carrier.name:
            click.echo(f"Nothing carries counterweight {number}: `check` says where something would.")
    click.echo()
    click.echo(screen.wrapped(CAUTION))
    sys.exit(status.HOLDS if fits(evaluation) else status.FAILS)


def fits(evaluation: Evaluation) -> bool:
    """Return whether every weight is as heavy as wanted, carried by something, and clear of everything."""
    weights = evaluation.weights
    assert weights is not None
    whole = all(float(weight.short) == 0 for weight in weights.planes)
    limit = float(evaluation.design.limits.gap)
    clear = all(room.gap >= (0.0 if room.own else limit) for room in evaluation.weight_rooms)
    return whole and clear and all(carrier.name for hand in evaluation.weight_carriers.values() for carrier in hand)
