"""Whether what sits on a shaft finds room beside each other."""

import numpy as np

from balance.turning import HANDS
from designs.evaluate import Evaluation
from designs.verdict.row import Row
from shafts.along import Beside, axial_clearances, ring_clearance, sitting

KEYS = ("axial_room", "bearing_rings")


def rows(evaluation: Evaluation) -> list[Row]:
    """Return the rows of the two parts on one shaft that are nearest, and of bearings beside each other."""
    clearances = clearances_along(evaluation)
    nearest = min(clearances, key=lambda each: float(np.min(each.clearance)))
    least = np.min(np.stack(np.broadcast_arrays(*(each.clearance for each in clearances))), axis=0)
    names, less = " and ".join(nearest.names), ", less their end float" if nearest.floats else ""
    beside = "material between bearings of the right and left shaft that stand side by side"
    return [
        Row("axial_room", f"clearance along the shaft between {names}{less}", least, 0.0, "m", "at least",
            where=names),
        Row("bearing_rings", beside, ring_clearance(evaluation.machine), 0.0, "m", "at least"),
    ]  # fmt: skip


def clearances_along(evaluation: Evaluation) -> list[Beside]:
    """Return the axial clearance between every two parts on one shaft."""
    planes = evaluation.weights.planes if evaluation.fitted and evaluation.weights is not None else ()
    end_float = evaluation.machine.fits.axial_play
    return [each for hand in HANDS for each in axial_clearances(sitting(evaluation.machine, hand, planes), end_float)]
