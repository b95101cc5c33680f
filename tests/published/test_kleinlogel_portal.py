"""Portal frames under a side force: A. Kleinlogel, Rigid Frame Formulas. From memory and confirmed; own numbers."""

import numpy as np
import pytest
from engines.space_frame import Metal, Section
from published.frames import ALL, PLANE, chain, moved

PORTAL = {"height": 0.3, "span": 0.2, "column": 1000e-12, "beam": 2000e-12, "young": 206e9, "force": 10.0}  # m, m^4, N
SWAY = {"fixed": 0.0632345e-3, "pinned": 0.2548544e-3}  # m
FEET = {"fixed": ALL, "pinned": (0, 1, 2, 3, 4)}


def swayed(case, feet):
    """Return how far the beam goes aside, m; bars give by bending alone."""
    metal = Metal(case["young"], case["young"] / 2.6)
    thick = [Section(1e3, case[each], case[each], 1e-9, np.inf) for each in ("column", "beam", "column")]
    height, span = case["height"], case["span"]
    points = [(0, 0, 0), (0, height, 0), (span, height, 0), (span, 0, 0)]
    frame = chain(points, thick, metal, {0: FEET[feet], 1: PLANE, 2: PLANE, 3: FEET[feet]})
    return moved(frame, 1, (case["force"], 0, 0))[0]


def formula(case, feet):
    """Return H h^3/(12 E Ic) (3 k + 2)/(6 k + 1) on fixed feet, H h^3 (2 k + 1)/(12 E Ic k) on pinned ones, m."""
    k = case["beam"] * case["height"] / (case["column"] * case["span"])
    plain = case["force"] * case["height"] ** 3 / (12 * case["young"] * case["column"])
    return plain * ((3 * k + 2) / (6 * k + 1) if feet == "fixed" else (2 * k + 1) / k)


@pytest.mark.parametrize("feet", FEET)
def test_sway(feet):
    found = swayed(PORTAL, feet)
    np.testing.assert_allclose(found, formula(PORTAL, feet), rtol=1e-7)
    np.testing.assert_allclose(found, SWAY[feet], rtol=1e-6)
