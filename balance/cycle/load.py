"""Loads kept apart by how they grow with speed, so that one solve serves every speed.

What vibration adds grows by no power of speed. It stands beside them as what waits for a speed, for a single design.
"""

from collections.abc import Callable
from dataclasses import replace
from operator import neg
from typing import Any

import numpy as np

from balance.cycle.at_speed import AtSpeed
from balance.quantities import Scalar, over_angle, result


@result
class Load:
    """A load over the cycle, in parts: value(omega) = steady + omega^2 * inertia + vibration(omega).

    steady : load at any speed, of gas, gravity and all else, of shape (options..., angles) or broadcastable to it.
    inertia : load per unit speed squared (rad/s)^2, same shape; a flow loss, which grows likewise, is kept with it.
    vibration : what elastic parts that vibrate add at a speed, (..., angles); of a single design alone.
    gravity : how much of `steady` gravity brings, same shape; None where that is not told, as of many options.
    A part that is absent is the plain number 0.0 and costs nothing.
    """

    steady: Scalar = 0.0
    inertia: Scalar = 0.0
    vibration: AtSpeed | float = 0.0
    gravity: Scalar | None = 0.0

    @property
    def parts(self) -> tuple[Any, ...]:
        """Its parts: steady, inertia, vibration, and gravity's share of the first."""
        return self.steady, self.inertia, self.vibration, self.gravity

    @property
    def gas(self) -> Scalar:
        """What is steady but for gravity, where that is told."""
        if self.gravity is None:
            raise ValueError("gravity's share of this load is not told, so neither is what is left without it")
        return _difference(self.steady, self.gravity)

    @property
    def nothing(self) -> bool:
        """Whether every part is left out."""
        return absent(self.steady) and absent(self.inertia) and absent(self.vibration)

    @property
    def still(self) -> "Load":
        """The same without what vibration adds."""
        return self if absent(self.vibration) else replace(self, vibration=0.0)

    @property
    def kept(self) -> "Load":
        """The same, whose vibration is remembered at the last speeds that it was asked for."""
        return replace(self, vibration=self.vibration.kept) if isinstance(self.vibration, AtSpeed) else self

    @property
    def untold(self) -> "Load":
        """The same load, of which gravity's share is no longer told: a third less to work out."""
        return Load(self.steady, self.inertia, self.vibration, None)

    def at(self, speed: Scalar) -> np.ndarray:
        """Return the load at speeds, rad/s, that broadcast against the option axes.

        One speed, or one for each option, gives (options..., angles); several speeds of shape (speeds,)
        give a single design's (speeds, angles).
        """
        still = onto(np.asarray(over_angle(speed) ** 2 * self.inertia), self.steady)
        return still + self.vibration.at(speed) if isinstance(self.vibration, AtSpeed) else still

    def each(self, change: Callable[[Any], Any]) -> "Load":
        """Return the load with a linear change applied to every part that is present.

        change : of an array, and of what waits for a speed (see AtSpeed), which can be scaled and picked from alike.
        """
        return Load(*[part if part is None or absent(part) else change(part) for part in self.parts])

    def at_index(self, index: int | slice) -> "Load":
        """Return one of several loads that stand along a first axis, or some of them."""
        return self.each(lambda part: (part if isinstance(part, AtSpeed) else np.asarray(part))[index])

    def __add__(self, other: "Load") -> "Load":
        return Load(*map(added, self.parts, other.parts))

    def __neg__(self) -> "Load":
        return self.each(neg)

    def __sub__(self, other: "Load") -> "Load":
        return Load(*map(_difference, self.parts, other.parts))

    def __mul__(self, factor: Scalar) -> "Load":
        """Scale by a factor of shape (options..., angles) or broadcastable to it."""
        return self.each(lambda part: part * factor)

    __rmul__ = __mul__


@result
class PlanarForce:
    """A force in the plane across the shafts: its x and its y part, N."""

    x: Load = Load()
    y: Load = Load()

    def __add__(self, other: "PlanarForce") -> "PlanarForce":
        return PlanarForce(self.x + other.x, self.y + other.y)

    @property
    def untold(self) -> "PlanarForce":
        """The same force without gravity's share told (see Load.untold)."""
        return PlanarForce(self.x.untold, self.y.untold)

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
    """Return the sum of two parts of a load; one that is left out costs nothing, and one not told leaves none told."""
    if one is None or other is None:
        return None
    if absent(one):
        return other
    return one if absent(other) else one + other


def _difference(one: Any, other: Any) -> Any:
    """Return one part of a load less another."""
    if one is None or other is None:
        return None
    if absent(one) or isinstance(other, AtSpeed):
        return added(one, other if absent(other) else -other)
    return one if absent(other) else one - other


def weight(value: Scalar) -> Load:
    """Return a load that gravity brings, (options..., angles or 1).

    Of many options it is not told apart: nothing asks for that, and what there is to work out gets less.
    """
    return Load(value, gravity=None if np.ndim(value) > 1 else value)


def combined(*terms: tuple[Load, Scalar]) -> Load:
    """Return the sum of loads times factors: each sum stands in one place, as new memory costs more than arithmetic."""
    parts = zip(*(load.parts for load, _ in terms), strict=True)
    return Load(*(_combined([(part, factor) for part, (_, factor) in zip(each, terms, strict=True) if not absent(part)])
                  for each in parts))  # fmt: skip


def _combined(terms: list[tuple[Any, Scalar]]) -> Any:
    if any(part is None for part, _ in terms):
        return None
    total: Any = 0.0
    for part, factor in terms:
        more = part * factor
        total = onto(total, more) if isinstance(total, np.ndarray) else added(total, more)
    return total
