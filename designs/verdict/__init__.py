"""The verdict on a design: one row a limit, each from the file that knows it."""

from types import ModuleType

from balance.many import refuse_many
from designs.evaluate import Evaluation, kept_with_it
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
    webs,
    whirl,
)
from designs.verdict.row import Row

SOURCES = (
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
    webs,
    whirl,
)
"""Where rows come from, in the order in which they are shown; a new limit joins by its own file."""

MANY = (power, shaking, vibration, evenness, gap, shafts, bearing_fits, bearings, along, teeth)
"""Those of them that judge many options at once as fast as arrays go, each with the KEYS of its rows; for a search.

Strength of shafts and parts would take three times as long as all of these together.
"""

STILL = (*gap.KEYS, *shafts.KEYS, "bearing_life", "static_safety", "bush_pv", *teeth.KEYS)
"""Limits that vibration of the shafts bears upon; among many they are judged without it, and their rows say so."""


def rows_of(evaluation: Evaluation) -> list[Row]:
    """Return every limit and how the design stands against it, without advice on what fails."""
    refuse_many(evaluation.design, "the whole verdict")
    made = [(row, source) for source in SOURCES for row in source.rows(evaluation)]
    _MADE_BY.update({row.key: source for row, source in made})
    return [row for row, _ in made]


def source_of(key: str, evaluation: Evaluation) -> ModuleType:
    """Return where the row of a limit comes from.   evaluation : of a design that has it, asked if nobody has yet."""
    if key not in _MADE_BY:
        rows_of(evaluation)
    return _MADE_BY[key]


_MADE_BY: dict[str, ModuleType] = {}


@kept_with_it
def verdict_of(evaluation: Evaluation) -> list[Row]:
    """Return the same, made once and kept: its words wait for the evaluation, so that both stay as long as either."""
    return rows_of(evaluation)
