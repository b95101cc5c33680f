"""How much alternating stress a shaft bears for ever: its endurance limit with Marin's factors.

Shigley's Mechanical Engineering Design (9th ed.), section 6-9: surface factor by table 6-2, size factor
by equation 6-20, reliability by equation 6-29 with 8 percent scatter; room temperature, no corrosion.
"""

from statistics import NormalDist

import numpy as np

from balance.machine.materials import Material
from balance.quantities import Scalar
from shafts.shaft import Finish

SURFACE: dict[Finish, tuple[float, float]] = {
    "polished": (1.0, 0.0),
    "ground": (1.58, -0.085),
    "machined": (4.51, -0.265),
    "hot rolled": (57.7, -0.718),
    "forged": (272.0, -0.995),
}
"""Factor and power of the tensile strength in MPa; Shigley (9th ed.), table 6-2."""
STEEL = 150e9, 250e9  # Pa: metals of such stiffness behave like steel; the light ones and bronzes lie below


def is_steel(material: Material) -> Scalar:
    """Return whether the rules for steel apply to a material, by its stiffness."""
    return (np.asarray(material.young) > STEEL[0]) & (np.asarray(material.young) < STEEL[1])


def specimen_limit(material: Material) -> Scalar:
    """Return the endurance limit of a polished specimen, Pa, as given or from the tensile strength.

    Steel: half the strength, 700 MPa at most (Shigley, equation 6-8). Other metals: four tenths, 100 MPa at
    most, which stands for 5e8 cycles, since they have no limit (Norton, Machine Design, section 6.5; the lower of
    its bounds for copper and aluminium alloys).
    """
    if material.endurance_limit is not None:
        return material.endurance_limit
    assert material.tensile_strength is not None
    strength = np.asarray(material.tensile_strength)
    return np.where(is_steel(material), np.minimum(0.5 * strength, 700e6), np.minimum(0.4 * strength, 100e6))


def surface_factor(finish: Finish, tensile: Scalar) -> Scalar:
    """Return Marin's surface factor, 1 at most; tensile strength in Pa."""
    factor, power = SURFACE[finish]
    return np.minimum(factor * (np.asarray(tensile) / 1e6) ** power, 1.0)


def size_factor(diameter: Scalar) -> Scalar:
    """Return Marin's size factor of a turning round shaft in bending and torsion, 1 at most; diameter in m."""
    size = np.asarray(diameter) * 1e3
    return np.minimum(np.where(size <= 51.0, 1.24 * size**-0.107, 1.51 * size**-0.157), 1.0)


def reliability_factor(reliability: Scalar) -> Scalar:
    """Return Marin's reliability factor, 1 - 0.08 z, for the share of shafts that must hold, between 0 and 1."""
    return 1 - 0.08 * np.vectorize(NormalDist().inv_cdf, otypes=[float])(reliability)
