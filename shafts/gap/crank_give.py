"""How throws give way under the loads on their shafts, and how that shifts a yoke.

Only parts whose size is stated give way; the others count as rigid. In a built-up overhung crank the
outer throw hangs on the inner pin, so every load beyond a pin or a web bends it too.
"""

from collections.abc import Callable

import numpy as np

from balance.growth import Pull
from shafts.carried import Carried
from shafts.gap.give import Give, Side
from shafts.gap.pin_give import pin_bending
from shafts.gap.shift import LinearShift, pin_shift
from shafts.gap.web_give import projected, web_bending
from shafts.superposition import Response
from shafts.whirl.torsion import wind_up as twist_ahead


def each_given(carried: Carried, name: str) -> dict[str, LinearShift]:
    """Return how a yoke shifts as its throws give way by each kind of GIVES."""
    yoke, moved = carried.engine.yokes[name], carried.motion.yokes[name]
    sides = [Side(carried, place) for place in (0, 1)]
    found = [_displaced(side, [of(side, name) for of in GIVES.values()]) for side in sides]
    return {kind: pin_shift(yoke, moved, *both) for kind, both in zip(GIVES, zip(*found, strict=True), strict=True)}


def all_given(carried: Carried, name: str, gives: list[Give] | None = None) -> LinearShift:
    """Return how a yoke shifts by all kinds and wind-up together.

    gives : of its throws by all kinds, right and left, where they are known already.
    """
    yoke, moved = carried.engine.yokes[name], carried.motion.yokes[name]
    sides = [Side(carried, place) for place in (0, 1)]
    gives = gives or [give_of(side, name) for side in sides]
    displaced = (_displaced(side, [give])[0] + _wound_up(side, name) for side, give in zip(sides, gives, strict=True))
    return pin_shift(yoke, moved, *displaced)


def wind_up(carried: Carried, name: str) -> LinearShift:
    """Return how a yoke shifts as each shaft winds up between its throws and the gear."""
    yoke, moved = carried.engine.yokes[name], carried.motion.yokes[name]
    return pin_shift(yoke, moved, *(_wound_up(Side(carried, place), name) for place in (0, 1)))


def give_of(side: Side, name: str) -> Give:
    """Return the give of a yoke's throw by all kinds together."""
    first, *others = (of(side, name) for of in GIVES.values())
    return sum(others, first)


def _displaced(side: Side, gives: list[Give]) -> list[Response]:
    """Return the displacements of a throw, all loads on its shaft added up in one go."""
    rows = [weights for give in gives for weights in (give.weights, *(across for across, _ in give.arms))]
    responses = iter(side.state.loads.respond(np.stack(np.broadcast_arrays(*rows), axis=-2)))
    found = []
    for give in gives:
        whole = next(responses)
        for _, angle in give.arms:
            whole = whole + Response(projected(next(responses).pull, side, angle), None, 0.0)
        found.append(whole)
    return found


def _wound_up(side: Side, name: str) -> Response:
    """Return how far a throw moves along its circle as its shaft winds up between its throws and the gear."""
    if side.loads.mesh is None:
        return Response(Pull(), None, 0.0)
    pin, twisting = side.carried.motion.yokes[name].pin, side.carried.twisting[side.place]
    ahead = twist_ahead(side.shaft, twisting, side.loads.pins[name][0], side.loads.mesh.at)
    return Response(Pull(ahead * (side.loads.sign * pin.along), ahead * -pin.across), None, 0.0)


def _shaft_bending(side: Side, name: str) -> Give:
    return Give(side.state.at_pin(side.state.found.bending, name))


def _seat_give(side: Side, name: str) -> Give:
    return Give(side.state.at_pin(side.state.found.seating, name))


GIVES: dict[str, Callable[[Side, str], Give]] = {
    "shaft bending": _shaft_bending,
    "bearing and seat give": _seat_give,
    "crankpin bending": pin_bending,
    "crank web bending": web_bending,
}
"""Everything but wind-up that displaces a throw, each as it displaces the throw of a yoke on one side."""
