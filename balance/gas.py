"""What the gas does: volumes, pressure, and its push on every yoke.

The working space lies on the hot (+y) side of the pistons, so a pressure above that of the case
pushes a piston toward -y. The displacer feels the pressure on its stem's area alone.
"""

import numpy as np

from balance.cycle.extremes import least_of_smooth
from balance.cycle.load import Load
from balance.machine.machine import IndicatedGas, IsothermalGas, Machine, NoGas
from balance.machine.yoke import Diaphragm, Displacer, Piston
from balance.motion import Motion, stroke
from balance.quantities import Number, Scalar, over_angle, result


@result
class Volumes:
    """Gas volumes over the cycle, m^3, (options..., angles), dead volumes included."""

    hot: np.ndarray
    cold: np.ndarray
    regenerator: Scalar

    @property
    def total(self) -> np.ndarray:
        """All the gas volume, m^3, (options..., angles)."""
        return self.hot + self.cold + over_angle(self.regenerator)

    @property
    def swept(self) -> Number:
        """Largest less least total volume, m^3, shape (options...)."""
        return -least_of_smooth(-self.total) - least_of_smooth(self.total)


@result
class GasState:
    """The gas over the cycle.

    pressure : absolute, Pa, (options..., angles); None without gas.
    volumes : None unless the model has them.
    push : force on each yoke along y, N, by yoke name.
    """

    pressure: np.ndarray | None
    volumes: Volumes | None
    push: dict[str, Load]

    def indicated_work(self, motion: Motion) -> Load:
        """Work of the gas on the yokes per turn, J: each part of shape (options..., 1)."""
        works = (push * (motion.sense * motion.yokes[name].velocity) for name, push in self.push.items())
        turn = sum(works, Load())
        return turn.each(lambda part: 2 * np.pi * np.mean(part, axis=-1, keepdims=True))


def gas_state(machine: Machine, motion: Motion) -> GasState:
    """Return pressure, volumes and the push on every yoke over the cycle."""
    volumes = None
    pressure = None
    if isinstance(machine.gas, IsothermalGas):
        volumes = swept_volumes(machine, motion)
        pressure = isothermal_pressure(machine.gas, volumes)
    elif isinstance(machine.gas, IndicatedGas):
        pressure = indicated_pressure(machine.gas, motion.theta)
    excess = 0.0 if isinstance(machine.gas, NoGas) else pressure - over_angle(machine.gas.case_pressure)
    push = {name: _push(machine, name, motion, excess) for name in machine.yokes}
    return GasState(pressure, volumes, push)


def isothermal_pressure(gas: IsothermalGas, volumes: Volumes) -> np.ndarray:
    """Return the absolute pressure, Pa, of a fixed mass of gas in spaces of steady temperature.

    p = m R / (V_h/T_h + V_r/T_r + V_c/T_c) with the regenerator at the log-mean temperature, scaled to
    the given mean over crank angle (Schmidt's isothermal analysis with the real volumes).
    """
    cold, hot = over_angle(gas.cold), over_angle(gas.hot)
    amount = volumes.hot / hot + over_angle(volumes.regenerator) / log_mean(hot, cold) + volumes.cold / cold
    shape = 1.0 / amount
    return over_angle(gas.mean_pressure) * shape / np.mean(shape, axis=-1, keepdims=True)


def log_mean(one: Scalar, other: Scalar) -> np.ndarray:
    """Return the logarithmic mean of two positive numbers; the number itself where they are equal."""
    one, other = np.asarray(one, dtype=float), np.asarray(other, dtype=float)
    difference = one - other
    same = np.abs(difference) < 1e-9 * one
    return np.where(same, one, difference / np.where(same, 1.0, np.log(one / other)))


def indicated_pressure(gas: IndicatedGas, theta: np.ndarray) -> np.ndarray:
    """Return the measured pressure at crank angles theta by a periodic cubic spline through the table, Pa."""
    from scipy.interpolate import CubicSpline  # a heavy import that only this model needs

    table = gas.table
    angle = np.append(table.angle, table.angle[0] + 2 * np.pi)
    pressure = np.append(table.pressure, table.pressure[0])
    return CubicSpline(angle, pressure, bc_type="periodic")(theta)


def swept_volumes(machine: Machine, motion: Motion) -> Volumes:
    """Return the hot and cold volumes, m^3, of a machine with one displacer and one piston or diaphragm."""
    assert isinstance(machine.gas, IsothermalGas)
    displacer_name = next(n for n, y in machine.yokes.items() if isinstance(y.carries, Displacer))
    piston_name = next(n for n, y in machine.yokes.items() if isinstance(y.carries, Piston | Diaphragm))
    displacer = machine.yokes[displacer_name].carries
    assert isinstance(displacer, Displacer)
    area = over_angle(circle(displacer.bore))
    stem = over_angle(circle(displacer.stem_diameter))
    height = motion.yokes[displacer_name].height
    dead = machine.gas.dead
    hot = over_angle(dead.hot) + area * (over_angle(stroke(machine, displacer_name, motion).highest) - height)
    cold_swept = (area - stem) * height - piston_displacement(machine, piston_name, motion)
    cold = over_angle(dead.cold) + cold_swept - least_of_smooth(cold_swept)[..., None]
    return Volumes(hot, cold, dead.regenerator)


def piston_displacement(machine: Machine, name: str, motion: Motion) -> np.ndarray:
    """Return the volume that a piston or diaphragm has pushed away, m^3, from an arbitrary zero."""
    carried = machine.yokes[name].carries
    if isinstance(carried, Piston):
        return over_angle(piston_area(machine, carried)) * motion.yokes[name].height
    assert isinstance(carried, Diaphragm)
    off_middle, half = _place_in_stroke(machine, name, motion)
    loss = over_angle(carried.working_area) - over_angle(carried.working_area_at_ends)
    return over_angle(carried.working_area) * off_middle - loss * off_middle**3 / (3 * half**2)


def piston_area(machine: Machine, piston: Piston) -> Number:
    """Return the piston's area, m^2, less that of a displacer stem that passes through it."""
    stems = [
        circle(yoke.carries.stem_diameter)
        for yoke in machine.yokes.values()
        if isinstance(yoke.carries, Displacer) and yoke.carries.stem_through_piston
    ]
    return circle(piston.bore) - sum(stems)


def circle(diameter: Scalar) -> Number:
    """Return the area of a circle, m^2, (options...), by its diameter, m."""
    return np.pi / 4 * np.asarray(diameter) ** 2


def _place_in_stroke(machine: Machine, name: str, motion: Motion) -> tuple[np.ndarray, np.ndarray]:
    travel = stroke(machine, name, motion)
    middle = over_angle((travel.highest + travel.lowest) / 2)
    return motion.yokes[name].height - middle, over_angle(travel.length) / 2


def _push(machine: Machine, name: str, motion: Motion, excess: Scalar) -> Load:
    carried = machine.yokes[name].carries
    if isinstance(carried, Piston):
        return Load(steady=-over_angle(piston_area(machine, carried)) * excess)
    if isinstance(carried, Diaphragm):
        off_middle, half = _place_in_stroke(machine, name, motion)
        loss = over_angle(carried.working_area) - over_angle(carried.working_area_at_ends)
        area = over_angle(carried.working_area) - loss * (off_middle / half) ** 2
        return Load(steady=-area * excess - over_angle(carried.stiffness) * off_middle)
    if isinstance(carried, Displacer):
        stem = -over_angle(circle(carried.stem_diameter)) * excess
        return Load(steady=stem, inertia=_flow_drag(carried, name, motion))
    return Load()


def _flow_drag(displacer: Displacer, name: str, motion: Motion) -> Scalar:
    if displacer.flow_loss is None:
        return 0.0
    velocity = motion.sense * motion.yokes[name].velocity
    largest = -np.minimum(least_of_smooth(velocity), least_of_smooth(-velocity))
    fastest = over_angle(largest) * over_angle(displacer.flow_loss.speed)
    drop = over_angle(displacer.flow_loss.pressure) / fastest**2
    return -over_angle(circle(displacer.bore)) * drop * velocity * np.abs(velocity)
