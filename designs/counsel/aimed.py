"""Changes for limits that a quick look does not see: the choices that are there for each, tried whole."""

from collections.abc import Collection, Sequence

from designs.counsel.dial import Dial
from designs.counsel.plan import ALIKE, NOTHING, Looks, Plan, Step, planned
from designs.counsel.trial import SAME_AS

CHOICES = 8  # choices that are tried for one limit
IN_VAIN = 2  # values of a choice, one after another, that bring nothing: then no further one will


def unseen(plan: Plan, seen: Collection[str]) -> list[str]:
    """Return the limits that fail and that a quick look is blind to.   seen : keys of what it looks at."""
    return [key for key in plan.trial.failing if SAME_AS.get(key, key) not in seen]


def aimed(plan: Plan, dials: Sequence[Dial], key: str, looks: Looks) -> Plan:
    """Return a plan with the one further change, of those meant for a limit, that is worth the most for it.

    The plan itself where none brings that limit nearer, or all of them cost more in others.
    looks : at the plan's further changes; values that do harm there are not tried.
    """
    meant = [dial for dial in dials if key in dial.aims and dial.levels]
    meant.sort(key=lambda dial: _weight(plan, Step(dial, dial.levels[0])))
    best = plan
    for dial in meant[:CHOICES]:
        if not _short(best, key) and best is not plan and best.weight <= _weight(plan, Step(dial, dial.levels[0])):
            break  # it holds with less work already
        one = _nearest_enough(plan, dial, key, looks)
        if _short(one, key) < _short(plan, key) and one.trial.shortfall < plan.trial.shortfall:
            best = one if best is plan else min(best, one, key=lambda each: (_short(each, key) > 0, each.cost))
    return best


def _nearest_enough(plan: Plan, dial: Dial, key: str, looks: Looks) -> Plan:
    """Return a plan with a value of a choice with which a limit holds, in growing strides; else with the best tried."""
    harmful = {(step.dial.name, step.level.shown) for step, total in zip(looks.steps, looks.total, strict=True)
               if total > looks.before + ALIKE}  # fmt: skip
    levels = [each for each in dial.levels if (dial.name, each.shown) not in harmful]
    best, stride, place, in_vain = plan, 1, 0, 0
    while place < len(levels) and in_vain < IN_VAIN:
        one = planned(plan.base, plan.with_step(Step(dial, levels[place])), plan, plan.trial.still)
        in_vain = 0 if _short(one, key) < _short(best, key) - NOTHING else in_vain + 1
        best = min(best, one, key=lambda each: (_short(each, key) > 0, each.cost))
        if not _short(one, key):
            break
        last = place == len(levels) - 1
        place, stride = (len(levels) if last else min(place + stride, len(levels) - 1)), 2 * stride
    return best


def _weight(plan: Plan, step: Step) -> float:
    return Plan(plan.base, plan.with_step(step), plan.trial).weight


def _short(plan: Plan, key: str) -> float:
    if plan.trial.why_not:
        return float("inf")
    return plan.trial.short(key) if key in plan.trial.failing else 0.0
