"""Shaft bending: the lengths of shaft between webs, in bending and shear."""

from shafts.gap.curve import GapCurve
from shafts.gap.facing import Facing
from shafts.gap.items.elastic import of_members
from shafts.loaded_shafts import Case, LoadedShafts

NAME = "shaft bending"


def line(loaded: LoadedShafts, facing: Facing, case: Case) -> GapCurve:
    """Return what the shafts' bending adds to the gap: every crankpin hangs on them."""
    return of_members(loaded, facing, "shaft", twisting=False)
