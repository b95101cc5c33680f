"""How high piston and displacer stand along the cylinder."""

import numpy as np

from balance.cycle.extremes import least
from balance.cylinder import AlongCylinder
from designs.evaluate import Evaluation
from designs.shown import said
from designs.table import Column, Table


def tables(evaluation: Evaluation) -> list[Table]:
    """Return the heights of piston and displacer over the turn; nothing where neither is known."""
    along = evaluation.along_cylinder
    if along is None or not along.known:
        return []
    columns = (
        Column("end", "end"),
        Column("lowest", "lowest", "m"),
        Column("lowest_angle", "at crank angle", "rad"),
        Column("highest", "highest", "m"),
        Column("highest_angle", "at crank angle", "rad"),
    )
    rows = []
    for inside in along.known:
        kind = along.machine.yokes[inside.yoke].carries.kind  # type: ignore[union-attr]
        ends = [("lower end", inside.low({})), ("crown" if kind == "piston" else "upper end", inside.rim({}))]
        if inside.body.top > inside.body.rim:
            ends.append(("top of its dome", inside.top({})))
        rows += [(f"{kind}, {end}", *_extremes(heights)) for end, heights in ends]
    cylinder = along.machine.cylinder
    if cylinder is not None:
        start = float(cylinder.starts_at)
        rows.append(("cylinder, open end", start, None, start, None))
        if cylinder.length is not None:
            end = start + float(cylinder.length)
            rows.append(("cylinder, hot end at the rim", end, None, end, None))
    return [Table("cylinder", "Along the cylinder", columns, rows, _note(evaluation, along))]


def _extremes(heights: np.ndarray) -> tuple:
    (low, low_angle), (high, high_angle) = least(heights), least(-heights)
    return low, low_angle, -high, high_angle


def _note(evaluation: Evaluation, along: AlongCylinder) -> str:
    note = "Heights above the line between the shafts, on the drawing; the verdict counts deflection at speed."
    if along.piston is not None and along.displacer is not None:
        needed = said(float(along.needed_length(float(evaluation.design.limits.gap))), "m", ".4g")
        start = "from its open end" if along.machine.cylinder is not None else "with the piston wholly inside"
        note += f" It must be {needed} long at least, {start}, for the limit on the gap to hold at the hot end."
    return note
