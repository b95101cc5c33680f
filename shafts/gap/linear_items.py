"""All items in proportion to the loads, apart for the budget and together for everything else."""

from collections.abc import Callable
from functools import partial

from shafts.carried import Carried
from shafts.gap.crank_give import GIVES, all_given, given, wind_up
from shafts.gap.give import Give
from shafts.gap.shift import LinearShift
from shafts.gap.yoke_give import rod_stretch

LINEAR: dict[str, Callable[[Carried, str], LinearShift]] = {
    **{kind: partial(given, kinds=(kind,)) for kind in GIVES},
    "shaft wind-up": wind_up,
    "rod stretch": rod_stretch,
}
"""The items in proportion to the loads, each as a shift of one yoke."""


def all_linear(carried: Carried, name: str, gives: list[Give] | None = None) -> LinearShift:
    """Return the shift of one yoke by all of LINEAR together (see `all_given`)."""
    return all_given(carried, name, gives) + rod_stretch(carried, name)
