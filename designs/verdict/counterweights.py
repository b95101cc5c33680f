"""Whether the counterweights can be cut, clear what is beside them, and stay on."""

import numpy as np

from designs.evaluate import Evaluation
from designs.verdict.row import Row, not_checked

PROPOSED = "the counterweights are only proposed; fit them (counterweights.fitted: yes)"


def rows(evaluation: Evaluation) -> list[Row]:
    """Return the rows of mass x radius, room, holes and screws of the weights; none without counterweights."""
    if evaluation.weights is None:
        return []
    if not evaluation.fitted:
        return [not_checked(key, what, PROPOSED) for key, what in KEYS.items()]
    return [_moment(evaluation), _room(evaluation), *_holes(evaluation), _retention(evaluation)]


KEYS = {
    "counterweight_moment": "mass x radius that the counterweights fall short by",
    "counterweight_gap": "room of the counterweights beside the other shaft and each other",
    "retention": "safety of the counterweights' screws at overspeed",
}


def _moment(evaluation: Evaluation) -> Row:
    assert evaluation.weights is not None
    planes = evaluation.weights.planes
    short = np.max(np.broadcast_arrays(*(weight.short for weight in planes)), axis=0)
    key = "counterweight_moment"
    return Row(key, KEYS[key], short, 0.0, "kg m", "at most")


def _room(evaluation: Evaluation) -> Row:
    key = "counterweight_gap"
    room = np.min(np.broadcast_arrays(*evaluation.weight_circles), axis=0)
    return Row(key, KEYS[key], room, evaluation.design.limits.gap, "m", "at least")


def _holes(evaluation: Evaluation) -> list[Row]:
    assert evaluation.weights is not None
    shapes = [weight.shape for weight in evaluation.weights.planes if weight.shape.holes]
    if not shapes:
        return []
    # Half a hole's width of material beside it is common practice for drilled plate.
    room = np.min(np.broadcast_arrays(*(shape.hole_room for shape in shapes)), axis=0)
    half = np.max(np.broadcast_arrays(*(diameter / 2 for _, _, diameter in shapes[0].holes)), axis=0)
    what = "material between a hole and the edge of a counterweight; half the hole's diameter, common practice"
    return [Row("counterweight_holes", what, room, half, "m", "at least")]


def _retention(evaluation: Evaluation) -> Row:
    key, holds = "retention", evaluation.weight_holds
    if holds is None:
        return not_checked(key, KEYS[key], "state counterweights.screws: size, property_class, number, arrangement")
    safety = np.min(np.broadcast_arrays(*(each.safety for each in holds)), axis=0)
    limit = evaluation.design.limits.retention
    return Row(key, KEYS[key], safety, limit, "", "at least", speed=evaluation.top_speed)
