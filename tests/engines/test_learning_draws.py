"""Weighted draws against an independent sampler (emcee), and against themselves by simulation-based calibration.

The stand-in model is cheap and bent: a contact speed over four unknowns, as of a gap that lengths and stiffness share.
"""

import emcee
import numpy as np
import pytest
from scipy.stats import chisquare, exponnorm, norm

from balance.evidence import importance, likelihood
from balance.evidence.estimate import Estimate

RPM = np.pi / 30
UNKNOWNS = 4
DELAY = 30.0


def contact(z):
    """rpm; nothing below zero."""
    gap = 1150.0 + 200.0 * z[:, 0] - 120.0 * z[:, 1] + 60.0 * z[:, 2] + 25.0 * z[:, 0] ** 2
    return np.maximum(gap, 0.0)


def gap(z):
    return 20.0 * z[:, 0] - 12.0 * z[:, 1] + 3.0 * z[:, 3]


def variance_gone_by_parts(q: np.ndarray, y: np.ndarray, weights: np.ndarray, sd: float, parts: int = 20) -> float:
    """Return `variance_gone` of one reading without a straight line: q's variance in parts of y with its doubt.

    The parts are of equal weight. The doubt is drawn once for each draw (fixed seed). A part holds enough draws only
    where the weights are even.
    """
    read = y + sd * np.random.default_rng(7).standard_normal(y.size)
    order = np.argsort(read)
    place = np.minimum((np.cumsum(weights[order]) * parts).astype(int), parts - 1)
    inside, total = 0.0, weights @ (q - weights @ q) ** 2
    for part in range(parts):
        w, values = weights[order][place == part], q[order][place == part]
        if w.sum() > 0:
            inside += float(w @ (values - w @ values / w.sum()) ** 2)
    return max(0.0, 1 - inside / float(total)) if total > 0 else 0.0


CASES = {
    "seen": lambda z: likelihood.value(contact(z), Estimate(1150.0, 30.0)),
    "seen far out": lambda z: likelihood.value(contact(z), Estimate(2150.0, 10.0)),
    "none": lambda z: likelihood.none_heard(contact(z), Estimate(1600.0, 20.0), DELAY),
    "heard": lambda z: likelihood.heard(contact(z), Estimate(900.0, 15.0), DELAY),
    "feeler and seen": lambda z: (
        likelihood.interval(gap(z), 10.0, 15.0, 1.0) + likelihood.value(contact(z), Estimate(1300.0, 30.0))
    ),
}


@pytest.mark.parametrize("name", CASES)
def test_posterior_is_that_of_an_independent_sampler(name):
    log_l = CASES[name]
    observed = lambda z: (log_l(z), np.stack([contact(z), gap(z)], axis=-1))  # noqa: E731
    found = importance.learned(observed, UNKNOWNS, 40_000, seed=3, enough=6000.0)
    assert found.effective > 3000  # so that its own error is below 0.02
    start = found.z[np.random.default_rng(1).choice(len(found.z), 64, p=found.weights)]
    start = start + 1e-3 * np.random.default_rng(2).standard_normal(start.shape)
    sampler = emcee.EnsembleSampler(64, UNKNOWNS, lambda z: log_l(z) - 0.5 * np.sum(z**2, axis=1), vectorize=True)
    np.random.seed(4)  # noqa: NPY002  the sampler draws from the old generator
    sampler.run_mcmc(start, 5000)
    chain = sampler.get_chain(discard=500, flat=True)
    assert found.mean(found.z) == pytest.approx(chain.mean(axis=0), abs=0.05)
    assert found.sd(found.z) == pytest.approx(chain.std(axis=0), abs=0.05)


def test_many_narrow_readings_are_reached():
    """Ten sums of twenty unknowns, each read to a tenth of its spread: the normal posterior in closed form.

    One draw of 10^10 fits them all. Of drawing anew in few rounds nothing was left, and all seemed to disagree.
    """
    random = np.random.default_rng(6)
    sums = np.linalg.qr(random.standard_normal((20, 10)))[0].T
    read = sums @ random.standard_normal(20)

    def at(z):
        return -0.5 * np.sum(((z @ sums.T - read) / 0.1) ** 2, axis=1), z @ sums.T

    found = importance.learned(at, 20, 10_000, seed=1)
    exact = np.linalg.inv(np.eye(20) + sums.T @ sums / 0.01)
    assert found.effective > 200 and found.rounds <= importance.ROUNDS + 1
    assert found.mean(found.z @ sums.T) == pytest.approx(read / 1.01, abs=0.03)
    assert found.sd(found.z @ sums.T) == pytest.approx(np.sqrt(np.diag(sums @ exact @ sums.T)), rel=0.25)


def seen(c, random):
    at = c + random.normal(0.0, 30.0)
    return lambda many: likelihood.value(many, Estimate(at, 30.0))


def late(c, random):
    at = c + random.exponential(DELAY) + random.normal(0.0, 15.0)
    return lambda many: likelihood.heard(many, Estimate(at, 15.0), DELAY)


def censored(c, random):
    """Run up to 1300 rpm: either a knock was heard on the way, or none was."""
    at = c + random.exponential(DELAY) + random.normal(0.0, 15.0)
    if at > 1300.0:
        return lambda many: likelihood.none_heard(many, Estimate(1300.0, 15.0), DELAY)
    return lambda many: likelihood.heard(many, Estimate(at, 15.0), DELAY)


@pytest.mark.parametrize("reading", [seen, late, censored])
def test_true_values_fall_evenly_among_the_draws(reading):
    """Simulation-based calibration (Talts and others, arXiv:1804.06788, from memory): 200 machines, chi-square."""
    random = np.random.default_rng(11)
    shares = []
    for run in range(200):
        true = random.standard_normal((1, UNKNOWNS))
        log_l = reading(contact(true)[0], random)

        def at(z, log_l=log_l):
            return log_l(contact(z)), contact(z)[:, None]

        found = importance.learned(at, UNKNOWNS, 4000, seed=run)
        assert found.enough
        shares.append([found.weights @ (each(found.z) < each(true)[0]) for each in (contact, lambda z: z[:, 0])])
    for column in np.array(shares).T:
        counts = np.histogram(column, bins=10, range=(0.0, 1.0))[0]
        assert chisquare(counts).pvalue > 0.01


def test_laws_of_hearing_against_scipy():
    x = np.linspace(-80.0, 250.0, 50)
    found = likelihood.heard(1000.0 - x, Estimate(1000.0, 15.0), DELAY)
    law = exponnorm(DELAY / 15.0, scale=15.0)
    np.testing.assert_allclose(found, law.logpdf(x), rtol=1e-9)
    none = likelihood.none_heard(1000.0 - x, Estimate(1000.0, 15.0), DELAY)
    np.testing.assert_allclose(np.exp(none), law.sf(x), rtol=1e-6, atol=1e-12)
    inside = likelihood.interval(x, 10.0, 14.0, 2.0)
    np.testing.assert_allclose(np.exp(inside), norm.cdf(x, 10, 2) - norm.cdf(x, 14, 2), rtol=1e-9, atol=1e-15)


def test_ends_of_the_scale_are_ordinary_values():
    ends = np.array([0.0, np.inf])
    assert np.all(np.isneginf(likelihood.value(ends, Estimate(1e3, 1e-9))) == [False, True])
    assert likelihood.none_heard(ends, Estimate(1e3, 10.0), DELAY)[1] == 0.0
    assert likelihood.none_heard(ends, Estimate(1e3, 10.0), DELAY)[0] < -30
    assert np.isneginf(likelihood.heard(ends, Estimate(1e3, 10.0), DELAY)[1])


def test_readings_that_no_machine_gives_are_refused():
    never = importance.learned(lambda z: (np.full(len(z), -np.inf), contact(z)[:, None]), UNKNOWNS, 1000)
    assert never.effective == 0.0 and not never.enough


def test_an_unknown_that_does_nothing_changes_no_forecast():
    def at(z):
        return likelihood.value(contact(z), Estimate(1150.0, 30.0)), contact(z)[:, None]

    without = importance.learned(at, UNKNOWNS, 200_000, seed=1)
    with_it = importance.learned(at, UNKNOWNS + 1, 200_000, seed=2)
    for each in (without, with_it):
        assert abs(each.mean(gap(each.z)) - without.mean(gap(without.z))) < 0.15
        assert each.sd(gap(each.z)) == pytest.approx(without.sd(gap(without.z)), rel=0.02)
    assert abs(with_it.mean(with_it.z[:, -1])) < 0.03 and with_it.sd(with_it.z[:, -1]) == pytest.approx(1, abs=0.03)


def test_the_next_reading_takes_away_what_was_promised():
    """200 machines drawn from what is left, the next reading simulated on each, and its gain averaged."""

    def at(z):
        return likelihood.value(contact(z), Estimate(1150.0, 100.0)), contact(z)[:, None]

    found = importance.learned(at, UNKNOWNS, 30_000, seed=5)
    q = gap(found.z)
    readings = {
        "first": (found.z[:, 0], 0.3),
        "second": (found.z[:, 1], 0.3),
        "gap": (q, 4.0),
        "idle": (found.z[:, 2], 0.1),
    }
    random = np.random.default_rng(8)
    promised = {
        name: importance.variance_gone(q, y[:, None], found.weights, np.array([sd]))
        for name, (y, sd) in readings.items()
    }
    exact = {name: variance_gone_by_parts(q, y, found.weights, sd) for name, (y, sd) in readings.items()}
    gained = {}
    for name, (y, sd) in readings.items():
        left = []
        for true in random.choice(y.size, 200, p=found.weights):
            weights = found.weights * np.exp(likelihood.value(y, Estimate(y[true] + random.normal(0, sd), sd)))
            weights /= weights.sum()
            left.append(weights @ (q - weights @ q) ** 2)
        gained[name] = 1 - np.mean(left) / (found.weights @ (q - found.weights @ q) ** 2)
    assert sorted(gained, key=gained.get) == sorted(promised, key=promised.get) == sorted(exact, key=exact.get)
    for name in readings:
        assert gained[name] == pytest.approx(promised[name], abs=0.08)
        assert exact[name] == pytest.approx(promised[name], abs=0.08)
