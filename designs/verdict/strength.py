"""Whether the shafts bear their loads: against yielding and against fatigue."""

from dataclasses import replace

import numpy as np

from designs.evaluate import Evaluation
from designs.shown import file_words
from designs.verdict.row import Row, not_checked, worst_of
from shafts.strength.fatigue import safeties
from shafts.strength.stress import InternalLoads

SIDES = ("right", "left")
YIELDING, FATIGUE = "safety against yielding", "safety against fatigue (DE-Goodman)"
MISSING = "give tensile_strength and yield_strength of the shaft material"


def rows(evaluation: Evaluation) -> list[Row]:
    """Return the safety of the weakest section of both shafts, against yielding and against fatigue."""
    limits = evaluation.design.limits
    speeds = _speeds(evaluation)
    yielding, fatigue = [], []
    for side, loads, capacity in zip(SIDES, evaluation.inside, evaluation.strengths, strict=True):
        if capacity is None:
            return [not_checked("yield_safety", YIELDING, MISSING), not_checked("fatigue_safety", FATIGUE, MISSING)]
        *yields, tires = safeties(loads, capacity, speeds)
        yielding += _worst_sections(side, loads, speeds, *yields)
        fatigue += _worst_sections(side, loads, speeds, tires)
    return [
        replace(row, unlooked=evaluation.still)
        for row in (
            _row("yield_safety", YIELDING, yielding, limits.yield_safety),
            _row("fatigue_safety", FATIGUE, fatigue, limits.fatigue_safety, with_angle=False),
        )
    ]


def _speeds(evaluation: Evaluation) -> np.ndarray:
    """Return the speeds to look at, (speeds, options...), with as many option axes as the loads and strengths have."""
    speeds = evaluation.part_speeds
    capacity = [each.endurance[..., None] for each in evaluation.strengths if each is not None]
    loads = [
        part for each in evaluation.inside for load in (each.moment.linear, each.torque) for part in load.still.parts
    ]
    axes = max(np.ndim(each) - 2 for each in (*loads, *capacity))
    return speeds.reshape(speeds.shape[:1] + (1,) * (axes + 1 - speeds.ndim) + speeds.shape[1:])


def _worst_sections(side: str, loads: InternalLoads, speeds: np.ndarray, safety: np.ndarray, angle=None) -> list[tuple]:
    """Return (speed, safety, crank angle, name) of the weakest section at each speed.

    safety, angle : (speeds, options..., sections).
    """
    angle = np.zeros_like(safety) if angle is None else angle
    index = np.argmin(safety, axis=-1)[..., None]
    worst = []
    for speed, value, when, where in zip(speeds, safety, angle, index, strict=True):
        value, when = (np.take_along_axis(each, where, axis=-1)[..., 0] for each in (value, when))
        weakest = int(np.ravel(where)[np.argmin(value)])
        worst.append((speed, value, when, file_words(f"{side} shaft {loads.sections.name(weakest)}")))
    return worst


def _row(key: str, what: str, worst: list[tuple], limit, with_angle: bool = True) -> Row:
    value, speed, angle = worst_of([each[:3] for each in worst], "at least")
    where = min(worst, key=lambda each: float(np.min(each[1])))[3]
    when = angle if with_angle else None
    return Row(key, f"{what}, {where}", value, limit, "", "at least", speed=speed, angle=when, where=where)
