"""All items in proportion to the loads, apart for the budget and together for everything else."""

from shafts.carried import LoadedShafts
from shafts.gap.crank_give import all_given, each_given, give_of, wind_up
from shafts.gap.give import Give, sides
from shafts.gap.shift import LinearShift
from shafts.gap.yoke_give import rod_stretch


def linear_items(carried: LoadedShafts, name: str) -> dict[str, LinearShift]:
    """Return each item in proportion to the loads, as a shift of one yoke."""
    return {
        **each_given(carried, name),
        "shaft wind-up": wind_up(carried, name),
        "rod stretch": rod_stretch(carried, name),
    }


def all_linear(carried: LoadedShafts, names: tuple[str, ...], gives: list[Give] | None = None) -> list[LinearShift]:
    """Return the shift of each yoke by all of them together; gives : of their throws (see `give_of`), if known."""
    gives = gives or [give_of(side) for side in sides(carried, *names)]
    given = all_given(carried, names, gives)
    return [shift + rod_stretch(carried, name) for shift, name in zip(given, names, strict=True)]
