"""How far the shafts run from whirl and from torsional resonance."""

import numpy as np

from balance.quantities import Number
from designs.evaluate import Evaluation
from designs.verdict.row import Row
from shafts.whirl.critical import first_critical
from shafts.whirl.torsion import highest_strong_order, torsional_frequencies


def rows(evaluation: Evaluation) -> list[Row]:
    """Return the margin of the fastest speed from the first critical speed, and from the first torsional frequency."""
    most = np.asarray(evaluation.design.speed.most, dtype=float)
    return [_critical(evaluation, most), _torsional(evaluation, most)]


def _critical(evaluation: Evaluation, most: np.ndarray) -> Row:
    speeds = np.stack(np.broadcast_arrays(*(first_critical(each) for each in evaluation.rotors)))
    lowest, side = np.min(speeds, axis=0), ("right", "left")[int(np.argmin(np.min(speeds.reshape(2, -1), axis=-1)))]
    what = f"first critical speed over fastest speed, {side} shaft"
    limit = evaluation.design.limits.critical_speed_margin
    return Row("critical_speed_margin", what, lowest / most, limit, "", "at least", speed=lowest)


def _torsional(evaluation: Evaluation, most: np.ndarray) -> Row:
    first: Number = np.min(
        np.stack(np.broadcast_arrays(*(torsional_frequencies(each)[..., 0] for each in evaluation.twisting))), axis=0
    )
    order = highest_strong_order(evaluation.torques, most)
    named = f"{int(np.max(order))}" + ("" if np.all(order == np.max(order)) else " at most")
    what = f"first torsional frequency over that of the torque's highest strong order ({named}) at the fastest speed"
    limit = evaluation.design.limits.torsional_margin
    return Row("torsional_margin", what, first / (order * most), limit, "", "at least", speed=first / order)
