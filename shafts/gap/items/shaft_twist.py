"""Shaft twist: the lengths of shaft turned by the torque in them, seen from the gear (without gears, from the load)."""

from shafts.gap.curve import GapCurve
from shafts.gap.facing import Facing
from shafts.gap.items.elastic import of_members
from shafts.loaded_shafts import Case, LoadedShafts

NAME = "shaft twist"


def line(loaded: LoadedShafts, facing: Facing, case: Case) -> GapCurve:
    """Return what the shafts' twist adds to the gap: it moves every throw along its circle."""
    return of_members(loaded, facing, "shaft", twisting=True)
