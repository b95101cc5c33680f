"""One crank under its loads over the cycle: what moves, turns or is pushed, anywhere on it.

Everything is worked out in the crank's own frame, where the structure and what turns with it stand still, and only
what comes from outside turns: one compliance serves every angle and every speed.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np

from balance.cycle.load import Load, PlanarForce, onto
from balance.quantities import Number, Scalar, over_angle
from balance.turning import HANDS, in_crank, on_bench
from shafts.crank.build import Crank, crank
from shafts.crank.compliance import Column, Unit, UnitResponse, respond
from shafts.crank.loads import CrankLoad
from shafts.crank.rows import Rows, by_part, laid_out
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
class LoadedCrank:
    """The right or left crank with all that acts on it.

    gravity : acceleration x and y, m/s^2.   theta : crank angles, rad, (angles,) or (options, angles).
    rated : the speed at which bearings are judged, rad/s; None if they are not.
    supports : what the bearings yield, by its parts, m/N (see `support_parts`).
    """

    shaft: Shaft
    hand: str
    loads: list[CrankLoad]
    gravity: tuple[Number, Number]
    theta: np.ndarray
    rated: Number | None
    stations: Stations
    chain: Crank
    response: UnitResponse
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

    @cached_property
    def compliance(self) -> np.ndarray:
        """The supports' compliance, all parts together, m/N, (options..., bearings, bearings)."""
        return sum(self.supports.values(), np.zeros(()))

    def influence(self, rows: Sequence[Pair]) -> np.ndarray:
        """Return x and y of what all loads do at some stations, (options..., 2 rows, loads)."""
        return self._influence(self.chain.flexibility, self.compliance, rows)

    def influence_of(
        self, flexibility: np.ndarray | None, supports: np.ndarray | None, rows: Sequence[Pair]
    ) -> np.ndarray:
        """Return the same if some members or supports alone yielded; None for those that do not."""
        members = np.zeros_like(self.chain.flexibility) if flexibility is None else flexibility
        return self._influence(members, np.zeros_like(self.compliance) if supports is None else supports, rows)

    def _influence(self, flexibility: np.ndarray, supports: np.ndarray, rows: Sequence[Pair]) -> np.ndarray:
        flat = [column for pair in rows for column in pair]
        return self.response.influence(flexibility, supports, flat)[..., : self.stations.loads]

    @cached_property
    def pushes(self) -> np.ndarray:
        """Load on every bearing by every load, x and y by turns, (options..., 2 bearings, loads)."""
        count = len(self.shaft.bearings)
        order = [place + axis * count for place in range(count) for axis in (0, 1)]
        return -self.response.reactions[..., order, : self.stations.loads]

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
        sums = {part: rows.times(weights) for part, rows in self.rows.items()}
        apart = self.apart(weights)
        found = []
        for row in range(0, weights.shape[-2], 2):
            x, y = (Load(**{part: values[row + axis] for part, values in sums.items()}) for axis in (0, 1))
            found.append(CrankVector(x, y, self.tooth, (apart[row], apart[row + 1]), self.theta, self.sign))
        return found

    def squares(self, weights: np.ndarray, speed: Number) -> np.ndarray:
        """Return the squares of the sizes of responses at a speed, (responses, options..., angles)."""
        values = self.at(speed).times(weights)
        values *= values
        return values[0::2] + values[1::2]

    @cached_property
    def bearings(self) -> list[CrankVector]:
        """Load on each bearing, N."""
        return self.vectors(self.pushes)

    @cached_property
    def bearing_sizes(self) -> np.ndarray:
        """Size of the load on each bearing over the cycle at the rated speed, N, (bearings, options..., angles)."""
        assert self.rated is not None
        return np.sqrt(self.squares(self.pushes, self.rated))

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
        return self.vectors(self._weights(np.zeros_like(self.compliance))[kind])

    @cached_property
    def weights(self) -> dict[str, np.ndarray]:
        """Weights of all loads in what is judged of a shaft but its bearings' loads, (options..., 2 rows, loads)."""
        return self._weights(self.compliance)

    def _weights(self, supports: np.ndarray) -> dict[str, np.ndarray]:
        stations = self.stations
        kinds = {"slopes": stations.slopes}
        if stations.teeth is not None and stations.gear_slope is not None:
            kinds |= {"gear": [stations.teeth], "gear slope": [stations.gear_slope]}
        whole = self._influence(self.chain.flexibility, supports, [pair for pairs in kinds.values() for pair in pairs])
        ends = np.cumsum([0, *(2 * len(pairs) for pairs in kinds.values())])
        return {kind: whole[..., low:high, :] for kind, low, high in zip(kinds, ends, ends[1:], strict=False)}

    # The loads laid out

    @cached_property
    def rows(self) -> dict[str, Rows]:
        """All linear loads in the crank frame, by part."""
        return by_part(self._linear(), self.theta)

    def at(self, speed: Number) -> Rows:
        """Return all loads in the crank frame at a speed; what the gear teeth push apart is among them."""
        rows: list[tuple[int, Scalar]] = [(column, load.at(speed)) for column, load in self._linear()]
        teeth, tooth = self.named("gear teeth"), self.tooth
        if teeth is not None and tooth is not None and self.stations.teeth is not None:
            push = np.abs(tooth.at(speed)) * over_angle(teeth.apart)
            rows += zip(self.stations.teeth, in_crank(push, 0.0, self.theta, self.sign), strict=True)
        shape = np.broadcast_shapes(*(np.shape(values) for _, values in rows), self.theta.shape)
        return laid_out(rows, shape)

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


def loaded_crank(
    engine: Engine, loads: list[CrankLoad], theta: np.ndarray, hand: str, rated: Number | None = None
) -> LoadedCrank:
    """Return one crank under its loads.

    rated : at which bearings are judged, and ball bearings whose stiffness is not given worked out, rad/s; these count
    as rigid if None.
    """
    shaft = engine.shafts.pair[hand == "left"]
    stations = _stations(engine, shaft, loads)
    held = next(each.at for each in loads if each.name in ("gear teeth", "coupling"))
    places = [bearing.at for bearing in shaft.bearings]
    chain = crank(shaft, engine.cranks, hand, [*places, *(each.at for each in loads)])
    supports = support_parts(shaft)

    def answer(parts: dict[str, np.ndarray]) -> LoadedCrank:
        response = respond(chain, stations.columns, places, held, sum(parts.values(), np.zeros(())))
        gravity = engine.gravity.x, engine.gravity.y
        return LoadedCrank(shaft, hand, loads, gravity, theta, rated, stations, chain, response, parts)

    found = answer(supports)
    if rated is None or not by_contact(shaft):
        return found
    supports = support_parts(shaft, list(np.mean(found.bearing_sizes, axis=-1)))
    # On two bearings their loads do not depend on what they yield.
    return replace(found, supports=supports) if len(places) == 2 else answer(supports)


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
