"""All items in proportion to the loads, apart for the budget and together for everything else."""

from shafts.carried import Carried
from shafts.gap.crank_give import all_given, each_given, wind_up
from shafts.gap.give import Give
from shafts.gap.shift import LinearShift
from shafts.gap.yoke_give import rod_stretch


def linear_items(carried: Carried, name: str) -> dict[str, LinearShift]:
    """Return each item in proportion to the loads, as a shift of one yoke."""
    return {
        **each_given(carried, name),
        "shaft wind-up": wind_up(carried, name),
        "rod stretch": rod_stretch(carried, name),
    }


def all_linear(carried: Carried, name: str, gives: list[Give] | None = None) -> LinearShift:
    """Return the shift of one yoke by all of them together (see `all_given`)."""
    return all_given(carried, name, gives) + rod_stretch(carried, name)
