"""`quietcrank balance`: how a design moves and shakes."""

import click

from designs.command import halves, inputs
from designs.evaluate import Evaluation
from designs.tables import Table, balance_tables
from designs.tables.counterweights import deep_tables

FIRST = ("strokes", "gas", "shaking", "counterweights", "vibration", "feet", "mount_needed", "flywheel", "torques")
"""Tables that answer a question: what is shown unless others are asked for."""


@click.command(name="balance")
@click.argument("design", required=False)
@inputs.options
@halves.options
@inputs.units
def command(
    design: str | None, option: str | None, allow_above: bool, show: tuple[str, ...], as_json: bool,
    plot: str | None, force: bool,
) -> None:  # fmt: skip
    """Show strokes, gas, shaking by order, counterweights, joint forces and torque of DESIGN."""
    wanted = halves.Wanted(as_json, plot, force, show)
    halves.run(inputs.one(design, option, allow_above), "balance", _tables, wanted, FIRST)


def _tables(evaluation: Evaluation) -> list[Table]:
    """Return what `check` knows too, and what takes a search."""
    return [*balance_tables(evaluation), *deep_tables(evaluation)]
