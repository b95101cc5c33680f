"""Whether all parts keep clear of each other, but for yokes among themselves and for what runs in a fit."""

import numpy as np

from balance.outlines import ranges_meet, touch
from designs.evaluate import Evaluation
from designs.verdict.row import Row, not_checked
from shafts.clearance.clearances import Clearance

FLOAT = "once their float along the shafts is taken up"
KEYS = {
    "": ("clearance", "other parts"),
    "weights": ("clearance_weights", "a counterweight and another part"),
    "wheels": ("clearance_wheels", "a gear, flywheel or pulley and another part"),
    "carried": ("clearance_carried", "what a yoke carries, or the cylinder, and another part"),
    "bearings": ("clearance_bearings", "a bearing and another part"),
}
"""Key and words of each kind of pair."""
EVERY_KEY = tuple(key for key, _ in KEYS.values())
DEEP = 2e-3  # m; parts that stand so deep in each other do so with any deflection, which is less than a millimetre


def rows(evaluation: Evaluation, asked: str = "") -> list[Row]:
    """Return of each kind of pair the row of the two parts that come nearest; kinds that cannot meet have none.

    asked : the key of the only row that anybody wants, if that is so.
    """
    groups = [group for group, (key, _) in KEYS.items() if asked in ("", key) and group in evaluation.shapes.pairs]
    judged = [_row(evaluation, group) for group in groups]
    return [row for row in judged if row is not None]


def deep_row(evaluation: Evaluation, key: str) -> Row | None:
    """Return the row of parts that stand deep in each other, without their deflection; None where none do."""
    shapes = evaluation.shapes
    deepest = min((shapes.deepest(group) for group, (its, _) in KEYS.items() if its == key and group in shapes.pairs),
                  default=np.inf)  # fmt: skip
    return None if deepest > -DEEP else Row(key, "", deepest, evaluation.design.limits.gap, "m", "at least")


def _row(evaluation: Evaluation, group: str) -> Row | None:
    key, words = KEYS[group]
    missing = "; ".join(each.words for each in evaluation.shapes.unlooked(group))
    unlooked = f"give the outlines of: {missing}" if missing else ""
    pairs = evaluation.bodies.tightest(group)
    if not pairs:
        return not_checked(key, f"clearance between {words}", unlooked) if unlooked else None
    looked_at = [(*least_of(evaluation, pair), pair) for pair in pairs]
    limit = evaluation.design.limits.gap
    given = [each for each in looked_at if not each[-1].taken or each[0] >= limit]
    if not given:
        nearest = min(looked_at, key=_order)[-1]
        words = f"with the usual size that is taken for one of them they strike: give {nearest.taken}"
        return not_checked(
            key, f"clearance between {nearest.names}", "; ".join([words, unlooked][: 1 + bool(unlooked)])
        )
    # A clash with a part whose size is only taken is none, but something left to look at.
    for each in sorted(looked_at, key=_order):
        if each not in given:
            unlooked = unlooked or f"give {each[-1].taken}: by its usual size it strikes ({each[-1].names})"
    clearance, angle, speed, pair = min(given, key=_order)
    what = f"clearance between {pair.names}"
    if pair.taken:
        what += " (a usual size is taken, not given)"
    if np.min(pair.distance) <= 0:
        drawn = bool(ranges_meet(pair.one.z, pair.other.z))
        what += f", which run into each other {'on the drawing already' if drawn else FLOAT}"
    if bool(touch(pair.one.z, pair.other.z, evaluation.design.fits.axial_play)):
        what += ", which along the shafts only just touch: that is not clear"
    return Row(
        key, what, clearance, limit, "m", "at least", speed=speed, angle=angle, unlooked=unlooked, where=pair.names
    )


def _order(looked_at: tuple) -> tuple:
    """Of mirrored pairs, which are as near to a picometre, the first by name."""
    return round(float(looked_at[0]), 12), looked_at[-1].names


def least_of(evaluation: Evaluation, pair: Clearance) -> tuple[np.ndarray, np.ndarray, float]:
    """Return the least clearance at any speed that is looked at, its crank angle and its speed."""
    speeds = np.array(evaluation.running_speeds, dtype=float)
    clearances, angles = pair.least(speeds)
    worst = int(np.argmin(clearances))
    return clearances[worst], angles[worst], float(speeds[worst])
