"""Whether the yokes keep clear of each other."""

from collections.abc import Callable

import numpy as np

from designs.evaluate import Evaluation
from designs.verdict.row import Row, not_checked, worst_of
from shafts.gap.bounds.contact_of_many import first_contact as first_contact_of_many
from shafts.gap.bounds.pruning import PrunedPair, pruned_pairs
from shafts.gap.contact import first_contact
from shafts.gap.pair import YokePair, budget

KEYS = ("gap", "contact")


def rows(evaluation: Evaluation) -> list[Row]:
    """Return the rows of every pair of yokes: least gap over the speed range, and speed of first contact."""
    if evaluation.options is None:
        found = [row for pair in evaluation.pairs for row in _rows_of_one(evaluation, pair)]
        return found or _without_pair(evaluation)
    top = np.broadcast_to(evaluation.top_speed, (evaluation.options,))
    return [row for pair in pruned_pairs(evaluation.loaded_shafts, top) for row in _rows_of_many(evaluation, pair)]


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
    speeds, top = evaluation.speeds, evaluation.top_speed
    gap = worst_of(list(zip(speeds, *pair.least(np.stack(speeds)), strict=True)), "at least")
    return _rows(evaluation, pair, gap, first_contact(pair, top), lambda: _change(evaluation, pair, gap[1]))


def _rows_of_many(evaluation: Evaluation, pair: PrunedPair) -> list[Row]:
    speeds = [np.broadcast_to(speed, (len(pair.kept),)) for speed in evaluation.speeds]
    gap = worst_of(list(zip(speeds, *pair.least(np.stack(speeds)), strict=True)), "at least")
    contact = first_contact_of_many(pair, evaluation.top_speed)
    return _rows(evaluation, pair, gap, contact, "open the nominal gap or stiffen the shafts")


def _rows(
    evaluation: Evaluation,
    pair: YokePair | PrunedPair,
    worst: tuple[np.ndarray, ...],
    contact: np.ndarray,
    advice: str | Callable[[], str],
) -> list[Row]:
    names, limits, most = f"{pair.upper} and {pair.lower}", evaluation.design.limits, evaluation.design.speed.most
    gap, speed, angle = worst
    return [
        Row("gap", f"least gap of {names}", gap, limits.gap, "m", "at least", advice, speed, angle, evaluation.exact),
        Row(
            "contact",
            f"speed of first contact of {names}",
            contact,
            most,
            "rad/s",
            "at least",
            advice,
            contact,
            unlooked=evaluation.exact,
        ),
    ]


def _change(evaluation: Evaluation, pair: YokePair, speed: np.ndarray) -> str:
    """Name the item that takes the most of the gap at the tightest angle."""
    nominal, items = budget(pair, speed)
    if nominal <= 0:
        return f"on the drawing alone they overlap by {-nominal * 1e3:.3f} mm: open the nominal gap first"
    taken = {name: -each for name, each in items.items()}
    worst = max(taken, key=taken.__getitem__)
    return f"most of it goes to {worst} ({taken[worst] * 1e3:.3f} mm): {REMEDIES[worst]}"


REMEDIES = {
    "shaft bending": "thicker shafts, or throws nearer to the bearings",
    "shaft twist": "thicker shafts, or the gear nearer to the throws",
    "crankpin bending": "thicker or shorter crankpins",
    "crank web bending": "thicker webs",
    "bearing deflection": "larger bearings, or bearings farther apart",
    "support deflection": "stiffer seats, or bearings farther apart",
    "support tilt": "thicker plates, or two plates tied together",
    "tooth mesh": "wider gears",
    "shaft vibration": "thicker shafts or less mass on them, so that the critical speeds lie higher",
    "rod stretch": "rods of larger section",
    "yoke arm bending": "higher yoke arms",
    "yoke tilt along the shafts": "longer guides or less play in them, or masses nearer to the rods' plane",
    "bearing clearance": "bearings of a smaller clearance group, preloaded, or farther apart",
    "rod pin play": "closer fits in the rod pins",
    "timing and backlash": "less backlash, or a longer guide",
    "play reversal": "closer fits in the rod pins, or less backlash",
    "thermal expansion": "materials that grow alike, or a cooler yoke",
    "making tolerances": "closer tolerances, or a gap set when assembled",
}
