"""Everything that a shaft does under its loads, as products of matrices: responses are weights times loads.

A response (a deflection, a slope, what a bearing carries) is a sum of all loads on the shaft, each with its
weight. The loads are laid out once, each part of each load a row over crank angle; any number of responses is then
one product. Turning masses are added up before they are spread over angle: whatever their number, their
pull has two rows, and their weight one.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from balance.growth import Growth, Pull, absent, onto
from balance.quantities import Number, Scalar, over_angle, side_by_side
from balance.shaft_loads import Mesh, ShaftLoads

PARTS = ("gas", "gravity", "inertia")


@dataclass(frozen=True, eq=False)
class Response:
    """A deflection, slope or bearing load over the cycle in x and y, as far as speed goes by parts.

    pull : its linear part.   mesh, mesh_weight : the gear teeth and how strongly their separating
    force, which is no linear load, enters along x; (options...).
    """

    pull: Pull
    mesh: Mesh | None
    mesh_weight: Number

    def at(self, speed: Number, apart: np.ndarray | None = None) -> tuple[np.ndarray, np.ndarray]:
        """Return its x and y at a speed (see Growth.at).

        apart : separating force of the teeth at that speed, where it is known already.
        """
        x, y = self.pull.x.at(speed), self.pull.y.at(speed)
        if self.mesh is not None:
            x = onto(x, over_angle(self.mesh_weight) * (self.mesh.separating(speed) if apart is None else apart))
        return x, y

    @property
    def per_push(self) -> Number:
        """What it takes along x per unit of the size of the teeth's tangential force, (options...)."""
        return 0.0 if self.mesh is None else self.mesh_weight * self.mesh.spread

    def square(self, speed: Number, apart: np.ndarray | None = None) -> np.ndarray:
        """Return the square of its size at a speed; `apart` as in `at`."""
        x, y = self.at(speed, apart)
        x *= x
        y *= y
        return onto(x, y)

    def size(self, speed: Number) -> np.ndarray:
        """Return its size at a speed."""
        return np.sqrt(self.square(speed))  # a third of the time that hypot takes; nothing here is near overflow

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
        options = np.broadcast_shapes(weights.shape[:-2], self.course.shape[:-2])
        if not options:
            return weights @ self.course
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
        few, mesh, count = self.weigh(weights), self.loads.mesh, weights.shape[-2]
        teeth = [0.0] * count if mesh is None else [weights[..., each, -1] for each in range(count)]
        sums = {axis: {part: rows.times(few) for part, rows in self.rows[axis].items()} for axis in "xy"}
        return [
            Response(Pull(*(Growth(**{part: each[place] for part, each in sums[axis].items()}) for axis in "xy")),
                     mesh, teeth[place])
            for place in range(count)
        ]  # fmt: skip

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
        found: dict[str, list[tuple[int, Scalar]]] = {}
        for part, column, course in self._each(axis):
            found.setdefault(part, []).append((column, course))
        return {part: self._laid_out(each) for part, each in found.items()}

    def _laid_out(self, rows: list[tuple[int, Scalar]]) -> Rows:
        shape = np.broadcast_shapes(self.theta.shape, *(np.shape(values) for _, values in rows))
        course = np.empty((*shape[:-1], len(rows), shape[-1]))
        for place, (_, values) in enumerate(rows):
            course[..., place, :] = values
        return Rows(np.array([column for column, _ in rows]), course)

    def _each(self, axis: str) -> Iterator[tuple[str, int, Scalar]]:
        """Yield (part, column, course) of every linear load along an axis."""
        loads, first = self.loads, len(self.loads.pins)
        pulls = [(place, getattr(pull, axis)) for place, (_, pull) in enumerate(loads.pins.values())]
        if axis == "y" and loads.mesh is not None:
            pulls.append((first + 3, loads.mesh.tangential))
        for column, growth in pulls:
            yield from ((part, column, values) for part in PARTS if not absent(values := getattr(growth, part)))
        if loads.turning:
            yield "gas" if loads.added_up else "gravity", first, over_angle(loads.gravity["xy".index(axis)])
            sine, cosine = np.sin(self.theta), np.cos(self.theta)
            turned = (loads.sign * cosine, loads.sign * sine) if axis == "x" else (-sine, cosine)
            yield from (("inertia", first + 1 + place, each) for place, each in enumerate(turned))


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
