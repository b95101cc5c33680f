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
FEW = 10
"""Below so many repeats their scatter is itself poorly known, and Student's t says by how much."""


@dataclass(frozen=True)
class Estimate:
    """A value and its standard deviation, both in the same SI unit; without one it counts as exact."""

    value: float
    sd: float = 0.0

    @property
    def half_width(self) -> float:
        """Half of the width that holds 19 times of 20."""
        return COVERAGE * self.sd

    def times(self, factor: float) -> "Estimate":
        """Return the estimate in other units, or scaled by an exact factor."""
        return Estimate(self.value * factor, self.sd * abs(factor))


def propagated(value: float, *shares: float) -> Estimate:
    """Return a computed value with its doubt by the law of propagation.

    shares : for each independent input its standard deviation times the derivative of the value by it.
    u^2 = sum (df/dx_i u_i)^2, JCGM 100:2008 5.1.2 (from memory); good while the formula is nearly straight over
    the doubts.
    """
    return Estimate(float(value), float(np.sqrt(sum(share**2 for share in shares))))


def of_resolution(reading: float, step: float) -> Estimate:
    """Return a reading whose last digit is `step`: as likely anywhere within it, so sd = step/sqrt 12.

    JCGM 100:2008 4.3.7 and F.2.2.1 (from memory).
    """
    return Estimate(reading, float(step / np.sqrt(12.0)))


def mean(readings: Sequence[float], least_sd: float = 0.0, fitted: int = 0) -> Estimate:
    """Return the mean of repeats; its sd is s/sqrt n, widened below ten repeats by Student's t.

    least_sd : of the mean, from what all repeats share, as the resolution; a single reading has this alone.
    fitted : how many numbers were fitted to the readings and taken off before, beside the mean.
    The widening makes two sd hold 19 times of 20 (t at 97.5 % over 2); JCGM 100:2008 4.2.3 and G.3 (from memory).
    """
    values = np.asarray(readings, dtype=float)
    if values.size < 2:
        return Estimate(float(values[0]), least_sd)
    free = values.size - 1 - fitted
    sd = float(np.std(values, ddof=1 + fitted) / np.sqrt(values.size))
    if free + 1 < FEW:
        from scipy.special import stdtrit  # only where there are repeats; scipy takes longer to import than this half

        sd *= float(stdtrit(free, 0.975)) / COVERAGE
    return propagated(float(np.mean(values)), sd, least_sd)


def distance(one: Estimate, other: Estimate) -> float:
    """Return how many standard deviations of their difference two independent estimates lie apart; inf if exact."""
    gap, sd = abs(one.value - other.value), float(np.hypot(one.sd, other.sd))
    return gap / sd if sd else (0.0 if gap == 0 else np.inf)
