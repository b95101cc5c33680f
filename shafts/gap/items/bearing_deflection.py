"""Bearing deflection: the rolling contacts, or a stiffness that the design gives."""

from shafts.gap.curve import GapCurve
from shafts.gap.facing import Facing
from shafts.gap.items.elastic import of_supports
from shafts.loaded_shafts import Case, LoadedShafts

NAME = "bearing deflection"


def line(loaded: LoadedShafts, facing: Facing, case: Case) -> GapCurve:
    """Return what the bearings' own deflection adds to the gap."""
    return of_supports(loaded, facing, NAME)
