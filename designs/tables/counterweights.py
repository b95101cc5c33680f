"""The counterweights to cut: what is wanted, what the plate gives, and what goes on the yokes."""

import numpy as np

from balance.balancing import Weight
from balance.segment import Segment
from balance.sector import Sector
from designs.evaluate import Evaluation
from designs.tables.table import Column, Table

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
    Column("short", "falls short by", "kg m"),
)
NOTE = (
    "One on each shaft, mirrored. The place is counted from +y in the right crank's sense of turning with the crank at angle zero; "
    "the shape is symmetrical about that direction, or has its mass centre there."
)


def tables(evaluation: Evaluation) -> list[Table]:
    """Return the weights of each plane, and the mass on each yoke."""
    weights = evaluation.weights
    if weights is None:
        return []
    rows = [tuple(_plain(each) for each in _row(weight)) for weight in weights.planes]
    found = [Table("counterweights", "Counterweights of each shaft", WEIGHTS, rows, NOTE)]
    if weights.trims:
        columns = (Column("yoke", "yoke"), Column("mass", "mass to add", "kg"), Column("most", "at most", "kg"))
        most = evaluation.design.counterweights.trims
        rows = [(name, mass, most[name].at_most) for name, mass in weights.trims.items()]
        found.append(
            Table(
                "trims",
                "Trim masses on the yokes",
                columns,
                rows,
                "Added to the yoke in the plane of its throw unless a place is stated.",
            )
        )
    return found


def _row(weight: Weight) -> tuple:
    shape = weight.shape
    return (weight.at, weight.wanted, weight.angle, shape.moment, shape.mass, shape.centre, shape.edge.reach, shape.thickness,
            shape.inertia, form(weight), weight.short)  # fmt: skip


def _plain(value):
    return value if isinstance(value, str) else np.asarray(value)


def form(weight: Weight) -> str:
    """Return in words what the edge of a single design's weight is."""
    edge = weight.shape.edge
    edge = edge.chosen if hasattr(edge, "chosen") else edge
    if isinstance(edge, Sector):
        return f"sector, {np.rad2deg(2 * np.max(edge.half_angle)):.1f} deg from {np.max(edge.inner) * 1e3:.2f} mm"
    if isinstance(edge, Segment):
        return f"segment, cut {np.max(edge.chord) * 1e3:.2f} mm from the shaft's centre"
    return "own outline"
