"""The lines of the gap budget, a file each: `NAME`, and `line`, which says what it adds to the gap.

`line(loaded, facing, case)` returns a GapCurve: what this cause alone shifts the upper of two facing yokes against
the lower one, at each place where they can touch and each crank angle. In the case "worst" each play and deviation
stands on whichever side closes the gap.
"""

from types import ModuleType

from shafts.gap.curve import GapCurve
from shafts.gap.facing import Facing
from shafts.gap.items import (
    bearing_clearance,
    bearing_deflection,
    crank_web_bending,
    crankpin_bending,
    elastic,
    making_tolerances,
    rod_pin_play,
    rod_stretch,
    shaft_bending,
    shaft_twist,
    support_deflection,
    support_tilt,
    thermal_expansion,
    timing_and_backlash,
    tooth_mesh,
    unlike_sides,
    yoke_arm_bending,
    yoke_tilt_along_shafts,
)
from shafts.loaded_shafts import Case, LoadedShafts

ELASTIC: tuple[ModuleType, ...] = (
    shaft_bending,
    shaft_twist,
    crankpin_bending,
    crank_web_bending,
    bearing_deflection,
    support_deflection,
    support_tilt,
)
"""Lines of the elastic cranks: all together they are one product, which the gap itself takes."""
OTHERS: tuple[ModuleType, ...] = (
    tooth_mesh,
    rod_stretch,
    yoke_arm_bending,
    bearing_clearance,
    rod_pin_play,
    timing_and_backlash,
    thermal_expansion,
    making_tolerances,
    unlike_sides,
    yoke_tilt_along_shafts,
)


def lines(loaded: LoadedShafts, facing: Facing, case: Case) -> dict[str, GapCurve]:
    """Return every line of the budget by its name."""
    return {item.NAME: item.line(loaded, facing, case) for item in (*ELASTIC, *OTHERS)}


def sum_of_lines(loaded: LoadedShafts, facing: Facing, case: Case, without: tuple[ModuleType, ...] = ()) -> GapCurve:
    """Return what all lines add to the gap, but for some that are told otherwise."""
    others = (item.line(loaded, facing, case) for item in OTHERS if item not in without)
    return sum(others, elastic.by_crankpins(loaded, facing))
