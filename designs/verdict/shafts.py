"""How far the shafts bend at their bearings and gears, against what these bear."""

import numpy as np

from balance.quantities import Scalar
from designs.evaluate import Evaluation
from designs.verdict.row import Row, not_checked
from shafts.peaks import Peak, largest_of

KEYS = ("slope_at_bearings", "slope_at_gears", "deflection_at_gears")

SIDES = ("right", "left")
SEATS = "use stiffer bearings and seats, or set the bearings farther apart"
HALF = 0.5
STIFFER = "use a thicker shaft, bring the throws nearer to the bearings, or set the bearings farther apart"


def rows(evaluation: Evaluation) -> list[Row]:
    """Return the worst slope at the bearings, and slope and deflection at the gears, of both shafts."""
    limits, worst = evaluation.design.limits, dict(zip(SIDES, evaluation.peaks, strict=True))
    bearings = {f"{side} bearing {place + 1}": slope
                for side, peaks in worst.items() for place, slope in enumerate(peaks["slopes"])}  # fmt: skip
    found = [_worst(evaluation, "slope_at_bearings", "slope at", bearings, limits.slope_at_bearings, "rad")]
    if evaluation.design.cranks.gears is None:
        missing = "describe cranks.gears"
        return [*found, not_checked("slope_at_gears", "slope at gear", missing),
                not_checked("deflection_at_gears", "deflection at gear", missing)]  # fmt: skip
    slopes, bends = (
        {f"{side} gear": peaks[kind][0] for side, peaks in worst.items()} for kind in ("gear slope", "gear")
    )
    found.append(_worst(evaluation, "slope_at_gears", "slope at", slopes, limits.slope_at_gears, "rad"))
    found.append(_worst(evaluation, "deflection_at_gears", "deflection at", bends, limits.deflection_at_gears, "m"))
    return found


def _worst(evaluation: Evaluation, key: str, what: str, peaks: dict[str, Peak], limit: Scalar, unit: str) -> Row:
    place, worst = largest_of(peaks)
    change = STIFFER if evaluation.options else lambda: _change(evaluation, key, place, worst)
    return Row(
        key, f"{what} {place}", worst.size, limit, unit, "at most", change, worst.speed, worst.angle, evaluation.rigid
    )


def _change(evaluation: Evaluation, key: str, place: str, worst: Peak) -> str:
    """Name what yields the most, the shaft itself or its bearings and supports, for one design."""
    crank = evaluation.loaded_shafts.of(place.split()[0])
    kind = {"slope_at_bearings": "slopes", "slope_at_gears": "gear slope", "deflection_at_gears": "gear"}[key]
    number = int(place.split()[-1]) - 1 if kind == "slopes" else 0
    stiff = float(np.max(crank.on_rigid_bearings(kind)[number].size(float(worst.speed))))
    share = stiff / float(worst.size) if worst.size else 1.0
    if share < HALF:
        return f"{SEATS} ({share * 100:.0f} percent of it would be left on rigid ones); a thicker shaft hardly helps"
    return f"{STIFFER} ({share * 100:.0f} percent of it would be left on rigid bearings)"
