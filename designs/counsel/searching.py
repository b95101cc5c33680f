"""The search for changes that make every limit hold: what is nearest to it goes on first."""

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import replace
from functools import partial

import numpy as np

from designs.counsel.aimed import FARTHER, STANDS, aimed, clashing, detour, hides, missed_with, unseen
from designs.counsel.dial import Dial
from designs.counsel.guards import settled
from designs.counsel.plan import (
    Looks,
    Plan,
    Step,
    best_places,
    in_lines,
    look,
    made,
    names_of,
    planned,
    planned_at_once,
)
from designs.counsel.trial import CRITICAL, Trial, looked_also, quick

LOOKS = 5  # choices of a look that are tried
MOST = 16  # plans of which every further change is looked at
DEEPEST = 14  # changes; more is another engine
VALUES = 3  # of one choice: others are tried where the best one does unseen harm
VALUES_OF_FEW = 6  # where few limits are left
AROUND = 2  # changes that break others from which a search goes on, where nothing else is nearer
ROUNDS = 3  # changes that are made for one limit, such as those of several joints
STALLED = 3  # plans in a row that bring nothing nearer: no further one will
HARDLY = 0.02  # of the shortfall
LIGHT = 0.25  # of its weight that work counts in a change beside another one: a person then makes each part but once
FREE = 4  # changes that need no further piece, beside the first ones to make
TRIES = 2  # of them at a time
LEFT, MORE = 2, 2  # limits that are left, and changes more with which all may hold
WORTH = 0.05  # of shortfall: what wins less is not worth a word where pieces are made anyway
SMALLER = 3  # smaller values of a choice that are tried
HAIR = 0.01  # of shortfall: what wins less is no change to make

Told = Callable[[str], None]


class Search:
    """A search from one design; what was tried once is kept.

    base : the design as it stands.   dials : its free choices.   told : called with what is being done, for people.
    patience : plans in a row that bring nothing nearer, after which it gives up.   most : plans that it goes on from.
    nearest : the plan that comes nearest so far, without vibration of the shafts.
    """

    def __init__(self, base: Plan, dials: Sequence[Dial], told: Told, patience: int = STALLED, most: int = MOST):
        self.base, self.dials, self.told, self.patience, self.most = base, dials, told, patience, most
        self.nearest = base
        self._plans: dict[frozenset, Plan] = {}
        self.looks: dict[frozenset, Looks] = {}  # that were made
        self.guards: dict[frozenset, Mapping[str, float]] = {}  # of plans that were settled
        self.stuck: list[str] = []  # limits without which it does not turn, and that no single change brought nearer
        self._seen: set[str] = set()  # limits that a quick look sees

    def planned(self, steps: tuple[Step, ...], upon: Plan | None = None) -> Plan:
        """Return changes to the design without vibration, tried once.   upon : the plan without the last of them."""
        names = names_of(steps)
        if names not in self._plans:
            self._plans[names] = planned(self.base.trial, steps, upon, still=True)
        found = self._plans[names]
        guards = (upon or self.base).trial.guards
        if found.trial.guards is not guards:
            return Plan(self.base.trial, steps, replace(found.trial, guards=guards))
        return found

    def _ahead(self, upon: Plan, wanted: Sequence[tuple[Step, ...]]) -> None:
        """Try changes that are asked for in a moment, in two processes where there are two."""
        new = [steps for steps in wanted if names_of(steps) not in self._plans]
        self._plans |= {each.names: each for each in planned_at_once(self.base.trial, new, upon, still=True)}

    def know(self, steps: tuple[Step, ...], trial: Trial, upon: Plan | None = None) -> None:
        """Take over what another process found of changes.   upon : the plan without the last of them."""
        self._plans[names_of(steps)] = planned(self.base.trial, steps, upon, still=True, known=trial)

    def guard(self, guards: dict[str, float]) -> None:
        """Ask limits to hold with more to spare from now on."""
        trial = replace(self.base.trial, guards=guards)
        self.base = Plan(trial, (), trial)

    def first(self, count: int, upon: tuple[Step, ...] = ()) -> list[tuple[Step, ...]]:
        """Return the first changes to make, at most so many, one upon the other: what does not turn comes first.

        With each goes what touches no other part. Where few limits are left, a few changes more may end it.
        upon : those to go on from, which count with the others.
        """
        deepest = len(upon) + count - len(in_lines(upon))
        plan = self.filled(self._first(self.turning(self.planned(upon), deepest), count))
        if 0 < len(plan.trial.failing) <= LEFT and plan.steps:
            whole = self._first(plan, count + MORE)
            plan = self.reduced(whole) if whole.trial.passes else plan
        hinder = {key for key in self.base.trial.failing if key in STANDS}
        # A value that was bettered later stands where the better one was found: what does not turn is told first.
        return sorted(in_lines(plan.steps), key=lambda line: all(hinder.isdisjoint(step.dial.aims) for step in line))

    def _first(self, plan: Plan, count: int) -> Plan:
        while (done := len(in_lines(plan.steps))) < count and not plan.trial.passes:
            deepest = len(plan.steps) + count - done
            fresh = self.further(plan, deepest)
            closer = [each for each in fresh if self._brings(each, plan)]
            if not closer and done + 1 < count:
                closer = self._around(plan, fresh, deepest) or self._cleared(plan, fresh)
            if not closer:
                break
            nearest = self._settled(min(closer, key=lambda each: each.cost))
            plan = self.turning(nearest, deepest)
        lines = in_lines(plan.steps)
        return plan if len(lines) <= count else self.planned(sum(lines[:count], ()))

    def filled(self, plan: Plan) -> Plan:
        """Return a plan with all that brings it nearer and touches no part but those that it makes and buys anyway."""
        for _ in range(FREE):
            looks = look(plan, self.dials, only=partial(_beside, plan))
            more = [plan.weight_with(step) - plan.weight for step in looks.steps]
            cost = looks.total + LIGHT * np.array(more)
            good = [looks.steps[n] for n in np.argsort(cost, kind="stable") if cost[n] < looks.before - WORTH][:TRIES]
            tried_ones = (self._settled(self.planned(plan.beside(step))) for step in good)
            nearer = (each for each in tried_ones if _lightly(each) < _lightly(plan) - WORTH)
            better = next((each for each in nearer if clashing(each) < clashing(plan) + HARDLY), None)
            if better is None:
                break
            plan = better
        return plan

    def _settled(self, plan: Plan) -> Plan:
        found = settled(plan)
        self.guards[found.names] = found.trial.guards
        return found

    def _around(self, plan: Plan, fresh: Sequence[Plan], count: int) -> list[Plan]:
        """Return plans that are nearer by a change that breaks others, and one that mends those."""
        ways = [each for each in fresh if detour(each, plan, FARTHER)]
        onward = [each for each in ways if not _back(each, plan)]
        found = (each for way in _nearest_ways(onward or ways) for each in self.further(way, count, plan))
        return [each for each in found if self._brings(each, plan)]

    def turning(self, plan: Plan, deepest: int = DEEPEST) -> Plan:
        """Return a plan with the changes upon it that let the machine turn, as far as single ones bring it nearer.

        What no change brought nearer is tried again upon one that helped another.
        """
        while len(plan.steps) < deepest and (better := self._unclashed(plan)) is not None:
            self.stuck.clear()
            plan = self._settled(better)
        return plan

    def _brings(self, each: Plan, plan: Plan) -> bool:
        return each.trial.shortfall < plan.trial.shortfall - HAIR and clashing(each) < clashing(plan) + HARDLY

    def _unclashed(self, plan: Plan) -> Plan | None:
        """Return a plan that is nearer to a machine that turns, by what is missed the most and can be helped.

        Parts that run into each other go first: behind them others may, and what else is done might lead into those.
        """
        keys = [key for key in plan.trial.failing if key in STANDS and key not in self.stuck]
        for key in sorted(keys, key=lambda key: (hides(plan, key), plan.trial.short(key)), reverse=True):
            if (better := aimed(plan, self.dials, key, None)) is not plan:
                return better
            self.stuck.append(key)
        return None

    def onward(self, steps: tuple[Step, ...] = ()) -> Plan:
        """Return the first plan that passes without vibration, from some changes on; else the nearest one."""
        self.stuck.clear()
        first = self.nearest = self.turning(self.planned(steps))
        waiting, seen, stalled = [first], {first.names}, 0
        for _ in range(self.most):
            plan = min(waiting, key=lambda each: (not each.trial.passes, each.cost), default=None)
            if plan is None or plan.trial.passes or stalled >= self.patience:
                break
            waiting.remove(plan)
            if (plan := settled(plan)).trial.passes:
                return plan
            self.told(f"{len(plan.steps)} changes: the nearest so far fails {len(self.nearest.trial.failing)} limits")
            fresh = [each for each in self.further(plan) if each.names not in seen and len(each.steps) <= DEEPEST]
            seen |= {each.names for each in fresh}
            waiting += [each for each in fresh
                        if each.trial.shortfall < plan.trial.shortfall - HAIR or detour(each, plan)]  # fmt: skip
            before = self.nearest.trial.shortfall
            self.nearest = min([self.nearest, *waiting], key=lambda each: each.trial.shortfall)
            stalled = 0 if self.nearest.trial.shortfall < (1 - HARDLY) * before else stalled + 1
        return min([each for each in waiting if each.trial.passes], key=lambda each: each.cost, default=self.nearest)

    def further(self, plan: Plan, deepest: int = DEEPEST, than: Plan | None = None) -> list[Plan]:
        """Return plans with one more change, those that look best, and with several of them, up to so many changes.

        than : what has to be bettered, if it is another one than the plan that goes on.
        Changes meant for what a look is blind to wait until all else holds, or nothing else helps: their loads change.
        """
        # What failed in no plan that was looked at before is looked at now, where it can be.
        blind = unseen(plan, self._seen | looked_also(plan.trial.failing) | {CRITICAL}) if self._seen else []
        only_blind = len(blind) == len(plan.trial.failing)
        dials = [dial for dial in self.dials if not only_blind or not set(blind).isdisjoint(dial.aims)]
        looks = self.looks.get(plan.names)
        if looks is None or looks.plan.trial.guards != plan.trial.guards:
            looks = self.looks[plan.names] = look(plan, dials, wanted=None if deepest == DEEPEST else LOOKS)
        looks = replace(looks, plan=plan)
        self._seen = {*looks.seen.missed}
        blind = unseen(plan, self._seen)
        values = VALUES_OF_FEW if len(plan.trial.failing) <= LEFT else VALUES
        best = sorted(best_places(looks, values)[:LOOKS], key=lambda places: looks.costs[places[0]])
        found = self._singles(plan, looks, best, than or plan, deepest == DEEPEST)
        found += self._together(looks, [*_worth_going_on(looks, best, found)], found, deepest)
        better = min((each.trial.shortfall for each in found if self._brings(each, plan)), default=np.inf)
        if len(blind) == len(plan.trial.failing) or better > (1 - HARDLY) * plan.trial.shortfall:
            found += self._aimed(plan, blind, looks)
        if not any(self._brings(each, plan) for each in found):
            found += self._harmless_values(plan, looks, found)
        if not any(self._brings(each, plan) for each in found):
            found += self._detours(plan, looks, found)
        stays = than is not None and not any(self._brings(each, than) for each in found)
        if len(plan.trial.failing) <= LEFT and (deepest == DEEPEST or stays):
            found += self._cleared(plan, found)
        return found

    def _cleared(self, plan: Plan, found: Sequence[Plan]) -> list[Plan]:
        """Return plans that let a limit hold and leave a machine that does not turn, with what lets it turn again.

        found : plans that were tried.
        """
        held = [each for each in found if not each.trial.why_not and clashing(each) > clashing(plan)
                and not set(plan.trial.failing) <= set(each.trial.failing)]  # fmt: skip
        return [each for way in _nearest_ways(held) if self._brings(each := self.turning(way), plan)]

    def _harmless_values(self, plan: Plan, looks: Looks, found: Sequence[Plan]) -> list[Plan]:
        """Return plans with other values of choices of which those that look best run into what a look does not see.

        Of each choice the best value that leaves a machine that turns, up to one that brings it nearer.
        found : plans that were tried already.
        """
        more = list[Plan]()
        for way in _nearest_ways([each for each in found if _runs_into(each, plan)], VALUES):
            keys, steps = _runs_into(way, plan), _values_of(way.steps[-1].dial, looks)
            clear = (step for step in steps if not any(missed_with(plan, step, key) for key in keys))
            if (step := next(clear, None)) is not None:
                more.append(self.planned(plan.with_step(step), plan))
            if more and self._brings(more[-1], plan):
                break
        return more

    def _detours(self, plan: Plan, looks: Looks, found: Sequence[Plan]) -> list[Plan]:
        """Return plans with changes that let a limit hold and break others by little more, as far as a look sees it.

        found : plans that were tried already.
        """
        holds = [looks.missed(key) == 0 for key in plan.trial.failing if looks.seen.of(key)[0] > 0]
        around = np.any(holds, axis=0) & (looks.total < looks.before + FARTHER) if holds else np.zeros(0, dtype=bool)
        ways = dict[Dial, int]()
        for place in sorted(np.flatnonzero(around), key=lambda n: (looks.costs[n], n)):
            ways.setdefault(looks.steps[place].dial, int(place))
        names = {each.names for each in found}
        wanted = [steps for place in ways.values()
                  if names_of(steps := plan.with_step(looks.steps[place])) not in names][:AROUND]  # fmt: skip
        self._ahead(plan, wanted)
        return [self.planned(steps, plan) for steps in wanted]

    def _aimed(self, plan: Plan, keys: Sequence[str], looks: Looks) -> list[Plan]:
        """Return plans with changes meant for limits, one upon the other."""
        found: list[Plan] = []
        for key in keys:
            for _ in range(ROUNDS):
                if key not in plan.trial.failing or len(plan.steps) >= DEEPEST:
                    break
                better = aimed(plan, self.dials, key, looks)
                if better is plan:
                    break
                found.append(better)
                if better.trial.shortfall >= plan.trial.shortfall:
                    break  # others do not go on from a detour
                plan = better
        return found

    def _singles(
        self, plan: Plan, looks: Looks, waiting: Sequence[list[int]], than: Plan, all_of_them: bool
    ) -> list[Plan]:
        """Return plans with the best choices of a look, two tried at once, as long as one looks better than those.

        than : what has to be bettered.
        all_of_them : whether to try the others, too: a search to the end may go on from them.
        """
        found: list[Plan] = []
        while waiting:
            now, waiting = waiting[:2], waiting[2:]
            found += self._of_choices(plan, looks, now)
            least = min((each.cost for each in found if self._brings(each, than)), default=np.inf)
            waiting = [places for places in waiting if all_of_them or looks.costs[places[0]] < least]
        return found

    def _together(self, looks: Looks, left: list[int], found: Sequence[Plan], deepest: int) -> list[Plan]:
        """Return plans with the best change and, one upon the other, each further one that is worth its work.

        A change goes on only where a look sees it bring more than its work of what the others leave; two at once.
        left : places of the changes.   deepest : changes beyond which nobody asks for one.
        """
        plan, several = looks.plan, list[Plan]()
        upon = min((each for each in found if each.trial.shortfall < plan.trial.shortfall - HAIR),
                   key=lambda each: each.cost, default=plan)  # fmt: skip
        while upon is not plan and (further := _worth_adding(upon, looks, left, deepest)):
            chain, then = list[tuple[Step, ...]](), upon
            for place in further[:2]:
                chain.append(then.with_step(looks.steps[place]))
                then = replace(upon, steps=chain[-1])
            self._ahead(upon, chain)
            for place, steps in zip(further, chain, strict=False):
                left.remove(place)
                both = self.planned(steps, upon)
                if both.cost >= upon.cost or both.trial.shortfall >= upon.trial.shortfall - HAIR:
                    break
                several.append(both)
                upon = both
        return several

    def _of_choices(self, plan: Plan, looks: Looks, choices: Sequence[list[int]]) -> list[Plan]:
        """Return plans with the best value of each choice, and with others while they break what held."""
        found: list[Plan] = []
        for count in range(max(map(len, choices), default=0)):
            choices = [places for places in choices if len(places) > count]
            wanted = [plan.with_step(looks.steps[places[count]]) for places in choices]
            self._ahead(plan, wanted)
            made = [self.planned(steps, plan) for steps in wanted]
            choices = [places for places, each in zip(choices, made, strict=True)
                       if each.trial.why_not or not set(each.trial.failing) <= set(plan.trial.failing)]  # fmt: skip
            found += made
        return found

    def reduced(self, plan: Plan, kept: Sequence[Step] = ()) -> Plan:
        """Return a plan that passes without the changes that it does not need, the others as small as will do.

        kept : changes that stay as they are.
        """
        self.told("leaving out what is not needed")
        open_ = [step for step in plan.steps if step not in kept]
        needless = sorted(_perhaps_needless(plan, open_), key=lambda each: each.level.work.size, reverse=True)
        for place, step in enumerate(needless):
            if place % 2 == 0:  # the next one is wanted, too, unless this one goes
                self._ahead(plan, [_without(plan, each) for each in needless[place : place + 2]])
            without = settled(self.planned(_without(plan, step)))
            plan = without if without.trial.passes else plan
        for step, smaller in _smaller(plan, [each for each in plan.steps if each in open_]):
            plan = self._with_smallest(plan, step, smaller)
        return plan

    def _with_smallest(self, plan: Plan, step: Step, smaller: Sequence[Step]) -> Plan:
        """Return a plan with the first of some values in place of another one with which it still passes."""
        wanted = [tuple(each if old is step else old for old in plan.steps) for each in smaller[:SMALLER]]
        self._ahead(plan, wanted[:2])
        tried_ones = (settled(self.planned(steps)) for steps in wanted)
        return next((each for each in tried_ones if each.trial.passes), plan)


def _smaller(plan: Plan, steps: Sequence[Step]) -> Iterator[tuple[Step, list[Step]]]:
    """Yield changes with the nearer values of their choice, or less work, with which a quick look sees nothing fail."""
    wanted = [(step, Step(step.dial, level)) for step in steps for level in step.dial.levels]
    wanted = [(step, each) for step, each in wanted if _less(each, step, step.dial.levels.index(step.level))]
    designs = [made(plan.base, [each if old is step else old for old in plan.steps]) for step, each in wanted]
    seen = quick(plan.trial, [plan.trial.design, *designs], frozenset(plan.base.failing)) if designs else None
    for step in steps:
        yield step, [each for n, (old, each) in enumerate(wanted, start=1)
                     if old is step and seen is not None and seen.total[n] == 0]  # fmt: skip


def _runs_into(one: Plan, plan: Plan) -> list[str]:
    """Return the limits without which it does not turn that a plan breaks by its last change."""
    return [key for key in one.trial.failing if key in STANDS and key not in plan.trial.failing]


def _values_of(dial: Dial, looks: Looks) -> list[Step]:
    """Return the values of a choice that bring it nearer, as a look sees it, the least cost first."""
    places = [n for n, step in enumerate(looks.steps) if step.dial is dial and looks.total[n] < looks.before]
    return [looks.steps[n] for n in sorted(places, key=lambda n: (looks.costs[n], n))]


def _nearest_ways(plans: Sequence[Plan], count: int = AROUND) -> list[Plan]:
    """Return a few plans to go on from, the least cost first, one of each choice that was changed last."""
    ways = dict[Dial, Plan]()
    for each in sorted(plans, key=lambda each: each.cost):
        ways.setdefault(each.steps[-1].dial, each)
    return [*ways.values()][:count]


def _without(plan: Plan, step: Step) -> tuple[Step, ...]:
    return tuple(each for each in plan.steps if each is not step)


def _back(one: Plan, plan: Plan) -> bool:
    """Whether a plan brings back what another one mended."""
    return any(key in plan.base.failing and key not in plan.trial.failing for key in one.trial.failing)


def _perhaps_needless(plan: Plan, steps: Sequence[Step]) -> list[Step]:
    """Return the changes of a plan without which a quick look sees nothing fail."""
    without = [made(plan.base, _without(plan, step)) for step in steps]
    seen = quick(plan.trial, [plan.trial.design, *without], frozenset(plan.base.failing))
    return [step for step, missed in zip(steps, seen.total[1:], strict=True) if missed <= seen.total[0]]


def _worth_going_on(looks: Looks, choices: Sequence[list[int]], found: Sequence[Plan]) -> Iterator[int]:
    """Yield the place of each choice's value that may go on: the best that brought a plan nearer, or one untried.

    found : plans with those that were tried by themselves.
    """
    for places in choices:
        steps = [looks.steps[place] for place in places]
        tried_ones = [each for each in found if any(each.steps[-1] is step for step in steps)]
        good = [each for each in tried_ones if each.trial.shortfall < looks.plan.trial.shortfall - HAIR]
        if good:
            best = min(good, key=lambda each: each.cost).steps[-1]
            yield next(place for place in places if looks.steps[place] is best)
        elif not tried_ones:
            yield places[0]


def _worth_adding(upon: Plan, looks: Looks, places: Sequence[int], deepest: int) -> list[int]:
    """Return the places of the changes, in order, that win more than their work of what a plan still misses.

    They are taken to do as much upon each other as by themselves, which is more than most do.
    """
    missed = {key: upon.trial.short(key) if key in upon.trial.failing else 0.0 for key in looks.seen.missed}
    found, steps = list[int](), upon.steps
    for place in places:
        step = looks.steps[place]
        if len(steps) >= deepest or any(each.dial is step.dial for each in steps if each not in looks.plan.steps):
            continue
        then = {key: max(0.0, each - max(0.0, looks.won(key)[place])) for key, each in missed.items()}
        now = replace(upon, steps=steps)
        if sum(missed.values()) - sum(then.values()) > max(now.weight_with(step) - now.weight, HAIR):
            found, steps, missed = [*found, place], now.with_step(step), then
    return found


def _lightly(plan: Plan) -> float:
    return LIGHT * plan.weight + plan.trial.shortfall


def _beside(plan: Plan, step: Step) -> bool:
    """Whether a change touches parts that a plan makes or buys, and none but those."""
    return step.level.work.within(plan.work) and all(each.level is not step.level for each in plan.steps)


def _less(each: Step, step: Step, place: int) -> bool:
    sizes = each.level.work.size, step.level.work.size
    return sizes[0] < sizes[1] or (sizes[0] == sizes[1] and step.dial.levels.index(each.level) < place)
