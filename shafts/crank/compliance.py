"""What unit loads on a crank do anywhere on it: statics first, then flexibility.

A unit load is a wrench about the origin of the crank's frame that passes through every member between its place and
the far end, from which everything is counted. The supports' reactions bring the structure into equilibrium: with
more of them than equilibrium decides, the frame of the far end is let move as a rigid body q and

    [[C_ss + g, W_s^T], [W_s, 0]] [r; q] = -[[C_sl], [W_l]]

(C by the members' flexibility under the supports' s and the loads' l wrenches W, g the supports' own compliance).
With the reactions the wrench R in every member is the real one, and by the theorem of virtual work the displacement
of load i by load j is sum over members of R_i^T F R_j plus r_i^T g r_j: exact, and member by member what is to blame.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property
from itertools import groupby

import numpy as np

from balance.cycle.load import onto
from balance.quantities import Number, side_by_side
from shafts.crank.build import Crank
from shafts.crank.members import FX, FY, MX, MY, MZ
from shafts.crank.rows import in_a_row

HAIR = 1e-9  # m; a load in a web's middle plane passes through the web


@dataclass(frozen=True, eq=False)
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
            self.cx - self.z * self.fy,
            self.cy + self.z * self.fx,
            self.cz + self.x * self.fy - self.y * self.fx,
        )


Column = tuple[Unit, ...]
"""Loads that act together, as one column of the compliance."""


@dataclass(frozen=True, eq=False)
class Passing:
    """Wrenches that pass through members, (options..., members, 5, columns), and all of them, (options..., 5, columns).

    Statically: without the supports' reactions.
    """

    inside: np.ndarray
    whole: np.ndarray


def passing(middle: np.ndarray, columns: Sequence[Column]) -> Passing:
    """Return what columns of loads put through members, or sections, whose middles are at z, (options..., members)."""
    units = [unit for column in columns for unit in column]
    ends = np.cumsum([len(column) for column in columns])
    wrench, z = _wrenches(units), side_by_side([unit.z for unit in units])
    through = middle[..., :, None] > z[..., None, :] - HAIR
    first = through.reshape(-1, *through.shape[-2:])[0]
    if np.all(through == first):  # options whose cranks are built alike: which load passes through what is one for all
        through = first
    options = np.broadcast_shapes(wrench.shape[:-2], through.shape[:-2])
    inside, whole = np.empty((*options, middle.shape[-1], 5, len(columns))), np.empty((*options, 5, len(columns)))
    for single, run in groupby(range(len(columns)), key=lambda place: len(columns[place]) == 1):
        places = list(run)
        at, among = slice(places[0], places[-1] + 1), slice(ends[places[0]] - len(columns[places[0]]), ends[places[-1]])
        if single:
            np.multiply(through[..., :, None, among], wrench[..., None, :, among], out=inside[..., at])
            whole[..., at] = wrench[..., among]
        else:  # several units that act together make one column
            for place in places:
                among = slice(ends[place] - len(columns[place]), ends[place])
                several = np.swapaxes(wrench[..., among], -1, -2)
                np.matmul(through[..., among].astype(float), several, out=inside[..., place])
                whole[..., place] = np.sum(wrench[..., among], axis=-1)
    return Passing(inside, whole)


def _wrenches(units: Sequence[Unit]) -> np.ndarray:
    """Return the wrenches of several units, (options..., 5, units)."""
    values = [unit.wrench for unit in units]
    options = np.broadcast_shapes(*(np.shape(value) for wrench in values for value in wrench))
    found = np.empty((*options, 5, len(units)))
    for place, wrench in enumerate(values):
        for part, value in enumerate(wrench):
            found[..., part, place] = value
    return found


@dataclass(frozen=True, eq=False)
class UnitResponse:
    """A crank under unit loads; m members, s reactions, n loads.

    crank : its members.   inside : real wrench in every member, (options..., m, 5, n).
    reactions : of the supports on the crank, (options..., s, n): x of every bearing, y of every bearing, torque.
    """

    crank: Crank
    inside: np.ndarray
    reactions: np.ndarray

    def by_members(self, rows: Sequence[int], flexibility: np.ndarray | None = None) -> np.ndarray:
        """Return what the members' yielding makes of every load at some loads' points, (options..., rows, n).

        flexibility : of the members, (options..., m, 5, 5), if not their own.
        """
        strain = self._strain if flexibility is None else flexibility @ self.inside
        virtual = self.inside[..., in_a_row(list(rows))]
        return np.swapaxes(_flat(virtual), -1, -2) @ _flat(strain)

    @cached_property
    def _strain(self) -> np.ndarray:
        return self.crank.flexibility @ self.inside

    def by_supports(self, rows: Sequence[int], supports: np.ndarray) -> np.ndarray:
        """Return what the supports' yielding makes of it; supports : (options..., bearings, bearings), m/N."""
        bearings, found = supports.shape[-1], 0.0
        for axis in (slice(0, bearings), slice(bearings, 2 * bearings)):
            pushed = self.reactions[..., axis, :]
            found = found + np.swapaxes(pushed[..., in_a_row(list(rows))], -1, -2) @ (supports @ pushed)
        return np.asarray(found)


def _flat(wrenches: np.ndarray) -> np.ndarray:
    """Return wrenches in members (options..., m, 5, n) as (options..., 5 m, n)."""
    return wrenches.reshape(*wrenches.shape[:-3], -1, wrenches.shape[-1])


def respond(
    crank: Crank, columns: Sequence[Column], bearings_at: Sequence[Number], held_at: Number, supports: np.ndarray
) -> UnitResponse:
    """Return a crank under unit loads on supports.

    bearings_at : places of the bearings along z, m.   held_at : where its turning is held, m.
    supports : compliance of the bearings, m/N, (options..., bearings, bearings), alike along x and y.
    """
    held = [(Unit(at, fx=1.0),) for at in bearings_at] + [(Unit(at, fy=1.0),) for at in bearings_at]
    held.append((Unit(held_at, cz=1.0),))
    middle = crank.middle
    loads, props = passing(middle, columns), passing(middle, held)
    reactions = _reactions(crank, loads, props, supports)
    options = np.broadcast_shapes(loads.inside.shape[:-3], reactions.shape[:-2])
    inside = onto(props.inside @ reactions[..., None, :, :], loads.inside)
    return UnitResponse(crank, np.broadcast_to(inside, (*options, *inside.shape[-3:])), reactions)


def _reactions(crank: Crank, loads: Passing, props: Passing, supports: np.ndarray) -> np.ndarray:
    count = props.whole.shape[-1]
    if count == len((FX, FY, MX, MY, MZ)):  # two bearings: equilibrium alone decides
        return -np.linalg.solve(*_same_options(props.whole, loads.whole))
    flat = [_flat(each) for each in (crank.flexibility @ props.inside, props.inside, loads.inside)]
    among, by_loads = (np.swapaxes(flat[0], -1, -2) @ each for each in flat[1:])
    bearings = supports.shape[-1]
    among = np.zeros(np.broadcast_shapes(among.shape, (*supports.shape[:-2], count, count))) + among
    for start in (0, bearings):
        among[..., start : start + bearings, start : start + bearings] += supports
    scale = np.max(np.abs(among), axis=(-2, -1), keepdims=True)  # metres per newton and bare numbers stay of one size
    whole = props.whole * np.ones((*among.shape[:-2], 1, 1))
    system = np.block([[among / scale, np.swapaxes(whole, -1, -2)], [whole, np.zeros((*whole.shape[:-1], 5))]])
    given = _same_options(by_loads / scale, loads.whole)
    return -np.linalg.solve(*_same_options(system, np.concatenate(given, axis=-2)))[..., :count, :]


def _same_options(*matrices: np.ndarray) -> list[np.ndarray]:
    """Give matrices, (options..., rows, columns), the same option axes."""
    options = np.broadcast_shapes(*(each.shape[:-2] for each in matrices))
    return [np.broadcast_to(each, (*options, *each.shape[-2:])) for each in matrices]
