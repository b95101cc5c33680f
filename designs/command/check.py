"""`quietcrank check`: the verdict."""

import sys
from dataclasses import replace
from typing import Any

import click

from designs import status
from designs.command import VERSION, inputs, screen
from designs.doubt import Outcome, under_doubt
from designs.evaluate import Evaluation, closely
from designs.remarks import remarks
from designs.summary import answers
from designs.tables import balance_tables, doubt, measured, shaft_tables
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
@inputs.sure
def command(designs: tuple[str, ...], option: str | None, allow_above: bool, as_json: bool, sure: float) -> None:
    """Say of each DESIGN which limits hold, which fail, and what to change.

    Without DESIGN, the shipped demonstration engine is checked. Exit status 0: nothing fails and all was looked at;
    1: a limit fails or depends; 2: a design could not be read; 3: nothing fails, but not all could be looked at.
    """
    found, complaints = inputs.several(designs, option, allow_above)
    inputs.tell(complaints)
    judged = []
    for each in found:
        evaluation = closely(each.design)
        judged.append((each, evaluation, under_doubt(evaluation, judge(evaluation), sure)))
    if as_json:
        screen.put_json({"quietcrank": VERSION, "designs": [_json(*each) for each in judged]})
    else:
        for one in judged:
            _show(*one)
        if judged:
            click.echo(click.wrap_text(CAUTION, width=100))
    verdicts = [status.of_verdict(outcome.rows) for _, _, outcome in judged]
    sys.exit(status.BAD_INPUT if complaints else status.worst(verdicts))


def _show(named: inputs.Named, evaluation: Evaluation, outcome: Outcome) -> None:
    rows = outcome.rows
    click.echo(f"{named.name}  [{named.path.name}]\n")
    for answer in answers(evaluation, rows):
        click.echo(click.wrap_text(f"{answer.question} {answer.words}", width=100, subsequent_indent="  "))
    click.echo()
    table = verdict_table(rows)
    # The last column, what to change, reads better as sentences below.
    screen.show([replace(table, columns=table.columns[:-1], rows=[row[:-1] for row in table.rows])])
    failing = [row for row in rows if row.state == "FAIL"]
    open_ = [row for row in rows if row.state == "depends"]
    unchecked = [row for row in rows if row.state == "not checked"]
    _list("What to change:", failing)
    _list("What hangs on things that are not known:", open_)
    screen.show(doubt.brief(outcome))
    if taken := doubt.taken_words(named.design):
        click.echo(click.wrap_text(taken, width=100) + "\n")
    _list("Not checked:", unchecked)
    if told := measured.summary(evaluation):
        click.echo(click.wrap_text(told, width=100) + "\n")
        screen.show(measured.tables(evaluation))
    click.echo("Remarks, which are no limits:")
    for remark in remarks(evaluation):
        click.echo(click.wrap_text(f"- {remark}", width=100, subsequent_indent="  "))
    click.echo()
    good = len(rows) - len(failing) - len(open_) - len(unchecked)
    click.echo(f"{good} limits hold, {len(failing)} fail, {len(open_)} depend, {len(unchecked)} not checked.\n")


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


def _json(named: inputs.Named, evaluation: Evaluation, outcome: Outcome) -> dict[str, Any]:
    rows = outcome.rows
    return {
        "title": named.name,
        "file": str(named.path),
        "passes": status.of_verdict(rows) == status.HOLDS,
        "answers": [{"question": each.question, "answer": each.words} for each in answers(evaluation, rows)],
        "verdict": [row_json(row) for row in rows],
        "remarks": remarks(evaluation),
        "doubt": screen.tables_json(doubt.tables(outcome)),
        "results": screen.tables_json([*balance_tables(evaluation), *shaft_tables(evaluation)]),
    }
