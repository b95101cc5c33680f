"""The least peak over the cycle, closed in on from below by linear programmes.

Kelley, The cutting-plane method for solving convex programs, J. SIAM 8 (1960) 703: the size of what is
left is convex, so it lies above each of its tangents, and the least upper bound under the tangents known
so far is a linear programme. Each round adds the tangents where its answer breaks the bound, until bound
and answer meet.
"""

import numpy as np

from balance.weights.balancing import Effects
from balance.weights.mass_budget import MassBudget

ROUNDS = 80  # ten are usual; the best legal answer so far is kept in any case
CLOSE = 1e-6  # share of the peak within which the found one is the least
TIE = 1e-9  # per unit of trim: of two answers as good, the one with the lesser trims


class Tangents:
    """The linear programmes for one problem; unknowns in units of their bounds, the aim in units of its start."""

    def __init__(self, effects: Effects, scale: np.ndarray, budget: MassBudget | None):
        self.size = float(effects.peak(np.zeros(len(scale))))
        self.scale, self.budget = scale, budget
        self.planes = 2 * len(effects.caps)
        self.upper = np.where(np.concatenate([np.repeat(effects.caps, 2), effects.most]) > 0, 1.0, 0.0)
        self.by_unknown = effects.by_unknown * scale[:, None, None] / self.size
        self.base = effects.base / self.size
        self.rows: list[np.ndarray] = []
        self.sides: list[np.ndarray] = []
        for part in range(self.base.shape[0]):
            for sign in (1.0, -1.0):
                self._add(sign * self.by_unknown[:, part].T, -sign * self.base[part])

    def solve(self) -> np.ndarray:
        """Return the unknowns of least peak, in their own units."""
        best, least = np.zeros(len(self.scale)), np.inf
        for _ in range(ROUNDS):
            unknowns, bound = self._programme()
            legal = self._legal(unknowns)
            peak = float(np.sqrt(np.sum(self._left(legal) ** 2, axis=0)).max())
            if peak < least:
                best, least = legal, peak
            if least - bound <= CLOSE:
                break
            self._touch(unknowns, bound)
            self._touch_limits(unknowns)
        return best * self.scale

    def _left(self, unknowns: np.ndarray) -> np.ndarray:
        return self.base + np.tensordot(unknowns, self.by_unknown, axes=(-1, 0))

    def _legal(self, unknowns: np.ndarray) -> np.ndarray:
        """Return the unknowns with moments drawn back into their discs, and all into the budget."""
        legal = unknowns.copy()
        sizes = np.hypot(legal[0 : self.planes : 2], legal[1 : self.planes : 2])
        legal[: self.planes] /= np.repeat(np.maximum(1.0, sizes), 2)
        return legal if self.budget is None else self.budget.kept(legal * self.scale) / self.scale

    def _touch(self, unknowns: np.ndarray, bound: float) -> None:
        """Add the tangents of the size at every angle where it exceeds the bound."""
        left = self._left(unknowns)
        sizes = np.sqrt(np.sum(left**2, axis=0))
        there = (sizes > bound + CLOSE / 4) & (sizes > 0)
        toward = left[:, there] / sizes[there]
        self._add(
            np.einsum("pa,upa->au", toward, self.by_unknown[:, :, there]), -np.sum(toward * self.base[:, there], axis=0)
        )

    def _touch_limits(self, unknowns: np.ndarray) -> None:
        """Add the tangents of the discs and of the budget where they are broken."""
        for first in range(0, self.planes, 2):
            size = np.hypot(*unknowns[first : first + 2])
            if size > 1.0:
                row = np.zeros(len(unknowns))
                row[first : first + 2] = unknowns[first : first + 2] / size
                self._add(row[None], np.ones(1), bounding=False)
        if self.budget is not None and self.budget.mass(unknowns * self.scale) > self.budget.most:
            row = self.budget.slope(unknowns * self.scale) * self.scale / self.budget.most
            self._add(row[None], np.ones(1), bounding=False)

    def _add(self, slopes: np.ndarray, sides: np.ndarray, bounding: bool = True) -> None:
        self.rows.append(np.column_stack([slopes, np.full(len(slopes), -1.0 if bounding else 0.0)]))
        self.sides.append(sides)

    def _programme(self) -> tuple[np.ndarray, float]:
        """Return the unknowns of least bound under the tangents so far, and that bound."""
        from scipy.optimize import linprog  # a quarter of a second to import, and only some aims need it

        trims = len(self.scale) - self.planes
        cost = np.concatenate([np.zeros(self.planes), np.full(trims, TIE), [1.0]])
        limits = [(-most if index < self.planes else 0.0, most) for index, most in enumerate(self.upper)]
        answer = linprog(
            cost, A_ub=np.concatenate(self.rows), b_ub=np.concatenate(self.sides), bounds=[*limits, (0.0, None)]
        )
        if answer.status != 0:
            raise ArithmeticError(f"the search for the least peak did not end: {answer.message}")
        return answer.x[:-1], float(answer.x[-1])
