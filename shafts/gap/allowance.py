"""The most that everything which gives way or has play can shift two yokes, at any angle and any speed.

A bound, and a wide one: it tells at which angles the gap cannot be least, so that many options need not be looked
at there. A load is no larger than its part at rest and its part at the top speed together; a weighted sum of
forces is no larger than the weighted sum of their sizes; a pin that moves by u lifts its side of the yoke by no
more than u / ey, (ex, ey) the unit vector along the rod; and two sides that rise by no more than d each lift a
place x of the yoke by no more than the larger of d and d x / span.
"""

from dataclasses import dataclass

import numpy as np

from balance.extremes import highest
from balance.growth import Growth, Pull
from balance.quantities import Number, Scalar
from balance.shaft_loads import ShaftLoads
from shafts.bearings.play import clearance_range
from shafts.carried import Carried
from shafts.gap.facing import Facing
from shafts.gap.give import Give, Side, throw_of
from shafts.gap.shift import turn_of
from shafts.gap.timing import most_lead, timing_of
from shafts.gap.yoke_give import stretch, yoke_bow
from shafts.whirl.torsion import twist_give_at


@dataclass(frozen=True, eq=False)
class Most:
    """The largest loads over the cycle up to the top speed, right then left; each (options...).

    stations : size of every force on each shaft, N, in the order of its stations.
    torques : of everything that twists it, N m, in the order of `Carried.twisting`.
    gives : of each yoke's throws.
    """

    carried: Carried
    top: Number
    gives: dict[str, list[Give]]
    stations: list[list[Number]]
    torques: list[list[Number]]


def most_shift(carried: Carried, facing: Facing, gives: dict[str, list[Give]], top: Number) -> np.ndarray:
    """Return how far two yokes can shift against each other at each place, m, (options..., places).

    gives : of each yoke's throws, right and left.   top : the fastest speed, rad/s.
    """
    stations = [_sizes(loads, top) for loads in carried.loads]
    torques = [[largest(each.torque, top) for each in side] for side in carried.twisting]
    most = Most(carried, top, gives, stations, torques)
    upper, lower = (_of_yoke(most, name, facing.x) for name in (facing.upper, facing.lower))
    return upper + lower


def largest(load: Growth, top: Number) -> Number:
    """Return the most that a load can come to at any angle and any speed up to `top`, (options...)."""
    return _peak(load.steady) + np.square(top) * _peak(load.inertia)


def _peak(course: Scalar) -> Number:
    return highest(np.abs(np.atleast_1d(course)))


def _size(pull: Pull, top: Number) -> Number:
    return np.hypot(largest(pull.x, top), largest(pull.y, top))


def _of_yoke(most: Most, name: str, x: np.ndarray) -> np.ndarray:
    """Return the most that one yoke can shift at places x, m, (options..., places)."""
    engine, yoke, moved = most.carried.engine, most.carried.engine.yokes[name], most.carried.motion.yokes[name]
    joint, pivots = yoke.rod if yoke.rod is not None else yoke.slot, most.carried.forces[name].pivot
    assert joint is not None
    upright = 1.0 if moved.rod is None else np.min(np.abs(moved.rod.y), axis=-1)
    sides = [_of_pin(most, place, name) + joint.play + stretch(yoke) * _size(pivot, most.top)
             for place, pivot in enumerate((pivots.right, pivots.left))]  # fmt: skip
    reach = np.maximum(1.0, np.abs(x) * np.asarray(np.max(turn_of(yoke, moved), axis=-1))[..., None])
    ((_, by_lead, held),) = timing_of(most.carried, name).tilts
    tilt = np.minimum(most_lead(engine) * _peak(by_lead), held)
    shift = np.asarray(np.maximum(sides[0], sides[1]) / upright)[..., None] * reach
    return shift + np.abs(x) * np.asarray(tilt)[..., None] + _bent(most, name, x)


def _of_pin(most: Most, place: int, name: str) -> Number:
    """Return the most that a yoke's throw can be displaced on one side, m, (options...)."""
    side = Side(most.carried, place)
    give, shares = most.gives[name][place], np.abs(side.state.shares[name])
    weights = np.abs(give.weights) + sum(np.abs(across) for across, _ in give.arms)
    given = sum(weights[..., force] * size for force, size in enumerate(most.stations[place]))
    plays = [clearance_range(bearing)[1] for bearing in side.shaft.bearings]
    return given + sum(shares[..., each] * play / 2 for each, play in enumerate(plays)) + _twisted(most, side, name)


def _sizes(loads: ShaftLoads, top: Number) -> list[Number]:
    """Return the largest size of every force on a shaft, N, in the order of the stations."""
    sizes = [_size(pull, top) for _, pull in loads.pins.values()]
    weight = np.hypot(*loads.gravity)
    sizes += [each.mass * weight + np.hypot(each.across, each.along) * np.square(top) for each in loads.turning]
    if loads.mesh is not None:
        sizes.append(largest(loads.mesh.tangential, top) * np.sqrt(1 + np.square(loads.mesh.spread)))
    return sizes


def _twisted(most: Most, side: Side, name: str) -> Number:
    """Return the most by which wind-up moves a throw along its circle, m."""
    if side.loads.mesh is None:
        return 0.0
    throw, twisting = throw_of(side, name), most.carried.twisting[side.place]
    give = twist_give_at(side.shaft, throw.at, [each.at for each in twisting], side.loads.mesh.at)
    return throw.radius * sum(give[..., each] * size for each, size in enumerate(most.torques[side.place]))


def _bent(most: Most, name: str, x: np.ndarray) -> np.ndarray | float:
    """Return the most that a yoke's arms can bend at places x, m, (options..., places)."""
    bow = yoke_bow(most.carried, name, x)
    return 0.0 if bow is None else np.abs(bow.shape) * np.asarray(largest(bow.load, most.top))[..., None]
