"""Support deflection: each bearing's seat in the case, as the design gives its stiffness."""

from shafts.gap.curve import GapCurve
from shafts.gap.facing import Facing
from shafts.gap.items.elastic import of_supports
from shafts.loaded_shafts import Case, LoadedShafts

NAME = "support deflection"


def line(loaded: LoadedShafts, facing: Facing, case: Case) -> GapCurve:
    """Return what the bearings' seats add to the gap."""
    return of_supports(loaded, facing, NAME)
