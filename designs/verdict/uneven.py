"""What a speed that swings over the turn does to shaking and gap, where a light flywheel lets it."""

import numpy as np

from balance.speed_swing import SpeedSwing, swung_shaking
from designs.evaluate import Evaluation
from designs.verdict.row import Row, not_checked
from designs.verdict.shaking import shaking_limit
from shafts.gap.pair import YokePair

KEYS = ("shaking_force_uneven", "gap_uneven")
COUNTS = 0.05
"""Fluctuation of speed from which it is counted: below, even turning is right to about a tenth of it."""


def rows(evaluation: Evaluation) -> list[Row]:
    """Return shaking and gap with the speed as it swings, where it swings by 5 percent; for one design."""
    swings = _counting(evaluation)  # without any the rows of even turning say it all
    return [*shaking(evaluation), *(_gap(evaluation, pair, swings) for pair in (evaluation.pairs if swings else ()))]


def _counting(evaluation: Evaluation) -> list[SpeedSwing]:
    return [swing for swing in evaluation.swings if float(swing.fluctuation) >= COUNTS]


def shaking(evaluation: Evaluation) -> list[Row]:
    """Return the row of shaking with the speed as it swings; none where it hardly does."""
    swings, key = _counting(evaluation), "shaking_force_uneven"
    what, limit = (
        "shaking force with the speed as it swings, peak, where it does by 5 percent",
        shaking_limit(evaluation.design),
    )
    if not swings:
        return []
    if limit is None:
        return [not_checked(key, what, "give limits.shaking_force, or mount.mass for a quarter of the weight")]
    sizes = [float(np.max(shaken(evaluation, each)) * float(each.mean) ** 2) for each in swings]
    worst = int(np.argmax(sizes))
    return [Row(key, what, sizes[worst], limit, "N", "at most", speed=swings[worst].mean)]


def shaken(evaluation: Evaluation, swing: SpeedSwing) -> np.ndarray:
    """Return the size of the shaking force per mean speed squared over the turn, kg m, (angles,)."""
    even = evaluation.shaking
    return even.size if swing.fluctuation < COUNTS else swung_shaking(even, swing).size


def _gap(evaluation: Evaluation, pair: YokePair, swings: list[SpeedSwing]) -> Row:
    gaps = [least_gap(evaluation, pair, each) for each in swings]
    worst = int(np.argmin(gaps))
    what = f"least gap of {pair.upper} and {pair.lower} with the speed as it swings"
    limit, speed = evaluation.design.limits.gap, swings[worst].mean
    unlooked = evaluation.exact
    return Row("gap_uneven", what, gaps[worst], limit, "m", "at least", speed=speed, unlooked=unlooked)


def least_gap(evaluation: Evaluation, pair: YokePair, swing: SpeedSwing) -> float:
    """Return the least gap of a pair at a mean speed, m: even turning's, with what the swing adds."""
    speed = float(swing.mean)
    if swing.fluctuation < COUNTS:
        return float(pair.least(speed)[0])
    plain, lowered = (np.min(each, axis=-2) for each in pair.with_reversals(speed, "expected"))
    swung = YokePair(evaluation.swung_shafts(swing), pair.facing)
    return float(np.min(lowered + swung.gap(speed) - plain))
