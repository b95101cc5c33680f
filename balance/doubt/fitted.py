"""What each unknown brings to an answer: curves fitted to draws, and what they miss, which several do only together.

A sum of one curve for each unknown is fitted to the answer of every draw by least squares. The variance of a curve
over that of the answer is the first-order index of Sobol, V(E(answer | unknown)) / V(answer); what the fit explains is
their sum, and what it misses is what unknowns do together, and curves that turn too often. Math. Comput. Simul. 55
(2001), 271.
"""

from functools import cached_property

import numpy as np

from balance.doubt.ranges import NORMAL
from balance.quantities import result

DEGREE = 3  # of a curve at the most: a margin seldom turns more than twice within what is not known of one entry
DRAWS_A_TERM = 4  # draws there must be for each term of all curves


@result
class Fit:
    """Curves through the draws of one answer.

    answer : as it was fitted, (draws,).   curves : what each unknown adds to it, with a mean of zero, (unknowns,
    draws).   explains : part of the answer's variance that they account for (R^2, less what chance would).
    """

    answer: np.ndarray
    curves: np.ndarray
    explains: float

    @cached_property
    def alone(self) -> np.ndarray:
        """The part of the answer's variance that is gone on average once one unknown is known, (unknowns,)."""
        total = float(np.var(self.answer))
        return np.var(self.curves, axis=1) / total if total else np.zeros(len(self.curves))

    def settled(self, holds: np.ndarray) -> np.ndarray:
        """Return the same of a yes or no that hangs on the answer: alone, and together with the others, (2, unknowns).

        holds : (draws,), True from some answer on. First-order and total index. Each value of a curve is laid upon
        the rest of every other draw, so that they are exact for these two as they were drawn. What the fit misses
        counts with the rest: an unknown that does much only together with others is then told too low.
        """
        least = self.answer[holds].min(initial=np.inf)
        edge = (least + self.answer[~holds].max(initial=-np.inf)) / 2
        if not np.isfinite(edge):
            return np.zeros((2, len(self.curves)))
        return np.array([_both_indices(curve, self.answer - curve, edge) for curve in self.curves]).T


def _both_indices(curve: np.ndarray, rest: np.ndarray, edge: float) -> tuple[float, float]:
    """Return both indices of curve + rest >= edge by the curve, where any of its values may meet any rest."""
    count = len(curve)
    by_curve = 1 - np.searchsorted(np.sort(rest), edge - curve) / count  # the share that holds, at each of its values
    by_rest = 1 - np.searchsorted(np.sort(curve), edge - rest) / count
    share = float(np.mean(by_curve))
    variance = share * (1 - share)
    if variance <= 0:
        return 0.0, 0.0
    return float(np.var(by_curve)) / variance, float(np.mean(by_rest * (1 - by_rest))) / variance


def best_fit(shares: np.ndarray, answer: np.ndarray) -> Fit:
    """Return the fit of curves to an answer of which the order alone matters, as of a margin.

    It is fitted as it is and, by its ranks, as if it were normal; the one that curves add up to better is kept.
    Infinite answers, as of a machine that cannot be built, have ranks alone.
    """
    scales = [_scores(answer)] + [answer] * bool(np.all(np.isfinite(answer)))
    return max((fitted(shares, each) for each in scales), key=lambda each: each.explains)


def _scores(answer: np.ndarray) -> np.ndarray:
    """Return the answers' places on the normal law, equal ones alike."""
    ordered = np.sort(answer)
    ranks = (np.searchsorted(ordered, answer, "left") + np.searchsorted(ordered, answer, "right")) / 2
    return np.array([NORMAL.inv_cdf(each) for each in ranks / len(answer)])


def fitted(shares: np.ndarray, answer: np.ndarray, degree: int = DEGREE) -> Fit:
    """Return the fit of curves to an answer.

    shares : the draws, between 0 and 1, (unknowns, draws).   answer : (draws,).   degree : of the curves at the most;
    with few draws it is less, and only the unknowns that go with the answer most have a curve at all.
    """
    unknowns, draws = shares.shape
    centred = answer - np.mean(answer)
    curves, variance = np.zeros(shares.shape), float(np.mean(centred**2))
    if variance == 0.0 or not unknowns:
        return Fit(answer, curves, 0.0)
    kept = np.argsort(-np.abs((shares - 0.5) @ centred), kind="stable")[: draws // DRAWS_A_TERM]
    degree = int(np.clip(draws // (DRAWS_A_TERM * len(kept)), 1, degree))
    terms = np.moveaxis(np.polynomial.legendre.legvander(2 * shares[kept] - 1, degree)[..., 1:], 1, 0)
    terms = (terms - np.mean(terms, axis=0)).reshape(draws, -1)
    factors = np.linalg.lstsq(terms, centred, rcond=None)[0]
    missed = float(np.sum((centred - terms @ factors) ** 2)) / max(1, draws - 1 - terms.shape[1])
    by_unknown = np.sum((terms * factors).reshape(draws, len(kept), degree), axis=-1).T
    # So much variance chance alone gives a curve of so many terms; it is taken off, and what does nothing gets nothing.
    varies = np.var(by_unknown, axis=1, keepdims=True)
    by_chance = degree * missed / draws
    curves[kept] = by_unknown * np.sqrt(np.clip(1 - by_chance / np.where(varies > 0, varies, np.inf), 0.0, 1.0))
    return Fit(answer, curves, float(np.clip(1 - missed * (draws - 1) / (draws * variance), 0.0, 1.0)))
