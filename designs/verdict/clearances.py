"""Whether all other parts keep clear of each other."""

import numpy as np

from balance.obstacles import without_outline
from balance.outlines import touch
from designs.evaluate import Evaluation
from designs.verdict.row import Row, not_checked

KEY = "clearance"


def rows(evaluation: Evaluation) -> list[Row]:
    """Return the row of the two parts that come nearest at the fastest speed, yokes among themselves left aside."""
    if not _outlined(evaluation):
        missing = "; ".join(without_outline(evaluation.machine))
        return [not_checked(KEY, "room between other parts", f"state outlines of: {missing}")]
    if not evaluation.tightest:
        return []
    most = evaluation.design.speed.most
    found = [(*pair.least(most), pair) for pair in evaluation.tightest]
    # Of mirrored pairs, which are as near to a picometre, the first by name.
    room, angle, pair = min(found, key=lambda each: (round(float(each[0]), 12), each[2].names))
    what, change = f"room between {pair.names}", "move or cut away one of them, or set the other planes apart"
    if np.min(pair.distance) <= 0:
        change = f"they run into each other on the drawing already, the value tells no depth: {change}"
    if bool(touch(pair.one.z, pair.other.z, evaluation.design.fits.axial_play)):
        change = f"along the shafts they only just touch, which is not clear: set their planes apart, or {change}"
    return [Row(KEY, what, room, evaluation.design.limits.gap, "m", "at least", change, most, angle)]


def _outlined(evaluation: Evaluation) -> bool:
    """Return whether there is more than yokes and pins to look at: a rod or a wall with an outline."""
    rods = (yoke.rod for yoke in evaluation.design.yokes.values() if yoke.rod is not None)
    return bool(evaluation.design.walls) or any(rod.width is not None and rod.thickness is not None for rod in rods)
