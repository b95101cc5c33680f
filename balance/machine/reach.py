"""Whether the rods can reach without locking, and how many angles a cycle needs."""

from collections.abc import Iterator

import numpy as np

from balance.errors import Complaint
from balance.machine.crank import Throw
from balance.machine.yoke import Yoke
from balance.quantities import Number, Scalar

ANGLES = (72, 144)
# A Fourier series cut off at half as many orders as angles is then exact to about this.
SPECTRAL_ERROR = 1e-10
LEAN = 70
"""How far a rod may lean from the stroke at the most, deg.

Square across it nothing moves on, and well before that friction in the pins, which is not computed, decides whether it
does. As a rule linkages are kept under 50 degrees (common practice, no source).
"""
STEEPEST = np.sin(np.deg2rad(LEAN))


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
    """Yield a complaint naming yoke and crank angle where a rod cannot reach, or leans so far that it may lock."""
    if yoke.rod is None:
        return
    length, offset, radius, phase = np.broadcast_arrays(
        yoke.rod.length, np.asarray(centre_distance) / 2 - yoke.half_span, throw.radius, throw.phase
    )
    farthest = np.abs(offset) + radius
    wrong = ~(farthest <= length * STEEPEST)
    if not np.any(wrong):
        return
    worst = int(np.argmax(farthest / length))
    rod, across, side, turned = (float(each.flat[worst]) for each in (length, farthest, offset, phase))
    angle = np.rad2deg((np.pi / 2 if side >= 0 else -np.pi / 2) - turned) % 360
    what = "too short to reach" if across > rod else f"leaning by {np.rad2deg(np.arcsin(across / rod)):.3g} deg"
    short = f" by {(across - rod) * 1e3:.3g} mm" if across > rod else ", where it may lock"
    yield Complaint(
        ("yokes", name, "rod", "length"),
        f"{rod * 1e3:g} mm, {what} at crank angle {angle:.0f} deg{short}",
        f"{np.ceil(across / STEEPEST * 1e5) / 1e2:g} mm or more, so that it leans by {LEAN} deg at the most",
        wrong,
    )


def angles_needed(ratio: Scalar) -> np.ndarray:
    """Return how many equally spaced crank angles make every harmonic exact to 1e-10.

    The rod's square root is analytic in a strip of half-width arccosh(ratio) about the real crank
    angle, so its n-th harmonic falls as exp(-n arccosh(ratio)) (Trefethen and Weideman, SIAM Review
    56 (2014), theorem 3.1). Integer, shape (options...); the largest count offered where none is enough.
    """
    wanted = -2 * np.log(SPECTRAL_ERROR) / np.arccosh(np.maximum(np.asarray(ratio, dtype=float), 1 + 1e-12))
    return np.asarray(ANGLES)[np.minimum(np.searchsorted(ANGLES, wanted), len(ANGLES) - 1)]
