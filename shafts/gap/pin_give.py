"""How crankpins bend, as cantilevers on their webs or between them, under every load beyond them."""

import numpy as np

from balance.crank import Throw, outward
from balance.materials import Material
from balance.quantities import Number, Scalar
from shafts.beam import shear_coefficient
from shafts.gap.give import Give, Side, lever, levers, rigid, throw_of
from shafts.superposition import force_places


def pin_bending(side: Side, name: str) -> Give:
    """Return the displacement of a throw by every pin between it and the shaft, its own included."""
    throw = throw_of(side, name)
    weights = (Give(_pin_weights(side, other, throw)) for other in side.throws.values() if other.pin is not None)
    return sum(weights, rigid(side))


def _pin_weights(side: Side, holder: Throw, throw: Throw) -> np.ndarray:
    """Return displacement of `throw` per unit load at each station by the pin of `holder`, m/N.

    Overhung: a cantilever from the pin's inner end, its moment the integral of (a - s)(b - s) over
    the length that both loads bend. Along the shaft: held at both ends, for loads at its own middle.
    """
    pin = holder.pin
    assert pin is not None
    bend, shear = _pin_flexibility(pin.diameter, pin.material or side.shaft.material)
    sign = outward(holder.at, side.shaft.ends)
    root = holder.at - sign * pin.length / 2
    loads = levers(side, root, sign)
    own = lever(throw.at, root, sign)[..., None]
    reach = np.minimum(np.minimum(loads, own), np.asarray(pin.length)[..., None])
    moment = loads * own * reach - (loads + own) * reach**2 / 2 + reach**3 / 3
    overhung = moment * np.asarray(bend)[..., None] + reach * np.asarray(shear)[..., None]
    straddled = pin.length**3 * bend / 192 + pin.length * shear / 4
    at_holder = (np.asarray(place) == holder.at for place in force_places(side.loads))
    same = np.stack(np.broadcast_arrays(*at_holder), axis=-1)
    same = same & (np.arange(same.shape[-1]) < len(side.loads.pins)) & (holder is throw)
    return np.where((sign == 0)[..., None], np.where(same, np.asarray(straddled)[..., None], 0.0), overhung)


def _pin_flexibility(diameter: Scalar, material: Material) -> tuple[Number, Number]:
    """Return 1/EI and 1/(kappa G A) of a solid round pin."""
    poisson = material.young / (2 * material.shear) - 1
    area = np.pi / 4 * diameter**2
    bend = 1 / (material.young * np.pi / 64 * diameter**4)
    return bend, 1 / (shear_coefficient(0.0, poisson) * material.shear * area)
