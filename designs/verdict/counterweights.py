"""Whether the counterweights can be cut, clear what is beside them, and stay on."""

import numpy as np

from balance.weights.remedy import Remedy, remedy
from balance.weights.retention import size_for
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
    assert evaluation.design.counterweights is not None
    planes = evaluation.weights.planes
    short = np.max(np.broadcast_arrays(*(weight.short for weight in planes)), axis=0)
    wanted = np.max(np.broadcast_arrays(*(weight.wanted for weight in planes)), axis=0)
    change = "the plate is large enough"
    if np.any(short > 0):
        change = words(remedy(evaluation.design.counterweights, wanted), evaluation)
    key = "counterweight_moment"
    return Row(key, KEYS[key], short, 0.0, "kg m", "at most", change)


def words(found: Remedy, evaluation: Evaluation) -> str:
    """Return in words what would make the plate large enough, for the worst option."""
    half = float(np.min(evaluation.design.cranks.centre_distance)) / 2
    thickness, density, radius = (float(np.max(each)) for each in (found.thickness, found.density, found.radius))
    ways = [f"a plate {thickness * 1e3:.1f} mm thick"]
    names = ", ".join(found.materials[:3])
    ways.append(f"a metal of {density:.0f} kg/m^3 or more" + (f" ({names})" if names else ""))
    if np.isfinite(radius) and radius < half:
        ways.append(f"a largest radius of {radius * 1e3:.1f} mm")
    if np.all(found.second_plane):
        ways.append("weights in two planes")
    return f"use {'; or '.join(ways)}; or add trims so that less is needed"


def _room(evaluation: Evaluation) -> Row:
    key = "counterweight_gap"
    room = np.min(np.broadcast_arrays(*evaluation.weight_circles), axis=0)
    change = "bring the largest radius down; below half the centre distance mirrored weights never meet"
    return Row(key, KEYS[key], room, evaluation.design.limits.gap, "m", "at least", change)


def _holes(evaluation: Evaluation) -> list[Row]:
    assert evaluation.weights is not None
    shapes = [weight.shape for weight in evaluation.weights.planes if weight.shape.holes]
    if not shapes:
        return []
    # Half a hole's width of material beside it is common practice for drilled plate.
    room = np.min(np.broadcast_arrays(*(shape.hole_room for shape in shapes)), axis=0)
    half = np.max(np.broadcast_arrays(*(diameter / 2 for _, _, diameter in shapes[0].holes)), axis=0)
    change = "smaller holes, holes nearer to the middle line, or a wider shape"
    what = "material between a hole and the edge of a counterweight; half the hole's diameter, common practice"
    return [Row("counterweight_holes", what, room, half, "m", "at least", change)]


def _retention(evaluation: Evaluation) -> Row:
    key, holds = "retention", evaluation.weight_holds
    if holds is None:
        return not_checked(key, KEYS[key], "state counterweights.screws: size, property_class, number, arrangement")
    safety = np.min(np.broadcast_arrays(*(each.safety for each in holds)), axis=0)
    limit = evaluation.design.limits.retention
    counterweights = evaluation.design.counterweights
    assert counterweights is not None
    assert counterweights.screws is not None
    screws = counterweights.screws
    number = max(1, int(max(np.max(each.needed(limit)) for each in holds)))
    size = size_for(screws, max(np.max(each.pull) for each in holds), limit)
    change = f"it takes {number} x {screws.size} of class {screws.property_class}" + (
        f", or {screws.number} x {size}" if size else ""
    )
    change += "; lock them, and test overspeed behind a shield"
    return Row(key, KEYS[key], safety, limit, "", "at least", change, evaluation.top_speed)
