"""Wheels on the shafts, flywheel and pulley: what a design may say of them, and what their size makes of it.

A wheel is a plain rim: a disc of one thickness, solid or with a hole of its inside diameter. Its spokes or thin
web count as nothing, so that a wheel by its size has a little less inertia than the real one.
"""

from collections.abc import Iterator
from typing import Annotated

import numpy as np

from balance.errors import Complaint
from balance.machine.crank import Hand
from balance.machine.disc import Disc, disc_inertia, disc_mass
from balance.machine.joint import Hub
from balance.machine.materials import Material
from balance.quantities import Inertia, Length, Mass, NotNegative, Number, Positive, Scalar, definition


@definition
class Wheel:
    """A wheel on a shaft."""

    on: Annotated[Hand, "the shaft that carries it; on both, each has one"] = "right"
    at: Annotated[Length, "place along the shaft of its middle"]
    left_at: Annotated[Length | None, "place of the left one along its shaft, where it differs"] = None
    inertia: Annotated[
        Inertia | None, NotNegative, "moment of inertia of each wheel about its shaft; from its size if left out"
    ] = None
    mass: Annotated[Mass, NotNegative, "mass of each wheel; from its size if zero"] = 0.0
    diameter: Annotated[Length | None, Positive, "outside diameter"] = None
    inside: Annotated[Length, NotNegative, "inside diameter of its rim; zero if solid"] = 0.0
    thickness: Annotated[Length | None, Positive, "along the shaft"] = None
    material: Annotated[Material | None, "what it is made of, for mass and inertia by its size"] = None
    hub: Annotated[Hub | None, "how it is held on its shaft"] = None

    @property
    def sized(self) -> bool:
        """Whether its size and material are given, so that mass and inertia follow."""
        return self.diameter is not None and self.thickness is not None and self.material is not None

    @property
    def polar_inertia(self) -> Number:
        """Moment of inertia of each wheel about its shaft, kg m^2, (options...): as given, else by its size."""
        return self.inertia if self.inertia is not None else self._of_size(disc_inertia)

    @property
    def wheel_mass(self) -> Number:
        """Mass of each wheel, kg, (options...): as given, else by its size; zero if nothing tells."""
        if not self.sized:
            return self.mass
        return np.where(np.asarray(self.mass) > 0, self.mass, self._of_size(disc_mass))

    def _of_size(self, of) -> Number:
        assert self.diameter is not None and self.thickness is not None and self.material is not None
        density = self.material.density
        return of(self.diameter, self.thickness, density) - of(self.inside, self.thickness, density)

    def z(self, hand: str) -> Number:
        """Return the place of the wheel on the right or left shaft, m."""
        return self.left_at if hand == "left" and self.left_at is not None else self.at

    def disagreements(self) -> Iterator[Complaint]:
        """Yield what does not fit together: no inertia and no size, or a rim without substance."""
        if self.inertia is None and not self.sized:
            yield Complaint((), "no inertia, nor diameter, thickness and material", "the inertia, or all three of them")
        wrong = np.asarray(self.inside) >= np.inf if self.diameter is None else self._hollow()
        if np.any(wrong):
            yield Complaint(("inside",), "a rim as wide inside as outside", "less than the diameter", wrong)

    def _hollow(self) -> np.ndarray:
        assert self.diameter is not None
        return np.asarray(self.inside) >= np.asarray(self.diameter)


@definition
class Flywheel(Wheel):
    """A wheel that evens out the turning."""

    disc: Annotated[Disc | None, "a plain disc to be cut for the inertia that an even enough speed needs"] = None


def gyration(inertia: Scalar, mass: Scalar) -> Number:
    """Return the radius of gyration, sqrt(J/m), m, (options...): no wheel of that inertia and mass is smaller."""
    return np.sqrt(np.asarray(inertia) / np.asarray(mass))
