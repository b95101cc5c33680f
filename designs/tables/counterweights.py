"""The counterweights to cut: what is wanted and given, what goes on the yokes, and what holds and clears."""

from dataclasses import replace

import numpy as np

from balance.bodies.every import without_body
from balance.machine.counterweights import Counterweights
from balance.plates.pinned import Pinned
from balance.plates.plate import Edge
from balance.plates.sector import Sector
from balance.plates.segment import Segment
from balance.quality import Hole
from balance.quantities import Number
from balance.weights.balancing import Weight
from balance.weights.clearance import WeightClearance
from balance.weights.retention import pull
from designs.cautions import LOOSE, OVERSPEED
from designs.design import Design
from designs.evaluate import Evaluation
from designs.shown import said
from designs.table import Column, Table
from designs.verdict.counterweights import of_one_piece

DRILLS = (2e-3, 3e-3, 4e-3, 5e-3)  # m
WEIGHTS = (
    Column("at", "place along the shafts", "m"),
    Column("wanted", "mass x radius wanted", "kg m"),
    Column("angle", "place in the crank frame", "rad"),
    Column("moment", "mass x radius cut", "kg m"),
    Column("mass", "mass", "kg"),
    Column("centre", "mass centre from shaft", "m"),
    Column("outer", "outer radius", "m"),
    Column("thickness", "thickness", "m"),
    Column("inertia", "moment of inertia", "kg m^2"),
    Column("form", "shape"),
    Column("on", "carried by"),
    Column("short", "falls short by", "kg m"),
)
HOLES_MISSING = (
    "The holes of the screws are not taken off the plate: give shape.bolts, which makes each so much lighter."
)
NOTE = (
    "One on each shaft, mirrored. The place is counted from +y {} the right crank's direction of rotation with the "
    "crank at angle zero; the shape is symmetrical about that direction, or has its mass centre there."
)


def tables(evaluation: Evaluation) -> list[Table]:
    """Return the weights of each plane, the mass on each yoke, how the screws hold, and what a drilled hole takes."""
    if evaluation.weights is None:
        return []
    listed = [_weights(evaluation)]
    if evaluation.weights.trims:
        listed.append(_trims(evaluation))
    if evaluation.weight_holds is not None:
        listed.append(_screws(evaluation))
    return [*listed, _holes(evaluation)]


def cutting_tables(evaluation: Evaluation) -> list[Table]:
    """Return what is cut, and the proof that it clears everything; for a single design."""
    return [*tables(evaluation), *([] if evaluation.weights is None else [_clearances(evaluation)])]


def deep_tables(evaluation: Evaluation) -> list[Table]:
    """Return what takes a search: the proof of fit, added mass against what is left, and complete balance."""
    if evaluation.weights is None:
        return [_complete(evaluation)]
    return [_clearances(evaluation), _traded(evaluation), _complete(evaluation)]


def holes_missing(stock: Counterweights) -> bool:
    """Return whether screws are stated that the plate has no holes for; those of radial screws are filled by them."""
    through = stock.screws is not None and stock.screws.arrangement != "tension"
    return through and getattr(stock.shape, "bolts", None) is None


def pin_places(design: Design) -> dict[str, float]:
    """Return where each crankpin stands at crank angle zero, in degrees from +y as crank angle is counted."""
    return {name: float(np.rad2deg(throw.phase)) % 360 for name, throw in design.cranks.throws.items()}


def counted(design: Design) -> str:
    """Return whether angles are counted "in" or "against" each crank's own direction of rotation."""
    return "in" if design.cranks.sense > 0 else "against"


def _stock(evaluation: Evaluation) -> Counterweights:
    assert evaluation.design.counterweights is not None
    return evaluation.design.counterweights


def _weights(evaluation: Evaluation) -> Table:
    assert evaluation.weights is not None
    carriers = evaluation.weight_carriers["right"]
    rows = [
        tuple(_plain(each) for each in _row(weight, carrier.name or "nothing"))
        for weight, carrier in zip(evaluation.weights.planes, carriers, strict=True)
    ]
    aim = _stock(evaluation).aim
    pins = ", ".join(f"{name} {phase:.4g} deg" for name, phase in pin_places(evaluation.design).items())
    how = NOTE.format(counted(evaluation.design))
    note = f"Aim: {aim}; {AIMS[aim]}. {how} In the same way the crankpins stand at: {pins}."
    if holes_missing(_stock(evaluation)):
        note += f" {HOLES_MISSING}"
    return Table("counterweights", "Counterweights of each shaft", WEIGHTS, rows, note)


AIMS = {
    "cancel order 1": "with two planes, of the pitch couple too; trims leave as little of higher orders as they can",
    "least rms": "of the shaking force over the turn; with two planes, of the forces in the two planes that do what "
    "force and pitch couple do",
    "least peak": "of the shaking force over the turn, looked at every half degree; with two planes, of the forces in "
    "the two planes that do what force and pitch couple do",
    "least bearing load": "its peak on the worst bearing at the fastest speed, every degree; the weights' own weight "
    "is left out of the search, and the teeth stay on the flanks on which they run without weights",
}


def _trims(evaluation: Evaluation) -> Table:
    assert evaluation.weights is not None
    columns = (Column("yoke", "yoke"), Column("mass", "mass to add", "kg"), Column("most", "at most", "kg"))
    most = _stock(evaluation).trims
    rows = [(name, mass, most[name].at_most) for name, mass in evaluation.weights.trims.items()]
    note = (
        "Added in the plane of the yoke's throw unless a place is stated. A trim at its limit would as a rule "
        "help more if it were larger."
    )
    return Table("trims", "Trim masses on the yokes", columns, rows, note)


def _screws(evaluation: Evaluation) -> Table:
    assert evaluation.weights is not None
    columns = (
        Column("at", "place along the shafts", "m"),
        Column("speed", "speed", "rad/s"),
        Column("pull", "centrifugal force", "N"),
        Column("bears", "allowable", "N"),
        Column("weakest", "what fails first"),
        Column("safety", "safety factor", ""),
    )
    screws, rows = _stock(evaluation).screws, []
    looked: dict[str, Number] = {}
    assert evaluation.weight_holds is not None
    for weight, held in zip(evaluation.weights.planes, evaluation.weight_holds, strict=True):
        looked |= held.capacities
        for speed in (np.asarray(evaluation.design.speed.most), evaluation.top_speed):
            pulled = replace(held, pull=pull(weight.shape.moment, speed))
            known = (
                (pulled.of_one_screw * pulled.number, pulled.weakest, pulled.safety)
                if pulled.capacities
                else (None, "", None)
            )
            rows.append((weight.at, speed, pulled.pull, *known))
    of_screws = "" if screws is None else (
        f"{screws.number} x {screws.size}, class {screws.property_class}, in {screws.arrangement}; proof and yield "
        "stress by ISO 898-1 (from memory, check against the standard), shear at 0.577 of yield, friction left out, "
        "all screws sharing alike. "
    )  # fmt: skip
    note = of_screws + (
        f"Looked at: {', '.join(looked) or 'nothing'}. The last speed is the overspeed. {LOOSE} {OVERSPEED}"
    )
    return Table("screws", "Hold of the counterweights", columns, rows, note)


def _holes(evaluation: Evaluation) -> Table:
    assert evaluation.weights is not None
    columns = (
        Column("at", "place along the shafts", "m"),
        Column("diameter", "hole drilled through", "m"),
        Column("radius", "at", "m"),
        Column("mass", "takes away", "kg"),
        Column("moment", "mass x radius", "kg m"),
    )
    rows = []
    for weight in evaluation.weights.planes:
        shape = weight.shape
        for diameter in DRILLS:
            hole = Hole(diameter, shape.thickness, shape.centre, shape.density)
            rows.append((weight.at, diameter, hole.radius, hole.mass, hole.moment))
    note = (
        "One hole along the shaft on the weight's middle line, at its mass centre; elsewhere in proportion to its "
        "distance from the shaft."
    )
    return Table("drilled_holes", "What a drilled hole takes away", columns, rows, note)


def _clearances(evaluation: Evaluation) -> Table:
    columns = (
        Column("weight", "counterweight"),
        Column("part", "beside"),
        Column("gap", "least clearance", "m"),
        Column("angle", "at crank angle", "rad"),
        Column("strikes", "strikes"),
    )
    rows = [(pair.weight, pair.part, pair.gap, pair.angle, _struck(evaluation, pair))
            for pair in evaluation.weight_clearances]  # fmt: skip
    skipped = [each.words for each in without_body(evaluation.design)]
    note = (
        "Real outlines at every degree of the turn, of parts whose ranges along the shafts meet. Where parts "
        "strike, the clearance is minus what the largest radius must come down by. One piece: with the web that "
        "carries it. At rest: bending and play are in the rows of the verdict."
    )
    if skipped:
        note += f" Not looked at for want of a body: {', '.join(skipped)}."
    return Table("weight_rooms", "Clearance around the counterweights", columns, rows, note)


def _struck(evaluation: Evaluation, pair: WeightClearance) -> str:
    """Return whether a weight strikes a part; what it is made of one piece with fills the same place."""
    if pair.gap >= 0:
        return "no"
    return "one piece" if of_one_piece(evaluation, pair) else "yes"


def _traded(evaluation: Evaluation) -> Table:
    aim, traded = _stock(evaluation).aim, evaluation.trade_off
    assert traded is not None
    peak, loads = aim in ("least peak", "least bearing load"), aim == "least bearing load"
    residual = traded.left if loads else traded.left * np.asarray(evaluation.design.speed.most) ** 2
    what = "the load of the worst bearing" if loads else "the shaking force in the planes of the weights"
    columns = (
        Column("mass", "mass added in all", "kg"),
        Column("left", f"left at the fastest speed, {'peak' if peak else 'rms'}", "N"),
    )
    note = (
        "Weights on both shafts and trims together, each row the best for its mass; the weights' mass centres "
        f"taken as far out as those above. What is left is {what}."
    )
    return Table(
        "trade_off", "Added mass against what is left", columns, list(zip(traded.mass, residual, strict=True)), note
    )


def _complete(evaluation: Evaluation) -> Table:
    complete = evaluation.complete
    columns = (Column("yoke", "yoke"), Column("mass", "mass to add", "kg"))
    if complete.order is None:
        note = "With these masses on the yokes, counterweights balance the machine in every order."
    else:
        residual = complete.residual * float(evaluation.design.speed.most) ** 2
        note = (
            f"With these masses on the yokes and counterweights for order 1, order {complete.order} remains at "
            f"{said(residual, 'N')} at the fastest speed: {complete.reason}."
        )
    return Table("complete_balance", "Nearest to balance in every order", columns, list(complete.trims.items()), note)


def _row(weight: Weight, carrier: str) -> tuple:
    shape = weight.shape
    size = (shape.centre, shape.edge.reach, shape.thickness, shape.inertia)
    return (
        weight.at,
        weight.wanted,
        np.mod(weight.angle, 2 * np.pi),
        shape.moment,
        shape.mass,
        *size,
        form(weight),
        carrier,
        weight.short,
    )


def _plain(value):
    return value if isinstance(value, str) else np.asarray(value)


def form(weight: Weight) -> str:
    """Return in words what the edge of a single design's weight is."""
    edge = weight.shape.edge
    if isinstance(edge, Pinned):
        arm = f"arm {said(np.max(2 * edge.arm.half_width), 'm', '.2f')} wide to crankpin {edge.arm.throw}"
        return f"{_form(edge.weight)}, {arm}"
    return _form(edge)


def _form(edge: Edge) -> str:
    edge = edge.chosen if hasattr(edge, "chosen") else edge
    if isinstance(edge, Sector):
        return f"sector, {np.rad2deg(2 * np.max(edge.half_angle)):.1f} deg from {said(np.max(edge.inner), 'm', '.2f')}"
    if isinstance(edge, Segment):
        return f"segment, cut {said(np.max(edge.chord), 'm', '.2f')} from the shaft's centre"
    return "own outline"
