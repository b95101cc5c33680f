"""A piece of ring as a counterweight: from the hub to the rim over some angle."""

import numpy as np

from balance.plates.plate import Bend, Measures
from balance.quantities import Number, Scalar, result


@result
class Sector:
    """A piece of ring about the shaft's centre.   inner, outer : m.   half_angle : half of what it fills, rad."""

    inner: Number
    outer: Number
    half_angle: Number

    @property
    def measures(self) -> Measures:
        """Integrals of 1, r cos(angle) and r^2 over r dr d(angle)."""
        area = self.half_angle * (self.outer**2 - self.inner**2)
        first = np.sin(self.half_angle) * half_ring_first(self.inner, self.outer)
        return Measures(area, first, self.half_angle * (self.outer**4 - self.inner**4) / 2)

    @property
    def reach(self) -> Number:
        """The outer radius, m."""
        return self.outer

    def edge_distance(self, x: Scalar, y: Scalar) -> Number:
        """Return how far a point lies inside: from the rim, the hub and the straight sides, m."""
        radius, angle = np.hypot(x, y), np.abs(np.arctan2(x, y))
        side = np.where(self.half_angle - angle < np.pi / 2, radius * np.sin(self.half_angle - angle), np.inf)
        return np.minimum(np.minimum(self.outer - radius, radius - self.inner), side)

    def path(self) -> list[Bend]:
        """Return its corners, counter-clockwise from the right end of the rim."""
        inner, outer, half = float(self.inner), float(self.outer), float(self.half_angle)
        sine, cosine, bulge = np.sin(half), np.cos(half), float(np.tan(half / 2))
        rim = [(outer * sine, outer * cosine, bulge), (-outer * sine, outer * cosine, 0.0)]
        if inner == 0.0:
            return [*rim, (0.0, 0.0, 0.0)]
        return [*rim, (-inner * sine, inner * cosine, -bulge), (inner * sine, inner * cosine, 0.0)]


def half_ring_first(inner: Scalar, outer: Scalar) -> Number:
    """Return the integral of y over half a ring, m^3: the most that any sector of these radii has."""
    return 2 / 3 * (np.asarray(outer) ** 3 - np.asarray(inner) ** 3)


def sector_of_first(first: Scalar, inner: Scalar, outer: Scalar) -> Sector:
    """Return the smallest sector with a wanted integral of y, m^3; half a ring where that is not enough."""
    share = np.asarray(first) / half_ring_first(inner, outer)
    return Sector(inner, outer, np.arcsin(np.clip(share, 0.0, 1.0)))


def sector_radius(first: Scalar, inner: Scalar, half_angle: Scalar) -> Number:
    """Return the outer radius that gives a sector of this angle a wanted integral of y, m."""
    return np.cbrt(np.asarray(inner) ** 3 + 1.5 * np.asarray(first) / np.sin(half_angle))
