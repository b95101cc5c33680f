"""How far the cranks run from the speeds at which they vibrate, and from torsional resonance."""

from dataclasses import replace

import numpy as np

from balance.quantities import Number
from designs.evaluate import Evaluation
from designs.verdict.row import Row
from shafts.whirl.crossings import EATS, GROWS, Crossing, matters
from shafts.whirl.floquet import growth
from shafts.whirl.torsion import highest_strong_order, torsional_frequencies


def rows(evaluation: Evaluation) -> list[Row]:
    """Return how far the speed range keeps from critical speeds that matter, and from the first torsional frequency."""
    return [critical(evaluation), torsional(evaluation)]


def critical(evaluation: Evaluation) -> Row:
    """Return the row of the nearest critical speed at which the loads bend a crank further; many options one by one."""
    every = [_nearest(each) for each in evaluation.alone]
    values, speeds = (np.array([getattr(each, of) for each in every], dtype=float) for of in ("value", "speed"))
    if evaluation.options is None:
        return every[0]
    worst = every[int(np.argmin(values))]
    return replace(worst, value=values, speed=speeds, limit=evaluation.design.limits.critical_speed_margin)


def _nearest(evaluation: Evaluation) -> Row:
    limits, speed = evaluation.design.limits, evaluation.design.speed
    limit, least, most = (float(each) for each in (limits.critical_speed_margin, speed.least, speed.most))
    if growth(evaluation.shaft_vibration.pair.slow, most, evaluation.motion.sense) >= 1:
        what = "steady running at the fastest speed: a disturbance grows from turn to turn"
        return _row(what, 0.0, limit, most)
    unsettled = _unsettled(evaluation)
    mattering = [each for each in evaluation.crossings if matters(each, limits.gap)]
    if not mattering:
        beyond = 2 * max(limit, 1.0)
        what = f"critical speed over fastest speed; none up to {beyond:g} times it takes {EATS:.0%} of the gap"
        what += f" or bends {GROWS:.0%} more"
        return replace(_row(what, beyond, limit, np.inf), unlooked=evaluation.rigid or unsettled)
    nearest = min(mattering, key=lambda each: _distance(each, least, most))
    below = nearest.speed < least
    what = f"{'slowest speed over critical speed' if below else 'critical speed over fastest speed'}, {nearest.name}"
    what += f"; {unsettled}" if unsettled else ""
    row = _row(what, _distance(nearest, least, most), limit, nearest.speed)
    return replace(row, unlooked=evaluation.rigid or unsettled, where=f"{nearest.hand} {nearest.part}")


def _unsettled(evaluation: Evaluation) -> str:
    """Return what is left out where vibration takes more orders than are looked at; empty where it does not."""
    vibration = evaluation.shaft_vibration
    if not vibration.unsettled:
        return ""
    return (f"shafts vibrate in more orders than the {vibration.orders} that are looked at, of which the highest still "
            f"make up {vibration.unsettled:.0%} of a deflection; about as much may be missing")  # fmt: skip


def _row(what: str, value: float, limit: float, speed: float) -> Row:
    return Row("critical_speed_margin", what, value, limit, "", "at least", speed=speed)


def _distance(crossing: Crossing, least: float, most: float) -> float:
    """Return by what factor a critical speed stands outside the range; one within it counts by the fastest speed."""
    return least / crossing.speed if crossing.speed < least else crossing.speed / most


def torsional(evaluation: Evaluation) -> Row:
    """Return the row of the first torsional frequency over that of the torque, (options...)."""
    most = np.asarray(evaluation.design.speed.most, dtype=float)
    first: Number = np.min(
        np.stack(np.broadcast_arrays(*(torsional_frequencies(each)[..., 0] for each in evaluation.torsional_systems))),
        axis=0,
    )
    order = highest_strong_order(evaluation.torques, most)
    named = f"{int(np.max(order))}" + ("" if np.all(order == np.max(order)) else " at most")
    what = f"first torsional frequency over that of the torque's highest strong order ({named}) at the fastest speed"
    limit = evaluation.design.limits.torsional_margin
    return Row("torsional_margin", what, first / (order * most), limit, "", "at least", speed=first / order)
