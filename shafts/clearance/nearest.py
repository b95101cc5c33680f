"""Where two parts come nearest, over the turn; for a single design.

Of straight faces that stand side by side no two points are the nearest, and a tilt brings one end nearer: so every
corner is looked at with what it faces.
"""

import numpy as np

from balance.obstacles import Obstacle
from balance.outlines import boxes_apart
from balance.quantities import Scalar
from balance.turning import HANDS

CORNERS = 16  # of an outline whose corners are looked at; one of more is round, and has no straight faces to speak of


def faced(one: Obstacle, other: Obstacle, mask: np.ndarray, within: Scalar = np.inf) -> np.ndarray:
    """Return each corner of two parts with the nearest point of the other, m, (corners, parts, x and y, angles).

    within : how near a corner must come to the other part's box at any angle, m, (angles,); others are left out.
    """
    import shapely

    shapes = [part.at(mask) for part in (one, other)]
    points = [np.zeros((0, 2, 2, len(shapes[0])))]
    for index, mine in enumerate(shapes):
        corners = shapely.get_coordinates(mine).reshape(len(mine), -1, 2)
        if not 1 < corners.shape[1] <= CORNERS or (mirrored(one, other) and index):
            continue
        corners = np.moveaxis(corners, 1, 0)
        corners = corners[np.any(boxes_apart(np.tile(corners, 2), shapely.bounds(shapes[1 - index])) < within, axis=-1)]
        if mirrored(one, other):
            ends = np.stack([corners, corners * (-1.0, 1.0)], axis=-2)
        else:
            lines = shapely.shortest_line(shapely.points(corners), shapes[1 - index])
            ends = shapely.get_coordinates(lines).reshape(*corners.shape[:2], 2, 2)
        points.append(np.moveaxis(ends if index == 0 else ends[..., ::-1, :], 1, -1))
    return np.concatenate(points)


def nearest_points(one: Obstacle, other: Obstacle, mask: np.ndarray) -> np.ndarray:
    """Return the nearest points of two parts at the angles of a mask, m, (parts, x and y, angles)."""
    import shapely

    first = one.at(mask)
    if not mirrored(one, other):
        ends = shapely.get_coordinates(shapely.shortest_line(first, other.at(mask))).reshape(-1, 2, 2)
        return np.moveaxis(ends, 0, -1)
    # Mirror images are nearest where either is nearest to the plane between them.
    corners = shapely.get_coordinates(first).reshape(len(first), -1, 2)
    sign = HANDS[one.hand]
    index = np.argmin(sign * corners[..., 0], axis=-1)[:, None, None]
    point = np.take_along_axis(corners, index, axis=1)[:, 0].T
    mine = np.stack([sign * np.maximum(sign * point[0], 0.0), point[1]])  # what crosses the plane meets its image there
    return np.stack([mine, np.stack([-mine[0], mine[1]])])


def mirrored(one: Obstacle, other: Obstacle) -> bool:
    """Return whether a part is the mirror image of another."""
    return {one.hand, other.hand} == {"right", "left"} and one.name == other.name.replace(other.hand, one.hand)
