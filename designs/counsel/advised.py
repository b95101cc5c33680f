"""The verdict on a design with advice: every limit that fails says what to change, once it is asked."""

from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import replace
from functools import partial

from designs.counsel.advice import Counsel
from designs.doubt import FEW, SURE, Outcome, under_doubt
from designs.evaluate import Evaluation, kept_with_it
from designs.verdict import verdict_of
from designs.verdict.row import Row


@kept_with_it
def counsel_of(evaluation: Evaluation) -> Counsel:
    """Return advice on what fails, each change tried when it is asked for; for a single design."""
    rows = verdict_of(evaluation)
    return Counsel(evaluation.design, rows, evaluation.shaft_vibration.orders)


@contextmanager
def begun(evaluation: Evaluation) -> Iterator[None]:
    """Have advice begun beside what is done meanwhile, where a limit fails; for one who will ask for it."""
    if any(row.state == "FAIL" for row in verdict_of(evaluation)):
        with counsel_of(evaluation).begun():
            yield
    else:
        yield


def judge(evaluation: Evaluation) -> list[Row]:
    """Return every limit and how the design stands against it; what fails says what to change, once it is asked."""

    def words(row: Row) -> str:
        # Of itself a room says why a limit fails, and nothing of what helps: that is what was tried.
        return "; ".join(filter(None, (row.change, counsel_of(evaluation).advice(row.key).sentence)))

    rows = verdict_of(evaluation)
    if evaluation.options is not None:
        return rows
    return [replace(row, advice=partial(words, row)) if row.state == "FAIL" else row for row in rows]


def judge_under_doubt(evaluation: Evaluation, sure: float = SURE, few: int = FEW) -> Outcome:
    """Return the same with what is not known of a single design drawn; its advice then heeds that, too.

    sure : share of machines that must hold.   few : machines that are enough where they settle every limit.
    """
    outcome = under_doubt(evaluation, judge(evaluation), sure, few=few)
    heed(evaluation, outcome)
    return outcome


def heed(evaluation: Evaluation, outcome: Outcome) -> None:
    """Have the advice on a design heed what is not known of it, if it was drawn."""
    if outcome.judged:
        counsel_of(evaluation).heed(outcome.rows)
