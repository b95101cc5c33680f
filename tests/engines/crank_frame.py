"""Built-up cranks as frames in space, from plain numbers: shaft, webs and pins from axis to axis.

The shaft runs along z on the axis x = y = 0. A crankpin's axis is at (r sin a, r cos a), so angle 0 is along y and the
angle runs towards x. A web's elastic line lies in its middle plane and runs from one axis to the other; what lies
inside its thickness, between the middle plane and the face where shaft or pin begins, is rigid. Sizes are in m,
stiffness in N/m, forces in N, couples in N m, angles in rad.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise
from math import cos, inf, isfinite, sin

import numpy as np
from engines.space_frame import Answer, Element, Frame, Metal, Section, Springs, rectangle, round_section, solve

SHAFT = -1  # where a number of a pin is asked for: the shaft's own axis
SAME = 1e-9  # m: places nearer to each other than this are one


@dataclass(frozen=True)
class Step:
    """A cylinder of the shaft."""

    start: float
    end: float
    diameter: float
    bore: float = 0.0


@dataclass(frozen=True)
class Pin:
    """A crankpin from the face of one web to that of the next, or to its free end."""

    start: float
    end: float
    diameter: float
    radius: float
    angle: float
    metal: Metal
    bore: float = 0.0


@dataclass(frozen=True)
class Web:
    """A bar of thickness (along z) x width from one axis to another: SHAFT or the numbers of pins.

    `torsion`: its torsion constant, m^4; Roark's formula if not given.
    """

    middle: float
    thickness: float
    width: float
    metal: Metal
    axes: tuple[int, int]
    torsion: float | None = None


@dataclass(frozen=True)
class Bearing:
    """Springs alike in x and y, rigid if without limit (math.inf); `axial`: holds the shaft along z, rigidly."""

    at: float
    stiffness: float
    axial: bool = False


@dataclass(frozen=True)
class Crank:
    """A shaft, with a gap where the crank is between two of its steps, and what is built on to it.

    `torque_at`: where it is held against turning. `hollow_shear`: whether a bore lowers the shear coefficient too.
    """

    shaft: tuple[Step, ...]
    metal: Metal
    webs: tuple[Web, ...]
    pins: tuple[Pin, ...]
    bearings: tuple[Bearing, ...]
    torque_at: float
    hollow_shear: bool = False


@dataclass(frozen=True)
class Place:
    """A point of an axis: of the shaft, or of the pin with that number."""

    z: float
    on: int = SHAFT


@dataclass(frozen=True)
class Load:
    """A force and a couple at a place, along x, y, z."""

    place: Place
    force: tuple[float, float, float] = (0.0, 0.0, 0.0)
    couple: tuple[float, float, float] = (0.0, 0.0, 0.0)


@dataclass(frozen=True)
class Member:
    """What an element is part of: "shaft", "pin" or "web", and its number; a piece from z to z (a web: its middle)."""

    kind: str
    number: int
    start: float
    end: float


@dataclass(frozen=True)
class Bent:
    """What cases of load do.

    moves: (cases, looks, 6) displacement and rotation about x, y, z; bearings: (cases, bearings, 3) forces on the
    crank; torque: (cases,) couple about z on the crank where it is held; ends: (cases, members, 12) forces and couples
    on both ends of each member. Round members' local axes are x, y, z; a web's are 1 across in its plane, 2 along z, 3
    from the first of its axes to the second.
    """

    moves: np.ndarray
    bearings: np.ndarray
    torque: np.ndarray
    members: tuple[Member, ...]
    ends: np.ndarray


def bend(crank: Crank, cases: Sequence[Sequence[Load]], looks: Sequence[Place], parts: int = 1) -> Bent:
    """Return what each case, a sequence of loads, does at `looks`; every member is cut into so many equal parts."""
    places = [*looks, *(load.place for case in cases for load in case)]
    built = _Built(crank, places, parts)
    frame = built.frame()
    loads = np.zeros((len(cases), len(frame.nodes), 6))
    for number, case in enumerate(cases):
        for load in case:
            loads[number, built.at(load.place)] += (*load.force, *load.couple)
    answer = solve(frame, loads)
    return Bent(
        moves=answer.moves[:, [built.at(look) for look in looks]],
        bearings=_bearing_forces(crank, frame, answer),
        torque=answer.held[:, -1],
        members=tuple(built.members),
        ends=answer.ends,
    )


def compliance(crank: Crank, points: Sequence[tuple[Place, int]], parts: int = 1) -> np.ndarray:
    """Return what a unit load in each of `points` moves in each, (points, points); a point: place and way 0 to 5."""
    cases = []
    for place, way in points:
        unit = tuple(np.eye(6)[way])
        cases.append([Load(place, unit[:3], unit[3:])])
    moves = bend(crank, cases, [place for place, _ in points], parts).moves
    return np.stack([moves[:, row, way] for row, (_, way) in enumerate(points)])


def _bearing_forces(crank: Crank, frame: Frame, answer: Answer) -> np.ndarray:
    """Return what bearings exert on the crank, (cases, bearings, 3), from springs and holds in their order."""
    forces = np.zeros((len(answer.moves), len(crank.bearings), 3))
    soft, held = iter(answer.springs), iter(np.moveaxis(answer.held, -1, 0))
    for number, bearing in enumerate(crank.bearings):
        for way in _held_ways(bearing):
            forces[:, number, way] = next(held)
        if isfinite(bearing.stiffness):
            forces[:, number] += next(soft)[:, 0, :3]
    return forces


def _held_ways(bearing: Bearing) -> tuple[int, ...]:
    """Return the ways in which a bearing is rigid."""
    return ((0, 1) if bearing.stiffness == inf else ()) + ((2,) if bearing.axial else ())


@dataclass(frozen=True)
class _Stretch:
    """Round pieces on end on one axis: a pin, or the shaft on one side of the crank."""

    on: int
    axis: tuple[float, float]
    pieces: tuple[tuple[float, float, Section], ...]
    metal: Metal

    @property
    def ends(self) -> tuple[float, float]:
        return self.pieces[0][0], self.pieces[-1][1]

    def away(self, z: float) -> float:
        """Return how far z lies beyond the ends, m; zero inside."""
        start, end = self.ends
        return max(start - z, z - end, 0.0)


def _stretches(crank: Crank) -> list[_Stretch]:
    """Return the shaft, parted where there is a gap in it, and the pins."""
    runs: list[list[Step]] = []
    for step in sorted(crank.shaft, key=lambda each: each.start):
        if runs and abs(runs[-1][-1].end - step.start) < SAME:
            runs[-1].append(step)
        else:
            runs.append([step])
    found = []
    for run in runs:
        sections = [round_section(each.diameter, crank.metal, each.bore, crank.hollow_shear) for each in run]
        pieces = tuple((each.start, each.end, section) for each, section in zip(run, sections, strict=True))
        found.append(_Stretch(SHAFT, (0.0, 0.0), pieces, crank.metal))
    for number, pin in enumerate(crank.pins):
        section = round_section(pin.diameter, pin.metal, pin.bore, crank.hollow_shear)
        axis = (pin.radius * sin(pin.angle), pin.radius * cos(pin.angle))
        found.append(_Stretch(number, axis, ((pin.start, pin.end, section),), pin.metal))
    return found


class _Built:
    """Nodes, elements and links of a crank, with a node at every place that is asked for."""

    def __init__(self, crank: Crank, places: Sequence[Place], parts: int):
        self.crank, self.parts = crank, parts
        self.nodes: list[tuple[float, float, float]] = []
        self.elements: list[Element] = []
        self.members: list[Member] = []
        self.links: list[tuple[int, int]] = []
        self.stretches = _stretches(crank)
        self.lines: list[list[int]] = []  # the nodes of each stretch, along z
        self.seated: dict[tuple[int, float], int] = {}  # nodes inside webs
        wanted = [*places, *(Place(each.at) for each in crank.bearings), Place(crank.torque_at)]
        owners = [(place, self._owner(place)) for place in wanted]
        for number, stretch in enumerate(self.stretches):
            self._draw(number, [place.z for place, owner in owners if owner == number and not stretch.away(place.z)])
        for number, web in enumerate(crank.webs):
            self._span(number, web)
        for place, owner in owners:
            self._seat(place, owner)

    def at(self, place: Place) -> int:
        """Return the node at a place."""
        if (place.on, place.z) in self.seated:
            return self.seated[place.on, place.z]
        line = self.lines[self._owner(place)]
        return min(line, key=lambda node: abs(self.nodes[node][2] - place.z))

    def frame(self) -> Frame:
        """Return the frame; holds of the bearings in turn, then the one against turning."""
        held, springs = [], []
        for bearing in self.crank.bearings:
            node = self.at(Place(bearing.at))
            held += [(node, way) for way in _held_ways(bearing)]
            if isfinite(bearing.stiffness):
                springs.append(Springs((node,), np.diag([bearing.stiffness, bearing.stiffness, 0.0])))
        held.append((self.at(Place(self.crank.torque_at)), 5))
        return Frame(np.array(self.nodes), tuple(self.elements), tuple(self.links), tuple(springs), tuple(held))

    def _owner(self, place: Place) -> int:
        """Return the stretch that a place belongs to, the nearest of its axis, at most a web's thickness away."""
        among = [number for number, each in enumerate(self.stretches) if each.on == place.on]
        if not among:
            raise ValueError(f"there is no pin {place.on}")
        nearest = min(among, key=lambda number: self.stretches[number].away(place.z))
        away = self.stretches[nearest].away(place.z)
        inside = [web for web in self.crank.webs if abs(web.middle - place.z) < web.thickness / 2 + SAME]
        if away > SAME and not any(place.on in web.axes and away < web.thickness + SAME for web in inside):
            raise ValueError(f"nothing is at z {place.z} m on the axis of {place.on}")
        return nearest

    def _node(self, x: float, y: float, z: float) -> int:
        self.nodes.append((x, y, z))
        return len(self.nodes) - 1

    def _draw(self, number: int, stations: Sequence[float]) -> None:
        """Add nodes and elements of a stretch, with nodes at `stations`."""
        stretch = self.stretches[number]
        kind = "shaft" if stretch.on == SHAFT else "pin"
        line = [self._node(*stretch.axis, stretch.ends[0])]
        for start, end, section in stretch.pieces:
            between = [z for z in stations if start + SAME < z < end - SAME]
            for z in _apart([self.nodes[line[-1]][2], *between, end], self.parts)[1:]:
                line.append(self._node(*stretch.axis, z))
                self._element(line[-2:], section, stretch.metal, (0.0, 1.0, 0.0), (kind, max(stretch.on, 0)))
        self.lines.append(line)

    def _span(self, number: int, web: Web) -> None:
        """Add a web between the ends of two stretches, and the rigid links to them."""
        feet = [self._foot(web, on) for on in web.axes]
        (x, y, z), (to_x, to_y, _) = (self.nodes[foot] for foot in feet)
        shares = np.arange(1, self.parts) / self.parts
        between = [self._node(x + (to_x - x) * share, y + (to_y - y) * share, z) for share in shares]
        section = rectangle(web.width, web.thickness, web.metal, web.torsion)
        chain = [feet[0], *between, feet[1]]
        for pair in pairwise(chain):
            self._element(pair, section, web.metal, (0.0, 0.0, 1.0), ("web", number))

    def _element(self, pair: Sequence[int], section: Section, metal: Metal, axis_2: tuple, of: tuple[str, int]) -> None:
        start, end = pair
        self.elements.append(Element(start, end, section, metal, axis_2))
        self.members.append(Member(*of, self.nodes[start][2], self.nodes[end][2]))

    def _foot(self, web: Web, on: int) -> int:
        """Return a new node in the web's middle plane, linked to the end of what begins at the web's face."""
        for stretch, line in zip(self.stretches, self.lines, strict=True):
            for z, node in zip(stretch.ends, (line[0], line[-1]), strict=True):
                if stretch.on == on and abs(abs(z - web.middle) - web.thickness / 2) < SAME:
                    foot = self._node(*stretch.axis, web.middle)
                    self.links.append((foot, node))
                    return foot
        raise ValueError(f"nothing on the axis of {on} begins at a face of the web at z {web.middle} m")

    def _seat(self, place: Place, owner: int) -> None:
        """Add a node for a place inside a web, where all is rigid with the end of the stretch."""
        stretch, line = self.stretches[owner], self.lines[owner]
        if stretch.away(place.z) <= SAME or (place.on, place.z) in self.seated:
            return
        near = line[0] if place.z < stretch.ends[0] else line[-1]
        node = self._node(*stretch.axis, place.z)
        self.links.append((node, near))
        self.seated[place.on, place.z] = node


def _apart(stations: Sequence[float], parts: int) -> list[float]:
    """Return stations in order, those that fall together once, with every length between two in equal parts."""
    kept: list[float] = []
    for z in sorted(stations):
        if not kept or z - kept[-1] > SAME:
            start = kept[-1] if kept else z
            kept += [start + (z - start) * share / parts for share in range(1, parts)] if kept else []
            kept.append(z)
    return kept
