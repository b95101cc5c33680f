"""Loads on one crank laid out as rows over crank angle, so that any number of responses is one product of matrices."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

import numpy as np

from balance.cycle.load import Load, absent
from balance.quantities import Scalar


@dataclass(frozen=True, eq=False)
class Rows:
    """Several loads over the cycle.

    columns : which column of the compliance each row goes with.   values : (options..., rows, angles).
    """

    columns: np.ndarray
    values: np.ndarray

    def times(self, weights: np.ndarray) -> np.ndarray:
        """Return the sums with weights (options..., responses, columns), (responses, options..., angles)."""
        weights = weights[..., in_a_row(self.columns.tolist())]
        if weights.ndim == self.values.ndim == 2:
            return weights @ self.values
        options = np.broadcast_shapes(weights.shape[:-2], self.values.shape[:-2])
        kind = np.result_type(weights, self.values)
        sums = np.empty((weights.shape[-2], *options, self.values.shape[-1]), dtype=kind)
        np.matmul(weights, self.values, out=np.moveaxis(sums, 0, -2))
        return sums


def in_a_row(places: list[int]) -> slice | list[int]:
    """Return places that follow each other as a slice, by which numpy copies nothing; others as they are."""
    follow = places == list(range(places[0], places[0] + len(places)))
    return slice(places[0], places[-1] + 1) if follow else places


def of_one_depth(values: np.ndarray, axes: int) -> np.ndarray:
    """Return values (things, options..., angles) with so many axes: an option axis that they lack comes second."""
    if values.ndim == axes:
        return values
    return values.reshape(values.shape[0], *(1,) * (axes - values.ndim), *values.shape[1:])


def laid_out(rows: Sequence[tuple[int, Scalar]], least: tuple[int, ...]) -> Rows:
    """Return rows, each with its column, of a shape that holds `least`, (options..., angles), and every one of them."""
    shape = np.broadcast_shapes(least, *(np.shape(values) for _, values in rows))
    together = np.empty((*shape[:-1], len(rows), shape[-1]))
    for place, (_, values) in enumerate(rows):
        together[..., place, :] = values
    return Rows(np.array([column for column, _ in rows], dtype=int), together)


def by_part(loads: Iterable[tuple[int, Load]], theta: np.ndarray) -> dict[str, Rows]:
    """Return loads, each with its column, as rows of those parts that are present, at angles theta.

    Gas and gravity are one part, "gas": what a crank does under either is nowhere asked for. What vibration adds to
    loads, such as that of the teeth, is left out: it stands among all that vibrates (see `LoadedCrank.vibration`).
    """
    found: dict[str, list[tuple[int, Scalar]]] = {}
    for column, load in loads:
        for part, values in (("gas", load.steady), ("inertia", load.inertia)):
            if not absent(values):
                found.setdefault(part, []).append((column, values))
    return {part: laid_out(each, theta.shape) for part, each in found.items()}
