"""Results as tables: what the screen, the JSON, the page and the plots are made of."""

from designs.evaluate import Evaluation
from designs.table import Column, Table
from designs.tables import (
    bearings,
    builds,
    clearances,
    counterweights,
    cylinder,
    evenness,
    gains,
    gap,
    joints,
    knock,
    measured,
    motion,
    mount,
    shafts,
    shaking,
    stop,
    strength,
    teeth,
    whirl,
)

__all__ = ["BALANCE", "SHAFTS", "Column", "Table", "balance_tables", "searching_tables", "shaft_tables"]

BALANCE = (motion, cylinder, stop, shaking, counterweights, mount, evenness, joints, measured)
SHAFTS = (shafts, bearings, teeth, knock, gap, strength, whirl)
"""Where the tables of each half come from, in the order in which they are shown."""
SEARCHING = (clearances, builds, gains)
"""Tables that work out many designs or every outline, and so take their time: for a closer look at one design."""


def balance_tables(evaluation: Evaluation) -> list[Table]:
    """Return how the machine moves and shakes."""
    return [table for source in BALANCE for table in source.tables(evaluation)]


def shaft_tables(evaluation: Evaluation) -> list[Table]:
    """Return how the shafts bend and carry."""
    return [table for source in SHAFTS for table in source.tables(evaluation)]


def searching_tables(evaluation: Evaluation) -> list[Table]:
    """Return the clearance between all parts, how many builds touch, and what opens the gap the most."""
    return [table for source in SEARCHING for table in source.tables(evaluation)]
