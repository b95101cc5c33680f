"""One crank under its loads over the cycle: what moves, turns or is pushed, anywhere on it.

Everything is worked out in the crank's own frame, where the structure and what turns with it stand still, and only
what comes from outside turns: one compliance serves every angle and every speed.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, fields, replace
from functools import cached_property

import numpy as np

from balance.cycle.load import Load, PlanarForce, onto
from balance.quantities import Number, Scalar, over_angle
from balance.turning import HANDS, in_crank, on_bench
from shafts.crank.build import Crank, crank
from shafts.crank.compliance import Column, Unit, UnitResponse, respond
from shafts.crank.loads import CrankLoad
from shafts.crank.rows import Rows, by_part
from shafts.crank.supports import by_contact, support_parts
from shafts.shaft import Engine, Shaft

Pair = tuple[int, int]
"""The columns of two unit loads along x and along y."""


@dataclass(frozen=True, eq=False)
class Stations:
    """The unit loads on one crank.

    columns : of the loads, then of what is asked for alone.   rods : by yoke.   teeth, gear_slope : None without gears.
    slopes : of the shaft at each bearing.   loads : how many of the columns are loads.
    turning : the column of all that turns with the crank, and those of its weight.   others : by name of a load, the
    columns of its force and of its torque.
    """

    columns: list[Column]
    loads: int
    rods: dict[str, Pair]
    turning: tuple[int, int, int] | None
    others: dict[str, tuple[Pair | None, int | None]]
    slopes: list[Pair]
    gear_slope: Pair | None

    @property
    def teeth(self) -> Pair | None:
        """The columns of the force of the gear teeth."""
        return self.others.get("gear teeth", (None, None))[0]


@dataclass(frozen=True, eq=False)
class CrankVector:
    """A displacement, m, slope, rad, or force, N, of a crank over the cycle, in its own frame.

    x, y : its linear part, (options..., angles).
    tooth : tangential force of the gear teeth, N; None without gears.   apart : x and y of what it takes in addition
    per newton of that force's size.   theta : crank angles, rad.   sign : +1 on the right, -1 on the left.
    """

    x: Load
    y: Load
    tooth: Load | None
    apart: tuple[Scalar, Scalar]
    theta: np.ndarray
    sign: float

    def at(self, speed: Number) -> tuple[np.ndarray, np.ndarray]:
        """Return x and y in the crank frame at a speed (see Load.at)."""
        x, y = self.x.at(speed), self.y.at(speed)
        if self.tooth is None:
            return x, y
        push = np.abs(self.tooth.at(speed))
        return onto(x, self.apart[0] * push), onto(y, self.apart[1] * push)

    def on_bench(self, speed: Number) -> tuple[np.ndarray, np.ndarray]:
        """Return x and y as they stand on the bench."""
        return on_bench(*self.at(speed), self.theta, self.sign)

    def size(self, speed: Number) -> np.ndarray:
        """Return its size at a speed."""
        x, y = self.at(speed)
        return np.sqrt(x * x + y * y)  # a third of the time that hypot takes; nothing here is near overflow


@dataclass(frozen=True, eq=False)
class CrankSums:
    """Several vectors of a crank over the cycle, x and y of each by turns along a first axis, in its own frame.

    linear : (2 vectors, options..., angles).   apart : likewise, per newton of the size of the tooth force.
    tooth, theta, sign : as for CrankVector.
    """

    linear: Load
    tooth: Load | None
    apart: np.ndarray
    theta: np.ndarray
    sign: float

    @property
    def vectors(self) -> list[CrankVector]:
        """Each by itself."""
        found = []
        for row in range(0, len(self.apart), 2):
            x, y = (self.linear.at_place(row + axis) for axis in (0, 1))
            found.append(CrankVector(x, y, self.tooth, (self.apart[row], self.apart[row + 1]), self.theta, self.sign))
        return found

    def squares(self, speed: Number) -> np.ndarray:
        """Return the square of the size of each at a speed, (vectors, options..., angles)."""
        values = self.linear.at(speed)
        if self.tooth is not None:
            values = onto(values, self.apart * np.abs(self.tooth.at(speed)))
        values *= values
        return values[0::2] + values[1::2]


@dataclass(frozen=True, eq=False)
class LoadedCrank:
    """The right or left crank with all that acts on it.

    gravity : acceleration x and y, m/s^2.   theta : crank angles, rad, (angles,) or (options, angles).
    rated : the speed at which bearings are judged, rad/s; None if they are not.
    response : of unit loads, which the other crank may share; columns : which of them are this crank's, in the order of
    its stations.   supports : what the bearings yield, by its parts, m/N (see `support_parts`).
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
        return sum(self.supports.values(), np.zeros(()))

    def influence(self, rows: Sequence[Pair]) -> np.ndarray:
        """Return x and y of what all loads do at some stations, (options..., 2 rows, loads)."""
        places = [self._asked.index(pair) for pair in rows]
        return self._whole[..., [2 * place + axis for place in places for axis in (0, 1)], :]

    def influence_of(
        self, flexibility: np.ndarray | None, supports: np.ndarray | None, rows: Sequence[Pair]
    ) -> np.ndarray:
        """Return the same if some members or supports alone yielded; None for those that do not."""
        flat = [int(self.columns[column]) for pair in rows for column in pair]
        found = np.zeros(())
        if flexibility is not None:
            found = found + self.response.by_members(flat, flexibility)
        if supports is not None:
            found = found + self.response.by_supports(flat, supports)
        return found[..., self.columns[: self.stations.loads]]

    @property
    def _asked(self) -> list[Pair]:
        """All stations at which displacements are asked for."""
        stations = self.stations
        others = [pair for pair in (stations.teeth, stations.gear_slope) if pair is not None]
        return [*stations.rods.values(), *stations.slopes, *others]

    @cached_property
    def _whole(self) -> np.ndarray:
        flat = self.columns[[column for pair in self._asked for column in pair]]
        by_members = _shared(self.response, tuple(flat))
        found = by_members + self.response.by_supports(flat, self.compliance)
        return found[..., self.columns[: self.stations.loads]]

    @cached_property
    def pushes(self) -> np.ndarray:
        """Load on every bearing by every load, x and y by turns, (options..., 2 bearings, loads)."""
        count = len(self.shaft.bearings)
        order = [place + axis * count for place in range(count) for axis in (0, 1)]
        return -self.reactions[..., order, :]

    @property
    def reactions(self) -> np.ndarray:
        """What the supports do under every load, (options..., supports, loads); see UnitResponse."""
        return self.response.reactions[..., self.columns[: self.stations.loads]]

    def carried_along(self, yoke: str) -> np.ndarray:
        """Return how far a yoke's crankpin moves per metre that a bearing moves, (options..., bearings, 2, 2).

        By reciprocity: the load that the bearing takes of a unit load there.   Last axes: x, y of the pin; of the bearing.
        """
        pushed = self.pushes[..., list(self.stations.rods[yoke])]
        shape = (*pushed.shape[:-2], len(self.shaft.bearings), 2, 2)
        return np.swapaxes(pushed.reshape(shape), -1, -2)

    # What it does over the cycle

    def under(self, loads: list[CrankLoad], theta: np.ndarray) -> "LoadedCrank":
        """Return the same crank under other courses of the same loads, at other crank angles."""
        return replace(self, loads=loads, theta=theta)

    def vectors(self, weights: np.ndarray) -> list[CrankVector]:
        """Return responses over the cycle; weights : x and y by turns of each, (options..., 2 responses, loads)."""
        return self.sums(weights).vectors

    def sums(self, weights: np.ndarray) -> "CrankSums":
        """Return responses over the cycle, all in one; weights as for `vectors`."""
        linear = Load(**{part: rows.times(weights) for part, rows in self.rows.items()})
        return CrankSums(linear, self.tooth, self.apart(weights), self.theta, self.sign)

    @cached_property
    def bearings(self) -> list[CrankVector]:
        """Load on each bearing, N."""
        return self.vectors(self.pushes)

    @cached_property
    def bearing_sizes(self) -> np.ndarray:
        """Size of the load on each bearing over the cycle at the rated speed, N, (bearings, options..., angles)."""
        assert self.rated is not None
        return np.sqrt(self.sums(self.pushes).squares(self.rated))

    def pin(self, yoke: str) -> CrankVector:
        """Return how far a yoke's crankpin is displaced by all that yields, m."""
        (found,) = self.vectors(self.influence([self.stations.rods[yoke]]))
        return found

    @cached_property
    def slopes(self) -> list[CrankVector]:
        """Slope of the shaft at each bearing, rad."""
        return self.vectors(self.weights["slopes"])

    def on_rigid_bearings(self, kind: str) -> list[CrankVector]:
        """Return slopes, or what the gear does, if bearings and supports did not yield; kinds as in `weights`."""
        return self.vectors(self.influence_of(self.chain.flexibility, None, self._kinds[kind]))

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

    @cached_property
    def rows(self) -> dict[str, Rows]:
        """All linear loads in the crank frame, by part."""
        return by_part(self._linear(), self.theta)

    def apart(self, weights: np.ndarray) -> np.ndarray:
        """Return what responses take per newton of the tooth force's size, (rows, options..., angles)."""
        teeth = self.named("gear teeth")
        if teeth is None or self.stations.teeth is None:
            return np.zeros((weights.shape[-2], 1))
        x, y = in_crank(over_angle(teeth.apart), 0.0, self.theta, self.sign)
        of_x, of_y = (np.moveaxis(weights[..., column], -1, 0)[..., None] for column in self.stations.teeth)
        return of_x * x + of_y * y

    def _linear(self) -> Iterator[tuple[int, Load]]:
        """Yield (column, load over the cycle) of all loads in proportion to forces, in the crank frame."""
        yield from self._turning()
        for load in self.loads:
            if load.kind == "rod" and load.force is not None:
                yield from zip(self.stations.rods[load.name], self._turned(load.force), strict=True)
            elif load.kind != "turning mass":
                force, torque = self.stations.others[load.name]
                if force is not None and load.force is not None:
                    yield from zip(force, self._turned(load.force), strict=True)
                if torque is not None and load.torque is not None:
                    yield torque, -load.torque  # the crank's own sense is clockwise

    def _turning(self) -> Iterator[tuple[int, Load]]:
        if self.stations.turning is None:
            return
        whole, *weight = self.stations.turning
        yield whole, Load(inertia=1.0 + np.zeros(self.theta.shape[-1:]))
        for column, pull in zip(weight, in_crank(*map(over_angle, self.gravity), self.theta, self.sign), strict=True):
            yield column, Load(gravity=pull)

    def _turned(self, force: PlanarForce) -> tuple[Load, Load]:
        """Return a force that stands on the bench as the crank sees it."""
        sine, cosine = np.sin(self.theta), np.cos(self.theta)
        return (
            force.x * (self.sign * cosine) + force.y * -sine,
            force.x * (self.sign * sine) + force.y * cosine,
        )


def loaded_cranks(
    engine: Engine, loads: tuple[list[CrankLoad], list[CrankLoad]], theta: np.ndarray, rated: Number | None = None
) -> tuple[LoadedCrank, LoadedCrank]:
    """Return the right and the left crank under their loads.

    rated : at which bearings are judged, and ball bearings whose stiffness is not given worked out, rad/s; these count
    as rigid if None.
    """
    stations = [_stations(engine, shaft, each) for shaft, each in zip(engine.shafts.pair, loads, strict=True)]
    if _alike(engine):
        columns, chosen = _together([each.columns for each in stations])
        asked = [(columns, each) for each in chosen]
    else:
        asked = [(each.columns, np.arange(len(each.columns))) for each in stations]
    found, known = [], {}
    for hand, each, on_it, (columns, mine) in zip(HANDS, stations, loads, asked, strict=True):
        frame = _Frame(engine, hand, columns, on_it)
        supports = support_parts(frame.shaft)
        if id(columns) not in known:
            known[id(columns)] = frame.response(supports)
        gravity = engine.gravity.x, engine.gravity.y
        crank = LoadedCrank(frame.shaft, hand, on_it, gravity, theta, rated, each, known[id(columns)], mine, supports)
        found.append(_with_contact(crank, frame))
    return found[0], found[1]


@dataclass(frozen=True, eq=False)
class _Frame:
    """One crank and the unit loads on it, before its supports are known."""

    engine: Engine
    hand: str
    columns: list[Column]
    loads: list[CrankLoad]

    @property
    def shaft(self) -> Shaft:
        return self.engine.shafts.pair[self.hand == "left"]

    def response(self, supports: dict[str, np.ndarray]) -> UnitResponse:
        """Return what the unit loads do."""
        places = [bearing.at for bearing in self.shaft.bearings]
        marks = [*places, *(unit.z for column in self.columns for unit in column)]
        chain = crank(self.shaft, self.engine.cranks, self.hand, marks)
        held = next(each.at for each in self.loads if each.name in ("gear teeth", "coupling"))
        return respond(chain, self.columns, places, held, sum(supports.values(), np.zeros(())))


def _with_contact(crank: LoadedCrank, frame: _Frame) -> LoadedCrank:
    """Return the crank with its ball bearings as they yield under their mean loads at the rated speed."""
    if crank.rated is None or not by_contact(crank.shaft):
        return crank
    supports = support_parts(crank.shaft, list(np.mean(crank.bearing_sizes, axis=-1)))
    if len(crank.shaft.bearings) == 2:  # their loads do not depend on what they yield
        return replace(crank, supports=supports)
    return replace(crank, supports=supports, response=frame.response(supports))


def _alike(engine: Engine) -> bool:
    """Return whether both cranks are one structure: one shaft, and no web of known size on one side alone."""
    lone = (
        web for web in engine.cranks.webs if web.on != "both" and web.width is not None and web.thickness is not None
    )
    return engine.shafts.left is None and next(lone, None) is None


def _together(sides: list[list[Column]]) -> tuple[list[Column], list[np.ndarray]]:
    """Return the columns of both cranks, those that they share once, and which of them each has."""
    columns = list(sides[0])
    chosen = []
    for column in sides[1]:
        place = next((number for number, other in enumerate(sides[0]) if _same(column, other)), None)
        if place is None:
            place = len(columns)
            columns.append(column)
        chosen.append(place)
    return columns, [np.arange(len(sides[0])), np.array(chosen)]


def _same(one: Column, other: Column) -> bool:
    return len(one) == len(other) and all(
        np.array_equal(getattr(unit, each.name), getattr(its, each.name))
        for unit, its in zip(one, other, strict=True)
        for each in fields(unit)
    )


def _shared(response: UnitResponse, rows: tuple[int, ...]) -> np.ndarray:
    """Return what members' yielding makes of unit loads; both cranks ask for the same, if they share a response."""
    known = response.__dict__.setdefault("_known", {})
    if rows not in known:
        known[rows] = response.by_members(rows)
    return known[rows]


def _stations(engine: Engine, shaft: Shaft, loads: list[CrankLoad]) -> Stations:
    columns: list[Column] = []

    def add(*each: Column) -> range:
        columns.extend(each)
        return range(len(columns) - len(each), len(columns))

    rods: dict[str, Pair] = {}
    others: dict[str, tuple[Pair | None, int | None]] = {}
    for load in loads:
        if load.kind == "turning mass":
            continue
        force = None if load.force is None else _pair(add(*_forces(load)))
        if load.kind == "rod" and force is not None:
            rods[load.name] = force
        else:
            torque = None if load.torque is None else add((Unit(load.at, cz=1.0),))[0]
            others[load.name] = force, torque
    masses = [load for load in loads if load.kind == "turning mass"]
    turning = tuple(add(*_turning(masses))) if masses else None
    count = len(columns)
    slopes = [_pair(add(*_slopes(bearing.at))) for bearing in shaft.bearings]
    gears = engine.cranks.gears
    gear_slope = None if gears is None else _pair(add(*_slopes(gears.at)))
    return Stations(columns, count, rods, turning, others, slopes, gear_slope)  # type: ignore[arg-type]


def _pair(columns: range) -> Pair:
    return columns[0], columns[1]


def _forces(load: CrankLoad) -> tuple[Column, Column]:
    x, y = load.point
    return (Unit(load.at, x, y, fx=1.0),), (Unit(load.at, x, y, fy=1.0),)


def _slopes(at: Number) -> tuple[Column, Column]:
    """Couples whose displacements are the slopes of the shaft's x and y along z."""
    return (Unit(at, cy=1.0),), (Unit(at, cx=-1.0),)


def _turning(masses: list[CrankLoad]) -> tuple[Column, Column, Column]:
    """All masses together: what turns with the crank per speed squared, and their weight along x and y of the frame."""
    return (
        tuple(Unit(each.at, fx=each.turning[0], fy=each.turning[1]) for each in masses),
        tuple(Unit(each.at, fx=each.mass, cz=-each.turning[1]) for each in masses),
        tuple(Unit(each.at, fy=each.mass, cz=each.turning[0]) for each in masses),
    )
