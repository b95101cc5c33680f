"""Where a smooth curve over the cycle is least or largest, between the angles at which it was computed."""

from dataclasses import dataclass

import numpy as np

from balance.growth import orders


def least(values: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    """Return the least value over the cycle and the crank angle at which it stands.

    values : (..., angles), equally spaced over one turn from zero. A parabola through the lowest
    three neighbours is used; its error falls with the fourth power of the step.
    Returns two arrays (...): the value in its own unit, and the angle in rad, 0 to 2 pi.
    """
    count = values.shape[-1]
    place = np.argmin(values, axis=-1)[..., None]
    before, here, after = (np.take_along_axis(values, (place + shift) % count, axis=-1)[..., 0] for shift in (-1, 0, 1))
    with np.errstate(divide="ignore", invalid="ignore"):  # where a curve is infinite throughout, there is no parabola
        bend = before - 2 * here + after
        slope = (after - before) / 2
        shift = np.where(bend > 0, -slope / bend, 0.0)
        value = np.where(bend > 0, here + slope * shift / 2, here)
    return value, ((place[..., 0] + shift) * (2 * np.pi / count)) % (2 * np.pi)


def largest(values: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    """Return the largest value over the cycle and its crank angle; shapes as in `least`."""
    value, angle = least(-values)
    return -value, angle


def least_of_smooth(values: np.ndarray) -> np.ndarray:
    """Return the least value over the cycle of a curve that its orders describe exactly, in its own unit.

    values : (..., angles), equally spaced over one turn from zero. Newton's method on the trigonometric
    interpolant from the lowest angle, exact to rounding once the orders have died out. Returns (...).
    """
    count = values.shape[-1]
    spectrum = orders(values, count // 2 - 1)
    number = np.arange(spectrum.shape[-1])
    angle = np.argmin(values, axis=-1) * (2 * np.pi / count)
    step = np.pi / count
    for _ in range(5):
        turning = spectrum * np.exp(1j * number * angle[..., None])
        slope, bend = -np.sum(number * turning.imag, axis=-1), -np.sum(number**2 * turning.real, axis=-1)
        # A curve that is flat to rounding has no bend to divide by, and nowhere to go.
        angle = angle - np.clip(np.where(bend > 0, slope / np.where(bend > 0, bend, 1.0), 0.0), -step, step)
    return np.sum((spectrum * np.exp(1j * number * angle[..., None])).real, axis=-1)


@dataclass(frozen=True)
class Spot:
    """Where one curve is least: the nearest angle by index, and how far beyond it, in steps (-1/2 to 1/2)."""

    place: int
    shift: float

    def angle(self, count: int) -> float:
        """Return the crank angle, rad, of a curve with so many angles."""
        return ((self.place + self.shift) * (2 * np.pi / count)) % (2 * np.pi)

    def of(self, values: np.ndarray) -> float:
        """Return another curve of the same cycle there, by the same parabola, so that sums stay sums."""
        weights = (self.shift * (self.shift - 1) / 2, 1 - self.shift**2, self.shift * (self.shift + 1) / 2)
        places = [(self.place + step) % values.shape[-1] for step in (-1, 0, 1)]
        return float(sum(weight * values[place] for weight, place in zip(weights, places, strict=True)))


def spot_of_least(values: np.ndarray) -> Spot:
    """Return where a curve of one design, (angles,), is least, as `least` finds it."""
    place = int(np.argmin(values))
    angle = float(least(values)[1]) * values.shape[-1] / (2 * np.pi)
    shift = (angle - place + values.shape[-1] / 2) % values.shape[-1] - values.shape[-1] / 2
    return Spot(place, shift)
