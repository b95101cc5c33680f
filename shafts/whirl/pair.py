"""Both cranks with all that vibrates, joined by their gear teeth, as one system whose matrices return each turn.

Each crank moves in its lowest modes at rest, in its own frame, the left one mirrored, with its twist held at the gear;
besides, both turn as a whole, and the left one against the right one by what the teeth yield. The teeth in mesh are a
spring along their line of action, which stands still on the bench: it ties turning to the bending of both shafts. Of
unknown teeth, or without gears, both cranks turn as one, and nothing else joins them.

Turning as a whole has no spring. Where there is neither flywheel nor a load of known inertia the gears are taken to
turn evenly, as everywhere else: what drives or brakes them sees to it.
"""

from dataclasses import replace
from functools import cached_property

import numpy as np

from balance.machine.crank import place_in_frame
from balance.quantities import Number, result
from balance.turning import HANDS
from shafts.crank.build import crank
from shafts.crank.loaded import LoadedCrank
from shafts.engine import Engine
from shafts.loaded_shafts import LoadedShafts
from shafts.whirl.bodies import FEW, bodies
from shafts.whirl.guided import Guided, guided
from shafts.whirl.periodic import Along, PeriodicSystem, finer
from shafts.whirl.rotor import Modes, Place, Rotor, Seat, rotor

REACH = 30.0  # modes are kept up to so many times the fastest speed
SLOW = 12.0  # modes beyond so many times the fastest speed are too quick to be unsettled by the turning
LEAST, MOST = 4, 14  # modes of each crank, and all that is kept of it
ROOM = 330  # what is kept of each crank, times the angles of the balance: memory grows with the square


@result
class Side:
    """One crank of the pair.

    acting : the first of the columns of its loads, as in its `stations`, among all of the rotor.
    guided : what goes to and fro with it.   modes : its own, at rest.
    """

    hand: str
    crank: LoadedCrank
    rotor: Rotor
    acting: int
    guided: list[Guided]
    modes: Modes

    @property
    def frequencies(self) -> np.ndarray:
        """Of its modes, rad/s."""
        return self.modes.frequencies

    @property
    def shapes(self) -> np.ndarray:
        """Of its modes, (columns, modes)."""
        return self.modes.shapes

    @property
    def sign(self) -> float:
        """+1 on the right, -1 on the left."""
        return HANDS[self.hand]

    @property
    def held_at(self) -> float:
        """Where its twist is measured from, m."""
        return float(_held_at(self.crank))

    def slow(self, below: float) -> "Side":
        """Return the same with its modes up to a frequency, rad/s; none where all are higher."""
        return replace(self, modes=self.modes.lowest(int(np.sum(self.frequencies <= below))))

    def columns(self, name: str) -> list[int]:
        """Return x and y of a point: a rod's crankpin, or the teeth."""
        return list(self.rotor.points[name])


@result
class Pair:
    """Both cranks as they vibrate.

    theta : angles of the balance, an odd number.   mesh : stiffness of the teeth, N/m; None where they count as rigid.
    even : whether the gears turn evenly.   damping : ratio at the first natural
    frequency; in proportion to the stiffness, and so to frequency.
    """

    engine: Engine
    sides: tuple[Side, Side]
    theta: np.ndarray
    mesh: float | None
    even: bool
    damping: float

    @cached_property
    def basis(self) -> tuple[np.ndarray, np.ndarray]:
        """What each freedom moves in the columns of the right and of the left crank, (columns, n)."""
        right, left = self.sides
        count = len(right.frequencies), len(left.frequencies)
        whole = sum(count) + (self.mesh is not None) + (not self.even)
        moved = np.zeros((len(right.shapes), whole)), np.zeros((len(left.shapes), whole))
        moved[0][:, : count[0]], moved[1][:, count[0] : sum(count)] = right.shapes, left.shapes
        if self.mesh is not None:
            moved[1][:, sum(count)] = left.rotor.rigid
        if not self.even:
            moved[0][:, -1], moved[1][:, -1] = right.rotor.rigid, left.rotor.rigid
        return moved

    @cached_property
    def closing(self) -> tuple[np.ndarray, np.ndarray]:
        """How far a motion of each crank's columns presses the teeth together, (angles, columns); zero if rigid."""
        presses = []
        for side, way in zip(self.sides, (1.0, -1.0), strict=True):
            rows = np.zeros((len(self.theta), len(side.shapes)))
            if self.mesh is not None:
                along, across = self._line
                x, y = (column for column in side.columns("teeth"))
                sine, cosine = np.sin(self.theta), np.cos(self.theta)
                rows[:, x] = -(across * cosine - way * along * sine)
                rows[:, y] = -(across * sine + way * along * cosine)
            presses.append(rows)
        return presses[0], presses[1]

    @property
    def _line(self) -> tuple[float, float]:
        """The line of action along y, and across, on the flank that drives on average."""
        angle = float(self.engine.cranks.working_pressure_angle)
        tooth = self.sides[0].crank.tooth
        mean = 1.0 if tooth is None else float(np.mean(tooth.at(self.engine.speed.rated)))
        return np.cos(angle), np.sin(angle) * (1.0 if mean >= 0 else -1.0)

    @cached_property
    def pressing(self) -> np.ndarray:
        """How far each freedom presses the teeth together, (angles, n)."""
        presses = sum(rows @ basis for rows, basis in zip(self.closing, self.basis, strict=True))
        if self.mesh is not None:
            # Turning of one gear against the other: at the pitch point the right one's teeth move by -r.
            place = sum(len(side.frequencies) for side in self.sides)
            presses[:, place] -= self._line[0] * float(self.engine.cranks.pitch_radius)
        return np.asarray(presses)

    @cached_property
    def system(self) -> PeriodicSystem:
        """The equations of both."""
        whole, springs = self.pressing.shape[1], np.concatenate([side.frequencies for side in self.sides]) ** 2
        count = len(springs)
        matrices = [sum(basis.T @ getattr(side.rotor, name) @ basis
                        for side, basis in zip(self.sides, self.basis, strict=True))
                    for name in ("mass", "cross", "spin")]  # fmt: skip
        aside = np.zeros((whole, whole))
        for start, side in zip((0, len(self.sides[0].frequencies)), self.sides, strict=True):
            own = slice(start, start + len(side.frequencies))
            aside[own, own] = side.modes.loads.T @ side.rotor.aside @ side.shapes
        stiffness = np.zeros((len(self.theta), whole, whole))
        stiffness[:, range(count), range(count)] = springs
        if self.mesh is not None:
            stiffness += self.mesh * self.pressing[:, :, None] * self.pressing[:, None, :]
        along = [Along(each.mass, way) for side, ways in zip(self.sides, self.ways, strict=True)
                 for each, way in zip(side.guided, ways, strict=True)]  # fmt: skip
        mass, cross, spin = matrices
        top = float(np.max(self.engine.speed.most * np.asarray(self.engine.speed.overspeed)))
        none = np.zeros_like(aside)
        free = PeriodicSystem(stiffness, none, aside, mass, cross, spin, along, int(not self.even), top)
        return replace(free, damping=self._damping(springs, whole, free.first_frequency))

    def _damping(self, springs: np.ndarray, whole: int, first: float) -> np.ndarray:
        """Return what resists velocities, (n, n): in proportion to the stiffness, for teeth by their own frequency.

        What follows a velocity goes against crank angle where that falls.
        """
        damping, count = np.zeros((whole, whole)), len(springs)
        damping[range(count), range(count)] = 2 * self.damping * springs / first
        if self.mesh is not None:
            damping[count, count] = 2 * self.damping * np.sqrt(self.pressing[0, count] ** 2 * self.mesh * self._between)
        return damping * self.engine.cranks.sense

    @cached_property
    def slow(self) -> PeriodicSystem:
        """The equations without what is too quick to be unsettled by the turning: teeth that yield, and high modes.

        Both cranks turn as one, and teeth tie nothing else.
        """
        right, left = (each.slow(SLOW * float(self.engine.speed.most)) for each in self.sides)
        return replace(self, sides=(right, left), mesh=None).system

    @property
    def _between(self) -> float:
        """Moment of inertia with which both gears swing against each other, kg m^2."""
        right, left = self._turning
        return left if self.even else right * left / (right + left)

    @property
    def left_share(self) -> float:
        """The left crank's share of the inertia that swings as both turn as a whole; none where gears turn evenly."""
        right, left = self._turning
        return 0.0 if self.even else left / (right + left)

    @property
    def _turning(self) -> tuple[float, float]:
        """Moment of inertia of the right and the left crank about their shafts, kg m^2."""
        right, left = (float(side.rotor.rigid @ side.rotor.mass @ side.rotor.rigid) for side in self.sides)
        return right, left

    @cached_property
    def ways(self) -> tuple[list[np.ndarray], list[np.ndarray]]:
        """The direction of what goes to and fro on each side, (finer angles, n) each."""
        return tuple(  # type: ignore[return-value]
            [each.x[:, None] * basis[x] + each.y[:, None] * basis[y]
             for each in side.guided for x, y in [side.columns(each.point)]]
            for side, basis in zip(self.sides, self.basis, strict=True)
        )  # fmt: skip


def pair(loaded: LoadedShafts, built: tuple[Rotor, Rotor], orders: int, damping: float, reach: float = REACH) -> Pair:
    """Return both cranks as they vibrate, from their `rotors`, with so many orders; for a single design."""
    engine, count = loaded.engine, 2 * orders + 1
    fine = 2 * np.pi / finer(count) * np.arange(finer(count))
    right, left = (_side(engine, crank, body, fine, reach) for crank, body in zip(loaded.cranks, built, strict=True))
    gears = engine.cranks.gears
    mesh = None if gears is None or gears.stiffness is None else float(gears.stiffness)
    even = not any(np.any(wheel.polar_inertia) for hand in HANDS for wheel in engine.wheels(hand).values())
    return Pair(engine, (right, left), 2 * np.pi / count * np.arange(count), mesh, even, damping)


def rotors(loaded: LoadedShafts) -> tuple[Rotor, Rotor]:
    """Return the right and the left crank with their masses; for a single design."""
    right, left = (_rotor(loaded.engine, each) for each in loaded.cranks)
    return right, left


def _rotor(engine: Engine, loaded: LoadedCrank) -> Rotor:
    """Points: each rod's crankpin, and the teeth. Asked for: the columns of the loaded crank's own stations."""
    points: dict[str, Place] = {f"rod of {name}": (throw.at, *place_in_frame(throw))
              for name, yoke in engine.yokes.items() for throw in [engine.throw_of(yoke)]}  # fmt: skip
    if engine.cranks.gears is not None:
        points["teeth"] = (engine.cranks.gears.at, 0.0, 0.0)
    carries = bodies(engine, loaded.hand, FEW)
    seat = Seat([each.at for each in loaded.shaft.bearings], _held_at(loaded), loaded.compliance)
    marks = [*seat.bearings, seat.held_at, *(each.at for each in loaded.loads), *(each.at for each in carries)]
    return rotor(crank(loaded.shaft, engine.cranks, loaded.hand, marks), seat, points, carries, loaded.stations.columns)


def _side(engine: Engine, loaded: LoadedCrank, body: Rotor, theta: np.ndarray, reach: float) -> Side:
    start, rides = len(body.mass) - len(loaded.stations.columns), guided(engine, loaded.hand, theta)
    most = min(MOST, max(LEAST + 2, 2 * ROOM // len(theta)))
    modes = body.modes(ridden(body, rides), reach * float(engine.speed.most), LEAST, most)
    return Side(loaded.hand, loaded, body, start, rides, modes)


def ridden(body: Rotor, rides: list[Guided]) -> np.ndarray:
    """Return the mean mass of what goes to and fro, in the columns of a crank, kg."""
    mass = np.zeros_like(body.mass)
    for each in rides:
        mass[np.ix_(body.points[each.point], body.points[each.point])] += each.mean
    return mass


def _held_at(loaded: LoadedCrank) -> Number:
    return next(each.at for each in loaded.loads if each.name in ("gear teeth", "coupling"))
