"""The counterweights beside the shafts: what room they have, and how their screws hold them."""

from dataclasses import replace

import numpy as np

from balance.plates.plate import Plate
from balance.quantities import Number
from balance.turning import HANDS
from balance.weights.added_mass import TradeOff, trade_off
from balance.weights.balancing import Arms, Effects, Weight, Weights
from balance.weights.carrier import Carrier, carrier_of, pin_arm
from balance.weights.clearance import WeightClearance, circle_clearance, proven_clearances
from balance.weights.retention import Hold, hold
from shafts.engine import Engine
from shafts.pieces import pieces, widest_between


def circle_clearances(engine: Engine, weights: Weights) -> list[Number]:
    """Return the room of each plane's weights within the circles they sweep, m: see circle_clearance."""
    found = []
    for weight in weights.planes:
        half = weight.shape.thickness / 2 + np.asarray(engine.fits.axial_play)
        beside = [widest_between(shaft, weight.at - half, weight.at + half) for shaft in engine.shafts.pair]
        found.append(
            circle_clearance(engine.cranks.centre_distance, weight.shape.edge.reach, np.maximum(beside[0], beside[1]))
        )
    return found


def weight_clearances(engine: Engine, weights: Weights) -> list[WeightClearance]:
    """Return the proven room of every weight from everything with an outline; for a single design."""
    shafts = {hand: pieces(shaft) for hand, shaft in zip(HANDS, engine.shafts.pair, strict=True)}
    carried = {hand: tuple(each.name for each in found) for hand, found in carriers(engine).items()}
    return proven_clearances(engine, weights, shafts, float(engine.fits.axial_play), carried)


def carriers(engine: Engine) -> dict[str, list[Carrier]]:
    """Return what carries the counterweight of each plane on the right and the left shaft."""
    stock = engine.counterweights
    assert stock is not None
    return {
        hand: [carrier_of(stock, plane, engine.cranks, shaft.ends) for plane in range(len(stock.planes))]
        for hand, shaft in zip(HANDS, engine.shafts.pair, strict=True)
    }


def arms(engine: Engine) -> Arms:
    """Return the arm by which the counterweights of each plane sit on a crankpin, by the right shaft; else None."""
    stock, ends = engine.counterweights, engine.shafts.pair[0].ends
    assert stock is not None
    return tuple(pin_arm(stock, plane, engine.cranks, ends) for plane in range(len(stock.planes)))


def holds(engine: Engine, weights: Weights) -> list[Hold] | None:
    """Return how the screws hold the weight of each plane at the stated overspeed; None if no screws are stated."""
    assert engine.counterweights is not None
    screws = engine.counterweights.screws
    if screws is None:
        return None
    speed = np.asarray(engine.speed.most) * engine.speed.overspeed
    materials = engine.counterweights.material, screws.into or engine.shafts.material
    return [
        hold(screws, weight.shape.moment, speed, _with_bolts_alone(engine, weight), materials)
        for weight in weights.planes
    ]


def _with_bolts_alone(engine: Engine, weight: Weight) -> Plate | None:
    """Return a plate with the holes of its bolts and no others; None if none are described."""
    assert engine.counterweights is not None
    bolts = getattr(engine.counterweights.shape, "bolts", None)
    return None if bolts is None else replace(weight.shape, holes=weight.shape.holes[: bolts.number])


def traded(engine: Engine, weights: Weights, effects: Effects) -> TradeOff:
    """Return added mass against what is left of the aim, the weights' mass centres as far out as those cut."""
    assert engine.counterweights is not None
    radius = np.array([max(float(weight.shape.centre), 1e-6) for weight in weights.planes])
    return trade_off(effects, radius, engine.counterweights.aim in ("least peak", "least bearing load"))
