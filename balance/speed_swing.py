"""How the speed swings over a turn when the flywheel is light, and what that does to everything that inertia loads.

By energy, exactly for rigid parts: with I(theta) the moment of inertia of all that moves, carried to the crank, and the
load's torque steady, the kinetic energy E = I w^2 / 2 changes by dE/dtheta = T(theta) - T_load, T the torque of gas
and weight. A flow loss grows with w^2 and so with E. The mean speed over time is given; the load's torque follows.
(Dresig and Holzweissig, Dynamics of Machinery, chapter 2, from memory.)
"""

from dataclasses import replace

import numpy as np

from balance.flywheel import energy_over_cycle, turning_inertias
from balance.gas import GasState
from balance.machine.machine import Machine
from balance.motion import Motion, PinMotion, YokeMotion
from balance.quantities import Number, over_angle, result
from balance.shaking import Shaking
from balance.torque import Torques
from balance.turning import HANDS

ROUNDS = 60  # at most, between a speed of nearly nothing and one surely too high
SETTLED = 1e-14  # share of an energy to which it is found
STOPS = 0.05  # share of the mean speed; an engine that slows down further is said to stop


@result
class SpeedSwing:
    """The speed over one turn at a mean speed; arrays (options..., angles).

    mean : rad/s, (options...).   square : speed squared over that of the mean.   rate : half the derivative of that by
    crank angle: angular acceleration over mean speed squared.   load : steady torque of the load, N m, (options...).
    """

    mean: Number
    square: np.ndarray
    rate: np.ndarray
    load: np.ndarray

    @property
    def speed(self) -> np.ndarray:
        """The speed over one turn, rad/s."""
        return over_angle(self.mean) * np.sqrt(self.square)

    @property
    def fluctuation(self) -> np.ndarray:
        """(Fastest - slowest)/mean, (options...)."""
        root = np.sqrt(self.square)
        return np.max(root, axis=-1) - np.min(root, axis=-1)

    @property
    def stops(self) -> np.ndarray:
        """Whether it nearly comes to rest within the turn, so that it cannot run so slowly, (options...)."""
        return np.sqrt(np.min(self.square, axis=-1)) < STOPS


def moving_inertia(machine: Machine, motion: Motion) -> np.ndarray:
    """Return the moment of inertia of all that moves, carried to the crank, kg m^2, (options..., angles).

    Twice its kinetic energy per speed squared: what turns, yokes, and rods as the bodies that they are.
    """
    turns = turning_inertias(machine)
    total = over_angle(sum(value for name, value in turns.items() if name != "rods' crankpin ends"))
    for name, yoke in machine.yokes.items():
        moved = motion.yokes[name]
        total = total + over_angle(yoke.mass) * moved.velocity**2
        if yoke.rod is None or moved.rod is None:
            continue
        for hand in HANDS:
            rod = yoke.rod.masses_of(hand)
            share = over_angle(rod.cg) / over_angle(yoke.rod.length)
            x, y = (1 - share) * moved.pin.along, -(1 - share) * moved.pin.across + share * moved.velocity
            total = total + over_angle(rod.mass) * (x**2 + y**2) + over_angle(rod.inertia) * moved.rod.turn**2
    return np.asarray(total)


def speed_swing(machine: Machine, motion: Motion, torques: Torques, mean: Number) -> SpeedSwing:
    """Return how the speed swings about a mean speed, rad/s, (options...)."""
    inertia = moving_inertia(machine, motion)
    total = torques.total
    steady = np.asarray(total.steady) + np.zeros_like(inertia)
    # What is left of the torque per speed squared once the inertia's own is taken off is lost in the flow.
    lost = np.asarray(total.inertia) + derivative(inertia) / 2
    return swing_of(inertia, steady, 2 * lost / inertia, mean)


def swing_of(inertia: np.ndarray, torque: np.ndarray, lost: np.ndarray, mean: Number) -> SpeedSwing:
    """Return the swing of a moment of inertia, kg m^2, under a torque, N m, and one per energy, all over angle."""
    level = np.max(inertia, axis=-1) * np.asarray(mean) ** 2 / 2
    energy = over_angle(level) * np.ones_like(torque)
    for _ in range(ROUNDS):
        before = energy
        swings = energy_over_cycle(torque + lost * energy)
        energy = swings + over_angle(_level(inertia, swings, np.asarray(mean, dtype=float)))
        if np.all(np.abs(energy - before) <= 1e-13 * np.abs(energy)):
            break
    square = 2 * energy / inertia / over_angle(mean) ** 2
    return SpeedSwing(mean, square, derivative(square) / 2, np.mean(torque + lost * energy, axis=-1))


def _level(inertia: np.ndarray, swings: np.ndarray, mean: np.ndarray) -> np.ndarray:
    """Return the mean kinetic energy with which a turn takes as long as at the mean speed, J, (options...).

    The inverse square of that time goes nearly in line with the energy: Newton's steps meet it in a few, and where one
    leads beyond what is known to be too slow or too fast, that is halved.
    """
    least = -np.min(swings, axis=-1)
    low = least * (1 + 1e-12) + 1e-300
    high = least + np.max(inertia, axis=-1) * mean**2 * 2 + np.ptp(swings, axis=-1)
    middle = (low + high) / 2
    for _ in range(ROUNDS):
        with np.errstate(divide="ignore", invalid="ignore"):
            energy = np.maximum(swings + over_angle(middle), 0.0)
            slowness = np.sqrt(inertia / (2 * energy))
            takes = np.mean(slowness, axis=-1)
            step = (mean**2 * takes**2 - 1) * takes / np.mean(slowness / energy, axis=-1)
        slow = takes > 1 / mean
        low, high = np.where(slow, middle, low), np.where(slow, high, middle)
        next_ = np.where((middle + step >= low) & (middle + step <= high), middle + step, (low + high) / 2)
        if np.all(np.abs(next_ - middle) <= SETTLED * np.abs(next_)):
            return next_
        middle = next_
    return high


def derivative(values: np.ndarray) -> np.ndarray:
    """Return the derivative by crank angle of a course over one turn, (..., angles)."""
    count = values.shape[-1]
    spectrum = np.fft.rfft(values, axis=-1) * 1j * np.arange(count // 2 + 1)
    if count % 2 == 0:
        spectrum[..., -1] = 0.0
    return np.fft.irfft(spectrum, count, axis=-1)


def swung_shaking(shaking: Shaking, swing: SpeedSwing) -> Shaking:
    """Return shaking force and couples per mean speed squared as the speed swings.

    Each is minus the rate of a momentum p(theta) w: -(p' w^2 + p w w'), and -p is the integral of what it is when even.
    """
    every = _spread(shaking, swing)
    return Shaking(*(each * swing.square + energy_over_cycle(each) * swing.rate for each in every))


def _spread(shaking: Shaking, swing: SpeedSwing) -> list[np.ndarray]:
    return [
        np.broadcast_to(each, np.broadcast_shapes(np.shape(each), swing.square.shape))
        for each in vars(shaking).values()
    ]


def swung_motion(motion: Motion, swing: SpeedSwing) -> Motion:
    """Return the motion with accelerations as the speed swings, per mean speed squared; places and rates as they are.

    What pins have for places becomes minus their acceleration: fit for joint forces, and for nothing else.
    """
    return replace(motion, yokes={name: _swung(each, swing.square, swing.rate) for name, each in motion.yokes.items()})


def _swung(moved: YokeMotion, square: np.ndarray, rate: np.ndarray) -> YokeMotion:
    pin, rod = moved.pin, moved.rod
    across, along = pin.across * square - pin.along * rate, pin.along * square + pin.across * rate
    if rod is not None:
        rod = replace(rod, turn_rate=rod.turn_rate * square + rod.turn * rate)
    acceleration = moved.acceleration * square + moved.velocity * rate
    return replace(moved, acceleration=acceleration, pin=PinMotion(across, along, pin.x), rod=rod)


def swung_gas(gas: GasState, swing: SpeedSwing) -> GasState:
    """Return the gas with its flow losses as the speed swings."""
    push = {name: replace(each, inertia=each.inertia * swing.square) for name, each in gas.push.items()}
    return replace(gas, push=push)
