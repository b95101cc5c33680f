"""Boresi and Schmidt, Advanced Mechanics of Materials, ch. 5, ex. 5.6 and 5.9.

The figures were not seen. Their layouts are inferred here from formulas and numbers, and said where used.
"""

from dataclasses import replace

import numpy as np
import pytest
from engines.space_frame import Metal, rectangle
from published.frames import ALL, chain, moved, slender

HOOK = {"radius": 65e-3, "side": 30e-3, "force": 6e3, "young": 200e9, "shear": 77.5e9}  # m, N, Pa; ex. 5.9, p. 168
HOOK_PRINTED = {"moved": 1.13e-3, "share": 0.0185}  # m; share of it by normal force and shear
BEAM = {"slenderness": 5.0, "young": 200e9, "shear": 77.5e9, "printed": 0.0342}  # ex. 5.6, p. 166


def hook(case, parts, thin):
    """Return what three quarters of a circle give along a force on their end that is tangential there, m.

    So drawn, normal force, shear and moment are P cos, P sin and P R (1 - cos) of the angle from the end, which makes
    the printed terms. `parts`: straight bars with ends on the circle; `thin`: bending alone.
    """
    metal = Metal(case["young"], case["shear"])
    section = replace(rectangle(case["side"], case["side"], metal), coefficient=1 / 1.2)
    angles = np.linspace(-1.5 * np.pi, 0, parts + 1)
    points = case["radius"] * np.stack([np.cos(angles), np.sin(angles), 0 * angles], axis=1)
    frame = chain(points, slender(section, 1e6) if thin else section, metal, {0: ALL})
    return moved(frame, parts, (0, case["force"], 0))[1]


def curved(case, thin=False):
    """Return the limit of ever more bars: the error of polygons falls by four as their number doubles."""
    coarse, fine = hook(case, 30, thin), hook(case, 60, thin)
    return fine + (fine - coarse) / 3


def test_example_5_9_hook():
    """3 pi P R/(4 E A) + 1.2 3 pi P R/(4 G A) + (9 pi/4 + 2) P R^3/(E I): 1.13 mm; bending alone is 1.85 % short."""
    found, bent = curved(HOOK), curved(HOOK, thin=True)
    radius, force, young, side = (HOOK[each] for each in ("radius", "force", "young", "side"))
    area, second = side**2, side**4 / 12
    expected = (9 * np.pi / 4 + 2) * force * radius**3 / (young * second)
    np.testing.assert_allclose(bent, expected, rtol=1e-5)
    expected += 0.75 * np.pi * force * radius / area * (1 / young + 1.2 / HOOK["shear"])
    np.testing.assert_allclose(found, expected, rtol=1e-5)
    assert found == pytest.approx(HOOK_PRINTED["moved"], abs=0.005e-3)
    assert 1 - bent / found == pytest.approx(HOOK_PRINTED["share"], abs=0.5e-4)


def test_example_5_6_share_of_shear():
    """3.42 % of the displacement of a beam five times as long as high.

    Of the simple layouts two equal forces on a cantilever, at half its length and at its end, make this number:
    12/35 E h^2/(G L^2) of the bending at the end. One force at the end makes 3.00 %.
    """
    metal, high = Metal(BEAM["young"], BEAM["shear"]), 0.01
    length = BEAM["slenderness"] * high
    section = replace(rectangle(high, high, metal), coefficient=1 / 1.2)
    points = [(0, 0, 0), (length / 2, 0, 0), (length, 0, 0)]
    shares = []
    for loaded in ((1, 2), (2,)):
        gives = []
        for each in (section, slender(section)):
            frame = chain(points, each, metal, {0: ALL})
            gives.append(sum(moved(frame, point, (0, 1, 0), seen=2)[1] for point in loaded))
        shares.append(1 - gives[1] / gives[0])
    assert shares[0] == pytest.approx(BEAM["printed"], abs=0.5e-4)
    assert shares[1] == pytest.approx(0.0300, abs=0.5e-4)
