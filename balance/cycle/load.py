"""Loads kept apart by how they grow with speed, so that one solve serves every speed."""

from collections.abc import Callable
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from balance.quantities import Scalar, over_angle


@dataclass(frozen=True, eq=False)
class Load:
    """A load over the cycle, in three parts: value(omega) = gas + gravity + omega^2 * inertia.

    gas, gravity : load at any speed, of shape (options..., angles) or broadcastable to it.
    inertia : load per unit speed squared (rad/s)^2, same shape; a flow loss, which grows likewise, is kept with it.
    A part that is absent is the plain number 0.0 and costs nothing.
    """

    gas: Scalar = 0.0
    gravity: Scalar = 0.0
    inertia: Scalar = 0.0

    @property
    def parts(self) -> tuple[Scalar, Scalar, Scalar]:
        """Its three parts: gas, gravity, inertia."""
        return self.gas, self.gravity, self.inertia

    @cached_property
    def steady(self) -> Scalar:
        """What is left at zero speed: gas and gravity."""
        return added(self.gas, self.gravity)

    @property
    def added_up(self) -> "Load":
        """The same load with gas and gravity added up as one part, in place of the gas."""
        return Load(gas=self.steady, inertia=self.inertia)

    def at(self, speed: Scalar) -> np.ndarray:
        """Return the load at speeds, rad/s, that broadcast against the option axes.

        One speed, or one for each option, gives (options..., angles); several speeds of shape (speeds,)
        give a single design's (speeds, angles).
        """
        return onto(np.asarray(over_angle(speed) ** 2 * self.inertia), self.steady)

    def each(self, change: Callable[[Scalar], Scalar]) -> "Load":
        """Return the load with a linear change applied to every part that is present."""
        return Load(*[0.0 if absent(part) else change(part) for part in self.parts])

    def at_place(self, place: int | slice) -> "Load":
        """Return one of several loads that stand along a first axis, or some of them."""
        return self.each(lambda part: np.asarray(part)[place])

    def __add__(self, other: "Load") -> "Load":
        return Load(added(self.gas, other.gas), added(self.gravity, other.gravity), added(self.inertia, other.inertia))

    def __neg__(self) -> "Load":
        return self.each(np.negative)

    def __sub__(self, other: "Load") -> "Load":
        return self + -other

    def __mul__(self, factor: Scalar) -> "Load":
        """Scale by a factor of shape (options..., angles) or broadcastable to it."""
        return self.each(lambda part: part * factor)

    __rmul__ = __mul__


@dataclass(frozen=True, eq=False)
class PlanarForce:
    """A force in the plane across the shafts: its x and its y part, N."""

    x: Load = Load()
    y: Load = Load()

    def __add__(self, other: "PlanarForce") -> "PlanarForce":
        return PlanarForce(self.x + other.x, self.y + other.y)

    @property
    def added_up(self) -> "PlanarForce":
        """The same force with gas and gravity added up (see Load.added_up)."""
        return PlanarForce(self.x.added_up, self.y.added_up)

    def __neg__(self) -> "PlanarForce":
        return PlanarForce(-self.x, -self.y)

    def __mul__(self, factor: Scalar) -> "PlanarForce":
        return PlanarForce(self.x * factor, self.y * factor)


def absent(part: Scalar) -> bool:
    """Return whether a part of a load is left out."""
    return isinstance(part, float) and part == 0.0


def onto(total: np.ndarray, more: Scalar) -> np.ndarray:
    """Return the sum of a new array, which nobody else holds, and another: in its own place if both are alike."""
    if isinstance(more, np.ndarray) and more.shape == total.shape and more.dtype == total.dtype:
        total += more
        return total
    return np.asarray(total + more)


def added(one: Scalar, other: Scalar) -> Scalar:
    """Return the sum of two parts of a load; one that is left out costs nothing."""
    if absent(one):
        return other
    return one if absent(other) else one + other
