"""The counterweights beside the shafts: what room they have, and how their screws hold them."""

import numpy as np

from balance.quantities import Number
from balance.weights.added_mass import TradeOff, trade_off
from balance.weights.balancing import Effects, Weights
from balance.weights.retention import Hold, hold
from balance.weights.room import Room, circle_room, proven_rooms
from shafts.pieces import pieces, widest_between
from shafts.shaft import Engine


def circle_rooms(engine: Engine, weights: Weights) -> list[Number]:
    """Return the room of each plane's weights within the circles they sweep, m: see circle_room."""
    found = []
    for weight in weights.planes:
        half = weight.shape.thickness / 2 + np.asarray(engine.fits.axial_play)
        beside = [widest_between(shaft, weight.at - half, weight.at + half) for shaft in engine.shafts.pair]
        found.append(
            circle_room(engine.cranks.centre_distance, weight.shape.edge.reach, np.maximum(beside[0], beside[1]))
        )
    return found


def rooms(engine: Engine, weights: Weights) -> list[Room]:
    """Return the proven room of every weight from everything with an outline; for a single design."""
    right, left = engine.shafts.pair
    return proven_rooms(engine, weights, {"right": pieces(right), "left": pieces(left)}, float(engine.fits.axial_play))


def holds(engine: Engine, weights: Weights) -> list[Hold] | None:
    """Return how the screws hold the weight of each plane at the stated overspeed; None if no screws are stated."""
    assert engine.counterweights is not None
    screws = engine.counterweights.screws
    if screws is None:
        return None
    speed = np.asarray(engine.speed.most) * engine.speed.overspeed
    return [hold(screws, weight.shape.moment, speed) for weight in weights.planes]


def traded(engine: Engine, weights: Weights, effects: Effects) -> TradeOff:
    """Return added mass against what is left of the aim, the weights' mass centres as far out as those cut."""
    assert engine.counterweights is not None
    radius = np.array([max(float(weight.shape.centre), 1e-6) for weight in weights.planes])
    return trade_off(effects, radius, engine.counterweights.aim in ("least peak", "least bearing load"))
