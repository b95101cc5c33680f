"""The machine drawn to scale as SVG, mm: what stands still, what turns with each crank, what moves with each yoke.

The page's script turns and shifts the groups; the drawing is whole without it, at the crank angle where
the gap is least at the worst running speed, else at zero. What has no size in the design and no usual one is left out.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from html import escape
from itertools import pairwise
from typing import Any

import numpy as np

from balance.bodies.every import without_body
from balance.machine.crank import place_in_frame
from balance.machine.machine import Machine
from balance.machine.yoke import Outline, Yoke
from balance.obstacles import Obstacle
from balance.outlines import corner_arrays
from balance.turning import HANDS, on_bench
from designs.evaluate import Evaluation
from designs.pages.clash_marks import front_marks, side_marks
from designs.pages.clashes import Clash
from designs.pages.side import LETTER, SidePart, cut_short, side_parts, side_view
from designs.pages.svg import path
from designs.shown import imperial, said
from designs.summary import tightest_pair

MM = 1e3
MARGIN = 8.0
ROD_WIDTH = 3.2  # mm, where a design does not state the rod's width
WEB_WIDTH = 7.0
PIN = 4.0
LONGEST = 14  # letters of a name that are written beside a part
SEEN_THROUGH = ("wheel", "gear", "bearing")
"""Kinds of part that lie before the cranks and are drawn as mere outlines."""


@dataclass(frozen=True)
class Drawing:
    """The drawing: its SVG text, its viewBox, and the crank angle at which it is drawn, as an index.

    side : the view from the side, a whole picture.   sides : its parts at every crank angle that is shown.
    sense : +1 where crank angle grows as time goes on, else -1.   arrow : length of the largest load, mm.
    """

    svg: str
    side: str
    sides: list[SidePart]
    box: tuple[float, float, float, float]
    place: int
    sense: int
    arrow: float
    words: str
    notes: tuple[str, ...]

    @property
    def font(self) -> float:
        """Height of the letters of both views, mm."""
        return letters(self.box)


def drawing(evaluation: Evaluation, every: int = 1, place: int | None = None, found: Sequence[Clash] = ()) -> Drawing:
    """Return the machine; every `every`-th crank angle of the core is shown.

    place : the crank angle at which it stands, as an index of the core's; where the gap is least if left out, or where
    the first of what clashes is at its worst.
    found : what clashes, to be marked.
    """
    place = _worst_place(evaluation, found) if place is None else place
    place = round(place / every) * every % evaluation.motion.theta.size
    box = _box(evaluation)
    parts = [_still(evaluation, box)]
    parts += [_crank(evaluation, hand, place) for hand in HANDS]
    parts += [_rods(evaluation, name, place) for name in evaluation.motion.yokes]
    parts += [_yoke(evaluation, name, place, box) for name in evaluation.motion.yokes]
    parts.append(f'<g class="clashes">{front_marks(evaluation, found, place)}</g>')
    parts.append('<g class="arrows" aria-hidden="true"></g>')
    sides = side_parts(evaluation, evaluation.motion.theta[::every])
    side = side_view(sides, place // every, (box[1], box[3], letters(box)), shared_range(evaluation), side_marks(found))
    sense = int(evaluation.motion.sense)
    words = (
        f"The machine to scale at crank angle {np.rad2deg(evaluation.motion.theta[place]):.0f}°: {_named(evaluation)}."
    )
    words += "".join(f" Marked: {clash.words}." for clash in found)
    return Drawing("\n".join(parts), side, sides, box, place // every, sense, 0.2 * box[3], words, _notes(evaluation))


def letters(box: tuple[float, float, float, float]) -> float:
    """Return the height of letters in a view, mm: so that they can be read where it is as wide as a phone."""
    return box[2] / 31


def tightest_place(evaluation: Evaluation) -> int:
    """Return the crank angle at which the gap is least at the worst running speed, as an index; zero without one."""
    pair = tightest_pair(evaluation)
    return 0 if pair is None else int(np.argmin(pair.gap(evaluation.tightest_speed(pair))))


def _worst_place(evaluation: Evaluation, found: Sequence[Clash]) -> int:
    turn = next((clash.turn for clash in found if clash.turn is not None), None)
    return tightest_place(evaluation) if turn is None else round(turn * evaluation.motion.theta.size)


def shared_range(evaluation: Evaluation) -> tuple[float, float] | None:
    """Return from where to where along the shafts the nearest two yokes face each other, mm; None without any."""
    pair = tightest_pair(evaluation)
    outlines = [] if pair is None else [evaluation.machine.yokes[each].outline for each in (pair.upper, pair.lower)]
    ranges = [each.z for each in outlines if each is not None]
    if not ranges:
        return None
    low, high = max(float(each[0]) for each in ranges) * MM, min(float(each[1]) for each in ranges) * MM
    return (low, high) if high > low else None


def _named(evaluation: Evaluation) -> str:
    kinds = dict.fromkeys(part.kind for part in evaluation.shapes.parts)
    said = {"carried": "what the yokes carry", "wheel": "flywheel", "pin": "crankpins", "case": "case"}
    return ", ".join(said.get(kind, kind if kind == "cylinder" else f"{kind}s") for kind in kinds)


def _notes(evaluation: Evaluation) -> tuple[str, ...]:
    machine, found = evaluation.machine, []
    for name, yoke in machine.yokes.items():
        if yoke.outline is None:
            found.append(f"yoke {name} is drawn as a line: its outline is not given")
    if any(yoke.rod is not None and yoke.rod.width is None for yoke in machine.yokes.values()):
        found.append(f"rods whose width is not given are drawn {said(ROD_WIDTH / MM, 'm', 'g')} wide")
    if any(web.width is None for web in evaluation.design.cranks.webs):
        found.append(f"webs whose width is not given are drawn {said(_web_width(machine) / MM, 'm', 'g')} wide")
    found += [
        f"{part.name} is drawn in a usual size: {part.taken} is not given"
        for part in evaluation.shapes.parts
        if part.taken and part.kind in ("wheel", "gear", "carried")
    ]
    found += [f"not drawn, as its size is not given: {each.words}" for each in without_body(machine)]
    if evaluation.weights is not None and not evaluation.fitted:
        found.append("the proposed counterweights are drawn dashed: they are not fitted")
    return tuple(found)


def _box(evaluation: Evaluation) -> tuple[float, float, float, float]:
    """Return the viewBox: left, top, width, height in mm, y downward."""
    machine = evaluation.machine
    half = float(machine.cranks.centre_distance) / 2
    reach = max(float(throw.radius) for throw in machine.cranks.throws.values())
    if evaluation.weights is not None:
        reach = max(reach, *(float(each.shape.edge.reach) for each in evaluation.weights.planes))
    x, y = [half + reach], [reach, -reach]
    for part in evaluation.shapes.parts:
        bounds, beyond = part.hull
        x.append(float(np.max(np.abs(bounds[..., [0, 2]]))) + beyond)
        y += [float(np.max(bounds[..., 3])) + beyond, float(np.min(bounds[..., 1])) - beyond]
    for name, moved in evaluation.motion.yokes.items():
        yoke = machine.yokes[name]
        outlines = [each for each in (yoke.outline, getattr(yoke.carries, "outline", None)) if each is not None]
        across, up = [float(yoke.half_span)], [0.0]
        for outline in outlines:
            corners = corner_arrays(outline)
            across += list(np.abs(np.ravel(corners[0])))
            up += list(np.ravel(corners[1]))
        x.append(max(across))
        y += [float(moved.height.max()) + max(up), float(moved.height.min()) + min(up)]
    for wall in machine.walls.values():
        corners = corner_arrays(wall)
        x.append(float(np.max(np.abs(corners[0]))))
        y += [float(corners[1].max()), float(corners[1].min())]
    width, top, bottom = 2 * max(x) * MM + 2 * MARGIN, max(y) * MM + MARGIN, min(y) * MM - MARGIN - 4
    return -width / 2, -top, width, top - bottom


def _points(x: Any, y: Any) -> str:
    return " ".join(
        f"{float(one) * MM:.3f},{-float(two) * MM:.3f}" for one, two in zip(np.ravel(x), np.ravel(y), strict=True)
    )


def _outline(outline: Outline, kind: str) -> str:
    return f'<polygon class="{kind}" points="{_points(*corner_arrays(outline))}"/>'


def _still(evaluation: Evaluation, box: tuple[float, float, float, float]) -> str:
    machine = evaluation.machine
    half = float(machine.cranks.centre_distance) / 2 * MM
    found = [f'<path class="centre" d="M{box[0]:.2f},0H{box[0] + box[2]:.2f}M0,{box[1]:.2f}V{box[1] + box[3]:.2f}"/>']
    found += [_outline(wall, "wall") for wall in machine.walls.values()]
    found += [_body(part, 0.0) for part in evaluation.shapes.parts if part.kind == "cylinder"]
    found += [
        f'<circle class="{part.kind}" cx="{part.circle[0] * MM:.2f}" cy="0" r="{part.circle[2] * MM:.2f}">'
        f"<title>{escape(part.name)}</title></circle>"
        for part in evaluation.shapes.parts
        if part.kind in SEEN_THROUGH and part.circle is not None
    ]
    if machine.cranks.gears is not None:
        radius = float(machine.cranks.gears.pitch_radius) * MM
        found += [f'<circle class="pitch" cx="{sign * half}" cy="0" r="{radius:.3f}"/>' for sign in HANDS.values()]
    return "".join(found) + _scale(box)


def _body(part: Obstacle, height: float) -> str:
    """Return a part's body where it is lowered by a height, m."""
    import shapely

    shape = part.shapes if part.hull[0].ndim == 1 else part.shapes[0]
    rings = [shapely.get_coordinates(shapely.get_exterior_ring(each)) for each in shapely.get_parts(shape)]
    d = "".join(path([(x * MM, (height - y) * MM) for x, y in ring[:-1]], closed=True) for ring in rings)
    return f'<path class="{part.kind}" d="{d}"><title>{escape(part.name)}</title></path>'


def _scale(box: tuple[float, float, float, float]) -> str:
    left, low = box[0] + 4, box[1] + box[3] - 4
    long, words = (25.4, "1 in") if imperial() else (20.0, "20 mm")
    return (
        f'<path class="scale" d="M{left:.2f},{low - 1.5:.2f}v3M{left:.2f},{low:.2f}h{long:g}m0,-1.5v3"/>'
        f'<text class="label" x="{left + long + 2:.2f}" y="{low + 1.4:.2f}">{words}</text>'
    )


def _crank(evaluation: Evaluation, hand: str, place: int) -> str:
    """Draw one crank as it stands at angle zero, in a group that turns about its shaft."""
    machine, sign = evaluation.machine, HANDS[hand]
    half = sign * float(machine.cranks.centre_distance) / 2 * MM
    angle = sign * np.rad2deg(float(evaluation.motion.theta[place]))
    inside = [_weights(evaluation, sign), _webs(evaluation, sign)]
    for throw in machine.cranks.throws.values():
        x, y = _pin_place(throw, sign)
        size = PIN if throw.pin is None else float(throw.pin.diameter) * MM
        inside.append(f'<circle class="pin" cx="{x:.3f}" cy="{-y:.3f}" r="{size / 2:.3f}"/>')
    shaft = machine.shafts.pair[hand == "left"]
    size = float(np.ravel(shaft.segments[0].diameter)[0]) * MM
    inside.append(f'<circle class="shaft" cx="0" cy="0" r="{size / 2:.3f}"/>')
    return (
        f'<g transform="translate({half:.3f} 0)"><g class="crank" data-sign="{sign:g}" transform="rotate({angle:.3f})">'
        f"{''.join(inside)}</g></g>"
    )


def _pin_place(throw: Any, sign: float) -> tuple[float, float]:
    across, along = place_in_frame(throw)
    return sign * float(across) * MM, float(along) * MM


def _web_width(machine: Machine) -> float:
    """Return how wide webs are drawn, mm: as wide as the widest that is given."""
    return max((float(web.width) * MM for web in machine.cranks.webs if web.width is not None), default=WEB_WIDTH)


def _webs(evaluation: Evaluation, sign: float) -> str:
    """Draw the webs as bars from the shaft to the nearest throw and from throw to throw along the shaft."""
    cranks = evaluation.machine.cranks
    width = _web_width(evaluation.machine)
    middle = float(np.mean([float(each.at) for each in evaluation.machine.shafts.bearings]))
    throws = sorted(cranks.throws.values(), key=lambda each: abs(float(each.at) - middle))
    places = [(0.0, 0.0), *(_pin_place(throw, sign) for throw in throws)]
    bars = [f"M{a[0]:.3f},{-a[1]:.3f}L{b[0]:.3f},{-b[1]:.3f}" for a, b in pairwise(places)]
    path = "".join(bars)
    return (
        f'<path class="web-edge" d="{path}" stroke-width="{width + 0.6:.2f}"/>'
        f'<path class="web" d="{path}" stroke-width="{width:.2f}"/>'
    )


def _weights(evaluation: Evaluation, sign: float) -> str:
    if evaluation.weights is None:
        return ""
    kind, found = "weight" if evaluation.fitted else "weight proposed", []
    for weight in evaluation.weights.planes:
        if float(weight.shape.mass) <= 0:
            continue
        own = weight.shape.corners
        x, y = on_bench(own[:, 0], own[:, 1], np.asarray(weight.angle, dtype=float), sign)
        found.append(f'<polygon class="{kind}" points="{_points(x, y)}"/>')
    return "".join(found)


def _rods(evaluation: Evaluation, name: str, place: int) -> str:
    yoke, moved = evaluation.machine.yokes[name], evaluation.motion.yokes[name]
    if yoke.rod is None:
        return ""
    width = ROD_WIDTH if yoke.rod.width is None else float(yoke.rod.width) * MM
    found = []
    for hand, sign in HANDS.items():
        ends = (
            sign * moved.pin.x[place] * MM,
            -moved.pin.along[place] * MM,
            sign * float(yoke.half_span) * MM,
            -moved.height[place] * MM,
        )
        where = 'x1="{:.3f}" y1="{:.3f}" x2="{:.3f}" y2="{:.3f}"'.format(*ends)
        for kind, more, dot in (("rod-edge", 0.6, ""), ("rod", 0.0, ' marker-start="url(#dot)"')):
            found.append(
                f'<line class="{kind}" data-yoke="{escape(name)}" data-hand="{hand}" {where} '
                f'stroke-width="{width + more:.2f}"{dot}/>'
            )
    return "".join(found)


def _yoke(evaluation: Evaluation, name: str, place: int, box: tuple[float, float, float, float]) -> str:
    yoke, height = evaluation.machine.yokes[name], evaluation.motion.yokes[name].height[place]
    own = [part for part in evaluation.shapes.parts if part.follows == ("yoke", name) and part.kind != "yoke"]
    inside = [_body(part, float(_heights(evaluation)[name])) for part in own] or [_stem(yoke, box[3])]
    half = float(evaluation.machine.cranks.centre_distance) / 2 * MM
    span = float(yoke.half_span) * MM if yoke.rod is not None else half
    if yoke.slot is not None:
        inside.append(_slot(half + float(evaluation.machine.throw_of(yoke).radius) * MM, float(yoke.slot.offset) * MM))
    edges = (-span, span)
    if yoke.outline is None:
        inside.append(f'<path class="bare" d="M{-span:.3f},0H{span:.3f}"/>')
    else:
        inside.append(_outline(yoke.outline, "yoke"))
        across = corner_arrays(yoke.outline)[0] * MM
        edges = float(np.min(across)), float(np.max(across))
    if yoke.rod is not None:
        inside += [f'<circle class="pivot" cx="{sign * span:.3f}" cy="0" r="1.3"/>' for sign in HANDS.values()]
    inside.append(_name(name, edges, list(evaluation.machine.yokes).index(name) % 2 == 1, box))
    shifted = f'transform="translate(0 {-height * MM:.4f})"'
    return f'<g class="moving" data-yoke="{escape(name)}" {shifted}>{"".join(inside)}</g>'


def _heights(evaluation: Evaluation) -> dict[str, float]:
    """Return at which height each yoke stands where its bodies are drawn first, m."""
    return {name: float(moved.height[0]) for name, moved in evaluation.motion.yokes.items()}


def _name(name: str, edges: tuple[float, float], left: bool, box: tuple[float, float, float, float]) -> str:
    """Write a yoke's name beside it, or in it where there is no room beside: those of two that meet on either side."""
    said = cut_short(name, LONGEST)
    size, (low, high) = letters(box), edges
    away = 1.5 + LETTER * size * len(said)
    where = f'x="{high + 1.5:.2f}"' if high + away < box[0] + box[2] else 'x="0" text-anchor="middle"'
    if left and low - away > box[0]:
        where = f'x="{low - 1.5:.2f}" text-anchor="end"'
    return f'<text class="label" {where} y="{0.35 * size:.2f}">{escape(said)}<title>{escape(name)}</title></text>'


def _stem(yoke: Yoke, tall: float) -> str:
    """Draw a line for what a yoke carries if nothing is known of its body."""
    return "" if yoke.carries is None else f'<path class="stem-line" d="M0,0V{-0.14 * tall:.2f}"/>'


def _slot(reach: float, below: float) -> str:
    """Draw a slot as a band across, with the pins' whole way in it."""
    path = f"M{-reach:.3f},{below:.3f}H{reach:.3f}"
    widths = {"rod-edge": PIN + 2.6, "rod": PIN + 2}
    return "".join(f'<path class="{kind}" d="{path}" stroke-width="{width}"/>' for kind, width in widths.items())
