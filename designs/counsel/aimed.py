"""Changes for limits that a quick look does not see: the choices that are there for each, tried whole."""

from collections.abc import Collection, Sequence

from designs.counsel.dial import Dial
from designs.counsel.plan import ALIKE, NOTHING, Looks, Plan, Step, made, planned
from designs.counsel.trial import SAME_AS, missed_alone

CHOICES = 8  # choices that are tried for one limit
TRIES = 3  # values that bring the limit nearest and get a verdict on all limits
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
    found: list[tuple[float, float, Step]] = []
    for dial in meant[:CHOICES]:
        if found and not found[0][0] and found[0][1] <= _weight(plan, Step(dial, dial.levels[0])):
            break  # it holds with less work already
        found = sorted([*found, *_nearest_enough(plan, dial, key, looks)], key=lambda each: each[:2])
    for _, _, step in found[:TRIES]:
        one = planned(plan.base, plan.with_step(step), plan, plan.trial.still)
        if _short(one, key) < _short(plan, key) and one.trial.shortfall < plan.trial.shortfall:
            return one
    return plan


def _nearest_enough(plan: Plan, dial: Dial, key: str, looks: Looks) -> list[tuple[float, float, Step]]:
    """Return the value of a choice with which a limit holds, tried in growing strides, else the best one; or none.

    With it by how much the limit is then missed, and the work.
    """
    harmful = {(step.dial.name, step.level.shown) for step, total in zip(looks.steps, looks.total, strict=True)
               if total > looks.before + ALIKE}  # fmt: skip
    levels = [each for each in dial.levels if (dial.name, each.shown) not in harmful]
    now = best = missed_alone(plan.trial.design, key, plan.trial)
    found: list[tuple[float, float, Step]] = []
    stride, place, in_vain = 1, 0, 0
    while place < len(levels) and in_vain < IN_VAIN and best:
        step = Step(dial, levels[place])
        chosen = any(each.dial is dial for each in plan.steps)
        design = made(plan.base, plan.with_step(step)) if chosen else step.level.of(plan.trial.design)
        missed = missed_alone(design, key, plan.trial)
        in_vain = 0 if missed < best - NOTHING else in_vain + 1
        if missed < min(now, best) - NOTHING:
            best, found = missed, [(missed, _weight(plan, step), step)]
        last = place == len(levels) - 1
        place, stride = (len(levels) if last else min(place + stride, len(levels) - 1)), 2 * stride
    return found


def _weight(plan: Plan, step: Step) -> float:
    return Plan(plan.base, plan.with_step(step), plan.trial).weight


def _short(plan: Plan, key: str) -> float:
    if plan.trial.why_not:
        return float("inf")
    return plan.trial.short(key) if key in plan.trial.failing else 0.0
