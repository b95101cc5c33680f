"""The shaft as a stepped beam: what a unit force or couple anywhere does everywhere else.

The unit-load method (Castigliano; e.g. Timoshenko, Strength of Materials part I, chapter on strain
energy): u_i = integral of M_i M_j / EI + V_i V_j / (kappa G A) over the shaft, exact for stepped
Timoshenko beams and free of the rounding that very short elements bring to a stiffness matrix. A
station beyond the shaft's end hangs on it by a rigid arm. Bearings beyond two are redundant supports
and are found from their own flexibility.
"""

from dataclasses import dataclass

import numpy as np

from balance.quantities import Number, Scalar, side_by_side
from shafts.shaft import Shaft


@dataclass(frozen=True, eq=False)
class Influence:
    """Responses of a shaft at its stations to unit loads at its stations; n stations, b bearings.

    A station is a force and its deflection (m/N), or a couple and its slope; the arrays mix them.
    bending : deflection of the shaft on rigid bearings, (options..., n, n).
    seating : what the bearings' own give adds, (options..., n, n).
    share : load on each bearing per unit load at each station, (options..., b, n); also, by
    reciprocity, how far a station moves when that bearing's seat moves by one metre.
    """

    bending: np.ndarray
    seating: np.ndarray
    share: np.ndarray


@dataclass(frozen=True, eq=False)
class Flexible:
    """A shaft at its stations, whatever the give of its bearings.

    flexibility : on its two outer bearings, held rigid, (options..., n, n); the bearings between stand after the
    forces.   outer : load on the outer two per unit load, (options..., 2, n).   forces, spare : how many of each.
    """

    flexibility: np.ndarray
    outer: np.ndarray
    forces: int
    spare: int

    def at(self, forces: list[int]) -> "Flexible":
        """Return the same shaft with some of its force stations, in any order and as often as wanted."""
        among = np.array([*forces, *range(self.forces, self.outer.shape[-1])], dtype=int)
        return Flexible(self.flexibility[..., among[:, None], among], self.outer[..., among], len(forces), self.spare)

    def on(self, give: list[Number]) -> Influence:
        """Return the influence with bearings of this radial give, m/N, zero for a rigid one."""
        return _with_spare_bearings(self.flexibility, self.outer, side_by_side(give), self.forces, self.spare)


def flexible(shaft: Shaft, forces_at: list[Number], couples_at: list[Number]) -> Flexible:
    """Return a shaft at its stations: forces, then couples, by their places along it, m."""
    ends = shaft.bearings[0].at, shaft.bearings[-1].at
    spare = [bearing.at for bearing in shaft.bearings[1:-1]]
    places = side_by_side([*forces_at, *spare, *couples_at])
    lever = np.concatenate([np.ones(len(forces_at) + len(spare)), np.zeros(len(couples_at))])
    outer = _outer_shares(places, lever, ends)
    return Flexible(_flexibility(shaft, places, lever, ends, outer), outer, len(forces_at), len(spare))


def influence(shaft: Shaft, forces_at: list[Number], couples_at: list[Number], give: list[Number]) -> Influence:
    """Return the influence of forces and couples on a shaft.

    forces_at, couples_at : places along the shaft, m; stations come in this order, forces first.
    give : radial give of each bearing, m/N, zero for a rigid one.
    """
    return flexible(shaft, forces_at, couples_at).on(give)


def lever_shares(shaft: Shaft, forces_at: list[Number]) -> np.ndarray:
    """Return the load on each of two bearings per unit force at places, (options..., 2, n): the lever law."""
    places = side_by_side(forces_at)
    return _outer_shares(places, np.ones(len(forces_at)), (shaft.bearings[0].at, shaft.bearings[-1].at))


def _outer_shares(places: np.ndarray, lever: np.ndarray, ends: tuple[Scalar, Scalar]) -> np.ndarray:
    """Return what the two outer bearings carry of each unit load, (options..., 2, n): the lever law."""
    first, last = (np.asarray(end, dtype=float)[..., None] for end in ends)
    far = np.where(lever, places - first, 1.0) / (last - first)
    return np.stack(np.broadcast_arrays(lever - far, far), axis=-2)


def _pieces(shaft: Shaft, places: np.ndarray) -> tuple[np.ndarray, np.ndarray, np.ndarray, np.ndarray]:
    """Cut the shaft at every station, bearing and step: start and end, 1/EI and 1/(kappa G A) of each piece."""
    steps = np.cumsum(side_by_side([shaft.starts_at, *(each.length for each in shaft.segments)]), axis=-1)
    bearings = side_by_side([bearing.at for bearing in shaft.bearings])
    cuts = np.concatenate(_alike(steps, bearings, places), axis=-1)
    cut = np.sort(np.clip(cuts, steps[..., :1], steps[..., -1:]), axis=-1)
    start, end = cut[..., :-1], cut[..., 1:]
    middle = (start + end) / 2
    segment = np.sum(middle[..., None] > steps[..., None, 1:-1], axis=-1)
    bend, shear = (_chosen(each, segment) for each in _segment_flexibility(shaft))
    return start, end, bend, shear


def _chosen(values: np.ndarray, places: np.ndarray) -> np.ndarray:
    """Return values (options..., count) at places (options..., wanted), each of its own option."""
    alike, at = _alike(values, places)
    return np.take_along_axis(alike, at, axis=-1)


def _alike(*arrays: np.ndarray) -> list[np.ndarray]:
    """Give arrays of different length along their last axis the same option axes."""
    options = np.broadcast_shapes(*(each.shape[:-1] for each in arrays))
    return [np.broadcast_to(each, (*options, each.shape[-1])) for each in arrays]


def _segment_flexibility(shaft: Shaft) -> tuple[np.ndarray, np.ndarray]:
    """Return 1/EI and 1/(kappa G A) of each segment, (options..., segments)."""
    young, shear = shaft.material.young, shaft.material.shear
    poisson = young / (2 * shear) - 1
    bends, shears = [], []
    for each in shaft.segments:
        area = np.pi / 4 * (each.diameter**2 - each.bore**2)
        second = np.pi / 64 * (each.diameter**4 - each.bore**4)
        bends.append(1 / (young * second))
        shears.append(1 / (shear_coefficient(each.bore / each.diameter, poisson) * shear * area))
    return side_by_side(bends), side_by_side(shears)


def shear_coefficient(hollow: Scalar, poisson: Scalar) -> Number:
    """Return Cowper's shear coefficient of a round bar (J. Appl. Mech. 33 (1966), 335).

    hollow : inside over outside diameter.   poisson : Poisson's ratio.   Dimensionless, (options...).
    """
    inner = (1 + hollow**2) ** 2
    return 6 * (1 + poisson) * inner / ((7 + 6 * poisson) * inner + (20 + 12 * poisson) * hollow**2)


def _flexibility(
    shaft: Shaft, places: np.ndarray, lever: np.ndarray, ends: tuple[Scalar, Scalar], outer: np.ndarray
) -> np.ndarray:
    """Return the flexibility of the shaft on its two outer bearings, held rigid, (options..., n, n)."""
    start, end, bend, shear = _pieces(shaft, places)
    middle = ((start + end) / 2)[..., None, :]
    loads = [(lever, places[..., None])]
    loads += [(-outer[..., side, :], np.asarray(ends[side], dtype=float)[..., None, None]) for side in (0, 1)]
    # What has been passed by each piece: forces, and the moment about z = 0 of forces and couples.
    passed = [(size[..., None] * (middle > at), at) for size, at in loads]
    force = sum(size for size, _ in passed)
    about = sum(size * at for size, at in passed) + (1 - lever)[..., None] * (middle > places[..., None])
    left, right = (force * z[..., None, :] - about for z in (start, end))
    length = end - start
    bending = length * bend / 6  # the exact integral of a product of two straight lines
    both = np.concatenate([left, right], axis=-1)
    crossed = np.concatenate([2 * left + right, left + 2 * right], axis=-1) * np.tile(bending, 2)[..., None, :]
    return both @ np.swapaxes(crossed, -1, -2) + force @ np.swapaxes(force * (length * shear)[..., None, :], -1, -2)


def _with_spare_bearings(
    flexibility: np.ndarray, outer: np.ndarray, give: np.ndarray, forces: int, spare: int
) -> Influence:
    """Add the give of the bearings, and let the bearings between the outer two carry their part."""
    outer_give = np.stack([give[..., 0], give[..., -1]], axis=-1)[..., None]
    sunk = np.swapaxes(outer, -1, -2) @ (outer * outer_give)
    if spare == 0:
        return Influence(flexibility, sunk, outer)
    own = np.r_[0:forces, forces + spare : flexibility.shape[-1]]
    seated = flexibility + sunk
    there = slice(forces, forces + spare)
    middle_give = give[..., 1:-1, None] * np.eye(spare)

    def carried(matrix: np.ndarray, added: Scalar) -> np.ndarray:
        return np.linalg.solve(matrix[..., there, there] + added, matrix[..., there, :])

    rigid = flexibility - flexibility[..., there] @ carried(flexibility, 0.0)
    middle = carried(seated, middle_give)
    sprung = seated - seated[..., there] @ middle
    sides = outer - outer[..., there] @ middle
    share = np.concatenate([sides[..., :1, :], middle, sides[..., 1:, :]], axis=-2)
    grid = np.ix_(own, own)
    return Influence(rigid[..., *grid], (sprung - rigid)[..., *grid], share[..., own])
