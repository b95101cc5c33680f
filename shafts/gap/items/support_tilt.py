"""Support tilt: plates that hold bearings bend, and the shaft leans with them."""

from shafts.gap.curve import GapCurve
from shafts.gap.facing import Facing
from shafts.gap.items.elastic import of_supports
from shafts.loaded_shafts import Case, LoadedShafts

NAME = "support tilt"


def line(loaded: LoadedShafts, facing: Facing, case: Case) -> GapCurve:
    """Return what the tilt of the bearings' plates adds to the gap."""
    return of_supports(loaded, facing, NAME)
