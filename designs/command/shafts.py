"""`quietcrank shafts`: how its shafts bend and carry."""

import click

from designs.command import halves, inputs
from designs.evaluate import Evaluation
from designs.tables import Table, searching_tables, shaft_tables

FIRST = ("contact", "gap", "budget", "gains", "builds", "throws", "bearings", "bearing_life", "critical_speeds")
"""Tables that answer a question: what is shown unless others are asked for."""


@click.command(name="shafts")
@click.argument("design", required=False)
@inputs.options
@halves.options
@inputs.units
def command(
    design: str | None, option: str | None, allow_above: bool, show: tuple[str, ...], as_json: bool,
    plot: str | None, force: bool,
) -> None:  # fmt: skip
    """Show deflection, bearing loads, and the gap between the yokes of DESIGN over speed."""
    wanted = halves.Wanted(as_json, plot, force, show)
    halves.run(inputs.one(design, option, allow_above), "shafts", _tables, wanted, FIRST)


def _tables(evaluation: Evaluation) -> list[Table]:
    return [*shaft_tables(evaluation), *searching_tables(evaluation)]
