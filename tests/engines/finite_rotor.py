"""A whirling shaft by finite elements of scikit-fem: deflection and slope as two fields of quadratic elements.

Strain energy EI psi'^2 + kappa G A (u' - psi)^2, inertia rho A u and rho I psi, gyroscopic 2 rho I psi;
bearings as springs or as held nodes, discs at nodes or on rigid arms beyond the ends.
"""

from dataclasses import dataclass

import numpy as np
from scipy.linalg import eigh
from skfem import Basis, BilinearForm, ElementLineP2, ElementVector, MeshLine, asm

from shafts.shaft import Shaft
from shafts.whirl.bodies import Body

ELEMENTS = 40


@dataclass
class Matrices:
    """Stiffness, mass and gyroscopic matrix, and what each body's place takes of the unknowns."""

    stiffness: np.ndarray
    mass: np.ndarray
    spin: np.ndarray
    arms: list[np.ndarray]


def matrices(shaft: Shaft, bodies: list[Body], gives: list[float]) -> Matrices:
    """Return the free unknowns' matrices of a shaft with bodies on bearings of given give, m/N (zero: rigid)."""
    start, end = float(shaft.starts_at), float(shaft.ends_at)
    steps = start + np.cumsum([0.0] + [each.length for each in shaft.segments])
    spots = np.clip([*(each.at for each in bodies), *(each.at for each in shaft.bearings)], start, end)
    nodes = np.unique(np.round(np.concatenate([np.linspace(start, end, ELEMENTS), steps, spots]), 12))
    basis = Basis(MeshLine(nodes), ElementVector(ElementLineP2(), 2), intorder=4)
    stiffness, mass, spin = (asm(form, basis).toarray() for form in _forms(shaft, steps))

    def dofs(at: float) -> tuple[int, int]:
        node = int(np.argmin(np.abs(basis.doflocs[0, basis.nodal_dofs[0]] - np.clip(at, start, end))))
        return basis.nodal_dofs[0, node], basis.nodal_dofs[1, node]

    arms = []
    for body in bodies:
        u, psi = dofs(body.at)
        arm, tilt = np.zeros(len(mass)), np.zeros(len(mass))
        arm[u], arm[psi], tilt[psi] = 1.0, body.at - np.clip(body.at, start, end), 1.0
        arms.append(arm)
        mass += body.mass * np.outer(arm, arm)
        mass += body.diametral * np.outer(tilt, tilt)
        spin += body.polar * np.outer(tilt, tilt)
    free = np.ones(len(mass), dtype=bool)
    for bearing, give in zip(shaft.bearings, gives, strict=True):
        u = dofs(bearing.at)[0]
        if give:
            stiffness[u, u] += 1 / give
        free[u] = bool(give)
    keep = np.ix_(free, free)
    return Matrices(stiffness[keep], mass[keep], spin[keep], [arm[free] for arm in arms])


def _forms(shaft: Shaft, steps: np.ndarray):
    material = shaft.material
    poisson = material.young / (2 * material.shear) - 1

    def section(x: np.ndarray) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
        row = np.clip(np.searchsorted(steps, x) - 1, 0, len(shaft.segments) - 1)
        outer, inner = (np.array([getattr(s, key) for s in shaft.segments])[row] for key in ("diameter", "bore"))
        hollow = inner / outer
        bulk = (1 + hollow**2) ** 2
        kappa = 6 * (1 + poisson) * bulk / ((7 + 6 * poisson) * bulk + (20 + 12 * poisson) * hollow**2)
        return np.pi / 4 * (outer**2 - inner**2), np.pi / 64 * (outer**4 - inner**4), kappa

    @BilinearForm
    def stiffness(u, v, w):
        area, second, kappa = section(w.x[0])
        shear, test = u.grad[0, 0] - u[1], v.grad[0, 0] - v[1]
        return material.young * second * u.grad[1, 0] * v.grad[1, 0] + kappa * material.shear * area * shear * test

    @BilinearForm
    def mass(u, v, w):
        area, second, _ = section(w.x[0])
        return material.density * (area * u[0] * v[0] + second * u[1] * v[1])

    @BilinearForm
    def spin(u, v, w):
        return 2 * material.density * section(w.x[0])[1] * u[1] * v[1]

    return stiffness, mass, spin


def critical(found: Matrices, order: int, count: int = 3) -> np.ndarray:
    """Return the lowest speeds at which the shaft whirls `order` times a turn."""
    inverse = eigh(order**2 * found.mass - order * found.spin, found.stiffness, eigvals_only=True)[::-1][:count]
    return 1 / np.sqrt(inverse[inverse > 0])


def response(found: Matrices, speed: float, order: int, body: int) -> np.ndarray:
    """Return the deflection at every body to a unit force on one of them that swings `order` times a turn."""
    system = found.stiffness - (order * speed) ** 2 * found.mass + order * speed**2 * found.spin
    moved = np.linalg.solve(system, found.arms[body])
    return np.array([arm @ moved for arm in found.arms])
