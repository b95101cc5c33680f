"""The room between every two parts that could meet."""

import numpy as np

from balance.bodies.every import without_body
from balance.cycle.extremes import least
from designs.evaluate import Evaluation
from designs.table import Column, Table
from shafts.clearance.clearances import Clearance
from shafts.gap.contact import first_root

TIGHTEST = 20


def tables(evaluation: Evaluation) -> list[Table]:
    """Return the tightest pairs of parts but for yokes among themselves, with their room at rest and at speed."""
    columns = (
        Column("pair", "parts"),
        Column("nominal", "clearance, nominal", "m"),
        Column("nominal_angle", "at crank angle", "rad"),
        Column("room", "at fastest speed", "m"),
        Column("angle", "at crank angle", "rad"),
        Column("room_worst", "worst case", "m"),
        Column("contact", "first contact", "rad/s"),
    )
    pairs = evaluation.bodies.nearest(TIGHTEST)
    missing = "; ".join(each.words for each in without_body(evaluation.design))
    note = (
        "Real outlines at every degree of the turn, displaced by deflection and by play; "
        "making tolerances and heat left out; a face that bends is looked at in its corners."
    )
    if missing:
        note += f" Without a body, and so not looked at: {missing}."
    taken = dict.fromkeys(part.taken for part in evaluation.shapes.parts if part.taken)
    if taken:
        note += f" A usual size is taken, not given, for want of: {'; '.join(taken)}."
    if not pairs:
        return []
    return [
        Table("clearances", "Clearance between other parts", columns, [_row(evaluation, pair) for pair in pairs], note)
    ]


def _row(evaluation: Evaluation, pair: Clearance) -> tuple:
    most = evaluation.design.speed.most
    room, angle = least(pair.distance)
    contact = first_root(lambda speed: pair.least(speed)[0], evaluation.top_speed, scan=4)
    at_speed, its_angle = pair.least(most)
    worst = np.minimum(at_speed, pair.least(most, "worst")[0])  # play lets parts that are in each other back out, too
    return pair.names, room, angle, at_speed, its_angle, worst, contact
