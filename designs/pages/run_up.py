"""What a picture of a run-up shows over speed: how far crankpins bend and the case moves, the gap, what resonates."""

from dataclasses import dataclass

import numpy as np

from balance.case.body import foot_places
from balance.case.vibration import NUMBERS, nearest_meeting, peak, steady_roll, vibration
from designs.evaluate import Evaluation
from shafts.whirl.crossings import Crossing
from shafts.whirl.peaks import WORTH

CASE_STEPS, MOST = 160, 5  # speeds at which the case is looked at, beside its resonances, and how many are marked
DRIVEN, BESIDE = 1.3, 0.2  # how many times its least within a fifth on either side a resonance of the case stands out
APART = 0.1  # of the largest speed: what meets nearer than this to what is driven more is not marked


@dataclass(frozen=True, eq=False)
class RunUp:
    """A run-up from half the slowest running speed to overspeed, with the speeds at which the cranks vibrate most.

    speeds : rad/s, (speeds,).   static, pins : largest bending of any crankpin over a turn, without vibration and with
    it, m, (speeds,).   gap : least of any two yokes, m, (speeds,); None where none can meet.
    case : None where it has no feet.
    """

    speeds: np.ndarray
    static: np.ndarray
    pins: np.ndarray
    gap: np.ndarray | None
    case: "CaseRun | None"


@dataclass(frozen=True, eq=False)
class CaseRun:
    """How far the case moves at any foot along any axis, peak over a turn, m, at speeds of its own, rad/s, (speeds,).

    lifts : speed from which on a foot leaves the bench, so that no more is real, rad/s; inf if none does.
    peaks : speed and order of the resonances at which it moves most.
    """

    speeds: np.ndarray
    moved: np.ndarray
    lifts: float
    peaks: list[tuple[float, int]]


def run_up(evaluation: Evaluation, steps: int) -> RunUp:
    """Return the run-up of a single design at so many speeds beside its peaks."""
    shaken, top = evaluation.shaft_vibration, float(evaluation.top_speed)
    low = max(float(evaluation.design.speed.slowest) * 0.5, 1e-3)
    speeds = np.unique([*np.linspace(low, top, steps), *shaken.worst_speeds(low, top)])
    pins, static = np.max(shaken.whole(speeds), axis=0), np.max(shaken.peaks(speeds)[1], axis=0)
    gaps = [pair.least(speeds)[0] for pair in evaluation.pairs]
    return RunUp(speeds, static, pins, np.min(gaps, axis=0) if gaps else None, _case(evaluation, low, top))


def _case(evaluation: Evaluation, low: float, top: float) -> CaseRun | None:
    body = evaluation.case
    if body is None or body.mount.feet is None:
        return None
    meetings = [each / order for each in np.ravel(body.frequency) for order in NUMBERS if low < each / order < top]
    speeds = np.unique([*np.linspace(low, top, CASE_STEPS), *meetings])
    found = vibration(body, evaluation.case_loads, speeds)
    moved = np.max([peak(each) for place in foot_places(body.mount) for each in found.shift(place).values()], axis=0)
    tops = [place for place, each in enumerate(speeds) if each in meetings and _stands_out(speeds, moved, place)]
    loudest_first = sorted(tops, key=lambda each: -moved[each])[:MOST]
    met = [(float(speeds[each]), nearest_meeting(body, float(speeds[each]), 1e-6)) for each in loudest_first]
    lifted = np.flatnonzero(found.uplift(evaluation.design.gravity, steady_roll(evaluation.case_loads)) >= 1)
    lifts = float(speeds[lifted[0]]) if lifted.size else np.inf
    return CaseRun(speeds, moved, lifts, [(speed, order[0]) for speed, order in met if order is not None])


def _stands_out(speeds: np.ndarray, moved: np.ndarray, place: int) -> bool:
    """Return whether a resonance at one of rising speeds is a peak: more than beside it, and than on either flank."""
    away = speeds / speeds[place] - 1
    flanks = [moved[(away < 0) & (away > -BESIDE)], moved[(away > 0) & (away < BESIDE)]]
    close = moved[np.abs(away) < BESIDE / 10]
    return moved[place] >= np.max(close) and all(
        moved[place] > DRIVEN * np.min(each, initial=np.inf) for each in flanks
    )


def loudest(evaluation: Evaluation, low: float, last: float, most: int) -> list[Crossing]:
    """Return the crossings between two speeds, rad/s, worth a mark: that driven most of those close together."""
    found = [each for each in evaluation.crossings if low <= each.speed <= last and each.driven >= WORTH]
    kept: list[Crossing] = []
    for each in sorted(found, key=lambda one: -one.driven):
        if all(abs(each.speed - other.speed) > APART * float(evaluation.top_speed) for other in kept):
            kept.append(each)
    return kept[:most]
