"""How evenly the machine turns, and the flywheel that makes it even enough.

The torque over the cycle is that of constant speed, with the inertia of yokes and rods in it; its swing
about the mean is taken up by what turns with the two shafts, which the gears tie together.
"""

import numpy as np

from balance.cycle.extremes import largest, least
from balance.cycle.load import Load
from balance.machine.machine import Machine
from balance.quantities import Number, Scalar, over_angle, result
from balance.turning import HANDS


@result
class Evenness:
    """How a torque turns the machine; numbers of shape (options...).

    mean : mean torque, N m.   ripple : largest less least torque, N m.
    reversals : how often over one turn the torque reverses its direction.
    energy : fluctuation of energy over the cycle, largest less least, J.
    work : of the mean torque over one turn, J.
    """

    mean: Number
    ripple: Number
    reversals: Number
    energy: Number
    work: Number

    @property
    def energy_share(self) -> Number:
        """Coefficient of fluctuation of energy: energy fluctuation over work done in one turn; inf without work."""
        work = np.abs(np.asarray(self.work))
        return np.where(work > 0, self.energy / np.where(work > 0, work, 1.0), np.inf)


def evenness(torque: np.ndarray) -> Evenness:
    """Return mean, swing, reversals and fluctuation of energy of a torque over one turn, N m, (options..., angles)."""
    torque = np.atleast_1d(np.asarray(torque, dtype=float))
    mean = np.mean(torque, axis=-1)
    stored = energy_over_cycle(torque)
    return Evenness(
        mean=mean,
        ripple=largest(torque)[0] - least(torque)[0],
        reversals=np.sum(np.signbit(torque) != np.signbit(np.roll(torque, 1, axis=-1)), axis=-1),
        energy=largest(stored)[0] - least(stored)[0],
        work=2 * np.pi * mean,
    )


def energy_over_cycle(torque: np.ndarray) -> np.ndarray:
    """Return the energy fluctuation since the mean torque last held, J, (options..., angles).

    The integral over crank angle of torque less its mean, exact for every order that the angles can hold.
    """
    spectrum = np.fft.rfft(torque, axis=-1)
    number = np.arange(spectrum.shape[-1])
    spectrum = spectrum / np.where(number > 0, 1j * np.maximum(number, 1), np.inf)
    return np.fft.irfft(spectrum, torque.shape[-1], axis=-1)


def speed_fluctuation(energy: Scalar, inertia: Scalar, speed: Scalar) -> Number:
    """Return the coefficient of speed fluctuation, (fastest - slowest)/mean = dE/(J omega^2).

    inf at rest or without inertia; right while it is small. Khurmi and Gupta, Theory of Machines, section 16.5
    (from memory).
    """
    kept = np.asarray(inertia) * np.asarray(speed) ** 2
    return np.where(kept > 0, energy / np.where(kept > 0, kept, 1.0), np.inf)


def inertia_for(energy: Scalar, speed: Scalar, coefficient: Scalar) -> Number:
    """Return the moment of inertia of all that turns, kg m^2, that holds the speed fluctuation to a coefficient."""
    return np.asarray(energy) / (np.asarray(coefficient) * np.asarray(speed) ** 2)


def largest_acceleration(torque: np.ndarray, inertia: Scalar) -> np.ndarray:
    """Return the largest angular acceleration over the cycle, rad/s^2, from torque, N m, (options..., angles)."""
    swing = np.abs(torque - np.mean(torque, axis=-1, keepdims=True))
    return largest(swing)[0] / inertia


def turning_inertias(machine: Machine) -> dict[str, Number]:
    """Return the moments of inertia of all that is known to turn with both shafts together, kg m^2, by name.

    Flywheel and pulley as given, else by their size; gears as solid discs of their pitch diameter; fitted
    counterweights as cut; webs as given, else by mass, mass centre and size as far as known; the crankpin ends of the
    rods as their share of the rod's mass. Left out, being small or unknown: the shafts, and the mean inertia of what
    goes up and down, so that the true fluctuation is a little smaller.
    """
    cranks = machine.cranks
    inertias: dict[str, Number] = {}
    for name, wheel in {**machine.wheels("right"), **machine.wheels("left")}.items():
        inertias[name] = wheel.polar_inertia * _shafts(wheel.on)
    gears = cranks.gears
    if gears is not None and any(np.any(np.asarray(gears.mass_of(hand))) for hand in ("right", "left")):
        inertias["gears"] = gears.polar_inertia_of("right") + gears.polar_inertia_of("left")
    if cranks.webs:
        inertias["webs and weights"] = sum(web.polar_inertia * _shafts(web.on) for web in cranks.webs)
    inertias["rods' crankpin ends"] = sum(_rod_ends(machine, name) for name in machine.yokes)
    return inertias


def turning_inertia(machine: Machine) -> Number:
    """Return the moment of inertia of all that is known to turn with both shafts together, kg m^2."""
    return sum(turning_inertias(machine).values())


def fluctuation(torque: Load, inertia: Number, speed: Scalar) -> Number:
    """Return the coefficient of speed fluctuation at a speed for each option, (options...)."""
    return speed_fluctuation(swing_energy(torque, speed), inertia, speed)


def swing_energy(torque: Load, speed: Scalar) -> np.ndarray:
    """Return the fluctuation of energy at a speed for each option, J, (options...)."""
    stored = energy_over_cycle(np.atleast_1d(torque.at(speed)))
    return largest(stored)[0] - least(stored)[0]


def _shafts(on: str) -> float:
    return 2.0 if on == "both" else 1.0


def _rod_ends(machine: Machine, name: str) -> Number:
    yoke = machine.yokes[name]
    if yoke.rod is None:
        return 0.0
    rods = (yoke.rod.masses_of(hand) for hand in HANDS)
    radius = np.asarray(machine.throw_of(yoke).radius)
    return sum(rod.mass * (1 - np.asarray(rod.cg) / yoke.rod.length) for rod in rods) * radius**2


def torque_over_cycle(torque: Load, speed: Scalar, angles: int) -> np.ndarray:
    """Return a torque at a speed, N m, (options..., angles), however few of its parts there are."""
    values = torque.at(speed)
    return np.broadcast_to(values, (*np.shape(over_angle(speed) + values)[:-1], angles))
