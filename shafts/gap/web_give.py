"""How crank webs bend and twist under every load beyond them."""

import numpy as np

from balance.cycle.load import PlanarForce
from balance.machine.crank import Web, joined_by, outward, place_in_frame
from balance.machine.materials import Material
from balance.quantities import Number, Scalar, over_angle
from balance.turning import on_bench
from shafts.gap.course import at_rows
from shafts.gap.give import Give, Side, levers, rigid
from shafts.superposition import force_places


def web_bending(side: Side) -> Give:
    """Return the displacement of throws by every web between them and the shaft."""
    sized = (web for web in side.webs if web.thickness is not None and web.width is not None)
    return sum((_web_give(side, web) for web in sized), rigid(side))


def _web_give(side: Side, web: Web) -> Give:
    """A web is an arm from the pin (or shaft) inward of it to the pin outward of it.

    Loads a lever e beyond it bend it out of its plane (along the arm) and twist it (across the arm); a load
    across the arm bends it in its plane. Displacement = (A + (B - A) t t^T) load with t across the arm.
    """
    sign = outward(web.at, side.shaft.ends)
    # Where it stands along the shaft in some options only, levers of nought keep it rigid in those.
    arm = _arm_of(side, web, float(np.ravel(sign)[np.argmax(np.ravel(sign) != 0)]))
    if arm is None:
        return rigid(side)
    length, angle = np.hypot(*arm), np.arctan2(arm[0], arm[1])
    loads = levers(force_places(side.loads), web.at, sign)[..., None, :]
    both = loads * levers([throw.at for throw in side.asked], web.at, sign)[..., None]
    if not np.any(both):
        return rigid(side)
    bend, twist, across = (at_rows(each) for each in _web_flexibility(web, side.shaft.material, length))
    return Give(both * bend, ((both * (twist - bend) + (both > 0) * across, angle),))


def projected(pull: PlanarForce, side: Side, angle: Scalar) -> PlanarForce:
    """Return the part of a vector across an arm that stands at `angle` in the crank frame."""
    angle = over_angle(angle)
    x, y = on_bench(np.cos(angle), -np.sin(angle), side.carried.motion.theta, side.loads.sign)
    size = pull.x * x + pull.y * y
    return PlanarForce(size * x, size * y)


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
    inner, outer = joined_by(web, side.throws, side.shaft.ends, sign)
    if sign == 0.0 or outer is None:
        return None
    start = place_in_frame(None if inner is None else side.throws[inner])
    end = place_in_frame(side.throws[outer])
    return end[0] - start[0], end[1] - start[1]
