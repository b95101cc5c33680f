"""Making tolerances: what each deviation does to a yoke, the worst case, and the share of builds that touch."""

from dataclasses import dataclass

import numpy as np

from balance.doubt.shares import wilson
from balance.quantities import Number, Scalar, over_angle
from shafts.carried import LoadedShafts
from shafts.gap.pressed import BearingPlay
from shafts.gap.shift import STILL, Shift, lean_of, turn_of

Deviations = dict[str, tuple[Number, Shift]]
"""By name of the dimension: half-width of its tolerance, m or rad, and the shift of a yoke per unit of it."""


def deviations(carried: LoadedShafts, name: str) -> Deviations:
    """Return what every toleranced dimension does to a yoke; those of a throw are shared by all on it."""
    yoke, moved = carried.engine.yokes[name], carried.motion.yokes[name]
    limits, lean, turn = carried.engine.fits.tolerances, lean_of(moved), turn_of(yoke, moved)
    radius = over_angle(carried.engine.cranks.throws[yoke.throw].radius)
    outward = (moved.pin.along + lean * moved.pin.across) / radius
    sides: dict[str, tuple[Number, Scalar]] = {
        f"throw radius of {yoke.throw}": (limits.throw_radius, outward),
        f"throw phase of {yoke.throw}": (limits.throw_phase, lean * moved.pin.along - moved.pin.across),
    }
    if moved.rod is not None:
        sides[f"rod length of {name}"] = (limits.rod_length, 1 / moved.rod.y)
        sides[f"half-span of {name}"] = (limits.half_span, -lean)
    found: Deviations = {}
    for dimension, (half_width, rise) in sides.items():
        for hand, sign in (("right", 1.0), ("left", -1.0)):
            found[f"{dimension}, {hand}"] = (half_width, Shift(rise / 2, sign * rise * turn / 2))
    still = np.zeros_like(moved.height)
    found["centre distance"] = (limits.centre_distance, Shift(lean / 2 + still, still))
    found[f"yoke height of {name}"] = (limits.yoke_height, Shift(1.0 + still, still))
    return {dimension: each for dimension, each in found.items() if np.any(np.asarray(each[0]))}


def against(upper: Deviations, lower: Deviations) -> Deviations:
    """Return what every dimension does to the upper yoke against the lower one."""
    found = {}
    for dimension in {**upper, **lower}:
        half_width = (upper.get(dimension) or lower[dimension])[0]
        shifts = (each[dimension][1] if dimension in each else STILL for each in (upper, lower))
        found[dimension] = (half_width, next(shifts) - next(shifts))
    return found


def worst_sum(found: Deviations, x: np.ndarray) -> np.ndarray | float:
    """Return what all tolerances at their worst can take at each place and angle, m, (options..., places, angles)."""
    return sum((np.abs(shift.at(x)) * np.asarray(half)[..., None, None] for half, shift in found.values()), 0.0)


@dataclass(frozen=True)
class Builds:
    """Outcome of many builds with random deviations, for one design.

    least : least gap of each build, m, (builds,).   touch : share that touches.
    low, high : 95 percent confidence interval of that share (Wilson, J. Am. Stat. Assoc. 22 (1927), 209).
    """

    least: np.ndarray
    touch: float
    low: float
    high: float


def builds(
    room: np.ndarray, x: np.ndarray, found: Deviations, pressed: list[tuple[BearingPlay, Number]], draw: "Draw"
) -> Builds:
    """Return how many of `draw.count` builds touch, for one design at one speed.

    room : gap at each place and angle with every play at the middle of its range, (places, angles).
    pressed : each bearing with the speed at which its load is taken.
    Dimensions follow a normal law whose three standard deviations are the half-width, cut off there;
    clearances are as likely anywhere in their range. Everything is linear in the deviations, so all builds
    are one product of matrices.
    """
    random = np.random.default_rng(draw.seed)
    flat = room.reshape(-1)
    usable = np.isfinite(flat)
    effects, draws = [], []
    for half, shift in found.values():
        effects.append(np.broadcast_to(shift.at(x), room.shape).reshape(-1) * float(np.ravel(half)[0]))
        draws.append(np.clip(random.standard_normal(draw.count) / 3, -1, 1))
    for bearing, speed in pressed:
        least, most = (float(each) for each in bearing.clearance)
        spread = bearing.at(speed, most).at(x) - bearing.at(speed, least).at(x)
        effects.append(np.broadcast_to(spread, room.shape).reshape(-1))
        draws.append(random.uniform(-0.5, 0.5, draw.count))
    least_gap = np.full(draw.count, flat[usable].min())
    if effects:
        matrix, spread_of = np.array(effects)[:, usable], np.array(draws).T
        for start in range(0, draw.count, 1024):  # bounds the memory whatever the count
            part = slice(start, start + 1024)
            least_gap[part] = (flat[usable] + spread_of[part] @ matrix).min(axis=1)
    return Builds(least_gap, *wilson(int(np.sum(least_gap <= 0)), draw.count))


@dataclass(frozen=True)
class Draw:
    """How many builds are drawn, and from which seed."""

    count: int = 10_000
    seed: int = 1
