"""An outline of the user's own as a counterweight."""

import numpy as np

from balance.plates.plate import Bend, Measures, RoundHole
from balance.quantities import Number, Scalar, result


@result
class Polygon:
    """A closed outline about the shaft's centre.   x, y : its corners in order, m, each (options..., corners)."""

    x: np.ndarray
    y: np.ndarray

    @property
    def measures(self) -> Measures:
        """Integrals of 1, y and r^2 by Green's theorem over the straight edges."""
        x, y = self.x, self.y
        next_x, next_y = np.roll(x, -1, axis=-1), np.roll(y, -1, axis=-1)
        cross = x * next_y - next_x * y
        sign = np.sign(np.sum(cross, axis=-1))  # either sense of going round
        polar = np.sum(cross * (x**2 + x * next_x + next_x**2 + y**2 + y * next_y + next_y**2), axis=-1) / 12
        return Measures(
            sign * np.sum(cross, axis=-1) / 2, sign * np.sum(cross * (y + next_y), axis=-1) / 6, sign * polar
        )

    @property
    def reach(self) -> Number:
        """The farthest corner, m."""
        return np.max(np.hypot(self.x, self.y), axis=-1)

    def edge_distance(self, x: Scalar, y: Scalar) -> Number:
        """Return how far a point lies inside: from the nearest edge, m; negative outside."""
        x, y = np.asarray(x)[..., None], np.asarray(y)[..., None]
        along_x, along_y = np.roll(self.x, -1, axis=-1) - self.x, np.roll(self.y, -1, axis=-1) - self.y
        length = np.maximum(along_x**2 + along_y**2, 1e-30)
        share = np.clip(((x - self.x) * along_x + (y - self.y) * along_y) / length, 0.0, 1.0)
        distance = np.min(np.hypot(x - self.x - share * along_x, y - self.y - share * along_y), axis=-1)
        crosses = (self.y > y) != (self.y + along_y > y)
        right = x < self.x + (y - self.y) * along_x / np.where(along_y == 0, 1.0, along_y)
        return np.where(np.sum(crosses & right, axis=-1) % 2 == 1, distance, -distance)

    def path(self) -> list[Bend]:
        """Return its corners, counter-clockwise."""
        corners = [(float(x), float(y), 0.0) for x, y in zip(self.x, self.y, strict=True)]
        area = sum(x * ny - nx * y for (x, y, _), (nx, ny, _) in zip(corners, corners[1:] + corners[:1], strict=True))
        return corners if area > 0 else corners[::-1]


def crosses_itself(x: np.ndarray, y: np.ndarray) -> np.ndarray:
    """Return whether two edges of an outline that are not neighbours cross, (options...).

    x, y : corners in order, m, (options..., corners). Two edges cross where each parts the other's ends.
    """
    next_x, next_y = np.roll(x, -1, axis=-1), np.roll(y, -1, axis=-1)

    def side(px: np.ndarray, py: np.ndarray) -> np.ndarray:
        """On which side of each edge (rows) each point (columns) lies."""
        along_x, along_y = (next_x - x)[..., :, None], (next_y - y)[..., :, None]
        return np.sign(along_x * (py[..., None, :] - y[..., :, None]) - along_y * (px[..., None, :] - x[..., :, None]))

    parted = side(x, y) * side(next_x, next_y) < 0
    return np.any(parted & np.swapaxes(parted, -1, -2), axis=(-1, -2))


def upright(corners: np.ndarray, holes: tuple[RoundHole, ...]) -> tuple[Polygon, tuple[RoundHole, ...]]:
    """Return an outline and its holes turned about the shaft's centre so that the mass centre lies on +y.

    corners : (options..., corners, 2), m.
    """
    x, y = corners[..., 0], corners[..., 1]
    centre_angle = _centre_angle(x, y, holes)
    turned = [(*_turned(hx, hy, centre_angle), diameter) for hx, hy, diameter in holes]
    return Polygon(*map(np.asarray, _turned(x, y, centre_angle[..., None]))), tuple(turned)


def _centre_angle(x: np.ndarray, y: np.ndarray, holes: tuple[RoundHole, ...]) -> np.ndarray:
    """Return the angle from +y toward +x at which the mass centre stands, rad."""
    up = Polygon(x, y).measures.first - sum(np.pi / 4 * d**2 * hy for _, hy, d in holes)
    across = Polygon(y, x).measures.first - sum(np.pi / 4 * d**2 * hx for hx, _, d in holes)
    return np.arctan2(across, up)


def _turned(x: Scalar, y: Scalar, angle: Scalar) -> tuple[Number, Number]:
    """Turn points counter-clockwise."""
    cosine, sine = np.cos(angle), np.sin(angle)
    return x * cosine - y * sine, x * sine + y * cosine
