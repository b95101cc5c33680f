"""The clearance between every two parts that could meet, at rest and at speed; for a single design.

Nominal distances come from the real outlines at every degree of the turn. At speed each part is displaced
by what its shaft, bearings and rods give, and the distance changes, to first order, by how far the
two nearest points move apart along the line between them.
"""

from bisect import insort
from collections.abc import Callable, Iterable
from dataclasses import field
from functools import cached_property
from typing import Any

import numpy as np

from balance.bodies.every import bodies, without_body
from balance.cycle.extremes import least
from balance.motion import Motion
from balance.obstacles import ANGLES, Missing, Obstacle, ShaftPiece
from balance.outlines import boxes_apart, ranges_meet
from balance.quantities import Number, over_angle, result
from balance.turning import HANDS
from balance.weights.balancing import Weights
from balance.weights.clearance import weight_parts
from shafts.clearance.nearest import deepest_points, faced, nearest_points
from shafts.clearance.pairs import GROUPS, could_meet, group_of, unlooked
from shafts.clearance.seats import seat_bodies
from shafts.engine import Engine
from shafts.gap.displaced import Displaced, Vector
from shafts.gap.shift import Shift
from shafts.loaded_shafts import Case, LoadedShafts
from shafts.pieces import pieces
from shafts.shaft import Shaft

COARSE = 10  # degrees between two looks that tell near pairs from far ones
FAR = 1.0  # m; what counts as far apart
LARGEST_DEFLECTION = 1e-3  # m; no deflection is larger than this before it has failed
ROUNDING = 1e-9  # m
STILL_ROUND = ("case", "shaft")
Pair = tuple[Obstacle, Obstacle]


@result
class Clearance:
    """Two parts that could meet.

    one, other : the parts.   distance : between them, rigid and without play, m, (angles,): negative as far as one must
    move at least to come out of the other, square to the shafts or along them.
    near : where they may come nearest, the nearest points first, m: (places, parts, x and y, angles); where they
    overlap those that are the farthest inside the other.   inside : at which angles they do, (angles,).
    """

    displaced: Displaced
    one: Obstacle
    other: Obstacle
    distance: np.ndarray
    near: np.ndarray
    inside: np.ndarray

    @property
    def names(self) -> str:
        """Both parts in words."""
        return f"{self.one.name} and {self.other.name}"

    @property
    def group(self) -> str:
        """The kind of pair, a key of GROUPS."""
        return group_of(self.one, self.other)

    @property
    def taken(self) -> str:
        """The keys that would give the sizes that are taken; empty where both parts are as given."""
        return " and ".join(dict.fromkeys(part.taken for part in (self.one, self.other) if part.taken))

    def gap(self, speed: Number, case: Case = "expected") -> np.ndarray:
        """Return the distance over the cycle at a speed, m, (angles,) or (speeds, angles); negative is overlap."""
        near = self.near if np.ndim(speed) == 0 else self.near[..., None, :]
        (x, y), (other_x, other_y) = np.moveaxis(near, 0, 2)
        across = other_x - x, other_y - y
        size = np.hypot(*across)
        size[0] = np.where(self.inside, -size[0], size[0])
        apart = [each / np.where(size == 0, 1.0, size) for each in across]
        here = self.displaced.of(self.one, (x, y), speed, case)
        there = self.displaced.of(self.other, (other_x, other_y), speed, case)
        moved = sum(n * (b - a) for n, a, b in zip(apart, here, there, strict=True))
        separations = size - self.one.radius - self.other.radius + moved + self._tilt_rise(apart[1], speed, case)
        if case == "worst":
            separations = separations - self.displaced.looseness(self.one) - self.displaced.looseness(self.other)
        play = float(self.displaced.loaded.engine.fits.axial_play)
        found = _or_along(np.min(separations, axis=0), play, self.one, self.other)
        far = np.broadcast_to(self.distance, separations.shape[1:]) >= FAR
        return np.where(far, FAR, found) + np.zeros_like(over_angle(speed))

    def _tilt_rise(self, apart: np.ndarray, speed: Number, case: Case) -> np.ndarray:
        """Return what yokes that lean along the shafts add to the distance, where both parts come nearest by it, m.

        apart : how far the one nearest point lies above the other, per metre between them.
        """
        play = float(self.displaced.loaded.engine.fits.axial_play)
        z = max(self.one.z[0], self.other.z[0]) - play, min(self.one.z[1], self.other.z[1]) + play
        here, there = (self.displaced.tilt_rise(part, z, speed, case) for part in (self.one, self.other))
        return np.minimum(-apart * here[0], -apart * here[1]) + np.minimum(apart * there[0], apart * there[1])

    def least(self, speed: Number, case: Case = "expected") -> tuple[np.ndarray, np.ndarray]:
        """Return the least distance over the cycle at a speed, m, and its crank angle, rad; (speeds,) for several."""
        return least(self.gap(speed, case))


@result
class Moved(Displaced):
    """All parts as they are moved, where each pin and yoke is worked out once for each speed; many pairs share them."""

    known: dict[tuple, Any] = field(default_factory=dict)

    def pin(self, name: str, hand: str, speed: Number, case: Case) -> Vector:
        """Return how far a yoke's crankpin is moved (see Displaced)."""
        return self._once(("pin", name, hand, case), speed, lambda: super(Moved, self).pin(name, hand, speed, case))

    def yoke(self, name: str, speed: Number, case: Case) -> Shift:
        """Return how one yoke is shifted (see Displaced)."""
        return self._once(("yoke", name, case), speed, lambda: super(Moved, self).yoke(name, speed, case))

    def tilts(self, name: str, speed: Number, case: Case) -> Vector:
        """Return how far a yoke leans (see Displaced)."""
        return self._once(("lean", name, case), speed, lambda: super(Moved, self).tilts(name, speed, case))

    def _once(self, what: tuple, speed: Number, work: Callable[[], Any]) -> Any:
        key = (*what, np.shape(speed), np.asarray(speed, dtype=float).tobytes())
        if key not in self.known:
            self.known[key] = work()
        return self.known[key]


@result
class Shapes:
    """All parts of a machine as bodies, rigid, and which of them could meet; for a single design.

    engine : without the counterweights.   motion : at every degree of the turn.
    weights : the counterweights that are fitted, or None.
    """

    engine: Engine
    motion: Motion
    weights: Weights | None = None

    @cached_property
    def parts(self) -> list[Obstacle]:
        """Every part that has a body."""
        assert len(self.motion.theta) == ANGLES
        return every_part(self.engine, self.motion, self.weights)

    @cached_property
    def pairs(self) -> dict[str, list[Pair]]:
        """Every two parts that could meet, by kind of pair; kinds of which there is no part are left out."""
        by_group: dict[str, list[Pair]] = {
            group: [] for group, kinds in GROUPS.items() if any(part.kind in kinds for part in self.parts)
        }
        parts, (low, high) = self.parts, np.array([part.z for part in self.parts], dtype=float).T.reshape(2, -1)
        first, second = np.triu_indices(len(parts), 1)
        # Most are not side by side, and need no look.
        beside = ranges_meet((low[first], high[first]), (low[second], high[second]), self.engine.fits.axial_play)
        for one, other in zip(first[beside], second[beside], strict=True):
            pair = parts[one], parts[other]
            if could_meet(self.engine, *pair):
                by_group[group_of(*pair)].append(pair)
        return by_group

    def unlooked(self, group: str) -> list[Missing]:
        """Return the parts without a body that could meet one of a kind of pair."""
        return unlooked(self.parts, without_body(self.engine), group)

    def near(self, group: str, taken: bool) -> list[tuple[Obstacle, Obstacle, np.ndarray]]:
        """Return of one kind of pair those that may hold the nearest one, and the angles (mask) at which they may.

        taken : whether of those with a part whose size is taken, or of all others.
        """
        if (group, taken) not in self._near:
            pairs = [pair for pair in self.pairs[group] if bool(pair[0].taken or pair[1].taken) is taken]
            self._near[group, taken] = _near(self.motion, self.engine, pairs)
        return self._near[group, taken]

    @cached_property
    def _near(self) -> dict[tuple[str, bool], list[tuple[Obstacle, Obstacle, np.ndarray]]]:
        return {}

    def deepest(self, group: str) -> float:
        """Return the least distance of two given parts of one kind of pair, rigid, m; positive may be too much.

        Parts that overlap are all looked at: where they do by far, the loads, which take long, change little.
        """
        play = float(self.engine.fits.axial_play)
        distances = (_or_along(_closest(one, other, mask)[1] - one.radius - other.radius, play, one, other)
                     for one, other, mask in self.near(group, taken=False))  # fmt: skip
        return min((float(np.min(each)) for each in distances), default=np.inf)


@result
class Bodies:
    """The same under load, and how near they come; for a single design.

    loaded : worked out at every degree of the turn.
    """

    loaded: LoadedShafts
    shapes: Shapes

    @cached_property
    def displaced(self) -> Displaced:
        """All parts as they are moved by deflection and play."""
        return Moved(self.loaded)

    def clearance(self, one: Obstacle, other: Obstacle) -> Clearance:
        """Return the clearance between two parts, looked at all through the turn."""
        return _nearest(self.displaced, one, other, np.ones(ANGLES, dtype=bool))

    @cached_property
    def all(self) -> list[Clearance]:
        """Every pair of parts that could meet, least nominal distance first."""
        clearances = [self.clearance(*pair) for pairs in self.shapes.pairs.values() for pair in pairs]
        return sorted(clearances, key=lambda each: float(np.min(each.distance)))

    def nearest(self, count: int) -> list[Clearance]:
        """Return so many pairs, those that `all` has first; boxes around the parts tell that the rest are farther."""
        pairs = [pair for each in self.shapes.pairs.values() for pair in each]
        ranked: list[tuple[float, int, Clearance]] = []
        for separation, place in sorted((_box_distance(*pair), place) for place, pair in enumerate(pairs)):
            if len(ranked) >= count and separation > ranked[count - 1][0] + ROUNDING:
                break
            clearance = self.clearance(*pairs[place])
            insort(ranked, (_least_distance(clearance), place, clearance))
        return [clearance for _, _, clearance in ranked[:count]]

    def tightest(self, group: str) -> list[Clearance]:
        """Return of one kind of pair those that may hold the nearest one, without looking closely at all others.

        What is taken is sought apart from what is given, since a clash of the one proves nothing about the other.
        """
        if group not in self._tightest:
            wanted = [*self.shapes.near(group, taken=False), *self.shapes.near(group, taken=True)]
            self._tightest[group] = sorted((_nearest(self.displaced, *each) for each in wanted), key=_least_distance)
        return self._tightest[group]

    @cached_property
    def _tightest(self) -> dict[str, list[Clearance]]:
        return {}


def _least_distance(clearance: Clearance) -> float:
    return float(np.min(clearance.distance))


def every_part(engine: Engine, motion: Motion, weights: Weights | None) -> list[Obstacle]:
    """Return every part that has a body, at the angles of a motion. Along a throw there is no shaft.

    weights : the counterweights that are fitted, or None.
    """
    bare = {hand: _beside_throws(engine, shaft) for hand, shaft in zip(HANDS, engine.shafts.pair, strict=True)}
    obstacles = [*bodies(engine, motion, bare), *seat_bodies(engine)]
    return obstacles if weights is None else obstacles + weight_parts(engine, weights, motion.theta)


def _near(motion: Motion, engine: Engine, pairs: Iterable[Pair]) -> list[tuple[Obstacle, Obstacle, np.ndarray]]:
    """Return the pairs that may hold the nearest one, and the angles (mask) at which they may.

    Boxes around the parts tell most pairs far apart; a look every few degrees does the rest, since between
    two looks no part moves farther than it can.
    """
    pairs = list(pairs)
    apart = sorted(((_box_distance(one, other), place) for place, (one, other) in enumerate(pairs)))
    seen: list[tuple[int, np.ndarray]] = []
    best = np.inf
    for separation, place in apart:
        if separation > best + 2 * LARGEST_DEFLECTION:
            break
        one, other = pairs[place]
        looks = np.arange(ANGLES) % COARSE == 0
        first, second = nearest_points(one, other, looks)
        seen.append((place, np.hypot(*(second - first)) - one.radius - other.radius))
        best = min(best, max(float(np.min(seen[-1][1])), 0.0))  # of parts that overlap this does not tell how deep
    half_step, near = np.pi * COARSE / ANGLES, []
    for place, separations in seen:
        slack = half_step * sum(_fastest(motion, engine, part) for part in pairs[place]) + 2 * LARGEST_DEFLECTION
        looks = np.flatnonzero(separations - slack <= best) * COARSE
        if looks.size and all(part.follows[0] in STILL_ROUND and part.circle for part in pairs[place]):
            near.append((*pairs[place], np.arange(ANGLES) == 0))  # round about still axes: one look tells all
        elif looks.size:
            # Half a step to either side, and two more so that the least stands among neighbours.
            around = np.arange(-COARSE // 2 - 2, COARSE // 2 + 3)
            mask = np.zeros(ANGLES, dtype=bool)
            mask[(looks[:, None] + around) % ANGLES] = True
            near.append((*pairs[place], mask))
    return near


def _box_distance(one: Obstacle, other: Obstacle) -> float:
    """Return the least distance over the turn between hulls around two parts, m: never more than their own."""
    (first, reach), (second, other_reach) = one.hull, other.hull
    return float(np.min(boxes_apart(first, second))) - reach - other_reach


def _fastest(motion: Motion, engine: Engine, part: Obstacle) -> float:
    """Return the longest way that any point of a part goes per radian of crank angle, m."""
    import shapely

    kind, name = part.follows
    if kind in ("case", "shaft"):
        return 0.0
    if part.circle is not None:
        return part.circle[2]
    if kind == "web":
        centre = HANDS[part.hand] * float(engine.cranks.centre_distance) / 2
        return float(np.max(np.hypot(*(shapely.get_coordinates(part.shapes[0]) - (centre, 0.0)).T)))
    moved = motion.yokes[name]
    pin, yoke = float(np.hypot(moved.pin.across, moved.pin.along)[0]), float(np.max(np.abs(moved.velocity)))
    return {"pin": pin, "yoke": yoke, "rod": max(pin, yoke)}[kind]


def _beside_throws(engine: Engine, shaft: Shaft) -> list[ShaftPiece]:
    """Return the pieces of a shaft without what lies along a throw: a crank held on both sides has no shaft there."""
    lengths = pieces(shaft)
    for throw in engine.cranks.throws.values():
        half = 0.0 if throw.pin is None else float(throw.pin.length) / 2
        low, high = float(throw.at) - half, float(throw.at) + half
        parts = [((start, min(end, low), radius), (max(start, high), end, radius)) for start, end, radius in lengths]
        lengths = [piece for pair in parts for piece in pair if piece[0] < piece[1]]
    return lengths


def _or_along(distance: np.ndarray, play: float, one: Obstacle, other: Obstacle) -> np.ndarray:
    """Return distances of two parts, m, where they overlap by no more than it takes to pass along the shafts.

    play : of parts along the shafts, m.
    """
    way = max(float(min(one.z[1] - other.z[0], other.z[1] - one.z[0])) + play, 0.0)
    return np.where(distance < 0, np.maximum(distance, -way), distance)


def _nearest(displaced: Displaced, one: Obstacle, other: Obstacle, mask: np.ndarray) -> Clearance:
    """Return distance and nearest points of two parts at the angles of a mask; elsewhere they count as far apart."""
    first, middle = _closest(one, other, mask)
    inside = np.zeros(ANGLES, dtype=bool)
    inside[mask] = middle < 0
    # A corner that is not near enough to become the nearest by giving way need not be looked at.
    within = middle + 2 * LARGEST_DEFLECTION
    corners = faced(one, other, mask, within)
    apart = corners[:, 1] - corners[:, 0]
    close = np.any(np.hypot(apart[:, 0], apart[:, 1]) < within, axis=-1)
    points = np.concatenate([first[None], corners[close]])
    distance, near = np.full(ANGLES, FAR), np.zeros((len(points), 2, 2, ANGLES))
    near[..., mask] = points
    play = float(displaced.loaded.engine.fits.axial_play)
    distance[mask] = _or_along(middle - one.radius - other.radius, play, one, other)
    return Clearance(displaced, one, other, distance, near, inside)


def rigid_distance(one: Obstacle, other: Obstacle, mask: np.ndarray) -> float:
    """Return how far two parts are from each other at the one angle of a mask, rigid and without play, m.

    Negative by the least way on which one comes out of the other, square to the shafts.
    """
    return float(_closest(one, other, mask)[1][0]) - one.radius - other.radius


def _closest(one: Obstacle, other: Obstacle, mask: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    """Return the nearest points of two parts at the angles of a mask, and how far they are apart, m.

    Where the parts overlap, those that are the farthest inside the other, and by how much, negative.
    """
    points = nearest_points(one, other, mask)
    apart = np.hypot(*(points[1] - points[0]))
    if np.any(inside := apart == 0):
        where = mask.copy()
        where[mask] = inside
        points[..., inside] = deepest_points(one, other, where)
        apart[inside] = -np.hypot(*(points[1] - points[0]))[inside]
    return points, apart
