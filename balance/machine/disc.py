"""A plain disc as a flywheel: what a design may say of it, and what it must measure."""

from collections.abc import Iterator
from typing import Annotated

import numpy as np

from balance.errors import Complaint
from balance.machine.materials import MATERIALS, Material
from balance.quantities import Length, Number, Positive, Scalar, definition


@definition
class Disc:
    """A solid disc to be cut as the flywheel: thickness or diameter; the other one follows."""

    material: Annotated[Material, "what it is cut from"] = MATERIALS["steel"]
    thickness: Annotated[Length | None, Positive, "thickness of the plate or bar"] = None
    diameter: Annotated[Length | None, Positive, "outer diameter"] = None

    def disagreements(self) -> Iterator[Complaint]:
        """Yield what does not fit together: not exactly one of thickness and diameter."""
        if (self.thickness is None) == (self.diameter is None):
            yield Complaint(
                (), "both or neither of thickness and diameter", "one of them; the other follows from the inertia"
            )

    def measures(self, inertia: Scalar) -> tuple[Number, Number]:
        """Return the diameter and thickness, m, that give a moment of inertia, kg m^2, of shape (options...)."""
        if self.thickness is not None:
            return disc_diameter(inertia, self.thickness, self.material.density), self.thickness
        assert self.diameter is not None
        return self.diameter, disc_thickness(inertia, self.diameter, self.material.density)


def disc_inertia(diameter: Scalar, thickness: Scalar, density: Scalar) -> Number:
    """Return the moment of inertia of a solid disc about its axis, pi/32 rho t D^4, kg m^2."""
    return np.pi / 32 * density * np.asarray(thickness) * np.asarray(diameter) ** 4


def disc_diameter(inertia: Scalar, thickness: Scalar, density: Scalar) -> Number:
    """Return the diameter of a solid disc of a moment of inertia, m."""
    return (32 / np.pi * np.asarray(inertia) / (density * np.asarray(thickness))) ** 0.25


def disc_thickness(inertia: Scalar, diameter: Scalar, density: Scalar) -> Number:
    """Return the thickness of a solid disc of a moment of inertia, m."""
    return 32 / np.pi * np.asarray(inertia) / (density * np.asarray(diameter) ** 4)


def disc_mass(diameter: Scalar, thickness: Scalar, density: Scalar) -> Number:
    """Return the mass of a solid disc, kg."""
    return np.pi / 4 * density * np.asarray(thickness) * np.asarray(diameter) ** 2


def rim_speed(diameter: Scalar, speed: Scalar) -> Number:
    """Return the speed of a disc's rim, m/s, at a speed of turning, rad/s."""
    return np.asarray(diameter) / 2 * speed


def disc_stress(rim: Scalar, density: Scalar, poisson: float = 0.3) -> Number:
    """Return the largest stress in a turning disc with a small bore, Pa.

    Hoop stress at the bore, (3 + nu)/4 rho v^2 with v the speed of the rim: twice that in the middle of a
    disc without a bore (Timoshenko and Goodier, Theory of Elasticity, section 32; from memory).
    """
    return (3 + poisson) / 4 * density * np.asarray(rim) ** 2
