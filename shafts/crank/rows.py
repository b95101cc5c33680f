"""Loads on one crank as rows over crank angle, so that any number of responses is one product of matrices."""

from collections.abc import Sequence

import numpy as np

from balance.quantities import Scalar

Term = tuple[Scalar, Scalar]
"""A value and its factor, each (options..., angles) or broadcastable to it."""


def times(weights: np.ndarray, rows: np.ndarray) -> np.ndarray:
    """Return sums of rows (options..., loads, angles), (responses, options..., angles).

    weights : of every load in every response, (options..., responses, loads).
    """
    if weights.ndim == rows.ndim == 2:
        return weights @ rows
    options = np.broadcast_shapes(weights.shape[:-2], rows.shape[:-2])
    sums = np.empty((weights.shape[-2], *options, rows.shape[-1]), dtype=np.result_type(weights, rows))
    np.matmul(weights, rows, out=np.moveaxis(sums, 0, -2))
    return sums


def taken(values: np.ndarray, places: Sequence[int], axis: int = -1) -> np.ndarray:
    """Return what stands at some places of an axis: a view where they follow each other, else a copy in order.

    By numpy's own indexing each place would lie by itself in memory, and products of matrices suffer.
    """
    start, count = places[0], len(places)
    if list(places) == list(range(start, start + count)):
        return np.moveaxis(np.moveaxis(values, axis, 0)[start : start + count], 0, axis)
    return np.take(values, places, axis)


def laid_out(given: dict[int, list[Term]], count: int, least: tuple[int, ...]) -> np.ndarray:
    """Return `count` rows, (options..., rows, angles): each the sum of products that is given for it, else zero.

    least : a shape, (options..., angles), that the rows have at the least.
    """
    every = [value for terms in given.values() for term in terms for value in term]
    shape = np.broadcast_shapes(least, *(np.shape(value) for value in every))
    rows = np.moveaxis(np.empty((count, *shape)), 0, -2)  # each lies by itself in memory, which is quicker to fill
    for place in range(count):
        row, (first, *others) = rows[..., place, :], given.get(place, [(0.0, 0.0)])
        np.multiply(*first, out=row)
        for value, factor in others:
            row += value * factor
    return rows
