"""What the elastic cranks do to the gap: displaced crankpins, by all that yields or by one kind of part alone."""

from collections.abc import Callable
from dataclasses import replace

import numpy as np

from balance.cycle.load import Load, combined
from balance.turning import HANDS
from shafts.crank.loaded import LoadedCrank
from shafts.crank.vectors import CrankVector
from shafts.gap.curve import GapCurve
from shafts.gap.facing import Facing
from shafts.gap.shift import at_places, rise_per_displacement, spread
from shafts.loaded_shafts import LoadedShafts

Weights = Callable[[LoadedCrank, list[tuple[int, int]]], np.ndarray]
"""Displacements of crankpins by all loads on a crank, m/N, (options..., 2 pins, loads)."""


def by_crankpins(loaded: LoadedShafts, facing: Facing) -> GapCurve:
    """Return what displaced crankpins add to the gap, by all that yields."""
    return _curve(loaded, facing, lambda crank, rows: crank.influence(rows))


def of_vibration(loaded: LoadedShafts, facing: Facing) -> GapCurve:
    """Return what the cranks' vibration adds to all that yields."""
    return GapCurve(Load(vibration=by_crankpins(loaded, facing).plain.vibration))


def of_members(loaded: LoadedShafts, facing: Facing, kind: str, twisting: bool | None = None) -> GapCurve:
    """Return what one kind of member adds: "shaft", "crankpin" or "crank web"; of a shaft by twist or without it."""
    return _without_vibration(
        loaded, facing, lambda crank, rows: crank.influence_of(crank.chain.flexibility_of(kind, twisting), None, rows)
    )


def of_supports(loaded: LoadedShafts, facing: Facing, part: str) -> GapCurve:
    """Return what one part of the supports' compliance adds (see `support_parts`)."""
    return _without_vibration(loaded, facing, lambda crank, rows: crank.influence_of(None, crank.supports[part], rows))


def _without_vibration(loaded: LoadedShafts, facing: Facing, weights: Weights) -> GapCurve:
    """Return a part of the whole without vibration, which is a line of its own."""
    curve = _curve(loaded, facing, weights)
    return replace(curve, plain=curve.plain.still)


def _curve(loaded: LoadedShafts, facing: Facing, weights: Weights) -> GapCurve:
    names = [name for name, _ in facing.yokes]
    plain, apart = Load(), np.zeros(1)
    for hand, crank in zip(HANDS.values(), loaded.cranks, strict=True):
        pins = crank.vectors(weights(crank, [crank.stations.rods[name] for name in names]))
        for (name, sign), pin in zip(facing.yokes, pins, strict=True):
            rise, pushed = _rise(loaded, name, pin)
            yoke, moved = loaded.engine.yokes[name], loaded.motion.yokes[name]
            over = at_places(yoke, moved, facing.x, hand) * sign
            plain = plain + spread(rise, over)
            apart = apart + np.asarray(pushed)[..., None, :] * over
    return GapCurve(plain, apart, facing.tooth(loaded))


def _rise(loaded: LoadedShafts, name: str, pin: CrankVector) -> tuple[Load, np.ndarray]:
    """Return how far a displaced crankpin lifts its side of the yoke, and that per newton of the teeth's push."""
    by_x, by_y = rise_per_displacement(loaded.motion.yokes[name], loaded.motion.theta)
    return combined((pin.x, by_x), (pin.y, by_y)), np.atleast_1d(pin.apart[0] * by_x + pin.apart[1] * by_y)
