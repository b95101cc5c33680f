"""The share of many builds that touch, with every dimension somewhere in its tolerance."""

from dataclasses import dataclass

import numpy as np

from balance.doubt.shares import wilson
from balance.many import refuse_many
from balance.quantities import Number
from shafts.bearings.play import clearance_range
from shafts.gap.items.bearing_clearance import bearing_shifts
from shafts.gap.pair import YokePair


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


def builds(pair: YokePair, speed: Number, draw: "Draw") -> Builds:
    """Return how many of `draw.count` builds touch, for one design at one speed, rad/s.

    Dimensions follow a normal law whose three standard deviations are the half-width, cut off there;
    clearances are as likely anywhere in their range. Everything is linear in the deviations, so all builds
    are one product of matrices.
    """
    refuse_many(pair.loaded.engine, "many builds")
    random = np.random.default_rng(draw.seed)
    flat = pair.clearances(speed).reshape(-1)
    usable = np.isfinite(flat)
    shape = pair.facing.nominal.shape
    effects, draws = [], []
    for half, shift in pair.deviations.values():
        effects.append(np.broadcast_to(shift.at(pair.facing.x), shape).reshape(-1) * float(np.ravel(half)[0]))
        draws.append(np.clip(random.standard_normal(draw.count) / 3, -1, 1))
    for spread in _clearance_spreads(pair, speed):
        effects.append(np.broadcast_to(spread, shape).reshape(-1))
        draws.append(random.uniform(-0.5, 0.5, draw.count))
    least_gap = np.full(draw.count, flat[usable].min())
    if effects:
        matrix, spread_of = np.array(effects)[:, usable], np.array(draws).T
        for start in range(0, draw.count, 1024):  # bounds the memory whatever the count
            part = slice(start, start + 1024)
            least_gap[part] = (flat[usable] + spread_of[part] @ matrix).min(axis=1)
    return Builds(least_gap, *wilson(int(np.sum(least_gap <= 0)), draw.count))


def _clearance_spreads(pair: YokePair, speed: Number) -> list[np.ndarray]:
    """Return what each bearing's clearance does to the gap from its least to its most, m, (places, angles)."""
    spreads = []
    for crank in pair.loaded.cranks:
        shifts = bearing_shifts(pair.loaded, pair.facing, crank)
        for bearing, load, (across, along) in zip(crank.shaft.bearings, crank.bearings, shifts, strict=True):
            x, y = load.at(speed)
            size = np.hypot(x, y)
            size = np.where(size > 0, size, 1.0)
            least, most = (float(np.asarray(each)) for each in clearance_range(bearing))
            spreads.append((across * (x / size) + along * (y / size)) * (most - least) / 2)
    return spreads


@dataclass(frozen=True)
class Draw:
    """How many builds are drawn, and from which seed."""

    count: int = 10_000
    seed: int = 1
