"""Trying a change: the whole verdict on one design, one without vibration of its shafts, and a quick look at many.

Vibration takes most of the time of a verdict: a search leaves it out until it has found something. The quick look
leaves out, besides, what only a single design can be asked (the clearance between outlines, strength of parts), and
both look at fewer crank angles. No way is told to anyone that has not had the whole verdict.
"""

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass, field, fields, replace
from functools import cached_property

import numpy as np

from balance.errors import BadDesign
from balance.many import legal, picked
from designs.changing.edit import checked
from designs.design import Design
from designs.evaluate import Evaluation, evaluate_finely
from designs.many.beside import shared
from designs.many.chunks import chunks
from designs.many.stacking import as_options, stacks
from designs.verdict import MANY, clearances, rows_of, shaking, source_of, strength, uneven, vibration, whirl
from designs.verdict import counterweights as weight_limits
from designs.verdict.figure import Figure, of_limits
from designs.verdict.row import Row, failing_keys, wordless

QUICK = (*MANY, weight_limits)
STRENGTH_KEYS = ("yield_safety", "fatigue_safety")
"""Strength takes arrays of options too, but slowly: it is only asked where one of its limits fails."""
CRITICAL, TORSIONAL = "critical_speed_margin", "torsional_margin"
SAME_AS = {"gap_uneven": "gap", "shaking_force_uneven": "shaking_force", "clearance": "gap"}
"""Limits that only a single design is asked, and the one that a quick look takes for it."""
FAILING = ("FAIL", "depends")
SCALE = {"m": 1e-3, "kg m": 1e-4, "W": 1.0}
"""By how much a value beyond a limit of zero counts as all of it: a limit of zero has no share."""
BROKEN = 1e3  # shortfall of a value that is no number
ILLEGAL = 1e6  # shortfall of a design that cannot be built
SHAKEN = 1.1  # times what vibration takes of a limit is left for it: a change may let it take a little more
FEW = 3  # groups of designs that are looked at sooner than a second process begins
AT_ONCE = 256  # designs in a group at the most: each takes as long as a tenth of so many


@dataclass(frozen=True, eq=False)
class Trial:
    """A design with its whole verdict.

    why_not : why it cannot be built; then there are no rows.
    guards : by how much values must be on the safe side, SI, by key, so that a limit holds whatever is not known.
    still : whether vibration of the shafts was left out.
    orders : how many orders vibration of its shafts takes in the design that all trials began from: those that are
        changed from it and still take as many.
    alone : by how much single limits are missed after a change, by choice, value and key, as far as it was looked at.
    """

    design: Design
    rows: list[Row]
    why_not: str = ""
    guards: Mapping[str, float] = field(default_factory=dict)
    still: bool = False
    orders: int | None = None
    alone: dict[tuple[str, str, str], float] = field(default_factory=dict, init=False)

    @cached_property
    def figures(self) -> dict[str, Figure]:
        """The worst row of each limit by its key."""
        return of_limits(self.rows)

    @cached_property
    def failing(self) -> tuple[str, ...]:
        """Keys of the limits that fail, or hold for some values only of an input that is not known."""
        return tuple(dict.fromkeys(row.key for row in self.rows if row.state in FAILING or row.key in self.thin))

    @cached_property
    def outright(self) -> tuple[str, ...]:
        """Keys of the limits that fail in the middle of what is not known, too."""
        return failing_keys(self.rows)

    @cached_property
    def thin(self) -> tuple[str, ...]:
        """Keys of the limits that hold in the middle of what is not known, but by too little for all of it."""
        known = ((self.figures[key], guard) for key, guard in self.guards.items() if key in self.figures)
        return tuple(each.key for each, guard in known if np.all(each.passed) and np.any(_shortfalls(each, guard) > 0))

    @cached_property
    def unchecked(self) -> tuple[str, ...]:
        """Keys of the limits that could not be looked at, and that somebody asked for."""
        return tuple(dict.fromkeys(row.key for row in self.rows if row.left_out))

    @property
    def passes(self) -> bool:
        """Whether it can be built and no limit fails."""
        return not self.why_not and not self.failing

    @cached_property
    def shortfall(self) -> float:
        """How far it is from passing: each failing limit counts one, and by how much it fails."""
        if self.why_not:
            return ILLEGAL
        return float(sum(self.short(key) for key in self.failing))

    def short(self, key: str) -> float:
        """Return by how much a limit that fails is missed."""
        return short(self.figures[key], self.guards.get(key, 0.0))

    def row(self, key: str) -> Row | None:
        """Return the worst row of a limit."""
        rows = [row for row in self.rows if row.key == key]
        known = [row for row in rows if row.margin is not None]
        return (
            min(known, key=lambda row: float(np.min(np.asarray(row.margin)))) if known else (rows[0] if rows else None)
        )


def short(figure: Figure, guard: float = 0.0) -> float:
    """Return by how much one figure of a single design misses its limit; at least one where it does."""
    return float(np.ravel(_shortfalls(figure, guard))[0]) or 1.0


def held_back(trial: Trial, still: Trial) -> dict[str, float]:
    """Return guards with which a design without vibration fails what it fails with it, by a little more."""
    found = {**still.guards}
    for key in trial.failing:
        if key in still.figures and key in trial.figures and key not in still.failing:
            apart = reserve(still.figures[key]) - reserve(trial.figures[key])
            _ask(found, key, trial.guards.get(key, 0.0), SHAKEN * apart)
    return found


def _ask(guards: dict[str, float], key: str, guard: float, apart: float) -> None:
    """Ask a limit for its guard and as much more as it is seen to stand above, if it is to have more to spare."""
    if np.isfinite(apart):
        guards[key] = max(guards.get(key, 0.0), guard + apart)


def reserve(figure: Figure) -> float:
    """Return how far one figure is on the safe side, SI; NaN where it was not looked at."""
    return float(_reserves(figure))


def _reserves(figure: Figure) -> np.ndarray:
    """Return the same of many designs, (options...)."""
    if figure.value is None or figure.limit is None:
        return np.array(np.nan)
    value, limit = (np.asarray(each, dtype=float) for each in (figure.value, figure.limit))
    return limit - value if figure.better == "less" else value - limit


def _shortfalls(figure: Figure, guard: float = 0.0) -> np.ndarray:
    """Return one and the logarithm of by how much a limit is missed where it is, zero where it holds, (options...).

    guard : by how much a value must be on the safe side to count as holding, SI; by more than any is, if infinite.
    """
    if figure.passed is None or figure.margin is None:
        return np.zeros(())
    limit, spare = np.asarray(figure.limit, dtype=float), guard if np.isfinite(guard) else 0.0
    beyond = spare - _reserves(figure)
    missed = beyond / np.where(limit == 0, SCALE.get(figure.unit, 1.0), np.abs(limit))
    missed = np.where(np.isnan(missed), BROKEN, np.minimum(missed, BROKEN))
    holds = np.asarray(figure.passed) & ~(beyond > 0 if spare else np.isinf(guard))
    return np.where(holds, 0.0, 1.0 + np.log1p(np.maximum(missed, 0.0)))


def tried(design: Design, like: Trial | None = None, still: bool = False, known: Trial | None = None) -> Trial:
    """Return a design with its whole verdict, checked as if it had just been read.

    like : a trial of the design that it was changed from, with which it shares what is the same.
    still : whether to leave out vibration of the shafts.
    known : the trial that another process made of it, which shares nothing with any design here.
    """
    guards = {} if like is None else like.guards
    try:
        made = checked(design, None if like is None else like.design)
        if known is not None:
            return replace(known, design=made, guards=guards)
        rows, orders = _judged(made, like, still)
        return Trial(made, rows, guards=guards, still=still, orders=orders)
    except (BadDesign, ArithmeticError, np.linalg.LinAlgError) as error:
        why = str(error.complaints[0]) if isinstance(error, BadDesign) else str(error)
        return Trial(design, [], why, guards, still)


class _Still(Evaluation):
    """A single design without vibration of its shafts, for one who knows that it is left out."""

    still = ""

    def __init__(self, design: Design, orders: int | None = None):
        super().__init__(design, without_vibration=True)
        self.orders = orders


def missed_alone(design: Design, key: str, like: Trial) -> float:
    """Return by how much one limit is missed without vibration, looked at by itself; infinite for what cannot be built.

    like : a trial of the design that it was changed from.
    """
    try:
        made = checked(design, like.design)
        evaluation, source = _Still(made, like.orders), source_of(key, _Still(like.design, like.orders))
        if source is clearances:
            deep = clearances.deep_row(evaluation, key)
            rows = clearances.rows(evaluation, key) if deep is None else [deep]
        else:
            rows = source.rows(evaluation)
        figure = of_limits(rows)[key]
        return float(np.ravel(_shortfalls(figure, like.guards.get(key, 0.0)))[0])
    except (BadDesign, ArithmeticError, np.linalg.LinAlgError):
        return np.inf
    except KeyError:  # it is no longer asked for
        return 0.0


CASE_KEYS = (*shaking.KEYS, *vibration.KEYS, "shaking_force_uneven")
"""All that the case and its feet decide; `use/test_counsel` holds every other limit to that."""


def _judged(design: Design, like: Trial | None, still: bool) -> tuple[list[Row], int | None]:
    """Return the whole verdict, and how many orders to begin with; where the case alone changed, the rest as it was.

    Why a limit fails is nobody's concern in a trial: the words that wait to say it would hold all that was worked out.
    """
    orders = None if like is None else like.orders
    evaluation = _Still(design, orders) if still else evaluate_finely(design)
    if like is None or like.why_not or like.still != still or not differs_in_case(design, like.design):
        return list(map(wordless, rows_of(evaluation))), orders or evaluation.shaft_vibration.orders
    fresh = [*shaking.rows(evaluation), *vibration.rows(evaluation), *uneven.shaking(evaluation)]
    kept = [replace(row, doubt=None) for row in like.rows if row.key not in CASE_KEYS]
    order = list(dict.fromkeys(row.key for row in like.rows))
    rows = sorted([*fresh, *kept], key=lambda row: order.index(row.key))
    return list(map(wordless, rows)), orders


def differs_in_case(design: Design, other: Design) -> bool:
    """Whether two designs differ in the case and its feet at the most."""
    return all(getattr(design, each.name) is getattr(other, each.name) for each in fields(design)
               if each.name != "mount")  # fmt: skip


@dataclass(frozen=True, eq=False)
class Quick:
    """A quick look at many designs: how far each misses each limit, by key, (designs,); all of them, together.

    slopes : of the shafts at their bearings, rad, which tells how stiff they are; infinite where it is not known.
    """

    missed: dict[str, np.ndarray]
    total: np.ndarray
    slopes: np.ndarray

    def of(self, key: str) -> np.ndarray:
        """Return how far each design misses a limit, (designs,); zero where it holds or is not looked at."""
        return self.missed.get(SAME_AS.get(key, key), np.zeros(len(self.total)))

    def with_missed(self, key: str, amounts: np.ndarray) -> "Quick":
        """Return the same with one limit more."""
        return Quick(self.missed | {key: amounts}, self.total + amounts, self.slopes)


@dataclass(frozen=True, eq=False)
class Figures:
    """What a quick look finds of many designs, before anybody says what is enough.

    groups : which designs were worked out together, and their figures by key; none if they cannot be.
    illegal : which cannot be built.   also : limits beside the usual ones that were looked at, as they were in danger.
    """

    count: int
    groups: list[tuple[np.ndarray, dict[str, Figure]]]
    illegal: np.ndarray
    also: frozenset[str]

    def missed(self, base: Trial) -> Quick:
        """Return how far each design misses each limit.   base : the design from which they were changed, on trial."""
        missed: dict[str, np.ndarray] = {}
        total, slopes = np.where(self.illegal, ILLEGAL, 0.0), np.full(self.count, np.inf)
        guards = self.guards(base)
        for inside, figures in self.groups:
            if not figures:
                total[inside] += ILLEGAL
                continue
            for key, figure in figures.items():
                amounts = _shortfalls(figure, guards.get(key, 0.0))
                if key not in base.figures or base.figures[key].passed is None:  # as little is known after most changes
                    amounts = np.where(np.isnan(_reserves(figure)), 0.0, amounts)
                missed.setdefault(key, np.zeros(self.count))[inside] = amounts
            slopes[inside] = np.nan_to_num(np.asarray(figures["slope_at_bearings"].value, dtype=float), nan=np.inf)
        return Quick(missed, total + sum(missed.values()), slopes)

    def guards(self, base: Trial) -> dict[str, float]:
        """Return guards with which a limit that fails is seen to fail, by as much.

        Vibration, more crank angles and what only a single design can be asked let more fail than a quick look sees.
        """
        found = {**base.guards}
        seen = next((figures for inside, figures in self.groups if inside[0] == 0), {})
        for key in base.failing:
            stands = seen.get(other := SAME_AS.get(key, key))
            if stands is not None and (other != key or not np.ravel(_shortfalls(stands, found.get(key, 0.0)))[0]):
                apart = float(np.ravel(_reserves(stands))[0]) - reserve(base.figures[key])
                _ask(found, other, base.guards.get(key, 0.0), apart)
        return found


def quick(base: Trial, designs: Sequence[Design], failing: Collection[str] = ()) -> Quick:
    """Return a quick look at designs that were changed from one that is on trial, the first as it stands.

    failing : keys that are known to be in danger.
    """
    return figures(base.design, designs, looked_also(failing)).missed(base)


def looked_also(failing: Collection[str]) -> frozenset[str]:
    """Return which of the limits in danger a quick look only looks at for that."""
    return frozenset({*STRENGTH_KEYS, TORSIONAL}.intersection(failing))


def figures(design: Design, designs: Sequence[Design], also: frozenset[str]) -> Figures:
    """Return what a quick look finds of designs that were changed from one, the first as it stands."""
    illegal = np.zeros(len(designs), dtype=bool)
    groups: list[tuple[np.ndarray, Design]] = []
    for places, stacked in stacks(design, designs):
        options = as_options(stacked, len(places))
        fine = legal(options, len(places))
        illegal[np.array(places)[~fine]] = True
        groups += [(np.array(places)[part], picked(options, part)) for part in chunks(options, fine, AT_ONCE)]
    groups.sort(key=lambda group: -len(group[0]))  # what takes longest comes first
    if len(groups) > FEW:
        looked = shared(lambda group: _looked_at(*group, also), groups)
    else:
        looked = [_looked_at(*group, also) for group in groups]
    return Figures(len(designs), [each for group in looked for each in group], illegal, also)


def _looked_at(
    inside: np.ndarray, options: Design, also: Collection[str]
) -> list[tuple[np.ndarray, dict[str, Figure]]]:
    """Return the figures by key of those of a group that can be worked out together; none of one that cannot be.

    inside : their places.   What one cannot be asked does not hide the others: then each half is looked at by itself.
    """
    figures = _figures_of(options, also)
    if figures or len(inside) == 1:
        return [(inside, figures)]
    halves = np.array_split(np.arange(len(inside)), 2)
    return [each for half in halves for each in _looked_at(inside[half], picked(options, half), also)]


def _figures_of(options: Design, also: Collection[str]) -> dict[str, Figure]:
    """Return the figures of one group by key; none if it cannot be worked out together."""
    evaluation = Evaluation(options)
    sources = QUICK if set(STRENGTH_KEYS).isdisjoint(also) else (*QUICK, strength)
    try:
        with np.errstate(all="ignore"):
            rows = [row for source in sources for row in source.rows(evaluation)]
            rows += [whirl.torsional(evaluation)] if TORSIONAL in also else []
    except (BadDesign, ArithmeticError, np.linalg.LinAlgError):
        return {}
    return of_limits(rows)


def critical_missed(design: Design, like: Trial) -> float:
    """Return by how much a design that can be built comes too near to a critical speed, seen quickly; zero if not.

    like : a trial of the design that it was changed from.
    """
    figure = of_limits([whirl.critical(_Still(design, like.orders))])[CRITICAL]
    return float(np.max(_shortfalls(figure, like.guards.get(CRITICAL, 0.0))))
