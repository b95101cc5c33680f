"""Drawings of the counterweights."""

from collections.abc import Iterator

import numpy as np

from balance.plates.pinned import Pinned
from balance.plates.polygon import Polygon
from balance.weights.balancing import Weight
from designs.drawing.sheet import Circle, Sheet, mirrored, mm
from designs.evaluate import Evaluation
from designs.fixings import held
from designs.tables.counterweights import counted, holes_missing, pin_places
from shafts.pieces import widest_between
from shafts.screwed import directions


def sheets(evaluation: Evaluation) -> Iterator[Sheet]:
    """Yield the drawing of the weight in each plane.

    Sectors and segments are their own mirror images, so one file serves both shafts; an outline of the user's own, and
    a plate with an arm to its crankpin, get a file for each.
    """
    planes = () if evaluation.weights is None else evaluation.weights.planes
    for number, weight in enumerate(planes, start=1):
        if float(weight.shape.mass) <= 0:
            continue
        name = "counterweight" + (f"-{number}" if len(planes) > 1 else "")
        if isinstance(weight.shape.edge, Polygon | Pinned):
            yield _sheet(evaluation, weight, number - 1, f"{name}-right", f"{name} right")
            yield mirrored(_sheet(evaluation, weight, number - 1, f"{name}-left", f"{name} left", 1))
        else:
            yield _sheet(evaluation, weight, number - 1, name, f"{name}, one on each shaft")


def _sheet(evaluation: Evaluation, weight: Weight, plane: int, name: str, title: str, side: int = 0) -> Sheet:
    shape = weight.shape
    reach = float(shape.edge.reach)
    holes = [(float(x), float(y), float(diameter)) for x, y, diameter in shape.holes]
    crosses = [(0.0, 0.0, reach / 4), (0.0, float(shape.centre), reach / 12)]
    crosses += [(x, y, 0.8 * diameter) for x, y, diameter in holes]
    lines = _lines(evaluation, weight, plane, title)
    return Sheet(name, shape.edge.path(), holes, _beside(evaluation, weight, plane, side), crosses, lines)  # type: ignore[arg-type]


def _beside(evaluation: Evaluation, weight: Weight, plane: int, side: int) -> list[Circle]:
    """Return what the plate sits on and turns with: hub, shaft, and crankpins."""
    design = evaluation.design
    assert design.counterweights is not None
    name, radii = evaluation.weight_carriers["right"][plane].name, []
    if name == "shaft":
        radii = [_shaft_radius(evaluation, weight, side)]
    if not name.startswith("pin") and float(design.counterweights.smallest_radius) > 0:
        radii.append(float(design.counterweights.smallest_radius))
    circles = [(0.0, 0.0, radius) for radius in radii]
    for throw in design.cranks.throws.values():
        angle = float(throw.phase) - float(weight.angle)
        size = float(throw.pin.diameter) / 2 if throw.pin is not None else float(throw.radius) / 20
        circles.append((float(throw.radius) * np.sin(angle), float(throw.radius) * np.cos(angle), size))
    return circles


def hub_of(evaluation: Evaluation, weight: Weight, plane: int, side: int = 0) -> tuple[float, float] | None:
    """Return the bore and outer radius of the hub between a shaft and its weight, m; None where there is none.

    side : 0 for the right shaft, 1 for the left.
    """
    design, hand = evaluation.design, "left" if side else "right"
    assert design.counterweights is not None
    inner, outer = _shaft_radius(evaluation, weight, side), float(design.counterweights.smallest_radius)
    own = isinstance(weight.shape.edge, Polygon) or evaluation.weight_carriers[hand][plane].name != "shaft"
    return None if own or inner >= outer else (inner, outer)


def _shaft_radius(evaluation: Evaluation, weight: Weight, side: int) -> float:
    half = float(weight.shape.thickness) / 2
    return float(widest_between(evaluation.design.shafts.pair[side], weight.at - half, weight.at + half))


def _lines(evaluation: Evaluation, weight: Weight, plane: int, title: str) -> list[str]:
    design, shape = evaluation.design, weight.shape
    assert design.counterweights is not None
    pins = ", ".join(f"{name} {phase:.2f} deg" for name, phase in pin_places(design).items())
    lines = [
        f"{design.title}: {title}",
        f"{design.counterweights.material.name}, {shape.density:.0f} kg/m3, {mm(shape.thickness)} thick",
        f"mass {shape.mass * 1e3:.2f} g, mass x radius {shape.moment * 1e6:.1f} g mm",
        f"mass centre {mm(shape.centre)} from the shaft's centre",
        f"with the crank at angle zero its mass centre stands {np.rad2deg(weight.angle) % 360:.2f} deg from +y,",
        f"counted {counted(design)} the crank's direction of rotation. Scale 1:1, mm. Cross at 0,0: shaft.",
        f"Crankpins, counted alike: {pins}.",
        *_radii(evaluation, weight, plane),
    ]
    if weight.short > 0:
        lines.append(f"FALLS SHORT of the wanted {weight.wanted * 1e6:.1f} g mm by {weight.short * 1e6:.1f} g mm")
    return lines


def _radii(evaluation: Evaluation, weight: Weight, plane: int) -> Iterator[str]:
    """Yield what carries the plate, its radii, its holes, and how it stands to each crankpin, in words."""
    design, name = evaluation.design, evaluation.weight_carriers["right"][plane].name
    stock = design.counterweights
    assert stock is not None
    yield (f"carried by: {name or 'NOTHING'}. Outer radius {mm(weight.shape.edge.reach)}"
           f", inner or hub radius {mm(stock.smallest_radius)}")  # fmt: skip
    ring = hub_of(evaluation, weight, plane)
    if ring is not None:
        inner, outer = ring
        yield (f"sits on a hub that is not drawn: outside {mm(2 * outer)}, bore {mm(2 * inner)}"
               f", {mm(weight.shape.thickness)} long;")  # fmt: skip
        yield f"on the shaft: {held(stock.hub) or 'how is not given'}"
    bolts = getattr(stock.shape, "bolts", None)
    if bolts is not None:
        yield (f"{bolts.number} bolt holes {mm(bolts.diameter)} on radius {mm(bolts.radius)}"
               f", {np.rad2deg(float(bolts.pitch)):.1f} deg apart")  # fmt: skip
    if stock.screws is not None and stock.screws.arrangement == "tension" and not name.startswith("pin"):
        places = ", ".join(f"{np.rad2deg(each):.1f}" for each in directions(stock, stock.screws))
        yield f"radial holes for {stock.screws.size} screws at {places} deg from its middle line, filled by them"
    if stock.screws is not None and not name.startswith("pin"):
        yield "heads of screws sunk into the plate: no clearance counts heads that stand out"
    if isinstance(weight.shape.edge, Pinned):
        arm = weight.shape.edge.arm
        yield f"hole for crankpin {arm.throw}: {mm(arm.pin)} on radius {mm(arm.radius)}"
    for throw, centre in pin_places(design).items():
        ahead = (np.rad2deg(float(weight.angle)) - centre) % 360
        yield f"mass centre {ahead:.2f} deg from crankpin {throw}, counted {counted(design)} the direction of rotation"
    if holes_missing(stock):
        yield "NO SCREW HOLES: give counterweights.shape.bolts to have them drawn and weighed"
