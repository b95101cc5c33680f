"""What parts are made of.

Typical handbook values at room temperature, for stock as it is bought; the user's own override them.
The figures are from memory of the usual handbook tables (Shigley, tables A-5 and A-20 to A-24)
and rounded; they are good to about 5 percent for moduli and 15 percent for strengths.
"""

from typing import Annotated

from balance.quantities import Density, Expansion, NotNegative, Positive, Pressure, definition


@definition
class Material:
    """An isotropic material."""

    name: Annotated[str, "what it is called in reports"] = "own material"
    density: Annotated[Density, Positive, "mass per volume"]
    young: Annotated[Pressure, Positive, "modulus of elasticity"]
    shear: Annotated[Pressure, Positive, "shear modulus"]
    yield_strength: Annotated[Pressure | None, Positive, "yield or 0.2 percent proof stress"] = None
    tensile_strength: Annotated[Pressure | None, Positive, "ultimate tensile strength"] = None
    expansion: Annotated[Expansion, NotNegative, "linear thermal expansion"] = 0.0
    endurance_limit: Annotated[
        Pressure | None, Positive, "polished, in reversed bending; from tensile strength if left out"
    ] = None


def _table(*rows: tuple[str, float, float, float, float, float, float]) -> dict[str, Material]:
    return {
        name: Material(
            name=name,
            density=density,
            young=young * 1e9,
            shear=shear * 1e9,
            yield_strength=proof * 1e6,
            tensile_strength=tensile * 1e6,
            expansion=expansion * 1e-6,
        )
        for name, density, young, shear, proof, tensile, expansion in rows
    }


# name, kg/m^3, E in GPa, G in GPa, yield in MPa, tensile in MPa, expansion in 1e-6/K
MATERIALS = _table(
    ("steel", 7850, 207, 80, 390, 470, 11.7),
    ("silver-steel", 7850, 207, 80, 430, 700, 11.7),
    ("hardened-steel", 7850, 207, 80, 1200, 1500, 11.7),
    ("stainless-steel", 7950, 193, 75, 215, 515, 17.3),
    ("cast-iron", 7200, 100, 41, 130, 200, 10.8),
    ("brass", 8500, 100, 37, 310, 400, 19.0),
    ("bronze", 8800, 110, 41, 150, 300, 18.0),
    ("copper", 8960, 117, 44, 70, 220, 16.8),
    ("aluminium", 2700, 69, 26, 276, 310, 23.6),
    ("strong-aluminium", 2810, 72, 27, 503, 572, 23.6),
    ("titanium", 4510, 105, 40, 275, 345, 8.6),
    ("tungsten-alloy", 17500, 340, 130, 600, 800, 5.5),
    ("lead", 11340, 16, 5.6, 8, 17, 29.0),
    ("acetal", 1410, 2.8, 1.0, 65, 70, 110.0),
    ("oak", 700, 11, 0.7, 40, 90, 5.0),
)
