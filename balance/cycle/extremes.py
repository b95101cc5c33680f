"""Where a smooth curve over the cycle is least or largest, between the angles at which it was computed."""

from collections.abc import Iterable
from dataclasses import dataclass

import numpy as np

from balance.cycle.harmonics import orders


def least(values: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    """Return the least value over the cycle and the crank angle at which it stands.

    values : (..., angles), equally spaced over one turn from zero. A parabola through the lowest
    three neighbours is used; its error falls with the fourth power of the step.
    Returns two arrays (...): the value in its own unit, and the angle in rad, 0 to 2 pi.
    """
    values = np.asarray(values)
    index = np.argmin(values, axis=-1)
    return _vertex(_neighbours(values, index), index, values.shape[-1])


def largest(values: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    """Return the largest value over the cycle and its crank angle; shapes as in `least`."""
    values = np.asarray(values)
    index = np.argmax(values, axis=-1)
    value, angle = _vertex([-each for each in _neighbours(values, index)], index, values.shape[-1])
    return -value, angle


def highest(values: np.ndarray) -> np.ndarray:
    """Return the largest of the values (..., angles) themselves, with no parabola; for a bound."""
    index = np.argmax(values, axis=-1)  # along short rows in half the time that np.max takes
    return values.reshape(-1).take(_first(index, values.shape[-1]) + index)


def largest_roots(squares: Iterable[np.ndarray]) -> tuple[np.ndarray, np.ndarray]:
    """Return of each of several curves of squares what `largest` returns of their square roots, for less work.

    squares : each (..., angles), never negative, all alike.   Returns two arrays (curves, ...).
    """
    indices, beside = [], []
    for values in squares:
        index = np.argmax(values, axis=-1)
        indices.append(index)
        beside.append(_neighbours(values, index))
        count = values.shape[-1]
    three = [-np.sqrt(np.array(values)) for values in zip(*beside, strict=True)]
    value, angle = _vertex(three, np.array(indices), count)
    return -value, angle


def _neighbours(values: np.ndarray, index: np.ndarray) -> list[np.ndarray]:
    """Return the values before, at and after an index of each curve, each (...)."""
    count, flat = values.shape[-1], values.reshape(-1)
    here = _first(index, count) + index
    before, after = (here - 1 + count * (index == 0), here + 1 - count * (index == count - 1))
    return [flat.take(each) for each in (before, here, after)]


def _first(index: np.ndarray, count: int) -> np.ndarray:
    """Return where each of several curves of `count` angles begins if they follow each other, shaped as `index`."""
    return (np.arange(index.size) * count).reshape(np.shape(index))


def _vertex(beside: list[np.ndarray], index: np.ndarray, count: int) -> tuple[np.ndarray, np.ndarray]:
    """Return the lowest value of the parabola through an index and its neighbours, and its crank angle."""
    before, here, after = beside
    with np.errstate(divide="ignore", invalid="ignore"):  # where a curve is infinite throughout, there is no parabola
        bend = before - 2 * here + after
        slope = (after - before) / 2
        shift = np.where(bend > 0, -slope / bend, 0.0)
        value = np.where(bend > 0, here + slope * shift / 2, here)
    return value, ((index + shift) * (2 * np.pi / count)) % (2 * np.pi)


def least_of_smooth(values: np.ndarray) -> np.ndarray:
    """Return the least value over the cycle of a curve that its orders describe exactly, in its own unit.

    values : (..., angles), equally spaced over one turn from zero. Newton's method on the trigonometric
    interpolant from the lowest angle, exact to rounding once the orders have died out. Returns (...).
    """
    count = values.shape[-1]
    spectrum = orders(values, count // 2 - 1)
    number = np.arange(spectrum.shape[-1])
    angle = least(values)[1]  # near enough for three steps to end in rounding
    step = np.pi / count
    for _ in range(3):
        turning = spectrum * _turns(angle, len(number))
        slope, bend = -np.sum(number * turning.imag, axis=-1), -np.sum(number**2 * turning.real, axis=-1)
        # A curve that is flat to rounding has no bend to divide by, and nowhere to go.
        angle = angle - np.clip(np.where(bend > 0, slope / np.where(bend > 0, bend, 1.0), 0.0), -step, step)
    return np.sum((spectrum * _turns(angle, len(number))).real, axis=-1)


def _turns(angle: np.ndarray, count: int) -> np.ndarray:
    """Return exp(i n angle) for n from 0 to count - 1, (..., count), by products: a tenth of the time of exp."""
    turns = np.broadcast_to(np.exp(1j * angle)[..., None], (*np.shape(angle), count)).copy()
    turns[..., 0] = 1.0
    return np.multiply.accumulate(turns, axis=-1)


@dataclass(frozen=True)
class Spot:
    """Where one curve is least: the nearest angle by index, and how far beyond it, in steps (-1/2 to 1/2)."""

    index: int
    shift: float

    def angle(self, count: int) -> float:
        """Return the crank angle, rad, of a curve with so many angles."""
        return ((self.index + self.shift) * (2 * np.pi / count)) % (2 * np.pi)

    def of(self, values: np.ndarray) -> float:
        """Return another curve of the same cycle there, by the same parabola, so that sums stay sums."""
        weights = (self.shift * (self.shift - 1) / 2, 1 - self.shift**2, self.shift * (self.shift + 1) / 2)
        indices = [(self.index + step) % values.shape[-1] for step in (-1, 0, 1)]
        return float(sum(weight * values[index] for weight, index in zip(weights, indices, strict=True)))


def spot_of_least(values: np.ndarray) -> Spot:
    """Return where a curve of one design, (angles,), is least, as `least` finds it."""
    index = int(np.argmin(values))
    angle = float(least(values)[1]) * values.shape[-1] / (2 * np.pi)
    shift = (angle - index + values.shape[-1] / 2) % values.shape[-1] - values.shape[-1] / 2
    return Spot(index, shift)
