"""Whirl of a shaft: natural frequencies that split with speed, and the speeds at which something meets them.

With w = y + i x in the sense of turning, a whirl exp(i f t) at shaft speed W obeys
v = A (f^2 M - f W G) v, with A the flexibility, M masses and diametral inertias, G polar inertias
(e.g. Genta, Dynamics of Rotating Systems, chapter 4; Den Hartog, Mechanical Vibrations, chapter 6).
f > 0 whirls with the turning and f < 0 against it. All without damping.
"""

import numpy as np

from balance.quantities import Number, over_angle
from shafts.whirl.rotor import Rotor


def critical_speeds(rotor: Rotor, order: int = 1) -> np.ndarray:
    """Return the speeds, rad/s, at which the shaft whirls `order` times a turn, rising, (options..., n).

    order : positive for whirl with the turning (1: what an unbalance excites), negative for whirl against it.
    Where there are fewer than n of them, inf: a thin disc has no critical tilt with the turning.
    """
    # With A = C C^T the eigenvalues of A D are those of C^T D C, which is symmetric.
    moved = (order**2 * rotor.mass - order * rotor.spin)[..., None] * rotor.root
    inverse = np.linalg.eigvalsh(np.swapaxes(rotor.root, -1, -2) @ moved)[..., ::-1]
    real = inverse > 1e-12 * np.max(np.abs(inverse), axis=-1, keepdims=True)
    return np.where(real, 1 / np.sqrt(np.where(real, inverse, 1.0)), np.inf)


def first_critical(rotor: Rotor, order: int = 1) -> np.ndarray:
    """Return the lowest critical speed of an order, rad/s, (options...)."""
    return critical_speeds(rotor, order)[..., 0]


def whirl_frequencies(rotor: Rotor, speed: Number, count: int = 4) -> tuple[np.ndarray, np.ndarray]:
    """Return the lowest natural frequencies with and against the turning at a speed, rad/s, rising.

    Both (options..., count); inf where there are fewer. In modes of the shaft at rest, with frequencies L,
    they are the eigenvalues of the symmetric matrix [[0, L], [L, W G]].
    """
    rest, modes = _rest_modes(rotor)
    turning = np.swapaxes(modes, -1, -2) @ (rotor.spin[..., None] * modes) * over_angle(over_angle(speed))
    springs = rest[..., None] * np.eye(rest.shape[-1])
    both = np.concatenate([np.zeros_like(springs), springs], axis=-1)
    other = np.concatenate([springs, turning], axis=-1)
    found = np.linalg.eigvalsh(np.concatenate(np.broadcast_arrays(both, other), axis=-2))
    half = rest.shape[-1]
    return _first(found[..., half:], count), _first(-found[..., :half][..., ::-1], count)


def _first(frequencies: np.ndarray, count: int) -> np.ndarray:
    """Return the first so many frequencies, (options..., count), inf where there are fewer."""
    missing = max(0, count - frequencies.shape[-1])
    none = np.full((*frequencies.shape[:-1], missing), np.inf)
    return np.concatenate([frequencies, none], axis=-1)[..., :count]


def _rest_modes(rotor: Rotor) -> tuple[np.ndarray, np.ndarray]:
    """Return natural frequencies at rest, rad/s, rising, and modes of unit mass as columns.

    As many as the shaft's stations have without a constraint; a station that a rigid bearing holds has none.
    """
    root = np.sqrt(rotor.mass)
    inverse, vectors = np.linalg.eigh(root[..., :, None] * rotor.give * root[..., None, :])
    moving = int(np.min(np.sum(inverse > 1e-12 * inverse[..., -1:], axis=-1)))
    chosen, vectors = inverse[..., ::-1][..., :moving], vectors[..., ::-1][..., :moving]
    weights = np.where(root > 0, 1 / np.where(root > 0, root, 1.0), 0.0)
    return 1 / np.sqrt(chosen), weights[..., None] * vectors
