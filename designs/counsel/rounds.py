"""Advice followed round after round, as a person does who makes the first changes and checks again.

Each round begins from the design as it then stands, with the choices that it then has: where a search that makes all of
its changes to the first design finds no end, that often does.
"""

from collections.abc import Callable, Sequence
from dataclasses import replace

from designs.counsel.advice import Counsel
from designs.counsel.free.case import PLATE
from designs.counsel.guards import as_written, drawn
from designs.counsel.plan import Plan, Step, changed_entries, planned

ROUNDS = 6  # more is another engine


def in_rounds(base: Plan, keep: Sequence[str], told: Callable[[str], None]) -> Plan:
    """Return the first plan that passes with all that is not known, as far as rounds of advice come; else the nearest.

    base : the design as it stands, drawn.   keep : key paths that may not change.   told : called with what is done.
    """
    plan = nearest = base.settled
    for count in range(1, ROUNDS + 1):
        told(f"round {count} of advice: {len(plan.trial.failing)} limits fail")
        steps = _advice(plan, keep)
        if not steps:
            break
        plan = drawn(_whole(base, _once_each(base, (*plan.steps, *steps)))).settled
        nearest = min(nearest, plan, key=lambda each: each.trial.shortfall)
        if plan.trial.passes:
            told("leaving out what is not needed")
            return _needed(base, plan)
    return nearest


def _advice(plan: Plan, keep: Sequence[str]) -> tuple[Step, ...]:
    """Return the first changes to make to the design of a plan as if it had just been read.

    No plate goes under the case where it has got one.
    """
    plates = {path for step in plan.steps if step.dial.name == PLATE for path in step.dial.paths}
    counsel = Counsel(as_written(plan), plan.trial.rows, plan.trial.orders, (*keep, *plates))
    counsel.heed(plan.trial.rows)
    return counsel.best[-1].steps if counsel.best else ()


def _once_each(base: Plan, steps: tuple[Step, ...]) -> tuple[Step, ...]:
    """Return changes without those of which a later round set every entry anew: nobody makes a part twice."""
    wanted = changed_entries(base.trial.design, steps)
    for step in steps:
        others = tuple(each for each in steps if each is not step)
        if changed_entries(base.trial.design, others) == wanted:
            steps = others
    return steps


def _needed(base: Plan, plan: Plan) -> Plan:
    """Return a plan that passes without the changes that it does not need, those with the most work first."""
    for step in sorted(plan.steps, key=lambda each: each.level.work.size, reverse=True):
        without = _whole(base, tuple(each for each in plan.steps if each is not step))
        if without.trial.passes and (sure := drawn(without).settled).trial.passes:
            plan = sure
    return plan


def _whole(base: Plan, steps: tuple[Step, ...]) -> Plan:
    return planned(replace(base.base, guards={}), steps)
