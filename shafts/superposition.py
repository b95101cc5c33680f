"""Everything that a shaft does under its loads, as products of matrices: responses are weights times loads.

A response (a deflection, a slope, what a bearing carries) is a sum of all loads on the shaft, each with its
weight. The loads are laid out once, each part of each load a row over crank angle; any number of responses is then
one product. Turning masses are added up before they are spread over angle: whatever their number, their
pull has two rows, and their weight one.
"""

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import Any

import numpy as np

from balance.cycle.load import Load, PlanarForce, absent, onto
from balance.quantities import Number, Scalar, over_angle, side_by_side
from balance.shaft_loads import Mesh, ShaftLoads
from balance.turning import on_bench

PARTS = ("gas", "gravity", "inertia")


@dataclass(frozen=True, eq=False)
class Response:
    """A deflection, slope or bearing load over the cycle in x and y, as far as speed goes by parts.

    pull : its linear part.   mesh, mesh_weight : the gear teeth and how strongly their separating
    force, which is no linear load, enters along x; (options...).
    """

    pull: PlanarForce
    mesh: Mesh | None
    mesh_weight: Number

    def at(self, speed: Number) -> tuple[np.ndarray, np.ndarray]:
        """Return its x and y at a speed (see Load.at)."""
        x, y = self.pull.x.at(speed), self.pull.y.at(speed)
        if self.mesh is not None:
            x = onto(x, over_angle(self.mesh_weight) * self.mesh.separating(speed))
        return x, y

    @property
    def per_push(self) -> Number:
        """What it takes along x per unit of the size of the teeth's tangential force, (options...)."""
        return 0.0 if self.mesh is None else self.mesh_weight * self.mesh.spread

    def size(self, speed: Number) -> np.ndarray:
        """Return its size at a speed."""
        return np.sqrt(_square(*self.at(speed)))  # a third of the time that hypot takes; nothing here is near overflow

    def deepened(self, axes: int) -> "Response":
        """Return a lot of responses (see `respond_in_lots`) whose courses have so many axes (see `deepened`)."""
        x, y = (each.each(lambda part: deepened(part, axes)) for each in (self.pull.x, self.pull.y))
        return Response(PlanarForce(x, y), self.mesh, deepened(self.mesh_weight, axes - 1))

    def __add__(self, other: "Response") -> "Response":
        return Response(self.pull + other.pull, self.mesh or other.mesh, self.mesh_weight + other.mesh_weight)


@dataclass(frozen=True, eq=False)
class Rows:
    """Part of all loads on a shaft along one axis: those that grow alike with speed.

    columns : which of the weights each row takes (see `Superposition.weigh`).
    course : over the cycle, N, or per unit of its weight, (options..., rows, angles).
    """

    columns: np.ndarray
    course: np.ndarray

    def times(self, weights: np.ndarray) -> np.ndarray:
        """Return the sums with weights (options..., responses, columns), (responses, options..., angles)."""
        weights = weights[..., self.columns]
        if weights.ndim == self.course.ndim == 2:
            return weights @ self.course
        options = np.broadcast_shapes(weights.shape[:-2], self.course.shape[:-2])
        sums = np.empty((weights.shape[-2], *options, self.course.shape[-1]))
        np.matmul(weights, self.course, out=np.moveaxis(sums, 0, -2))
        return sums


@dataclass(frozen=True, eq=False)
class Superposition:
    """The loads on one shaft over the cycle, ready to be added up with any weights.

    theta : crank angles, rad, (angles,) or (options, angles).
    """

    loads: ShaftLoads
    theta: np.ndarray

    def respond(self, weights: np.ndarray) -> list[Response]:
        """Return responses; weights : (options..., responses, forces), forces in the order of `force_places`."""
        return self._respond(weights, list(range(weights.shape[-2])))

    def respond_in_lots(self, weights: np.ndarray, size: int) -> list[Response]:
        """Return responses in lots of `size`, each lot along a first axis of its own; weights as for `respond`."""
        return self._respond(weights, [slice(start, start + size) for start in range(0, weights.shape[-2], size)])

    def _respond(self, weights: np.ndarray, places: list[Any]) -> list[Response]:
        few, mesh = self.weigh(weights), self.loads.mesh
        x, y = (answered(self.rows[axis], few) for axis in "xy")
        most = max((np.ndim(part) for part in (*x.parts, *y.parts)), default=0)
        x, y = (load.each(lambda part: deepened(part, most)) for load in (x, y))
        teeth = None if mesh is None else deepened(np.moveaxis(weights[..., -1], -1, 0), most - 1)
        return [
            Response(
                PlanarForce(x.at_place(place), y.at_place(place)),
                mesh,
                0.0 if teeth is None else teeth[place],
            )
            for place in places
        ]

    def sizes(self, weights: np.ndarray, speed: Number) -> np.ndarray:
        """Return the sizes of responses at a speed, (responses, options..., angles); weights as for `respond`."""
        squares = self.squares(self.weigh(weights), speed)
        return np.sqrt(squares, out=squares)

    def squares(self, weights: np.ndarray, speed: Number) -> np.ndarray:
        """Return the squares of the sizes of responses at a speed, (responses, options..., angles).

        weights : as `weigh` returns them. The separating force of the teeth counts with the rest.
        """
        return _square(*(rows.times(weights) for rows in self.at(speed)))

    def at(self, speed: Number) -> tuple[Rows, Rows]:
        """Return all loads along x and along y at a speed, with the same option axes in both.

        What the gear teeth push apart is among those along x.
        """
        along = {axis: [(column, load.at(speed)) for column, load in self._each(axis)] for axis in "xy"}
        if self.loads.mesh is not None:
            along["x"].append((self._teeth, self.loads.mesh.separating(speed)))
        shape = np.broadcast_shapes(*(course.shape for rows in along.values() for _, course in rows), self.theta.shape)
        return _laid_out(along["x"], shape), _laid_out(along["y"], shape)

    @cached_property
    def option_axes(self) -> int:
        """How many option axes all loads together have: one, or none."""
        mesh, rows = self.loads.mesh, [rows for parts in self.rows.values() for rows in parts.values()]
        axes = [self._bodies.ndim - 2, 0 if mesh is None else np.ndim(mesh.spread)]
        return max(*axes, *(each.course.ndim - 2 for each in rows))

    @property
    def _teeth(self) -> int:
        """Which of the weights of `weigh` is that of the gear teeth."""
        return len(self.loads.pins) + 3

    def weigh(self, weights: np.ndarray) -> np.ndarray:
        """Return weights of pins, of all turning mass (its weight, its m x and m y), and of the gear teeth."""
        pins, turning = len(self.loads.pins), len(self.loads.turning)
        masses = weights[..., pins : pins + turning] if turning else np.zeros((*weights.shape[:-1], 1))
        teeth = [] if self.loads.mesh is None else [weights[..., -1:]]
        return np.concatenate(alike(weights[..., :pins], masses @ self._bodies, *teeth), axis=-1)

    @cached_property
    def _bodies(self) -> np.ndarray:
        """Mass, m x and m y of every turning mass, (options..., masses or 1, 3)."""
        turning = self.loads.turning
        sizes = (side_by_side([getattr(each, of) for each in turning] or [0.0]) for of in ("mass", "across", "along"))
        return np.stack(np.broadcast_arrays(*sizes), axis=-1)

    @cached_property
    def rows(self) -> dict[str, dict[str, Rows]]:
        """All linear loads by axis, "x" or "y", and by part."""
        return {axis: self._rows(axis) for axis in "xy"}

    def _rows(self, axis: str) -> dict[str, Rows]:
        return by_part(self._each(axis), self.theta)

    def _each(self, axis: str) -> Iterator[tuple[int, Load]]:
        """Yield (column, course) of every linear load along an axis."""
        loads, first = self.loads, len(self.loads.pins)
        yield from ((place, getattr(pull, axis)) for place, (_, pull) in enumerate(loads.pins.values()))
        if axis == "y" and loads.mesh is not None:
            yield self._teeth, loads.mesh.tangential
        if loads.turning:
            weight = Load(gravity=over_angle(loads.gravity["xy".index(axis)]))
            yield first, weight.added_up if loads.added_up else weight
            yield from ((first + 1 + place, Load(inertia=each)) for place, each in enumerate(self._turned[axis]))

    @cached_property
    def _turned(self) -> dict[str, tuple[np.ndarray, np.ndarray]]:
        """The pull of a turning mass along each axis per m x and per m y in the crank frame, (..., angles)."""
        per_x, per_y = (on_bench(*unit, self.theta, self.loads.sign) for unit in ((1.0, 0.0), (0.0, 1.0)))
        return {axis: (per_x[place], per_y[place]) for place, axis in enumerate("xy")}


def by_part(loads: Iterable[tuple[int, Load]], theta: np.ndarray) -> dict[str, Rows]:
    """Return loads, each with the number of its weight, as rows of those parts that are present, at angles theta."""
    found: dict[str, list[tuple[int, Scalar]]] = {}
    for column, load in loads:
        for part, course in zip(PARTS, load.parts, strict=True):
            if not absent(course):
                found.setdefault(part, []).append((column, course))
    return {part: _laid_out(each, theta.shape) for part, each in found.items()}


def answered(loads: dict[str, Rows], weights: np.ndarray) -> Load:
    """Return weighted sums of loads, (responses, options..., angles); weights as for `Rows.times`."""
    return Load(**{part: rows.times(weights) for part, rows in loads.items()})


def _laid_out(rows: Sequence[tuple[int, Scalar]], least: tuple[int, ...]) -> Rows:
    """Return rows of a shape that holds `least`, (options..., angles), and every one of them."""
    shape = np.broadcast_shapes(least, *(np.shape(values) for _, values in rows))
    course = np.empty((*shape[:-1], len(rows), shape[-1]))
    for place, (_, values) in enumerate(rows):
        course[..., place, :] = values
    return Rows(np.array([column for column, _ in rows], dtype=int), course)


def deepened(values: Scalar, axes: int) -> np.ndarray:
    """Return an array (things, options..., angles) with so many axes: an option axis that it lacks comes second."""
    values = np.asarray(values)
    if values.ndim in (0, axes):
        return values
    return values.reshape(values.shape[0], *(1,) * (axes - values.ndim), *values.shape[1:])


def _square(x: np.ndarray, y: np.ndarray) -> np.ndarray:
    """Return the square of the size of a vector; both are new arrays, which nobody else holds."""
    x *= x
    y *= y
    return onto(x, y)


def alike(*matrices: np.ndarray) -> list[np.ndarray]:
    """Give matrices, (options..., rows, columns), the same option axes."""
    options = np.broadcast_shapes(*(each.shape[:-2] for each in matrices))
    if not options:
        return list(matrices)
    return [np.broadcast_to(each, (*options, *each.shape[-2:])) for each in matrices]


def force_places(loads: ShaftLoads) -> list[Number]:
    """Return where forces act, m, in the order of the stations: pins, turning masses, mesh."""
    places = [at for at, _ in loads.pins.values()] + [mass.at for mass in loads.turning]
    return places if loads.mesh is None else [*places, loads.mesh.at]


def force_count(loads: ShaftLoads) -> int:
    """Return how many forces act on a shaft."""
    return len(loads.pins) + len(loads.turning) + (loads.mesh is not None)
