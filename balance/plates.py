"""Shapes that a counterweight can be cut to from plate, and what they weigh."""

from dataclasses import dataclass

import numpy as np

from balance.quantities import Number, Scalar


@dataclass(frozen=True, eq=False)
class AnnularSector:
    """A piece of ring cut from plate, symmetrical about its middle radius; fields of shape (options...).

    inner, outer, thickness : m.   half_angle : half of the angle that it fills, rad.   density : kg/m^3.
    """

    inner: Number
    outer: Number
    half_angle: Number
    thickness: Number
    density: Number

    @property
    def mass(self) -> Number:
        """Mass, kg."""
        return self.density * self.thickness * self.half_angle * (self.outer**2 - self.inner**2)

    @property
    def moment(self) -> Number:
        """Mass times radius of its mass centre, kg m."""
        return np.sin(self.half_angle) * largest_sector_moment(self.inner, self.outer, self.thickness, self.density)

    @property
    def inertia(self) -> Number:
        """Moment of inertia about the shaft, kg m^2."""
        return self.density * self.thickness * self.half_angle * (self.outer**4 - self.inner**4) / 2


def largest_sector_moment(inner: Scalar, outer: Scalar, thickness: Scalar, density: Scalar) -> Number:
    """Return the mass times radius of half a ring, kg m: the most that any sector of these radii has.

    The integral of rho t r cos(angle) r dr d(angle) is (2/3) rho t (R^3 - r^3) sin(half angle).
    """
    return 2 / 3 * density * thickness * (outer**3 - inner**3)


def sector_for(moment: Scalar, inner: Scalar, outer: Scalar, thickness: Scalar, density: Scalar) -> AnnularSector:
    """Return the smallest sector with a wanted mass times radius, kg m; half a ring where that is not enough."""
    most = largest_sector_moment(inner, outer, thickness, density)
    half_angle = np.arcsin(np.clip(np.asarray(moment) / most, 0.0, 1.0))
    return AnnularSector(inner, outer, half_angle, thickness, density)
