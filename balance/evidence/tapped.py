"""A case on its feet, tapped: damping from the decay, stiffness and mass from a known mass added."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from balance.evidence.estimate import Estimate, known_by, propagated


def decrement(peaks: Sequence[float]) -> Estimate:
    """Return the logarithmic decrement of successive peaks, least squares of their logarithms over their number.

    delta = ln(x_0/x_n)/n; its doubt from the scatter about the line, three peaks or more (zero for two). Acceleration
    falls as displacement does. Two less than the peaks are free. Thomson, Theory of Vibration, sec. 2.8.
    """
    logs = np.log(np.asarray(peaks, dtype=float))
    steps = np.arange(logs.size) - (logs.size - 1) / 2
    squares = float(steps @ steps)
    fall = -float(steps @ logs) / squares
    residuals = logs - logs.mean() + fall * steps
    free = logs.size - 2
    return known_by(fall, np.sqrt(residuals @ residuals / free / squares), free) if free > 0 else Estimate(fall)


def damping_ratio(fall: Estimate) -> Estimate:
    """Return the damping ratio of a logarithmic decrement d: d/sqrt(4 pi^2 + d^2); Thomson, sec. 2.8.

    Derivative 4 pi^2/(4 pi^2 + d^2)^(3/2). Viscous damping of one mode.
    """
    below = 4 * np.pi**2 + fall.value**2
    return propagated(fall.value / np.sqrt(below), fall.times(4 * np.pi**2 / below**1.5))


def undamped(frequency: Estimate, ratio: Estimate) -> Estimate:
    """Return the undamped frequency, Hz: f_n = f_d/sqrt(1 - z^2)."""
    root = np.sqrt(1 - ratio.value**2)
    return propagated(
        frequency.value / root, frequency.times(1 / root), ratio.times(frequency.value * ratio.value / root**3)
    )


@dataclass(frozen=True)
class OnFeet:
    """stiffness : of all feet along the tap, N/m.   mass : of all that moved without the added mass, kg."""

    stiffness: Estimate
    mass: Estimate


def by_added_mass(bare: Estimate, loaded: Estimate, added: Estimate) -> OnFeet:
    """Return stiffness and mass from undamped frequencies without and with an added mass D.

    k = 4 pi^2 D/(1/f2^2 - 1/f1^2), M = k/(4 pi^2 f1^2) = D f2^2/(f1^2 - f2^2). One mode of straight motion, D fixed
    near the mass centre. dk/df1 = -2 k q/f1^3, dk/df2 = 2 k q/f2^3 with q = 1/(1/f2^2 - 1/f1^2).
    Rubber is stiffer moving than still; this is its stiffness in motion.
    """
    f1, f2 = bare.value, loaded.value
    q = 1 / (1 / f2**2 - 1 / f1**2)
    k, m = 4 * np.pi**2 * added.value * q, added.value * f2**2 / (f1**2 - f2**2)
    below = f1**2 - f2**2
    return OnFeet(
        propagated(k, bare.times(2 * k * q / f1**3), loaded.times(2 * k * q / f2**3), added.times(k / added.value)),
        propagated(
            m,
            bare.times(2 * m * f1 / below),
            loaded.times(2 * added.value * f2 * f1**2 / below**2),
            added.times(m / added.value),
        ),
    )


def stiffness_of(frequency: Estimate, mass: Estimate) -> Estimate:
    """Return the stiffness that makes a mass ring at an undamped frequency, N/m: k = M (2 pi f)^2."""
    squared = (2 * np.pi * frequency.value) ** 2
    return propagated(
        mass.value * squared, mass.times(squared), frequency.times(2 * mass.value * squared / frequency.value)
    )
