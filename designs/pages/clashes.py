"""Which parts strike or come too near by the verdict, in words, and marked over both views of the machine.

A mark is a rust outline with hatching over the whole part, which turns and shifts with it as the drawing does.
"""

from collections.abc import Iterable
from dataclasses import dataclass
from html import escape
from typing import Any

import numpy as np

from balance.obstacles import Obstacle
from balance.turning import HANDS
from designs.evaluate import Evaluation
from designs.pages.svg import path, tag
from designs.shown import RPM, said
from designs.verdict.clearances import KEYS
from designs.verdict.row import Row

MM = 1e3
ROUND = ("case", "shaft")
"""What round parts follow that look alike at every crank angle."""
NAMED = (*(key for key, _ in KEYS.values()), "axial_room", "counterweight_own")
"""Rows that name both parts."""


@dataclass(frozen=True, eq=False)
class Clash:
    """Two parts that strike or come too near.

    words : with how far, and where in the turn.   turn : share of the turn at which it is worst; None where it is alike
    all the time.   rpm : speed at which it is.
    """

    parts: tuple[Obstacle, ...]
    words: str
    turn: float | None = None
    rpm: float | None = None

    @property
    def data(self) -> dict[str, Any]:
        """As data for the page."""
        return {"words": self.words, "turn": self.turn, "rpm": self.rpm}


def clashes(evaluation: Evaluation, rows: Iterable[Row]) -> list[Clash]:
    """Return every clearance that fails of a single design, that of yokes first; parts without a body are left out."""
    found = []
    for row in rows:
        parts = _parts(evaluation, row) if row.passed is not None and not np.all(row.passed) else ()
        if parts:
            found.append(_clash(row, parts))
    return found


def _clash(row: Row, parts: tuple[Obstacle, ...]) -> Clash:
    still = all(part.follows[0] == "case" or (part.follows[0] == "shaft" and part.circle is not None) for part in parts)
    angle = None if row.angle is None or still else float(row.angle) % (2 * np.pi)
    speed = None if row.speed is None or not np.isfinite(float(row.speed)) else float(row.speed) * RPM
    at = [] if angle is None else [f"crank angle {np.rad2deg(angle):.0f}°"]
    at += [] if speed is None or angle is None else [f"{speed:.0f} rpm"]
    where = f", at {', '.join(at)}" if at else ""
    words = f"{_names(row, parts)} {_how(row)}{where}"
    return Clash(parts, words[:1].upper() + words[1:], None if angle is None else angle / (2 * np.pi), speed)


def _names(row: Row, parts: tuple[Obstacle, ...]) -> str:
    if row.key.startswith("displacer_to"):
        return row.what.removeprefix("clearance between ").partition(" (")[0]
    return row.where if row.key in NAMED else " and ".join(part.name for part in parts)


def _how(row: Row) -> str:
    value, limit = float(np.min(row.value)), float(np.min(row.limit))  # type: ignore[arg-type]
    if value < 0:
        return "overlap" if "no depth" in row.what else f"overlap by {said(-value, 'm', '.3g')}"
    return f"come within {said(value, 'm', '.3g')}, {said(limit, 'm', '.3g')} asked for" if value > 0 else "touch"


def _parts(evaluation: Evaluation, row: Row) -> tuple[Obstacle, ...]:
    """Return the parts that the row of a clearance is about; none for all other rows."""
    every = evaluation.bodies.parts
    if row.key == "gap":
        pair = next((each for each in evaluation.pairs if f"{each.upper} and {each.lower}" in row.what), None)
        names = () if pair is None else (pair.upper, pair.lower)
        return tuple(part for part in every if part.kind == "yoke" and part.follows[1] in names)
    if row.key in NAMED:
        return tuple(
            part
            for part in every
            if not part.taken and (row.where.startswith(f"{part.name} and ") or row.where.endswith(f" and {part.name}"))
        )
    carried = [part for part in every if part.kind == "carried" and not part.taken]
    if row.key == "displacer_to_piston":
        return tuple(carried)
    if row.key == "displacer_to_hot_end":
        yokes = evaluation.machine.yokes
        return tuple(part for part in carried if getattr(yokes[part.follows[1]].carries, "kind", "") == "displacer")
    return ()


def front_marks(evaluation: Evaluation, found: Iterable[Clash], place: int) -> str:
    """Return the marks over the view along the shafts, SVG in mm.

    place : the crank angle, as an index of the core's.
    """
    parts = {id(part): part for clash in found for part in clash.parts}
    return "".join(_front(evaluation, part, place) for part in parts.values())


def side_marks(found: Iterable[Clash]) -> set[tuple[str, tuple[float, float]]]:
    """Return kind and range along the shafts (mm) of every part to be marked in the view from the side."""
    return {(part.kind, (float(part.z[0]) * MM, float(part.z[1]) * MM)) for clash in found for part in clash.parts}


def _front(evaluation: Evaluation, part: Obstacle, place: int) -> str:
    kind, name = part.follows
    title = tag("title", escape(part.name))
    if kind in ROUND and part.circle is not None:
        x, y, radius = (each * MM for each in part.circle)
        return tag("circle", title, cx=x, cy=-y, r=radius, kind="clash")
    if kind == "rod":
        return _rod(evaluation, part, place)
    own = tag("path", title, d=_outline(part, evaluation), kind="clash")
    if kind == "case":
        return own
    if kind == "yoke":
        height = float(evaluation.motion.yokes[name].height[place]) * MM
        return tag("g", own, kind="moving", data_yoke=name, transform=f"translate(0 {-height:.4f})")
    sign = HANDS[part.hand]
    half = sign * float(evaluation.machine.cranks.centre_distance) / 2 * MM
    angle = sign * np.rad2deg(float(evaluation.motion.theta[place]))
    turned = tag("g", own, kind="crank", data_sign=f"{sign:g}", transform=f"rotate({angle:.3f})")
    return tag("g", turned, transform=f"translate({half:.3f} 0)")


def _outline(part: Obstacle, evaluation: Evaluation) -> str:
    """Return the outline of a part as it stands at crank angle zero, about its shaft or on its yoke's pivot line."""
    import shapely

    shape = part.shapes if np.ndim(part.shapes) == 0 else part.shapes[0]
    shape = shapely.buffer(shape, part.radius) if part.radius else shape
    kind, name = part.follows
    x = y = 0.0
    if kind == "yoke":
        y = float(evaluation.motion.yokes[name].height[0])
    elif kind != "case":
        x = HANDS[part.hand] * float(evaluation.machine.cranks.centre_distance) / 2
    rings = [shapely.get_coordinates(shapely.get_exterior_ring(each)) for each in shapely.get_parts(shape)]
    return "".join(path([((a - x) * MM, (y - b) * MM) for a, b in ring[:-1]], closed=True) for ring in rings)


def _rod(evaluation: Evaluation, part: Obstacle, place: int) -> str:
    name, sign = part.follows[1], HANDS[part.hand]
    moved, yoke = evaluation.motion.yokes[name], evaluation.machine.yokes[name]
    ends: dict[str, float] = {
        "x1": sign * float(moved.pin.x[place]) * MM,
        "y1": -float(moved.pin.along[place]) * MM,
        "x2": sign * float(yoke.half_span) * MM,
        "y2": -float(moved.height[place]) * MM,
    }
    moved_by: dict[str, str] = {"data_yoke": name, "data_hand": part.hand}
    width = 2 * part.radius * MM
    return "".join(
        tag("line", "", **ends, kind=f"clash-rod {kind}", **moved_by, stroke_width=width + more)
        for kind, more in (("edge", 1.6), ("inside", 0.0), ("lines", 0.0))
    )
