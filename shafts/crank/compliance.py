"""What unit loads on a crank do anywhere on it: statics first, then flexibility.

A unit load is a wrench about the origin of the crank's frame that passes through every member between its place and
the far end, from which everything is counted. The supports' reactions bring the structure into equilibrium: with
more of them than equilibrium decides, the frame of the far end is let move as a rigid body q and

    [[C_ss + g, W_s^T], [W_s, 0]] [r; q] = -[[C_sl], [W_l]]

(C by the members' flexibility under the supports' s and the loads' l wrenches W, g the supports' own compliance).
With the reactions the wrench R in every member is the real one. What members yield, F R_i, moves every place by the sum
over the members between it and the far end; there each load does work, so that by the theorem of virtual work the
displacement of load i by load j is sum over members of R_i^T F R_j plus r_i^T g r_j: exact, and member by member what
is to blame.
"""

from collections.abc import Sequence
from functools import cached_property

import numpy as np

from balance.cycle.load import absent, onto
from balance.quantities import Number, over_angle, result, side_by_side
from shafts.crank.build import Crank
from shafts.crank.members import FX, FY, MX, MY, MZ
from shafts.crank.rows import taken

HAIR = 1e-9  # m; a load in a web's middle plane passes through the web


@result
class Unit:
    """A unit load: a force, N, at a point of the crank, or a couple, N m; every field (options...).

    x, y, z : the point, m.   fx, fy : force.   cx, cy, cz : couple.
    """

    z: Number
    x: Number = 0.0
    y: Number = 0.0
    fx: Number = 0.0
    fy: Number = 0.0
    cx: Number = 0.0
    cy: Number = 0.0
    cz: Number = 0.0

    @property
    def wrench(self) -> tuple[Number, ...]:
        """Force and moment about the origin: fx, fy, mx, my, mz."""
        return (
            self.fx,
            self.fy,
            self.cx - _times(self.z, self.fy),
            self.cy + _times(self.z, self.fx),
            self.cz + _times(self.x, self.fy) - _times(self.y, self.fx),
        )


def _times(arm: Number, force: Number) -> Number:
    """Return a moment; that of a force that is not there stays absent, which costs nothing."""
    return 0.0 if absent(force) else arm * force


Column = tuple[Unit, ...]
"""Loads that act together, as one column of the compliance."""


@result
class Acting:
    """What columns of loads put on a crank, place by place.

    z : the places, m, (options..., places).   wrench : about the origin, (options..., places, 5, columns).
    """

    z: np.ndarray
    wrench: np.ndarray

    @property
    def whole(self) -> np.ndarray:
        """All that each column puts on the crank, (options..., 5, columns)."""
        return _weighted_sums(np.ones((1, self.z.shape[-1])), self.wrench)[..., 0, :, :]

    def reached(self, middle: np.ndarray) -> np.ndarray:
        """Return 1 where what acts at a place goes through a member or section, else 0, (options..., members, places).

        middle : along z of each member, m, (options..., members). One for all options whose cranks are built alike.
        """
        through = middle[..., :, None] > self.z[..., None, :] - HAIR
        first = through.reshape(-1, *through.shape[-2:])[0]
        return (first if np.all(through == first) else through).astype(float)

    def passing(self, middle: np.ndarray) -> np.ndarray:
        """Return the wrenches that pass through members or sections at `middle`, (options..., members, 5, columns)."""
        return _weighted_sums(self.reached(middle), self.wrench)


def acting(columns: Sequence[Column]) -> Acting:
    """Return columns of loads, place by place."""
    at: dict[float | int, int] = {}
    places: list[Number] = []
    alike: list[tuple[int, int, int, Number]] = []
    unlike: list[tuple[int, int, int, np.ndarray]] = []
    for number, column in enumerate(columns):
        for unit in column:
            index = at.setdefault(_key(unit.z), len(at))
            if index == len(places):
                places.append(unit.z)
            for part, value in enumerate(unit.wrench):
                if isinstance(value, np.ndarray) and value.ndim:
                    unlike.append((index, part, number, value))
                elif not absent(value):
                    alike.append((index, part, number, value))
    wrench = np.zeros((len(places), 5, len(columns)))
    for index, part, number, value in alike:
        wrench[index, part, number] += value
    if unlike:  # in one piece, and only then what differs
        options = np.broadcast_shapes(*(value.shape for *_, value in unlike))
        wrench = np.broadcast_to(wrench, (*options, *wrench.shape)).copy()
    for index, part, number, value in unlike:
        wrench[..., index, part, number] += value
    return Acting(side_by_side(places), wrench)


def _key(z: Number) -> float | int:
    """Return what tells places apart: their number, or which array of options they are."""
    return id(z) if isinstance(z, np.ndarray) and z.ndim else float(z)


def _weighted_sums(shares: np.ndarray, wrenches: np.ndarray) -> np.ndarray:
    """Return sums of wrenches (options..., from, 5, columns) by shares (options..., to, from)."""
    sums = shares @ wrenches.reshape(*wrenches.shape[:-2], -1)
    return sums.reshape(*sums.shape[:-1], *wrenches.shape[-2:])


@result
class UnitResponse:
    """A crank under unit loads; m members, s reactions, n loads.

    crank : its members.   balanced : each load with the reactions to it, which leave it nothing.
    reactions : of the supports on the crank, (options..., s, n): x of every bearing, y of every bearing, torque.
    """

    crank: Crank
    balanced: Acting
    reactions: np.ndarray

    def by_members(self, rows: Sequence[int], flexibility: np.ndarray | None = None) -> np.ndarray:
        """Return what the members' yielding makes of every load at some loads' points, (options..., rows, n).

        flexibility : of the members, (options..., m, 5, 5), if not their own.
        """
        virtual = taken(self.balanced.wrench, rows)
        return _work(
            _moved(self._reached, self.crank.flexibility if flexibility is None else flexibility, virtual),
            self.balanced,
        )

    @cached_property
    def _reached(self) -> np.ndarray:
        return self.balanced.reached(self.crank.middle)

    def by_supports(self, rows: Sequence[int], supports: np.ndarray) -> np.ndarray:
        """Return what the supports' yielding makes of it; supports : (options..., bearings, bearings), m/N."""
        bearings, both = supports.shape[-1], self.reactions[..., : 2 * supports.shape[-1], :]
        by_axis = both.reshape(*both.shape[:-2], 2, bearings, both.shape[-1])
        moved = supports[..., None, :, :] @ by_axis
        return np.swapaxes(taken(both, rows), -1, -2) @ moved.reshape(*moved.shape[:-3], *both.shape[-2:])


def _moved(reached: np.ndarray, flexibility: np.ndarray, wrench: np.ndarray) -> np.ndarray:
    """Return how far each place moves and turns as members yield, (options..., places, 5, columns).

    wrench : that acts at every place, likewise.   reached : see `Acting.reached`.
    """
    return _weighted_sums(np.swapaxes(reached, -1, -2), flexibility @ _weighted_sums(reached, wrench))


def _work(moved: np.ndarray, acting: Acting) -> np.ndarray:
    """Return the work of all that acts as its places move, (options..., columns moved, columns)."""
    return np.swapaxes(_flat(moved), -1, -2) @ _flat(acting.wrench)


def _flat(wrenches: np.ndarray) -> np.ndarray:
    """Return wrenches at places (options..., places, 5, n) as (options..., 5 places, n)."""
    return wrenches.reshape(*wrenches.shape[:-3], -1, wrenches.shape[-1])


@result
class Propped:
    """A crank under unit loads, before it is known how far its supports yield.

    acting : the loads, then the supports: x of every bearing, y of every bearing, torque.   bearings_at : m.
    """

    crank: Crank
    acting: Acting
    bearings_at: Sequence[Number]

    def on(self, supports: np.ndarray) -> UnitResponse:
        """Return what the loads do on supports of a compliance, m/N, (options..., bearings, bearings)."""
        count = -(2 * len(self.bearings_at) + 1)
        if len(self.bearings_at) == 2:  # equilibrium alone decides
            reactions = _on_two(self.acting.whole[..., :count], *map(over_angle, self.bearings_at))
        else:
            reactions = self._reactions(-count, supports)
        loads, props = self.acting.wrench[..., :count], self.acting.wrench[..., count:]
        by_props = _flat(props) @ reactions
        balanced = onto(by_props.reshape(*by_props.shape[:-2], *loads.shape[-3:]), loads)
        return UnitResponse(self.crank, Acting(self.acting.z, balanced), reactions)

    def _reactions(self, count: int, supports: np.ndarray) -> np.ndarray:
        """Return the reactions of supports, which are the last `count` of all columns, to every other column."""
        whole, held = self.acting.whole, slice(-count, None)
        among, by_loads = self._moved[..., held], self._moved[..., :-count]
        bearings = supports.shape[-1]
        among = np.zeros(np.broadcast_shapes(among.shape, (*supports.shape[:-2], count, count))) + among
        for start in (0, bearings):
            among[..., start : start + bearings, start : start + bearings] += supports
        # Metres per newton and bare numbers stay of one size.
        scale = np.max(np.abs(among), axis=(-2, -1), keepdims=True)
        props = whole[..., held] * np.ones((*among.shape[:-2], 1, 1))
        system = np.block([[among / scale, np.swapaxes(props, -1, -2)], [props, np.zeros((*props.shape[:-1], 5))]])
        given = _same_options(by_loads / scale, whole[..., :-count])
        return -np.linalg.solve(*_same_options(system, np.concatenate(given, axis=-2)))[..., :count, :]

    @cached_property
    def _moved(self) -> np.ndarray:
        """How far the supports move under every column as the members yield, (options..., supports, columns)."""
        held = self.acting.wrench[..., -(2 * len(self.bearings_at) + 1) :]
        return _work(_moved(self.acting.reached(self.crank.middle), self.crank.flexibility, held), self.acting)


def propped(crank: Crank, columns: Sequence[Column], bearings_at: Sequence[Number], held_at: Number) -> Propped:
    """Return a crank under unit loads.

    bearings_at : places of the bearings along z, m.   held_at : where its turning is held, m.
    """
    held: list[Column] = [(Unit(at, fx=1.0),) for at in bearings_at]
    held += [*((Unit(at, fy=1.0),) for at in bearings_at), (Unit(held_at, cz=1.0),)]
    return Propped(crank, acting([*columns, *held]), bearings_at)


def respond(
    crank: Crank, columns: Sequence[Column], bearings_at: Sequence[Number], held_at: Number, supports: np.ndarray
) -> UnitResponse:
    """Return a crank under unit loads on supports, alike along x and y.

    bearings_at, held_at : see `propped`.   supports : what bearings yield, m/N, (options..., bearings, bearings).
    """
    return propped(crank, columns, bearings_at, held_at).on(supports)


def _on_two(whole: np.ndarray, first: np.ndarray, second: np.ndarray) -> np.ndarray:
    """Return the reactions of two bearings, at `first` and `second`, and of what holds the torque.

    whole : all that each column puts on the crank, (options..., 5, columns).
    """
    fx, fy, mx, my, mz = (whole[..., part, :] for part in (FX, FY, MX, MY, MZ))
    x, y = (first * fx - my) / (second - first), (first * fy + mx) / (second - first)
    return np.stack([-fx - x, x, -fy - y, y, np.broadcast_to(-mz, x.shape)], axis=-2)


def _same_options(*matrices: np.ndarray) -> list[np.ndarray]:
    """Give matrices, (options..., rows, columns), the same option axes."""
    options = np.broadcast_shapes(*(each.shape[:-2] for each in matrices))
    return [np.broadcast_to(each, (*options, *each.shape[-2:])) for each in matrices]
