"""The aims of a balance that need a search: least root mean square, and least peak; for a single design.

Both are convex: what is left is linear in the unknowns, the size of it is convex, and the plate's bound on
the size of each moment is a disc. So what is found is the least there is, not one of several.
"""

from dataclasses import replace

import numpy as np

from balance.weights.balancing import Effects
from balance.weights.mass_budget import MassBudget
from balance.weights.tangents import Tangents

HALVINGS = 60  # of a bound, so that nothing is left of it but rounding
SAMPLES = 720  # crank angles at which a peak is looked for: half a degree apart, 1 in 3000 off for order 6


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
    residual = first[0] + np.tensordot(trims, first[1 + planes :], axes=(0, 0))
    moments = np.linalg.lstsq(_flat(first[1 : 1 + planes]), -residual.ravel(), rcond=None)[0]
    return np.concatenate([moments, trims])


def least_rms(effects: Effects, budget: MassBudget | None = None) -> np.ndarray:
    """Return the unknowns that leave the least root mean square, with the least trims among equals.

    A bounded linear least-squares problem on the complex orders; where a plate's bound, which is round,
    is met, or the added mass is bounded, it is finished as a convex programme. One moment alone is found directly.
    """
    rows, planes = _flat(_order_rows(effects)), 2 * len(effects.caps)
    matrix, wanted = rows[:, 1:], -rows[:, 0]
    if matrix.shape[1] == 2:
        return _in_one_disc(matrix, wanted, _most(effects, budget))
    upper = np.concatenate([np.repeat(effects.caps, 2), effects.most])
    lower = np.concatenate([-np.repeat(effects.caps, 2), np.zeros_like(effects.most)])
    unknowns = _lsq(matrix, wanted, lower, upper)
    sizes = np.hypot(unknowns[0:planes:2], unknowns[1:planes:2])
    if np.all(sizes <= effects.caps * (1 + 1e-12)) and (budget is None or budget.mass(unknowns) <= budget.most):
        return _with_least_trims(matrix, unknowns, effects)
    return _in_discs(matrix, wanted, unknowns, (effects, budget))


def _most(effects: Effects, budget: MassBudget | None) -> float:
    """Return the largest moment that the only plane can hold, and the added mass allows."""
    allowed = np.inf if budget is None else budget.most / float(budget.mass(np.array([1.0, 0.0])))
    return float(min(effects.caps[0], allowed))


def _in_one_disc(matrix: np.ndarray, wanted: np.ndarray, most: float) -> np.ndarray:
    """Return the least-squares solution for one moment, no larger than so much.

    Where it would be larger, some multiple of the moment is added to what pulls it back: the more, the less it is.
    Halving finds how much (a trust region: Nocedal and Wright, Numerical Optimization, ch. 4.3, from memory).
    """
    stiff, ways = np.linalg.eigh(matrix.T @ matrix)
    pull = ways.T @ (matrix.T @ wanted)
    if np.linalg.norm(pull) == 0.0 or most <= 0.0:
        return np.zeros(2)
    loose = stiff > 1e-14 * stiff[-1]  # what does nothing is left at zero
    low, high = 0.0, float(np.linalg.norm(pull)) / most
    moment = np.where(loose, pull / np.where(loose, stiff, 1.0), 0.0)
    if np.linalg.norm(moment) <= most:
        return ways @ moment
    for _ in range(HALVINGS):
        middle = (low + high) / 2
        moment = np.where(loose, pull / (stiff + middle), 0.0)
        low, high = (middle, high) if np.linalg.norm(moment) > most else (low, middle)
    return ways @ moment * (most / np.linalg.norm(moment))


def least_peak(effects: Effects, budget: MassBudget | None = None) -> np.ndarray:
    """Return the unknowns that leave the least peak over the cycle.

    It is looked for at half-degree steps, see balance.weights.tangents.
    """
    fine = replace(effects, base=refined(effects.base), by_unknown=refined(effects.by_unknown))
    if fine.peak(np.zeros(len(fine.by_unknown))) == 0.0:
        return np.zeros(len(fine.by_unknown))
    return Tangents(fine, _scale(fine), budget).solve()


def _order_rows(effects: Effects) -> np.ndarray:
    """Return base and unknowns by order, scaled so that squares add up to the mean square.

    (1 + unknowns, 2 * orders, parts): real and imaginary part of orders 1, 1, 2, 2, ...
    """
    both = np.concatenate([effects.base[None], effects.by_unknown])
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
    trims = _lsq(matrix, wanted, np.zeros_like(most), most)
    return _lighter(matrix, trims, np.zeros_like(most), most, np.ones_like(most))


def _lsq(matrix: np.ndarray, wanted: np.ndarray, lower: np.ndarray, upper: np.ndarray) -> np.ndarray:
    """Return the bounded least-squares solution, solved in units of the bounds so that all unknowns weigh alike."""
    from scipy.optimize import lsq_linear  # a quarter of a second to import, and only some aims need it

    scale = np.where(upper > 0, upper, 1.0)
    size = np.linalg.norm(matrix * scale, axis=0).max(initial=0.0)
    if size == 0.0:
        return np.zeros(matrix.shape[1])
    low, high = lower / scale, np.where(upper > lower, upper / scale, lower / scale + 1e-15)
    solution = lsq_linear(matrix * scale / size, wanted / size, (low, high), method="bvls", tol=1e-15)
    return solution.x * scale


def _with_least_trims(matrix: np.ndarray, unknowns: np.ndarray, effects: Effects) -> np.ndarray:
    planes = 2 * len(effects.caps)
    weigh = np.concatenate([np.zeros(planes), np.ones(len(effects.most))])
    upper = np.concatenate([np.repeat(effects.caps, 2), effects.most])
    lower = np.concatenate([-np.repeat(effects.caps, 2), np.zeros_like(effects.most)])
    lighter = _lighter(matrix, unknowns, lower, upper, weigh)
    sizes = np.hypot(lighter[0:planes:2], lighter[1:planes:2])
    return lighter if np.all(sizes <= effects.caps * (1 + 1e-12)) else unknowns


def _lighter(
    matrix: np.ndarray, unknowns: np.ndarray, lower: np.ndarray, upper: np.ndarray, weigh: np.ndarray
) -> np.ndarray:
    """Return the solution of the least weighed sum among those that leave the same as `unknowns`.

    Two yokes that need each other's mass to cancel can both be made heavier without any other effect;
    nobody wants that.
    """
    if not np.any(weigh):
        return unknowns
    from scipy.optimize import linprog

    scale = np.where(upper > 0, upper, 1.0)
    _, sizes, turned = np.linalg.svd(matrix * scale)
    rank = int(np.sum(sizes > sizes.max(initial=0.0) * 1e-10))
    free = turned[rank:].T * scale[:, None]
    if free.shape[1] == 0:
        return unknowns
    margins = np.concatenate([upper - unknowns, unknowns - lower]) / np.concatenate([scale, scale])
    steps = np.concatenate([free, -free]) / np.concatenate([scale, scale])[:, None]
    answer = linprog(weigh @ free, A_ub=steps, b_ub=np.maximum(margins, 0.0), bounds=(None, None))
    return unknowns + free @ answer.x if answer.status == 0 else unknowns


def _in_discs(
    matrix: np.ndarray, wanted: np.ndarray, start: np.ndarray, bounds: tuple[Effects, MassBudget | None]
) -> np.ndarray:
    """Return the least-squares solution with each moment's size within its plate's bound, and within the budget."""
    from scipy.optimize import Bounds, minimize

    effects, budget = bounds
    scale, size = _scale(effects), np.linalg.norm(wanted)
    scaled, aim = matrix * scale / size, wanted / size
    hessian, pull = scaled.T @ scaled, scaled.T @ aim
    upper = np.where(np.concatenate([np.repeat(effects.caps, 2), effects.most]) > 0, 1.0, 0.0)
    lower = np.where(np.arange(len(upper)) < 2 * len(effects.caps), -upper, 0.0)
    solution = minimize(
        lambda u: 0.5 * u @ hessian @ u - pull @ u,
        _legal(start / scale, effects, budget),
        jac=lambda u: hessian @ u - pull,
        method="SLSQP",
        bounds=Bounds(lower, upper),
        constraints=_constraints(2 * len(effects.caps), scale, budget),
        options={"ftol": 1e-14, "maxiter": 500},
    ).x
    return _legal(np.clip(solution, lower, upper), effects, budget) * scale


def _scale(effects: Effects) -> np.ndarray:
    """Return the unit of each unknown: its bound, so that all weigh alike in a search."""
    return np.concatenate([np.repeat(effects.caps, 2), np.where(effects.most > 0, effects.most, 1.0)])


def _legal(scaled: np.ndarray, effects: Effects, budget: MassBudget | None) -> np.ndarray:
    """Return unknowns in units of their bounds, moments drawn back into their discs and all into the budget."""
    unknowns, planes = scaled.copy(), 2 * len(effects.caps)
    unknowns[:planes] /= np.repeat(np.maximum(1.0, np.hypot(unknowns[0:planes:2], unknowns[1:planes:2])), 2)
    scale = _scale(effects)
    return unknowns if budget is None else budget.kept(unknowns * scale) / scale


def _constraints(planes: int, scale: np.ndarray, budget: MassBudget | None) -> list[dict]:
    discs = {
        "type": "ineq",
        "fun": lambda u: 1.0 - u[0:planes:2] ** 2 - u[1:planes:2] ** 2,
        "jac": lambda u: _disc_slopes(u, planes),
    }
    if budget is None:
        return [discs]
    mass = {
        "type": "ineq",
        "fun": lambda u: 1.0 - budget.mass(u * scale) / budget.most,
        "jac": lambda u: -budget.slope(u * scale) * scale / budget.most,
    }
    return [discs, mass]


def _disc_slopes(unknowns: np.ndarray, planes: int) -> np.ndarray:
    slopes = np.zeros((planes // 2, len(unknowns)))
    for plane in range(planes // 2):
        slopes[plane, 2 * plane : 2 * plane + 2] = -2 * unknowns[2 * plane : 2 * plane + 2]
    return slopes
