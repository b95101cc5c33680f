"""How crankpins bend, as cantilevers on their webs or between them, under every load beyond them."""

import numpy as np

from balance.machine.crank import Throw, outward
from balance.machine.materials import Material
from balance.quantities import Number, Scalar, side_by_side
from shafts.beam import shear_coefficient
from shafts.gap.course import at_rows
from shafts.gap.give import Give, Side, levers, rigid
from shafts.superposition import force_places


def pin_bending(side: Side) -> Give:
    """Return the displacement of throws by every pin between them and the shaft, their own included."""
    weights = (Give(_pin_weights(side, each)) for each in side.throws.values() if each.pin is not None)
    return sum(weights, rigid(side))


def _pin_weights(side: Side, holder: Throw) -> np.ndarray:
    """Return displacement of throws per unit load at each station by the pin of `holder`, m/N.

    Overhung: a cantilever from the pin's inner end, its moment the integral of (a - s)(b - s) over
    the length that both loads bend. Along the shaft: held at both ends, for loads at its own middle.
    """
    pin = holder.pin
    assert pin is not None
    bend, shear = _pin_flexibility(pin.diameter, pin.material or side.shaft.material)
    sign = outward(holder.at, side.shaft.ends)
    root = holder.at - sign * pin.length / 2
    loads = levers(force_places(side.loads), root, sign)[..., None, :]
    own = levers([throw.at for throw in side.asked], root, sign)[..., None]
    reach = np.minimum(np.minimum(loads, own), at_rows(pin.length))
    moment = reach * (loads * own - reach * ((loads + own) / 2 - reach / 3))
    overhung = moment * at_rows(bend) + reach * at_rows(shear)
    if np.all(sign):
        return overhung
    straddled = at_rows(pin.length**3 * bend / 192 + pin.length * shear / 4)
    return np.where(at_rows(sign) == 0, np.where(_own_loads(side, holder), straddled, 0.0), overhung)


def _own_loads(side: Side, holder: Throw) -> np.ndarray:
    """Return which stations are loads on a pin itself, and that of its own throw, (options..., yokes, forces)."""
    here = side_by_side(force_places(side.loads)) == np.asarray(holder.at)[..., None]
    on_pins = here & (np.arange(here.shape[-1]) < len(side.loads.pins))
    return on_pins[..., None, :] & np.array([throw is holder for throw in side.asked])[:, None]


def _pin_flexibility(diameter: Scalar, material: Material) -> tuple[Number, Number]:
    """Return 1/EI and 1/(kappa G A) of a solid round pin."""
    poisson = material.young / (2 * material.shear) - 1
    area = np.pi / 4 * diameter**2
    bend = 1 / (material.young * np.pi / 64 * diameter**4)
    return bend, 1 / (shear_coefficient(0.0, poisson) * material.shear * area)
