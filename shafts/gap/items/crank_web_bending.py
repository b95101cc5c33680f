"""Crank web bending: webs from axis to axis, bent in and out of their plane, twisted, stretched and sheared."""

from shafts.gap.curve import GapCurve
from shafts.gap.facing import Facing
from shafts.gap.items.elastic import of_members
from shafts.loaded_shafts import Case, LoadedShafts

NAME = "crank web bending"


def line(loaded: LoadedShafts, facing: Facing, case: Case) -> GapCurve:
    """Return what the crank webs add to the gap."""
    return of_members(loaded, facing, "crank web")
