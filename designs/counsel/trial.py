"""Trying a change: the whole verdict on one design, and a quicker look at many to see which are worth it.

The quick look leaves out what only a single design can be asked (the clearance between outlines, vibration of the
shafts) and looks at fewer crank angles. Nothing is told to anyone that has not had the whole verdict.
"""

from collections.abc import Collection, Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from balance.errors import BadDesign
from balance.many import legal, picked
from designs.counsel.edit import checked
from designs.counsel.stacking import as_options, stacks
from designs.design import Design
from designs.evaluate import Evaluation, closely
from designs.options.figures import Figure, of_limits
from designs.verdict import MANY, judge, strength, whirl
from designs.verdict import counterweights as weight_room
from designs.verdict.row import Row

QUICK = (*MANY, weight_room)
STRENGTH_KEYS = ("yield_safety", "fatigue_safety")
"""Strength takes arrays of options too, but slowly: it is only asked where one of its limits fails."""
WHIRL_KEYS = ("critical_speed_margin", "torsional_margin")
CLOSER = 6  # designs, from the stiffest shafts to the softest, whose vibration is worked out in a quick look
SAME_AS = {"gap_uneven": "gap", "shaking_force_uneven": "shaking_force"}
"""Limits that only a single design is asked, and the one that a quick look takes for it."""
FAILING = ("FAIL", "depends")
SCALE = {"m": 1e-3, "kg m": 1e-4, "W": 1.0}
"""By how much a value beyond a limit of zero counts as all of it: a limit of zero has no share."""
BROKEN = 1e3  # shortfall of a value that is no number
ILLEGAL = 1e6  # shortfall of a design that cannot be built


@dataclass(frozen=True, eq=False)
class Trial:
    """A design with its whole verdict.   why_not : why it cannot be built; then there are no rows."""

    design: Design
    rows: list[Row]
    why_not: str = ""

    @cached_property
    def figures(self) -> dict[str, Figure]:
        """The worst row of each limit by its key."""
        return of_limits(self.rows)

    @cached_property
    def failing(self) -> tuple[str, ...]:
        """Keys of the limits that fail, or hold for some values only of an input that is not known."""
        return tuple(dict.fromkeys(row.key for row in self.rows if row.state in FAILING))

    @cached_property
    def unchecked(self) -> tuple[str, ...]:
        """Keys of the limits that could not be looked at, and that somebody asked for."""
        return tuple(dict.fromkeys(row.key for row in self.rows if row.state == "not checked" and row.asked))

    @property
    def passes(self) -> bool:
        """Whether it can be built and no limit fails."""
        return not self.why_not and not self.failing

    @cached_property
    def shortfall(self) -> float:
        """How far it is from passing: each failing limit counts one, and by how much it fails."""
        if self.why_not:
            return ILLEGAL
        return float(sum(short(self.figures[key]) for key in self.failing))

    def row(self, key: str) -> Row | None:
        """Return the worst row of a limit."""
        rows = [row for row in self.rows if row.key == key]
        known = [row for row in rows if row.margin is not None]
        return (
            min(known, key=lambda row: float(np.min(np.asarray(row.margin)))) if known else (rows[0] if rows else None)
        )


def short(figure: Figure) -> float:
    """Return by how much one figure of a single design misses its limit; at least one where it does."""
    return float(np.ravel(_shortfalls(figure))[0]) or 1.0


def _shortfalls(figure: Figure) -> np.ndarray:
    """Return one and the logarithm of by how much a limit is missed where it is, zero where it holds, (options...)."""
    if figure.passed is None or figure.margin is None:
        return np.zeros(())
    margin, value, limit = (np.asarray(each, dtype=float) for each in (figure.margin, figure.value, figure.limit))
    by_size = np.abs(value - limit) / SCALE.get(figure.unit, 1.0)
    missed = np.where(limit == 0, by_size, -margin)
    missed = np.where(np.isnan(missed), BROKEN, np.minimum(missed, BROKEN))
    return np.where(np.asarray(figure.passed), 0.0, 1.0 + np.log1p(np.maximum(missed, 0.0)))


def tried(design: Design) -> Trial:
    """Return a design with its whole verdict, checked as if it had just been read."""
    try:
        made = checked(design)
        return Trial(made, judge(closely(made)))
    except (BadDesign, ArithmeticError, np.linalg.LinAlgError) as error:
        why = str(error.complaints[0]) if isinstance(error, BadDesign) else str(error)
        return Trial(design, [], why)


@dataclass(frozen=True, eq=False)
class Quick:
    """A quick look at many designs: how far each misses each limit, by key, (designs,); all of them, together."""

    missed: dict[str, np.ndarray]
    total: np.ndarray

    def of(self, key: str) -> np.ndarray:
        """Return how far each design misses a limit, (designs,); zero where it holds or is not looked at."""
        return self.missed.get(SAME_AS.get(key, key), np.zeros(len(self.total)))


def quick(base: Design, designs: Sequence[Design], failing: Collection[str] = ()) -> Quick:
    """Return a quick look at designs, the first as it stands and the others changed from it.

    failing : keys that are known to be in danger.
    """
    rooms = QUICK if set(STRENGTH_KEYS).isdisjoint(failing) else (*QUICK, strength)
    missed: dict[str, np.ndarray] = {}
    total, slopes = np.zeros(len(designs)), np.full(len(designs), np.inf)
    for places, stacked in stacks(base, designs):
        options = as_options(stacked, len(places))
        fine = legal(options, len(places))
        total[np.array(places)[~fine]] = ILLEGAL
        if not np.any(fine):
            continue
        inside = np.array(places)[fine]
        figures = _looked_at(picked(options, fine), rooms)
        if not figures:
            total[inside] += ILLEGAL
            continue
        for key, figure in figures.items():
            missed.setdefault(key, np.zeros(len(designs)))[inside] = _shortfalls(figure)
        slopes[inside] = np.nan_to_num(np.asarray(figures["slope_at_bearings"].value, dtype=float), nan=np.inf)
    if not set(WHIRL_KEYS).isdisjoint(failing):
        missed |= _vibrating(designs, slopes)
    return Quick(missed, total + sum(missed.values()))


def _vibrating(designs: Sequence[Design], slopes: np.ndarray) -> dict[str, np.ndarray]:
    """Return by how much each design misses the limits of vibrating shafts, which are worked out one at a time.

    Only some are, from the stiffest to the softest of those that differ; the others count as the first design does.
    """
    _, different = np.unique(np.where(np.isfinite(slopes), slopes.round(9), np.inf), return_index=True)
    different = different[np.isfinite(slopes[different])]
    chosen = {0, *(int(different[n]) for n in np.linspace(0, len(different) - 1, CLOSER).astype(int))}
    found = {place: whirl.rows(Evaluation(designs[place])) for place in sorted(chosen)}
    missed = {}
    for key in WHIRL_KEYS:
        amounts = {place: float(np.max(_shortfalls(of_limits(rows)[key]))) for place, rows in found.items()}
        missed[key] = np.array([amounts.get(place, amounts[0]) for place in range(len(designs))])
    return missed


def _looked_at(options: Design, rooms: tuple) -> dict[str, Figure]:
    """Return the figures of one group by key; none if it cannot be worked out together."""
    evaluation = Evaluation(options)
    try:
        with np.errstate(all="ignore"):
            rows = [row for room in rooms for row in room.rows(evaluation)]
    except (BadDesign, ArithmeticError, np.linalg.LinAlgError):
        return {}
    return of_limits(rows)
