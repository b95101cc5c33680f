"""Whether the gear teeth bear what crosses them."""

from dataclasses import replace

import numpy as np

from balance.quantities import Scalar
from designs.evaluate import Evaluation
from designs.verdict.row import Row, not_checked, worst_of
from shafts.strength.teeth import ToothDuty

KEYS = ("tooth_bending_safety", "tooth_pitting_safety")

BENDING, PITTING = "bending of gear teeth", "pitting of gear teeth"


def rows(evaluation: Evaluation) -> list[Row]:
    """Return the safety of the worse gear's teeth against bending and against pitting."""
    gears, limits = evaluation.design.cranks.gears, evaluation.design.limits
    if gears is None or evaluation.teeth is None:
        missing = [name for name in ("face", "material") if getattr(gears, name, None) is None]
        words = "give cranks.gears" if gears is None else "give cranks.gears." + " and ".join(missing)
        return [
            not_checked("tooth_bending_safety", BENDING, words),
            not_checked("tooth_pitting_safety", PITTING, words),
        ]
    bending = [(duty, duty.bending_safety) for duty in evaluation.teeth]
    pitting = [(duty, duty.pitting_safety) for duty in evaluation.teeth]
    return [
        replace(row, unlooked=evaluation.still) if row.checked else row
        for row in (
            _row("tooth_bending_safety", BENDING, bending, limits.tooth_bending_safety, "bending_strength"),
            _row("tooth_pitting_safety", PITTING, pitting, limits.tooth_pitting_safety, "contact_strength"),
        )
    ]


def _row(key: str, what: str, worst: list[tuple[ToothDuty, Scalar | None]], limit: Scalar, entry: str) -> Row:
    known = [(duty.speed, np.asarray(safety), np.asarray(duty.angle)) for duty, safety in worst if safety is not None]
    if any(np.any(np.isnan(duty.force)) for duty, _ in worst):
        return not_checked(key, what, "give cranks.gears.made: such teeth run too fast for their cranks.gears.quality")
    if len(known) < len(worst) or any(np.all(np.isnan(safety)) for _, safety, _ in known):
        return not_checked(key, what, f"give cranks.gears.{entry}: none follows from the material or number of teeth")
    value, speed, angle = worst_of(known, "at least")
    return Row(key, what, value, limit, "", "at least", speed=speed, angle=angle)
