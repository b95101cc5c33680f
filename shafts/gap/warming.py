"""Load of warm parts: how rods, yokes and case shift a yoke as they heat up."""

import numpy as np

from balance.machine.materials import Material
from balance.outlines import edge_heights
from balance.quantities import Number, Scalar, over_angle
from shafts.carried import LoadedShafts
from shafts.gap.shift import Shift, lean_of


def growth(material: Material | None, temperature: Scalar | None, cold: Scalar) -> Number:
    """Return the strain by heat, alpha (T - T_cold); zero where material or temperature is not stated."""
    if material is None or temperature is None:
        return 0.0
    return material.expansion * (temperature - cold)


def warm_shift(carried: LoadedShafts, name: str) -> Shift:
    """Return how a yoke rises as rods, half-span and case grow, against the shafts, m; (options..., angles)."""
    engine, yoke, moved = carried.engine, carried.engine.yokes[name], carried.motion.yokes[name]
    fits, cold, lean = engine.fits, engine.fits.set_up_at, lean_of(moved)
    apart = engine.cranks.centre_distance * growth(fits.case_material, fits.case_temperature, cold) / 2
    rise = over_angle(apart) * lean
    if yoke.rod is not None and moved.rod is not None:
        longer = yoke.rod.length * growth(yoke.rod.material, yoke.temperature, cold)
        wider = yoke.half_span * growth(yoke.material, yoke.temperature, cold)
        rise = rise + over_angle(longer) / moved.rod.y - over_angle(wider) * lean
    return Shift(rise, np.zeros_like(moved.height))


def thicker_faces(carried: LoadedShafts, upper: str, lower: str, x: np.ndarray) -> np.ndarray:
    """Return how growth of the yokes themselves changes the room between their faces, m, (options..., places)."""
    yokes, cold = carried.engine.yokes, carried.engine.fits.set_up_at
    above, below = yokes[upper], yokes[lower]
    assert above.outline is not None and below.outline is not None
    strains = [growth(each.material, each.temperature, cold) for each in (above, below)]
    if not any(map(np.any, strains)):
        return np.zeros_like(x)
    under, over = edge_heights(above.outline, x)[0], edge_heights(below.outline, x)[1]
    grown = [np.asarray(strain)[..., None] * np.where(np.isfinite(face), face, 0.0)
             for strain, face in zip(strains, (under, over), strict=True)]  # fmt: skip
    return grown[0] - grown[1]
