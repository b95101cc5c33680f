"""How crankpins and webs bend, and how shafts wind up, under the loads of a throw.

Only parts whose size is stated give way; the others count as rigid. In a built-up overhung crank the
outer throw hangs on the inner pin, so every load beyond a pin or a web bends it too.
"""

from typing import NamedTuple

import numpy as np

from balance.crank import Throw, Web
from balance.growth import Pull
from balance.materials import Material
from balance.quantities import Number, Scalar, over_angle
from balance.shaft_loads import ShaftLoads
from shafts.beam import shear_coefficient
from shafts.carried import Carried
from shafts.deflection import Response, combine
from shafts.gap.shift import LinearShift, pin_shift
from shafts.shaft import Shaft
from shafts.whirl.torsion import wind_up as ahead
from shafts.whirl.twisting import torques_along

RIGID = Response(Pull(), None, 0.0)


class Side(NamedTuple):
    """One shaft with its loads."""

    shaft: Shaft
    loads: ShaftLoads
    throws: dict[str, Throw]
    webs: tuple[Web, ...]
    theta: np.ndarray


def sides(carried: Carried) -> list[Side]:
    """Return the right and the left side."""
    engine = carried.engine
    return [
        Side(
            shaft,
            loads,
            engine.cranks.throws,
            tuple(web for web in engine.cranks.webs if web.on in (loads.hand, "both")),
            carried.motion.theta,
        )
        for shaft, loads in zip(engine.shafts.pair, carried.loads, strict=True)
    ]


def pin_bending(carried: Carried, name: str) -> LinearShift:
    """Return how a yoke shifts as the crankpins bend."""
    return _shift(carried, name, _pins_of)


def web_bending(carried: Carried, name: str) -> LinearShift:
    """Return how a yoke shifts as the crank webs bend and twist."""
    return _shift(carried, name, _webs_of)


def _shift(carried: Carried, name: str, displaced) -> LinearShift:
    yoke, moved = carried.engine.yokes[name], carried.motion.yokes[name]
    right, left = (displaced(side, yoke.throw) for side in sides(carried))
    return pin_shift(yoke, moved, right, left)


def outward(shaft: Shaft, at: Scalar) -> np.ndarray:
    """Return +1 or -1 for a place at or beyond the shaft's last or first end, 0 for one along it; (options...)."""
    at = np.asarray(at, dtype=float)
    return np.where(at <= shaft.starts_at, -1.0, np.where(at >= shaft.ends_at, 1.0, 0.0))


def _places(loads: ShaftLoads) -> list[Scalar]:
    """Return where every force station of the shaft stands, in the order of `deflection.combine`."""
    places = [at for at, _ in loads.pins.values()] + [mass.at for mass in loads.turning]
    return places if loads.mesh is None else [*places, loads.mesh.at]


def _levers(side: Side, root: Scalar, sign: np.ndarray) -> np.ndarray:
    """Return how far outward of `root` every force station stands, m, (options..., stations); zero if inward."""
    each = [np.maximum(sign * (np.asarray(place) - root), 0.0) for place in _places(side.loads)]
    return np.stack(np.broadcast_arrays(*each), axis=-1)


def _pins_of(side: Side, throw_name: str) -> Response:
    """Return the displacement of a throw by every pin between it and the shaft, its own included."""
    throw = side.throws[throw_name]
    weights = [_pin_weights(side, other, throw) for other in side.throws.values() if other.pin is not None]
    return combine(side.loads, sum(weights[1:], weights[0]), side.theta) if weights else RIGID


def _pin_weights(side: Side, holder: Throw, throw: Throw) -> np.ndarray:
    """Return displacement of `throw` per unit load at each station by the pin of `holder`, m/N.

    Overhung: a cantilever from the pin's inner end, its moment the integral of (a - s)(b - s) over
    the length that both loads bend. Along the shaft: held at both ends, for loads at its own middle.
    """
    pin = holder.pin
    assert pin is not None
    bend, shear = _pin_flexibility(pin.diameter, pin.material or side.shaft.material)
    sign = outward(side.shaft, holder.at)
    root = holder.at - sign * pin.length / 2
    loads = _levers(side, root, sign)
    own = np.maximum(sign * (np.asarray(throw.at) - root), 0.0)[..., None]
    reach = np.minimum(np.minimum(loads, own), np.asarray(pin.length)[..., None])
    moment = loads * own * reach - (loads + own) * reach**2 / 2 + reach**3 / 3
    overhung = moment * np.asarray(bend)[..., None] + reach * np.asarray(shear)[..., None]
    straddled = pin.length**3 * bend / 192 + pin.length * shear / 4
    same = np.stack(np.broadcast_arrays(*(np.asarray(place) == holder.at for place in _places(side.loads))), axis=-1)
    same = same & (np.arange(same.shape[-1]) < len(side.loads.pins)) & (holder is throw)
    return np.where((sign == 0)[..., None], np.where(same, np.asarray(straddled)[..., None], 0.0), overhung)


def _pin_flexibility(diameter: Scalar, material: Material) -> tuple[Number, Number]:
    """Return 1/EI and 1/(kappa G A) of a solid round pin."""
    poisson = material.young / (2 * material.shear) - 1
    area = np.pi / 4 * diameter**2
    bend = 1 / (material.young * np.pi / 64 * diameter**4)
    return bend, 1 / (shear_coefficient(0.0, poisson) * material.shear * area)


def _webs_of(side: Side, throw_name: str) -> Response:
    """Return the displacement of a throw by every web between it and the shaft."""
    total = RIGID
    for web in side.webs:
        if web.thickness is not None and web.width is not None:
            total = total + _web_response(side, web, side.throws[throw_name])
    return total


def _web_response(side: Side, web: Web, throw: Throw) -> Response:
    """A web is an arm from the pin (or shaft) inward of it to the pin outward of it.

    Loads a lever e beyond it bend it out of its plane (along the arm) and twist it (across the arm); a load
    across the arm bends it in its plane. Displacement = (A + (B - A) t t^T) load with t across the arm.
    """
    sign = outward(side.shaft, web.at)
    # Where it stands along the shaft in some options only, levers of nought keep it rigid in those.
    arm = _arm_of(side, web, float(np.ravel(sign)[np.argmax(np.ravel(sign) != 0)]))
    if arm is None:
        return RIGID
    length, angle = np.hypot(*arm), np.arctan2(arm[0], arm[1])
    loads = _levers(side, web.at, sign)
    own = np.maximum(sign * (np.asarray(throw.at) - web.at), 0.0)[..., None]
    bend, twist, across = (np.asarray(each)[..., None] for each in _web_flexibility(web, side.shaft.material, length))
    beyond = (loads > 0) & (own > 0)
    along_arm = np.where(beyond, loads * own * bend, 0.0)
    across_arm = np.where(beyond, loads * own * twist + across, 0.0)
    even = combine(side.loads, along_arm, side.theta)
    more = combine(side.loads, across_arm - along_arm, side.theta)
    return even + Response(_projected(more.pull, side, angle), None, 0.0)


def _projected(pull: Pull, side: Side, angle: Scalar) -> Pull:
    """Return the part of a vector across an arm that stands at `angle` in the crank frame."""
    turned = side.theta + over_angle(angle)
    x, y = side.loads.sign * np.cos(turned), -np.sin(turned)
    size = pull.x * x + pull.y * y
    return Pull(size * x, size * y)


def _web_flexibility(web: Web, shaft_material: Material, length: Scalar) -> tuple[Number, Number, Number]:
    """Return rotation per moment out of the plane and in twist, 1/(N m), and deflection across per newton, m/N.

    Cantilever of rectangular section; torsion constant w t^3/3 (1 - 0.63 t/w) (Roark, table of torsion).
    """
    assert web.thickness is not None and web.width is not None
    material = web.material or shaft_material
    thin, wide = np.minimum(web.thickness, web.width), np.maximum(web.thickness, web.width)
    torsion = wide * thin**3 / 3 * (1 - 0.63 * thin / wide)
    out_of_plane = web.width * web.thickness**3 / 12
    in_plane = web.thickness * web.width**3 / 12
    return (
        length / (material.young * out_of_plane),
        length / (material.shear * torsion),
        length**3 / (3 * material.young * in_plane),
    )


def _arm_of(side: Side, web: Web, sign: float) -> tuple[Number, Number] | None:
    """Return the arm (across, along) in the crank frame from what is next inward of a web to what is next outward."""
    if sign == 0.0:
        return None

    def beyond(throw: Throw) -> float:
        return sign * float(np.ravel(np.asarray(throw.at) - web.at)[0])

    outer = min((throw for throw in side.throws.values() if beyond(throw) > 0), key=beyond, default=None)
    inner = max(
        (t for t in side.throws.values() if beyond(t) < 0 and np.all(outward(side.shaft, t.at) == sign)),
        key=beyond,
        default=None,
    )
    if outer is None:
        return None
    start = (0.0, 0.0) if inner is None else _pin_place(inner)
    end = _pin_place(outer)
    return end[0] - start[0], end[1] - start[1]


def _pin_place(throw: Throw) -> tuple[Number, Number]:
    return throw.radius * np.sin(throw.phase), throw.radius * np.cos(throw.phase)


def wind_up(carried: Carried, name: str) -> LinearShift:
    """Return how a yoke shifts as each shaft winds up between its throws and the gear."""
    yoke, moved = carried.engine.yokes[name], carried.motion.yokes[name]
    if carried.loads[0].mesh is None:
        return pin_shift(yoke, moved, RIGID, RIGID)
    responses = []
    for side in sides(carried):
        assert side.loads.mesh is not None
        gear = side.loads.mesh.at
        along = torques_along(carried.engine, carried.motion, side.loads, carried.torques)
        twist = ahead(side.shaft, along, side.loads.pins[name][0], gear)
        moved_pin = Pull(twist * (side.loads.sign * moved.pin.along), twist * -moved.pin.across)
        responses.append(Response(moved_pin, None, 0.0))
    return pin_shift(yoke, moved, *responses)
