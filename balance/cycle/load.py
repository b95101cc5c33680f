"""Loads kept apart by how they grow with speed, so that one solve serves every speed.

What vibration adds grows by no power of speed. It stands beside them as what waits for a speed, for a single design.
"""

from collections.abc import Callable
from dataclasses import dataclass, replace
from functools import cached_property
from operator import neg
from typing import Any

import numpy as np

from balance.cycle.at_speed import AtSpeed
from balance.quantities import Scalar, over_angle


@dataclass(frozen=True, eq=False)
class Load:
    """A load over the cycle, in parts: value(omega) = gas + gravity + omega^2 * inertia + vibration(omega).

    gas, gravity : load at any speed, of shape (options..., angles) or broadcastable to it.
    inertia : load per unit speed squared (rad/s)^2, same shape; a flow loss, which grows likewise, is kept with it.
    vibration : what elastic parts that vibrate add at a speed, (..., angles); of a single design alone.
    A part that is absent is the plain number 0.0 and costs nothing.
    """

    gas: Scalar = 0.0
    gravity: Scalar = 0.0
    inertia: Scalar = 0.0
    vibration: AtSpeed | float = 0.0

    @property
    def parts(self) -> tuple[Any, ...]:
        """Its parts: gas, gravity, inertia, vibration."""
        return self.gas, self.gravity, self.inertia, self.vibration

    @property
    def still(self) -> "Load":
        """The same without what vibration adds."""
        return self if absent(self.vibration) else replace(self, vibration=0.0)

    @cached_property
    def steady(self) -> Scalar:
        """What is left at zero speed, where nothing vibrates: gas and gravity."""
        return added(self.gas, self.gravity)

    @property
    def kept(self) -> "Load":
        """The same, whose vibration is remembered at the last speeds that it was asked for."""
        return replace(self, vibration=self.vibration.kept) if isinstance(self.vibration, AtSpeed) else self

    @property
    def added_up(self) -> "Load":
        """The same load with gas and gravity added up as one part, in place of the gas."""
        return Load(gas=self.steady, inertia=self.inertia, vibration=self.vibration)

    def at(self, speed: Scalar) -> np.ndarray:
        """Return the load at speeds, rad/s, that broadcast against the option axes.

        One speed, or one for each option, gives (options..., angles); several speeds of shape (speeds,)
        give a single design's (speeds, angles).
        """
        found = onto(np.asarray(over_angle(speed) ** 2 * self.inertia), self.steady)
        return found + self.vibration.at(speed) if isinstance(self.vibration, AtSpeed) else found

    def each(self, change: Callable[[Any], Any]) -> "Load":
        """Return the load with a linear change applied to every part that is present.

        change : of an array, and of what waits for a speed (see AtSpeed), which can be scaled and picked from alike.
        """
        return Load(*[0.0 if absent(part) else change(part) for part in self.parts])

    def at_index(self, place: int | slice) -> "Load":
        """Return one of several loads that stand along a first axis, or some of them."""
        return self.each(lambda part: (part if isinstance(part, AtSpeed) else np.asarray(part))[place])

    def __add__(self, other: "Load") -> "Load":
        return Load(*map(added, self.parts, other.parts))

    def __neg__(self) -> "Load":
        return self.each(neg)

    def __sub__(self, other: "Load") -> "Load":
        return Load(*map(_less, self.parts, other.parts))

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

    def __sub__(self, other: "PlanarForce") -> "PlanarForce":
        return PlanarForce(self.x - other.x, self.y - other.y)

    def __neg__(self) -> "PlanarForce":
        return PlanarForce(-self.x, -self.y)

    def __mul__(self, factor: Scalar) -> "PlanarForce":
        return PlanarForce(self.x * factor, self.y * factor)


def absent(part: Any) -> bool:
    """Return whether a part of a load is left out."""
    return isinstance(part, float) and part == 0.0


def over_places(part: Any) -> Any:
    """Return a part of a load (options..., angles) with an axis of places before the last, (options..., 1, angles)."""
    return (part if isinstance(part, AtSpeed) else np.atleast_1d(part))[..., None, :]


def onto(total: np.ndarray, more: Scalar) -> np.ndarray:
    """Return the sum of a new array, which nobody else holds, and another: in its own place if both are alike."""
    if isinstance(more, np.ndarray) and more.shape == total.shape and more.dtype == total.dtype:
        total += more
        return total
    return np.asarray(total + more)


def added(one: Any, other: Any) -> Any:
    """Return the sum of two parts of a load; one that is left out costs nothing."""
    if absent(one):
        return other
    return one if absent(other) else one + other


def _less(one: Any, other: Any) -> Any:
    """Return one part of a load less another."""
    if absent(one) or isinstance(other, AtSpeed):
        return added(one, other if absent(other) else -other)
    return one if absent(other) else one - other


def weight(value: Scalar) -> Load:
    """Return a load that gravity brings, (options..., angles or 1).

    Of many options it is counted with the gas: nothing asks for the two apart, and what there is to work out gets less.
    """
    return Load(gas=value) if np.ndim(value) > 1 else Load(gravity=value)


def combined(*terms: tuple[Load, Scalar]) -> Load:
    """Return the sum of loads times factors: each sum stands in one place, as new memory costs more than arithmetic."""
    parts = zip(*(load.parts for load, _ in terms), strict=True)
    return Load(*(_combined([(part, factor) for part, (_, factor) in zip(each, terms, strict=True) if not absent(part)])
                  for each in parts))  # fmt: skip


def _combined(terms: list[tuple[Any, Scalar]]) -> Any:
    total: Any = 0.0
    for part, factor in terms:
        more = part * factor
        total = onto(total, more) if isinstance(total, np.ndarray) else added(total, more)
    return total
