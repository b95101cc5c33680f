"""Drawings of the webs: arms with round ends between what they join, with the holes for shaft and crankpins."""

from collections.abc import Iterator
from dataclasses import replace

import numpy as np

from balance.machine.crank import Web, joined_by, outward, place_in_frame
from balance.turning import HANDS
from designs.design import Design
from designs.drawing.sheet import MM, Sheet, arm, for_sides, mirrored, mm
from designs.evaluate import Evaluation
from designs.stock import stock_with
from designs.tables.counterweights import counted
from shafts.pieces import widest_between
from shafts.shaft import Shaft

HAIR = 1e-6  # m; less metal between holes is none
Screw = tuple[str, tuple[float, float], float]
"""In words, its centre, and the diameter of the drill, m."""
Hole = tuple[str, tuple[float, float], float, bool]
"""For what, its centre, its diameter, m, and whether it is cut."""


def sheets(evaluation: Evaluation) -> Iterator[Sheet]:
    """Yield the drawing of each web that a design sizes; one serves both shafts, turned over, where both are alike."""
    design = evaluation.design
    for number, web in enumerate(design.cranks.webs, start=1):
        pair, screws = zip(HANDS, design.shafts.pair, strict=True), list(_screws(evaluation, number))
        found = {hand: _sheet(design, number, web, shaft, screws) for hand, shaft in pair if web.on in (hand, "both")}
        drawn = {hand: sheet for hand, sheet in found.items() if sheet is not None}
        alike = len({(*sheet.path, *sheet.holes, *sheet.lines) for sheet in drawn.values()}) == 1
        for hand, suffix, words in for_sides(drawn, alike, ", the left one turned over"):
            one = _titled(design, drawn[hand], f"{drawn[hand].name}{suffix}", f"web {number}{words}")
            yield mirrored(one) if suffix == "-left" else one


def not_sized(design: Design) -> list[str]:
    """Return what to give so that every web can be drawn."""
    return [f"cranks.webs.{place}.width and .thickness" for place, web in enumerate(design.cranks.webs)
            if web.width is None or web.thickness is None]  # fmt: skip


def _titled(design: Design, sheet: Sheet, name: str, title: str) -> Sheet:
    return replace(sheet, name=name, lines=[f"{design.title}: {title}", *sheet.lines])


def _sheet(design: Design, number: int, web: Web, shaft: Shaft, screws: list[Screw]) -> Sheet | None:
    """Return a web's drawing without its title; None where it has no size, or holds no crankpin."""
    inner, outer = joined_by(web, design.cranks.throws, shaft.ends, float(outward(web.at, shaft.ends)))
    if web.width is None or web.thickness is None or outer is None:
        return None
    half, holes = float(web.width) / 2, list(_holes(design, web, shaft, (inner, outer)))
    one, other = (place for _, place, _, _ in holes)
    cut = [(*place, size) for _, place, size, is_cut in holes if is_cut and size > 0]
    beside = [(*place, size / 2) for _, place, size, is_cut in holes if not is_cut and size > 0]
    crosses = [(*place, max(size, half / 2) * 0.8) for _, place, size, _ in holes]
    lines = _lines(design, web, holes)
    for words, place, size in screws:
        if _inside(place, one, other) <= half - size / 2:
            cut.append((*place, size))
            crosses.append((*place, size))
            lines.append(words)
        else:
            lines.append(f"NOT DRAWN, beyond this web: {words}")
    return Sheet(f"web-{number}", arm(one, other, half), cut, beside, [(0.0, 0.0, half / 2), *crosses], lines)  # type: ignore[arg-type]


def _inside(place: tuple[float, float], one: tuple[float, float], other: tuple[float, float]) -> float:
    """Return how far a point lies from the line between two centres, m."""
    along, there = np.subtract(other, one), np.subtract(place, one)
    share = np.clip(there @ along / max(float(along @ along), 1e-30), 0.0, 1.0)
    return float(np.hypot(*(there - share * along)))


def _screws(evaluation: Evaluation, number: int) -> Iterator[Screw]:
    """Yield the threads of the counterweights that a web carries, in the crank frame."""
    stock, weights = evaluation.design.counterweights, evaluation.weights
    if stock is None or weights is None or stock.screws is None or not getattr(stock.shape, "bolts", None):
        return
    known = (stock_with(evaluation.design.stock).screws or {}).get(stock.screws.size)
    for weight, carrier in zip(weights.planes, evaluation.weight_carriers["right"], strict=True):
        if carrier.name != f"web {number}" or stock.screws.arrangement != "shear":
            continue
        turn = float(weight.angle)
        for x, y, diameter in weight.shape.holes[: stock.shape.bolts.number]:  # type: ignore[union-attr]
            place = float(y * np.sin(turn) + x * np.cos(turn)), float(y * np.cos(turn) - x * np.sin(turn))
            size = float(diameter) if known is None else float(known.tap)
            at = f"on radius {mm(np.hypot(*place))}, {np.rad2deg(np.arctan2(*place)) % 360:.2f} deg"
            yield f"thread {stock.screws.size} for the counterweight, drill {size * MM:g} mm, {at}", place, size


def _holes(design: Design, web: Web, shaft: Shaft, joined: tuple[str | None, str]) -> Iterator[Hole]:
    """Yield both holes of a web, the inner one first; a part that is of one piece with it has none."""
    for name in joined:
        throw = None if name is None else design.cranks.throws[name]
        pin = None if throw is None else throw.pin
        joint = web.joint if throw is None else None if pin is None else pin.joint
        if throw is None:
            half = float(web.thickness) / 2  # type: ignore[arg-type]
            size = 2 * float(widest_between(shaft, float(web.at) - half, float(web.at) + half))
        else:
            size = 0.0 if pin is None else float(pin.diameter)
        x, y = (float(each) for each in place_in_frame(throw))
        what = "the shaft" if name is None else f"crankpin {name}"
        yield what, (x, y), size, joint is None or joint.kind != "one piece"


def _lines(design: Design, web: Web, holes: list[Hole]) -> list[str]:
    assert web.width is not None and web.thickness is not None
    material = web.material or design.shafts.material
    thickness, width = float(web.thickness), float(web.width)
    (_, one, _, _), (_, other, _, _) = holes
    between = float(np.hypot(*np.subtract(other, one)))
    cut = sum(np.pi / 4 * size**2 for _, _, size, is_cut in holes if is_cut)
    mass = float(material.density) * thickness * (width * between + np.pi / 4 * width**2 - cut)
    beside = width / 2 - max(size for *_, size, _ in holes) / 2
    return [
        f"{material.name}, {float(material.density):.0f} kg/m3, {mm(thickness)} thick, {mm(width)} wide"
        f", ends of radius {mm(width / 2)}",
        *(_hole_line(*each) for each in holes),
        f"centres {mm(between)} apart, {mm(beside)} of metal beside the larger hole, {_between(holes, between)}",
        f"Angles from +y with the crank at angle zero, counted {counted(design)} the crank's direction of rotation.",
        "Scale 1:1, mm. Cross at 0,0: shaft. Holes are of nominal size: press fits are reamed under it.",
        f"mass as drawn {mass * 1e3:.2f} g; the design counts {float(web.mass) * 1e3:.2f} g with what it holds",
    ]


def _between(holes: list[Hole], between: float) -> str:
    """Return in words what is left between two holes that are cut."""
    left = between - sum(size for _, _, size, is_cut in holes if is_cut) / 2
    return f"{mm(left)} between both" if left > HAIR else "THE HOLES RUN INTO EACH OTHER"


def _hole_line(what: str, place: tuple[float, float], size: float, is_cut: bool) -> str:
    radius = float(np.hypot(*place))
    at = "at 0, 0" if not radius else f"on radius {mm(radius)}, {np.rad2deg(np.arctan2(*place)) % 360:.2f} deg"
    if not size:
        return f"{what}: NO SIZE GIVEN, no hole drawn; centre {at}"
    return f"hole for {what}: {mm(size)} {at}" if is_cut else f"{what}, of one piece with it: {mm(size)} {at}"
