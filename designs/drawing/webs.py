"""Drawings of the webs: arms with round ends between what they join, with the holes for shaft and crankpins."""

from collections.abc import Iterator
from dataclasses import replace

import numpy as np

from balance.machine.threads import THREADS
from balance.plates.plate import RoundHole
from designs.design import Design
from designs.drawing.sheet import MM, Sheet, arm, for_sides, mirrored, mm
from designs.evaluate import Evaluation
from designs.stock import stock_with
from designs.tables.counterweights import counted
from shafts.screwed import directions, plates_of
from shafts.web_plates import WebHole, WebPlate

HAIR = 1e-6  # m; less metal between holes is none


def sheets(evaluation: Evaluation) -> Iterator[Sheet]:
    """Yield the drawing of each web that a design sizes; one serves both shafts, turned over, where both are alike."""
    design = evaluation.design
    plates: dict[int, dict[str, WebPlate]] = {}
    for hand, plate in plates_of(design, evaluation.weights):
        plates.setdefault(plate.number + 1, {})[hand] = plate
    for number, sides in plates.items():
        drawn = {hand: _sheet(evaluation, hand, plate) for hand, plate in sides.items()}
        alike = len({(*sheet.path, *sheet.holes, *sheet.lines) for sheet in drawn.values()}) == 1
        for hand, suffix, words in for_sides(drawn, alike, ", the left one turned over"):
            one = _titled(design, drawn[hand], f"{drawn[hand].name}{suffix}", f"web {number}{words}")
            yield mirrored(one) if suffix == "-left" else one


def not_sized(design: Design) -> list[str]:
    """Return what to give so that every web can be drawn."""
    return [f"cranks.webs.{index}.width and .thickness" for index, web in enumerate(design.cranks.webs)
            if web.width is None or web.thickness is None]  # fmt: skip


def _titled(design: Design, sheet: Sheet, name: str, title: str) -> Sheet:
    return replace(sheet, name=name, lines=[f"{design.title}: {title}", *sheet.lines])


def _sheet(evaluation: Evaluation, hand: str, plate: WebPlate) -> Sheet:
    """Return a web's drawing without its title."""
    half, bores = plate.half, [hole for hole in plate.holes if not hole.screw]
    cut: list[RoundHole] = [(*hole.at, hole.diameter) for hole in bores if hole.cut and hole.diameter > 0]
    beside = [(*hole.at, hole.diameter / 2) for hole in bores if not hole.cut and hole.diameter > 0]
    crosses = [(*hole.at, max(hole.diameter, half / 2) * 0.8) for hole in bores]
    lines = _lines(evaluation.design, plate, bores)
    for words, hole, size in _threads(evaluation, plate):
        if plate.inside(hole.at) >= size / 2:
            cut.append((*hole.at, size))
            crosses.append((*hole.at, size))
            lines.append(words)
        else:
            lines.append(f"NOT DRAWN, beyond this web: {words}")
    lines += _radial(evaluation, hand, plate)
    arm_path = arm(plate.one, plate.other, half)
    return Sheet(f"web-{plate.number + 1}", arm_path, cut, beside, [(0.0, 0.0, half / 2), *crosses], lines)


def _threads(evaluation: Evaluation, plate: WebPlate) -> Iterator[tuple[str, WebHole, float]]:
    """Yield the threads of the counterweights in a web's face, in words, and the diameter of their drill, m."""
    for hole in plate.holes:
        if hole.screw:
            name, size = _drill(evaluation, hole.diameter)
            yield f"thread {name} for the counterweight, drill {size * MM:g} mm, {_at(hole.at)}", hole, size


def _drill(evaluation: Evaluation, nominal: float) -> tuple[str, float]:
    """Return the name of the counterweights' thread and the diameter of its drill, m."""
    assert evaluation.design.counterweights is not None and evaluation.design.counterweights.screws is not None
    name = evaluation.design.counterweights.screws.size
    known = (stock_with(evaluation.design.stock).screws or {}).get(name)
    return name, nominal if known is None else float(known.tap)


def _radial(evaluation: Evaluation, hand: str, plate: WebPlate) -> Iterator[str]:
    """Yield in words the radial screws of counterweights that sit on this web's round end."""
    stock, weights = evaluation.design.counterweights, evaluation.weights
    if stock is None or weights is None or stock.screws is None or stock.screws.arrangement != "tension":
        return
    for weight, carrier in zip(weights.planes, evaluation.weight_carriers[hand], strict=True):
        if carrier.name == f"web {plate.number + 1}":
            name, size = _drill(evaluation, THREADS[stock.screws.size][0] * 1e-3)
            places = [np.rad2deg(float(weight.angle) + each) % 360 for each in directions(stock, stock.screws)]
            deep = "" if stock.screws.engagement is None else f", thread {mm(stock.screws.engagement)} deep"
            yield (f"radial threads {name} in its rim for the counterweight, drill {size * MM:g} mm{deep}, at "
                   f"{', '.join(f'{each:.2f}' for each in places)} deg")  # fmt: skip


def _lines(design: Design, plate: WebPlate, holes: list[WebHole]) -> list[str]:
    web, material, half = plate.web, plate.material, plate.half
    between = float(np.hypot(*np.subtract(plate.other, plate.one)))
    beside = half - max(hole.diameter for hole in holes) / 2
    return [
        f"{material.name}, {float(material.density):.0f} kg/m3, {mm(plate.thickness)} thick, {mm(2 * half)} wide"
        f", ends of radius {mm(half)}",
        *(_hole_line(hole) for hole in holes),
        f"centres {mm(between)} apart, {mm(beside)} of metal beside the larger hole, {_between(holes, between)}",
        f"Angles from +y with the crank at angle zero, counted {counted(design)} the crank's direction of rotation.",
        "Scale 1:1, mm. Cross at 0,0: shaft. Holes are of nominal size: press fits are reamed under it.",
        f"mass as drawn {plate.plate.mass * 1e3:.2f} g, with its pins {plate.whole.mass * 1e3:.2f} g; the design "
        f"counts {float(web.mass) * 1e3:.2f} g with what it holds",
    ]


def _between(holes: list[WebHole], between: float) -> str:
    """Return in words what is left between two holes that are cut."""
    left = between - sum(hole.diameter for hole in holes if hole.cut) / 2
    return f"{mm(left)} between both" if left > HAIR else "THE HOLES RUN INTO EACH OTHER"


def _at(point: tuple[float, float]) -> str:
    radius = float(np.hypot(*point))
    return "at 0, 0" if not radius else f"on radius {mm(radius)}, {np.rad2deg(np.arctan2(*point)) % 360:.2f} deg"


def _hole_line(hole: WebHole) -> str:
    if not hole.diameter:
        return f"{hole.what}: NO SIZE GIVEN, no hole drawn; centre {_at(hole.at)}"
    size = f"{mm(hole.diameter)} {_at(hole.at)}"
    return f"hole for {hole.what}: {size}" if hole.cut else f"{hole.what}, of one piece with it: {size}"
