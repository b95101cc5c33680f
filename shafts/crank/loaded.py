"""One crank under its loads over the cycle: what moves, turns or is pushed, anywhere on it.

Everything is worked out in the crank's own frame, where the structure and what turns with it stand still, and only
what comes from outside turns: one compliance serves every angle and every speed.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np

from balance.cycle.at_speed import AtSpeed, Weighed
from balance.cycle.at_speed import Rows as Vibration
from balance.cycle.load import Load, PlanarForce
from balance.quantities import Number, over_angle
from balance.turning import HANDS, in_crank
from shafts.crank.build import Crank
from shafts.crank.compliance import UnitResponse
from shafts.crank.loads import CrankLoad
from shafts.crank.rows import Rows, by_part, in_a_row, laid_out, of_one_depth
from shafts.crank.stations import Pair, Stations
from shafts.crank.vectors import CrankSums, CrankVector
from shafts.shaft import Shaft


@dataclass(frozen=True, eq=False)
class LoadedCrank:
    """The right or left crank with all that acts on it.

    gravity : acceleration x and y, m/s^2.   theta : crank angles, rad, (angles,) or (options, angles).
    rated : the speed at which bearings are judged, rad/s; None if they are not.
    response : of unit loads, which the other crank may share; columns : which of them are this crank's, in the order of
    its stations.   supports : what the bearings yield, by its parts, m/N (see `support_parts`).
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
        return sum(self.supports.values(), np.zeros(()))

    def influence(self, rows: Sequence[Pair]) -> np.ndarray:
        """Return x and y of what all loads do at some stations, (options..., 2 rows, loads)."""
        places = [self._asked.index(pair) for pair in rows]
        return self._whole[..., in_a_row([2 * place + axis for place in places for axis in (0, 1)]), :]

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
        return found[..., self._of_loads]

    @property
    def _of_loads(self) -> slice | list[int]:
        return in_a_row(self.columns[: self.stations.loads].tolist())

    @property
    def _asked(self) -> list[Pair]:
        """All stations at which displacements are asked for."""
        stations = self.stations
        others = [pair for pair in (stations.teeth, stations.gear_slope) if pair is not None]
        return [*stations.rods.values(), *stations.slopes, *others]

    @cached_property
    def _whole(self) -> np.ndarray:
        flat = [int(self.columns[column]) for pair in self._asked for column in pair]
        by_members = _shared(self.response, tuple(flat))
        return (by_members + self.response.by_supports(flat, self.compliance))[..., self._of_loads]

    @cached_property
    def pushes(self) -> np.ndarray:
        """Load on every bearing by every load, x and y by turns, (options..., 2 bearings, loads)."""
        count = len(self.shaft.bearings)
        order = [place + axis * count for place in range(count) for axis in (0, 1)]
        return -self.reactions[..., order, :]

    @property
    def reactions(self) -> np.ndarray:
        """What the supports do under every load, (options..., supports, loads); see UnitResponse."""
        return self.response.reactions[..., self._of_loads]

    def carried_along(self, yoke: str) -> np.ndarray:
        """Return how far a yoke's crankpin moves per metre that a bearing moves, (options..., bearings, 2, 2).

        By reciprocity: the load that the bearing takes of a unit load there. Last axes: of the pin, of the bearing.
        """
        pushed = self.pushes[..., in_a_row(list(self.stations.rods[yoke]))]
        shape = (*pushed.shape[:-2], len(self.shaft.bearings), 2, 2)
        return np.swapaxes(pushed.reshape(shape), -1, -2)

    # What it does over the cycle

    def under(self, loads: list[CrankLoad], theta: np.ndarray) -> "LoadedCrank":
        """Return the same crank under other courses of the same loads, at other crank angles."""
        return _knowing(replace(self, loads=loads, theta=theta), self, ("compliance", "_whole", "pushes", "weights"))

    def on_supports(self, supports: dict[str, np.ndarray]) -> "LoadedCrank":
        """Return the same crank on two bearings whose supports yield otherwise: their loads stay as they are."""
        return _knowing(replace(self, supports=supports), self, ("pushes", "rows", "bearing_sizes"))

    def vectors(self, weights: np.ndarray) -> list[CrankVector]:
        """Return responses over the cycle; weights : x and y by turns of each, (options..., 2 responses, loads)."""
        return self.sums(weights).vectors

    def sums(self, weights: np.ndarray) -> CrankSums:
        """Return responses over the cycle, all in one; weights as for `vectors`."""
        parts = {part: rows.times(weights) for part, rows in self.rows.items()}
        apart = self.apart(weights)
        axes = max(each.ndim for each in (apart, *parts.values()))
        linear = Load(
            **{part: of_one_depth(values, axes) for part, values in parts.items()}, vibration=self.added(weights)
        )
        return CrankSums(linear, self.tooth, of_one_depth(apart, axes), self.theta, self.sign)

    def added(self, weights: np.ndarray) -> AtSpeed | float:
        """Return what vibration adds to responses; weights (responses, loads), of a single design."""
        return 0.0 if self.vibration is None else Weighed(weights, self.vibration)

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
        pushed = in_crank(over_angle(teeth.apart), 0.0, self.theta, self.sign)
        return laid_out(list(zip(self.stations.teeth, pushed, strict=True)), self.theta.shape).times(weights)

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
        across, along = (over_angle(each) for each in self.gravity)
        for column, pull in zip(weight, in_crank(across, along, self.theta, self.sign), strict=True):
            yield column, Load(gravity=pull)

    def _turned(self, force: PlanarForce) -> tuple[Load, Load]:
        """Return a force that stands on the bench as the crank sees it."""
        sine, cosine = np.sin(self.theta), np.cos(self.theta)
        return (
            force.x * (self.sign * cosine) + force.y * -sine,
            force.x * (self.sign * sine) + force.y * cosine,
        )


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
