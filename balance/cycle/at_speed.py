"""What must be worked out at each speed, because it grows by no power of it: what vibration adds to a load.

Until a speed is known it is added, scaled and picked from like an array over crank angle; for a single design.
"""

from collections.abc import Callable
from typing import Any

import numpy as np

from balance.quantities import Scalar, result


class AtSpeed:
    """An array (..., angles) that waits for a speed.

    of : returns it at several speeds, rad/s, (speeds,), as (speeds, *shape); `at` takes any shape of them, as loads do.
    shape : at one speed.
    """

    __array_ufunc__ = None  # numpy leaves sums and products with arrays to this class

    def __init__(self, of: Callable[[np.ndarray], np.ndarray], shape: tuple[int, ...]):
        self.of, self.shape = of, shape

    @property
    def ndim(self) -> int:
        """Axes at one speed."""
        return len(self.shape)

    def at(self, speed: Scalar) -> np.ndarray:
        """Return it at a speed, or at several along a first axis; shaped as `Load.at` has it."""
        speed = np.asarray(speed, dtype=float)
        values = self.of(speed.reshape(-1))
        if speed.size == 1:
            return values.reshape((1,) * max(0, speed.ndim + 1 - self.ndim) + self.shape)
        ahead = speed.shape[: max(1, speed.ndim + 1 - self.ndim)]
        behind = (1,) * max(0, speed.ndim + 1 - len(ahead) - self.ndim)
        return values.reshape(*ahead, *behind, *self.shape)

    @property
    def kept(self) -> "AtSpeed":
        """The same, that remembers what it was at the last speeds: for what many sums share."""
        return AtSpeed(Last(self.of), self.shape)

    def __neg__(self) -> "AtSpeed":
        return self * -1.0

    def __mul__(self, factor: Scalar) -> "AtSpeed":
        factors = np.asarray(factor)
        shape = np.broadcast_shapes(self.shape, factors.shape)
        return AtSpeed(lambda speeds: self.with_axes(speeds, len(shape)) * factors, shape)

    __rmul__ = __mul__

    def __add__(self, other: "AtSpeed | Scalar") -> "AtSpeed":
        more = other if isinstance(other, AtSpeed) else np.asarray(other)
        shape = np.broadcast_shapes(self.shape, more.shape)
        if isinstance(more, AtSpeed):
            return AtSpeed(lambda at: self.with_axes(at, len(shape)) + more.with_axes(at, len(shape)), shape)
        return AtSpeed(lambda at: self.with_axes(at, len(shape)) + more, shape)

    __radd__ = __add__

    def __getitem__(self, key: Any) -> "AtSpeed":
        """Pick along the first axis, or along the last ones by (..., None, :) and the like."""
        last_axes = isinstance(key, tuple) and key[0] is Ellipsis
        behind_speeds = key if last_axes else (slice(None), *(key if isinstance(key, tuple) else (key,)))
        return AtSpeed(lambda speeds: self.of(speeds)[behind_speeds], np.broadcast_to(0.0, self.shape)[key].shape)

    def with_axes(self, speeds: np.ndarray, axes: int) -> np.ndarray:
        """Return it at several speeds with so many axes behind theirs, new ones first, so that it broadcasts."""
        values = self.of(speeds)
        return values if axes == self.ndim else values.reshape(len(speeds), *(1,) * (axes - self.ndim), *self.shape)


class Last:
    """Some work that remembers what it made of the last speeds."""

    def __init__(self, work: Callable[[np.ndarray], np.ndarray]):
        self._work, self._last = work, (b"", np.zeros(0))

    def __call__(self, speeds: np.ndarray) -> np.ndarray:
        """Return it at several speeds."""
        key = speeds.tobytes()
        if key != self._last[0]:
            self._last = key, self._work(speeds)
        return self._last[1]


@result
class Rows:
    """Many rows at a few angles, from which weighed sums are made before they are spread over the cycle.

    of : returns them at several speeds, (speeds, rows, few).   count : of the rows.
    onto : what takes them to the angles of the cycle, (few, angles).
    """

    of: Callable[[np.ndarray], np.ndarray]
    count: int
    onto: np.ndarray


class Weighed(AtSpeed):
    """Sums of rows, as weights (..., rows) say: (..., angles)."""

    def __init__(self, weights: np.ndarray, rows: Rows):
        shape = (*weights.shape[:-1], rows.onto.shape[1])
        super().__init__(lambda speeds: _summed(weights, rows.of(speeds), rows.onto), shape)
        self.weights, self.rows = weights, rows

    def __getitem__(self, key: Any) -> AtSpeed:
        if isinstance(key, tuple):
            return super().__getitem__(key)
        return Weighed(self.weights[key], self.rows)  # what is not asked for is not worked out


def _summed(weights: np.ndarray, few: np.ndarray, onto: np.ndarray) -> np.ndarray:
    """Return weights @ few @ onto; complex weights by their two parts, as all else would be made complex for them."""
    if not np.iscomplexobj(weights):
        return np.asarray(np.ascontiguousarray(weights) @ few @ onto)
    real, imaginary = _summed(weights.real, few, onto), _summed(weights.imag, few, onto)
    both = np.empty(real.shape, complex)
    both.real, both.imag = real, imaginary
    return both


def stacked(parts: list[Any]) -> AtSpeed:
    """Return several of them, or arrays, each (..., angles), as rows of one, (..., rows, angles)."""
    every = [each if isinstance(each, AtSpeed) else _still(each) for each in parts]
    shape = np.broadcast_shapes(*(each.shape for each in every))

    def of(speeds: np.ndarray) -> np.ndarray:
        return np.stack(np.broadcast_arrays(*(each.with_axes(speeds, len(shape)) for each in every)), axis=-2)

    return AtSpeed(of, (*shape[:-1], len(every), shape[-1])).kept


def _still(values: Scalar) -> AtSpeed:
    """Return what is the same at every speed."""
    values = np.atleast_1d(values)
    return AtSpeed(lambda speeds: np.broadcast_to(values, (len(speeds), *values.shape)), values.shape)


def accelerated(moved: AtSpeed) -> AtSpeed:
    """Return the acceleration, by time squared, of what moves so over crank angle: exact for its orders."""
    count = moved.shape[-1]
    squares = np.fft.rfftfreq(count, 1 / count) ** 2

    def of(speeds: np.ndarray) -> np.ndarray:
        values = moved.of(speeds)
        fast = (speeds**2).reshape(-1, *(1,) * moved.ndim)
        return -fast * np.fft.irfft(squares * np.fft.rfft(values, axis=-1), count, axis=-1)

    return AtSpeed(of, moved.shape).kept
