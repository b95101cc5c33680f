"""A stepped Timoshenko shaft by scikit-fem (general-purpose finite elements), which shares no formula with the project.

Deflection is cubic and rotation quadratic in each element, so a shaft loaded at its nodes is met exactly.
Bearings are springs, or held; a station beyond an end hangs on it by a rigid arm.
"""

from dataclasses import dataclass

import numpy as np
import skfem
from skfem.helpers import grad


@dataclass(frozen=True)
class Answer:
    """What unit loads at the stations do: (stations, stations), and (bearings, stations)."""

    response: np.ndarray
    bearings: np.ndarray


@dataclass(frozen=True)
class Steps:
    """Ends of the segments, m, and their E I, N m^2, and kappa G A, N."""

    ends: np.ndarray
    bending: np.ndarray
    shear: np.ndarray

    def of(self, values, x):
        return values[np.clip(np.searchsorted(self.ends, x) - 1, 0, len(values) - 1)]


def solve(steps, bearings, stiffness, forces_at, couples_at):
    """Return the response of forces and couples at stations, and the bearing loads.

    bearings : places, m.   stiffness : N/m, inf for a rigid bearing.
    """
    stations = np.array([*forces_at, *couples_at], dtype=float)
    inside = np.clip(stations, steps.ends[0], steps.ends[-1])
    mesh = skfem.MeshLine(np.unique(np.concatenate([steps.ends, bearings, inside])))
    element = skfem.ElementLinePp(3) * skfem.ElementLineP2()
    basis = skfem.Basis(mesh, element, intorder=6)

    @skfem.BilinearForm
    def energy(w, turn, v, spin, at):
        shear = (grad(w)[0] - turn) * (grad(v)[0] - spin)
        x = at.x[0]
        return steps.of(steps.bending, x) * grad(turn)[0] * grad(spin)[0] + steps.of(steps.shear, x) * shear

    matrix = energy.assemble(basis).toarray()
    lift, turn = _nodes(basis, mesh)
    arm = stations - inside
    kinds = np.arange(len(stations)) < len(forces_at)
    loads = np.zeros((matrix.shape[0], len(stations)))
    for column, (place, force) in enumerate(zip(inside, kinds, strict=True)):
        node = np.argmin(np.abs(mesh.p[0] - place))
        loads[lift[node], column] += force
        loads[turn[node], column] += arm[column] if force else 1.0
    held = [lift[np.argmin(np.abs(mesh.p[0] - place))] for place in bearings]
    found, reactions = _solved(matrix, loads, held, np.asarray(stiffness, dtype=float))
    return Answer(loads.T @ found, reactions)


def _nodes(basis, mesh):
    """Return the index of deflection and of rotation at every node of the mesh."""
    return basis.nodal_dofs[0], basis.nodal_dofs[1]


def _solved(matrix, loads, held, stiffness):
    springs = np.isfinite(stiffness)
    sprung = matrix.copy()
    for dof, spring in zip(held, np.where(springs, stiffness, 0.0), strict=True):
        sprung[dof, dof] += spring
    fixed = np.array([dof for dof, soft in zip(held, springs, strict=True) if not soft], dtype=int)
    free = np.setdiff1d(np.arange(len(matrix)), fixed)
    found = np.zeros_like(loads)
    found[free] = np.linalg.solve(sprung[np.ix_(free, free)], loads[free])
    pushed = loads - matrix @ found  # what the supports take at their nodes
    return found, np.array([pushed[dof] for dof in held])
