"""Where two parts come nearest, over the turn; for a single design.

Of straight faces that stand side by side no two points are the nearest, and a tilt brings one end nearer: so every
corner is looked at with what it faces.
"""

from collections.abc import Callable, Iterator, Sequence

import numpy as np

from balance.obstacles import Obstacle
from balance.outlines import boxes_apart
from balance.quantities import Scalar
from balance.turning import HANDS

ALL_ROUND = np.linspace(0.0, 2 * np.pi, 48, endpoint=False)
ROUND_ABOUT = np.stack([np.cos(ALL_ROUND), np.sin(ALL_ROUND)], axis=-1)
"""Ways out of each other of two parts that have no straight face between them, (ways, 2)."""
AT_ONCE = 8  # ways that are looked at together: of a part with hundreds of corners they take some megabytes
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
    every, faces = np.arange(len(corners[0])), np.concatenate([*map(_off_faces, corners)])
    ways = np.concatenate([np.broadcast_to(ROUND_ABOUT[:, None], (len(ROUND_ABOUT), len(every), 2)), faces])
    depths = np.concatenate([*_depths(ROUND_ABOUT, corners, _along), *_depths(faces, corners, _along_turning)])
    best = np.argmin(depths, axis=0)
    depth, way = depths[best, every], ways[best, every]
    foremost = corners[0][every, np.argmax(_along_turning(way[None], corners[0])[0], axis=-1)]
    return np.stack([foremost, foremost - depth[:, None] * way]).swapaxes(1, 2)


Along = Callable[[np.ndarray, np.ndarray], np.ndarray]


def _depths(ways: np.ndarray, corners: Sequence[np.ndarray], along: Along) -> Iterator[np.ndarray]:
    """Yield how deep corners of one part stand in the other along a few ways each, m, (ways, angles).

    corners : of both, m, (angles, corners, 2).   along : how far corners reach along ways, (ways, angles, corners).
    """
    for first in range(0, len(ways), AT_ONCE):
        few = ways[first : first + AT_ONCE]
        yield np.max(along(few, corners[0]), axis=-1) - np.min(along(few, corners[1]), axis=-1)


def _along(ways: np.ndarray, corners: np.ndarray) -> np.ndarray:
    """Return the same along ways, (ways, 2), that are alike at every angle."""
    return (ways @ corners.reshape(-1, 2).T).reshape(len(ways), *corners.shape[:2])


def _along_turning(ways: np.ndarray, corners: np.ndarray) -> np.ndarray:
    """Return the same along ways that turn with a part, (ways, angles, 2)."""
    return ways[..., 0, None] * corners[..., 0] + ways[..., 1, None] * corners[..., 1]


def _off_faces(corners: np.ndarray) -> np.ndarray:
    """Return ways square to the faces of a part that has few, both senses, (ways, angles, 2)."""
    if not 1 < corners.shape[1] <= CORNERS:
        return np.zeros((0, len(corners), 2))
    along = np.diff(corners, axis=1)
    size = np.hypot(along[..., 0], along[..., 1])
    faces = np.all(size > 0, axis=0)
    square = np.stack([along[..., 1], -along[..., 0]], axis=-1)[:, faces] / size[:, faces, None]
    return np.concatenate([square, -square], axis=1).swapaxes(0, 1)


def mirrored(one: Obstacle, other: Obstacle) -> bool:
    """Return whether a part is the mirror image of another."""
    return {one.hand, other.hand} == {"right", "left"} and one.name == other.name.replace(other.hand, one.hand)
