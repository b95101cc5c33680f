"""A list of changes to one design, and the search for the next change that is worth its work."""

from collections.abc import Callable, Collection, Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from functools import cached_property, reduce
from itertools import islice
from typing import Any

import numpy as np

from balance.doubt.ranges import Range
from designs.changing.edit import Keys, text, unit_at, value_at
from designs.counsel.dial import Dial, Level, Work
from designs.counsel.trial import (
    CRITICAL,
    ILLEGAL,
    Figures,
    Quick,
    Trial,
    critical_missed,
    figures,
    looked_also,
    tried,
)
from designs.design import Design
from designs.many.beside import shared

MADE, BOUGHT = 0.06, 0.02  # what a piece to make, or to buy, weighs against a limit that fails by a hair
ALIKE = 0.05  # costs that differ by less are the same: then the nearest value is the better one
UNLOOKED = 0.5  # what a limit that held and could no longer be looked at weighs against one that fails by a hair
LET_PASS = 1.0  # what it weighs that a machine shakes as it did, and is merely allowed to
SHAKING = ("shaking_force", "shaking_force_uneven")
NOTHING = 1e-6  # of shortfall
SPREAD = 3  # values of a choice: the best, a nearer and a farther one
MAKING = "cut normal"  # law of what is made to a tolerance, whatever its size
WORTH = 0.2  # of the shortfall of one limit, that makes a choice worth another look


@dataclass(frozen=True, eq=False)
class Step:
    """One change: a free choice and the value that it takes."""

    dial: Dial
    level: Level


@dataclass(frozen=True, eq=False)
class Plan:
    """Changes to a design, in order, and what comes of them.   base : the design as it stands, on trial."""

    base: Trial
    steps: tuple[Step, ...]
    trial: Trial

    @cached_property
    def work(self) -> Work:
        """All that is made and bought."""
        return work_of(self.steps)

    @property
    def weight(self) -> float:
        """The work as one number."""
        made, bought = self.work.size
        return MADE * made + BOUGHT * bought

    def weight_with(self, step: Step) -> float:
        """Return the work with one more change."""
        return replace(self, steps=self.with_step(step)).weight

    @property
    def cost(self) -> float:
        """Work, what is missed, what could no longer be looked at, and what is let pass: a search makes it least."""
        lost = set(self.trial.unchecked) - {*self.base.unchecked, *self.base.failing}
        return self.weight + self.trial.shortfall + UNLOOKED * len(lost) + LET_PASS * len(self.let_pass)

    @property
    def let_pass(self) -> tuple[str, ...]:
        """Keys of limits of shaking that hold because more is allowed, as of a heavier case: it shakes no less."""
        old, new = self.base.figures, self.trial.figures
        return tuple(key for key in SHAKING if key in self.base.failing and key in new and key not in self.trial.failing
                     and float(new[key].value or 0.0) > (1 - NOTHING) * float(old[key].value or 0.0))  # fmt: skip

    @property
    def names(self) -> frozenset[tuple[str, str]]:
        """Its changes as a set, to tell it from others."""
        return names_of(self.steps)

    @property
    def settled(self) -> "Plan":
        """A plan whose verdict was drawn: its draws say whether it holds, and no guards any more."""
        return Plan(self.base, self.steps, replace(self.trial, guards={}))

    def with_step(self, step: Step) -> tuple[Step, ...]:
        """Return its changes with one more, in place of another of the same choice."""
        return (*(each for each in self.steps if each.dial is not step.dial), step)

    def beside(self, step: Step) -> tuple[Step, ...]:
        """Return the same with the new change where the old one stood, else after the last that touches its pieces."""
        places = [n for n, each in enumerate(self.steps) if each.dial is step.dial]
        if places:
            return (*self.steps[: places[0]], step, *self.steps[places[0] + 1 :])
        place = max((n for n, each in enumerate(self.steps, start=1) if step.level.work.shares(each.level.work)),
                    default=len(self.steps))  # fmt: skip
        return (*self.steps[:place], step, *self.steps[place:])


def names_of(steps: Sequence[Step]) -> frozenset[tuple[str, str]]:
    """Return changes as a set of what they are, to tell plans with them from others."""
    return frozenset((step.dial.name, step.level.shown) for step in steps)


def in_lines(steps: Sequence[Step]) -> list[tuple[Step, ...]]:
    """Return changes in order, with each those that touch no part but the ones that it makes and buys.

    What makes a part anew goes with the change that made it, if both set the same entry: nobody makes one for the bin.
    """
    lines: list[tuple[Step, ...]] = []
    for step in steps:
        place = next((n for n, line in enumerate(lines)
                      if step.level.work.within(work_of(line)) or _made_twice(step, line)), None)  # fmt: skip
        if place is None:
            lines.append((step,))
        else:
            lines[place] = (*lines[place], step)
    return lines


def _made_twice(step: Step, line: Sequence[Step]) -> bool:
    return any(step.level.work.shares(each.level.work) and not {*step.dial.paths}.isdisjoint(each.dial.paths)
               for each in line)  # fmt: skip


def work_of(steps: Iterable[Step]) -> Work:
    """Return all that changes make and buy together."""
    return sum((step.level.work for step in steps), Work())


def start(design: Design, still: bool = False) -> Plan:
    """Return the plan to change nothing.   still : whether vibration of the shafts is left out."""
    trial = tried(design, still=still)
    return Plan(trial, (), trial)


def made(base: Trial, steps: Sequence[Step]) -> Design:
    """Return a design with changes made one after another, unchecked."""
    design = base.design
    for step in steps:
        design = step.level.of(design)
    return design


def entries_set(design: Design, steps: Sequence[Step]) -> dict[Keys, Any]:
    """Return every entry that changes to a design set, by its keys, with its value in the end.

    What is set below an entry that is set anew as a whole is said with it.
    """
    changed = dict[Keys, Any]()
    for step in steps:
        changed |= {edit.keys: edit.value for edit in step.level.edits(design)}
        design = step.level.of(design)
    above = [keys for keys in changed if not any(keys[:n] in changed for n in range(1, len(keys)))]
    whole = {other[:n] for other in changed for n in range(1, len(other))}
    return {keys: value_at(design, keys) if keys in whole else changed[keys] for keys in above}


def changed_entries(design: Design, steps: Sequence[Step]) -> dict[Keys, str]:
    """Return the same as a file says it, with what is known no better than before."""
    after, doubts = reduce(lambda each, step: step.level.of(each), steps, design), kept_doubts(design, steps)
    found = {}
    for keys, value in entries_set(design, steps).items():
        said = {path[len(keys) :]: each.words if each.given else "" for path, each in doubts.items()
                if path[: len(keys)] == keys and not isinstance(value_at(after, path), str)}  # fmt: skip
        found[keys] = text(value, unit_at(after, keys), said)
    return found


def kept_doubts(design: Design, steps: Sequence[Step]) -> dict[Keys, Range]:
    """Return the ranges of numbers that changes to a design set anew with the part about them, and leave as they are.

    Those of making follow from the tolerances.
    """
    after, found = reduce(lambda each, step: step.level.of(each), steps, design), dict[Keys, Range]()
    for step in steps:
        for edit in step.level.edits(design):
            like = edit.like or edit.keys
            inside = {(*edit.keys, *path[len(like) :]): path for path, each in design.doubts.items()
                      if path[: len(like)] == like and len(path) > len(like) and each.law != MAKING}  # fmt: skip
            found |= {path: design.doubts[old] for path, old in inside.items()
                      if (value := value_at(design, old)) is not None and value_at(after, path) == value}  # fmt: skip
        design = step.level.of(design)
    return found


def planned(
    base: Trial,
    steps: tuple[Step, ...],
    upon: Plan | None = None,
    still: bool = False,
    known: Trial | None = None,
) -> Plan:
    """Return changes with what comes of them: the whole verdict.

    upon : the plan without the last of them.   still : whether vibration of the shafts is left out.
    known : their trial, if another process made it.
    """
    if upon is not None and steps[:-1] == upon.steps:
        return Plan(base, steps, tried(steps[-1].level.of(upon.trial.design), upon.trial, still, known))
    return Plan(base, steps, tried(made(base, steps), base, still, known))


def planned_at_once(
    base: Trial, wanted: Sequence[tuple[Step, ...]], upon: Plan | None = None, still: bool = False
) -> list[Plan]:
    """Return several plans as of `planned`, worked out in two processes where there are two."""
    trials = shared(lambda steps: planned(base, steps, upon, still).trial, wanted)
    return [planned(base, steps, upon, still, trial) for steps, trial in zip(wanted, trials, strict=True)]


@dataclass(frozen=True, eq=False)
class Looks:
    """A quick look at every further change of a plan."""

    plan: Plan
    steps: list[Step]
    seen: Quick

    @property
    def before(self) -> float:
        """Shortfall of the plan itself, seen as quickly."""
        return float(self.seen.total[0])

    @cached_property
    def total(self) -> np.ndarray:
        """Shortfall after each step, (steps,)."""
        return self.seen.total[1:]

    @cached_property
    def failing(self) -> np.ndarray:
        """How many limits fail after each step, (steps,)."""
        return self._counts[1:]

    @property
    def failing_before(self) -> int:
        """How many limits the plan itself fails."""
        return int(self._counts[0])

    @cached_property
    def _counts(self) -> np.ndarray:
        missed = np.stack([*self.seen.missed.values(), self.seen.total >= ILLEGAL])
        return np.sum(missed > 0, axis=0) + len(missed) * (self.seen.total >= ILLEGAL)

    @cached_property
    def costs(self) -> np.ndarray:
        """Cost of the plan with each step, what no look sees as it stands, (steps,)."""
        blind = 0.0 if self.plan.trial.why_not else max(0.0, self.plan.trial.shortfall - self.before)
        return self.total + blind + [self.plan.weight_with(step) for step in self.steps]

    def won(self, key: str) -> np.ndarray:
        """Return how much nearer a limit comes by each step, (steps,)."""
        return self.seen.missed[key][0] - self.seen.missed[key][1:]

    @property
    def helpful(self) -> list[Dial]:
        """The choices of which some value brings the design nearer, or a single limit."""
        useful = (self.total < self.before - NOTHING) & (self.total < ILLEGAL)
        for missed in self.seen.missed.values():
            useful |= missed[1:] < missed[0] - WORTH
        return list(dict.fromkeys(step.dial for step, good in zip(self.steps, useful, strict=True) if good))

    def missed(self, key: str) -> np.ndarray:
        """Return by how much a limit is missed after each step, (steps,)."""
        return self.seen.of(key)[1:]


@dataclass(frozen=True, eq=False)
class Figured:
    """What a quick look at changes of a plan finds.   changing : which of them change it, by their numbers."""

    changing: list[int]
    figures: Figures


def figured(plan: Plan, steps: Sequence[Step], failing: Collection[str]) -> Figured:
    """Return what a quick look finds of a plan with each change.   failing : keys that are known to be in danger."""
    designs = [_changed(plan, step) for step in steps]
    changing = [number for number, design in enumerate(designs) if design is not plan.trial.design]
    changed = [plan.trial.design, *(designs[number] for number in changing)]
    return Figured(changing, figures(plan.trial.design, changed, looked_also(failing)))


def look(
    plan: Plan, dials: Sequence[Dial], like: Looks | None = None, only: Callable[[Step], bool] = lambda step: True,
    wanted: int | None = None, known: Figured | None = None,
) -> Looks:  # fmt: skip
    """Return a quick look at each value of each choice, one at a time, on top of a plan.

    like : an earlier look, of which is taken over what each value does to the critical speeds.
    only : whether to look at a value at all.
    wanted : how many of the best choices somebody asks for; what a value does to the critical speeds is only looked at
        where it may become one of them. None for all.
    known : what was found of all these values already, if it was; it holds where the same limits are in danger.
    """
    every, failing = [*filter(only, steps_of(dials))], plan.trial.failing
    if known is None or known.figures.also != looked_also(failing):
        known = figured(plan, every, failing)
    steps, seen = [every[number] for number in known.changing], known.figures.missed(plan.trial)
    if CRITICAL in failing:
        now = plan.trial.short(CRITICAL)
        hopeful = _hopeful(Looks(plan, steps, seen), now, wanted)
        amounts = _critical(plan, hopeful, seen, now) if like is None else _as_before(steps, like, now)
        seen = seen.with_missed(CRITICAL, amounts)
    return Looks(plan, steps, seen)


def _changed(plan: Plan, step: Step) -> Design:
    """Return the design of a plan with one change upon it, unchecked."""
    chosen = any(each.dial is step.dial for each in plan.steps)
    return made(plan.base, plan.with_step(step)) if chosen else step.level.of(plan.trial.design)


CLOSER = 4  # designs whose critical speeds are worked out in a quick look
STIFFER = 0.98  # of the slope at the bearings: what is not stiffer by so much does not raise a critical speed
NO_STIFFER = ("counterweights", "flywheel", "rods", "feet")  # they change loads: a lesser slope tells no stiffness


def _hopeful(looks: Looks, now: float, wanted: int | None) -> list[Step | None]:
    """Return the steps, with None for those that are not among the best so many choices whatever they do.

    now : by how much the limit is missed, which is not seen in the looks: the most that a step may win.
    """
    if wanted is None:
        return [*looks.steps]
    best: dict[str, float] = {}
    for step, cost in zip(looks.steps, looks.costs, strict=True):
        best[step.dial.name] = min(best.get(step.dial.name, np.inf), float(cost))
    last = sorted([*best.values(), *[np.inf] * wanted])[wanted - 1]
    return [step if cost - now < last else None for step, cost in zip(looks.steps, looks.costs, strict=True)]


def _critical(plan: Plan, steps: Sequence[Step | None], seen: Quick, now: float) -> np.ndarray:
    """Return by how much the plan and each step upon it miss the critical speeds.

    Of each choice its stiffest value is looked at. Where that one holds, halving finds the softest that does; what is
    not looked at counts as it stands now.
    """
    amounts, left = np.full(len(seen.total), now), CLOSER
    for places in _stiffer(steps, seen):
        while places and left:
            place = places[0] if amounts[places[0]] == now else places[len(places) // 2]
            if amounts[place] != now:
                break
            step = steps[place - 1]
            assert step is not None
            amounts[place], left = critical_missed(_changed(plan, step), plan.trial), left - 1
            if amounts[place] and place == places[0]:
                break
            cut = places.index(place)
            for each in places[: cut + 1] if not amounts[place] else ():
                amounts[each] = 0.0
            places = places[cut:] if not amounts[place] else places[:cut]
    return amounts


def _stiffer(steps: Sequence[Step | None], seen: Quick) -> list[list[int]]:
    """Return the places of stiffer designs, the stiffest first, of each choice; choices that stiffen most first."""
    found: dict[str, list[int]] = {}
    for place, step in enumerate(steps, start=1):
        stiffer = seen.slopes[place] < STIFFER * seen.slopes[0] and seen.total[place] < ILLEGAL
        if step is not None and stiffer and step.dial.family not in NO_STIFFER:
            found.setdefault(step.dial.name, []).append(place)
    ordered = [sorted(each, key=lambda place: seen.slopes[place]) for each in found.values()]
    return sorted(ordered, key=lambda each: seen.slopes[each[0]])


def _as_before(steps: list[Step], like: Looks, now: float) -> np.ndarray:
    before = like.seen.of(CRITICAL)
    changed = {(step.dial.name, step.level.shown): before[place] for place, step in enumerate(like.steps, start=1)
               if before[place] != before[0]}  # fmt: skip
    return np.array([now, *(changed.get((step.dial.name, step.level.shown), now) for step in steps)])


def steps_of(dials: Sequence[Dial]) -> Iterator[Step]:
    """Yield each value of each choice."""
    return (Step(dial, level) for dial in dials for level in dial.levels)


def best_places(looks: Looks, values: int = SPREAD) -> list[list[int]]:
    """Return the places among the steps of each choice's best value, of the best nearer one, and the best farther one.

    The choice with the least cost comes first, then the one that lets the most limits hold whatever its work is.
    The other values are for where the best one does harm that a quick look does not see.
    values : of one choice, at most; beyond three the nearest of the others.
    """
    cost = looks.costs
    of_choice: dict[str, list[int]] = {}
    for place, step in enumerate(looks.steps):
        of_choice.setdefault(step.dial.name, []).append(place)
    found: list[list[int]] = []
    for places in of_choice.values():
        best = _best_of(places, looks, cost)
        if looks.total[best] < min(looks.before - NOTHING, ILLEGAL):
            n = places.index(best)
            spread = [best, *_useful(places[:n], looks, cost)[:1], *_useful(places[n + 1 :], looks, cost)[:1]]
            rest = sorted(each for each in _useful(places, looks, cost) if each not in spread)
            found.append([*spread, *islice(rest, max(0, values - SPREAD))])
    cheapest = sorted(found, key=lambda places: float(cost[places[0]]))
    surest = sorted(found, key=lambda places: (looks.failing[places[0]], float(cost[places[0]])))
    order = {places[0]: places for pair in zip(cheapest, surest, strict=True) for places in pair}
    return list(order.values())


def _useful(places: list[int], looks: Looks, cost: np.ndarray) -> list[int]:
    """Return those of a choice's values that help, the least cost first."""
    useful = (place for place in places if looks.total[place] < min(looks.before - NOTHING, ILLEGAL))
    return sorted(useful, key=lambda place: (cost[place], -place))


def _best_of(places: list[int], looks: Looks, cost: np.ndarray) -> int:
    """Return the value of one choice that lets the most limits hold, the nearest of several; else the least cost."""
    fewest = min(looks.failing[n] for n in places)
    if fewest < looks.failing_before:
        return next(n for n in places if looks.failing[n] == fewest)
    least = min(float(cost[n]) for n in places)
    return next(n for n in places if float(cost[n]) <= least + ALIKE)
