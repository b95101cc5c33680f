"""Whether all other parts keep clear of each other."""

import numpy as np

from balance.obstacles import without_outline
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
    what = f"room between {pair.names}"
    if np.min(pair.distance) <= 0:
        what += ", which run into each other on the drawing already: the value tells no depth"
    return [Row(KEY, what, room, evaluation.design.limits.gap, "m", "at least", speed=most, angle=angle)]


def _outlined(evaluation: Evaluation) -> bool:
    """Return whether there is more than yokes and pins to look at: a rod or a wall with an outline."""
    rods = (yoke.rod for yoke in evaluation.design.yokes.values() if yoke.rod is not None)
    return bool(evaluation.design.walls) or any(rod.width is not None and rod.thickness is not None for rod in rods)
