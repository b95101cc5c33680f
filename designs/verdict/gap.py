"""Whether the yokes keep clear of each other."""

from dataclasses import replace

import numpy as np

from designs.evaluate import Evaluation
from designs.shown import RPM
from designs.verdict.row import Row, not_checked, worst_of
from shafts.gap.bounds.contact_of_many import first_contact as first_contact_of_many
from shafts.gap.bounds.pruning import PrunedPair, pruned_pairs
from shafts.gap.pair import YokePair

KEYS = ("gap", "contact")


def rows(evaluation: Evaluation) -> list[Row]:
    """Return the rows of every pair of yokes: least gap over the speed range, and speed of first contact."""
    if evaluation.options is None:
        judged = [row for pair in evaluation.pairs for row in _rows_of_one(evaluation, pair)]
    else:
        pairs = pruned_pairs(evaluation.loaded_shafts, np.broadcast_to(evaluation.top_speed, (evaluation.options,)))
        judged = [row for pair in pairs for row in _rows_of_many(evaluation, pair)]
    return judged or _without_pair(evaluation)


def _without_pair(evaluation: Evaluation) -> list[Row]:
    """Return the rows where no two yokes face each other: none to touch, or not looked at for want of an outline."""
    yokes = evaluation.design.yokes
    missing = [f"yokes.{name}.outline" for name, yoke in yokes.items() if yoke.outline is None]
    if len(yokes) < 2 or not missing:
        return []
    words = f"give {', '.join(missing)}, so that it can be looked at"
    return [not_checked(key, what, words) for key, what in (("gap", "least gap of the yokes"),
                                                            ("contact", "speed of first contact"))]  # fmt: skip


def _rows_of_one(evaluation: Evaluation, pair: YokePair) -> list[Row]:
    """A single design takes all speeds at once."""
    speeds = evaluation.every_speed
    gap = worst_of(list(zip(speeds, *pair.least(np.stack(speeds)), strict=True)), "at least")
    found = _rows(evaluation, pair, gap, np.asarray(evaluation.contact(pair)))
    heard = knock(evaluation)
    if not heard:
        return found
    words = f"{heard}: run `quietcrank learn`; once the machine is rebuilt, take measured.first_contact out"
    return [replace(row, unlooked="; ".join(filter(None, (row.unlooked, words)))) for row in found]


def knock(evaluation: Evaluation) -> str:
    """Return in words that a single design was seen or heard to knock where by its numbers nothing touches; else ""."""
    measured, most = evaluation.design.measured, float(evaluation.design.speed.most)
    told = None if measured is None else measured.first_contact
    reading = None if told is None else told.seen or told.heard
    if reading is None or reading.value > most or any(evaluation.contact(pair) <= most for pair in evaluation.pairs):
        return ""
    way = "seen to touch" if told.seen else "heard to knock"  # type: ignore[union-attr]
    return f"the machine was {way} from {reading.value * RPM:.0f} rpm on, where by these numbers nothing touches"


def _rows_of_many(evaluation: Evaluation, pair: PrunedPair) -> list[Row]:
    speeds = [np.broadcast_to(speed, (len(pair.kept),)) for speed in evaluation.speeds]
    gap = worst_of(list(zip(speeds, *pair.least(np.stack(speeds)), strict=True)), "at least")
    contact = first_contact_of_many(pair, evaluation.top_speed)
    return _rows(evaluation, pair, gap, contact)


def _rows(
    evaluation: Evaluation,
    pair: YokePair | PrunedPair,
    worst: tuple[np.ndarray, ...],
    contact: np.ndarray,
) -> list[Row]:
    names, limits, most = f"{pair.upper} and {pair.lower}", evaluation.design.limits, evaluation.design.speed.most
    gap, speed, angle = worst
    where = names if len(evaluation.design.yokes) > 2 else ""
    return [
        Row("gap", f"least gap of {names}", gap, limits.gap, "m", "at least",
            speed=speed, angle=angle, unlooked=evaluation.exact, where=where),
        Row("contact", f"speed of first contact of {names}", contact, most, "rad/s", "at least",
            speed=contact, unlooked=evaluation.exact, where=where),
    ]  # fmt: skip
