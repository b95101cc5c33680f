"""Changes for limits that a quick look does not see: the choices that are there for each, tried whole."""

from collections.abc import Collection, Sequence

from designs.counsel.dial import Dial
from designs.counsel.plan import Plan, Step, planned
from designs.counsel.trial import SAME_AS

CHOICES = 5  # choices that are tried for one limit
ROUNDS = 3  # changes that are made for one limit, such as those of several joints


def unseen(plan: Plan, seen: Collection[str]) -> list[str]:
    """Return the limits that fail and that a quick look is blind to.   seen : keys of what it looks at."""
    return [key for key in plan.trial.failing if SAME_AS.get(key, key) not in seen]


def aimed(plan: Plan, dials: Sequence[Dial], key: str) -> Plan:
    """Return a plan with the one further change, of those meant for a limit, that is worth the most for it.

    The plan itself where none brings that limit nearer, or all of them cost more in others.
    """
    found = [_nearest_enough(plan, dial, key) for dial in [each for each in dials if key in each.aims][:CHOICES]]
    better = [each for each in found
              if _short(each, key) < _short(plan, key) and each.trial.shortfall < plan.trial.shortfall]  # fmt: skip
    return min(better, key=lambda each: (_short(each, key) > 0, each.cost), default=plan)


def opened(base: Plan, dials: Sequence[Dial], seen: Collection[str]) -> Plan:
    """Return a plan with a change for every limit that only the whole verdict sees; it may not need them all."""
    plan = base
    for key in unseen(base, seen):
        for _ in range(ROUNDS):
            better = aimed(plan, dials, key) if key in plan.trial.failing else plan
            if better is plan:
                break
            plan = better
    return plan


def _nearest_enough(plan: Plan, dial: Dial, key: str) -> Plan:
    """Return a plan with the nearest value of a choice with which a limit holds, by halving; else with the best tried.

    Values farther off are taken to do more, as a thicker pin or a longer one does.
    """
    tried = {0: plan}
    low, high = 0, len(dial.levels)
    place = high
    while low < high:
        tried[place] = planned(plan.base, plan.with_step(Step(dial, dial.levels[place - 1])), plan)
        one = tried[place]
        if _short(one, key) > 0 and place == len(dial.levels) and not one.trial.why_not:
            break
        low, high = (low, place) if _short(one, key) == 0 or one.trial.why_not else (place, high)
        place = (low + high) // 2
        if place == low:
            break
    nearest_first = [tried[each] for each in sorted(tried)]
    return min(nearest_first, key=lambda each: (_short(each, key) > 0, each.cost))


def _short(plan: Plan, key: str) -> float:
    if plan.trial.why_not:
        return float("inf")
    return plan.trial.short(key) if key in plan.trial.failing else 0.0
