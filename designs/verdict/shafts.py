"""How far the shafts bend at their bearings and gears, against what these bear."""

from balance.quantities import Scalar
from designs.evaluate import Evaluation
from designs.verdict.row import Row, not_checked
from shafts.crank.vectors import Peak
from shafts.peaks import largest_of

KEYS = ("slope_at_bearings", "slope_at_gears", "deflection_at_gears")

SIDES = ("right", "left")


def rows(evaluation: Evaluation) -> list[Row]:
    """Return the worst slope at the bearings, and slope and deflection at the gears, of both shafts."""
    limits, worst = evaluation.design.limits, dict(zip(SIDES, evaluation.peaks, strict=True))
    bearings = {f"{side} bearing {index + 1}": slope
                for side, peaks in worst.items() for index, slope in enumerate(peaks["slopes"])}  # fmt: skip
    judged = [_worst(evaluation, "slope_at_bearings", "slope at", bearings, limits.slope_at_bearings, "rad")]
    if evaluation.design.cranks.gears is None:
        missing = "give cranks.gears"
        return [*judged, not_checked("slope_at_gears", "slope at gear", missing),
                not_checked("deflection_at_gears", "deflection at gear", missing)]  # fmt: skip
    slopes, bends = (
        {f"{side} gear": peaks[kind][0] for side, peaks in worst.items()} for kind in ("gear slope", "gear")
    )
    judged.append(_worst(evaluation, "slope_at_gears", "slope at", slopes, limits.slope_at_gears, "rad"))
    judged.append(_worst(evaluation, "deflection_at_gears", "deflection at", bends, limits.deflection_at_gears, "m"))
    return judged


def _worst(evaluation: Evaluation, key: str, what: str, peaks: dict[str, Peak], limit: Scalar, unit: str) -> Row:
    where, worst = largest_of(peaks)
    return Row(key, f"{what} {where}", worst.size, limit, unit, "at most",
               speed=worst.speed, angle=worst.angle, unlooked=evaluation.rigid, where=where)  # fmt: skip
