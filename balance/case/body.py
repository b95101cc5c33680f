"""The case as a rigid body on its feet: what it weighs, what holds it, and how it swings.

Small motion about the place of rest. Its freedoms are the shifts of its mass centre along x, y and z
and, where moments of inertia and places of feet are given, the turns about them; else it is taken to
shift without turning. The principal axes of inertia are taken along x, y and z, and what moves inside
is counted as part of the mass: its shifting about changes the moments of inertia a little, which is
left out. Each foot is a spring with a dashpot beside it, and with a loss of its own, whose damping is to its stiffness
as that of the whole. The weight softens rocking: as the case leans, the pushes of its feet, which stay upright, lean
it further. So the modes are those of springs and weight; what damping couples of them is left out (second order).
"""

from functools import cached_property

import numpy as np

from balance.machine.machine import Gravity
from balance.machine.mount import Feet, Mount, Place
from balance.quantities import Number, result

AXES = ("x", "y", "z")
FREEDOMS = ("across", "along the cylinder", "along the shafts", "pitch", "yaw", "roll")


@result
class Case:
    """The case's modes: the freedoms of a coupled body need matrices, so these axes follow the options.

    mount : what the design says.
    frequency : undamped natural frequency of each mode, rad/s, rising, (options..., modes); zero if nothing holds it.
    shapes : shift and turn of the case in each mode, scaled to unit modal mass, (options..., freedoms, modes).
    held : what the feet's springs alone hold of each mode, (rad/s)^2, (options..., modes): more than frequency squared
    by what the weight takes.
    damping_time : damping over stiffness of the feet, s, (options...).   loss : their loss factor, (options...).
    gravity : what presses it on its feet; None where it counts as weightless.
    """

    mount: Mount
    frequency: np.ndarray
    shapes: np.ndarray
    held: np.ndarray
    damping_time: Number
    loss: Number
    gravity: Gravity | None = None

    @property
    def damping(self) -> np.ndarray:
        """Share of critical damping of each mode where it resonates, (options..., modes)."""
        frequency = np.where(self.frequency > 0, self.frequency, np.inf)
        damping_time, loss = (np.asarray(each)[..., None] for each in (self.damping_time, self.loss))
        return (damping_time + loss / frequency) * self.held / frequency / 2

    @cached_property
    def standing(self) -> np.ndarray:
        """How many times its own weight it could bear before it falls over on its feet, (options...).

        Infinite where weight does not tip it, zero where a foot is pulled up by the weight alone; else the least root
        of (K/ratio + n G) q = 0.
        """
        mount, gravity = self.mount, self.gravity
        springs = _per_mass(mount, _stiffness(mount))
        if gravity is None or not mount.turns or mount.feet is None:
            return np.full(springs.shape[:-2], np.inf)
        values, shapes = np.linalg.eigh(springs / np.asarray(mount.feet.stiffening)[..., None, None])
        root = shapes / np.sqrt(np.maximum(values, 1e-15 * values[..., -1:]))[..., None, :]
        tipping = _per_mass(mount, _tipping(mount, gravity))
        most = np.linalg.eigvalsh(-np.swapaxes(root, -1, -2) @ tipping @ root)[..., -1]
        capacity = np.where(most > 1e-12, 1 / np.where(most > 1e-12, most, 1.0), np.inf)
        pressed = [load > 0 for load in standing_loads(mount, (mount.mass * gravity.x, mount.mass * gravity.y))]
        return np.where(np.all(np.broadcast_arrays(*pressed), axis=0), capacity, 0.0)

    def shifts(self, point: Place) -> dict[str, np.ndarray]:
        """Return how far a place of the case goes along each axis in each mode, (options..., modes)."""
        return {
            axis: moved[..., number, :]
            for moved in [_follow(self.mount, point) @ self.shapes]
            for number, axis in enumerate(AXES)
        }

    def shares(self) -> dict[str, np.ndarray]:
        """Return which share of each mode's energy lies in each freedom, (options..., modes)."""
        parts = _masses(self.mount)[..., :, None] * self.shapes**2
        return {name: parts[..., index, :] for index, name in enumerate(FREEDOMS[: parts.shape[-2]])}


def case(mount: Mount, gravity: Gravity | None = None) -> Case:
    """Return the modes of the case from (K + G - w^2 M) q = 0, K summed over the feet and G what their pushes tip.

    gravity : what presses it on its feet; weightless if left out.
    """
    springs = _per_mass(mount, _stiffness(mount))
    tipping = np.zeros_like(springs) if gravity is None else _per_mass(mount, _tipping(mount, gravity))
    squares, shapes = np.linalg.eigh(springs + tipping)
    # What nothing holds comes out as a rounding error of the stiffest mode; what falls over is held by nothing.
    squares = np.where(squares > 1e-12 * squares[..., -1:], squares, 0.0)
    held = np.einsum("...fm,...fg,...gm->...m", shapes, springs, shapes) if gravity is not None else squares
    feet = mount.feet
    return Case(
        mount,
        np.sqrt(squares),
        shapes / np.sqrt(_masses(mount))[..., :, None],
        held,
        _damping_time(mount),
        0.0 if feet is None else feet.loss,
        gravity,
    )


def _per_mass(mount: Mount, matrix: np.ndarray) -> np.ndarray:
    """Return a matrix of the freedoms, (options..., freedoms, freedoms), by the roots of their masses on both sides."""
    root = np.sqrt(_masses(mount))
    return matrix / (root[..., :, None] * root[..., None, :])


def _tipping(mount: Mount, gravity: Gravity) -> np.ndarray:
    """Return what the feet's pushes, which keep their direction, add to the stiffness as the case turns.

    A push F at r from the mass centre moves to r + t x r: its moment grows by (t x r) x F = r (F.t) - t (F.r), so the
    stiffness by (F.r) 1 - r F', of which sums over feet in balance are symmetric.
    """
    freedoms = _masses(mount).shape[-1]
    if not mount.turns or mount.feet is None:
        return np.zeros((freedoms, freedoms))
    pushes = _foot_pushes(mount, (mount.mass * gravity.x, mount.mass * gravity.y), 0.0)
    stiffnesses = [_tipped(mount, foot, push) for foot, push in zip(mount.feet.places, pushes, strict=True)]
    turns = np.sum(np.stack(np.broadcast_arrays(*stiffnesses)), axis=0)
    total = np.zeros((*turns.shape[:-2], freedoms, freedoms))
    total[..., 3:, 3:] = turns
    return total


def _tipped(mount: Mount, foot: Place, push: list[np.ndarray]) -> np.ndarray:
    """Return (F.r) 1 - (r F' + F r')/2 of one foot, N m, (options..., 3, 3)."""
    arm = [np.asarray(there, dtype=float) - here for there, here in zip(foot, mount.cg, strict=True)]
    r, f = (np.stack(np.broadcast_arrays(*vector), axis=-1) for vector in (arm, push))
    along = np.sum(r * f, axis=-1)[..., None, None]
    outer = r[..., :, None] * f[..., None, :]
    return along * np.eye(3) - (outer + np.swapaxes(outer, -1, -2)) / 2


def sag(mount: Mount, gravity: Gravity) -> list[np.ndarray]:
    """Return by how much each foot is pressed together by the weight alone, m, (options...)."""
    if mount.feet is None:
        return []
    soft = np.asarray(mount.feet.stiffening)
    stiffness = foot_stiffness(mount.feet)[1] if mount.turns else mount.feet.stiffnesses[1]
    weight = mount.mass * gravity.x, mount.mass * gravity.y
    return [load * soft / stiffness for load in standing_loads(mount, weight)]


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
    return [push[1] for push in _foot_pushes(mount, weight, couple)]


def _foot_pushes(mount: Mount, weight: tuple[Number, Number], couple: Number) -> list[list[np.ndarray]]:
    """Return what each foot pushes the case with along x, y and z, N, as it stands."""
    assert mount.feet is not None
    zero = np.zeros(np.shape(weight[1]))
    load = np.stack(np.broadcast_arrays(weight[0], weight[1], zero, zero, zero, np.asarray(couple)), axis=-1)
    stiffness = _stiffness(mount)
    load = np.broadcast_to(load, np.broadcast_shapes(load.shape, stiffness.shape[:-1]))
    shift = np.linalg.solve(stiffness, load[..., None])[..., 0]
    stiffnesses, forces = foot_stiffness(mount.feet), []
    for foot in mount.feet.places:
        moved = (_follow(mount, foot) @ shift[..., None])[..., 0]
        forces.append([-stiff * moved[..., axis] for axis, stiff in enumerate(stiffnesses)])
    return forces


def _masses(mount: Mount) -> np.ndarray:
    inertias = (mount.inertias or ()) if mount.turns else ()
    return np.stack(
        np.broadcast_arrays(*(np.asarray(each, dtype=float) for each in (mount.mass,) * 3 + tuple(inertias))), axis=-1
    )


def _follow(mount: Mount, point: Place) -> np.ndarray:
    """Return the shift of a place along x, y and z per shift and turn of the case, (options..., 3, freedoms)."""
    x, y, z = np.broadcast_arrays(
        *(np.asarray(there, dtype=float) - here for there, here in zip(point, mount.cg, strict=True))
    )
    rows = np.zeros((*x.shape, 3, 6 if mount.turns else 3))
    rows[..., range(3), range(3)] = 1.0
    if mount.turns:
        rows[..., 0, 4], rows[..., 0, 5] = z, -y
        rows[..., 1, 3], rows[..., 1, 5] = -z, x
        rows[..., 2, 3], rows[..., 2, 4] = y, -x
    return rows


def _stiffness(mount: Mount) -> np.ndarray:
    freedoms = 6 if mount.turns else 3
    total = np.zeros((*_masses(mount).shape[:-1], freedoms, freedoms))
    for foot in foot_places(mount):
        assert mount.feet is not None
        stiffnesses = foot_stiffness(mount.feet) if mount.turns else mount.feet.stiffnesses
        rows = _follow(mount, foot)
        total = total + np.swapaxes(rows, -1, -2) @ (
            np.stack(np.broadcast_arrays(*stiffnesses), axis=-1)[..., None] * rows
        )
    return total


def _damping_time(mount: Mount) -> Number:
    """Straight motion along the cylinder has the given share of critical damping: c/k = 2 zeta sqrt(m/k)."""
    if mount.feet is None:
        return 0.0
    return 2 * np.asarray(mount.feet.viscous) * np.sqrt(mount.mass / np.asarray(mount.feet.stiffnesses[1]))
