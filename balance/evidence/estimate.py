"""A quantity as it was found, with its doubt, and how doubt passes through a formula.

Doubt is kept as one standard deviation. In files and on screen it is said as the half-width that holds 19 times of
20, which is two of them (expanded uncertainty, coverage factor 2; JCGM 100:2008, 6.2, from memory).
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

COVERAGE = 2.0
"""Standard deviations in the half-width that holds 19 times of 20."""
APART = 2.0
"""Standard deviations of a difference beyond which two values are said to disagree."""


@dataclass(frozen=True)
class Estimate:
    """A value and its doubt, both in the same SI unit; without doubt it counts as exact.

    sd : standard deviation of the normal law that holds 19 times of 20 within two of it. Where few repeats tell the
    doubt this is more than the standard uncertainty, by Student's t.
    free : degrees of freedom by which the doubt is known; infinite where it is simply said.
    """

    value: float
    sd: float = 0.0
    free: float = np.inf

    @property
    def half_width(self) -> float:
        """Half of the width that holds 19 times of 20."""
        return COVERAGE * self.sd

    @property
    def uncertainty(self) -> float:
        """Standard uncertainty u of JCGM 100:2008, which says nothing of how well it is known itself."""
        return self.sd / _widening(self.free)

    def times(self, factor: float) -> "Estimate":
        """Return the estimate in other units, or scaled by an exact factor."""
        return Estimate(self.value * factor, self.sd * abs(factor), self.free)


def known_by(value: float, uncertainty: float, free: float) -> Estimate:
    """Return a value whose standard uncertainty is known by so many degrees of freedom."""
    return Estimate(float(value), float(uncertainty * _widening(free)), float(free))


def _widening(free: float) -> float:
    """Return by how much Student's t at 97.5 % is wider than two standard deviations; never less than 1.

    Degrees of freedom are cut to a whole number, JCGM 100:2008 G.4.1 (from memory).
    """
    if np.isinf(free):
        return 1.0
    from scipy.special import stdtrit  # only where there are repeats; scipy takes longer to import than this half

    return max(1.0, float(stdtrit(np.floor(free * (1 + 1e-9)), 0.975)) / COVERAGE)


def propagated(value: float, *shares: Estimate | float) -> Estimate:
    """Return a computed value with its doubt by the law of propagation.

    shares : for each independent input its estimate times the derivative of the value by it; a bare number is a
    standard deviation by itself.
    u^2 = sum (df/dx_i u_i)^2, JCGM 100:2008 5.1.2; degrees of freedom by Welch and Satterthwaite, u^4/free =
    sum (df/dx_i u_i)^4/free_i, G.4.1 (both from memory). Good while the formula is nearly straight over the doubts.
    """
    parts = [each if isinstance(each, Estimate) else Estimate(0.0, abs(each)) for each in shares]
    squares = np.array([each.uncertainty for each in parts]) ** 2
    total, few = float(np.sum(squares)), float(np.sum(squares**2 / [each.free for each in parts]))
    return known_by(value, np.sqrt(total), total**2 / few if few else np.inf)


def of_resolution(reading: float, step: float) -> Estimate:
    """Return a reading whose last digit is `step`: as likely anywhere within it, so sd = step/sqrt 12.

    JCGM 100:2008 4.3.7 and F.2.2.1 (from memory).
    """
    return Estimate(reading, float(step / np.sqrt(12.0)))


def mean(readings: Sequence[float], least_sd: float = 0.0, fitted: int = 0) -> Estimate:
    """Return the mean of repeats; its standard uncertainty is s/sqrt n, known by n - 1 degrees of freedom.

    least_sd : of the mean, from what all repeats share, as the resolution; a single reading has this alone.
    fitted : how many numbers were fitted to the readings and taken off before, beside the mean.
    JCGM 100:2008 4.2.3 and G.3 (from memory).
    """
    values = np.asarray(readings, dtype=float)
    if values.size < 2:
        return Estimate(float(values[0]), least_sd)
    scatter = float(np.std(values, ddof=1 + fitted) / np.sqrt(values.size))
    middle = float(np.mean(values))
    return propagated(middle, known_by(middle, scatter, values.size - 1 - fitted), least_sd)


def distance(one: Estimate, other: Estimate) -> float:
    """Return how many standard deviations of their difference two independent estimates lie apart; inf if exact."""
    gap, sd = abs(one.value - other.value), float(np.hypot(one.sd, other.sd))
    return gap / sd if sd else (0.0 if gap == 0 else np.inf)
