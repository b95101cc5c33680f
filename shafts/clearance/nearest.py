"""Where two parts come nearest, over the turn; for a single design.

Of straight faces that stand side by side no two points are the nearest, and a tilt brings one end nearer: so every
corner is looked at with what it faces.
"""

from collections.abc import Iterator

import numpy as np

from balance.obstacles import Obstacle
from balance.turning import HANDS

CORNERS = 16  # of an outline whose corners are looked at; one of more is round, and has no straight faces to speak of


def faced(one: Obstacle, other: Obstacle, mask: np.ndarray) -> Iterator[np.ndarray]:
    """Yield each corner of two parts with the nearest point of the other, as `nearest_points` does."""
    import shapely

    shapes = [np.broadcast_to(part.shapes, mask.shape)[mask] for part in (one, other)]
    for place, mine in enumerate(shapes):
        corners = shapely.get_coordinates(mine).reshape(len(mine), -1, 2)
        if not 1 < corners.shape[1] <= CORNERS:
            continue
        for corner in np.moveaxis(corners, 1, 0):
            if mirrored(one, other):
                if place == 0:
                    yield np.stack([corner.T, (corner * (-1.0, 1.0)).T])
                continue
            lines = shapely.shortest_line(shapely.points(corner), shapes[1 - place])
            ends = np.moveaxis(shapely.get_coordinates(lines).reshape(-1, 2, 2), 0, -1)
            yield ends if place == 0 else ends[::-1]


def nearest_points(one: Obstacle, other: Obstacle, mask: np.ndarray) -> np.ndarray:
    """Return the nearest points of two parts at the angles of a mask, m, (parts, x and y, angles)."""
    import shapely

    first, second = (np.broadcast_to(part.shapes, mask.shape)[mask] for part in (one, other))
    if not mirrored(one, other):
        ends = shapely.get_coordinates(shapely.shortest_line(first, second)).reshape(-1, 2, 2)
        return np.moveaxis(ends, 0, -1)
    # Mirror images are nearest where either is nearest to the plane between them.
    corners = shapely.get_coordinates(first).reshape(len(first), -1, 2)
    sign = HANDS[one.hand]
    place = np.argmin(sign * corners[..., 0], axis=-1)[:, None, None]
    point = np.take_along_axis(corners, place, axis=1)[:, 0].T
    mine = np.stack([sign * np.maximum(sign * point[0], 0.0), point[1]])  # what crosses the plane meets its image there
    return np.stack([mine, np.stack([-mine[0], mine[1]])])


def mirrored(one: Obstacle, other: Obstacle) -> bool:
    """Return whether a part is the mirror image of another."""
    return {one.hand, other.hand} == {"right", "left"} and one.name == other.name.replace(other.hand, one.hand)
