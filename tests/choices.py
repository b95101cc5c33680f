"""Choices that a design has, by name, of some rooms of them alone."""

from collections.abc import Callable
from types import ModuleType

from designs.counsel.dial import Dial, Level
from designs.design import Design
from designs.stock import stock_with


def dials_of(*rooms: ModuleType) -> Callable[[Design], dict[str, Dial]]:
    """Return what makes the choices of a design by name.   rooms : modules of `designs.counsel.free`."""

    def dials(design: Design) -> dict[str, Dial]:
        stock = stock_with(design.stock)
        return {each.name: each for room in rooms for each in room.dials(design, stock)}

    return dials


def edits_of(level: Level, design: Design) -> dict[str, object]:
    """Return the entries that a value of a choice changes."""
    return {".".join(edit.keys): edit.value for edit in level.edits(design)}


def offered_of(*rooms: ModuleType) -> Callable[[Design, str], dict[str, dict[str, object]]]:
    """Return what makes the values of a choice of a design, with the entries that each changes, in their order."""
    dials = dials_of(*rooms)
    return lambda design, name: {each.shown: edits_of(each, design) for each in dials(design)[name].levels}
