"""Loads on one crank as rows over crank angle, so that any number of responses is one product of matrices."""

from collections.abc import Container, Sequence
from itertools import pairwise

import numpy as np

from balance.cycle.load import Load
from balance.quantities import Number, Scalar, over_angle

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


def taken(values: np.ndarray, indices: Sequence[int], axis: int = -1) -> np.ndarray:
    """Return what stands at some places of an axis: a view where they follow each other, else a copy in order.

    By numpy's own indexing each place would lie by itself in memory, and products of matrices suffer.
    """
    if not len(indices):
        return np.delete(values, slice(None), axis)
    breaks = [0, *(at for at in range(1, len(indices)) if indices[at] != indices[at - 1] + 1), len(indices)]
    ahead = (slice(None),) * (axis % values.ndim)
    runs = [values[(*ahead, slice(indices[start], indices[start] + end - start))] for start, end in pairwise(breaks)]
    if len(runs) == 1:
        return runs[0]
    # A few runs are copied in half the time that single places take.
    return np.concatenate(runs, axis) if len(runs) < 4 else np.take(values, indices, axis)


def laid_out(given: list[list[Term]], least: tuple[int, ...]) -> np.ndarray:
    """Return rows, (options..., rows, angles), each the sum of the products that are given for it: of none, zero.

    least : a shape, (options..., angles), that the rows have at the least.
    """
    every = [value for terms in given for term in terms for value in term]
    shape = np.broadcast_shapes(least, *(np.shape(value) for value in every))
    rows, product = _empty(len(given), shape), np.empty(shape)
    for index, terms in enumerate(given):
        row = rows[..., index, :]
        if any(np.broadcast_shapes(*map(np.shape, term)) == shape for term in terms):
            np.multiply(*terms[0], out=row)
            for term in terms[1:]:
                row += np.multiply(*term, out=product)
        else:  # alike in all options: worked out once
            row[...] = sum(np.multiply(*term) for term in terms)
    return rows


def rows_at(
    rows: Load, speed: Number, empty: tuple[Container[int], Container[int]], more: Sequence[np.ndarray]
) -> np.ndarray:
    """Return rows that wait for a speed at it, and more behind them, (options..., rows, angles).

    Row by row, so that each is still in the cache as its second part is added.
    empty : rows that are zero at rest, and rows that do not grow with speed; they cost nothing.
    """
    steady, growing = np.asarray(rows.steady), np.asarray(rows.inertia)
    square = np.square(over_angle(speed))
    shape = np.broadcast_shapes(
        (*steady.shape[:-2], steady.shape[-1]), (*growing.shape[:-2], growing.shape[-1]), square.shape
    )
    shape, count = np.broadcast_shapes(shape, *(each.shape for each in more)), steady.shape[-2]
    values = _empty(count + len(more), shape)
    for index, each in enumerate(more, count):
        values[..., index, :] = each
    for index in range(count):
        row = values[..., index, :]
        if index in empty[1]:
            row[...] = steady[..., index, :]
            continue
        np.multiply(square, growing[..., index, :], out=row)
        if index not in empty[0]:
            row += steady[..., index, :]
    return values


def _empty(count: int, shape: tuple[int, ...]) -> np.ndarray:
    """Return rows to be filled: each lies by itself in memory, which is quicker to fill."""
    return np.moveaxis(np.empty((count, *shape)), 0, -2)
