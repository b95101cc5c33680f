"""Weighted draws: what readings leave of many unknowns, each of which is standard normal beforehand.

Any law becomes standard normal by its own distribution function, so that the draws here know nothing of units. The
draws of a first round follow what is known beforehand. Where too few of them fit the readings, further rounds are drawn
from a wider normal law fitted to those that do, along the few directions in which the readings speak. All rounds then
count together, each draw weighted by the density that is wanted over that of the mixture it came from (deterministic
mixture: Owen and Zhou, J. Am. Stat. Assoc. 95 (2000), 135; adaptive importance sampling: Bugallo et al., IEEE Signal
Process. Mag. 34 (2017), 60; both from memory).
"""

from collections.abc import Callable

import numpy as np

from balance.quantities import result

ENOUGH = 200.0
"""Effective draws below which another round is drawn."""
TOO_FEW = 50.0
"""Effective draws below which nothing is told: model and readings disagree, or the draws do not reach there."""
ROUNDS = 6
"""Further rounds at most."""
STRIDE = 2.0
"""Times that a law fitted to a flattened likelihood is carried on, at most."""
WIDER = 1.4
"""Factor on the standard deviation of a fitted law, so that its tails lie outside those of what it is to find."""

Likelihood = Callable[[np.ndarray], tuple[np.ndarray, np.ndarray]]
"""Standard normal unknowns, (draws, unknowns), to log likelihood, (draws,), and observables, (draws, observables)."""


@result
class Fitted:
    """A normal law along some directions, standard normal across them.

    directions : orthonormal rows, (directions, unknowns).   middle : (directions,).   root : lower Cholesky factor.
    """

    directions: np.ndarray
    middle: np.ndarray
    root: np.ndarray

    def draw(self, count: int, unknowns: int, random: np.random.Generator) -> np.ndarray:
        """Return draws, (count, unknowns)."""
        z = random.standard_normal((count, unknowns))
        along = z @ self.directions.T
        return z + (self.middle + along @ self.root.T - along) @ self.directions

    def over_prior(self, z: np.ndarray) -> np.ndarray:
        """Return the log of this law's density over the standard normal one, (draws,)."""
        along = z @ self.directions.T
        inner = np.linalg.solve(self.root, (along - self.middle).T)
        return (np.sum(along**2, axis=1) - np.sum(inner**2, axis=0)) / 2 - np.sum(np.log(np.diag(self.root)))


@result
class Posterior:
    """Weighted draws after the readings.

    z : standard normal unknowns, (draws, unknowns).   weights : (draws,), adding up to one.
    observables : what was worked out for each, (draws, observables).   rounds : how many were drawn.
    first : how many draws at the front follow what was known beforehand.
    """

    z: np.ndarray
    weights: np.ndarray
    observables: np.ndarray
    rounds: int
    first: int

    @property
    def effective(self) -> float:
        """Effective number of draws, (sum w)^2/sum w^2; zero if no draw fits at all (Kish, from memory)."""
        return effective(self.weights)

    @property
    def enough(self) -> bool:
        """Whether enough draws fit the readings for anything to be told."""
        return self.effective >= TOO_FEW

    def mean(self, quantity: np.ndarray) -> np.ndarray:
        """Return the weighted mean of a quantity of each draw, (draws, ...)."""
        return np.tensordot(self.weights, quantity, axes=1)

    def sd(self, quantity: np.ndarray) -> np.ndarray:
        """Return its weighted standard deviation."""
        middle = self.mean(quantity)
        return np.sqrt(np.maximum(self.mean((quantity - middle) ** 2), 0.0))


def effective(weights: np.ndarray) -> float:
    """Return (sum w)^2/sum w^2; zero where all are zero."""
    squares = float(weights @ weights)
    return float(np.sum(weights)) ** 2 / squares if squares else 0.0


def learned(likelihood: Likelihood, unknowns: int, count: int, seed: int = 1, enough: float = ENOUGH) -> Posterior:
    """Return the draws that are left of `unknowns` standard normal unknowns once readings are known.

    count : draws of the first round, and of each further one at most.   enough : effective draws that are aimed at.
    """
    random = np.random.default_rng(seed)
    z = random.standard_normal((count, unknowns))
    log_l, observables = likelihood(z)
    laws: list[Fitted] = []
    sizes = [count]
    while effective(_weights(z, log_l, laws, sizes)) < enough and len(laws) < ROUNDS:
        law = _fitted(z, log_l, observables, laws, sizes, enough)
        if law is None:
            break
        more = law.draw(count // 2, unknowns, random)
        new_l, new_observables = likelihood(more)
        z, log_l = np.concatenate([z, more]), np.concatenate([log_l, new_l])
        observables = np.concatenate([observables, new_observables])
        laws.append(law)
        sizes.append(len(more))
    return Posterior(z, _weights(z, log_l, laws, sizes), observables, len(sizes), count)


def _weights(z: np.ndarray, log_l: np.ndarray, laws: list[Fitted], sizes: list[int], power: float = 1.0) -> np.ndarray:
    """Return weights that add up to one, (draws,); all zero if no draw fits. `power` flattens the likelihood."""
    shares = np.log(np.asarray(sizes) / np.sum(sizes))
    densities = [np.zeros(len(z)), *(law.over_prior(z) for law in laws)]
    mixture = np.stack([share + density for share, density in zip(shares, densities, strict=True)])
    with np.errstate(invalid="ignore"):
        logs = power * log_l - np.logaddexp.reduce(mixture, axis=0)
    logs = np.where(np.isfinite(logs), logs, -np.inf)
    if not np.any(np.isfinite(logs)):
        return np.zeros(len(z))
    weights = np.exp(logs - np.max(logs))
    return weights / np.sum(weights)


def _fitted(
    z: np.ndarray, log_l: np.ndarray, observables: np.ndarray, laws: list[Fitted], sizes: list[int], enough: float
) -> Fitted | None:
    """Return a law to draw from next; None if no draw says where to go.

    The likelihood is flattened until enough draws count (tempering), so that a few lucky ones do not decide alone. What
    the flattened one says is then carried on toward the whole of it, by no more than STRIDE: a normal law's precision
    grows in proportion to the power.
    """
    low, high = 0.0, 1.0
    for _ in range(40):
        power = (low + high) / 2
        fits = effective(_weights(z, log_l, laws, sizes, power)) >= enough
        low, high = (power, high) if fits else (low, power)
    weights = _weights(z, log_l, laws, sizes, low)
    if low == 0.0 or effective(weights) < enough / 2:
        return None
    directions = _directions(z[: sizes[0]], observables[: sizes[0]])
    along = z @ directions.T
    middle = weights @ along
    spread = (along - middle) * np.sqrt(weights)[:, None]
    return Fitted(directions, *_carried_on(middle, spread.T @ spread, min(1 / low, STRIDE)))


def _carried_on(middle: np.ndarray, covariance: np.ndarray, stride: float) -> tuple[np.ndarray, np.ndarray]:
    """Return middle and widened root of a normal law once what it has over the standard one counts `stride` times."""
    unit = np.eye(len(middle))
    precision = np.linalg.inv(covariance + 1e-9 * unit)
    sizes, vectors = np.linalg.eigh(precision - unit)
    further = unit + stride * (vectors * np.maximum(sizes, 0.0)) @ vectors.T
    root = np.linalg.cholesky(np.linalg.inv(further) * WIDER**2 + 1e-9 * unit)
    return np.linalg.solve(further, stride * precision @ middle), root


def _directions(z: np.ndarray, observables: np.ndarray) -> np.ndarray:
    """Return orthonormal directions of the unknowns along which the observables change, (directions, unknowns).

    By regression of each observable's rank on all unknowns: a rank also serves a speed that is none or zero.
    """
    ranks = np.argsort(np.argsort(observables, axis=0), axis=0) / len(z) - 0.5
    slopes = np.linalg.lstsq(z, ranks, rcond=None)[0]
    kept = slopes[:, np.linalg.norm(slopes, axis=0) > 0]
    u, sizes, _ = np.linalg.svd(kept, full_matrices=False)
    return u[:, sizes > 1e-3 * sizes[0]].T


def variance_gone(q: np.ndarray, y: np.ndarray, weights: np.ndarray, sd: np.ndarray) -> float:
    """Return the share of a quantity's variance that readings of others would take away together, by a straight line.

    q : (draws,).   y : what is read, (draws, readings).   weights : of the draws, they add up to one.
    sd : doubt of each reading.   c' (V + S)^-1 c / Var q, with c the covariances of q and the readings, V theirs among
    each other and S their doubts; for one reading Cov^2/((Var y + sd^2) Var q). What is left is the variance about the
    line, so a bent one is told less than there is (the side that does not promise too much).
    """
    dq, dy = q - weights @ q, y - weights @ y
    variance, spread = float(weights @ dq**2), np.sqrt(weights @ dy**2)
    scale = np.where(spread > 0, spread, 1.0)
    dy, sd = dy / scale, sd / scale
    covariances = dy.T @ (weights * dq)
    among = dy.T @ (weights[:, None] * dy) + np.diag(np.maximum(sd**2, 1e-12))
    return float(covariances @ np.linalg.solve(among, covariances) / variance) if variance else 0.0
