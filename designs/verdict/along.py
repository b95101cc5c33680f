"""Whether what sits on a shaft finds room beside each other."""

import numpy as np

from balance.turning import HANDS
from designs.evaluate import Evaluation
from designs.verdict.row import Row
from shafts.along import axial_rooms, sitting

KEYS = ("axial_room",)


def rows(evaluation: Evaluation) -> list[Row]:
    """Return the row of the two parts on one shaft that are nearest: bearings, gears and fitted weights."""
    planes = evaluation.weights.planes if evaluation.fitted and evaluation.weights is not None else ()
    rooms = {pair: room for hand in HANDS
             for pair, room in axial_rooms(sitting(evaluation.machine, hand, planes)).items()}  # fmt: skip
    one, other = min(rooms, key=lambda pair: float(np.min(rooms[pair])))
    least = np.min(np.stack(np.broadcast_arrays(*rooms.values())), axis=0)
    return [Row("axial_room", f"room along the shaft between {one} and {other}", least, 0.0, "m", "at least")]
