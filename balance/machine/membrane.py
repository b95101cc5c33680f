"""Laws of a diaphragm: effective area and stiffness by what can be measured.

ratio : diameter of the clamped middle over the free diameter, b/a, between 0 and 1, (options...).
"""

import numpy as np

from balance.quantities import Number, Scalar

POISSON = 0.3  # of metals; rubber's 0.5 makes a plate a fifth stiffer


def cone_share(ratio: Scalar) -> Number:
    """Return the effective area of slack cloth or a cone over that of the free circle, (1 + b + b^2)/3.

    pi (D^2 + D d + d^2)/12: the volume that a cone sweeps per stroke (geometry; the usual rule for rolling diaphragms).
    """
    ratio = np.asarray(ratio)
    return (1 + ratio + ratio**2) / 3


def plate_share(ratio: Scalar) -> Number:
    """Return the effective area of a clamped elastic plate with a rigid middle over that of the free circle.

    By reciprocity the volume that the plate sweeps under a force at its middle, per stroke; exact for strokes small
    against the thickness. The bent shape is that of `plate_stiffness`, with x = r/a and m = log b:
    w = A + B log x + C x^2 + E x^2 log x, clamped at x = 1 and level at x = b.
    """
    b = np.asarray(ratio, dtype=float)
    m = np.log(b)
    # With E = 1: w(1) = 0, w'(1) = 0 and w'(b) = 0 leave A = -C, B = -2 C - 1, and C from the last.
    c = -((2 * m + 1) * b**2 - 1) / (2 * (b**2 - 1))
    one = -2 * c - 1
    middle = -c + one * m + c * b**2 + b**2 * m
    # Integral of 2 x w from b to 1, term by term.
    swept = -c * (1 - b**2) + one * _moment(b, m, 2) + c * (1 - b**4) / 2 + _moment(b, m, 4)
    return b**2 + swept / middle


def _moment(b: np.ndarray, m: np.ndarray, power: int) -> np.ndarray:
    """Return the integral of 2 x^(power-1) log x from b to 1."""
    return 2 * (-1 / power**2 - b**power * (m / power - 1 / power**2))


def plate_stiffness(ratio: Scalar, free_diameter: Scalar, thickness: Scalar, young: Scalar) -> Number:
    """Return the stiffness of a clamped elastic plate with a rigid middle, N/m, for small strokes.

    w = P a^2/(16 pi D) (1 - b^2 - 4 b^2 log(b)^2/(1 - b^2)), D = E h^3/(12 (1 - nu^2)): Timoshenko and
    Woinowsky-Krieger, Theory of Plates and Shells, table 3 (its k1 at nu 0.3).
    """
    b = np.asarray(ratio, dtype=float)
    shape = 1 - b**2 - 4 * b**2 * np.log(b) ** 2 / (1 - b**2)
    rigidity = np.asarray(young) * np.asarray(thickness) ** 3 / (12 * (1 - POISSON**2))
    return 16 * np.pi * rigidity / ((np.asarray(free_diameter) / 2) ** 2 * shape)
