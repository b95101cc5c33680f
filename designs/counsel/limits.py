"""What stands in the way of a limit that no change makes hold."""

from collections.abc import Iterator, Sequence

import numpy as np

from designs.counsel.advice import amount_of
from designs.counsel.aimed import aimed, unseen
from designs.counsel.dial import Dial
from designs.counsel.measuring import to_measure
from designs.counsel.plan import Looks, Plan, Step, look, planned
from designs.counsel.trial import ILLEGAL, Trial
from designs.shown import file_words
from designs.verdict.row import name_of


def in_the_way(plan: Plan, dials: Sequence[Dial]) -> Iterator[str]:
    """Yield of each limit that a plan fails, in words, how near it comes, and what the best further change would do.

    dials : the choices that there are.
    """
    looks = look(plan, dials)
    for key in plan.trial.failing:
        figure = plan.trial.figures[key]
        hanging = next((row for row in plan.trial.rows if row.key == key and row.state == "depends"), None)
        if hanging is not None and np.all(hanging.passed):
            continue  # it is told below what to measure
        if hanging is not None:
            yield f"{hanging.what} {hanging.words}"
        else:
            nearer = f"{name_of(key)} comes to {amount_of(figure)}, not {figure.text(figure.limit)}"
            yield f"{nearer}: {_best(plan, key, dials, looks)}"
    yield from to_measure(plan)


def _best(plan: Plan, key: str, dials: Sequence[Dial], looks: Looks) -> str:
    """Return in words what the best further change would do to a limit."""
    if key in unseen(plan, looks.seen.missed):
        nearer = aimed(plan, dials, key, looks)
        return NOTHING_NEARER if nearer is plan else _would(plan, nearer.steps[-1], nearer.trial, key)
    missed = np.where(looks.total < ILLEGAL, looks.missed(key), np.inf)
    if not len(missed) or missed.min() >= looks.seen.of(key)[0] - 1e-6:
        return NOTHING_NEARER
    step = looks.steps[int(np.argmin(missed))]
    return _would(plan, step, planned(plan.base, plan.with_step(step)).trial, key)


NOTHING_NEARER = "no further choice that was tried brings it nearer"


def _would(plan: Plan, step: Step, further: Trial, key: str) -> str:
    """Return in words what a further change would do to a limit, and to others."""
    then = amount_of(further.figures[key]) if key in further.figures else "-"
    other = [name_of(each) for each in further.failing if each not in plan.trial.failing]
    end = f"; but then fails {', '.join(other)}" if other else ""
    return f"{step.dial.name} at {file_words(step.level.shown)} would bring it to {then}{end}"
