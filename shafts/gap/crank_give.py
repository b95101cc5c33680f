"""How throws give way under the loads on their shafts, and how that shifts a yoke.

Only parts whose size is stated give way; the others count as rigid. In a built-up overhung crank the
outer throw hangs on the inner pin, so every load beyond a pin or a web bends it too.
"""

from collections.abc import Callable, Iterable

import numpy as np

from balance.growth import Pull
from shafts.carried import Carried
from shafts.gap.give import Give, Side, rigid
from shafts.gap.pin_give import pin_bending
from shafts.gap.shift import LinearShift, pin_shift
from shafts.gap.web_give import projected, web_bending
from shafts.superposition import Response
from shafts.whirl.torsion import wind_up


def given(carried: Carried, name: str, kinds: Iterable[str]) -> LinearShift:
    """Return how a yoke shifts as its throws give way by some kinds of GIVES together."""
    yoke, moved = carried.engine.yokes[name], carried.motion.yokes[name]
    responses = []
    for side in (Side(carried, place) for place in (0, 1)):
        first, *others = (GIVES[kind](side, name) for kind in kinds)
        responses.append(_displaced(side, name, sum(others, first)))
    return pin_shift(yoke, moved, *responses)


def _displaced(side: Side, name: str, give: Give) -> Response:
    """Return the displacement of a yoke's throw: all that is in proportion to the loads is added up in one go."""
    weights = np.stack(np.broadcast_arrays(give.weights, *(across for across, _ in give.arms)), axis=-2)
    found, *across = side.state.loads.respond(weights)
    for each, (_, angle) in zip(across, give.arms, strict=True):
        found = found + Response(projected(each.pull, side, angle), None, 0.0)
    pin = side.carried.motion.yokes[name].pin
    turned = Pull(give.ahead * (side.loads.sign * pin.along), give.ahead * -pin.across)
    return found + Response(turned, None, 0.0)


def _shaft_bending(side: Side, name: str) -> Give:
    return Give(side.state.at_pin(side.state.found.bending, name))


def _seat_give(side: Side, name: str) -> Give:
    return Give(side.state.at_pin(side.state.found.seating, name))


def _twisted(side: Side, name: str) -> Give:
    """Return how far a throw twists ahead as its shaft winds up between its throws and the gear."""
    if side.loads.mesh is None:
        return rigid(side)
    twisting = side.carried.twisting[side.place]
    twist = wind_up(side.shaft, twisting, side.loads.pins[name][0], side.loads.mesh.at)
    return Give(rigid(side).weights, ahead=twist)


GIVES: dict[str, Callable[[Side, str], Give]] = {
    "shaft bending": _shaft_bending,
    "bearing and seat give": _seat_give,
    "crankpin bending": pin_bending,
    "crank web bending": web_bending,
    "shaft wind-up": _twisted,
}
"""Everything that displaces a throw, each as it displaces the throw of a yoke on one side."""
