"""The room between every two parts that could meet, at rest and at speed; for a single design.

Nominal distances come from the real outlines at every degree of the turn. At speed each part is displaced
by what its shaft, bearings and rods give, and the distance changes, to first order, by how far the
two nearest points move apart along the line between them. Of straight faces that stand side by side no two points are
the nearest, and a tilt brings one end nearer: so every corner is looked at with what it faces.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from itertools import combinations

import numpy as np

from balance.cycle.extremes import least
from balance.obstacles import Obstacle, ShaftPiece, obstacles
from balance.outlines import ranges_meet
from balance.quantities import Number, over_angle
from balance.turning import HANDS
from balance.weights.balancing import Weights
from balance.weights.room import ANGLES, weight_parts
from shafts.gap.displaced import Displaced
from shafts.loaded_shafts import Case, LoadedShafts
from shafts.pieces import pieces
from shafts.shaft import Engine, Shaft

COARSE = 10  # degrees between two looks that tell near pairs from far ones
FAR = 1.0  # m; what counts as far apart
GIVE = 1e-3  # m; nothing gives way by more than this before it has failed
CORNERS = 16  # of an outline whose corners are looked at; one of more is round, and has no straight faces to speak of


@dataclass(frozen=True, eq=False)
class Clearance:
    """Two parts that could meet.

    one, other : the parts.   distance : between them, rigid and without play, m, zero where they overlap, (angles,).
    near : where they may come nearest, the nearest points first, m: (places, parts, x and y, angles).
    """

    displaced: Displaced
    one: Obstacle
    other: Obstacle
    distance: np.ndarray
    near: np.ndarray

    @property
    def names(self) -> str:
        """Both parts in words."""
        return f"{self.one.name} and {self.other.name}"

    def gap(self, speed: Number, case: Case = "expected") -> np.ndarray:
        """Return the distance over the cycle at a speed, m, (angles,) or (speeds, angles); negative is overlap."""
        near = self.near if np.ndim(speed) == 0 else self.near[..., None, :]
        (x, y), (other_x, other_y) = np.moveaxis(near, 0, 2)
        across = other_x - x, other_y - y
        size = np.hypot(*across)
        apart = [each / np.where(size > 0, size, 1.0) for each in across]
        here = self.displaced.of(self.one, (x, y), speed, case)
        there = self.displaced.of(self.other, (other_x, other_y), speed, case)
        moved = sum(n * (b - a) for n, a, b in zip(apart, here, there, strict=True))
        rooms = np.maximum(size - self.one.radius - self.other.radius, 0.0) + moved
        if case == "worst":
            rooms = rooms - self.displaced.looseness(self.one) - self.displaced.looseness(self.other)
        far = np.broadcast_to(self.distance, rooms.shape[1:]) >= FAR
        return np.where(far, FAR, np.min(rooms, axis=0)) + np.zeros_like(over_angle(speed))

    def least(self, speed: Number, case: Case = "expected") -> tuple[np.ndarray, np.ndarray]:
        """Return the least distance over the cycle at a speed, m, and its crank angle, rad; (speeds,) for several."""
        return least(self.gap(speed, case))


def clearances(loaded: LoadedShafts, weights: Weights | None = None, tightest: bool = False) -> list[Clearance]:
    """Return every pair of parts that could meet, least nominal distance first.

    loaded : worked out at every degree of the turn.   weights : the counterweights that are fitted, or None.
    tightest : leave out pairs that a coarser look shows to be farther apart than the nearest pair.
    Parts that belong together never move against each other and are left out: a yoke with its rods and pins, rods
    on one crankpin and the webs beside them, all that turns with one shaft. So is what two yokes carry inside their
    cylinder, where a stem may pass through a piston. Along a throw there is no shaft.
    """
    engine, motion = loaded.engine, loaded.motion
    assert len(motion.theta) == ANGLES
    bare = {hand: _beside_throws(engine, shaft) for hand, shaft in zip(HANDS, engine.shafts.pair, strict=True)}
    parts = obstacles(engine, motion, bare)
    if weights is not None:
        parts += weight_parts(engine, weights)
    pairs = [pair for pair in combinations(parts, 2) if _could_meet(engine, *pair)]
    everywhere = np.ones(ANGLES, dtype=bool)
    wanted = _near(loaded, pairs) if tightest else [(*pair, everywhere) for pair in pairs]
    displaced = Displaced(loaded)
    found = [_nearest(displaced, *each) for each in wanted]
    return sorted(found, key=lambda each: float(np.min(each.distance)))


def _near(loaded: LoadedShafts, pairs: list[tuple[Obstacle, Obstacle]]) -> list[tuple[Obstacle, Obstacle, np.ndarray]]:
    """Return the pairs that may hold the nearest one, and the angles (mask) at which they may.

    Boxes around the parts tell most pairs far apart; a look every few degrees does the rest, since between
    two looks no part moves farther than it can.
    """
    apart = sorted(((_box_room(one, other), place) for place, (one, other) in enumerate(pairs)))
    seen: list[tuple[int, np.ndarray]] = []
    best = np.inf
    for room, place in apart:
        if room > best + 2 * GIVE:
            break
        one, other = pairs[place]
        looks = np.arange(ANGLES) % COARSE == 0
        first, second = _nearest_points(one, other, looks)
        seen.append((place, np.hypot(*(second - first)) - one.radius - other.radius))
        best = min(best, float(np.min(seen[-1][1])))
    half_step, found = np.pi * COARSE / ANGLES, []
    for place, rooms in seen:
        slack = half_step * sum(_fastest(loaded, part) for part in pairs[place]) + 2 * GIVE
        looks = np.flatnonzero(rooms - slack <= best) * COARSE
        if looks.size:
            # Half a step to either side, and two more so that the least stands among neighbours.
            around = np.arange(-COARSE // 2 - 2, COARSE // 2 + 3)
            mask = np.zeros(ANGLES, dtype=bool)
            mask[(looks[:, None] + around) % ANGLES] = True
            found.append((*pairs[place], mask))
    return found


def _box_room(one: Obstacle, other: Obstacle) -> float:
    """Return the least distance over the turn between hulls around two parts, m: never more than their own."""
    (first, reach), (second, other_reach) = one.hull, other.hull
    across, along = (
        np.maximum(np.maximum(first[..., i] - second[..., i + 2], second[..., i] - first[..., i + 2]), 0.0)
        for i in (0, 1)
    )
    return float(np.min(np.hypot(across, along))) - reach - other_reach


def _fastest(loaded: LoadedShafts, part: Obstacle) -> float:
    """Return the longest way that any point of a part goes per radian of crank angle, m."""
    import shapely

    kind, name = part.follows
    if kind in ("case", "shaft"):
        return 0.0
    if part.circle is not None:
        return part.circle[2]
    if kind == "web":
        centre = HANDS[part.hand] * float(loaded.engine.cranks.centre_distance) / 2
        return float(np.max(np.hypot(*(shapely.get_coordinates(part.shapes[0]) - (centre, 0.0)).T)))
    moved = loaded.motion.yokes[name]
    pin, yoke = float(np.hypot(moved.pin.across, moved.pin.along)[0]), float(np.max(np.abs(moved.velocity)))
    return {"pin": pin, "yoke": yoke, "rod": max(pin, yoke)}[kind]


def _beside_throws(engine: Engine, shaft: Shaft) -> list[ShaftPiece]:
    """Return the pieces of a shaft without what lies along a throw: a crank held on both sides has no shaft there."""
    found = pieces(shaft)
    for throw in engine.cranks.throws.values():
        half = 0.0 if throw.pin is None else float(throw.pin.length) / 2
        low, high = float(throw.at) - half, float(throw.at) + half
        parts = [((start, min(end, low), radius), (max(start, high), end, radius)) for start, end, radius in found]
        found = [piece for pair in parts for piece in pair if piece[0] < piece[1]]
    return found


TURNING = {"shaft", "web", "pin", "weight"}


def _could_meet(engine: Engine, one: Obstacle, other: Obstacle) -> bool:
    if not ranges_meet(one.z, other.z, engine.fits.axial_play) or one.name == other.name:
        return False
    kinds, names = {one.follows[0], other.follows[0]}, [one.follows[1], other.follows[1]]
    if kinds == {"case"} or _told_elsewhere(one, other):
        return False
    if one.hand == other.hand != "both" and (
        kinds <= TURNING or kinds == {"shaft", "rod"} or _on_one_pin(engine, names) or _beside(engine, one, other)
    ):
        return False
    mirrored = {one.hand, other.hand} == {"right", "left"}
    return names[0] != names[1] or not names[0] or mirrored


def _told_elsewhere(one: Obstacle, other: Obstacle) -> bool:
    """Return whether both are yokes, which have a budget of their own, or both what yokes carry."""
    return {one.follows[0], other.follows[0]} == {"yoke"} and one.name.split()[0] == other.name.split()[0]


def _beside(engine: Engine, one: Obstacle, other: Obstacle) -> bool:
    """Return whether one part is a web and the other a rod on a crankpin at its end, where both are faced to run."""
    return any(web.joins and rod.follows[0] == "rod" and engine.yokes[rod.follows[1]].throw in web.joins
               for web, rod in ((one, other), (other, one)))  # fmt: skip


def _on_one_pin(engine: Engine, names: list[str]) -> bool:
    throws = [engine.yokes[name].throw if name else name for name in names]
    return throws[0] == throws[1] != ""


def _nearest(displaced: Displaced, one: Obstacle, other: Obstacle, mask: np.ndarray) -> Clearance:
    """Return distance and nearest points of two parts at the angles of a mask; elsewhere they count as far apart."""
    found = [_nearest_points(one, other, mask)]
    middle = np.hypot(*(found[0][1] - found[0][0]))
    # A corner that is not near enough to become the nearest by giving way need not be looked at.
    found += [each for each in _faced(one, other, mask) if np.any(np.hypot(*(each[1] - each[0])) < middle + 2 * GIVE)]
    distance, near = np.full(ANGLES, FAR), np.zeros((len(found), 2, 2, ANGLES))
    near[..., mask] = np.stack(found)
    distance[mask] = np.maximum(middle - one.radius - other.radius, 0.0)
    return Clearance(displaced, one, other, distance, near)


def _faced(one: Obstacle, other: Obstacle, mask: np.ndarray) -> Iterator[np.ndarray]:
    """Yield each corner of two parts with the nearest point of the other, as `_nearest_points` does."""
    import shapely

    shapes = [np.broadcast_to(part.shapes, mask.shape)[mask] for part in (one, other)]
    for place, mine in enumerate(shapes):
        corners = shapely.get_coordinates(mine).reshape(len(mine), -1, 2)
        if not 1 < corners.shape[1] <= CORNERS:
            continue
        for corner in np.moveaxis(corners, 1, 0):
            if _mirrored(one, other):
                if place == 0:
                    yield np.stack([corner.T, (corner * (-1.0, 1.0)).T])
                continue
            lines = shapely.shortest_line(shapely.points(corner), shapes[1 - place])
            ends = np.moveaxis(shapely.get_coordinates(lines).reshape(-1, 2, 2), 0, -1)
            yield ends if place == 0 else ends[::-1]


def _nearest_points(one: Obstacle, other: Obstacle, mask: np.ndarray) -> np.ndarray:
    """Return the nearest points of two parts at the angles of a mask, m, (parts, x and y, angles)."""
    import shapely

    first, second = (np.broadcast_to(part.shapes, mask.shape)[mask] for part in (one, other))
    if not _mirrored(one, other):
        ends = shapely.get_coordinates(shapely.shortest_line(first, second)).reshape(-1, 2, 2)
        return np.moveaxis(ends, 0, -1)
    # Mirror images are nearest where either is nearest to the plane between them.
    corners = shapely.get_coordinates(first).reshape(len(first), -1, 2)
    sign = HANDS[one.hand]
    place = np.argmin(sign * corners[..., 0], axis=-1)[:, None, None]
    point = np.take_along_axis(corners, place, axis=1)[:, 0].T
    mine = np.stack([sign * np.maximum(sign * point[0], 0.0), point[1]])  # what crosses the plane meets its image there
    return np.stack([mine, np.stack([-mine[0], mine[1]])])


def _mirrored(one: Obstacle, other: Obstacle) -> bool:
    """Return whether a part is the mirror image of another."""
    return {one.hand, other.hand} == {"right", "left"} and one.name == other.name.replace(other.hand, one.hand)
