"""The most that everything which gives way or has play can shift two yokes, at any angle and any speed.

A bound, and a wide one: it tells at which angles the gap cannot be least, so that many options need not be looked
at there. A load is no larger than its part at rest and its part at the top speed together; a weighted sum of
forces is no larger than the weighted sum of their sizes; a pin that moves by u lifts its side of the yoke by no
more than u / ey, (ex, ey) the unit vector along the rod; and two sides that rise by no more than d each lift a
place x of the yoke by no more than the larger of d and d x / span.
"""

from dataclasses import dataclass

import numpy as np

from balance.cycle.extremes import highest
from balance.cycle.load import Load, PlanarForce
from balance.quantities import Number, Scalar, side_by_side
from balance.shaft_loads import ShaftLoads
from shafts.bearings.play import clearance_range
from shafts.carried import LoadedShafts
from shafts.gap.facing import Facing
from shafts.gap.give import Give, Side, sides
from shafts.gap.shift import turn_of
from shafts.gap.timing import most_lead, timing_of
from shafts.gap.yoke_give import stretch, yoke_bow


@dataclass(frozen=True, eq=False)
class Most:
    """The largest loads over the cycle up to the top speed, and by how much they displace throws.

    pins : of both yokes' throws, m, right and left; each (options..., yokes).
    """

    carried: LoadedShafts
    top: Number
    pins: list[np.ndarray]


def most_shift(carried: LoadedShafts, facing: Facing, gives: list[Give], top: Number) -> np.ndarray:
    """Return how far two yokes can shift against each other at each place, m, (options..., places).

    gives : of both yokes' throws, the upper first, on the right and on the left.   top : the fastest speed, rad/s.
    """
    names = facing.upper, facing.lower
    pins = [_of_pins(side, give, top) for side, give in zip(sides(carried, *names), gives, strict=True)]
    most = Most(carried, top, pins)
    upper, lower = (_of_yoke(most, place, name, facing.x) for place, name in enumerate(names))
    return upper + lower


def largest(load: Load, top: Number) -> Number:
    """Return the most that a load can come to at any angle and any speed up to `top`, (options...)."""
    return _peak(load.steady) + np.square(top) * _peak(load.inertia)


def _peak(course: Scalar) -> np.ndarray:
    return highest(np.abs(np.atleast_1d(course)))


def _size(pull: PlanarForce, top: Number) -> Number:
    return np.hypot(largest(pull.x, top), largest(pull.y, top))


def _of_yoke(most: Most, place: int, name: str, x: np.ndarray) -> np.ndarray:
    """Return the most that one yoke can shift at places x, m, (options..., places)."""
    engine, yoke, moved = most.carried.engine, most.carried.engine.yokes[name], most.carried.motion.yokes[name]
    joint, pivots = yoke.rod if yoke.rod is not None else yoke.slot, most.carried.forces[name].pivot
    assert joint is not None
    upright = 1.0 if moved.rod is None else np.min(np.abs(moved.rod.y), axis=-1)
    give = stretch(yoke)
    rods = [give * _size(pull, most.top) if np.any(give) else 0.0 for pull in (pivots.right, pivots.left)]
    each = [pins[..., place] + joint.play + rod for pins, rod in zip(most.pins, rods, strict=True)]
    reach = np.maximum(1.0, np.abs(x) * np.asarray(np.max(turn_of(yoke, moved), axis=-1))[..., None])
    ((_, by_lead, held),) = timing_of(most.carried, name).tilts
    tilt = np.minimum(most_lead(engine) * _peak(by_lead), held)
    shift = np.asarray(np.maximum(*each) / upright)[..., None] * reach
    return shift + np.abs(x) * np.asarray(tilt)[..., None] + _bent(most, name, x)


def _of_pins(side: Side, give: Give, top: Number) -> np.ndarray:
    """Return the most that throws can be displaced on one side, m, (options..., yokes)."""
    places, shaft = [list(side.loads.pins).index(name) for name in side.yokes], side.shaft
    weights = np.abs(give.weights) + sum(np.abs(across) for across, _ in give.arms)
    given = (weights @ _sizes(side.loads, top)[..., None])[..., 0]
    shares = np.abs(side.state.found.share[..., places])
    plays = side_by_side([clearance_range(bearing)[1] / 2 for bearing in shaft.bearings])
    return given + np.sum(shares * plays[..., None], axis=-2) + _twisted(side, give, top)


def _sizes(loads: ShaftLoads, top: Number) -> np.ndarray:
    """Return the largest size of every force on a shaft, N, in the order of the stations, (options..., forces)."""
    sizes: list[Number] = [_size(pull, top) for _, pull in loads.pins.values()]
    weight = np.hypot(*loads.gravity)
    sizes += [each.mass * weight + np.hypot(each.across, each.along) * np.square(top) for each in loads.turning]
    if loads.mesh is not None:
        sizes.append(largest(loads.mesh.tangential, top) * np.sqrt(1 + np.square(loads.mesh.spread)))
    return side_by_side(sizes)


def _twisted(side: Side, give: Give, top: Number) -> np.ndarray | float:
    """Return the most by which wind-up moves throws along their circles, m, (options..., yokes)."""
    if give.twist is None:
        return 0.0
    most = side_by_side([largest(each.torque, top) for each in side.carried.twisting[side.place]])
    return side_by_side([throw.radius for throw in side.asked]) * (give.twist @ most[..., None])[..., 0]


def _bent(most: Most, name: str, x: np.ndarray) -> np.ndarray | float:
    """Return the most that a yoke's arms can bend at places x, m, (options..., places)."""
    bow = yoke_bow(most.carried, name, x)
    return 0.0 if bow is None else np.abs(bow.shape) * np.asarray(largest(bow.load, most.top))[..., None]
