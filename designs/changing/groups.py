"""Sizes that must agree, moved together: a shaft with the bores of its bearings and the hub of its counterweights."""

from collections import Counter
from collections.abc import Iterator
from typing import Any

import numpy as np

from balance.machine.counterweights import OutlineShape
from balance.many import planted
from designs.changing.edit import Edit, Keys, edited, rounded, value_at
from designs.changing.webs import widened
from designs.design import Design
from designs.many.stacking import stacked
from designs.stock import balls, stock_with
from shafts.bearings.ball import Ball
from shafts.bearings.bearing import KINDS
from shafts.shaft import Shaft

HUB = 2e-3  # m of hub around a shaft, at least; common practice, no source
WALLS = 4e-3  # m of web beside a shaft, both sides together, at least; common practice, no source
REACH = 1e-3  # m that the middle of a web may stand off the shaft's end
STEP = 0.5e-3  # m, to which steps of a stepped shaft and hubs are rounded


def ball_for(design: Design, diameter: float) -> Ball | None:
    """Return the bearing in stock for a shaft diameter, m: of those that fit, the one most like the design's own."""
    fitting = [each for each in balls(stock_with(design.stock)) if np.isclose(each.bore, diameter)]
    own = design.shafts.bearings[0].ball
    if own is None or not fitting:
        return fitting[0] if fitting else None
    like = float(own.outside) / float(own.bore)
    return min(fitting, key=lambda each: (abs(float(each.outside) / float(each.bore) - like), float(each.width)))


def grouped(design: Design, diameters: np.ndarray) -> Design:
    """Return a design with shafts of many diameters, m, (options,), each with all that must agree with it."""
    edits: dict[float, dict[Keys, Any]] = {}
    for each in np.unique(diameters):
        ball = ball_for(design, float(each))
        assert ball is not None  # as the search made sure before it began
        edits[float(each)] = {edit.keys: _alike(edit.value) for edit in group_edits(design, ball)}
    for keys in dict.fromkeys(keys for each in edits.values() for keys in each):
        parts = [edits[float(each)].get(keys, _alike(value_at(design, keys))) for each in diameters]
        design = planted(design, (keys,), stacked(parts))
    return design


def _alike(part: Any) -> Any:
    """Return a ball bearing with all numbers, so that it stands in one array with others that say more or less."""
    return part.in_numbers() if isinstance(part, Ball) else part


def seat_diameter(shaft: Shaft) -> float:
    """Return the diameter of the segment on which the first bearing sits, m."""
    at, end = float(shaft.bearings[0].at), float(shaft.starts_at)
    for each in shaft.segments:
        end += float(each.length)
        if at <= end:
            return float(each.diameter)
    return float(shaft.segments[-1].diameter)


def group_edits(design: Design, ball: Ball) -> tuple[Edit, ...]:
    """Return shafts for a ball bearing with bearings like it, and all that must follow.

    Steps of a stepped shaft keep their proportion to the seat of the first bearing, to half a millimetre.
    """
    shafts = tuple(edit for keys, shaft in sides(design) for edit in _shaft(keys, shaft, ball))
    webs = _webs(design, edited(design, shafts), float(ball.bore))
    return (*shafts, *_hub(design, float(ball.bore)), *webs)


def sides(design: Design) -> list[tuple[Keys, Shaft]]:
    """Return the shafts that are described, with their keys: the right one, and the left one where it differs."""
    right: tuple[Keys, Shaft] = (("shafts",), design.shafts)
    return [right] if design.shafts.left is None else [right, (("shafts", "left"), design.shafts.left)]


def bearing_counts(design: Design) -> Counter[str]:
    """Return how many bearings of each kind both shafts have, by the entry that tells the kind."""
    every = [each for shaft in design.shafts.pair for each in shaft.bearings]
    return Counter(kind for each in every for kind in KINDS if getattr(each, kind) is not None)


def webs_to_widen(design: Design, bore: float) -> list[int]:
    """Return the numbers of the webs on the shafts that are too narrow for a shaft of that diameter, m."""
    starts, ends = (float(each) for each in design.shafts.ends)
    return [index for index, web in enumerate(design.cranks.webs)
            if web.width is not None and web.width < bore + WALLS
            and starts - REACH <= float(web.at) <= ends + REACH]  # fmt: skip


def _webs(design: Design, thicker: Design, bore: float) -> Iterator[Edit]:
    """Webs of wider flat bar, with the hole that the thicker shaft wants."""
    flats = sorted(float(each) for each in stock_with(design.stock).flats or ())
    for index in webs_to_widen(design, bore):
        width = next((each for each in flats if each >= bore + WALLS), rounded(bore + WALLS, STEP))
        yield from widened(design, thicker, index, width)


def _shaft(keys: Keys, shaft: Shaft, ball: Ball) -> Iterator[Edit]:
    seat, bore = seat_diameter(shaft), float(ball.bore)
    for index, segment in enumerate(shaft.segments):
        now = float(segment.diameter)
        wanted = bore if np.isclose(now, seat) else max(STEP, rounded(now * bore / seat, STEP))
        yield Edit((*keys, "segments", str(index), "diameter"), wanted)
    for index, bearing in enumerate(shaft.bearings):
        # Every bearing keeps its kind, and what was given of the old one is not true of the new.
        kind = next(name for name in KINDS if getattr(bearing, name) is not None)
        yield Edit((*keys, "bearings", str(index), kind), bearing.inside.refit(ball))


def _hub(design: Design, bore: float) -> Iterator[Edit]:
    weights = design.counterweights
    if weights is None or isinstance(weights.shape, OutlineShape):
        return
    least = bore / 2 + HUB
    if float(weights.smallest_radius) and float(weights.smallest_radius) < least:
        yield Edit(("counterweights", "smallest_radius"), rounded(np.ceil(least / STEP - 1e-9) * STEP, STEP))
