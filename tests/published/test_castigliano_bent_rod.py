"""A rod bent at a right angle, by Castigliano's theorem as any book on strength of materials has it.

Formulas from memory and confirmed, numbers own ones: nothing printed is compared.
"""

import numpy as np
from engines.space_frame import Metal, round_section
from published.frames import ALL, chain, moved, slender

ROD = {"diameter": 8e-3, "arm": 12e-3, "leg": 30e-3, "force": 100.0, "young": 206e9, "shear": 80e9}  # m, N, Pa
TIP = {"parts": (1.39067e-6, 21.72929e-6, 13.42870e-6), "across": 36.548658e-6, "along": 11.82073e-6}  # m


def rod(case, stiff=1.0):
    """Return the leg along z from a clamp and the arm along x; `stiff`: less give in length."""
    metal = Metal(case["young"], case["shear"])
    section = slender(round_section(case["diameter"], metal), stiff)
    frame = chain([(0, 0, 0), (0, 0, case["leg"]), (case["arm"], 0, case["leg"])], section, metal, {0: ALL}, (0, 1, 0))
    return frame, metal, section


def test_force_across_the_plane():
    """P a^3/(3 E I) + P b^3/(3 E I) + P a^2 b/(G J): arm, leg, twist of the leg."""
    frame, metal, section = rod(ROD)
    arm, leg, force = ROD["arm"], ROD["leg"], ROD["force"]
    found = moved(frame, 2, (0, force, 0))[1]
    bends, twists = metal.young * section.second_1, metal.shear * section.torsion
    parts = [force * arm**3 / (3 * bends), force * leg**3 / (3 * bends), force * arm**2 * leg / twists]
    np.testing.assert_allclose(found, sum(parts), rtol=1e-12)
    np.testing.assert_allclose(parts, TIP["parts"], rtol=4e-6)
    np.testing.assert_allclose(found, TIP["across"], rtol=2e-8)


def test_force_along_the_leg():
    """P a^3/(3 E I) + P a^2 b/(E I), without the leg's stretch."""
    found = moved(rod(ROD, stiff=1e9)[0], 2, (0, 0, ROD["force"]))[2]
    np.testing.assert_allclose(found, TIP["along"], rtol=5e-7)
