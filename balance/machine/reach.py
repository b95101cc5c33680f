"""Whether the rods can reach, and how many angles a cycle needs."""

from collections.abc import Iterator

import numpy as np

from balance.errors import Complaint
from balance.machine.crank import Throw
from balance.machine.yoke import Yoke
from balance.quantities import Number, Scalar

ANGLES = (72, 144, 288, 576, 1152, 2304)
# A Fourier series cut off at half as many orders as angles is then exact to about this.
SPECTRAL_ERROR = 1e-10
REACHES = 1 + 1e-9  # least ratio: with a rod square across the stroke, to rounding, nothing moves on


def reach_ratio(yoke: Yoke, throw: Throw, centre_distance: Scalar) -> Number:
    """Return how far beyond the crankpin circle the rod would still reach, as a ratio of the throw radius.

    The rod's end moves across by e + r sin(phi), e = c/2 - b; it reaches at every angle when
    (l - |e|) / r exceeds one. Dimensionless, shape (options...). Infinite for a slot.
    """
    if yoke.rod is None:
        return np.inf
    offset = np.abs(np.asarray(centre_distance) / 2 - yoke.half_span)
    return (yoke.rod.length - offset) / throw.radius


def unreachable(name: str, yoke: Yoke, throw: Throw, centre_distance: Scalar) -> Iterator[Complaint]:
    """Yield a complaint naming yoke, crank angle and missing length where a rod cannot reach."""
    ratio = np.asarray(reach_ratio(yoke, throw, centre_distance))
    if np.all(ratio > REACHES):
        return
    assert yoke.rod is not None
    worst = int(np.argmin(ratio))
    length, span, radius, phase, distance = (
        float(np.broadcast_to(value, ratio.shape).flat[worst])
        for value in (yoke.rod.length, yoke.half_span, throw.radius, throw.phase, centre_distance)
    )
    offset = distance / 2 - span
    farthest = abs(offset) + radius
    angle = np.rad2deg((np.pi / 2 if offset >= 0 else -np.pi / 2) - phase) % 360
    yield Complaint(
        ("yokes", name, "rod", "length"),
        f"{length * 1e3:g} mm, too short to reach at crank angle {angle:.0f} deg by {(farthest - length) * 1e3:.3g} mm",
        f"more than {farthest * 1e3:g} mm",
        ~(ratio > REACHES),
    )


def angles_needed(ratio: Scalar) -> np.ndarray:
    """Return how many equally spaced crank angles make every harmonic exact to 1e-10.

    The rod's square root is analytic in a strip of half-width arccosh(ratio) about the real crank
    angle, so its n-th harmonic falls as exp(-n arccosh(ratio)) (Trefethen and Weideman, SIAM Review
    56 (2014), theorem 3.1). Integer, shape (options...); the largest count offered where none is enough.
    """
    wanted = -2 * np.log(SPECTRAL_ERROR) / np.arccosh(np.maximum(np.asarray(ratio, dtype=float), 1 + 1e-12))
    return np.asarray(ANGLES)[np.minimum(np.searchsorted(ANGLES, wanted), len(ANGLES) - 1)]
