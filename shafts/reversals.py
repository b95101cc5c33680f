"""Where and at what speeds a load reverses its direction: that is where play is crossed, and heard.

A load that keeps its line (a pin's along its rod, a tooth's) reverses where it is zero. One that
turns (a bearing's) is said to reverse where its direction swings by more than a right angle within a short
piece of the turn; one that turns with the shaft never does, though it points everywhere in turn.
"""

from collections.abc import Callable, Sequence

import numpy as np

from balance.cycle.load import Load

FINER = 8  # a curve known to rounding by its harmonics is drawn that much finer before its zeros are sought
WINDOW = np.deg2rad(20.0)  # crank angle within which a load must swing by a right angle to count as reversing
ROUNDING = 1e-9  # of the largest load nearby; what is smaller is no load


def one_sense(load: Load) -> list[tuple[np.ndarray, np.ndarray]]:
    """Return the two ranges of speed, rad/s, (options...), where a load keeps one sense all round: plus, then minus.

    The least of the load over the cycle is concave in speed squared, so each sense is kept in one range, whose ends
    are the largest and least of the speeds at which the load vanishes. A range that ends before it begins is none.
    """
    steady, inertia = (
        _resampled(each) for each in np.broadcast_arrays(np.asarray(load.steady, dtype=float), load.inertia)
    )
    return [_positive(steady, inertia), _positive(-steady, -inertia)]


def reversing(load: Load, least: float, most: float) -> list[tuple[float, float]]:
    """Return the ranges of speed in [least, most], rad/s, in which one design's load reverses in the turn."""
    kept = sorted((float(low), float(high)) for low, high in one_sense(load) if low < high)
    ranges, start = [], least
    for low, high in kept:
        if low > start:
            ranges.append((start, min(low, most)))
        start = max(start, high)
    if start < most:
        ranges.append((start, most))
    return [(low, high) for low, high in ranges if low < high]


def sense_changes(values: np.ndarray, scale: float = 0.0) -> tuple[np.ndarray, np.ndarray]:
    """Return the crank angles, rad, at which one design's load crosses zero, and its slope there per radian.

    values : (angles,), equally spaced over one turn from zero.   scale : a load beside which rounding errors
    are to be told from loads, N.
    """
    fine = _resampled(np.asarray(values, dtype=float))
    largest = float(np.max(np.abs(fine)))
    if largest <= ROUNDING * scale or largest == 0:
        return np.array([]), np.array([])
    step, after = 2 * np.pi / fine.size, np.roll(fine, -1)
    index = np.flatnonzero((fine < 0) != (after < 0))
    share = fine[index] / (fine[index] - after[index])
    slope = _resampled(_slope(np.asarray(values, dtype=float)))
    slope_there = slope[index] * (1 - share) + np.roll(slope, -1)[index] * share
    return (index + share) * step % (2 * np.pi), slope_there


def swings(x: np.ndarray, y: np.ndarray, scale: float = 0.0) -> tuple[np.ndarray, np.ndarray]:
    """Return the crank angles, rad, at which one design's turning load reverses, and how fast it changes, N/rad.

    x, y : (angles,), equally spaced over one turn.   scale : as in `sense_changes`.
    The load half a window ahead has a negative projection on that half a window back; the angle is that of
    the smallest load between.
    """
    x, y = _resampled(np.asarray(x, dtype=float)), _resampled(np.asarray(y, dtype=float))
    size = np.hypot(x, y)
    if np.max(size) <= ROUNDING * scale or np.max(size) == 0:
        return np.array([]), np.array([])
    half = max(1, round(WINDOW / 2 / (2 * np.pi / size.size)))
    ahead, back = (np.stack([np.roll(each, shift) for each in (x, y)]) for shift in (-half, half))
    turned = np.sum(ahead * back, axis=0) < 0
    rate = np.hypot(*(ahead - back)) / (2 * half * 2 * np.pi / size.size)
    places = [run[np.argmin(size[run])] for run in _runs(turned)]
    return np.array(places, dtype=float) * (2 * np.pi / size.size), rate[places]


def switches(holds: Callable[[float], bool], least: float, most: float, scan: int = 24) -> list[tuple[float, float]]:
    """Return the ranges of an argument within [least, most] where a condition holds, ends found by bisection.

    What comes and goes between two of the equally spaced values tried is missed.
    """
    tried = np.linspace(least, most, scan + 1)
    states = [holds(float(each)) for each in tried]
    ends = [
        _bisect(holds, float(tried[index]), float(tried[index + 1]), states[index])
        for index in range(scan)
        if states[index] != states[index + 1]
    ]
    return _ranges(least, ends, most, states[0])


def ranges_tried(tried: np.ndarray, states: Sequence[bool]) -> list[tuple[float, float]]:
    """Return the ranges of an argument where a condition held when it was tried; they end midway between two values."""
    ends = (tried[:-1] + tried[1:])[np.diff(states)] / 2
    return _ranges(float(tried[0]), [float(each) for each in ends], float(tried[-1]), states[0])


def _ranges(least: float, ends: list[float], most: float, at_least: bool) -> list[tuple[float, float]]:
    """Return the ranges within [least, most] of what comes or goes at each of some ends."""
    marks = [least] * at_least + ends
    marks += [most] * (len(marks) % 2)
    return list(zip(marks[::2], marks[1::2], strict=True))


def _bisect(holds: Callable[[float], bool], low: float, high: float, at_low: bool) -> float:
    for _ in range(30):
        middle = (low + high) / 2
        low, high = (middle, high) if holds(middle) == at_low else (low, middle)
    return (low + high) / 2


def _positive(steady: np.ndarray, inertia: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    """Return from what to what speed steady + omega^2 inertia is nowhere negative."""
    # What is a rounding error of the largest part is none: an exact zero would else shut the range.
    scale = ROUNDING * np.max(np.abs(steady), axis=-1, keepdims=True)
    small = np.abs(inertia) <= ROUNDING * np.max(np.abs(inertia), axis=-1, keepdims=True)
    square = -steady / np.where(small, 1.0, inertia)
    low = np.max(np.where(~small & (inertia > 0), square, 0.0), axis=-1)
    high = np.min(np.where(~small & (inertia < 0), square, np.inf), axis=-1)
    never = np.any(small & (steady < -scale), axis=-1)
    low, high = np.maximum(low, 0.0), np.where(never, -1.0, high)
    return np.sqrt(low), np.sqrt(np.maximum(high, 0.0))


def _resampled(values: np.ndarray) -> np.ndarray:
    """Return a periodic curve at FINER times as many angles, through its harmonics."""
    count = values.shape[-1]
    return np.fft.irfft(np.fft.rfft(values, axis=-1), FINER * count, axis=-1) * FINER


def _slope(values: np.ndarray) -> np.ndarray:
    """Return a periodic curve's derivative by angle, at the same angles, through its harmonics."""
    spectrum = np.fft.rfft(values)
    return np.fft.irfft(1j * np.arange(spectrum.size) * spectrum, values.size)


def _runs(marked: np.ndarray) -> list[np.ndarray]:
    """Return the places of each run of marked places on a ring."""
    if not np.any(marked) or np.all(marked):
        return [np.flatnonzero(marked)] if np.any(marked) else []
    start = int(np.argmin(marked))
    order = np.roll(np.arange(marked.size), -start)
    ring = marked[order]
    edges = np.flatnonzero(np.diff(ring.astype(int))) + 1
    return [run for run in np.split(order, edges) if marked[run[0]]]
