"""How far a crank yields at a place under a steady push there, its turning held at the gears."""

from dataclasses import dataclass

import numpy as np

from balance.machine.crank import place_in_frame
from balance.quantities import Number
from balance.turning import HANDS
from shafts.bearings.stiffness import by_contact
from shafts.crank.build import crank
from shafts.crank.compliance import Unit, respond
from shafts.crank.layout import left_out
from shafts.crank.supports import support_parts, whole_of
from shafts.engine import Engine
from shafts.shaft import Bearing


@dataclass(frozen=True)
class PushAt:
    """Where and how a crank is pushed.

    hand : "right" or "left".   throw : the crankpin that is pushed, None for the shaft itself at `bearing`, from 0.
    along : "x" or "y" of the bench.   angle : crank angle at which it stands, rad.
    forces : sizes of the least and the largest push, N, unlike.
    """

    hand: str
    throw: str | None
    bearing: int
    along: str
    angle: float
    forces: tuple[float, float]


def push_slope(engine: Engine, push: PushAt) -> np.ndarray:
    """Return deflection over force along the push, m/N, (options...), by the elastic crank.

    Balls yield less the harder they are pressed: they are taken between the two pushes. Play is not in it. Turning is
    held at the gears, else at the first bearing, so the twist from there to the pin is.
    """
    shaft = engine.shafts.pair[list(HANDS).index(push.hand)]
    places = [each.at for each in shaft.bearings]
    held = places[0] if engine.cranks.gears is None else engine.cranks.gears.at
    unit = _unit(engine, push, places)
    chain = crank(shaft, engine.cranks, push.hand, [*places, unit.z, held])
    parts = support_parts(shaft)
    response = respond(chain, [(unit,)], places, held, whole_of(parts))
    count = len(places)
    share = np.hypot(response.reactions[..., :count, 0], response.reactions[..., count : 2 * count, 0])
    contacts = [_contact(each, share[..., index], push.forces) for index, each in enumerate(shaft.bearings)]
    balls = np.stack(np.broadcast_arrays(*contacts), axis=-1)[..., None] * np.eye(count)
    supports = sum(parts.values(), balls)
    if count > 2:  # what each carries depends on what they yield
        response = respond(chain, [(unit,)], places, held, supports)
    return (response.by_members([0]) + response.by_supports([0], supports))[..., 0, 0]


def counted_as_rigid(engine: Engine, push: PushAt) -> list[str]:
    """Return the entries to give so that nothing on the way from a push to the supports need count as rigid."""
    if push.throw is None:
        return []
    return left_out(engine.shafts.pair[list(HANDS).index(push.hand)], engine.cranks, push.hand)


def _unit(engine: Engine, push: PushAt, places: list[Number]) -> Unit:
    """Return the push as a unit load in the crank's own frame."""
    sign, sine, cosine = HANDS[push.hand], float(np.sin(push.angle)), float(np.cos(push.angle))
    across, along = (sign * cosine, sign * sine) if push.along == "x" else (-sine, cosine)
    if push.throw is None:
        return Unit(places[push.bearing], fx=across, fy=along)
    throw = engine.cranks.throws[push.throw]
    x, y = place_in_frame(throw)
    return Unit(throw.at, x, y, fx=across, fy=along)


def _contact(bearing: Bearing, share: np.ndarray, forces: tuple[float, float]) -> Number:
    """Return what a bearing's balls yield between two pushes of which it carries a share, m/N."""
    if not by_contact(bearing):
        return 0.0
    low, high = (np.maximum(share, 1e-9) * force for force in forces)
    return (bearing.inside.compliance(high) * high - bearing.inside.compliance(low) * low) / (high - low)
