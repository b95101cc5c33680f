"""How likely a reading is on each of many machines: logarithms of densities or probabilities, (machines,).

Speeds of first contact may be 0 (they touch at rest) and inf (not up to the top speed); both are ordinary values.
"""

import numpy as np

from balance.evidence.estimate import Estimate

LEAST_SD = 1e-12
"""Share of a value that stands for its doubt where it was given as exact."""


def _sd(reading: Estimate) -> float:
    return max(reading.sd, LEAST_SD * max(abs(reading.value), LEAST_SD))


def value(on_machines: np.ndarray, reading: Estimate) -> np.ndarray:
    """Return the log density of a value found with normal doubt, up to a constant; -inf where the machine has none."""
    with np.errstate(invalid="ignore"):
        away = (np.asarray(on_machines, dtype=float) - reading.value) / _sd(reading)
    return np.where(np.isfinite(away), -0.5 * away**2, -np.inf)


def interval(on_machines: np.ndarray, low: float, high: float, sd: float) -> np.ndarray:
    """Return the log probability that a quantity read with normal doubt `sd` lies between two feelers.

    log(Phi((q - low)/sd) - Phi((q - high)/sd)); the difference is taken on the side where both are small.
    """
    from scipy.special import log_ndtr  # heavy, and needed only once there are readings

    q = np.asarray(on_machines, dtype=float)
    above, beyond = (q - low) / sd, (q - high) / sd
    upside = q > (low + high) / 2
    one = log_ndtr(np.where(upside, -beyond, above))
    other = log_ndtr(np.where(upside, -above, beyond))
    with np.errstate(divide="ignore", invalid="ignore"):
        logs = one + np.log1p(-np.exp(np.minimum(other - one, 0.0)))
    return np.where(np.isfinite(one), logs, -np.inf)


def heard(contact: np.ndarray, reading: Estimate, delay: float) -> np.ndarray:
    """Return the log density of the speed from which on a knock is heard: N = contact + d + e.

    d : exponential with mean `delay`, rad/s, since hearing is always late.   e : normal with the reading's doubt.
    The exponentially modified normal law (Grushka, Anal. Chem. 44 (1972), 1733, from memory):
    f(x) = exp(s^2/(2 d^2) - x/d) Phi(x/s - s/d)/d.
    """
    from scipy.special import log_ndtr

    sd = _sd(reading)
    with np.errstate(invalid="ignore"):
        x = reading.value - np.asarray(contact, dtype=float)
        density = sd**2 / (2 * delay**2) - x / delay + log_ndtr(x / sd - sd / delay) - np.log(delay)
    return np.where(np.isfinite(x), density, -np.inf)


def none_heard(contact: np.ndarray, up_to: Estimate, delay: float) -> np.ndarray:
    """Return the log probability that no knock is heard up to a speed: contact + d + e lies beyond it.

    P = Phi(-x/s) + exp(s^2/(2 d^2) - x/d) Phi(x/s - s/d), x = up_to - contact; there is no upper end. Contact a little
    below the speed stays possible, since it may not have been loud enough to be heard.
    """
    from scipy.special import log_ndtr

    sd = _sd(up_to)
    x = up_to.value - np.asarray(contact, dtype=float)
    x = np.where(np.isfinite(x), x, -1e6 * max(sd, delay))  # beyond the top speed: certainly none
    later = sd**2 / (2 * delay**2) - x / delay + log_ndtr(x / sd - sd / delay)
    return np.minimum(np.logaddexp(log_ndtr(-x / sd), np.where(x < -30 * sd, -np.inf, later)), 0.0)
