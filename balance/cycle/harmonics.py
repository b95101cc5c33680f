"""The harmonics of a value over the cycle."""

import numpy as np


def orders(values: np.ndarray, most: int = 8) -> np.ndarray:
    """Return the complex amplitudes of orders 0 to `most` of a load over the cycle.

    values : (..., angles), equally spaced over one turn from crank angle zero.
    Returns (..., most + 1): value(theta) = sum of Re(c_n exp(i n theta)), so |c_n| is the peak of
    order n and -arg(c_n)/n the first crank angle at which it peaks; c_0 is the mean.
    """
    values = np.asarray(values)
    count = values.shape[-1]
    spectrum = np.fft.rfft(values, axis=-1)[..., : most + 1] / count
    return np.concatenate([spectrum[..., :1], 2 * spectrum[..., 1:]], axis=-1)


def order(values: np.ndarray, number: int) -> np.ndarray:
    """Return one of these amplitudes by itself, (...), for less work; not the mean."""
    count = values.shape[-1]
    angle = np.arange(count) * (2 * np.pi * number / count)
    return (values @ np.cos(angle) - 1j * (values @ np.sin(angle))) * (2 / count)
