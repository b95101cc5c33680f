"""What stands in the way of a limit that no change makes hold."""

import numpy as np

from designs.counsel.advice import amount_of
from designs.counsel.aimed import aimed, unseen
from designs.counsel.free import free_choices
from designs.counsel.plan import Plan, Step, look, planned
from designs.counsel.trial import ILLEGAL, Trial
from designs.verdict.row import name_of


def in_the_way(plan: Plan, key: str) -> str:
    """Return in words how near a limit comes, and what the best further change would do."""
    figure = plan.trial.figures[key]
    if hanging := next((row for row in plan.trial.rows if row.key == key and row.state == "depends"), None):
        return f"{hanging.what} {hanging.words}"
    named = f"{name_of(key)} comes to {amount_of(figure)}, not {figure.text(figure.limit)}"
    dials = free_choices(plan.base.design)
    looks = look(plan, dials)
    if key in unseen(plan, looks.seen.missed):
        nearer = aimed(plan, dials, key)
        words = NOTHING_NEARER if nearer is plan else _would(plan, nearer.steps[-1], nearer.trial, key)
        return f"{named}: {words}"
    missed = np.where(looks.total < ILLEGAL, looks.missed(key), np.inf)
    if not len(missed) or missed.min() >= looks.seen.of(key)[0] - 1e-6:
        return f"{named}: {NOTHING_NEARER}"
    step = looks.steps[int(np.argmin(missed))]
    further = planned(plan.base, plan.with_step(step)).trial
    return f"{named}: {_would(plan, step, further, key)}"


NOTHING_NEARER = "no further choice that was tried brings it nearer"


def _would(plan: Plan, step: Step, further: Trial, key: str) -> str:
    """Return in words what a further change would do to a limit, and to others."""
    then = amount_of(further.figures[key]) if key in further.figures else "-"
    other = [name_of(each) for each in further.failing if each not in plan.trial.failing]
    end = f"; but then fails {', '.join(other)}" if other else ""
    return f"{step.dial.name} at {step.level.shown} would bring it to {then}{end}"
