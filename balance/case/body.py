"""The case as a rigid body on its feet: what it weighs, what holds it, and how it swings.

Small motion about the place of rest. Its freedoms are the shifts of its mass centre along x, y and z
and, where moments of inertia and places of feet are stated, the turns about them; else it is taken to
shift without turning. The principal axes of inertia are taken along x, y and z, and what moves inside
is counted as part of the mass: its shifting about changes the moments of inertia a little, which is
left out. Each foot is a spring with a dashpot beside it whose damping is to its stiffness as that of
the whole, so that the modes keep apart.
"""

from dataclasses import dataclass

import numpy as np

from balance.machine.mount import Feet, Mount, Place
from balance.quantities import Number

AXES = ("x", "y", "z")
FREEDOMS = ("across", "along the cylinder", "along the shafts", "pitch", "yaw", "roll")


@dataclass(frozen=True, eq=False)
class Case:
    """The case's modes: the freedoms of a coupled body need matrices, so these axes follow the options.

    mount : what the design says.
    frequency : undamped natural frequency of each mode, rad/s, rising, (options..., modes); zero if nothing holds it.
    shapes : shift and turn of the case in each mode, scaled to unit modal mass, (options..., freedoms, modes).
    lag : damping over stiffness of the feet, s, (options...).
    """

    mount: Mount
    frequency: np.ndarray
    shapes: np.ndarray
    lag: Number

    @property
    def damping(self) -> np.ndarray:
        """Share of critical damping of each mode, (options..., modes)."""
        return np.asarray(self.lag)[..., None] * self.frequency / 2

    def shifts(self, place: Place) -> dict[str, np.ndarray]:
        """Return how far a place of the case goes along each axis in each mode, (options..., modes)."""
        return {
            axis: np.sum(row[..., None] * self.shapes, axis=-2)
            for axis, row in zip(AXES, _follow(self.mount, place), strict=True)
        }

    def shares(self) -> dict[str, np.ndarray]:
        """Return which share of each mode's energy lies in each freedom, (options..., modes)."""
        parts = _masses(self.mount)[..., :, None] * self.shapes**2
        return {name: parts[..., place, :] for place, name in enumerate(FREEDOMS[: parts.shape[-2]])}


def case(mount: Mount) -> Case:
    """Return the modes of the case from (K - w^2 M) q = 0, with K summed over the feet."""
    root = np.sqrt(_masses(mount))
    stiffness = _stiffness(mount) / root[..., :, None] / root[..., None, :]
    squares, shapes = np.linalg.eigh(stiffness)
    # What nothing holds comes out as a rounding error of the stiffest mode.
    squares = np.where(squares > 1e-12 * squares[..., -1:], squares, 0.0)
    return Case(mount, np.sqrt(squares), shapes / root[..., :, None], _lag(mount))


def foot_stiffness(feet: Feet) -> tuple[Number, Number, Number]:
    """Return the stiffness of each single foot along x, y and z, N/m."""
    count = max(1, len(feet.places))
    across, along, along_shafts = feet.stiffnesses
    return across / count, along / count, along_shafts / count


def foot_places(mount: Mount) -> tuple[Place, ...]:
    """Return where the case is held: the feet as placed, else one below its mass centre; none if hung free."""
    if mount.feet is None:
        return ()
    return mount.feet.places if mount.turns else (mount.cg,)


def standing_loads(mount: Mount, weight: tuple[Number, Number], couple: Number = 0.0) -> list[np.ndarray]:
    """Return what each foot carries of the weight (x, y), N, pressed along -y, (options...).

    couple : a steady couple on the case about z, N m. The feet share as their stiffness says.
    """
    if mount.feet is None:
        return []
    if not mount.turns:
        return [-np.asarray(weight[1], dtype=float)]
    zero = np.zeros(np.shape(weight[1]))
    load = np.stack(np.broadcast_arrays(weight[0], weight[1], zero, zero, zero, np.asarray(couple)), axis=-1)
    shift = np.linalg.solve(_stiffness(mount), load[..., None])[..., 0]
    along = foot_stiffness(mount.feet)[1]
    return [-along * np.sum(_follow(mount, place)[1] * shift, axis=-1) for place in mount.feet.places]


def _masses(mount: Mount) -> np.ndarray:
    inertias = (mount.inertias or ()) if mount.turns else ()
    return np.stack(
        np.broadcast_arrays(*(np.asarray(each, dtype=float) for each in (mount.mass,) * 3 + tuple(inertias))), axis=-1
    )


def _follow(mount: Mount, place: Place) -> list[np.ndarray]:
    """Return the shift of a place along x, y and z per shift and turn of the case, each (options..., freedoms)."""
    x, y, z = np.broadcast_arrays(
        *(np.asarray(there, dtype=float) - here for there, here in zip(place, mount.cg, strict=True))
    )
    one, none = np.ones_like(x), np.zeros_like(x)
    rows = ((one, none, none, none, z, -y), (none, one, none, -z, none, x), (none, none, one, y, -x, none))
    return [np.stack(row[: 6 if mount.turns else 3], axis=-1) for row in rows]


def _stiffness(mount: Mount) -> np.ndarray:
    freedoms = 6 if mount.turns else 3
    total = np.zeros((*_masses(mount).shape[:-1], freedoms, freedoms))
    for place in foot_places(mount):
        assert mount.feet is not None
        each = foot_stiffness(mount.feet) if mount.turns else mount.feet.stiffnesses
        for row, stiffness in zip(_follow(mount, place), each, strict=True):
            total = total + np.asarray(stiffness)[..., None, None] * row[..., :, None] * row[..., None, :]
    return total


def _lag(mount: Mount) -> Number:
    """Straight motion along the cylinder has the stated share of critical damping: c/k = 2 zeta sqrt(m/k)."""
    if mount.feet is None:
        return 0.0
    return 2 * np.asarray(mount.feet.damping_ratio) * np.sqrt(mount.mass / np.asarray(mount.feet.stiffness))
