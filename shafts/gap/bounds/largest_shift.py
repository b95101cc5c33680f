"""The most that everything which yields or has play can shift two yokes, at any angle and any speed.

A bound, and a wide one: it tells at which angles the gap cannot be least, so that many options need not be looked
at there. What grows with speed squared is no larger than at rest or at the top speed; what the teeth push apart comes
on top, whichever way it goes; a force is no larger than its largest x and y together; a pin that moves by u lifts its
side of the yoke by no more than u / ey, (ex, ey) the unit vector along the rod; and two sides that rise by no more
than d each lift a place x of the yoke by no more than the larger of d and d x / span.
"""

import numpy as np

from balance.cycle.extremes import highest
from balance.cycle.load import Load, PlanarForce
from balance.quantities import Number, Scalar, side_by_side
from shafts.crank.loaded import LoadedCrank
from shafts.crank.rows import taken
from shafts.gap.facing import Facing
from shafts.gap.items import tooth_mesh, unlike_sides, yoke_tilt_along_shafts
from shafts.gap.items.bearing_clearance import off_centre
from shafts.gap.items.rod_stretch import shortening
from shafts.gap.items.timing_and_backlash import most_lead, tilt_of_lead
from shafts.gap.items.yoke_arm_bending import arm_bow
from shafts.gap.shift import tilt_per_rise
from shafts.loaded_shafts import LoadedShafts


def largest_shift(loaded: LoadedShafts, facing: Facing, top: Number) -> np.ndarray:
    """Return how far two yokes can shift against each other at each place, m, (options..., places).

    top : the fastest speed, rad/s.
    """
    names = facing.upper, facing.lower
    pins = [_of_pins(crank, names, top) for crank in loaded.cranks]
    upper, lower = (_of_yoke(loaded, name, [each[..., index] for each in pins], facing.x, top)
                    for index, name in enumerate(names))  # fmt: skip
    tilting = sum(_of_tilt_along_shafts(loaded, facing, name, top) for name in names)
    unlike = sum(unlike_sides.largest_unlike(loaded, name, facing.x) for name in names)
    return unlike + upper + lower + np.asarray(tilting)[..., None]


def largest(load: Load, top: Number) -> Number:
    """Return the most that a load can come to at any angle and any speed up to `top`, (options...)."""
    return _peak(load.steady) + np.square(top) * _peak(load.inertia)


def _peak(values: Scalar) -> np.ndarray:
    return highest(np.abs(np.atleast_1d(values)))


def _size(force: PlanarForce, top: Number) -> Number:
    return np.hypot(largest(force.x, top), largest(force.y, top))


def _of_yoke(loaded: LoadedShafts, name: str, pins: list[np.ndarray], x: np.ndarray, top: Number) -> np.ndarray:
    """Return the most that one yoke can shift at places x, m, (options..., places).

    pins : the most by which its crankpins are displaced, m, right and left, (options...).
    """
    engine, yoke, moved = loaded.engine, loaded.engine.yokes[name], loaded.motion.yokes[name]
    joint, pivots = yoke.rod if yoke.rod is not None else yoke.slot, loaded.forces[name].pivot
    assert joint is not None
    upright = 1.0 if moved.rod is None else np.min(np.abs(moved.rod.y), axis=-1)
    shorter = shortening(yoke)
    sides = (pivots.right,) if pivots.mirrored else (pivots.right, pivots.left)
    rod = (
        0.0 if shorter is None else shorter * np.max(np.broadcast_arrays(*(_size(each, top) for each in sides)), axis=0)
    )
    sides_shift = [pin + joint.play + rod for pin in pins]
    reach = np.maximum(1.0, np.abs(x) * np.asarray(np.max(tilt_per_rise(yoke, moved), axis=-1))[..., None])
    by_lead, held = tilt_of_lead(loaded, name)
    turned, lag = _peak(by_lead), tooth_mesh.lag(loaded)
    tilt = np.minimum(most_lead(engine) * turned, held) + (0.0 if lag is None else largest(lag, top) * turned)
    shift = np.asarray(np.maximum(*sides_shift) / upright)[..., None] * reach
    bow = arm_bow(loaded, name, x)
    bent = 0.0 if bow is None else np.abs(bow.shape) * np.asarray(largest(bow.load, top))[..., None]
    return shift + np.abs(x) * np.asarray(tilt)[..., None] + bent


def _of_tilt_along_shafts(loaded: LoadedShafts, facing: Facing, name: str, top: Number) -> Number:
    """Return the most by which a yoke that tilts along the shafts can lift or lower a face, m, (options...)."""
    play, stem = yoke_tilt_along_shafts.play_tilt(loaded.engine, name), yoke_tilt_along_shafts.stem_tilt(loaded, name)
    reach = np.max(np.abs(np.broadcast_arrays(*yoke_tilt_along_shafts.reaches(loaded, facing, name))), axis=0)
    return (play + (0.0 if stem is None else largest(stem, top))) * reach


def _of_pins(crank: LoadedCrank, names: tuple[str, str], top: Number) -> np.ndarray:
    """Return the most that yokes' crankpins can be displaced on one side, m, (options..., yokes)."""
    plays = side_by_side([off_centre(bearing, "expected") for bearing in crank.shaft.bearings])
    shares = [np.sqrt(np.sum(crank.carried_along(name) ** 2, axis=(-2, -1))) for name in names]
    return _yielding(crank, names, top) + side_by_side([np.sum(share * plays, axis=-1) for share in shares])


def _yielding(crank: LoadedCrank, names: tuple[str, str], top: Number) -> np.ndarray:
    """Return the most by which what yields displaces them: in proportion to speed squared, it is most at an end."""
    weights, teeth = crank.influence([crank.stations.rods[name] for name in names]), crank.named("gear teeth")
    moved = crank.linear(weights)
    most = side_by_side(
        [_most(moved.at_index(index), moved.at_index(index + 1), top) for index in range(0, 2 * len(names), 2)]
    )
    if teeth is not None and crank.tooth is not None and crank.stations.teeth is not None:
        # The push turns in the crank frame: no response to it is larger than the root of all four squares.
        square = np.sum(taken(weights, crank.stations.teeth) ** 2, axis=-1)
        push = np.abs(teeth.apart) * largest(crank.tooth, top)
        most = most + np.asarray(push)[..., None] * np.sqrt(square[..., 0::2] + square[..., 1::2])
    return most


def _most(x: Load, y: Load, top: Number) -> np.ndarray:
    """Return the largest size of a vector at any angle, at rest or at the top speed, (options...)."""
    squares = [np.square(here) + np.square(there) for here, there in ((x.steady, y.steady), (x.at(top), y.at(top)))]
    return np.sqrt(highest(np.maximum(*np.broadcast_arrays(*squares))))
