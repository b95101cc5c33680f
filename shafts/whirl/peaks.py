"""The speeds at which vibration peaks: about critical speeds that the loads drive, each closed in on."""

import numpy as np

from shafts.whirl.remembered import Work, in_pieces

WORTH = 0.01  # share of a deflection from which a peak is worth looking at
STEPS = 5  # speeds about each resonance that are tried, and then where these have their peak
CROWDED = 40  # resonances beyond which no peak is closed in on: as they stand they tell as much


def peaks_of(
    share: Work, critical: np.ndarray, felt: np.ndarray, wide: float, range_: tuple[float, float]
) -> list[float]:
    """Return the speeds within a range at which a share peaks and comes to WORTH or more, rad/s, rising.

    share : that vibration makes up at several speeds, (speeds,).   critical : speeds within the range, rad/s, rising.
    felt : the share to which each of them is driven by itself, about.   wide : how wide a peak is, as a share of its
    speed.   Where there is no peak about a critical speed, it stands for itself; where very many run into each other,
    the strongest of those within half a width stands for them.
    """
    least, most = range_
    driven, felt = critical[felt >= WORTH / 2], felt[felt >= WORTH / 2]
    near = _apart(driven, wide / 4)
    if len(near) > CROWDED:
        speeds = _strongest(driven, felt, wide / 2)
    else:
        speeds = _about(share, near, np.maximum(near * (1 - wide), least), np.minimum(near * (1 + wide), most))
    return [float(each) for each in _apart(speeds[in_pieces(share, speeds) >= WORTH], wide / 8)]


def _about(share: Work, near: np.ndarray, low: np.ndarray, high: np.ndarray) -> np.ndarray:
    """Return the peaks of a share about some speeds, each between two; where there is none, the speed itself."""
    if not len(near):
        return near
    tried = low[:, None] + (high - low)[:, None] * np.linspace(0.0, 1.0, STEPS)
    size = in_pieces(share, tried.reshape(-1)).reshape(tried.shape)
    highest = np.argmax(size, axis=1)
    peaks = np.flatnonzero((highest > 0) & (highest < STEPS - 1))
    about = np.arange(-1, 2) + highest[peaks, None]
    three, sizes = np.take_along_axis(tried[peaks], about, axis=1), np.take_along_axis(size[peaks], about, axis=1)
    first = _summit(three, sizes)
    three, sizes = _closer(three, sizes, first, in_pieces(share, first))
    return np.unique(np.append(np.delete(near, peaks), _summit(three, sizes)))


def _apart(speeds: np.ndarray, share: float) -> np.ndarray:
    """Return rising speeds without those that stand less than a share above the one kept before."""
    kept: list[float] = []
    for each in speeds:
        if not kept or each > kept[-1] * (1 + share):
            kept.append(each)
    return np.array(kept)


def _strongest(speeds: np.ndarray, felt: np.ndarray, share: float) -> np.ndarray:
    """Return rising speeds without those that stand within a share of a stronger one."""
    kept: list[float] = []
    for each in speeds[np.argsort(-felt, kind="stable")]:
        if all(abs(each / other - 1) > share for other in kept):
            kept.append(float(each))
    return np.sort(kept)


def _summit(speeds: np.ndarray, sizes: np.ndarray) -> np.ndarray:
    """Return where amplitudes at three rising speeds each, the middle one the largest, have their peak, (peaks,).

    About its peak the inverse square of an amplitude goes as a parabola of speed.
    """
    (before, here, after), (low, middle, high) = speeds.T, (sizes**-2.0).T
    left, right = (low - middle) / (here - before), (high - middle) / (after - here)
    total = left + right
    shift = (left * (after - here) - right * (here - before)) / np.where(total > 0, 2 * total, np.inf)
    return np.clip(here + shift, (before + here) / 2, (here + after) / 2)


def _closer(
    speeds: np.ndarray, sizes: np.ndarray, further: np.ndarray, further_sizes: np.ndarray
) -> tuple[np.ndarray, np.ndarray]:
    """Return of three speeds each and a further one the largest between its neighbours, with their amplitudes."""
    every, all_sizes = np.column_stack([speeds, further]), np.column_stack([sizes, further_sizes])
    order = np.argsort(every, axis=1)
    every, all_sizes = np.take_along_axis(every, order, axis=1), np.take_along_axis(all_sizes, order, axis=1)
    about = np.arange(-1, 2) + np.clip(np.argmax(all_sizes, axis=1), 1, 2)[:, None]
    known = (further == speeds[:, 1])[:, None]  # nothing new: two alike have no parabola
    return (np.where(known, speeds, np.take_along_axis(every, about, axis=1)),
            np.where(known, sizes, np.take_along_axis(all_sizes, about, axis=1)))  # fmt: skip
