"""`quietcrank check`: the verdict."""

import sys
from dataclasses import replace
from typing import Any

import click

from designs import status
from designs.command import VERSION, inputs, screen
from designs.evaluate import Evaluation, closely
from designs.summary import answers
from designs.tables import balance_tables, shaft_tables
from designs.tables.verdict import row_json, verdict_table
from designs.verdict import judge
from designs.verdict.row import Row

CAUTION = (
    "Before you run anything that turns: a weight or flywheel whose fixing fails is a projectile. Guard it, lock its "
    "fasteners, wear eye protection, try overspeed behind a shield; a report lists all cautions. This does not replace "
    "local codes or a licensed engineer's judgement where people can be hurt."
)


@click.command(name="check")
@click.argument("designs", nargs=-1, metavar="[DESIGN]...")
@inputs.options
@click.option("--json", "as_json", is_flag=True, help="Print one JSON object, numbers in SI with the unit in the key.")
def command(designs: tuple[str, ...], option: str | None, allow_above: bool, as_json: bool) -> None:
    """Say of each DESIGN which limits hold, which fail, and what to change.

    Without DESIGN, the shipped demonstration engine is checked. Exit status 0: nothing fails and all was looked at;
    1: a limit fails or depends; 2: a design could not be read; 3: nothing fails, but not all could be looked at.
    """
    found, complaints = inputs.several(designs, option, allow_above)
    inputs.tell(complaints)
    judged = []
    for each in found:
        evaluation = closely(each.design)
        judged.append((each, evaluation, judge(evaluation)))
    if as_json:
        screen.put_json({"quietcrank": VERSION, "designs": [_json(*each) for each in judged]})
    else:
        for one in judged:
            _show(*one)
        if judged:
            click.echo(click.wrap_text(CAUTION, width=100))
    sys.exit(status.BAD_INPUT if complaints else status.worst([status.of_verdict(rows) for _, _, rows in judged]))


def _show(named: inputs.Named, evaluation: Evaluation, rows: list[Row]) -> None:
    click.echo(f"{named.name}  [{named.path.name}]\n")
    for answer in answers(evaluation, rows):
        click.echo(click.wrap_text(f"{answer.question} {answer.words}", width=100, subsequent_indent="  "))
    click.echo()
    table = verdict_table(rows)
    # The last column, what to change, reads better as sentences below.
    screen.show([replace(table, columns=table.columns[:-1], rows=[row[:-1] for row in table.rows])])
    failing = [row for row in rows if row.state == "FAIL"]
    unchecked = [row for row in rows if row.state == "not checked"]
    _list("What to change:", failing)
    _list("Not checked:", unchecked)
    good = len(rows) - len(failing) - len(unchecked)
    click.echo(f"{good} limits hold, {len(failing)} fail, {len(unchecked)} not checked.\n")


def _list(heading: str, rows: list[Row]) -> None:
    if not rows:
        return
    click.echo(heading)
    for row in rows:
        click.echo(
            click.wrap_text(
                f"- {row.what}: {row.words}",
                width=100,
                subsequent_indent="  ",
            )
        )
    click.echo()


def _json(named: inputs.Named, evaluation: Evaluation, rows: list[Row]) -> dict[str, Any]:
    return {
        "title": named.name,
        "file": str(named.path),
        "passes": status.of_verdict(rows) == status.HOLDS,
        "answers": [{"question": each.question, "answer": each.words} for each in answers(evaluation, rows)],
        "verdict": [row_json(row) for row in rows],
        "results": screen.tables_json([*balance_tables(evaluation), *shaft_tables(evaluation)]),
    }
