"""The least work that makes every limit hold: a plan that passes, cut down to what it needs, and others that differ."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

from designs.counsel.dial import Dial
from designs.counsel.free import free_choices
from designs.counsel.guards import drawn
from designs.counsel.plan import Plan, Step, planned, start
from designs.counsel.rounds import in_rounds
from designs.counsel.searching import Search
from designs.counsel.trial import Trial, held_back, missed_alone
from designs.design import Design
from designs.many.parallel import in_parallel, usable_processors
from designs.verdict.row import name_of

ALTERNATIVES = 3
SEARCHES = 2  # for plans of another kind
NOT_FAR = 2  # plans of another kind that are looked at: a way that is farther off takes as long as the first one did
BACK = 3  # searches anew, each without what led the one before it nowhere
DRAWINGS = 4  # plans that are looked at whole one after another, each with more to spare than the one before
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
    base = drawn(start(design))
    shown = base.settled
    if shown.trial.passes or base.trial.why_not:
        return Mended(shown, [], shown)
    search, found = Search(base, free_choices(design, keep), told), []
    try:
        passing, spent = _sure(search), set[tuple[str, str]]()
        for _ in range(BACK):
            if passing is not None or (other := _turned_back(search, spent)) is None:
                break
            passing = _sure(other)
            if passing is not None or other.nearest.trial.shortfall < search.nearest.trial.shortfall:
                search = other
        if passing is not None:
            found = [passing]
            found += _others(base, keep, passing, told)
        nearest = passing or _otherwise(search, base, keep)
        if nearest.trial.passes and not found:
            found = [nearest]
    except KeyboardInterrupt:
        return Mended(shown, found, _whole(search.nearest).settled, True)
    return Mended(shown, sorted(found, key=_by_work), nearest)


def _otherwise(search: Search, base: Plan, keep: Sequence[str]) -> Plan:
    """Return what rounds of advice come to where a search found no plan that passes; its nearest one if that is nearer.

    base : the design as it stands, drawn.
    """
    found, nearest = in_rounds(base, keep, search.told), drawn(_whole(search.nearest)).settled
    return min(nearest, found, key=lambda each: (not each.trial.passes, each.trial.shortfall))


def _turned_back(search: Search, spent: set[tuple[str, str]]) -> Search | None:
    """Return a search without the values that broke what its nearest plan could not mend any more; None if none did.

    A limit that the design as it stands holds began to fail with one change; of that choice what breaks it goes. Where
    all of them were mended again, of the first change that broke any: it made the work of others.
    spent : choices, and what they broke, from which a search was turned back before; the new one joins them.
    """
    before, broken = search.planned(()), list[tuple[Step, Plan, list[str]]]()
    for count, step in enumerate(search.nearest.steps, start=1):
        upon = search.planned(search.nearest.steps[:count], before)
        keys = [key for key in upon.trial.failing if key not in before.trial.failing]
        # What is still missed at the end comes first.
        broken += [(step, before, sorted(keys, key=lambda key: key not in search.nearest.trial.failing))] * bool(keys)
        before = upon
    held = {*search.nearest.trial.failing} - {*search.base.trial.failing}
    for step, stood, (key, *_) in sorted(broken, key=lambda each: each[2][0] not in held):
        if (step.dial.name, key) in spent:
            continue
        spent.add((step.dial.name, key))
        search.told(f"back to before {step.dial.name}, which broke {name_of(key)}")
        fine = [level for level in step.dial.levels
                if not missed_alone(level.of(stood.trial.design), key, stood.trial)]  # fmt: skip
        others = [each for each in search.dials if each is not step.dial]
        return Search(search.base, [*others, replace(step.dial, levels=fine)] if fine else others, search.told)
    return None


def _whole(plan: Plan) -> Plan:
    """Return a plan with its whole verdict, vibration of the shafts and all."""
    return planned(plan.base, plan.steps)


def _sure(search: Search, steps: tuple[Step, ...] = ()) -> Plan | None:
    """Return a plan that passes in nearly all machines that the design may be, with its whole verdict; None without.

    Where it does not, once all is looked at, it goes on from there with as much more to spare.
    steps : where to begin; they are kept as they are.
    """
    plan = search.onward(steps)
    for _ in range(DRAWINGS):
        if not plan.trial.passes:
            return None
        plan = search.reduced(plan, steps)
        whole = _whole(plan)
        sure = drawn(whole) if whole.settled.trial.passes else whole
        if sure.settled.trial.passes:
            return sure.settled
        failing = sure.settled.trial.failing or whole.trial.failing
        search.told(f"{name_of(failing[0])} wants more to spare")
        short, spread = held_back(whole.trial, plan.trial), sure.trial.guards
        search.guard({key: max(short.get(key, 0.0), spread.get(key, 0.0)) for key in {**short, **spread}})
        plan = search.onward(plan.steps)
    return None


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
    """Return plans of another kind: each without one kind of change of the first, those that are missed least."""
    # Advice that is not worked out yet holds on to all that it would be worked out from.
    bare = replace(base.trial, rows=[replace(row, advice="") for row in base.trial.rows])
    without = {each: planned(base.trial, tuple(step for step in first.steps if step.dial.family != each), still=True)
               for each in families(first)}  # fmt: skip
    nearest = sorted(without, key=lambda each: without[each].cost)[:SEARCHES]
    wanted = [(bare, (*keep,), family, _changes(without[family])) for family in nearest]
    told("other ways: without " + ", without ".join(nearest))
    found = [first]
    for changes in filter(None, _in_processes(wanted)):
        plan = drawn(planned(base.trial, _steps_named(free_choices(base.trial.design, keep), changes))).settled
        if plan.trial.passes and all(set(families(plan)) != set(families(each)) for each in found):
            found.append(plan)
    return found[1:ALTERNATIVES]


def _in_processes(wanted: list[tuple]) -> list[Changes]:
    """Return what comes of each search, each in a process of its own where there is more than one processor."""
    return list(in_parallel(_searched, wanted, workers=min(len(wanted), usable_processors())))


def _searched(each: tuple) -> Changes:
    return _search_without(*each)


def _search_without(trial: Trial, keep: tuple[str, ...], family: str, rest: Changes) -> Changes:
    """Return the changes of a plan that passes without one kind of change, by name; none if there is no such plan.

    rest : what else the first plan changes: most limits hold with that, and the search goes on from there.
    """
    dials = [dial for dial in free_choices(trial.design, keep) if dial.family != family]
    search = Search(Plan(trial, (), trial), dials, lambda words: None, patience=1, most=NOT_FAR)
    plan = _sure(search, _steps_named(dials, rest))
    return () if plan is None else _changes(plan)


def _changes(plan: Plan) -> Changes:
    return tuple((step.dial.name, step.level.shown) for step in plan.steps)


def _steps_named(dials: Sequence[Dial], changes: Changes) -> tuple[Step, ...]:
    by_name = {(dial.name, level.shown): Step(dial, level) for dial in dials for level in dial.levels}
    return tuple(by_name[each] for each in changes)
