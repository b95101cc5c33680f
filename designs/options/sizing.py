"""Sizing the shafts: every standard diameter with every bearing that fits it, judged by every limit."""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace
from functools import partial
from itertools import product

import numpy as np

from balance.errors import BadDesign
from balance.machine.materials import Material
from designs.changing.edit import checked, edited
from designs.changing.groups import group_edits
from designs.counsel.advised import judge
from designs.design import Design
from designs.design.stock import Stock
from designs.doubt import under_doubt
from designs.evaluate import evaluate_finely
from designs.many.beside import shared
from designs.many.parallel import usable_processors
from designs.stock import balls
from designs.verdict import rows_of
from designs.verdict.row import Row, wordless
from shafts.bearings.ball import Ball
from shafts.engine import Engine
from shafts.shaft import Bearing, Shaft, Shafts

HARDLY = 0.1  # of what is missed: what shafts change less than that they do not help


@dataclass(frozen=True)
class Choice:
    """What is tried; None leaves the design's own.

    diameter : of the shafts at their bearings, m, a standard bore.   ball : the bearing that fits it.
    overhang, span : from the first bearing to the nearest throw, and to the last bearing, m.
    """

    diameter: float
    ball: Ball
    material: Material | None = None
    overhang: float | None = None
    span: float | None = None


@dataclass(frozen=True)
class Tried:
    """A choice and how it stands; `why_not` says why it could not be built at all.

    drawn : whether its rows say how it stands on all that is not known.
    """

    choice: Choice
    rows: list[Row]
    why_not: str = ""
    drawn: bool = False


@dataclass(frozen=True)
class Sized:
    """All that was tried, thinnest first, and what the shafts' size has no say in.

    fixed : keys of limits that fail alike whatever was tried; they are not held against any choice.
    sure : share of machines in which the best one holds; None if only the middle ones were judged.
    design : whose shafts are sized.
    """

    tried: list[Tried]
    fixed: tuple[str, ...]
    design: Design
    sure: float | None = None

    def failed(self, tried: Tried) -> list[Row]:
        """Return the limits that a choice fails, apart from those that no choice can help."""
        return [row for row in self.mattering(tried) if fails(row)]

    def mattering(self, tried: Tried) -> list[Row]:
        """Return the limits of a choice apart from those that no choice can help."""
        return [row for row in tried.rows if row.key not in self.fixed]

    def passes(self, tried: Tried) -> bool:
        """Return whether a choice can be built and holds every limit that shafts have a say in."""
        return not tried.why_not and not self.failed(tried)

    @property
    def best(self) -> Tried | None:
        """The thinnest shaft, with the smallest bearing, that passes; None if nothing does."""
        return next((each for each in self.tried if self.passes(each) and (self.sure is None or each.drawn)), None)

    @property
    def nearest(self) -> Tried | None:
        """The choice that fails the fewest limits, and of several the one that falls short the least."""
        built = [each for each in self.tried if not each.why_not]
        return min(built, key=lambda each: _shortfall(self.failed(each)), default=None)


def _shortfall(rows: list[Row]) -> tuple[int, float]:
    return len(rows), sum(-float(row.margin) for row in rows if row.margin is not None)


def fails(row: Row) -> bool:
    """Return whether a row of one design was checked and fails, or depends on what is not known."""
    return row.state in ("FAIL", "depends")


def balls_for(diameter: float, stock: Stock) -> list[Ball]:
    """Return each ball bearing in stock that fits a shaft, m, smallest first."""
    return [each for each in balls(stock) if np.isclose(each.bore, diameter)]


def standard_diameters(stock: Stock) -> list[float]:
    """Return the diameters of shaft in stock for which there are bearings, m, rising."""
    assert stock.shafts is not None
    return sorted(float(each) for each in stock.shafts if balls_for(float(each), stock))


def choices(
    stock: Stock,
    diameters: Iterable[float],
    materials: Iterable[Material | None] = (None,),
    overhangs: Iterable[float | None] = (None,),
    spans: Iterable[float | None] = (None,),
) -> Iterator[Choice]:
    """Yield every combination, thinnest shaft and smallest bearing first."""
    others = list(product(materials, overhangs, spans))
    for diameter in sorted(diameters):
        for ball in balls_for(diameter, stock):
            yield from (Choice(diameter, ball, *other) for other in others)


def size(design: Design, wanted: Iterable[Choice], sure: float | None = None) -> Sized:
    """Judge every choice, so that no passing size is missed whether or not strength rises with thickness.

    sure : share of the machines that the design may be in which each limit must hold: those that pass in the middle
    are judged so, from the thinnest on, until one holds. None judges the middle machines alone.
    """
    tried = shared(partial(_try, design), list(wanted))
    sized = Sized(tried, _fixed([each.rows for each in tried if not each.why_not]), design)
    return sized if sure is None else _surely(sized, sure)


def _surely(sized: Sized, sure: float) -> Sized:
    """Draw those that pass from the thinnest on, as many at once as there are processors to do it, until one holds."""
    tried = list(sized.tried)
    passing = [index for index, each in enumerate(tried) if sized.passes(each)]
    at_once = min(2, usable_processors())
    for start in range(0, len(passing), at_once):
        places = passing[start : start + at_once]
        for index, drawn in zip(places, shared(partial(_drawn, sized, sure), [tried[n] for n in places]), strict=True):
            tried[index] = drawn
            if sized.passes(drawn):
                return Sized(tried, sized.fixed, sized.design, sure)
    return Sized(tried, sized.fixed, sized.design, sure)


def _drawn(sized: Sized, sure: float, tried: Tried) -> Tried:
    outcome = under_doubt(evaluate_finely(resized(sized.design, tried.choice)), tried.rows, sure)
    return Tried(tried.choice, [*map(wordless, outcome.rows)], drawn=True)


def _try(design: Design, choice: Choice) -> Tried:
    try:
        return Tried(choice, [*map(wordless, rows_of(evaluate_finely(resized(design, choice))))])
    except BadDesign as error:
        return Tried(choice, [], str(error.complaints[0]))


def advised(design: Design, choice: Choice) -> dict[tuple[str, str], Row]:
    """Return the limits of a choice that can be built by key and words, each with what would help if it is asked.

    Worked out anew: of all that is tried no more is kept than the figures.
    """
    return {(row.key, row.what): row for row in judge(evaluate_finely(resized(design, choice)))}


def _fixed(verdicts: list[list[Row]]) -> tuple[str, ...]:
    """Return the keys that fail alike in every verdict: what was varied hardly changes how much is missed."""
    if len(verdicts) < 2:
        return ()
    missed: dict[str, list[float]] = {}
    for rows in verdicts:
        for row in rows:
            if fails(row) and row.value is not None and row.limit is not None:
                missed.setdefault(row.key, []).append(float(np.ravel(row.value - row.limit)[0]))
    whole = {key: each for key, each in missed.items() if len(each) == len(verdicts)}
    return tuple(key for key, each in whole.items() if np.ptp(each) <= HARDLY * np.min(np.abs(each)))


def resized(design: Design, choice: Choice) -> Design:
    """Return the design with other shafts and bearings, and what must agree with them; raises BadDesign."""
    made = edited(design, group_edits(design, choice.ball))
    right = _other(made, made.shafts, choice)
    left = None if made.shafts.left is None else _other(made, made.shafts.left, choice)
    both = {name: getattr(right, name) for name in vars(right) if name != "left"}
    return checked(replace(made, shafts=Shafts(**both, left=left)))


def _other(engine: Engine, shaft: Shaft, choice: Choice) -> Shaft:
    placed = _moved_bearings(engine, shaft.bearings, choice)
    return replace(shaft, bearings=placed, material=choice.material or shaft.material)


def _moved_bearings(engine: Engine, bearings: tuple[Bearing, ...], choice: Choice) -> tuple[Bearing, ...]:
    first, *others = bearings
    if choice.overhang is not None:
        throws = [float(throw.at) for throw in engine.cranks.throws.values()]
        nearest = min(throws, key=lambda at: abs(at - float(first.at)))
        side = 1.0 if float(first.at) >= nearest else -1.0
        first = replace(first, at=nearest + side * choice.overhang)
    if choice.span is not None:
        last = others[-1]
        side = 1.0 if float(last.at) >= float(first.at) else -1.0
        others[-1] = replace(last, at=float(first.at) + side * choice.span)
    return (first, *others)
