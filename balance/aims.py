"""The aims of a balance that need a search: least root mean square, and least peak; for a single design.

Both are convex: what is left is linear in the unknowns, the size of it is convex, and the plate's bound on
the size of each moment is a disc. So what is found is the least there is, not one of several.
"""

from dataclasses import replace

import numpy as np

from balance.balancing import Effects

SAMPLES = 720  # crank angles at which a peak is looked for: half a degree apart, 1 in 3000 off for order 6
CUTS = 60  # rounds of tangents before the search for a peak is called endless; ten are usual
CLOSE = 1e-7  # share of the peak within which the found one is the least


def refined(values: np.ndarray, count: int = SAMPLES) -> np.ndarray:
    """Return a smooth load over the cycle at more angles: (..., angles) to (..., count), by its own Fourier series."""
    have = values.shape[-1]
    if have >= count:
        return values
    return np.fft.irfft(np.fft.rfft(values, axis=-1)[..., : (have + 1) // 2], count, axis=-1) * (count / have)


def cancel_first(effects: Effects) -> np.ndarray:
    """Return the unknowns that leave no first order, and of the higher orders as little as the trims can.

    The planes' moments cancel the first order of whatever trims there are; the plate's bound is not kept
    (what it cannot hold is shown as short), that of the trims is.
    """
    planes = 2 * len(effects.caps)
    rows = _order_rows(effects)
    first, higher = rows[:, :2], rows[:, 2:]
    trims = _bounded(_flat(higher[1 + planes :]), -_flat(higher[:1])[:, 0], effects.most)
    left = first[0] + np.tensordot(trims, first[1 + planes :], axes=(0, 0))
    moments = np.linalg.lstsq(_flat(first[1 : 1 + planes]), -left.ravel(), rcond=None)[0]
    return np.concatenate([moments, trims])


def least_rms(effects: Effects) -> np.ndarray:
    """Return the unknowns that leave the least root mean square, with the least trims among equals.

    A bounded linear least-squares problem on the complex orders; where a plate's bound, which is round,
    is met, it is finished as a convex programme.
    """
    rows, planes = _flat(_order_rows(effects)), 2 * len(effects.caps)
    matrix, wanted = rows[:, 1:], -rows[:, 0]
    upper = np.concatenate([np.repeat(effects.caps, 2), effects.most])
    lower = np.concatenate([-np.repeat(effects.caps, 2), np.zeros_like(effects.most)])
    found = _lsq(matrix, wanted, lower, upper)
    sizes = np.hypot(found[0:planes:2], found[1:planes:2])
    if np.all(sizes <= effects.caps * (1 + 1e-12)):
        return _with_least_trims(matrix, found, effects)
    return _in_discs(matrix, wanted, found, effects)


def least_peak(effects: Effects) -> np.ndarray:
    """Return the unknowns that leave the least peak over the cycle.

    The least upper bound of a size is found by a series of linear programmes (Kelley, The cutting-plane
    method for solving convex programs, J. SIAM 8 (1960) 703): each adds the tangents at the angles where
    the last answer breaks the bound, until bound and answer meet.
    """
    fine = replace(effects, base=refined(effects.base), each=refined(effects.each))
    scale = fine.peak(np.zeros(len(fine.each)))
    if scale == 0.0:
        return np.zeros(len(fine.each))
    return _Tangents(fine, float(scale)).solve()


def _order_rows(effects: Effects) -> np.ndarray:
    """Return base and unknowns by order, scaled so that squares add up to the mean square.

    (1 + unknowns, 2 * orders, parts): real and imaginary part of orders 1, 1, 2, 2, ...
    """
    both = np.concatenate([effects.base[None], effects.each])
    count = both.shape[-1]
    spectrum = np.fft.rfft(both, axis=-1)[..., 1 : (count + 1) // 2] * (np.sqrt(2) / count)
    rows = np.stack([spectrum.real, spectrum.imag], axis=-1).reshape(*both.shape[:2], -1)
    return np.swapaxes(rows, 1, 2)


def _flat(rows: np.ndarray) -> np.ndarray:
    """Return (unknowns, orders, parts) as a matrix with a column for each unknown."""
    return rows.reshape(len(rows), -1).T


def _bounded(matrix: np.ndarray, wanted: np.ndarray, most: np.ndarray) -> np.ndarray:
    if len(most) == 0:
        return np.zeros(0)
    found = _lsq(matrix, wanted, np.zeros_like(most), most)
    return _lighter(matrix, found, np.zeros_like(most), most, np.ones_like(most))


def _lsq(matrix: np.ndarray, wanted: np.ndarray, lower: np.ndarray, upper: np.ndarray) -> np.ndarray:
    """Return the bounded least-squares solution, solved in units of the bounds so that all unknowns weigh alike."""
    from scipy.optimize import lsq_linear  # a quarter of a second to import, and only some aims need it

    scale = np.where(upper > 0, upper, 1.0)
    size = np.linalg.norm(matrix * scale, axis=0).max(initial=0.0)
    if size == 0.0:
        return np.zeros(matrix.shape[1])
    low, high = lower / scale, np.where(upper > lower, upper / scale, lower / scale + 1e-15)
    found = lsq_linear(matrix * scale / size, wanted / size, (low, high), method="bvls", tol=1e-15)
    return found.x * scale


def _with_least_trims(matrix: np.ndarray, found: np.ndarray, effects: Effects) -> np.ndarray:
    planes = 2 * len(effects.caps)
    weigh = np.concatenate([np.zeros(planes), np.ones(len(effects.most))])
    upper = np.concatenate([np.repeat(effects.caps, 2), effects.most])
    lower = np.concatenate([-np.repeat(effects.caps, 2), np.zeros_like(effects.most)])
    lighter = _lighter(matrix, found, lower, upper, weigh)
    sizes = np.hypot(lighter[0:planes:2], lighter[1:planes:2])
    return lighter if np.all(sizes <= effects.caps * (1 + 1e-12)) else found


def _lighter(
    matrix: np.ndarray, found: np.ndarray, lower: np.ndarray, upper: np.ndarray, weigh: np.ndarray
) -> np.ndarray:
    """Return the solution of the least weighed sum among those that leave the same as `found`.

    Two yokes that need each other's mass to cancel can both be made heavier without any other effect;
    nobody wants that.
    """
    if not np.any(weigh):
        return found
    from scipy.optimize import linprog

    scale = np.where(upper > 0, upper, 1.0)
    _, sizes, turned = np.linalg.svd(matrix * scale)
    rank = int(np.sum(sizes > sizes.max(initial=0.0) * 1e-10))
    free = turned[rank:].T * scale[:, None]
    if free.shape[1] == 0:
        return found
    room = [np.concatenate([upper - found, found - lower]) / np.concatenate([scale, scale])]
    steps = np.concatenate([free, -free]) / np.concatenate([scale, scale])[:, None]
    answer = linprog(weigh @ free, A_ub=steps, b_ub=np.maximum(room[0], 0.0), bounds=(None, None))
    return found + free @ answer.x if answer.status == 0 else found


def _in_discs(matrix: np.ndarray, wanted: np.ndarray, start: np.ndarray, effects: Effects) -> np.ndarray:
    """Return the least-squares solution with each moment's size within its plate's bound."""
    from scipy.optimize import Bounds, minimize

    planes = 2 * len(effects.caps)
    scale = np.concatenate([np.repeat(effects.caps, 2), np.where(effects.most > 0, effects.most, 1.0)])
    scaled, size = matrix * scale, np.linalg.norm(wanted)
    scaled, aim = scaled / size, wanted / size
    hessian, pull = scaled.T @ scaled, scaled.T @ aim
    discs = {
        "type": "ineq",
        "fun": lambda u: 1.0 - u[0:planes:2] ** 2 - u[1:planes:2] ** 2,
        "jac": lambda u: _disc_slopes(u, planes),
    }
    upper = np.concatenate([np.ones(planes), np.where(effects.most > 0, 1.0, 0.0)])
    lower = np.concatenate([-np.ones(planes), np.zeros(len(effects.most))])
    first = start / scale
    first[:planes] /= np.repeat(np.maximum(1.0, np.hypot(first[0:planes:2], first[1:planes:2])), 2)
    found = minimize(
        lambda u: 0.5 * u @ hessian @ u - pull @ u, first, jac=lambda u: hessian @ u - pull, method="SLSQP",
        bounds=Bounds(lower, upper), constraints=[discs], options={"ftol": 1e-14, "maxiter": 500},
    ).x  # fmt: skip
    found[:planes] /= np.repeat(np.maximum(1.0, np.hypot(found[0:planes:2], found[1:planes:2])), 2)
    return np.clip(found, lower, upper) * scale


def _disc_slopes(unknowns: np.ndarray, planes: int) -> np.ndarray:
    slopes = np.zeros((planes // 2, len(unknowns)))
    for place in range(planes // 2):
        slopes[place, 2 * place : 2 * place + 2] = -2 * unknowns[2 * place : 2 * place + 2]
    return slopes


class _Tangents:
    """The linear programmes that close in on the least peak; unknowns in units of their bounds."""

    def __init__(self, effects: Effects, size: float):
        self.planes = 2 * len(effects.caps)
        self.scale = np.concatenate([np.repeat(effects.caps, 2), np.where(effects.most > 0, effects.most, 1.0)])
        self.caps = np.where(effects.caps > 0, 1.0, 0.0)
        self.most = np.where(effects.most > 0, 1.0, 0.0)
        self.each = effects.each * self.scale[:, None, None] / size
        self.base = effects.base / size
        self.rows: list[np.ndarray] = []
        self.sides: list[np.ndarray] = []

    def solve(self) -> np.ndarray:
        unknowns = np.zeros(len(self.scale))
        best, least = unknowns, np.inf
        self._touch(unknowns, -1.0)
        for sign in (1.0, -1.0):
            for part in range(self.base.shape[0]):
                self._touch_part(part, sign)
        for _ in range(CUTS):
            unknowns, bound = self._programme()
            legal = self._within(unknowns)
            peak = self._sizes(legal).max()
            if peak < least:
                best, least = legal, peak
            if least - bound <= CLOSE:
                break
            self._touch(unknowns, bound)
            self._touch_discs(unknowns)
        return best * self.scale

    def _sizes(self, unknowns: np.ndarray) -> np.ndarray:
        return np.sqrt(np.sum((self.base + np.tensordot(unknowns, self.each, axes=(-1, 0))) ** 2, axis=-2))

    def _within(self, unknowns: np.ndarray) -> np.ndarray:
        """Return the unknowns with moments drawn back into their discs."""
        found = unknowns.copy()
        sizes = np.hypot(found[0 : self.planes : 2], found[1 : self.planes : 2])
        found[: self.planes] /= np.repeat(np.maximum(1.0, sizes), 2)
        return found

    def _touch(self, unknowns: np.ndarray, bound: float) -> None:
        """Add the tangents of the size at every angle where it exceeds the bound."""
        left = self.base + np.tensordot(unknowns, self.each, axes=(-1, 0))
        sizes = np.sqrt(np.sum(left**2, axis=0))
        there = (sizes > bound + CLOSE / 4) & (sizes > 0)
        toward = left[:, there] / sizes[there]
        slopes = np.einsum("pa,upa->au", toward, self.each[:, :, there])
        self.rows.append(np.column_stack([slopes, -np.ones(len(slopes))]))
        self.sides.append(-np.sum(toward * self.base[:, there], axis=0))

    def _touch_part(self, part: int, sign: float) -> None:
        slopes = sign * self.each[:, part].T
        self.rows.append(np.column_stack([slopes, -np.ones(len(slopes))]))
        self.sides.append(-sign * self.base[part])

    def _touch_discs(self, unknowns: np.ndarray) -> None:
        for place in range(0, self.planes, 2):
            size = np.hypot(*unknowns[place : place + 2])
            if size > 1.0:
                row = np.zeros((1, len(unknowns) + 1))
                row[0, place : place + 2] = unknowns[place : place + 2] / size
                self.rows.append(row)
                self.sides.append(np.ones(1))

    def _programme(self) -> tuple[np.ndarray, float]:
        """Return the unknowns of least bound under the tangents so far, and that bound."""
        from scipy.optimize import linprog

        tiny = 1e-9  # of two answers as good, the one with the lesser trims
        cost = np.concatenate([np.zeros(self.planes), np.full(len(self.most), tiny), [1.0]])
        caps = np.repeat(self.caps, 2)
        limits = [(-cap, cap) for cap in caps] + [(0.0, most) for most in self.most] + [(0.0, None)]
        answer = linprog(cost, A_ub=np.concatenate(self.rows), b_ub=np.concatenate(self.sides), bounds=limits)
        if answer.status != 0:
            raise ArithmeticError(f"the search for the least peak did not end: {answer.message}")
        return answer.x[:-1], float(answer.x[-1])
