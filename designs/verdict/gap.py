"""Whether the yokes keep clear of each other."""

import numpy as np

from designs.evaluate import Evaluation
from designs.verdict.row import Row, worst_of
from shafts.gap.contact import first_contact, least_gap
from shafts.gap.narrowing import Narrow, narrow
from shafts.gap.narrowing import first_contact as first_contact_of_many
from shafts.gap.pair import YokePair, budget


def rows(evaluation: Evaluation) -> list[Row]:
    """Return the rows of every pair of yokes: least gap over the speed range, and speed of first contact."""
    return [row for pair in evaluation.pairs for row in _pair_rows(evaluation, pair)]


def _pair_rows(evaluation: Evaluation, pair: YokePair) -> list[Row]:
    names = f"{pair.upper} and {pair.lower}"
    few = narrow(pair, evaluation.top_speed)
    gap, speed, angle = worst_of(_gaps(evaluation, pair) if few is None else _many_gaps(evaluation, few), "at least")
    top = evaluation.top_speed
    contact = first_contact(pair, top) if few is None else first_contact_of_many(few, top)
    change = _change(evaluation, pair, speed)
    most = evaluation.design.speed.most
    return [
        Row("gap", f"least gap of {names}", gap, evaluation.design.limits.gap, "m", "at least", change, speed, angle),
        Row("contact", f"speed of first contact of {names}", contact, most, "rad/s", "at least", change, contact),
    ]


def _gaps(evaluation: Evaluation, pair: YokePair) -> list[tuple[np.ndarray, np.ndarray, np.ndarray]]:
    """Return (speed, least gap, crank angle) at every speed that is looked at; a single design takes them at once."""
    speeds = evaluation.speeds
    if evaluation.options is not None:
        return [(speed, *least_gap(pair, speed)) for speed in speeds]
    return list(zip(speeds, *least_gap(pair, np.stack(speeds)), strict=True))


def _many_gaps(evaluation: Evaluation, few: Narrow) -> list[tuple[np.ndarray, np.ndarray, np.ndarray]]:
    speeds = [np.broadcast_to(speed, (len(few.kept),)) for speed in evaluation.speeds]
    return list(zip(speeds, *few.least(np.stack(speeds)), strict=True))


def _change(evaluation: Evaluation, pair: YokePair, speed: np.ndarray) -> str:
    """Name the item that takes the most of the gap at the tightest angle, if there is just one design."""
    if np.ndim(speed):
        return "open the nominal gap or stiffen the shafts"
    taken = {name: -each for name, each in budget(pair, speed)[1].items()}
    worst = max(taken, key=taken.__getitem__)
    return f"most of it goes to {worst} ({taken[worst] * 1e3:.3f} mm): {REMEDIES[worst]}"


REMEDIES = {
    "shaft bending": "thicker shafts, or throws nearer to the bearings",
    "bearing and seat give": "stiffer seats, or bearings farther apart",
    "shaft vibration": "thicker shafts or less mass on them, so that the critical speeds lie higher",
    "crankpin bending": "thicker or shorter crankpins",
    "crank web bending": "thicker webs",
    "shaft wind-up": "thicker shafts, or the gear nearer to the throws",
    "rod stretch": "rods of larger section",
    "yoke arm bending": "higher yoke arms",
    "bearing clearance": "bearings of a smaller clearance group, preloaded, or farther apart",
    "rod pin play": "closer fits in the rod pins",
    "timing and backlash": "less backlash, or a longer guide",
    "growth by heat": "materials that grow alike, or a cooler yoke",
    "making tolerances": "closer tolerances, or a gap set when assembled",
}
