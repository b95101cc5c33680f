"""How hard the machine shakes, against what it may."""

import numpy as np

from balance.cycle.extremes import largest_roots
from balance.machine.machine import STANDARD_GRAVITY
from balance.quantities import Number
from designs.design import Design
from designs.evaluate import Evaluation
from designs.verdict.row import Row, not_checked

KEYS = ("shaking_force",)


def rows(evaluation: Evaluation) -> list[Row]:
    """Return the row of the shaking force: it grows with speed squared, so the fastest speed is the worst."""
    design = evaluation.design
    limit = shaking_limit(design)
    what = "shaking force, peak"
    if limit is None:
        missing = "give limits.shaking_force, or mount.mass for a quarter of the weight"
        return [not_checked("shaking_force", what, missing)]
    (size,), (angle,) = largest_roots([evaluation.shaking.square])
    speed = np.asarray(design.speed.most)
    return [Row("shaking_force", what, size * speed**2, limit, "N", "at most", speed=speed, angle=angle)]


def shaking_limit(design: Design) -> Number | None:
    """Return the largest shaking force, N: as given, else a quarter of the weight; None without either."""
    if design.limits.shaking_force is None and design.mount is not None:
        return design.mount.mass * STANDARD_GRAVITY / 4
    return design.limits.shaking_force
