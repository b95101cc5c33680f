"""Outlines of moving parts: their upper and lower edges, and whether two parts can meet along the shafts."""

from typing import Any

import numpy as np

from balance.machine.outline import Outline
from balance.quantities import Scalar, side_by_side

TOUCHING = 1e-9  # m along the shafts; what is no farther apart touches, however it was written down


def corner_arrays(outline: Outline) -> tuple[np.ndarray, np.ndarray]:
    """Return x and y of the corners, m, each (options..., corners)."""
    values = side_by_side([value for corner in outline.corners for value in corner])
    return values[..., 0::2], values[..., 1::2]


def polygon(outline: Outline) -> Any:
    """Return an outline as a shapely polygon; for a single design."""
    import shapely

    return shapely.polygons(np.stack(corner_arrays(outline), axis=-1))


def edge_heights(outline: Outline, x: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    """Return the lowest and highest point of an outline above each x, m.

    x : (options..., places).   Returns two arrays of that shape; (inf, -inf) beside the outline.
    """
    corner_x, corner_y = (values[..., None, :] for values in corner_arrays(outline))
    following = [*range(1, corner_x.shape[-1]), 0]
    next_x, next_y = corner_x[..., following], corner_y[..., following]
    x = x[..., None]
    width = next_x - corner_x
    hair = 1e-12  # a picometre: a corner belongs to both of its edges whatever the last digit
    inside = (x >= np.minimum(corner_x, next_x) - hair) & (x <= np.maximum(corner_x, next_x) + hair)
    upright = np.abs(width) < hair
    share = np.where(upright, 0.0, (x - corner_x) / np.where(upright, 1.0, width))
    height = corner_y + share * (next_y - corner_y)
    low = np.where(upright, np.minimum(corner_y, next_y), height)
    high = np.where(upright, np.maximum(corner_y, next_y), height)
    return np.min(np.where(inside, low, np.inf), axis=-1), np.max(np.where(inside, high, -np.inf), axis=-1)


def ranges_meet(one: tuple[Scalar, Scalar], other: tuple[Scalar, Scalar], play: Scalar = 0.0) -> np.ndarray:
    """Return whether two ranges along the shafts meet once each part may move by half the play, (options...).

    To touch is to meet: parts that share a face rub. So the last digit of a unit decides nothing.
    """
    slack = np.asarray(play) + TOUCHING
    return (np.asarray(one[0]) <= other[1] + slack) & (np.asarray(other[0]) <= one[1] + slack)


def touch(one: tuple[Scalar, Scalar], other: tuple[Scalar, Scalar], play: Scalar = 0.0) -> np.ndarray:
    """Return whether two ranges only just meet: they share a face, or would with the play taken up, (options...)."""
    overlap = np.minimum(one[1], other[1]) - np.maximum(one[0], other[0]) + np.asarray(play)
    return np.abs(overlap) <= TOUCHING


def facing(upper: Outline, lower: Outline) -> tuple[np.ndarray, np.ndarray]:
    """Return where two outlines face each other up and down, and the clearance between them there.

    Returns x, m, and the lower edge of `upper` less the upper edge of `lower` with both origins at one
    height, m; both (options..., places) at every corner of either, inf where they do not face each other.
    Between corners both edges are straight, so the clearance is least at one of them.
    """
    x = np.concatenate(_broadcast_options(corner_arrays(upper)[0], corner_arrays(lower)[0]), axis=-1)
    clearance = edge_heights(upper, x)[0] - edge_heights(lower, x)[1]
    return x, clearance


def _broadcast_options(one: np.ndarray, other: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    """Give two corner arrays the same option axes; their corner counts may differ."""
    options = np.broadcast_shapes(one.shape[:-1], other.shape[:-1])
    return np.broadcast_to(one, (*options, one.shape[-1])), np.broadcast_to(other, (*options, other.shape[-1]))


def boxes_apart(one: np.ndarray, other: np.ndarray) -> np.ndarray:
    """Return the distance between boxes, m, (...): each least x and y, then largest, m, (..., 4)."""
    apart = np.maximum(np.maximum(one[..., :2] - other[..., 2:], other[..., :2] - one[..., 2:]), 0.0)
    return np.hypot(apart[..., 0], apart[..., 1])
