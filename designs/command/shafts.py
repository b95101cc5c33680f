"""`quietcrank shafts`: how its shafts bend and carry."""

import click

from designs.command import halves, inputs
from designs.evaluate import Evaluation
from designs.tables import Table, searching_tables, shaft_tables


@click.command(name="shafts")
@click.argument("design", required=False)
@inputs.options
@halves.options
def command(
    design: str | None, option: str | None, allow_above: bool, as_json: bool, plot: str | None, force: bool
) -> None:
    """Show deflection, bearing loads, and the gap between the yokes of DESIGN over speed."""
    halves.run(inputs.one(design, option, allow_above), "shafts", _tables, halves.Wanted(as_json, plot, force))


def _tables(evaluation: Evaluation) -> list[Table]:
    return [*shaft_tables(evaluation), *searching_tables(evaluation)]
