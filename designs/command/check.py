"""`quietcrank check`: the verdict."""

import sys
from dataclasses import replace
from gc import collect
from typing import Any

import click

from designs import status
from designs.cautions import CAUTION
from designs.command import VERSION, brief, inputs, screen
from designs.counsel.advice import Counsel, change_words, entries
from designs.counsel.advised import begun, counsel_of, judge_under_doubt
from designs.doubt import Outcome
from designs.evaluate import Evaluation, evaluate_finely
from designs.options.fastest import Fastest, fastest
from designs.remarks import remarks
from designs.summary import answers
from designs.tables import balance_tables, doubt, measured, shaft_tables
from designs.tables.verdict import row_json, verdict_table
from designs.verdict.row import Row, names_of


@click.command(name="check")
@click.argument("designs", nargs=-1, metavar="[DESIGN]...")
@inputs.options
@click.option("--all", "every", is_flag=True, help="Show every limit, and what to give so that the rest is checked.")
@click.option("--fastest", "how_fast", is_flag=True, help="Also find the highest speed up to which no limit fails.")
@click.option("--json", "as_json", is_flag=True, help="Print one JSON object, numbers in SI with the unit in the key.")
@inputs.sure
@inputs.units
def command(
    designs: tuple[str, ...], option: str | None, allow_above: bool, every: bool, how_fast: bool, as_json: bool,
    sure: float,
) -> None:  # fmt: skip
    """Say of each DESIGN which limits hold, which fail, and what to change.

    Without DESIGN, the shipped demonstration engine is checked. Exit status 0: nothing fails and all was looked at;
    1: a limit fails or depends; 2: a design could not be read; 3: nothing fails, but not all could be looked at.
    """
    checked, complaints = inputs.several(designs, option, allow_above)
    inputs.tell(complaints)
    verdicts, told = [], []
    for each in checked:  # one after the other: all that is worked out of one takes tens of megabytes
        evaluation = evaluate_finely(each.design)
        with begun(evaluation):
            outcome = judge_under_doubt(evaluation, sure)
            limit = fastest(each.design) if how_fast else None
        verdicts.append(status.of_verdict(outcome.rows))
        if as_json:
            told.append(_json(each, evaluation, outcome, limit))
        else:
            _show(each, evaluation, outcome, every, limit)
        del evaluation, outcome
        if len(checked) > 1:
            collect()  # what was worked out, and the words that wait for it, hold each other
    if as_json:
        screen.put_json({"quietcrank": VERSION, "designs": told})
    elif checked:
        click.echo(screen.wrapped(CAUTION))
    sys.exit(status.BAD_INPUT if complaints else status.worst(verdicts))


def _show(named: inputs.Named, evaluation: Evaluation, outcome: Outcome, every: bool, limit: Fastest | None) -> None:
    rows = outcome.rows
    click.echo(screen.titled(named, f"{status.in_a_word(rows).upper()}: "))
    for answer in answers(evaluation, rows)[: None if every else TOLD_FIRST]:
        click.echo(screen.wrapped(f"{answer.question} {answer.words}", "  "))
    if limit is not None:
        click.echo(screen.wrapped(f"How fast may it run? {limit.words}", "  "))
    failing, hanging, unchecked = ([row for row in rows if row.state == state] for state in OPEN)
    click.echo()
    if every:
        table = verdict_table(rows)
        # The last column, what to change, reads better as sentences below.
        screen.show([replace(table, columns=table.columns[:-1], rows=[row[:-1] for row in table.rows])])
        _list("What helps each, tried one at a time:", failing)
        _list("What depends on what is not known (of 100 machines that this one may be):", hanging)
    else:
        brief.failing(failing)
        brief.hanging(hanging)
    screen.show([doubt.for_people(table) for table in doubt.tables(outcome)[:1]] if every else doubt.brief(outcome))
    asked = [row for row in rows if row.left_out or (row.state == "FAIL" and row.unlooked)]
    if every:
        _list("Not checked:", unchecked)
    elif not failing or len(asked) <= FEW_MISSING:
        _missing(asked)
    if failing or hanging:
        (_best if every else brief.best)(counsel_of(evaluation))
    _beside(named, evaluation, every)
    more = "" if every else "; --all shows every limit"
    hold, fail, depend, not_checked = status.counts(rows).values()
    counted = f"{hold} limits hold, {fail} fail, {depend} depend, {not_checked} not checked{more}."
    click.echo(screen.wrapped(counted) + "\n")


def _beside(named: inputs.Named, evaluation: Evaluation, every: bool) -> None:
    """Write what was taken without being given, what was measured, and what looks odd though no limit speaks of it."""
    if taken := doubt.taken_words(named.design):
        click.echo(screen.wrapped(taken, "  "))
    if told := measured.summary(evaluation):
        click.echo(screen.wrapped(told))
        screen.show(measured.tables(evaluation))
    said = remarks(evaluation)[0 if every else 1 :]  # the first repeats what was read
    if said:
        click.echo("Remarks, which are no limits:")
        for remark in said:
            click.echo(screen.wrapped(f"- {remark}", "  "))
        click.echo()


OPEN = ("FAIL", "depends", "not checked")
"""States of a limit that does not simply hold."""
TOLD_FIRST = 4
"""Answers that are shown; the last one names the failing limits, which stand below it in a list of their own."""


def _missing(rows: list[Row]) -> None:
    """Write what to give so that the rest can be checked, each only once."""
    by_words = dict[tuple[bool, str], list[str]]()
    for row in rows:
        by_words.setdefault((row.state == "FAIL", row.unlooked or row.words), []).append(row.name)
    for (fails, said), names in list(by_words.items())[:MOST_MISSING]:
        words = f"Not {'wholly ' * fails}checked: {', '.join(names)}; {said}."
        click.echo(screen.wrapped(words, "  "))


FEW_MISSING = 2  # limits not checked that are told where others fail, which come first
MOST_MISSING = 4  # things to give that are told; --all has every one


def _best(counsel: Counsel) -> None:
    """Write the best changes with all that they do, each upon those before it, and every entry in the file."""
    before = counsel.base
    if counsel.stuck:
        click.echo(screen.wrapped(brief.stuck_words(counsel), "  "))
    click.echo("What to change, in this order; each was tried with those before it:")
    for number, plan in enumerate(counsel.best, start=1):
        click.echo(screen.wrapped(f"{number}. {change_words(before, plan)}", "   "))
        for path, old, new in entries(before.trial.design, *plan.steps[len(before.steps) :]):
            click.echo(screen.wrapped(f"   {path}: {new}  (was {old})", "     "))
        before = plan
    more = f" They are: {names_of(before.trial.failing)}." if before.trial.outright else ""
    click.echo(screen.wrapped(f"{brief.left_words(counsel)}{more}") + "\n")


def _list(heading: str, rows: list[Row]) -> None:
    if not rows:
        return
    click.echo(heading)
    for row in rows:
        click.echo(screen.wrapped(f"- {row.what}: {row.words}", "  "))
    click.echo()


def _json(named: inputs.Named, evaluation: Evaluation, outcome: Outcome, limit: Fastest | None) -> dict[str, Any]:
    rows = outcome.rows
    return {
        "title": named.name,
        "file": str(named.path),
        "passes": status.of_verdict(rows) == status.HOLDS,
        "answers": [{"question": each.question, "answer": each.words} for each in answers(evaluation, rows)],
        "verdict": [row_json(row) for row in rows],
        "fastest": None
        if limit is None
        else {"speed_rad_per_s": limit.speed, "beyond": limit.beyond, "fail_at_any_speed": limit.always},
        "remarks": remarks(evaluation),
        "doubt": screen.tables_json(doubt.tables(outcome)),
        "results": screen.tables_json([*balance_tables(evaluation), *shaft_tables(evaluation)]),
    }
