"""What a dial gauge tells: backlash, play and stiffness."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from balance.evidence.estimate import Estimate, known_by, mean, propagated

ROUND = 6
"""Angles round a turn from which on scatter can be told from eccentric gears."""


@dataclass(frozen=True)
class BacklashFound:
    """Backlash along the pitch circle, m.

    eccentric : what one turn changes of it, m, half the range of its first order; zero where fewer than four angles
    were tried.
    """

    backlash: Estimate
    eccentric: float


def backlash(readings: Sequence[float], dial_radius: Estimate, pitch_radius: float, dial_sd: float) -> BacklashFound:
    """Return backlash from a dial at another radius, the other gear locked: b = reading r/R.

    readings : whole travel of the dial between both flanks, at angles evenly round the turn, m.   dial_radius : R, m.
    u(b)^2 = (u(mean) r/R)^2 + (b u(R)/R)^2. Eccentric gears show as first order over the turn, from four angles on; the
    mean of even angles is free of it. From six angles on it is taken off the scatter that gives the mean's doubt; with
    fewer nothing would be left to tell the scatter by, and it stays in. Arc is radius times angle.
    """
    values, share = np.asarray(readings, dtype=float), pitch_radius / dial_radius.value
    order = np.fft.rfft(values)[1] / values.size * 2 if values.size >= 4 else 0.0
    turn = np.arange(values.size) * 2 * np.pi / values.size
    fitted = 2 if values.size >= ROUND else 0
    residuals = values - np.real(order * np.exp(1j * turn)) if fitted else values
    travel = mean(list(residuals), dial_sd / np.sqrt(values.size), fitted)
    play = travel.value * share
    return BacklashFound(
        propagated(play, travel.times(share), dial_radius.times(play / dial_radius.value)), float(abs(order) * share)
    )


@dataclass(frozen=True)
class Line:
    """Deflection over force.   slope : m/N.   at_zero : deflection at zero force beyond the first reading, m."""

    slope: Estimate
    at_zero: Estimate


def slope(forces: Sequence[float], readings: Sequence[float], dial_sd: float) -> Line:
    """Return the slope of deflection over force by least squares, of the readings under load.

    forces : N, two or more of them not zero; a reading at zero force is the rest of the dial and not of the line.
    readings : m.   sd of the slope = u/sqrt(sum (F - mean F)^2), u the dial's doubt or the scatter about the line,
    whichever is more; two less than the readings are free. The jump from rest to the line's own zero is play, not give;
    the bearing's curve makes the slope that of the middle of the forces. Least squares of a line, JCGM 100:2008 H.3
    (from memory).
    """
    force, reading = np.asarray(forces, dtype=float), np.asarray(readings, dtype=float)
    rest = reading[force == 0].mean() if np.any(force == 0) else 0.0
    force, reading = force[force != 0], reading[force != 0]
    middle = force - force.mean()
    squares = float(middle @ middle)
    per_force = float(middle @ reading / squares)
    residuals = reading - reading.mean() - per_force * middle
    free = force.size - 2
    scatter = float(np.sqrt(residuals @ residuals / free)) if free > 0 else 0.0
    of_one = known_by(0.0, scatter, free) if scatter > dial_sd else Estimate(0.0, dial_sd)
    zero = reading.mean() - per_force * force.mean() - rest
    on_line = of_one.times(float(np.hypot(1 / np.sqrt(force.size), force.mean() / np.sqrt(squares))))
    return Line(propagated(per_force, of_one.times(1 / np.sqrt(squares))), propagated(zero, on_line, dial_sd))
