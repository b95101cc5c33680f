"""The least work that makes every limit hold: a beam of plans, cut down to what is needed, and others that differ."""

import signal
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from multiprocessing import Pool

from designs.counsel.aimed import opened
from designs.counsel.dial import Dial
from designs.counsel.free import free_choices
from designs.counsel.guards import guards_of
from designs.counsel.plan import Plan, Step, look, next_plans, planned, start
from designs.counsel.trial import Trial
from designs.design import Design
from designs.doubt import under_doubt
from designs.evaluate import evaluate_finely
from designs.options.batch import HELPERS, usable_processors
from designs.verdict.row import name_of

BEAM, NARROW = 3, 2  # plans that are followed at a time; for plans of another kind
DEEPEST = 9  # changes; more is another engine
ALTERNATIVES = 3
SEARCHES = 2  # for plans of another kind
STALLED = 2  # changes in a row that hardly bring it nearer: no further one will
HARDLY = 0.05  # of the shortfall
DRAWINGS = 3  # plans that are drawn one after another, each with more to spare than the one before
Changes = tuple[tuple[str, str], ...]


@dataclass(frozen=True, eq=False)
class Mended:
    """What was found.

    base : the design as it stands.   plans : those that pass, least work first, each of another kind.
    nearest : the plan that comes nearest, where none passes.   interrupted : whether it was stopped before the end.
    """

    base: Plan
    plans: list[Plan]
    nearest: Plan
    interrupted: bool = False


def mend(design: Design, keep: Sequence[str] = (), told: Callable[[str], None] = lambda words: None) -> Mended:
    """Return the plans that make every limit hold; what is found so far if Ctrl-C stops it.

    keep : key paths that may not change.   told : called with what is being done, for people.
    """
    base, dials = drawn(start(design)), free_choices(design, keep)
    shown = base.settled
    if shown.trial.passes or base.trial.why_not:
        return Mended(shown, [], shown)
    so_far, found = [base], []
    try:
        nearest = _sure(_search(base, dials, told, so_far), dials, told, so_far)
        if nearest.trial.passes:
            found = [nearest]
            found += _others(base, keep, nearest, told)
    except KeyboardInterrupt:
        return Mended(shown, found, so_far[-1], True)
    return Mended(shown, sorted(found, key=_by_work), nearest)


def drawn(plan: Plan) -> Plan:
    """Return a plan with its verdict under all that is not known, and with guards of what that spreads."""
    if plan.trial.why_not:
        return plan
    rows = under_doubt(evaluate_finely(plan.trial.design), plan.trial.rows).rows
    guards = {**plan.trial.guards}
    for key, guard in guards_of(rows).items():
        guards[key] = max(guard, (1 + HARDLY) * guards.get(key, 0.0))
    return Plan(replace(plan.base, guards=guards), plan.steps, replace(plan.trial, rows=rows, guards=guards))


def _sure(plan: Plan, dials: Sequence[Dial], told: Callable[[str], None], so_far: list[Plan]) -> Plan:
    """Return a plan that passes in nearly all machines that the design may be, going on where some of them fail."""
    for _ in range(DRAWINGS):
        if not plan.trial.passes:
            return plan
        plan = drawn(reduced(plan, dials, told))
        if (settled := plan.settled).trial.passes:
            return settled
        so_far.append(settled)
        told(f"{name_of(settled.trial.failing[0])} depends on what is not known: looking for more to spare")
        plan = _search(plan, dials, told, so_far, NARROW)
    return drawn(plan).settled if plan.trial.passes else plan


def _by_work(plan: Plan) -> tuple:
    return (*plan.work.size, len(plan.steps))


def families(plan: Plan) -> tuple[str, ...]:
    """Return the kinds of change in a plan, those with the most work first."""
    size: dict[str, tuple[int, int]] = {}
    for step in plan.steps:
        made, bought = step.level.work.size
        before = size.get(step.dial.family, (0, 0))
        size[step.dial.family] = (before[0] + made, before[1] + bought)
    return tuple(sorted(size, key=lambda each: size[each], reverse=True))


def _others(base: Plan, keep: Sequence[str], first: Plan, told: Callable[[str], None]) -> list[Plan]:
    """Return plans of another kind: each without one kind of change of the first, those with the most work foremost."""
    # Advice that is not worked out yet holds on to all that it would be worked out from.
    bare = replace(base.trial, rows=[replace(row, advice="") for row in base.trial.rows])
    wanted = [(bare, (*keep,), family) for family in families(first)[:SEARCHES]]
    told("other ways: without " + ", without ".join(family for _, _, family in wanted))
    found = [first]
    for changes in _in_processes(wanted):
        plan = drawn(planned(base.trial, _steps_named(free_choices(base.trial.design, keep), changes))).settled
        if plan.trial.passes and all(set(families(plan)) != set(families(each)) for each in found):
            found.append(plan)
    return found[1:ALTERNATIVES]


def _in_processes(wanted: list[tuple]) -> list[Changes]:
    """Return what comes of each search, each in a process of its own where there is more than one processor."""
    if (helpers := HELPERS.get()) is not None:
        return list(helpers.executor.map(_search_without, *zip(*wanted, strict=True)))
    if usable_processors() == 1 or len(wanted) < 2:
        return [_search_without(*each) for each in wanted]
    # Ctrl-C is for the process that hands out the work, which then ends the others at once.
    with Pool(min(len(wanted), usable_processors()), initializer=_deaf) as pool:
        return pool.starmap(_search_without, wanted)


def _deaf() -> None:
    signal.signal(signal.SIGINT, signal.SIG_IGN)


def _search_without(trial: Trial, keep: tuple[str, ...], family: str) -> Changes:
    """Return the changes of a plan that passes without one kind of change, by name; none if there is no such plan."""
    base, silent = Plan(trial, (), trial), lambda words: None
    dials = [dial for dial in free_choices(trial.design, keep) if dial.family != family]
    plan = _sure(_search(base, dials, silent, [base], NARROW), dials, silent, [base])
    return tuple((step.dial.name, step.level.shown) for step in plan.steps) if plan.trial.passes else ()


def _steps_named(dials: Sequence[Dial], changes: Changes) -> tuple[Step, ...]:
    by_name = {(dial.name, level.shown): Step(dial, level) for dial in dials for level in dial.levels}
    return tuple(by_name[each] for each in changes)


def _search(
    base: Plan, dials: Sequence[Dial], told: Callable[[str], None], so_far: list[Plan], width: int = BEAM
) -> Plan:
    """Return the first plan that passes, the least costly of those as long; else the one that comes nearest.

    so_far : takes each plan that comes nearer than all before.   width : how many plans are followed.
    """
    first = opened(base, dials, look(base, []).seen.missed)
    if first.trial.passes:
        so_far.append(first)
        return first
    beam = [first, base] if first.names != base.names else [base]
    seen, stalled = {each.names for each in beam}, 0
    so_far.append(min(so_far[-1], first, key=lambda each: each.trial.shortfall))
    for depth in range(DEEPEST):
        nearest = so_far[-1]
        told(f"{depth + 1} change{'s' * (depth > 0)}: the nearest so far fails {len(nearest.trial.failing)} limits")
        fresh: dict[frozenset, Plan] = {}
        for plan in beam:
            for each in next_plans(plan, dials):
                if each.names not in seen:
                    fresh.setdefault(each.names, each)
        seen |= set(fresh)
        ranked = sorted(fresh.values(), key=lambda each: each.cost)
        if passing := [each for each in ranked if each.trial.passes]:
            so_far.append(passing[0])
            return passing[0]
        if not ranked:
            break
        beam = _unlike(ranked)[:width]
        so_far.append(min([nearest, *ranked], key=lambda each: each.trial.shortfall))
        stalled = 0 if so_far[-1].trial.shortfall < (1 - HARDLY) * nearest.trial.shortfall else stalled + 1
        if stalled >= STALLED:
            break
    return so_far[-1]


def _unlike(ranked: list[Plan]) -> list[Plan]:
    """Return the first plans that change different things, not the same things to other values."""
    kinds: dict[frozenset[str], Plan] = {}
    for plan in ranked:
        kinds.setdefault(frozenset(step.dial.name for step in plan.steps), plan)
    return list(kinds.values())


def reduced(plan: Plan, dials: Sequence[Dial], told: Callable[[str], None]) -> Plan:
    """Return a plan that passes without the changes that it does not need, the others as small as will do."""
    told("leaving out what is not needed")
    for step in sorted(plan.steps, key=lambda each: each.level.work.size, reverse=True):
        without = planned(plan.base, tuple(each for each in plan.steps if each is not step))
        plan = without if without.trial.passes else plan
    for step in plan.steps:
        plan = _smaller(plan, step)
    return plan


def _smaller(plan: Plan, step: Step) -> Plan:
    """Return a plan with the nearest value of one choice, or the least work, with which it still passes."""
    looks = look(plan, [step.dial], frozenset(plan.base.failing))
    place = step.dial.levels.index(step.level)
    better = [each for n, each in enumerate(looks.steps) if looks.total[n] == 0 and _less(each, step, place)]
    for each in better[:3]:
        smaller = planned(plan.base, tuple(each if old is step else old for old in plan.steps))
        if smaller.trial.passes:
            return smaller
    return plan


def _less(each: Step, step: Step, place: int) -> bool:
    sizes = each.level.work.size, step.level.work.size
    return sizes[0] < sizes[1] or (sizes[0] == sizes[1] and step.dial.levels.index(each.level) < place)
