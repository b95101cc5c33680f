"""A frame of a column and a beam with a load at the tip: after Timoshenko and Young (1968), sec. 80.

Moments as read in a solver's verification example that names the book; the displacement is their unit load integral.
The example's sizes were not read, so the ones here are own.
"""

import numpy as np
from engines.space_frame import Metal, round_section, solve
from published.frames import ALL, chain, load_at, moved, slender

L_FRAME = {"column": 30e-3, "beam": 12e-3, "diameter": 8e-3, "force": 100.0, "young": 206e9, "shear": 80e9}  # m, N, Pa


def frame_of(case):
    """Return the column along y from its clamp and the beam along x."""
    metal = Metal(case["young"], case["shear"])
    section = slender(round_section(case["diameter"], metal))
    points = [(0, 0, 0), (0, case["column"], 0), (case["beam"], case["column"], 0)]
    return chain(points, section, metal, {0: ALL}), metal, section


def test_tip_of_an_l_frame():
    """P Lh^3/(3 E I) + P Lh^2 Lv/(E I) + P Lv/(E A), downwards."""
    frame, metal, section = frame_of(L_FRAME)
    column, beam, force = L_FRAME["column"], L_FRAME["beam"], L_FRAME["force"]
    bends = metal.young * section.second_1
    expected = beam**3 / (3 * bends) + beam**2 * column / bends + column / (metal.young * section.area)
    np.testing.assert_allclose(moved(frame, 2, (0, -force, 0))[1], -force * expected, rtol=1e-11)


def test_moments_of_an_l_frame():
    """The column carries P Lh all along and P in compression, the beam P (Lh - x)."""
    frame, _, _ = frame_of(L_FRAME)
    beam, force = L_FRAME["beam"], L_FRAME["force"]
    column, arm = solve(frame, load_at(3, 2, (0, -force, 0))).ends[0]
    np.testing.assert_allclose([column[2], column[8]], [force, -force], rtol=1e-10)
    np.testing.assert_allclose(np.abs([column[4], column[10], arm[4]]), force * beam, rtol=1e-10)
    np.testing.assert_allclose([arm[10], column[3], arm[3]], 0, atol=1e-10)
