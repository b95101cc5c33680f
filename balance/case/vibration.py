"""How the case vibrates: motion of every point by order, velocity as a meter reads it, and force on the bench."""

import numpy as np

from balance.case.body import AXES, Case, foot_places, foot_stiffness, standing_loads
from balance.case.loads import ORDERS, CaseLoads
from balance.cycle.extremes import largest
from balance.machine.machine import Gravity, SpeedRange
from balance.machine.mount import Place
from balance.quantities import Number, result

NUMBERS = np.arange(1, ORDERS + 1)
ANGLES = 96  # twelve to a wave of the highest order: enough for a parabola to find its top
_TURNS = NUMBERS[:, None] * (np.arange(ANGLES) * (2 * np.pi / ANGLES))
WAVES = np.concatenate([np.cos(_TURNS), -np.sin(_TURNS)])
"""Cosine and negative sine of each order over one turn, (2 x orders, angles)."""
EVEN_STEPS = 16  # speeds between slowest and fastest beside those at which an order meets a resonance


@result
class Vibration:
    """The steady response of the case at several speeds.

    speed : rad/s, more than zero, (options..., speeds).
    force : shaking force by order, N, by axis "x" and "y", (options..., speeds, orders).
    modal : complex amplitude of each mode by order, (options..., speeds, orders, modes);
    value(theta) = sum of Re(amplitude_n exp(i n theta)), as in balance.cycle.harmonics.
    sense : +1 where crank angle grows as time goes on, else -1: damping follows time.
    """

    case: Case
    speed: np.ndarray
    force: dict[str, np.ndarray]
    modal: np.ndarray
    sense: float = 1.0

    @property
    def frequency(self) -> np.ndarray:
        """Frequency of each order at each speed, rad/s, (options..., speeds, orders)."""
        return self.speed[..., None] * NUMBERS

    def shift(self, point: Place) -> dict[str, np.ndarray]:
        """Return the complex displacement of a place by order along each axis, m, (options..., speeds, orders)."""
        rows = self.case.shifts(point)
        return dict(zip(rows, _over_modes(list(rows.values()), self.modal), strict=True))

    def velocity(self, point: Place) -> dict[str, np.ndarray]:
        """Return the rms velocity of a place along each axis, all orders together, m/s, (options..., speeds)."""
        return {axis: rms(self.frequency * shift) for axis, shift in self.shift(point).items()}

    def severity(self, point: Place) -> np.ndarray:
        """Return the rms velocity of a place along the axis on which it is largest, m/s, (options..., speeds)."""
        return np.max(np.stack(np.broadcast_arrays(*self.velocity(point).values())), axis=0)

    def foot_forces(self) -> list[dict[str, np.ndarray]]:
        """Return the force of each foot on the bench by order, N: complex, by axis, (options..., speeds, orders)."""
        mount = self.case.mount
        if mount.feet is None:
            return []
        return [{axis: self._foot_force(point, axis) for axis in AXES} for point in foot_places(mount)]

    def bench_force(self) -> dict[str, np.ndarray]:
        """Return the force of all feet together on the bench by order, N; zero where it hangs free."""
        feet = self.foot_forces()
        still = np.zeros((*self.modal.shape[:-1],), dtype=complex)
        return {axis: sum((foot[axis] for foot in feet), still) for axis in AXES}

    def passed_on(self) -> np.ndarray:
        """Return the peak force on the bench along the cylinder over that of the shaking, (options..., speeds)."""
        sent, made = peak(self.bench_force()["y"]), peak(self.force["y"])
        return np.where(made > 0, sent / np.where(made > 0, made, 1.0), np.nan)

    def uplift(self, gravity: Gravity, couple: Number = 0.0) -> np.ndarray:
        """Return the largest share of its static foot load that vibration lifts off any foot, (options..., speeds).

        couple : steady couple on the case about z, N m. At 1 a foot begins to rattle; inf where it is not pressed down.
        """
        mount, shares = self.case.mount, []
        loads = standing_loads(mount, (mount.mass * gravity.x, mount.mass * gravity.y), couple)
        for load, foot in zip((np.asarray(each)[..., None] for each in loads), foot_places(mount), strict=True):
            lift = largest(over_the_cycle(self._foot_force(foot, "y")))[0]
            shares.append(np.where(load > 0, lift / np.where(load > 0, load, 1.0), np.inf))
        return np.max(np.stack(np.broadcast_arrays(*shares)), axis=0)

    def power(self) -> np.ndarray:
        """Return the power that the feet turn into heat, W, (options..., speeds)."""
        lost = (self.frequency * _damped(self.case, self.frequency))[..., None]
        return np.sum(lost * self.case.held[..., None, None, :] * square(self.modal), axis=(-2, -1)) / 2

    def _foot_force(self, foot: Place, axis: str) -> np.ndarray:
        mount = self.case.mount
        assert mount.feet is not None
        stiffnesses = foot_stiffness(mount.feet) if mount.turns else mount.feet.stiffnesses
        complex_stiffness = 1 + 1j * self.sense * _damped(self.case, self.frequency)
        stiff = np.asarray(stiffnesses[AXES.index(axis)])[..., None, None] * complex_stiffness
        return stiff * _over_modes([self.case.shifts(foot)[axis]], self.modal)[0]


def _damped(case: Case, frequency: np.ndarray) -> np.ndarray:
    """Return damping force over spring force of the feet at frequencies, rad/s, (options..., speeds, orders)."""
    return frequency * np.asarray(case.damping_time)[..., None, None] + np.asarray(case.loss)[..., None, None]


def _over_modes(rows: list[np.ndarray], modal: np.ndarray) -> list[np.ndarray]:
    """Return the sums over modes of shapes (options..., modes) times amplitudes, each (options..., speeds, orders)."""
    shapes = np.stack(np.broadcast_arrays(*map(np.asarray, rows)), axis=-1)
    *options, speeds, orders, modes = modal.shape
    sums = modal.reshape(*options, speeds * orders, modes) @ shapes
    sums = sums.reshape(*sums.shape[:-2], speeds, orders, len(rows))
    return [sums[..., each] for each in range(len(rows))]


def vibration(case: Case, loads: CaseLoads, speed: np.ndarray) -> Vibration:
    """Return the response at speeds of shape (options..., speeds), each more than zero.

    Mode by mode: amplitude = shape . load / (w_j^2 + i h_j (w c/k + loss factor) - w^2) at w = n times speed, with h_j
    what the springs hold of w_j^2 (e.g. Den Hartog, Mechanical Vibrations, ch. 3).
    """
    if not np.all(np.asarray(speed) > 0):
        raise ValueError("vibration is steady only while the machine turns: speeds must be more than zero")
    steady, growing = loads.by_order(case.mount)
    square = (np.asarray(speed) ** 2)[..., None]
    shake = {axis: square * growing[..., None, :, index] for index, axis in enumerate("xy")}
    pushes = (steady @ case.shapes)[..., None, :, :] + square[..., None] * (growing @ case.shapes)[..., None, :, :]
    turning = np.asarray(speed)[..., None] * NUMBERS
    natural_square = case.frequency[..., None, None, :] ** 2
    damped = loads.sense * _damped(case, turning)[..., None] * case.held[..., None, None, :]
    apart = natural_square - turning[..., None] ** 2 + 1j * damped
    # Feet without any damping, met exactly at resonance, never settle: that counts as a millionfold.
    stiff = np.where(apart == 0, 1e-6 * natural_square, apart)
    return Vibration(case, np.asarray(speed), shake, pushes * (1 / stiff), loads.sense)


def speeds_to_try(case: Case, speed: SpeedRange, steps: int = EVEN_STEPS, most_order: int = ORDERS) -> np.ndarray:
    """Return speeds, rad/s, (options..., speeds), among which the worst vibration is found.

    Equal steps over the range, the rated speed, and each speed at which an order meets a resonance, moved
    to where the velocity of a single mode shaken by turning masses is truly largest. From rest there is no steady
    running: see SpeedRange.slowest.

    steps, most_order : fewer of both find no more than there is, for a bound from below.
    """
    least = speed.slowest
    even = [least + (speed.most - least) * part for part in np.linspace(0.0, 1.0, steps + 1)]
    meetings = case.frequency * np.sqrt(_peak_square(case.damping))
    meetings = np.moveaxis(meetings, -1, 0)[:, None]
    meetings = meetings / NUMBERS[:most_order].reshape(1, -1, *(1,) * (meetings.ndim - 2))
    inside = [np.clip(each, least, speed.most) for each in meetings.reshape(-1, *meetings.shape[2:])]
    every = np.stack(np.broadcast_arrays(*even, np.maximum(speed.rated, least), *inside), axis=-1)
    every = np.sort(every, axis=-1)
    new = np.any(np.diff(every, axis=-1) > 0, axis=tuple(range(every.ndim - 1)))
    return every[..., np.concatenate([[True], new])]


def _peak_square(damping: np.ndarray) -> np.ndarray:
    """Return (speed of the largest velocity over the resonance)^2; 1 where there is no peak.

    The lower root of d/ds [s^3/((1 - s)^2 + 4 z^2 s)] = 0: s^2 - (4 - 8 z^2) s + 3 = 0.
    """
    middle = 2 - 4 * damping**2
    root = middle**2 - 3
    return np.where((root >= 0) & (middle > 0), middle - np.sqrt(np.maximum(root, 0.0)), 1.0)


def resonant_speeds(case: Case) -> np.ndarray:
    """Return the crank speeds at which each order meets each mode, rad/s, (options..., orders, modes)."""
    return case.frequency[..., None, :] / NUMBERS[:, None]


def rms(spectrum: np.ndarray) -> np.ndarray:
    """Return the root mean square over the cycle of what has these complex orders (..., orders 1 to 8)."""
    return np.sqrt(np.sum(square(spectrum), axis=-1) / 2)


def square(values: np.ndarray) -> np.ndarray:
    """Return the squares of the sizes of complex numbers: a fraction of the time that their sizes take."""
    return values.real**2 + values.imag**2


def over_the_cycle(spectrum: np.ndarray) -> np.ndarray:
    """Return the values over one turn, (..., angles), of what has these complex orders (..., orders 1 to 8)."""
    # Eight orders are fewer than a fast transform is made for: one product of matrices takes a third of the time.
    return np.concatenate([spectrum.real, spectrum.imag], axis=-1) @ WAVES


def peak(spectrum: np.ndarray) -> np.ndarray:
    """Return the largest absolute value over the cycle of what has these complex orders (..., orders 1 to 8)."""
    return np.abs(largest(np.abs(over_the_cycle(spectrum)))[0])


def steady_roll(loads: CaseLoads) -> np.ndarray:
    """Return the mean couple about z on the case from gas and weights, N m, (options...)."""
    return np.mean(np.atleast_1d(loads.roll.steady), axis=-1)


def nearest_meeting(case: Case, speed: float, close: float = 0.05) -> tuple[int, float] | None:
    """Return the order that meets a resonance within a share of a speed, and that resonance, rad/s.

    For a single design. None if no order does; the lowest order if several do.
    """
    for order in range(1, ORDERS + 1):
        for natural in np.ravel(case.frequency):
            if natural > 0 and abs(order * speed / natural - 1) <= close:
                return order, float(natural)
    return None
