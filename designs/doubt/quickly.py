"""What of many designs surely fails in the machines that each may be, before any of them gets its whole verdict."""

from dataclasses import replace

from designs.design import Design
from designs.doubt.judging import Judge, placed
from designs.doubt.outcome import doubt_of, few_draws
from designs.doubt.unknowns import unknowns_of
from designs.evaluate import Evaluation
from designs.verdict import MANY
from designs.verdict.row import Row


def surely_failing(design: Design, sure: float) -> list[Row]:
    """Return the limits, of those judged for many at once, that surely hold in fewer machines than asked for.

    Without vibration of the shafts, for a single design. Of one whose share may be enough nothing is returned.
    """
    unknowns, evaluation = unknowns_of(design), Evaluation(design, without_vibration=True)
    if not unknowns:
        return []
    rows = [row for source in MANY for row in source.rows(evaluation)]
    _, drawn = few_draws(Judge(evaluation, unknowns, rows))
    doubts = {row_key: doubt_of(each, sure) for row_key, each in drawn.items()}
    at = placed(rows)
    return [replace(at[row_key], doubt=each) for row_key, each in doubts.items() if row_key in at and each.high < sure]
