"""Beer and Johnston, Mechanics of Materials, ch. 11, ex. 11.10 and 11.11.

One printing of ex. 11.10 has P^3 in its result for P; the bracket is right.
"""

from dataclasses import replace

import numpy as np
import pytest
from engines.space_frame import Metal, rectangle, round_section
from published.frames import ALL, chain, moved

CANTILEVER = {"length": 0.1, "height": 0.02, "breadth": 0.01, "young": 200e9, "shear": 77e9}  # own sizes, p. 723
STEPPED = {"length": 0.2, "diameter": 0.01, "shear": 77e9, "printed": 17 / 32}  # own sizes; share of T L/(G J), p. 724


@pytest.mark.parametrize("slenderness", [2.0, 5.0, 20.0])
def test_example_11_10_cantilever_with_shear(slenderness):
    """Y = P L^3/(3 E I) (1 + 3 E h^2/(10 G L^2)): a shear coefficient of 5/6."""
    metal, height = Metal(CANTILEVER["young"], CANTILEVER["shear"]), CANTILEVER["height"]
    length = slenderness * height
    section = replace(rectangle(height, CANTILEVER["breadth"], metal), coefficient=5 / 6)
    frame = chain([(0, 0, 0), (length, 0, 0)], section, metal, {0: ALL}, (0, 0, 1))  # axis 1 is along y
    expected = length**3 / (3 * metal.young * section.second_2)
    expected *= 1 + 3 * metal.young * height**2 / (10 * metal.shear * length**2)
    np.testing.assert_allclose(moved(frame, 1, (0, 1, 0))[1], expected, rtol=1e-12)


def test_example_11_11_stepped_shaft():
    """Half the length of twice the diameter: the twist is 17/32 of the thin shaft's, T L/(G J)."""
    metal, length = Metal(2.6 * STEPPED["shear"], STEPPED["shear"]), STEPPED["length"]
    sections = [round_section(size * STEPPED["diameter"], metal) for size in (2, 1)]
    frame = chain([(0, 0, 0), (0, 0, length / 2), (0, 0, length)], sections, metal, {0: ALL}, (0, 1, 0))
    plain = length / (metal.shear * sections[1].torsion)
    np.testing.assert_allclose(moved(frame, 2, couple=(0, 0, 1))[5] / plain, STEPPED["printed"], rtol=1e-12)
