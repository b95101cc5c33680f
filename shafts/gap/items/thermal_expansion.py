"""Thermal expansion: rods, yokes and case grow with the temperature that the design gives them.

A rod longer by d lifts its side by d / ey; a yoke wider, or shafts farther apart, by d move its pivots along the rods'
slope. Parts without a temperature or a material count as cold.
"""

import numpy as np

from balance.cycle.load import Load
from balance.machine.materials import Material
from balance.outlines import edge_heights
from balance.quantities import Number, Scalar, over_angle
from shafts.gap.curve import GapCurve
from shafts.gap.facing import Facing
from shafts.gap.shift import Shift, rod_slope
from shafts.loaded_shafts import Case, LoadedShafts

NAME = "thermal expansion"


def line(loaded: LoadedShafts, facing: Facing, case: Case) -> GapCurve:
    """Return what growth of warm parts adds to the gap."""
    warm = sum(warm_shift(loaded, name).at(facing.x) * sign for name, sign in facing.yokes)
    return GapCurve(Load(steady=warm + thicker_faces(loaded, facing)[..., None] if facing.lower else warm))


def strain(material: Material | None, temperature: Scalar | None, cold: Scalar) -> Number:
    """Return the thermal strain, alpha (T - T_cold); zero where material or temperature is not given."""
    if material is None or temperature is None:
        return 0.0
    return material.expansion * (temperature - cold)


def warm_shift(loaded: LoadedShafts, name: str) -> Shift:
    """Return how a yoke rises as rods, half-span and case grow, against the shafts, m; (options..., angles)."""
    engine, yoke, moved = loaded.engine, loaded.engine.yokes[name], loaded.motion.yokes[name]
    fits, cold, slope = engine.fits, engine.fits.set_up_at, rod_slope(moved)
    apart = engine.cranks.centre_distance * strain(fits.case_material, fits.case_temperature, cold) / 2
    rise = over_angle(apart) * slope
    if yoke.rod is not None and moved.rod is not None:
        longer = yoke.rod.length * strain(yoke.rod.material, yoke.temperature, cold)
        wider = yoke.half_span * strain(yoke.material, yoke.temperature, cold)
        rise = rise + over_angle(longer) / moved.rod.y - over_angle(wider) * slope
    return Shift(rise, 0.0)


def thicker_faces(loaded: LoadedShafts, facing: Facing) -> np.ndarray:
    """Return how growth of the yokes themselves changes the gap between their faces, m, (options..., places)."""
    x, cold = facing.x, loaded.engine.fits.set_up_at
    above, below = (loaded.engine.yokes[name] for name in (facing.upper, facing.lower))
    assert above.outline is not None and below.outline is not None
    strains = [strain(each.material, each.temperature, cold) for each in (above, below)]
    if not any(map(np.any, strains)):
        return np.zeros_like(x)
    under, over = edge_heights(above.outline, x)[0], edge_heights(below.outline, x)[1]
    grown = [np.asarray(each)[..., None] * np.where(np.isfinite(face), face, 0.0)
             for each, face in zip(strains, (under, over), strict=True)]  # fmt: skip
    return grown[0] - grown[1]
