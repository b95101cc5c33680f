"""Whether what sits on a shaft finds room beside each other."""

import numpy as np

from balance.quantities import Number
from balance.turning import HANDS
from designs.evaluate import Evaluation
from designs.verdict.row import Row
from shafts.along import axial_clearances, ring_clearance, sitting

KEYS = ("axial_room", "bearing_rings")


def rows(evaluation: Evaluation) -> list[Row]:
    """Return the rows of the two parts on one shaft that are nearest, and of bearings beside each other."""
    clearances = clearances_along(evaluation)
    one, other = min(clearances, key=lambda pair: float(np.min(clearances[pair])))
    least = np.min(np.stack(np.broadcast_arrays(*clearances.values())), axis=0)
    less = ", less their end float" if " plate " in f"{one} {other}" else ""
    beside = "material between bearings of the right and left shaft that stand side by side"
    return [
        Row("axial_room", f"clearance along the shaft between {one} and {other}{less}", least, 0.0, "m", "at least",
            where=f"{one} and {other}"),
        Row("bearing_rings", beside, ring_clearance(evaluation.machine), 0.0, "m", "at least"),
    ]  # fmt: skip


def clearances_along(evaluation: Evaluation) -> dict[tuple[str, str], Number]:
    """Return the axial clearance between every two parts on one shaft, m, (options...), by their names."""
    planes = evaluation.weights.planes if evaluation.fitted and evaluation.weights is not None else ()
    return {
        pair: clearance
        for hand in HANDS
        for pair, clearance in axial_clearances(
            sitting(evaluation.machine, hand, planes), evaluation.machine.fits.axial_play
        ).items()
    }
