"""Plates with holes: what is cut for a counterweight, and what it weighs.

A plate is an edge (sector, segment, polygon beside this) of some thickness with round holes.
Its own frame has the shaft's centre at the origin and the weight's direction along +y.
"""

from functools import cached_property
from itertools import combinations
from typing import Protocol

import numpy as np

from balance.quantities import Number, Scalar, result

RoundHole = tuple[Scalar, Scalar, Scalar]
"""Centre x, centre y and diameter, m."""

Bend = tuple[float, float, float]
"""A corner x, y, m, and the bulge of the edge from it to the next one: tan of a quarter of its arc's angle,
positive where the arc turns counter-clockwise, zero for a straight edge."""


@result
class Measures:
    """Integrals over an area about the shaft's centre, each (options...).

    area : m^2.   first : of y, m^3.   polar : of the distance squared, m^4.
    """

    area: Number
    first: Number
    polar: Number

    def __sub__(self, other: "Measures") -> "Measures":
        return Measures(self.area - other.area, self.first - other.first, self.polar - other.polar)


class Edge(Protocol):
    """The outside of a plate."""

    @property
    def measures(self) -> Measures:
        """Integrals over what it encloses."""

    @property
    def reach(self) -> Number:
        """Largest distance from the shaft's centre, m."""

    def edge_distance(self, x: Scalar, y: Scalar) -> Number:
        """Return how far a point lies inside it, m; negative outside."""

    def path(self) -> list[Bend]:
        """Return its corners and bends in order, counter-clockwise; for a single design only."""


@result
class Plate:
    """A plate with holes.   thickness : m.   density : kg/m^3.   Everything about the shaft's centre."""

    edge: Edge
    thickness: Number
    density: Number
    holes: tuple[RoundHole, ...] = ()

    @property
    def measures(self) -> Measures:
        """Integrals over the face, holes taken off."""
        return self.edge.measures - hole_measures(self.holes)

    @cached_property
    def corners(self) -> np.ndarray:
        """The outline with its arcs cut into chords of a degree, m, (corners, 2); for a single design."""
        return flattened(self.edge.path())

    @property
    def mass(self) -> Number:
        """Mass, kg."""
        return self.density * self.thickness * self.measures.area

    @property
    def moment(self) -> Number:
        """Mass times radius of its mass centre, kg m."""
        return self.density * self.thickness * self.measures.first

    @property
    def inertia(self) -> Number:
        """Moment of inertia about the shaft, kg m^2."""
        return self.density * self.thickness * self.measures.polar

    @property
    def centre(self) -> Number:
        """Distance of its mass centre from the shaft's centre, m; zero for a plate without mass."""
        area = np.asarray(self.measures.area)
        return np.where(area > 0, self.measures.first / np.where(area > 0, area, 1.0), 0.0)

    @property
    def hole_edge_distance(self) -> Number:
        """Least material between any hole and the edge, m; negative where a hole breaks out; inf without holes."""
        return np.min(np.broadcast_arrays(np.inf, *(edge_distance for edge_distance, _ in self.beside_holes)), axis=0)

    @property
    def beside_holes(self) -> list[tuple[Number, Number]]:
        """Material between each hole and the edge, and half the hole's diameter, m; inf beside a hole of no size."""
        sized = ((x, y, np.asarray(diameter, dtype=float) / 2) for x, y, diameter in self.holes)
        return [(np.where(half > 0, self.edge.edge_distance(x, y) - half, np.inf), half) for x, y, half in sized]

    @property
    def between_holes(self) -> list[tuple[Number, Number]]:
        """Material between every two holes, and half the smaller one's diameter, m; inf beside a hole of no size."""
        pairs: list[tuple[Number, Number]] = []
        for (x, y, one), (other_x, other_y, other) in combinations(self.holes, 2):
            small = np.minimum(one, other)
            apart = np.hypot(np.asarray(x) - other_x, np.asarray(y) - other_y) - (np.asarray(one) + other) / 2
            pairs.append((np.where(small > 0, apart, np.inf), small / 2))
        return pairs


def hole_measures(holes: tuple[RoundHole, ...]) -> Measures:
    """Return the integrals over round holes: each a disc of area A at distance s, polar A (s^2 + d^2 / 8)."""
    area: Number = 0.0
    first: Number = 0.0
    polar: Number = 0.0
    for x, y, diameter in holes:
        one = np.pi / 4 * diameter**2
        area, first = area + one, first + one * y
        polar = polar + one * (x**2 + y**2 + diameter**2 / 8)
    return Measures(area, first, polar)


def flattened(path: list[Bend], step: float = np.deg2rad(1.0)) -> np.ndarray:
    """Return the corners of a path with its arcs cut into chords of at most `step` rad each, m, (corners, 2).

    For a single design only.
    """
    corners = []
    for (x, y, bulge), (next_x, next_y, _) in zip(path, path[1:] + path[:1], strict=True):
        corners.append((x, y))
        if bulge:
            corners += _on_arc(complex(x, y), complex(next_x, next_y), bulge, step)
    return np.array(corners, dtype=float)


def chords_of(path: list[Bend], step: float = np.deg2rad(1.0)) -> int:
    """Return how many corners `flattened` makes of a path."""
    bulges = np.array([bulge for _, _, bulge in path], dtype=float)
    return int(np.sum(np.maximum(1, np.ceil(np.abs(4 * np.arctan(bulges)) / step))))


def _on_arc(start: complex, end: complex, bulge: float, step: float) -> list[tuple[float, float]]:
    """Return the points between the ends of an arc; its centre is i chord (1 - b^2) / 4b from its middle."""
    turn = 4 * np.arctan(bulge)
    centre = (start + end) / 2 + 1j * (end - start) * (1 - bulge**2) / (4 * bulge)
    count = int(np.ceil(abs(turn) / step))
    points = centre + (start - centre) * np.exp(1j * turn * np.arange(1, count) / count)
    return [(float(point.real), float(point.imag)) for point in points]
