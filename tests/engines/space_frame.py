"""A frame in space of straight Timoshenko elements, by the stiffness method: a second way to what the project computes.

Elements have twelve freedoms (Przemieniecki, Theory of Matrix Structural Analysis, sec. 5.6, with the shear parameter
Phi = 12 E I/(k G A L^2)), shear coefficients are Cowper's (J. Applied Mechanics 33 (1966) 335). A node has six
freedoms: displacement along x, y, z, m, then rotation about x, y, z, rad. Units are SI throughout.

Short stiff elements next to long soft ones lose digits twice over: where the matrix is summed, and where it is solved.
So everything is formed and summed with long numbers (64 bits of mantissa where the machine has them), solved with
usual ones after its diagonal has been scaled to one, and the solution improved by residues in long numbers.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

LONG = np.longdouble
ROUNDS = 10  # of improvement; each gains what the condition of the scaled matrix leaves of sixteen digits
WORST = 1e14  # condition of a scaled matrix above which the frame is taken for a mechanism
SURE = 1e-11  # share of the solution that the last improvement may still change


@dataclass(frozen=True)
class Metal:
    """An isotropic material: Young's modulus and shear modulus, Pa."""

    young: float
    shear: float

    @property
    def poisson(self) -> float:
        """Poisson's ratio that belongs to both moduli."""
        return self.young / (2 * self.shear) - 1


@dataclass(frozen=True)
class Section:
    """Area, m^2; second moments about cross axes 1 and 2 and torsion constant, m^4; shear coefficient.

    A coefficient without limit (np.inf) leaves shear out.
    """

    area: float
    second_1: float
    second_2: float
    torsion: float
    coefficient: float


@dataclass(frozen=True)
class Element:
    """A straight prismatic bar between two nodes.

    Local axis 3 runs from start to end; axis 2 is `axis_2` less its part along the bar; axis 1 is 2 x 3. The second
    moment about axis 1 thus resists what moves the bar along axis 2, and the other way round.
    """

    start: int
    end: int
    section: Section
    metal: Metal
    axis_2: tuple[float, float, float]


@dataclass(frozen=True)
class Springs:
    """Springs to the ground at k nodes: a matrix of 3 k (displacements alone) or 6 k rows, N/m, N, N m."""

    nodes: tuple[int, ...]
    matrix: np.ndarray


@dataclass(frozen=True)
class Frame:
    """Nodes (n, 3), m; elements; rigid links (slave, master); springs; freedoms (node, 0 to 5) that are held."""

    nodes: np.ndarray
    elements: tuple[Element, ...]
    links: tuple[tuple[int, int], ...] = ()
    springs: tuple[Springs, ...] = ()
    holds: tuple[tuple[int, int], ...] = ()


@dataclass(frozen=True)
class Answer:
    """What the cases of load do.

    moves: (cases, nodes, 6) displacements, m, and rotations, rad, along the axes of the frame;
    ends: (cases, elements, 12) forces, N, and couples, N m, that act on an element at start and end, local axes;
    springs: for each of Springs (cases, k, 6), what it exerts on the frame; held: (cases, holds), likewise.
    """

    moves: np.ndarray
    ends: np.ndarray
    springs: tuple[np.ndarray, ...]
    held: np.ndarray


def round_section(diameter: float, metal: Metal, bore: float = 0.0, hollow: bool = False) -> Section:
    """Return the section of a round bar, m; the shear coefficient is a solid bar's unless `hollow` is asked for."""
    second = np.pi / 64 * (diameter**4 - bore**4)
    coefficient = round_coefficient(metal.poisson, bore / diameter if hollow else 0.0)
    return Section(np.pi / 4 * (diameter**2 - bore**2), second, second, 2 * second, coefficient)


def round_coefficient(poisson: float, ratio: float = 0.0) -> float:
    """Return Cowper's coefficient of a round section, or of a tube with `ratio` of inner to outer diameter."""
    inner = (1 + ratio**2) ** 2
    return 6 * (1 + poisson) * inner / ((7 + 6 * poisson) * inner + (20 + 12 * poisson) * ratio**2)


def rectangle(along_1: float, along_2: float, metal: Metal, torsion: float | None = None) -> Section:
    """Return the section of a rectangular bar with sides along cross axes 1 and 2, m.

    Cowper's shear coefficient; the torsion constant, m^4, is Roark's unless given.
    """
    coefficient = 10 * (1 + metal.poisson) / (12 + 11 * metal.poisson)
    twist = roark_torsion(along_1, along_2) if torsion is None else torsion
    return Section(along_1 * along_2, along_1 * along_2**3 / 12, along_2 * along_1**3 / 12, twist, coefficient)


def roark_torsion(one: float, other: float) -> float:
    """Return the torsion constant, m^4, of a rectangle: Roark's Formulas for Stress and Strain, table 10.1, case 4."""
    thin, wide = sorted((one, other))
    share = thin / wide
    return wide * thin**3 * (1 / 3 - 0.21 * share * (1 - share**4 / 12))


def series_torsion(one: float, other: float, terms: int = 40) -> float:
    """Return the torsion constant, m^4, of a rectangle: Timoshenko and Goodier, Theory of Elasticity, sec. 109."""
    thin, wide = sorted((one, other))
    odd = np.arange(1, 2 * terms, 2)
    fall = np.sum(np.tanh(odd * np.pi * wide / (2 * thin)) / odd**5.0)
    return float(wide * thin**3 * (1 / 3 - 64 / np.pi**5 * thin / wide * fall))


def solve(frame: Frame, loads: np.ndarray) -> Answer:
    """Return what loads do: (cases, nodes, 6) forces, N, and couples, N m, along the axes of the frame."""
    reach = _reach(frame)
    structure = _structure(frame, reach)
    right = np.zeros((len(frame.nodes), 6, len(loads)), LONG)
    for node, (master, carry) in enumerate(reach):
        right[master] += carry.T @ loads[:, node].T.astype(LONG)
    motion = _improved(structure, right, _free(frame, reach))
    rest = structure.held_by(motion) - right
    masters = np.moveaxis(motion, -1, 0)
    moves = np.stack([masters[:, master] @ carry.T for master, carry in reach], axis=1)
    return Answer(
        moves=moves.astype(float),
        ends=_ends(frame, structure.stress(motion)),
        springs=tuple(_spring_forces(each, moves) for each in frame.springs),
        held=np.array([rest[node, way] for node, way in frame.holds], float).reshape(-1, len(loads)).T,
    )


def load_at(count: int, node: int, force: Sequence[float] = (0, 0, 0), couple: Sequence[float] = (0, 0, 0)):
    """Return one case, (1, count, 6), of a force, N, and a couple, N m, at a node of `count`."""
    loads = np.zeros((1, count, 6))
    loads[0, node] = (*force, *couple)
    return loads


def cross_matrix(vector: Sequence[float]) -> np.ndarray:
    """Return the (3, 3) matrix that multiplies by `vector` from the left as a cross product does."""
    x, y, z = vector
    return np.array([[0, -z, y], [z, 0, -x], [-y, x, 0]], LONG)


def axes(frame: Frame, element: Element) -> np.ndarray:
    """Return the local axes 1, 2, 3 of an element as rows, (3, 3)."""
    along = _unit(np.asarray(frame.nodes[element.end], LONG) - np.asarray(frame.nodes[element.start], LONG))
    wished = np.asarray(element.axis_2, LONG)
    second = _unit(wished - (wished @ along) * along)
    return np.stack([np.cross(second, along), second, along])


def length(frame: Frame, element: Element) -> np.floating:
    """Return the length of an element, m, as a long number."""
    chord = np.asarray(frame.nodes[element.end], LONG) - np.asarray(frame.nodes[element.start], LONG)
    return np.sqrt(chord @ chord)


def _unit(vector: np.ndarray) -> np.ndarray:
    size = np.sqrt(vector @ vector)
    if size == 0:
        raise ValueError("an element has no length, or axis 2 lies along it")
    return vector / size


def _reach(frame: Frame) -> list[tuple[int, np.ndarray]]:
    """Return for each node its master and the (6, 6) matrix from the master's motion to its own.

    A slave turns as its master does and moves as a point of the same rigid body. Masters may be slaves in turn.
    """
    above = dict(frame.links)
    if len(above) < len(frame.links):
        raise ValueError("a node is linked to two masters")
    found = []
    for node in range(len(frame.nodes)):
        master, steps = node, 0
        while master in above:
            master, steps = above[master], steps + 1
            if steps > len(above):
                raise ValueError("rigid links run in a ring")
        carry = np.eye(6, dtype=LONG)
        carry[:3, 3:] = -cross_matrix(np.asarray(frame.nodes[node], LONG) - np.asarray(frame.nodes[master], LONG))
        found.append((master, carry))
    return found


def _free(frame: Frame, reach: list[tuple[int, np.ndarray]]) -> np.ndarray:
    """Return which of the freedoms are unknown, (6 nodes,): not a slave's, not held."""
    free = np.repeat([master == node for node, (master, _) in enumerate(reach)], 6)
    for node, way in frame.holds:
        if not free[6 * node + way]:
            raise ValueError("what is held belongs to a slave, or is held twice")
        free[6 * node + way] = False
    return free


def _six(springs: Springs) -> np.ndarray:
    """Return the matrix of springs with rows for rotations too, (6 k, 6 k)."""
    matrix, count = np.asarray(springs.matrix, LONG), len(springs.nodes)
    if matrix.shape == (6 * count, 6 * count):
        return matrix
    if matrix.shape != (3 * count, 3 * count):
        raise ValueError("a spring matrix has 3 or 6 rows for each of its nodes")
    full = np.zeros((count, 6, count, 6), LONG)
    full[:, :3, :, :3] = matrix.reshape(count, 3, count, 3)
    return full.reshape(6 * count, 6 * count)


@dataclass(frozen=True)
class _Structure:
    """All elements and springs as seen by the masters, in long numbers.

    masters: (elements, 2); shape: (elements, 6, 12) from the masters' motion to what the far end of the element does
    beyond following the near end as a rigid body would; core: (elements, 6, 6) what that takes at the far end;
    ground: (nodes, 6, nodes, 6) springs. To go by way of the shape keeps the rounding of a stiff element's forces of
    such a kind that it moves the frame by no more than a rounded length would.
    """

    masters: np.ndarray
    shape: np.ndarray
    core: np.ndarray
    ground: np.ndarray

    def stress(self, motion: np.ndarray) -> np.ndarray:
        """Return what acts on the far ends, (elements, 6, cases), local axes, as masters move, (nodes, 6, cases)."""
        both = motion[self.masters].reshape(len(self.masters), 12, motion.shape[-1])
        return self.core @ (self.shape @ both)

    def held_by(self, motion: np.ndarray) -> np.ndarray:
        """Return the loads, (nodes, 6, cases), that hold the masters where they are."""
        loads = (self.ground.reshape(motion.shape[0] * 6, -1) @ motion.reshape(-1, motion.shape[-1])).reshape(
            motion.shape
        )
        brought = (np.swapaxes(self.shape, 1, 2) @ self.stress(motion)).reshape(-1, 2, 6, motion.shape[-1])
        for end in (0, 1):
            np.add.at(loads, self.masters[:, end], brought[:, end])
        return loads

    def matrix(self) -> np.ndarray:
        """Return the whole stiffness matrix, (6 nodes, 6 nodes); rows of slaves are empty."""
        total = self.ground.copy()
        each = (np.swapaxes(self.shape, 1, 2) @ self.core @ self.shape).reshape(-1, 2, 6, 2, 6)
        for (first, last), block in zip(self.masters, each, strict=True):
            for i, row in enumerate((first, last)):
                for j, column in enumerate((first, last)):
                    total[row, :, column] += block[i, :, j]
        return total.reshape(6 * len(total), -1)


def _structure(frame: Frame, reach: list[tuple[int, np.ndarray]]) -> _Structure:
    """Return the elements and springs of a frame as its masters see them."""
    count, shapes = len(frame.nodes), []
    for each in frame.elements:
        turn = np.kron(np.eye(2, dtype=LONG), axes(frame, each))
        near, far = reach[each.start][1], reach[each.end][1]
        shapes.append(np.concatenate([-_along(length(frame, each)) @ turn @ near, turn @ far], axis=1))
    ground = np.zeros((count, 6, count, 6), LONG)
    for each in frame.springs:
        matrix = _six(each).reshape(len(each.nodes), 6, len(each.nodes), 6)
        for i, row in enumerate(each.nodes):
            for j, column in enumerate(each.nodes):
                (upper, left), (lower, right) = reach[row], reach[column]
                ground[upper, :, lower] += left.T @ matrix[i, :, j] @ right
    return _Structure(
        masters=np.array([(reach[each.start][0], reach[each.end][0]) for each in frame.elements], int).reshape(-1, 2),
        shape=np.array(shapes, LONG).reshape(-1, 6, 12),
        core=np.array([_core(each, length(frame, each)) for each in frame.elements], LONG).reshape(-1, 6, 6),
        ground=ground,
    )


def _along(span: np.floating) -> np.ndarray:
    """Return the (6, 6) matrix from the motion of an element's near end to that of a rigid element's far end."""
    carry = np.eye(6, dtype=LONG)
    carry[:3, 3:] = -cross_matrix((0, 0, span))
    return carry


def _core(element: Element, span: np.floating) -> np.ndarray:
    """Return the stiffness of an element's far end, near end clamped, along its own axes, (6, 6).

    It is the lower right quarter of the twelve by twelve. A turn about axis 2 tilts the bar towards +1, a turn about
    axis 1 towards -2: hence the signs of the second plane.
    """
    section = element.section
    young, shear, area = LONG(element.metal.young), LONG(element.metal.shear), LONG(section.area)
    against_shear = LONG(section.coefficient) * shear * area
    matrix = np.zeros((6, 6), LONG)
    matrix[2, 2] = young * area / span
    matrix[5, 5] = shear * LONG(section.torsion) / span
    matrix[np.ix_([0, 4], [0, 4])] = _bending(young * LONG(section.second_2), against_shear, span)
    other = _bending(young * LONG(section.second_1), against_shear, span) * np.array([[1, -1], [-1, 1]])
    matrix[np.ix_([1, 3], [1, 3])] = other
    return matrix


def _bending(flexural: np.floating, against_shear: np.floating, span: np.floating) -> np.ndarray:
    """Return the stiffness in one plane, (2, 2), for displacement and tilt of the far end; E I, N m^2, k G A, N."""
    phi = 12 * flexural / (against_shear * span**2)
    rows = [[12, -6 * span], [-6 * span, (4 + phi) * span**2]]
    return flexural / (span**3 * (1 + phi)) * np.array(rows, LONG)


def _improved(structure: _Structure, right: np.ndarray, free: np.ndarray) -> np.ndarray:
    """Return the masters' motion, (nodes, 6, cases), under loads `right` of that shape; only `free` freedoms move."""
    matrix = structure.matrix()[np.ix_(free, free)]
    diagonal = np.diagonal(matrix)
    if np.any(diagonal <= 0):
        raise ValueError("nothing holds one of the nodes")
    scale = 1 / np.sqrt(diagonal)[:, None]
    inverse = _inverse((matrix * scale * scale.T).astype(float))
    cases = right.shape[-1]
    solution = np.zeros((len(diagonal), cases), LONG)  # of the scaled unknowns, which are alike in size
    motion = np.zeros_like(right)
    for _ in range(ROUNDS):
        rest = (right - structure.held_by(motion)).reshape(-1, cases)[free]
        # What is left shrinks with every round; usual numbers hold its leading digits at any size.
        step = inverse @ (scale * rest).astype(float)
        solution = solution + step
        motion.reshape(-1, cases)[free] = scale * solution
        size, change = np.abs(solution).max(axis=0), np.abs(step).max(axis=0)
        if np.all(change <= 1e-18 * size):
            break
    if np.any(change > SURE * size):
        raise ValueError("the solution does not settle")
    return motion


def _inverse(scaled: np.ndarray) -> np.ndarray:
    """Return the inverse of a matrix with ones on its diagonal, or refuse what is singular to usual numbers."""
    try:
        inverse = np.linalg.inv(scaled)
    except np.linalg.LinAlgError:
        inverse = np.full_like(scaled, np.inf)
    if not np.abs(inverse).sum(axis=0).max() * np.abs(scaled).sum(axis=0).max() < WORST:
        raise ValueError("the frame is a mechanism, or next to one")
    return inverse


def _ends(frame: Frame, stress: np.ndarray) -> np.ndarray:
    """Return what acts on both ends of elements, (cases, elements, 12), from what acts on the far ones."""
    near = [-_along(length(frame, each)).T @ far for each, far in zip(frame.elements, stress, strict=True)]
    both = np.concatenate([np.array(near, LONG).reshape(stress.shape), stress], axis=1)
    return np.moveaxis(both, -1, 0).astype(float)


def _spring_forces(springs: Springs, moves: np.ndarray) -> np.ndarray:
    """Return what springs exert on the frame at their nodes, (cases, k, 6)."""
    motion = moves[:, list(springs.nodes)].reshape(len(moves), -1)
    return (-motion @ _six(springs).T).astype(float).reshape(len(moves), -1, 6)
