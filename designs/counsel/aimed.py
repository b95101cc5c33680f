"""Changes for limits that a quick look does not see: the choices that are there for each, tried whole."""

from collections import Counter
from collections.abc import Collection, Sequence
from dataclasses import replace
from functools import reduce

from designs.counsel.dial import Dial, Level
from designs.counsel.plan import ALIKE, NOTHING, Looks, Plan, Step, made, planned, planned_at_once
from designs.counsel.trial import SAME_AS, missed_alone
from designs.design import Design
from designs.many.beside import shared
from designs.verdict import along, clearances, joined

TRIES = 3  # values that bring the limit nearest and get a verdict on all limits
TRIES_OF_ALL = 6  # the same, where the best of all is wanted: what parts are in each other's way has many ways out
WORTH = 0.02  # of the shortfall: less is not worth making a part anew
AROUND = 1.0  # of shortfall: what costs more than one limit more that fails by a hair leads nowhere
FARTHER = 3.0  # the same, where nothing else is nearer
VALUES = 6  # of several choices that are made together, the same of each
IN_VAIN = 2  # values of a choice, one after another, that bring nothing: then no further one will


def unseen(plan: Plan, seen: Collection[str]) -> list[str]:
    """Return the limits that fail and that a quick look is blind to.   seen : keys of what it looks at."""
    return [key for key in plan.trial.failing if SAME_AS.get(key, key) not in seen]


def aimed(plan: Plan, dials: Sequence[Dial], key: str, looks: Looks | None) -> Plan:
    """Return a plan with the one further change, of those meant for a limit, that is worth the most for it.

    The plan itself where none brings that limit nearer, or all of them cost more in others. Where one lets it hold and
    costs others little more than it wins, that one: with others that it breaks something may then be done.
    looks : at the plan's further changes; values that do harm there are not tried. None for a limit without which the
    machine cannot turn: then what it costs of limits with which it turns can be mended afterwards.
    """
    better = _worth_most(plan, dials, key, looks, ALIKE)
    if better is plan and looks is not None and len(unseen(plan, looks.seen.missed)) == len(plan.trial.failing):
        # Nothing else fails: what breaks others is looked at, too.
        better = _worth_most(plan, dials, key, looks, _short(plan, key) + AROUND)
    return _alike_together(plan, dials, key, looks) if better is plan else better


def _alike_together(plan: Plan, dials: Sequence[Dial], key: str, looks: Looks | None) -> Plan:
    """Return a plan with the same change of several like parts, where that of one brings a limit no nearer.

    A limit is as far off as the worst of its parts: of two that are as bad, to mend one is not seen.
    """
    around = list[Plan]()
    for steps in _of_like_parts(plan, dials, key)[:TRIES]:
        one = planned(plan.base, steps, plan, plan.trial.still)
        if _is_nearer(one, plan, key, looks):
            return one
        if looks and _way_round(one, plan, key, FARTHER):
            around.append(one)
    return min(around, key=lambda each: each.cost, default=plan)


def _of_like_parts(plan: Plan, dials: Sequence[Dial], key: str) -> list[tuple[Step, ...]]:
    """Return the plan's changes with the same change of several like parts, what brings a limit nearest first."""
    groups: dict[tuple[str, str, int], list[Dial]] = {}
    ways = Counter[str]()  # to change one part: each is another change
    for dial in (each for each in dials if key in each.aims and each.levels):
        path = "".join(dial.paths[:1])
        groups.setdefault((dial.family, path.rpartition(".")[2], ways[path]), []).append(dial)
        ways[path] += 1
    found, now = list[tuple[float, float, tuple[Step, ...]]](), missed_with(plan, None, key)
    for group in (each for each in groups.values() if len(each) > 1):
        for place in range(min(VALUES, max(len(dial.levels) for dial in group))):
            steps = [Step(dial, dial.levels[min(place, len(dial.levels) - 1)]) for dial in group]
            together = reduce(lambda several, step: replace(several, steps=several.with_step(step)), steps, plan)
            missed = missed_alone(made(plan.base, together.steps), key, plan.trial)
            if missed < now - NOTHING:
                found.append((missed, together.weight, together.steps))
            if not missed:
                break
    return [steps for _, _, steps in sorted(found, key=lambda each: each[:2])]


def _is_nearer(one: Plan, plan: Plan, key: str, looks: Looks | None) -> bool:
    """Whether a plan brings a limit nearer, and all of them together, or what keeps a machine from turning."""
    total = one.trial.shortfall < plan.trial.shortfall if looks else clashing(one) < clashing(plan) - WORTH
    return _short(one, key) < _short(plan, key) and total


def _way_round(one: Plan, plan: Plan, key: str, most: float) -> bool:
    """Whether a plan lets a limit hold and costs others no more than so much."""
    return detour(one, plan, most) and _short(one, key) == 0


def _worth_most(plan: Plan, dials: Sequence[Dial], key: str, looks: Looks | None, most: float) -> Plan:
    """Return the same among the values that cost no more in others than so much, as a look sees it."""
    waiting = [dial for dial in dials if key in dial.aims and dial.levels]
    waiting.sort(key=lambda dial: plan.weight_with(Step(dial, dial.levels[0])))
    better, around = list[Plan](), list[Plan]()
    while waiting:  # what is left, where what holds by itself breaks others
        found, waiting = _enough(plan, waiting, key, looks, most)
        steps = [plan.with_step(step) for _, _, step in found[: TRIES if looks else TRIES_OF_ALL]]
        one_by_one = (planned(plan.base, each, plan, plan.trial.still) for each in steps)
        for one in one_by_one if looks else planned_at_once(plan.base, steps, plan, plan.trial.still):
            if _is_nearer(one, plan, key, looks):
                if looks:
                    return one
                better.append(one)
            elif looks and _way_round(one, plan, key, AROUND):
                around.append(one)
    return min(better, key=lambda each: each.cost, default=min(around, key=lambda each: each.cost, default=plan))


def _enough(
    plan: Plan, waiting: list[Dial], key: str, looks: Looks | None, most: float
) -> tuple[list[tuple[float, float, Step]], list[Dial]]:
    """Return what is nearest enough of choices, up to where one holds with no more work than the next needs; the rest.

    Without looks of all of them.
    """
    found: list[tuple[float, float, Step]] = []
    while waiting:
        if (
            looks
            and found
            and not found[0][0]
            and found[0][1] <= plan.weight_with(Step(waiting[0], waiting[0].levels[0]))
        ):
            break
        now, waiting = (waiting[:2], waiting[2:]) if looks else (waiting, [])
        found = sorted([*found, *_of_each(plan, now, key, looks, most)], key=lambda each: each[:2])
    return found, waiting


def _of_each(
    plan: Plan, dials: Sequence[Dial], key: str, looks: Looks | None, most: float
) -> list[tuple[float, float, Step]]:
    """Return what is nearest enough of each choice: in two processes where there are two."""

    def numbered(dial: Dial) -> tuple[list[tuple[float, float, int]], dict]:
        own = _nearest_enough(plan, dial, key, looks, most)
        return [(missed, weight, dial.levels.index(step.level)) for missed, weight, step in own], plan.trial.alone

    found: list[tuple[float, float, Step]] = []
    for dial, (own, alone) in zip(dials, shared(numbered, dials), strict=True):
        plan.trial.alone.update(alone)
        found += ((missed, weight, Step(dial, dial.levels[place])) for missed, weight, place in own)
    return found


STANDS = (*clearances.EVERY_KEY, *along.KEYS, *joined.HELD, "on_shaft", "rods_on_pins",
          "stem_holes", "running_fit", "displacer_to_piston", "displacer_to_hot_end", "piston_in_cylinder")  # fmt: skip
"""Limits without which a machine cannot be put together, or does not turn."""


def clashing(plan: Plan) -> float:
    """Return by how much a plan misses the limits without which the machine does not turn."""
    return sum(plan.trial.short(key) for key in plan.trial.failing if key in STANDS) + plan.trial.shortfall * bool(
        plan.trial.why_not
    )


def hides(plan: Plan, key: str) -> bool:
    """Whether parts run into each other by a limit: what is told of it is one clash, and others may stand behind it."""
    value = plan.trial.figures[key].value
    return key in clearances.EVERY_KEY and value is not None and float(value) <= 0


def detour(one: Plan, plan: Plan, most: float = AROUND) -> bool:
    """Whether a plan lets a limit hold that failed, and breaks others, but none without which it does not turn.

    most : of shortfall that it may cost in all.
    """
    fixed = set(plan.trial.failing) - set(one.trial.failing)
    costs = one.trial.shortfall - plan.trial.shortfall
    return bool(fixed) and 0 <= costs < most and clashing(one) <= clashing(plan)


def _nearest_enough(
    plan: Plan, dial: Dial, key: str, looks: Looks | None, most: float
) -> list[tuple[float, float, Step]]:
    """Return the value of a choice with which a limit holds, tried in growing strides, else the best one; or none.

    With it by how much the limit is then missed, and the work.
    """
    seen = () if looks is None else zip(looks.steps, looks.total, strict=True)
    harmful = {(step.dial.name, step.level.shown) for step, total in seen if looks and total > looks.before + most}
    levels = [each for each in _onward(plan, dial)
              if (dial.name, each.shown) not in harmful and each.edits(plan.trial.design)]  # fmt: skip
    now = best = missed_with(plan, None, key)
    found: list[tuple[float, float, Step]] = []
    place, in_vain, tried_at = 0, 0, list[int]()
    patience = IN_VAIN if looks else len(levels)  # behind parts that run into each other others may
    while place < len(levels) and in_vain < patience and best:
        step = Step(dial, levels[place])
        missed = missed_with(plan, step, key)
        in_vain = 0 if missed < best - NOTHING else in_vain + 1
        if missed < min(now, best) - NOTHING:
            best, found = missed, [(missed, plan.weight_with(step), step)]
        if not best:
            break
        tried_at.append(place)
        place = _next_place(tried_at, len(levels))
    passed_over = range(0)
    if found and not best:
        passed_over = range(tried_at[-2] if len(tried_at) > 1 else 0, place)
    elif not looks and best and not (found and found[0][2].level is levels[-1]):
        passed_over = range(len(levels))  # farther on it is worse again: between may be room, as between two walls
    for nearer in sorted({*passed_over} - {*tried_at}):
        step = Step(dial, levels[nearer])
        if not missed_with(plan, step, key):
            return [(0.0, plan.weight_with(step), step)]
    return found


def _onward(plan: Plan, dial: Dial) -> list[Level]:
    """Return the values of a choice in order; where one is chosen those beyond it, then those before it."""
    chosen = next((dial.levels.index(each.level) for each in plan.steps if each.dial is dial), None)
    return dial.levels if chosen is None else [*dial.levels[chosen + 1 :], *dial.levels[:chosen]]


def _next_place(tried_at: Sequence[int], count: int) -> int:
    """Return where to try next: each stride is as long as the two before it, and the last place is tried in any case.

    So even and odd places are: the values of some choices lie to this side and to that by turns.
    """
    now, last = tried_at[-1], count - 1
    before = tried_at[-3] if len(tried_at) > 2 else now - 1
    return min(2 * now - before, last) if now < last else count


def missed_with(plan: Plan, step: Step | None, key: str) -> float:
    """Return by how much a limit is missed after a further change, or without one; looked at once."""
    name = ("", "", key) if step is None else (step.dial.name, step.level.shown, key)
    if name not in plan.trial.alone:
        plan.trial.alone[name] = missed_alone(_changed(plan, step), key, plan.trial)
    return plan.trial.alone[name]


def _changed(plan: Plan, step: Step | None) -> Design:
    if step is None:
        return plan.trial.design
    chosen = any(each.dial is step.dial for each in plan.steps)
    return made(plan.base, plan.with_step(step)) if chosen else step.level.of(plan.trial.design)


def _short(plan: Plan, key: str) -> float:
    if plan.trial.why_not:
        return float("inf")
    return plan.trial.short(key) if key in plan.trial.failing else 0.0
