"""How stiff gear teeth in mesh are."""

import numpy as np

from balance.machine.crank import Gears

SINGLE = 14e9
"""N/m per metre of face, a pair of steel teeth: ISO 6336-1, c' = 14 N/(um mm), from memory, check against the
standard."""
STEEL = 206e9
"""Young's modulus for which that holds, Pa."""


def mesh_stiffness(gears: Gears | None) -> float | None:
    """Return the stiffness of the teeth in mesh along their line of action, N/m; None where too little is known.

    As given; else ISO 6336-1's single stiffness times the face, in proportion to the mean modulus of both gears,
    2 E1 E2/(E1 + E2) (ISO 6336-1, method B). One pair carries: at the low loads of small engines the teeth are softer
    than that, for it holds from 100 N per mm of face on.
    """
    if gears is None:
        return None
    if gears.mesh_stiffness is not None:
        return float(gears.mesh_stiffness)
    if gears.face is None or gears.material is None:
        return None
    one, other = gears.material.young, (gears.left_material or gears.material).young
    return float(SINGLE * gears.face * 2 * one * other / (one + other) / STEEL * np.ones(()))
