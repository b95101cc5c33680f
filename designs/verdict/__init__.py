"""The verdict on a design: one row a limit, each from the room that knows it."""

from dataclasses import replace
from functools import partial

from designs.evaluate import Evaluation
from designs.verdict import (
    along,
    bearing_fits,
    bearings,
    clearances,
    counterweights,
    cylinder,
    evenness,
    gap,
    joined,
    parts,
    power,
    shafts,
    shaking,
    stop,
    strength,
    teeth,
    uneven,
    vibration,
    whirl,
)
from designs.verdict.row import Row

ROOMS = (
    power,
    shaking,
    counterweights,
    vibration,
    evenness,
    gap,
    uneven,
    clearances,
    cylinder,
    joined,
    stop,
    shafts,
    bearing_fits,
    bearings,
    along,
    teeth,
    strength,
    parts,
    whirl,
)
"""Where rows come from, in the order in which they are shown; a new limit joins by its own room."""

MANY = (power, shaking, vibration, evenness, gap, shafts, bearing_fits, bearings, along, teeth)
"""Those of them that judge many options at once as fast as arrays go, each with the KEYS of its rows; for a search.

Strength of shafts and parts would take three times as long as all of these together.
"""

STILL = (*gap.KEYS, *shafts.KEYS, "bearing_life", "static_safety", "bush_pv", *teeth.KEYS)
"""Limits that vibration of the shafts bears upon; among many they are judged without it, and their rows say so."""


def judge(evaluation: Evaluation) -> list[Row]:
    """Return every limit and how the design stands against it; what fails says what to change, once it is asked."""

    def words(row: Row) -> str:
        found = evaluation.counsel.advice(row.key)
        # What a room has worked out itself, as the plate that would be large enough, serves where no free choice does.
        return found.sentence if found.plan.steps else row.change or found.sentence

    if evaluation.options is not None:
        return evaluation.rows
    return [replace(row, advice=partial(words, row)) if row.state == "FAIL" else row for row in evaluation.rows]
