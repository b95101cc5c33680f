"""Sensitivity indices of two standard functions, by the fit that ranks what is not known, and by paired draws.

Ishigami and Homma, ISUMA 1990, a 7, b 0.1: first order 0.3138, 0.4424, 0; total 0.558, 0.442, 0.244 (as the test
functions of a public library of Bayesian optimisation print them). Sobol's g-function, Sobol, Math. Comput. Simul. 55
(2001), 271, with a = 0, 1, 4.5, 9 and four of 99 (a set of a public library's examples; indices from memory, check
against the paper): V_i = 1 / (3 (1 + a_i)^2), V = prod(1 + V_i) - 1, first order V_i / V, total
V_i prod(1 + V_j, j other than i) / V.
"""

import numpy as np
import pytest
from paired_indices import total_indices
from scipy.stats import multivariate_normal, norm

from balance.doubt.draws import latin_hypercube
from balance.doubt.fitted import best_fit, fitted

DRAWS = 1 << 15
A = np.array([0, 1, 4.5, 9, 99, 99, 99, 99])


def ishigami(shares: np.ndarray) -> np.ndarray:
    x = np.pi * (2 * shares - 1)
    return np.sin(x[0]) + 7 * np.sin(x[1]) ** 2 + 0.1 * x[2] ** 4 * np.sin(x[0])


def sobol_g(shares: np.ndarray) -> np.ndarray:
    return np.prod((np.abs(4 * shares - 2) + A[:, None]) / (1 + A[:, None]), axis=0)


def test_ishigami() -> None:
    shares = latin_hypercube("abc", DRAWS, 11)
    answer = ishigami(shares)
    fit = fitted(shares, answer, degree=12)
    np.testing.assert_allclose(fit.alone, [0.3138, 0.4424, 0.0], atol=0.005)
    assert fit.explains == pytest.approx(0.3138 + 0.4424, abs=0.005)  # what is missed is what two do together
    assert np.mean(answer) == pytest.approx(3.5, abs=0.02)
    assert np.var(answer) == pytest.approx(13.844588, rel=0.01)
    np.testing.assert_allclose(total_indices(ishigami, 3, 4 * DRAWS), [0.558, 0.442, 0.244], atol=0.01)


def test_sobol_g() -> None:
    shares = latin_hypercube("abcdefgh", DRAWS, 12)
    part = 1 / (3 * (1 + A) ** 2)
    variance = np.prod(1 + part) - 1
    first, total = part / variance, part * (1 + variance) / (1 + part) / variance
    np.testing.assert_allclose(first, [0.716192, 0.179048, 0.0236758, 0.00716192, *[7.16192e-5] * 4], rtol=1e-5)
    np.testing.assert_allclose(total, [0.787144, 0.242198, 0.0343169, 0.0104604, *[1.04949e-4] * 4], rtol=1e-5)
    fit = fitted(shares, sobol_g(shares), degree=12)
    np.testing.assert_allclose(fit.alone, first, atol=0.006)
    assert fit.explains == pytest.approx(np.sum(first), abs=0.01)
    np.testing.assert_allclose(total_indices(sobol_g, 8, DRAWS), total, atol=0.01)


def test_both_indices_of_a_yes_or_no_are_those_of_the_bivariate_normal_law() -> None:
    """As used: 512 draws. With w.z >= t, z normal, P(both of two draws that share z_i) is bivariate normal.

    First order (B(w_i^2) - P^2) / (P (1 - P)), total 1 - (B(1 - w_i^2) - P^2) / (P (1 - P)): the definition itself.
    """
    squares, least = np.array([0.6, 0.25, 0.1, 0.05, 0.0]), -0.8
    below = norm.cdf(least)

    def settled(shared: float) -> float:
        both = multivariate_normal.cdf([least, least], cov=[[1, shared], [shared, 1]]) if shared else below**2
        return (both - below**2) / (below * (1 - below))

    first = [settled(each) for each in squares]
    total = [1 - settled(1 - each) if each else 0.0 for each in squares]
    alone, together = [], []
    for seed in range(60):
        shares = latin_hypercube("abcde", 512, seed)
        answer = np.sqrt(squares) @ norm.ppf(shares)
        fit = best_fit(shares, answer)
        assert fit.explains > 0.98
        one, all_others = fit.settled(answer >= least)
        assert np.all(one <= all_others + 1e-12)
        alone.append(one)
        together.append(all_others)
    np.testing.assert_allclose(np.mean(alone, axis=0), first, atol=0.02)
    np.testing.assert_allclose(np.mean(together, axis=0), total, atol=0.02)
    assert np.max(np.std(alone, axis=0)) < 0.02
    assert np.max(np.array(alone)[:, -1]) < 0.01  # what does nothing settles nothing, however few the draws


def test_only_the_order_of_a_margin_matters_where_some_machines_cannot_be_built() -> None:
    shares = latin_hypercube("abc", 512, 3)
    answer = 3 * shares[0] + shares[1]
    holds = answer >= 2.0
    plain = best_fit(shares, answer).settled(holds)
    lost = best_fit(shares, np.where(answer < 1.0, -np.inf, answer))
    assert lost.explains > 0.85
    np.testing.assert_allclose(lost.settled(holds), plain, atol=0.06)


def test_more_unknowns_than_draws_are_ranked_by_what_goes_with_the_answer_most() -> None:
    shares = np.random.default_rng(5).random((700, 512))
    fit = best_fit(shares, shares[20] + 0.3 * shares[3])
    assert list(np.argsort(-fit.alone)[:2]) == [20, 3]
    assert 0.85 < fit.explains <= 1.0


def test_nothing_is_settled_where_nothing_is_open() -> None:
    shares = latin_hypercube("ab", 64, 3)
    assert not np.any(best_fit(shares, np.ones(64)).alone)
    assert not np.any(best_fit(shares, shares[0]).settled(np.ones(64, dtype=bool)))
