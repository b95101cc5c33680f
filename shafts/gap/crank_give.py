"""How throws give way under the loads on their shafts, and how that shifts yokes.

Only parts whose size is stated give way; the others count as rigid. In a built-up overhung crank the
outer throw hangs on the inner pin, so every load beyond a pin or a web bends it too. Several yokes are worked out
together, along a first axis: (yokes, options..., angles).
"""

from collections.abc import Callable
from dataclasses import replace

import numpy as np

from balance.cycle.load import PlanarForce
from balance.quantities import Scalar
from shafts.carried import LoadedShafts
from shafts.gap.give import Give, Side, rigid, sides
from shafts.gap.pin_give import pin_bending
from shafts.gap.shift import LinearShift, lean_of, pin_shift, turn_of
from shafts.gap.web_give import projected, web_bending
from shafts.superposition import Response, alike, answered, deepened
from shafts.whirl.torsion import twist_give


def each_given(carried: LoadedShafts, name: str) -> dict[str, LinearShift]:
    """Return how a yoke shifts as its throws give way by each kind of GIVES."""
    both = sides(carried, name)
    gives = [[of(side) for of in GIVES.values()] for side in both]
    axes = _axes(carried, *gives[0], *gives[1])
    found = [_displaced(side, each, axes) for side, each in zip(both, gives, strict=True)]
    return {kind: _shifts(carried, (name,), axes, *each)[0] for kind, *each in zip(GIVES, *found, strict=True)}


def all_given(carried: LoadedShafts, names: tuple[str, ...], gives: list[Give]) -> list[LinearShift]:
    """Return how yokes shift by all kinds and wind-up together; gives : of their throws, right and left."""
    axes = _axes(carried, *gives)
    both = zip(sides(carried, *names), gives, strict=True)
    given = (_displaced(side, [give], axes)[0] + _wound_up(side, give.twist, axes) for side, give in both)
    return _shifts(carried, names, axes, *given)


def wind_up(carried: LoadedShafts, name: str) -> LinearShift:
    """Return how a yoke shifts as each shaft winds up between its throws and the gear."""
    gives = [replace(rigid(side), twist=_twist_of(side)) for side in sides(carried, name)]
    return all_given(carried, (name,), gives)[0]


def give_of(side: Side) -> Give:
    """Return the give of throws by all kinds and wind-up together."""
    first, *others = (of(side) for of in GIVES.values())
    return replace(sum(others, first), twist=_twist_of(side))


def _axes(carried: LoadedShafts, *gives: Give) -> int:
    """Return how many axes a course of each of several yokes takes: options may lie in the loads or in a give."""
    return 2 + max(carried.option_axes, *(give.option_axes for give in gives))


def _shifts(
    carried: LoadedShafts, names: tuple[str, ...], axes: int, right: Response, left: Response
) -> list[LinearShift]:
    """Return how each yoke shifts as the pins on its two sides are displaced."""
    yokes, moved = carried.engine.yokes, carried.motion.yokes
    lean = _stacked(carried, [lean_of(moved[name]) for name in names], axes)
    turn = _stacked(carried, [turn_of(yokes[name], moved[name]) for name in names], axes)
    shift = pin_shift(lean, turn, right, left)
    return [shift.of(place) for place in range(len(names))]


def _stacked(carried: LoadedShafts, courses: list[Scalar], axes: int) -> np.ndarray:
    """Return a course of each yoke, (yokes, options..., angles)."""
    return deepened(np.stack(np.broadcast_arrays(carried.motion.theta, *courses)[1:]), axes)


def _displaced(side: Side, gives: list[Give], axes: int) -> list[Response]:
    """Return the displacements of throws by each of several kinds, all loads on their shaft added up in one go."""
    rows = [weights for give in gives for weights in (give.weights, *(across for across, _ in give.arms))]
    every = side.state.loads.respond_in_lots(np.concatenate(alike(*rows), axis=-2), len(side.yokes))
    responses, found = (each.deepened(axes) for each in every), []
    for give in gives:
        whole = next(responses)
        for _, angle in give.arms:
            whole = whole + Response(projected(next(responses).pull, side, angle), None, 0.0)
        found.append(whole)
    return found


def _twist_of(side: Side) -> np.ndarray | None:
    """Return the twist of throws seen from the gear (see Give); None without gears."""
    if side.loads.mesh is None:
        return None
    places = [each.at for each in side.carried.twisting[side.place]]
    return twist_give(side.shaft, [throw.at for throw in side.asked], places, side.loads.mesh.at)


def _wound_up(side: Side, twist: np.ndarray | None, axes: int) -> Response:
    """Return how far throws move along their circles as their shaft winds up between them and the gear."""
    if twist is None:
        return Response(PlanarForce(), None, 0.0)
    carried, pins = side.carried, [side.carried.motion.yokes[name].pin for name in side.yokes]
    across, along = (_stacked(carried, [getattr(pin, axis) for pin in pins], axes) for axis in ("across", "along"))
    ahead = answered(carried.torque_rows[side.place], twist).each(lambda part: deepened(part, axes))
    return Response(PlanarForce(ahead * (side.loads.sign * along), ahead * -across), None, 0.0)


def _shaft_bending(side: Side) -> Give:
    return Give(side.state.at_pins(side.state.found.bending, side.yokes))


def _seat_give(side: Side) -> Give:
    return Give(side.state.at_pins(side.state.found.seating, side.yokes))


GIVES: dict[str, Callable[[Side], Give]] = {
    "shaft bending": _shaft_bending,
    "bearing and seat give": _seat_give,
    "crankpin bending": pin_bending,
    "crank web bending": web_bending,
}
"""Everything but wind-up that displaces a throw, each as it displaces throws on one side."""
