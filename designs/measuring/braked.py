"""What brake and drag readings tell of friction and of the pressure's scale, and what they leave open."""

from dataclasses import dataclass

import numpy as np

from balance.evidence.brake import FrictionFit, TorqueReadings, fit_friction, rope_torque, torque_fall
from balance.evidence.estimate import APART, Estimate
from balance.machine.machine import IsothermalGas
from balance.many import planted
from designs.design.readings import Measured, Rope
from designs.evaluate import Evaluation

NOT_APART = (
    "Pressure scale and constant friction have the same effect at every speed: not told apart. Add a drag test (turned "
    "cold, cylinder open) or the pressure's swing."
)
COOLING = (
    "Torque falls with speed, and a hot end that cools looks like friction: the cause is not told. Give `hot:`, the "
    "temperature of the hot end, at each point."
)


@dataclass(frozen=True)
class Braked:
    """What readings of torque tell.

    told : None where nothing is.   falls : torque lost per rad/s where the cause is not told, N m s.
    words : what is left open, and what to add.
    """

    told: FrictionFit | None
    falls: Estimate | None
    words: tuple[str, ...]


def braked(evaluation: Evaluation) -> Braked | None:
    """Return what a single design's readings of torque tell; None without any, or without gas to compare with."""
    measured = evaluation.design.measured
    if measured is None or (measured.brake is None and measured.drag is None):
        return None
    if measured.brake is None:
        assert measured.drag is not None
        return Braked(fit_friction(_cold(measured.drag)), None, ())
    if not isinstance(evaluation.design.gas, IsothermalGas):
        return Braked(None, None, ("The design has no isothermal gas, so there is no ideal torque to compare with.",))
    return _by_both(evaluation, measured, measured.brake)


def _by_both(evaluation: Evaluation, measured: Measured, brake: Rope) -> Braked:
    warm = _warm(evaluation, brake)
    falling, steady = torque_fall(warm), all(each.hot is not None for each in brake.points)
    unsure = not steady and falling.value > APART * falling.sd
    words = (COOLING,) if unsure else ()
    if unsure and measured.drag is None:
        return Braked(None, falling, (*words, NOT_APART))
    if unsure:  # friction by the drag test alone; what else falls may be the hot end
        assert measured.drag is not None
        return Braked(fit_friction(_cold(measured.drag)), falling, words)
    readings = warm if measured.drag is None else warm.and_also(_cold(measured.drag))
    result = fit_friction(readings, _scale(evaluation, measured))
    return Braked(result, None, words if result.apart else (*words, NOT_APART))


def _torques(rope: Rope) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """Return torque, its own doubt, and what the radius does to all of them at once, N m: (points,), (1, points)."""
    radius = Estimate(rope.radius.value)
    torques = [rope_torque(each.pull, each.slack or Estimate(0.0), radius) for each in rope.points]
    sd = np.array([each.sd for each in torques])
    torque = np.array([each.value for each in torques])
    shared = torque * (rope.radius.sd / rope.radius.value)
    return torque, np.maximum(sd, 1e-6 * np.max(np.abs(torque))), shared[None]


def _warm(evaluation: Evaluation, rope: Rope) -> TorqueReadings:
    torque, sd, shared = _torques(rope)
    speed = np.array([each.speed for each in rope.points])
    return TorqueReadings(torque, sd, speed, _ideal(evaluation, rope), shared)


def _ideal(evaluation: Evaluation, rope: Rope) -> np.ndarray:
    """Return the torque of the ideal gas at each point's own hot end, N m, (points,)."""
    gas = evaluation.design.gas
    assert isinstance(gas, IsothermalGas)
    hot = np.array([float(gas.hot) if each.hot is None else each.hot for each in rope.points])
    many = Evaluation(planted(evaluation.design, (("gas", "hot"),), hot))
    work = np.asarray(many.gas.indicated_work(many.motion).steady)[..., 0]
    return np.broadcast_to(work / (2 * np.pi), hot.shape)


def _cold(rope: Rope) -> TorqueReadings:
    torque, sd, shared = _torques(rope)
    speed = np.array([each.speed for each in rope.points])
    return TorqueReadings(-torque, sd, speed, np.zeros(len(torque)), -shared)


def _scale(evaluation: Evaluation, measured: Measured) -> Estimate | None:
    """Return the pressure's scale from its swing; None if that was not measured."""
    pressure = evaluation.gas.pressure
    if measured.pressure is None or measured.pressure.found_swing is None or pressure is None:
        return None
    return measured.pressure.found_swing.times(1 / float(np.ptp(pressure)))
