"""Marks over what clashes in both views of the machine: rust outlines with hatching, which turn and shift with it."""

from collections.abc import Iterable
from html import escape

import numpy as np

from balance.obstacles import Obstacle
from balance.turning import HANDS
from designs.evaluate import Evaluation
from designs.pages.clashes import Clash
from designs.pages.svg import path, tag

MM = 1e3
ROUND = ("case", "shaft")
"""What round parts follow that look alike at every crank angle."""


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
