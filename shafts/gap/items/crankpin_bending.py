"""Crankpin bending: pins between their webs' faces, in bending, shear and twist; an outer throw hangs on the inner."""

from shafts.gap.curve import GapCurve
from shafts.gap.facing import Facing
from shafts.gap.items.elastic import of_members
from shafts.loaded_shafts import Case, LoadedShafts

NAME = "crankpin bending"


def line(loaded: LoadedShafts, facing: Facing, case: Case) -> GapCurve:
    """Return what the crankpins themselves add to the gap."""
    return of_members(loaded, facing, "crankpin")
