"""What a picture of a run-up shows: how far the crankpins bend over speed, the gap that is left, and what is driven."""

from dataclasses import dataclass

import numpy as np

from designs.evaluate import Evaluation
from shafts.whirl.crossings import Crossing
from shafts.whirl.vibration import WORTH

APART = 0.1  # of the largest speed: what meets nearer than this to what is driven more is not marked


@dataclass(frozen=True, eq=False)
class RunUp:
    """A run-up from half the slowest running speed to overspeed, with the speeds at which the cranks vibrate most.

    speeds : rad/s, (speeds,).   static, pins : largest bending of any crankpin over a turn, without vibration and with
    it, m, (speeds,).   gap : least of any two yokes, m, (speeds,); None where none can meet.
    """

    speeds: np.ndarray
    static: np.ndarray
    pins: np.ndarray
    gap: np.ndarray | None


def run_up(evaluation: Evaluation, steps: int) -> RunUp:
    """Return the run-up of a single design at so many speeds beside its peaks."""
    vibration, top = evaluation.shaft_vibration, float(evaluation.top_speed)
    low = max(float(evaluation.design.speed.slowest) * 0.5, 1e-3)
    speeds = np.unique([*np.linspace(low, top, steps), *vibration.worst_speeds(low, top)])
    pins, static = np.max(vibration.whole(speeds), axis=0), np.max(vibration.peaks(speeds)[1], axis=0)
    gaps = [pair.least(speeds)[0] for pair in evaluation.pairs]
    return RunUp(speeds, static, pins, np.min(gaps, axis=0) if gaps else None)


def loudest(evaluation: Evaluation, low: float, last: float, most: int) -> list[Crossing]:
    """Return the crossings between two speeds, rad/s, worth a mark: that driven most of those close together."""
    found = [each for each in evaluation.crossings if low <= each.speed <= last and each.driven >= WORTH]
    kept: list[Crossing] = []
    for each in sorted(found, key=lambda one: -one.driven):
        if all(abs(each.speed - other.speed) > APART * float(evaluation.top_speed) for other in kept):
            kept.append(each)
    return kept[:most]
