"""Whether the counterweights clear everything around them: quickly by circles, or proven over the whole turn."""

from typing import Any

import numpy as np

from balance.bodies.every import bodies
from balance.cycle.extremes import least
from balance.machine.machine import Machine
from balance.motion import crank_angles, move
from balance.obstacles import ANGLES, Obstacle, ShaftPiece
from balance.outlines import ranges_meet
from balance.plates.pinned import HAIR, Pinned
from balance.quantities import Number, Scalar, result
from balance.turning import HANDS, on_bench
from balance.weights.balancing import Weight, Weights, counterweight_name
from balance.weights.carrier import TOUCH

COARSE = 10  # angles from one to the next look at what stands still


@result
class WeightClearance:
    """The least distance between a weight and one part over the turn.

    weight, part : in words.   gap : m; where they strike, minus how far the weight's radius must come down.
    angle : crank angle at which it is least, rad.   own : whether the part turns with, or on, the weight's own crank.
    """

    weight: str
    part: str
    gap: float
    angle: float
    own: bool = False


def circle_clearance(centre_distance: Scalar, reach: Scalar, shaft_radius: Scalar) -> Number:
    """Return the clearance of a weight within the circle it sweeps, m, (options...).

    reach : largest distance of the weight from its shaft's centre, m.   shaft_radius : of the other shaft, m.
    Mirrored weights in one plane are each other's mirror images at every angle, so they meet where one
    reaches over the middle: the clearance is c - 2 R. The other shaft leaves c - R - its radius.
    """
    distance = np.asarray(centre_distance)
    return np.minimum(distance - 2 * np.asarray(reach), distance - reach - shaft_radius)


def proven_clearances(
    machine: Machine,
    weights: Weights,
    shafts: dict[str, list[ShaftPiece]],
    play: float = 0.0,
    carried: dict[str, tuple[str, ...]] | None = None,
    own_alone: bool = False,
) -> list[WeightClearance]:
    """Return the clearance between every weight and every part whose ranges along the shafts meet; for a single design.

    shafts : pieces of the right and left shaft.   play : of parts along the shafts, m.
    carried : what carries the weight of each plane on each side, by name: that is joined to it, not beside it.
    own_alone : whether what turns with the weight, and rods on the crankpin that carries it, are all that is asked for.
    The real outlines are looked at every degree of crank angle; the least distance is refined between. What turns with
    a weight stands beside it at every angle as it does at zero.
    """
    motion = move(machine, crank_angles(ANGLES))
    parts = [part for part in bodies(machine, motion, shafts) if not part.taken]
    cut = _cut(machine, weights, motion.theta)
    clearances = []
    for (hand, plane, weight), body in cut:
        beyond = [] if own_alone or hand == "left" else [other for _, other in cut if other.hand == "left"]
        holder = "" if carried is None else carried[hand][plane]
        near = [part for part in parts if not _joined(machine, part, hand, holder)]
        centre, reach = HANDS[hand] * float(machine.cranks.centre_distance) / 2, float(weight.shape.edge.reach)
        for part in near + beyond:
            own = part.hand == hand
            turns_with_it = own and part.follows[0] in ("web", "pin")
            if own_alone and not (turns_with_it or (own and _on_its_pin(machine, part, holder))):
                continue
            if not ranges_meet(body.z, part.z, _slack(machine, part, own, holder, play)):
                continue
            if turns_with_it:
                gap, angle = _standing_clearance(
                    _weight_outlines(machine, weight, hand, np.zeros(1)), part, centre, reach
                )
            else:
                gap, angle = _least_clearance(body.shapes, part, centre, reach)
            if gap < 0 and part in beyond:  # both weights shrink, so each has to give half
                gap /= 2
            clearances.append(WeightClearance(body.name, part.name, gap, angle, own))
    return clearances


def _slack(machine: Machine, part: Obstacle, own: bool, holder: str, play: float) -> float:
    """Return how far apart along the shafts a part may still meet a weight, m.

    What turns together has no play: a web may touch the plate that is bolted to it. A rod runs against the plate that
    closes its crankpin.
    """
    if own and part.follows[0] in ("web", "pin"):
        return -TOUCH
    return 0.0 if own and _on_its_pin(machine, part, holder) else play


def _on_its_pin(machine: Machine, part: Obstacle, holder: str) -> bool:
    """Return whether a part is a rod on the crankpin that carries the weight."""
    kind, name = part.follows
    return kind == "rod" and holder == f"pin {machine.yokes[name].throw}"


def _joined(machine: Machine, part: Obstacle, hand: str, holder: str) -> bool:
    """Return whether a part is the weight's own shaft, or the crankpin that carries it."""
    kind, name = part.follows
    if part.hand == hand and part.kind in ("gear", "wheel"):  # a weight may well be fixed to one
        return True
    if part.hand != hand or kind not in ("shaft", "pin"):
        return False
    return kind == "shaft" or holder == f"pin {machine.yokes[name].throw}"


def weight_parts(machine: Machine, weights: Weights, theta: np.ndarray) -> list[Obstacle]:
    """Return the weights of every plane and side as parts at crank angles, rad, (angles,); for a single design."""
    return [body for _, body in _cut(machine, weights, theta)]


def _cut(machine: Machine, weights: Weights, theta: np.ndarray) -> list[tuple[tuple[str, int, Weight], Obstacle]]:
    """Return side, plane and weight of all that have a mass, with their bodies."""
    cut = [
        (hand, index, weight) for hand in HANDS for index, weight in enumerate(weights.planes) if weight.shape.mass > 0
    ]
    return [(each, _body(machine, weights, theta, *each)) for each in cut]


def _body(machine: Machine, weights: Weights, theta: np.ndarray, hand: str, plane: int, weight: Weight) -> Obstacle:
    return Obstacle(
        counterweight_name(hand, plane, len(weights.planes)),
        hand,
        _plate_range(weight),
        lambda mask: _weight_outlines(machine, weight, hand, theta[mask]),
        0.0,
        ("weight", ""),
        # A rod runs against the plate that closes its crankpin, as it does against a web.
        joins=(weight.shape.edge.arm.throw,) if isinstance(weight.shape.edge, Pinned) else (),
        kind="weight",
        circle=(HANDS[hand] * float(machine.cranks.centre_distance) / 2, 0.0, float(weight.shape.edge.reach) + HAIR),
        angles=len(theta),
    )


def _plate_range(weight: Weight) -> tuple[float, float]:
    half = float(weight.shape.thickness) / 2
    return float(np.asarray(weight.at)) - half, float(np.asarray(weight.at)) + half


def _weight_outlines(machine: Machine, weight: Weight, hand: str, theta: np.ndarray) -> Any:
    """Return the weight's outline at crank angles theta, rad, as shapely polygons, (angles,).

    The weight's own +y points to crank angle + its place, which turns clockwise on the right shaft.
    """
    import shapely

    corners, sign = weight.shape.corners, HANDS[hand]
    x, y = on_bench(corners[:, 0], corners[:, 1], (theta + float(weight.angle))[:, None], sign)
    return shapely.polygons(np.stack([sign * float(machine.cranks.centre_distance) / 2 + x, y], axis=-1))


def _standing_clearance(outline: Any, part: Obstacle, centre: float, reach: float) -> tuple[float, float]:
    """Return the least distance from a part that turns with the weight, whose outline at crank angle zero is given."""
    import shapely

    shape = part.shapes[:1]
    distance = float(shapely.distance(outline, shape)[0]) - part.radius
    return (distance if distance > 0 else float(_inward(outline, shape, part.radius, centre, reach)[0])), 0.0


def _least_clearance(outlines: Any, part: Obstacle, centre: float, reach: float) -> tuple[float, float]:
    distance = _distances(outlines, part, centre, reach)
    struck = distance <= 0
    if not np.any(struck):
        gap, angle = least(distance)
        return float(gap), float(angle)
    inward = _inward(outlines[struck], np.broadcast_to(part.shapes, outlines.shape)[struck], part.radius, centre, reach)
    worst = int(np.argmin(inward))
    return float(inward[worst]), float(crank_angles(ANGLES)[struck][worst])


def _inward(outlines: Any, shapes: Any, radius: float, centre: float, reach: float) -> np.ndarray:
    """Return minus how far the weight's radius must come down to be clear of shapes that it meets, m, one for each."""
    import shapely

    grown = shapely.buffer(shapes, radius) if radius else shapes
    shared = shapely.intersection(outlines, grown)
    return np.where(shapely.is_empty(shared), reach, shapely.distance(shapely.points(centre, 0.0), shared)) - reach


def _distances(outlines: Any, part: Obstacle, centre: float, reach: float) -> np.ndarray:
    """Return distances at all angles, m, of which those that decide are exact and the others no larger than they are.

    A weight lies within its circle and so is no nearer than that is, and no point of it turns faster than its farthest:
    where this leaves no more than a hair to win over the least that is known, no outline is looked at. The least, both
    its neighbours and all that strike are exact.
    """
    import shapely

    shapes = np.broadcast_to(part.shapes, outlines.shape)
    distances = shapely.distance(shapely.points(centre, 0.0), shapes) - part.radius - reach - HAIR
    if np.size(part.shapes) == 1:
        looks = shapely.distance(outlines[::COARSE], shapes[::COARSE]) - part.radius - HAIR
        distances = np.maximum(distances, _between(looks, reach * 2 * np.pi / len(distances)))
    known = np.zeros(len(distances), dtype=bool)
    wanted = np.argmin(distances, keepdims=True)
    while len(wanted):
        distances[wanted] = shapely.distance(outlines[wanted], shapes[wanted]) - part.radius
        known[wanted] = True
        least_known = np.min(distances[known])
        nearer = distances < max(least_known - 2 * HAIR, 0.0)
        nearer[(int(np.argmin(np.where(known, distances, np.inf))) + np.arange(-1, 2)) % len(distances)] = True
        wanted = np.flatnonzero(nearer & ~known)
    return np.where(known, distances, np.maximum(distances, least_known))


def _between(looks: np.ndarray, way: float) -> np.ndarray:
    """Return what a distance is not less than at each angle, m, from looks every COARSE angles.

    way : the longest that any point goes from one angle to the next, m.
    """
    since = np.arange(COARSE)
    before, after = (
        each[:, None] - way * steps for each, steps in ((looks, since), (np.roll(looks, -1), COARSE - since))
    )
    return np.maximum(before, after).reshape(-1)
