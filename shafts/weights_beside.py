"""The counterweights beside the shafts: what clearance they have, and how their screws hold them."""

from dataclasses import replace

import numpy as np

from balance.many import refuse_many
from balance.plates.pinned import PinArm
from balance.plates.plate import Plate
from balance.quantities import Number
from balance.turning import HANDS
from balance.weights.added_mass import TradeOff, trade_off
from balance.weights.balancing import Arms, Effects, Weight, Weights
from balance.weights.carrier import Carrier, carrier_of, pin_arm
from balance.weights.clearance import WeightClearance, circle_clearance, proven_clearances
from balance.weights.retention import Hold, hold, pull
from shafts.engine import Engine
from shafts.pieces import pieces, widest_between
from shafts.strength.grips import grip_of, missing_of, untold


def circle_clearances(engine: Engine, weights: Weights) -> list[Number]:
    """Return the clearance of each plane's weights within the circles they sweep, m: see circle_clearance."""
    clearances = []
    for weight in weights.planes:
        half = weight.shape.thickness / 2 + np.asarray(engine.fits.axial_play)
        beside = [widest_between(shaft, weight.at - half, weight.at + half) for shaft in engine.shafts.pair]
        clearances.append(
            circle_clearance(engine.cranks.centre_distance, weight.shape.edge.reach, np.maximum(beside[0], beside[1]))
        )
    return clearances


def weight_clearances(engine: Engine, weights: Weights, own_alone: bool = False) -> list[WeightClearance]:
    """Return the proven clearance of every counterweight from all with an outline, or of its crank; for one design."""
    refuse_many(engine, "the clearance of counterweights")
    shafts = {hand: pieces(shaft) for hand, shaft in zip(HANDS, engine.shafts.pair, strict=True)}
    carried = {hand: tuple(each.name for each in by_plane) for hand, by_plane in carriers(engine).items()}
    return proven_clearances(engine, weights, shafts, float(engine.fits.axial_play), carried, own_alone)


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
    """Return how the screws hold the weight of each plane at the given overspeed, or the crankpin that carries it.

    None if no screws are given and something else than a crankpin carries one.
    """
    stock = engine.counterweights
    assert stock is not None
    there = [np.asarray(False if arm is None else arm.there, dtype=bool) for arm in arms(engine)]
    if stock.screws is None and not np.all([np.all(each) for each in there]):
        return None
    speed = np.asarray(engine.speed.most) * engine.speed.overspeed
    by_plane = []
    for weight, arm, pinned in zip(weights.planes, arms(engine), there, strict=True):
        load = pull(weight.shape.moment, speed)
        ways = [] if arm is None else [_on_pin(engine, weight, arm, load)]
        if not np.all(pinned):
            assert stock.screws is not None
            metals = stock.material, stock.screws.into or engine.shafts.material
            ways.append(hold(stock.screws, weight.shape.moment, speed, _with_bolts_alone(engine, weight), metals))
        by_plane.append(ways[0] if len(ways) == 1 else _either(pinned, *ways))
    return by_plane


def _either(there: np.ndarray, pinned: Hold, screwed: Hold) -> Hold:
    """Return how the weights of many options are held, of which a crankpin carries some and screws hold the others."""
    capacities: dict[str, Number] = {}
    capacities |= {name: np.where(there, each, np.inf) for name, each in pinned.capacities.items()}
    capacities |= {name: np.where(there, np.inf, screwed.number * each) for name, each in screwed.capacities.items()}
    tightened = None if screwed.tightened is None else np.where(there, np.inf, screwed.tightened)
    return Hold(pinned.pull, 1, capacities, (*pinned.unknown, *screwed.unknown), tightened)


def _on_pin(engine: Engine, weight: Weight, arm: PinArm, load: Number) -> Hold:
    """Return how a crankpin's joint holds the plate on its end, against its turning and tipping there.

    The pull acts through the shaft's line in the middle of the plate; the pin takes it over the length that both share.
    """
    pin, entry = engine.cranks.throws[arm.throw].pin, f"cranks.throws.{arm.throw}.pin.joint"
    assert pin is not None and engine.counterweights is not None
    metals = engine.counterweights.material, pin.material or engine.shafts.material
    end = np.asarray(pin.length) / 2
    at, half = np.asarray(weight.at) - engine.cranks.throws[arm.throw].at, np.asarray(weight.shape.thickness) / 2
    length = np.minimum(end, np.abs(at) + half) - (np.abs(at) - half)
    joint = pin.joint
    unknown = [entry] if joint is None else [f"{entry}.{name}" for name in missing_of(joint)]
    unknown += [] if joint is None else untold(joint, pin.diameter, metals)
    held = None if joint is None or unknown else grip_of(joint, pin.diameter, length, 2 * pin.diameter, metals)
    if held is None:  # the plate's eye is twice as wide as its pin
        return Hold(load, 1, {}, (", ".join(unknown) or f"{entry} of a kind that holds a plate on its other end",))
    aside = np.abs(np.sin(np.asarray(weight.angle) - arm.angle)) * arm.radius
    used = held.used(aside, half - length / 2, 1.0)
    return Hold(load, 1, {"grip on the crankpin": np.where(length > 0, 1 / used, 0.0)})


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
