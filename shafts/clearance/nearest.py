"""Where two parts come nearest, over the turn; for a single design.

Of straight faces that stand side by side no two points are the nearest, and a tilt brings one end nearer: so every
corner is looked at with what it faces.
"""

from collections.abc import Iterator
from itertools import pairwise

import numpy as np

from balance.obstacles import Obstacle
from balance.outlines import boxes_apart
from balance.quantities import Scalar
from balance.turning import HANDS

ALL_ROUND = 48  # ways out of each other of two parts that have no straight face between them
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


def deepest_points(one: Obstacle, other: Obstacle, mask: np.ndarray) -> np.ndarray:
    """Return of two parts that overlap at the angles of a mask the points that are the farthest inside the other.

    m, (parts, x and y, angles). They stand apart along the line on which the least way leads out, as far as it is. Ways
    square to straight faces are looked at, and others all round; parts count as their convex hulls. So the way is never
    longer than told.
    Source: separating axis theorem (convex sets are apart if they are along some direction), from memory.
    """
    import shapely

    corners = [shapely.get_coordinates(part.at(mask)).reshape(np.count_nonzero(mask), -1, 2) for part in (one, other)]
    best, points = np.full(len(corners[0]), np.inf), np.zeros((2, 2, len(corners[0])))
    for x, y in _ways(corners):
        along = [each[..., 0] * x[:, None] + each[..., 1] * y[:, None] for each in corners]
        foremost, rearmost = np.argmax(along[0], axis=-1), np.min(along[1], axis=-1)
        depth = np.max(along[0], axis=-1) - rearmost
        point = np.take_along_axis(corners[0], foremost[:, None, None], axis=1)[:, 0].T
        ends = np.stack([point, point - depth * np.stack([x, y])])
        points = np.where(depth < best, ends, points)
        best = np.minimum(depth, best)
    return points


def _ways(corners: list[np.ndarray]) -> Iterator[tuple[np.ndarray, np.ndarray]]:
    """Yield ways out of each other, both senses: all round, and square to the faces of parts that have few."""
    round_about = np.linspace(0.0, 2 * np.pi, ALL_ROUND, endpoint=False)
    for angle in round_about:
        yield np.full(len(corners[0]), np.cos(angle)), np.full(len(corners[0]), np.sin(angle))
    for each in corners:
        for start, end in pairwise(np.moveaxis(each, 1, 0)) if 1 < each.shape[1] <= CORNERS else ():
            along = end - start
            size = np.hypot(along[:, 0], along[:, 1])
            if np.all(size > 0):
                x, y = along[:, 1] / size, -along[:, 0] / size
                yield x, y
                yield -x, -y


def mirrored(one: Obstacle, other: Obstacle) -> bool:
    """Return whether a part is the mirror image of another."""
    return {one.hand, other.hand} == {"right", "left"} and one.name == other.name.replace(other.hand, one.hand)
