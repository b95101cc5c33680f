"""What helps a limit that fails: the nearest single change that was tried and does, or what combination does."""

import re
from collections.abc import Iterator, Mapping, Sequence
from contextlib import contextmanager
from dataclasses import dataclass, replace
from functools import cached_property
from itertools import pairwise
from typing import Any

import numpy as np

from designs.changing.edit import Keys, text, unit_at, value_at
from designs.counsel.aimed import aimed, clashing, unseen
from designs.counsel.dial import Dial, path_of
from designs.counsel.effects import Effects, brought_nearer, effects
from designs.counsel.free import free_choices
from designs.counsel.guards import drawn, guards_of, settled
from designs.counsel.plan import (
    Figured,
    Looks,
    Plan,
    Step,
    changed_entries,
    figured,
    look,
    made,
    names_of,
    planned,
    planned_at_once,
    steps_of,
    work_of,
)
from designs.counsel.searching import LEFT, LOOKS, MORE, Search
from designs.counsel.trial import CRITICAL, ILLEGAL, Trial, differs_in_case, held_back
from designs.design import Design
from designs.many.beside import beside
from designs.shown import file_words
from designs.table import in_unit
from designs.verdict.figure import Figure
from designs.verdict.row import Row, name_of

TRIES = 2  # changes that look sufficient and get the whole verdict
TOGETHER = 3  # changes in a combination, at most
OWN = 3.0  # how much more the limit in question weighs than all others in a combination
SEARCHES = 1  # limits for which a combination of their own is looked for; the others are seen in those that were tried
HARM = 1e-6  # of shortfall of other limits; less is none
LEFT_OUT = "(left out)"
BEST, FEW = 3, 7  # changes that a person is shown; where few limits fail, one more


@dataclass(frozen=True, eq=False)
class Advice:
    """Changes for one limit, and what came of them.   holds : whether it then holds.   effects : on others."""

    key: str
    plan: Plan
    holds: bool
    effects: Effects

    @property
    def sentence(self) -> str:
        """What to change, what the limit then comes to, what it does to others, and what work it makes."""
        if not self.plan.steps:
            return "nothing that was tried, of what can be bought, brings it nearer"
        together = " together with ".join(map(step_words, self.plan.steps, befores(self.plan)))
        first = "" if len(self.plan.steps) == 1 else "no single change that was tried is enough; "
        if not self.holds:
            first = "nothing that was tried is enough; the nearest: "
        then = f"then {_after(self.plan.trial, self.key)}"
        work = self.plan.work.words
        return "; ".join(
            filter(None, (f"{first}{together}: {then}", self.effects.words.replace("then holds:", "holds too:"), work))
        )


def _after(trial: Trial, key: str) -> str:
    figure = trial.figures.get(key)
    if figure is None or figure.value is None:
        return "it is no longer asked for"
    if still := still_words(trial, key):
        return f"{amount_of(figure)}, {still}"
    holds = "holds" if key not in trial.unchecked else "fails no more, as far as it is looked at"
    return f"{amount_of(figure)}, {holds}"


def still_words(trial: Trial, key: str) -> str:
    """Return how a limit is still open after changes; empty if it is not."""
    if key in trial.thin:
        return "which holds in the middle of what is not known, not in all of it"
    return "still fails" if key in trial.failing else ""


def amount_of(figure: Figure) -> str:
    """Return the value of a figure of one design with its unit."""
    if figure.value is None:
        return "-"
    if np.isinf(float(figure.value)):
        return "none"
    unit, factor, decimals = figure.shown
    return f"{in_unit(float(figure.value) * factor, unit, decimals)} {unit}".strip()


def step_words(step: Step, before: Design) -> str:
    """Return a change in words: the part, its entries, from what to what, and what else in a file goes with it."""
    beside = entries_words(before, step, beside=True)
    return f"{step.dial.name} ({', '.join(step.dial.paths)}) {from_to(step)}{f', with {beside}' if beside else ''}"


def entries_words(before: Design, *steps: Step, beside: bool = False) -> str:
    """Return every entry of a file that changes touch, with its new value; those alike of several parts as one.

    beside : only those that the choices are not named by.
    """
    values = {path: new for path, _, new in entries(before, *steps)}
    named = [path for step in steps for path in step.dial.paths]
    found: dict[str, str] = {}
    for path, value in values.items():
        pattern = next((each for each in named if _fits(path, each)), path)
        # One word for all of them is true only where it is all of them that change, and to the same.
        alike = {values.get(each) for each in _every(before, pattern)} == {value}
        if not (beside and pattern in named and alike):
            found[pattern if alike else path] = value
    said, above = [], ""
    for path, value in found.items():
        head, _, key = path.rpartition(".")
        said.append(f".{key}: {value}" if head and head == above else f"{path}: {value}")
        above = head
    return ", ".join(said)


def _every(design: Design, pattern: str) -> list[str]:
    """Return the entries of a design that a path with `*` for any key stands for."""
    found: list[Keys] = [()]
    for key in pattern.split("."):
        inner = ((keys, value_at(design, keys)) for keys in found)
        found = [(*keys, each) for keys, part in inner for each in (_names(part) if key == "*" else [key])]
    return [".".join(keys) for keys in found]


def _names(part: Any) -> list[str]:
    return list(part) if isinstance(part, dict) else [str(n) for n in range(len(part or ()))]


def _fits(path: str, pattern: str) -> bool:
    return re.fullmatch(re.escape(pattern).replace(r"\*", r"[^.]+"), path) is not None


def from_to(step: Step) -> str:
    """Return from what to what a change goes, in the units that people see."""
    return f"from {file_words(step.dial.now)} to {file_words(step.level.shown)}"


def change_words(before: Plan, plan: Plan) -> str:
    """Return the last change of a plan in words, with what it does to the limits."""
    done, count = effects(before.trial, plan.trial, ""), len(before.steps)
    gain = "" if done.fixed or done.open else nearer_words(before, plan)
    what = " together with ".join(map(step_words, plan.steps[count:], befores(plan)[count:]))
    return "; ".join(filter(None, (what, gain, done.words, work_of(plan.steps[count:]).words)))


def nearer_words(before: Plan, plan: Plan) -> str:
    """Return what a change brings that lets no limit hold yet: the failing limit that it brings nearest."""
    key = brought_nearer(before.trial, plan.trial)
    if not key:
        return ""
    (old, now), (new, then) = ((amount_of(each), each) for each in (before.trial.figures[key], plan.trial.figures[key]))
    if new == old:
        return ""
    holds = np.all(then.passed) and key in plan.trial.failing  # in the middle of what is not known
    asked = f"{amount_of(replace(now, value=then.limit))} asked{', in nearly all that it may be' if holds else ''}"
    return f"{name_of(key)} goes from {old} to {new} ({asked})"


def entries(before: Design, *steps: Step) -> list[tuple[str, str, str]]:
    """Return every entry that changes touch: path, what stands there, what shall stand there after all of them.

    In the units that people see now, as a file may say them.
    """
    said = {keys: (value_at(before, keys), new) for keys, new in changed_entries(before, steps).items()}
    return [(path_of(keys), LEFT_OUT if old is None else file_words(text(old, unit_at(before, keys)), to_write=True),
             file_words(new, to_write=True))
            for keys, (old, new) in said.items()]  # fmt: skip


def as_told(plan: Plan) -> Plan:
    """Return a plan of which each change is said to set out from what then stands: earlier ones may have changed it."""
    steps, base = list[Step](), plan.base.design
    for step, before in zip(plan.steps, befores(plan), strict=True):
        if before is not base and (now := _stands(before, step)) != _stands(base, step):
            anew = (each.now for each in free_choices(before) if each.name == step.dial.name)
            step = replace(step, dial=replace(step.dial, now=next(anew, ", ".join(filter(None, now)))))
        steps.append(step)
    return replace(plan, steps=tuple(steps))


def _stands(design: Design, step: Step) -> list[str]:
    """Return the entries by which a change is told, as they stand in a design; "" for one that its kind has not."""
    every = [tuple(path.split(".")) for each in step.dial.paths for path in _every(design, each)]
    return ["" if (value := value_at(design, keys)) is None else text(value, unit_at(design, keys)) for keys in every]


def befores(plan: Plan) -> list[Design]:
    """Return the design before each change of a plan."""
    return [made(plan.base, plan.steps[:count]) for count in range(len(plan.steps))]


class Counsel:
    """Advice on one design, each line worked out when it is asked for.

    rows : its whole verdict.   orders : how many orders vibration of its shafts takes, where that is known.
    keep : key paths that may not change.
    """

    def __init__(self, design: Design, rows: list[Row], orders: int | None = None, keep: Sequence[str] = ()):
        trial = Trial(design, rows, orders=orders)
        self.base, self._keep = Plan(trial, (), trial), keep
        self._searches = SEARCHES
        self._looked: dict[frozenset, Looks] = {}
        self._planned: dict[frozenset, Plan] = {}
        self._known: dict[frozenset, Trial] = {}  # whole verdicts that wait to be asked for
        self._begun: tuple[Figured, Trial] | None = None

    @contextmanager
    def begun(self) -> Iterator[None]:
        """Have what takes no heed of doubts worked out beside what is done meanwhile, as to draw machines."""
        with beside(self._beginning) as told:
            yield
            self._begun = told()

    def _beginning(self) -> tuple[Figured, Trial]:
        base = self.base.trial
        return figured(self.base, [*steps_of(self.dials)], base.failing), planned(base, (), still=True).trial

    def heed(self, rows: list[Row]) -> None:
        """Ask every limit from now on to hold with as much to spare as it is spread by what is not known.

        rows : the verdict with its doubts.
        """
        trial = replace(self.base.trial, rows=rows, guards=guards_of(rows))
        if not self._planned:  # what was told already stands
            self.base = Plan(trial, (), trial)
            self._looked.clear()

    @cached_property
    def dials(self) -> list[Dial]:
        """Its free choices, but for trims: to weigh them takes a search of its own, which `mend` makes."""
        return [dial for dial in free_choices(self.base.trial.design, self._keep) if dial.family != "trims"]

    def look(self, plan: Plan) -> Looks:
        """Return a quick look at every further change of a plan; limits often lead to the same plans."""
        if plan.names not in self._looked:
            if plan is self.base:
                looks = look(plan, self.dials, known=self._figured)
            else:
                first = self.look(self.base)
                looks = look(plan, first.helpful, like=first)
            self._looked[plan.names] = looks
        return self._looked[plan.names]

    @cached_property
    def _figured(self) -> Figured:
        """What a quick look finds of every change, whatever is asked of it: which question comes first is chance."""
        if self._begun is not None:
            return self._begun[0]
        return figured(self.base, [*steps_of(self.dials)], self.base.trial.failing)

    def planned(
        self, steps: tuple[Step, ...], upon: Plan | None = None, guards: Mapping[str, float] | None = None
    ) -> Plan:
        """Return changes to the design with what comes of them, tried once.

        upon : the plan without the last.   guards : its own, if it was drawn already.
        """
        names = names_of(steps)
        if names not in self._planned:
            plan = planned(self.base.trial, steps, upon or self.base, known=self._known.get(names))
            known = plan if guards is None else replace(plan, trial=replace(plan.trial, guards=guards))
            self._planned[names] = settled(known)
        return self._planned[names]

    def advice(self, key: str) -> Advice:
        """Return what helps a limit that fails: one change if one is enough, else the combination that was found."""
        plan = self._single(key) or next((each for each in self.best if key not in each.trial.failing), None)
        if plan is None and self._searches:
            self._searches -= 1
            several = self._together(key)
            plan = several if key not in several.trial.failing else None
        return self._told(key, plan or self._nearest(key))

    def _nearest(self, key: str) -> Plan:
        """Return of all plans that were tried the one that brings a limit nearest, with the least work of several."""
        tried_ones = [each for each in self._planned.values() if _closer(each, self.base, {key})]
        return min(tried_ones, key=lambda each: (_missed(each, key), each.weight), default=self.base)

    def _told(self, key: str, plan: Plan) -> Advice:
        return Advice(
            key,
            as_told(plan),
            key not in plan.trial.failing and not plan.trial.why_not,
            effects(self.base.trial, plan.trial, key),
        )

    def _single(self, key: str) -> Plan | None:
        """Return the nearest single change with which a limit holds and no other begins to fail; None without one."""
        looks = self.look(self.base)
        if key in unseen(self.base, looks.seen.missed):
            found = aimed(self.base, self.dials, key, looks)
            plan = self._planned.get(found.names) or self._planned.setdefault(found.names, settled(found))
            enough = key not in plan.trial.failing and set(plan.trial.failing) <= set(self.base.trial.failing)
            return plan if enough else None
        after, left = looks.missed(key), looks.total - looks.missed(key)
        others = looks.before - looks.seen.of(key)[0]
        weights = np.array([self.base.weight_with(step) for step in looks.steps])
        places = np.flatnonzero((after == 0) & (left <= others + HARM) & (looks.total < ILLEGAL))
        fit: list[Plan] = []
        for place in sorted(places, key=lambda n: (weights[n], n))[:TRIES]:
            plan = self.planned((looks.steps[place],))
            if (
                not plan.trial.why_not
                and key not in plan.trial.failing
                and set(plan.trial.failing) <= set(self.base.trial.failing)
            ):
                if not plan.let_pass:
                    return plan
                fit.append(plan)
        return next(iter(fit), None)

    def _together(self, key: str) -> Plan:
        """Return changes one upon the other, each the one that brings this limit the most, until it holds.

        Limits that begin to fail on the way count with it.
        """
        plan, allowed = self.base, set(self.base.trial.failing)
        for _ in range(TOGETHER):
            wanted = {key, *(each for each in plan.trial.failing if each not in allowed)}
            looks = self.look(plan)
            own = sum(looks.missed(each) for each in wanted)
            cost = OWN * own + looks.total + [plan.weight_with(step) for step in looks.steps]
            now = sum(looks.seen.of(each)[0] for each in wanted)
            useful = np.flatnonzero((own < now - HARM) & (looks.total < ILLEGAL))
            steps = [looks.steps[n] for n in sorted(useful, key=lambda n: cost[n])[:2]]
            tried_ones = (self.planned(plan.with_step(step), plan) for step in steps)
            better = next((each for each in tried_ones if _closer(each, plan, wanted)), None)
            if better is None:
                break
            plan = better
            if key not in plan.trial.failing and set(plan.trial.failing) <= allowed:
                break
        return plan

    @cached_property
    def _first(self) -> tuple[list[Plan], list[str]]:
        search = Search(self.base, self.dials, lambda words: None)
        if self._begun is not None:
            search.know((), self._begun[1])
        # What fails by vibration alone holds in what a search tries: there it must hold by as much more.
        held = held_back(self.base.trial, search.planned(()).trial)
        alike = held == self.base.trial.guards
        if not alike:
            search.guard(held)
        start, looks = (self.base, self._looked.get(self.base.names)) if alike else (search.planned(()), None)
        looks = looks or look(start, self.dials, wanted=LOOKS, known=self._figured)
        search.looks[start.names] = looks
        if alike and CRITICAL not in self.base.trial.failing:  # then it looks at all there is
            self._looked.setdefault(self.base.names, looks)
        count = BEST + (len(self.base.trial.failing) <= FEW)
        plans = self._gone_on(search, self._followed(search, search.first(count)), count + MORE)
        # What only the changes break is told with them.
        told = [as_told(each) for each in plans[1:]]
        return told, [key for key in search.stuck
                           if key in self.base.trial.failing and key in plans[-1].trial.failing]  # fmt: skip

    def _followed(self, search: Search, lines: Sequence[tuple[Step, ...]]) -> list[Plan]:
        """Return the design, and plans with each line upon those before it, up to the last that brings it nearer."""
        wanted, plans = list[tuple[Step, ...]](), [self.base]
        for line in lines:
            wanted.append((*(wanted[-1] if wanted else ()), *line))
        self._ahead(wanted)
        for steps in wanted:
            plan = self.planned(steps, plans[-1], search.guards.get(names_of(steps)))
            if not plan.trial.why_not:  # what cannot be built without the next line is told with it
                plans.append(plan)
        while len(plans) > 1 and not _nearer_than(plans[-1], plans[:-1]):
            plans.pop()
        return plans

    def _gone_on(self, search: Search, plans: list[Plan], count: int) -> list[Plan]:
        """Return plans gone on from where vibration, which a search leaves out, lets the last one fail a few limits."""
        last = plans[-1]
        guards = held_back(last.trial, search.planned(last.steps).trial)
        if not (last.steps and 0 < len(last.trial.failing) <= LEFT and guards != search.base.trial.guards):
            return plans
        search.guard(guards)
        further = self._followed(search, search.first(count, last.steps))
        return further if len(further[-1].trial.failing) < len(last.trial.failing) else plans

    def _ahead(self, wanted: Sequence[tuple[Step, ...]]) -> None:
        """Give plans, each upon the one before, their whole verdicts, in two processes where there are two.

        A change of the case alone waits for the one before it, and then takes hardly any time.
        """
        if len(wanted) < 2:
            return
        design, new = self.base.trial.design, list[tuple[Step, ...]]()
        for before, steps in pairwise([(), *wanted]):
            changed = made(replace(self.base.trial, design=design), steps[len(before) :])
            if not differs_in_case(changed, design) and names_of(steps) not in self._planned:
                new.append(steps)
            design = changed
        self._known |= {each.names: each.trial for each in planned_at_once(self.base.trial, new)}

    @property
    def best(self) -> list[Plan]:
        """The changes to make first, each upon those before it: a person does them in this order.

        What needs no piece but those of a change is part of that change.
        """
        return self._first[0]

    @cached_property
    def left(self) -> tuple[str, ...]:
        """Keys of the limits that the best changes leave open; where these leave none, as all that may be is drawn."""
        return self.last.trial.failing or drawn(self.last).settled.trial.failing

    @property
    def last(self) -> Plan:
        """The design with all of the best changes."""
        return (self.best or [self.base])[-1]

    @property
    def stuck(self) -> list[str]:
        """Limits without which the machine does not turn, and that no single change brings nearer."""
        return self._first[1]


def _nearer_than(plan: Plan, before: list[Plan]) -> bool:
    """Whether a plan is nearer to passing, or to turning, than each of those before it: one may have led round."""
    return plan.trial.shortfall < min(each.trial.shortfall for each in before) or clashing(plan) < min(
        map(clashing, before)
    )


def _missed(plan: Plan, key: str) -> float:
    return plan.trial.short(key) if key in plan.trial.failing else 0.0


def _closer(plan: Plan, before: Plan, keys: set[str]) -> bool:
    """Whether limits are missed by less together, seen with the whole verdict."""
    if plan.trial.why_not:
        return False
    now, then = (sum(_missed(each, key) for key in keys) for each in (plan, before))
    return now < then
