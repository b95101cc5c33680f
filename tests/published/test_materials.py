"""Materials against the elements they are made of, and against what is known of standard grades (all from memory).

CRC Handbook of Chemistry and Physics, properties of the elements; Shigley's Mechanical Engineering Design, 9th ed.,
tables A-5, A-20 and A-24; ASM Metals Handbook, vol. 2. Typical values, so the tolerances are those of stock.
"""

import numpy as np
import pytest

from balance.machine.materials import MATERIALS

# density, kg/m^3; modulus and shear modulus, GPa; expansion, 1e-6/K
ELEMENTS = {
    "steel": (7874, 211, 82, 11.8),
    "copper": (8960, 119, 44.7, 16.5),
    "aluminium": (2700, 70, 26, 23.1),
    "titanium": (4506, 110, 41, 8.6),
    "lead": (11340, 16, 5.6, 28.9),
}
MODULI = {  # Shigley, table A-5: GPa
    "steel": (207, 79.3),
    "silver-steel": (207, 79.3),
    "hardened-steel": (207, 79.3),
    "stainless-steel": (190, 73.1),
    "cast-iron": (100, 41.4),
    "brass": (106, 40.1),
    "bronze": (111, 41.4),
    "copper": (119, 44.7),
    "aluminium": (71.7, 26.9),
    "strong-aluminium": (71.7, 26.9),
    "titanium": (114, 42.4),
}
STRENGTHS = {  # least or typical yield and tensile strength of a standard grade, MPa
    "steel": (390, 470),  # AISI 1020 cold drawn, table A-20
    "stainless-steel": (215, 505),  # 304 annealed
    "brass": (310, 400),  # free-cutting, half hard
    "copper": (69, 220),  # annealed
    "aluminium": (276, 310),  # 6061-T6
    "strong-aluminium": (503, 572),  # 7075-T6
    "titanium": (275, 345),  # commercially pure, grade 2
}
MIXTURES = {  # density by the share of mass of each element, kg/m^3; expansion by the same rule within a fifth
    "brass": {8960: 0.61, 7140: 0.36, 11340: 0.03},
    "bronze": {8960: 0.9, 7290: 0.1},
    "tungsten-alloy": {19250: 0.925, 8900: 0.05, 7874: 0.025},
}
EXPANSION = {  # handbook ranges, 1e-6/K
    "hardened-steel": (11, 12.5), "silver-steel": (11, 12.5), "stainless-steel": (16, 17.5), "cast-iron": (10, 12),
    "brass": (18.5, 20.5), "bronze": (17, 18.5), "tungsten-alloy": (4.8, 6), "strong-aluminium": (23, 24),
    "acetal": (90, 125), "oak": (4, 6),
}  # fmt: skip


@pytest.mark.parametrize("name", ELEMENTS)
def test_metals_that_are_nearly_an_element(name):
    found = MATERIALS[name]
    mine = (found.density, found.young / 1e9, found.shear / 1e9, found.expansion * 1e6)
    np.testing.assert_allclose(mine, ELEMENTS[name], rtol=0.05)


@pytest.mark.parametrize("name", MODULI)
def test_moduli_of_the_table(name):
    found = MATERIALS[name]
    np.testing.assert_allclose((found.young / 1e9, found.shear / 1e9), MODULI[name], rtol=0.085)


@pytest.mark.parametrize("name", STRENGTHS)
def test_strengths_of_a_standard_grade(name):
    found = MATERIALS[name]
    np.testing.assert_allclose((found.yield_strength / 1e6, found.tensile_strength / 1e6), STRENGTHS[name], rtol=0.03)


@pytest.mark.parametrize("name", MIXTURES)
def test_density_of_an_alloy_is_that_of_its_elements_mixed(name):
    """One over the density is the sum of each share over its own: volumes add up."""
    expected = 1 / sum(share / density for density, share in MIXTURES[name].items())
    assert MATERIALS[name].density == pytest.approx(expected, rel=0.05)


@pytest.mark.parametrize("name", EXPANSION)
def test_expansion_lies_in_its_handbook_range(name):
    low, high = EXPANSION[name]
    assert low <= MATERIALS[name].expansion * 1e6 <= high


@pytest.mark.parametrize("name", MATERIALS)
def test_a_material_is_one_that_can_be(name):
    """Poisson's ratio of isotropic metals and plastics is 0.2 to 0.45; wood, which is not isotropic, is left out.

    Strengths: yield below tensile, a hundred-thousandth to a thirtieth of the modulus.
    """
    found = MATERIALS[name]
    assert found.name == name
    assert found.yield_strength < found.tensile_strength < found.young / 30
    assert found.tensile_strength < 6 * found.yield_strength
    if name != "oak":
        assert 0.2 < found.young / (2 * found.shear) - 1 < 0.45


def test_steels_and_plastics():
    """Hardness 425 HB of hardened steel is 3.4 MPa times as much (Shigley, equation 2-21); the rest are ranges."""
    hard, mild, iron, acetal, oak, lead = (
        MATERIALS[name] for name in ("hardened-steel", "silver-steel", "cast-iron", "acetal", "oak", "lead")
    )
    assert 1300e6 < hard.tensile_strength < 1700e6
    assert 1000e6 < hard.yield_strength < 1400e6
    assert 600e6 < mild.tensile_strength < 800e6
    assert 380e6 < mild.yield_strength < 500e6
    assert 150e6 < iron.tensile_strength < 260e6
    assert 98e6 < iron.yield_strength < 170e6
    assert (7050 < iron.density < 7350) and (7750 < MATERIALS["stainless-steel"].density < 8050)
    assert (2.5e9 < acetal.young < 3.1e9) and (60e6 < acetal.yield_strength < 72e6) and (1380 < acetal.density < 1440)
    assert acetal.tensile_strength < 75e6
    assert (600 < oak.density < 760) and (9e9 < oak.young < 13e9) and (0.5e9 < oak.shear < 1.1e9)
    assert (30e6 < oak.yield_strength < 55e6) and (70e6 < oak.tensile_strength < 110e6)
    assert (5e6 < lead.yield_strength < 12e6) and (12e6 < lead.tensile_strength < 20e6)
    assert (110e6 < MATERIALS["bronze"].yield_strength < 200e6) and (
        250e6 < MATERIALS["bronze"].tensile_strength < 380e6
    )
    tungsten = MATERIALS["tungsten-alloy"]
    assert (300e9 < tungsten.young < 400e9) and (120e9 < tungsten.shear < 150e9)
    assert (500e6 < tungsten.yield_strength < 700e6) and (700e6 < tungsten.tensile_strength < 1000e6)
    assert 2750 < MATERIALS["strong-aluminium"].density < 2850
    for name in ("silver-steel", "hardened-steel"):
        assert MATERIALS[name].density == MATERIALS["steel"].density
