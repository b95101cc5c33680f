"""The rubber stop between two yokes: how hard it is pressed, and how warm it gets."""

import numpy as np

from balance.cycle.extremes import largest
from balance.stop import Pressed
from designs.evaluate import Evaluation
from designs.table import Column, Table


def tables(evaluation: Evaluation) -> list[Table]:
    """Return what the stop does over the turn; nothing without one."""
    stops = evaluation.stop
    return [] if stops is None else [_table(evaluation, stops)]


def _table(evaluation: Evaluation, stops: Pressed) -> Table:
    stop = evaluation.design.stop
    assert stop is not None
    columns = (
        Column("force", "largest force", "N"),
        Column("angle", "at crank angle", "rad"),
        Column("stiffness", "stiffness of each", "N/m"),
        Column("compression", "largest compression", "m"),
        Column("share", "of its thickness", "share"),
        Column("contact", "part of the turn in contact", "share"),
        Column("heat", "heat a turn", "J"),
        Column("power", "heat at rated speed", "W"),
    )
    force, angle = largest(stops.force)
    compression = np.max(stops.compression)
    heat = None if stop.loss_factor is None else float(stops.heat(stop.loss_factor))
    power = None if heat is None else heat * float(evaluation.design.speed.rated) / (2 * np.pi)
    contact = float(np.mean(stops.force > 0))
    row = (force, angle, stop.spring, compression, compression / stop.thickness, contact, heat, power)
    note = (
        "Pressed by the motion of rigid parts, as a linear spring; its force is in all joint forces, at any speed. "
        "Beyond a fifth of its thickness rubber is stiffer than that; not bonded it is softer."
    )
    if heat is None:
        note += " For its heat give stop.loss_factor."
    return Table("stop", "Rubber stop between the yokes", columns, [row], note)
