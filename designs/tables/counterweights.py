"""The counterweights to cut."""

import numpy as np

from designs.evaluate import Evaluation
from designs.tables.table import Column, Table


def tables(evaluation: Evaluation) -> list[Table]:
    """Return the weight of each shaft: what is wanted and what the plate gives."""
    weight = evaluation.weight
    if weight is None:
        return []
    columns = (
        Column("wanted", "mass x radius wanted", "kg m"),
        Column("angle", "place in the crank frame", "rad"),
        Column("moment", "mass x radius cut", "kg m"),
        Column("mass", "mass", "kg"),
        Column("inner", "inner radius", "m"),
        Column("outer", "outer radius", "m"),
        Column("filled", "angle filled", "rad"),
        Column("thickness", "thickness", "m"),
        Column("short", "falls short by", "kg m"),
    )
    shape = weight.shape
    row = (weight.wanted, weight.angle, shape.moment, shape.mass, shape.inner, shape.outer, 2 * shape.half_angle, shape.thickness, weight.short)
    note = (
        "One on each shaft, mirrored. The place is counted from +y in the right crank's sense of turning with the crank at angle zero; "
        "the shape is an annular sector about that direction."
    )
    return [Table("counterweights", "Counterweight of each shaft", columns, [tuple(np.asarray(each) for each in row)], note)]
