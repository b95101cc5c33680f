"""One crank under its loads over the cycle: what moves, turns or is pushed, anywhere on it.

Everything is worked out in the crank's own frame, where the structure and what turns with it stand still, and only
what comes from outside turns: one compliance serves every angle and every speed.
"""

from collections import deque
from collections.abc import Iterator, Sequence
from dataclasses import replace
from functools import cached_property

import numpy as np

from balance.cycle.at_speed import AtSpeed, Weighed
from balance.cycle.at_speed import Rows as Vibration
from balance.cycle.load import Load, PlanarForce, absent
from balance.quantities import Number, Scalar, over_angle, result
from balance.turning import HANDS, in_crank
from shafts.crank.build import Crank
from shafts.crank.compliance import Acting, Unit, UnitResponse, acting
from shafts.crank.loads import CrankLoad
from shafts.crank.rows import Term, laid_out, rows_at, taken, times
from shafts.crank.stations import Pair, Stations
from shafts.crank.supports import whole_of
from shafts.crank.vectors import CrankVector
from shafts.shaft import Shaft

TOGETHER = 12
"""Speeds at which vibration is worked out at once: a third of the time of one by one, in the memory of a few."""


@result
class LoadedCrank:
    """The right or left crank with all that acts on it.

    gravity : acceleration x and y, m/s^2.   theta : crank angles, rad, (angles,) or (options, angles).
    rated : the speed at which bearings are judged, rad/s; None if they are not.
    response : of unit loads, which the other crank may share; columns : which of them are this crank's, in the order of
    its stations.   supports : what the bearings yield, by its parts, m/N (see `support_parts`).
    mirrored : the right crank, if this is the left one and the rods' forces and weights on both mirror each other: what
    is felt of the loads is then laid out there alone.
    vibration : what vibration adds to all loads, a row for each column of the loads, N and N m, where a single design's
    crank vibrates (see `shafts.whirl.vibrating`).
    """

    shaft: Shaft
    hand: str
    loads: list[CrankLoad]
    gravity: tuple[Number, Number]
    theta: np.ndarray
    rated: Number | None
    stations: Stations
    response: UnitResponse
    columns: np.ndarray
    supports: dict[str, np.ndarray]
    mirrored: "LoadedCrank | None" = None
    vibration: Vibration | None = None

    @property
    def sign(self) -> float:
        """+1 on the right, -1 on the left."""
        return HANDS[self.hand]

    def named(self, name: str) -> CrankLoad | None:
        """Return the load of a name; None if there is none."""
        return next((each for each in self.loads if each.name == name), None)

    @property
    def tooth(self) -> Load | None:
        """Tangential force of the gear teeth on this side, N; None without gears."""
        teeth = self.named("gear teeth")
        return None if teeth is None or teeth.force is None else teeth.force.y

    # What unit loads do

    @property
    def chain(self) -> Crank:
        """The crank's members."""
        return self.response.crank

    @cached_property
    def compliance(self) -> np.ndarray:
        """The supports' compliance, all parts together, m/N, (options..., bearings, bearings)."""
        return whole_of(self.supports)

    def influence(self, rows: Sequence[Pair]) -> np.ndarray:
        """Return x and y of what all loads do at some stations, (options..., 2 rows, loads)."""
        indices = [self._asked.index(pair) for pair in rows]
        return taken(self._whole, [2 * index + axis for index in indices for axis in (0, 1)], axis=-2)

    def influence_of(
        self, flexibility: np.ndarray | None, supports: np.ndarray | None, rows: Sequence[Pair]
    ) -> np.ndarray:
        """Return the same if some members or supports alone yielded; None for those that do not."""
        flat = [int(self.columns[column]) for pair in rows for column in pair]
        influence = np.zeros(())
        if flexibility is not None:
            influence = influence + self.response.by_members(flat, flexibility)
        if supports is not None:
            influence = influence + self.response.by_supports(flat, supports)
        return self._loads_of(influence)

    def _loads_of(self, values: np.ndarray) -> np.ndarray:
        """Return what belongs to this crank's loads among all columns of the response."""
        return taken(values, self.columns[: self.stations.loads].tolist())

    @property
    def _asked(self) -> list[Pair]:
        """All stations at which displacements are asked for."""
        stations = self.stations  # in the order of the columns, so that few runs of them are copied (see `taken`)
        loads, others = [*stations.rods.values(), stations.teeth], [*stations.slopes, stations.gear_slope]
        return [pair for pair in (*loads, *others) if pair is not None]

    @cached_property
    def _whole(self) -> np.ndarray:
        flat = [int(self.columns[column]) for pair in self._asked for column in pair]
        by_members = _shared(self.response, tuple(flat))
        return self._loads_of(by_members + self.response.by_supports(flat, self.compliance))

    @cached_property
    def pushes(self) -> np.ndarray:
        """Load on every bearing by every load, x and y by turns, (options..., 2 bearings, loads)."""
        count = len(self.shaft.bearings)
        order = [bearing + axis * count for bearing in range(count) for axis in (0, 1)]
        return -taken(self.reactions, order, axis=-2)

    @property
    def reactions(self) -> np.ndarray:
        """What the supports do under every load, (options..., supports, loads); see UnitResponse."""
        return self._loads_of(self.response.reactions)

    @cached_property
    def carried(self) -> Acting:
        """All loads, then what each bearing pushes along x, then along y, as units, place by place."""
        places = [bearing.at for bearing in self.shaft.bearings]
        props = [(Unit(at, fx=1.0),) for at in places] + [(Unit(at, fy=1.0),) for at in places]
        return acting([*self.stations.columns[: self.stations.loads], *props])

    def carried_along(self, yoke: str) -> np.ndarray:
        """Return how far a yoke's crankpin moves per metre that a bearing moves, (options..., bearings, 2, 2).

        By reciprocity: the load that the bearing takes of a unit load there. Last axes: of the pin, of the bearing.
        """
        pushed = taken(self.pushes, self.stations.rods[yoke])
        shape = (*pushed.shape[:-2], len(self.shaft.bearings), 2, 2)
        return np.swapaxes(pushed.reshape(shape), -1, -2)

    # What it does over the cycle

    def under(self, loads: list[CrankLoad], theta: np.ndarray, mirrored: "LoadedCrank | None" = None) -> "LoadedCrank":
        """Return the same crank under other courses of the same loads, at other crank angles."""
        other = replace(self, loads=loads, theta=theta, mirrored=mirrored)
        return _knowing(other, self, ("compliance", "_whole", "carried", "pushes", "weights"))

    def on_supports(self, supports: dict[str, np.ndarray]) -> "LoadedCrank":
        """Return the same crank on two bearings whose supports yield otherwise: their loads stay as they are."""
        return _knowing(
            replace(self, supports=supports), self, ("pushes", "_known_rows", "_known_at", "_given", "bearing_sizes")
        )

    def vectors(self, weights: np.ndarray) -> list[CrankVector]:
        """Return responses over the cycle; weights : x and y by turns of each, (options..., 2 responses, loads)."""
        linear = replace(self.linear(weights), vibration=self.added(weights))
        apart, vectors = self.apart(weights), []
        for row in range(0, len(apart), 2):
            x, y = linear.at_index(row), linear.at_index(row + 1)
            vectors.append(CrankVector(x, y, self.tooth, (apart[row], apart[row + 1]), self.theta, self.sign))
        return vectors

    def linear(self, weights: np.ndarray) -> Load:
        """Return the linear part of responses, without vibration, (2 responses, options..., angles)."""
        source, columns, felt = self._felt(weights)
        return source.rows_of(columns).each(lambda part: times(felt, part))

    def squares(self, weights: np.ndarray, speeds: Sequence[Number]) -> Iterator[np.ndarray]:
        """Yield the square of the size of each response, (options..., angles), at one speed after the other."""
        source, columns, felt = self._felt(weights)
        if self.stations.teeth is not None:
            felt = np.concatenate([felt, taken(weights, self.stations.teeth)], axis=-1)
        for speed, added in zip(speeds, self._added_at(weights, speeds), strict=True):
            values = times(felt, source.at(speed, columns))
            if added is not None:
                values += added
            for x, y in zip(values[0::2], values[1::2], strict=True):  # one by one, as each stays in the cache
                x *= x
                y *= y
                x += y
                yield x

    def added(self, weights: np.ndarray) -> AtSpeed | float:
        """Return what vibration adds to responses; weights (responses, loads), of a single design."""
        return 0.0 if self.vibration is None else Weighed(weights, self.vibration)

    def _added_at(self, weights: np.ndarray, speeds: Sequence[Number]) -> Iterator[np.ndarray | None]:
        """Yield what vibration adds to responses at each speed, which is worked out for a few speeds together."""
        more = self.added(weights)
        if not isinstance(more, AtSpeed):
            yield from [None] * len(speeds)
            return
        for start in range(0, len(speeds), TOGETHER):
            yield from more.of(np.array(speeds[start : start + TOGETHER], dtype=float))

    @cached_property
    def bearings(self) -> list[CrankVector]:
        """Load on each bearing, N."""
        return self.vectors(self.pushes)

    @cached_property
    def bearing_sizes(self) -> np.ndarray:
        """Size of the load on each bearing over the cycle at the rated speed, N, (bearings, options..., angles)."""
        assert self.rated is not None
        return np.stack([np.sqrt(each) for each in self.squares(self.pushes, [self.rated])])

    def pin(self, yoke: str) -> CrankVector:
        """Return how far a yoke's crankpin is displaced by all that yields, m."""
        (vector,) = self.vectors(self.influence([self.stations.rods[yoke]]))
        return vector

    @cached_property
    def slopes(self) -> list[CrankVector]:
        """Slope of the shaft at each bearing, rad."""
        return self.vectors(self.weights["slopes"])

    @cached_property
    def weights(self) -> dict[str, np.ndarray]:
        """Weights of all loads in what is judged of a shaft but its bearings' loads, (options..., 2 rows, loads)."""
        return {kind: self.influence(rows) for kind, rows in self._kinds.items()}

    @property
    def _kinds(self) -> dict[str, list[Pair]]:
        stations = self.stations
        if stations.teeth is None or stations.gear_slope is None:
            return {"slopes": stations.slopes}
        return {"slopes": stations.slopes, "gear": [stations.teeth], "gear slope": [stations.gear_slope]}

    # The loads laid out

    def _felt(self, weights: np.ndarray) -> tuple["LoadedCrank", tuple[int, ...], np.ndarray]:
        """Return the crank whose rows serve for responses, which of its loads they feel at all, and their weights.

        Nothing that is asked for feels the torque that goes from the gears to a wheel behind them.
        """
        felt = weights
        while felt.ndim > 1:  # axis by axis, which takes a fifth of the time
            felt = np.any(felt, axis=0)
        columns = np.flatnonzero(felt).tolist()
        weights = taken(weights, columns)
        if self.mirrored is None or not set(columns) <= set(self._images):
            return self, tuple(columns), weights
        images = tuple(self._images[column][0] for column in columns)
        return self.mirrored, images, weights * [self._images[column][1] for column in columns]

    @cached_property
    def _images(self) -> dict[int, tuple[int, float]]:
        """The right crank's load, and its sign, that mirrors each of this one's: teeth push each other."""
        assert self.mirrored is not None
        here, there = self.stations, self.mirrored.stations
        pairs: list[tuple[tuple[int, ...], tuple[int, ...], float]]
        pairs = [(each, there.rods[name], 1.0) for name, each in here.rods.items()]
        for own, images, sign in ((here.teeth, there.teeth, -1.0), (here.turning, there.turning, 1.0)):
            if own is not None and images is not None:
                pairs.append((own, images, sign))
        return {column: (image, sign) for own, images, sign in pairs for column, image in zip(own, images, strict=True)}

    @property
    def rows(self) -> Load:
        """All linear loads in the crank frame, a row for each column, (options..., loads, angles).

        What vibration adds to loads, such as that of the teeth, is left out: it stands among all that vibrates (see
        `vibration`).
        """
        return self.rows_of(tuple(range(self.stations.loads)))

    def rows_of(self, columns: tuple[int, ...]) -> Load:
        """Return the rows of some loads, once for all that asks for the same ones."""
        if columns not in self._known_rows:
            least = np.broadcast_shapes(self.theta.shape, *(np.shape(each) for each in self._apart))
            steady, inertia = (laid_out([terms.get(column, []) for column in columns], least) for terms in self._given)
            self._known_rows[columns] = Load(steady, inertia, gravity=None)
        return self._known_rows[columns]

    @cached_property
    def _known_rows(self) -> dict[tuple[int, ...], Load]:
        return {}

    def at(self, speed: Number, columns: tuple[int, ...]) -> np.ndarray:
        """Return some loads at a speed, and behind them x and y of what teeth push apart, (options..., loads, angles).

        In the crank frame; remembered at the last two speeds, for the crank that mirrors this one.
        """
        for known in self._known_at:
            if known[0] is speed and known[1] == columns:
                return known[2]
        empty = [[row for row, column in enumerate(columns) if column not in terms] for terms in self._given]
        pushes = [push for _, push in self.pushed_apart(speed)]
        self._known_at.append((speed, columns, rows_at(self.rows_of(columns), speed, (empty[0], empty[1]), pushes)))
        return self._known_at[-1][2]

    @cached_property
    def _known_at(self) -> deque[tuple[Number, tuple[int, ...], np.ndarray]]:
        return deque(maxlen=2)

    def pushed_apart(self, speed: Number) -> list[tuple[int, np.ndarray]]:
        """Return what teeth push apart at a speed, N, (options..., angles), with its columns: no part of a load."""
        if self.tooth is None or self.stations.teeth is None:
            return []
        push = np.abs(self.tooth.at(speed))
        return [(column, way * push) for column, way in zip(self.stations.teeth, self._apart, strict=True)]

    def apart(self, weights: np.ndarray) -> np.ndarray:
        """Return what responses take per newton of the tooth force's size, (rows, options..., angles)."""
        if not self._apart or self.stations.teeth is None:
            return np.zeros((weights.shape[-2], 1))
        return times(taken(weights, self.stations.teeth), np.stack(self._apart, axis=-2))

    @cached_property
    def _apart(self) -> tuple[Scalar, ...]:
        """What the teeth push apart in the crank frame per newton of their force, x and y, (options..., angles)."""
        teeth = self.named("gear teeth")
        return () if teeth is None else in_crank(over_angle(teeth.apart), 0.0, self.theta, self.sign)

    @cached_property
    def _turned(self) -> tuple[tuple[np.ndarray, np.ndarray], tuple[np.ndarray, np.ndarray]]:
        """What x and y as they stand on the bench are multiplied by for x, and for y, in the crank frame."""
        sine, cosine = np.sin(self.theta), np.cos(self.theta)
        return (self.sign * cosine, -sine), (self.sign * sine, cosine)

    @cached_property
    def _given(self) -> tuple[dict[int, list[Term]], dict[int, list[Term]]]:
        """What adds up on each column that has anything on it: at rest, and per speed squared."""
        return dict(self._terms("steady")), dict(self._terms("inertia"))

    def _terms(self, part: str) -> Iterator[tuple[int, list[Term]]]:
        """Yield the columns that one part of the loads puts something on, with what adds up to it there."""
        forces = [(self.stations.of(load)[0], load.force) for load in self.loads]
        if self.stations.turning is not None:
            forces.append((self.stations.turning[1:], PlanarForce(*map(Load, map(over_angle, self.gravity)))))
        for columns, force in forces:  # as they stand on the bench
            if columns is None or force is None:
                continue
            both = getattr(force.x, part), getattr(force.y, part)
            for column, ways in zip(columns, self._turned, strict=True):
                terms: list[Term] = [term for term in zip(both, ways, strict=True) if not absent(term[0])]
                if terms:
                    yield column, terms
        for load in self.loads:
            torque = self.stations.of(load)[1]
            if torque is not None and load.torque is not None and not absent(values := getattr(load.torque, part)):
                yield torque, [(values, -1.0)]  # the crank's own sense is clockwise
        if self.stations.turning is not None and part == "inertia":
            yield self.stations.turning[0], [(1.0, 1.0)]


def _knowing(other: LoadedCrank, crank: LoadedCrank, names: tuple[str, ...]) -> LoadedCrank:
    """Return a crank with what was already worked out of another that has it in common."""
    other.__dict__.update({name: crank.__dict__[name] for name in names if name in crank.__dict__})
    return other


def _shared(response: UnitResponse, rows: tuple[int, ...]) -> np.ndarray:
    """Return what members' yielding makes of unit loads; both cranks ask for the same, if they share a response."""
    known = response.__dict__.setdefault("_known", {})
    if rows not in known:
        known[rows] = response.by_members(rows)
    return known[rows]
