"""One crank with its masses as a vibrating body, in its own frame, by its flexibility.

In that frame, which turns with the crank, its structure and all that turns with it stand still. With q the freedoms at
the masses' places (x and y of their centres, tilt about x and y, twist) a crank that turns at W obeys

    F^-1 q + M q'' - W G q' + W^2 S q = loads

with derivatives by time, F the flexibility of the elastic chain on its supports, M masses and inertias, G what turns a
velocity into a force across it (2 m for a mass; 2 I_d - I_p for a disc, I_d and I_p its diametral and polar inertia)
and S what turning adds to the springs (-m for a mass; I_p - I_d for a disc: Genta, Dynamics of Rotating Systems,
chapter 4). A mass whose centre lies off its shaft's axis moves along z as it tilts, and turns on its circle as it
twists: both are in M and S, so that turning as a whole costs no force.
"""

from collections.abc import Sequence
from functools import cached_property

import numpy as np

from balance.quantities import Number, result
from shafts.crank.build import Crank
from shafts.crank.compliance import Column, Unit, UnitResponse, respond
from shafts.whirl.bodies import Body

WHEELS = ("flywheel", "pulley")
HAIR = 1e-12  # share of its own that each mass is more: what moves a body in one direction only has a root too

Place = tuple[Number, Number, Number]
"""A point of the crank in its frame: along the shaft, x, y, m."""


@result
class Rotor:
    """A crank with its masses; n columns: points, bodies, then what is only asked for.

    flexibility : displacement of each column by a unit load on each, m/N and so on, (n, n).
    reactions : of the bearings on the crank by each, x of all, then y of all, (2 bearings, n).
    mass, cross, spin : M, G and S of all columns, (n, n).
    aside : what turns each pair of columns by a right angle, (n, n).   rigid : turning as a whole, (n,).
    points : columns of x and y of points by name.   wheels : the same of flywheel and pulley.
    response : what follows from all columns anywhere on the crank.
    """

    flexibility: np.ndarray
    reactions: np.ndarray
    mass: np.ndarray
    cross: np.ndarray
    spin: np.ndarray
    aside: np.ndarray
    rigid: np.ndarray
    points: dict[str, tuple[int, int]]
    wheels: dict[str, tuple[int, int]]
    columns: Sequence[Column]
    response: UnitResponse

    def modes(self, ridden: np.ndarray, below: float, least: int, most: int) -> "Modes":
        """Return its modes at rest.   ridden : further mass, (n, n), such as the mean of what goes to and fro.

        below, least, most : those up to a frequency, rad/s, but not fewer and not more than so many. What the other
        modes yield under loads on crankpins and teeth is kept too, as shapes beside them, counted among the most
        (residual flexibility: Craig, Structural Dynamics, ch. 19, from memory): what rides there is seldom light, and
        without them critical speeds were up to 1.6 percent too high.
        """
        mass = self.mass + ridden
        heavy = np.flatnonzero(np.diagonal(mass) > 0)
        root = np.linalg.cholesky(mass[np.ix_(heavy, heavy)] + np.diag(HAIR * np.diagonal(mass)[heavy]))
        carried = self.flexibility[:, heavy] @ root
        inverse, shapes = np.linalg.eigh(root.T @ carried[heavy])
        there = int(np.sum(inverse > 1e-10 * inverse[-1]))
        inverse, shapes = inverse[: -there - 1 : -1], shapes[:, : -there - 1 : -1]
        every = (carried @ shapes) / inverse
        points = [column for pair in self.points.values() for column in pair]
        count = min(there, max(least, min(int(np.sum(inverse * below**2 > 1)), most - len(points))))
        mixed = np.zeros((there, count))
        mixed[range(count), range(count)] = 1.0
        further, others = _residual(every[points, count:].T * inverse[count:, None], inverse[count:])
        further, others = further[: most - count], others[:, : most - count]
        mixed = np.append(mixed, np.append(np.zeros((count, others.shape[1])), others, axis=0), axis=1)
        stiff = np.append(1 / inverse[:count], further)
        return Modes(np.sqrt(stiff), every @ mixed, mass @ every @ (mixed / inverse[:, None]) / stiff)


@result
class Modes:
    """Ways in which a crank moves, each alone in its springs and in its mass at rest.

    frequencies : rad/s, rising.   shapes : of unit modal mass, (n, modes).   loads : on all columns, that hold it so,
    per frequency squared, (n, modes).
    """

    frequencies: np.ndarray
    shapes: np.ndarray
    loads: np.ndarray

    def lowest(self, count: int) -> "Modes":
        """Return so many of them."""
        return Modes(self.frequencies[:count], self.shapes[:, :count], self.loads[:, :count])


def _residual(yielding: np.ndarray, inverse: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    """Return frequencies squared, and mixtures of modes of unit mass, that yield under loads as all these modes do.

    yielding : of each mode under each load, (modes, loads).   inverse : of each mode's frequency squared.
    """
    ways, sizes, _ = np.linalg.svd(yielding, full_matrices=False)
    ways = ways[:, sizes > 1e-6 * np.max(sizes, initial=0.0)]
    stiff, turned = np.linalg.eigh(ways.T @ (ways / inverse[:, None]))
    return stiff, ways @ turned


@result
class Seat:
    """How a crank is held: places of its bearings, m, where its turning is, m, and the bearings' compliance, m/N."""

    bearings: Sequence[Number]
    held_at: Number
    compliance: np.ndarray


@result
class Layout:
    """The columns of a rotor in the making, and the entries of its matrices."""

    columns: list[Column]
    blocks: list[tuple[int, np.ndarray, np.ndarray, np.ndarray]]
    pairs: list[int]

    def add(self, *columns: Column) -> int:
        """Add columns; return the number of the first."""
        self.columns.extend(columns)
        return len(self.columns) - len(columns)

    @cached_property
    def matrices(self) -> tuple[np.ndarray, np.ndarray, np.ndarray, np.ndarray]:
        """Mass, cross, spin and aside, (n, n) each."""
        count = len(self.columns)
        sums = [np.zeros((count, count)) for _ in range(4)]
        for start, *parts in self.blocks:
            for whole, part in zip(sums, parts, strict=False):
                span = slice(start, start + len(part))
                whole[span, span] += part
        for start in self.pairs:
            sums[3][start, start + 1], sums[3][start + 1, start] = -1.0, 1.0
        mass, cross, spin, aside = sums
        return mass, cross, spin, aside


def rotor(
    chain: Crank, seat: Seat, points: dict[str, Place], bodies: Sequence[Body], asked: Sequence[Column] = ()
) -> Rotor:
    """Return a crank with its bodies; `chain` must be cut where they are.

    points : places whose x and y are columns by name, and which bodies of that name sit at.   asked : further columns.
    """
    made = Layout([], [], [])
    named: dict[str, tuple[int, int]] = {}
    wheels: dict[str, tuple[int, int]] = {}
    for name, (z, x, y) in points.items():
        start = made.add((Unit(z, x, y, fx=1.0),), (Unit(z, x, y, fy=1.0),))
        made.pairs.append(start)
        named[name] = (start, start + 1)
    for body in bodies:
        if body.name in named:
            start = named[body.name][0]
        else:
            start = made.add((Unit(body.at, body.x, body.y, fx=1.0),), (Unit(body.at, body.x, body.y, fy=1.0),))
            made.pairs.append(start)
            if body.name in WHEELS:
                wheels[body.name] = start, start + 1
        made.blocks.append((start, *_moving(body)))
        if body.polar or body.diametral or body.x or body.y:
            start = made.add((Unit(body.at, cx=1.0),), (Unit(body.at, cy=1.0),), (Unit(body.at, cz=1.0),))
            made.pairs.append(start)
            made.blocks.append((start, *_tilting(body)))
    made.add(*asked)
    response = respond(chain, made.columns, seat.bearings, seat.held_at, seat.compliance)
    every = range(len(made.columns))
    flexibility = response.by_members(every) + response.by_supports(every, seat.compliance)
    rigid = np.array([sum(unit.wrench[4] for unit in column) for column in made.columns], dtype=float)
    reactions = response.reactions[: 2 * len(seat.bearings)]
    mass, cross, spin, aside = made.matrices
    flexibility = (flexibility + flexibility.T) / 2
    return Rotor(flexibility, reactions, mass, cross, spin, aside, rigid, named, wheels, made.columns, response)


_TURN = np.array([[0.0, -1.0], [1.0, 0.0]])


def _moving(body: Body) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """Return M, G and S of a body's mass for x and y of its centre."""
    return body.mass * np.eye(2), 2 * body.mass * _TURN, -body.mass * np.eye(2)


def _tilting(body: Body) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """Return M, G and S of a body for tilt about x and y, and twist.

    A centre off the axis at (x, y) moves along z by tilt_x y - tilt_y x. As the body twists, it falls short on its
    circle by half the square of that twist times its distance, which takes back what its pull outward would give.
    """
    arm = np.array([body.y, -body.x], dtype=float)
    lift = body.mass * np.outer(arm, arm)
    mass, cross, spin = np.zeros((3, 3)), np.zeros((3, 3)), np.zeros((3, 3))
    mass[:2, :2] = body.diametral * np.eye(2) + lift
    mass[2, 2] = body.polar
    cross[:2, :2] = (2 * body.diametral - body.polar) * _TURN
    spin[:2, :2] = (body.polar - body.diametral) * np.eye(2) + lift
    spin[2, 2] = body.mass * (body.x**2 + body.y**2)
    return mass, cross, spin
