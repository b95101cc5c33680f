"""Endurance of metals other than steel: Norton, Machine Design, 5th ed., section 6.5, equation 6.5 (from memory)."""

import numpy as np
import pytest

from balance.machine.materials import MATERIALS
from shafts.strength.endurance import specimen_limit


@pytest.mark.parametrize("name", ["aluminium", "strong-aluminium", "brass", "bronze", "copper"])
def test_equation_6_5(name: str):
    """0.4 of the tensile strength at 5e8 cycles; at most 130 MPa (aluminium) or 100 (copper alloys): the lower."""
    material = MATERIALS[name]
    tensile = material.tensile_strength
    np.testing.assert_allclose(specimen_limit(material), 0.4 * tensile if tensile < 250e6 else 100e6, rtol=1e-12)
    assert specimen_limit(material) <= 0.4 * tensile * (1 + 1e-12)


def test_a_stated_limit_is_taken_as_it_is():
    material = MATERIALS["brass"]
    stated = type(material)(**(vars(material) | {"endurance_limit": 77e6}))
    assert specimen_limit(stated) == 77e6
