"""One flywheel in the place of two: on the shaft where the power leaves, past the end of the other one, cut short.

So it may be as wide as two that pass each other's shafts may not, and stands nearer to the bearings than the outer one.
"""

from collections.abc import Iterator
from dataclasses import replace

import numpy as np

from balance.machine.wheels import Flywheel
from balance.turning import HANDS
from designs.changing.edit import Edit, edited, rounded, text
from designs.counsel.dial import Dial, Level, Work
from designs.counsel.free.nearer import AIMS, beyond, free_from, middle_after
from designs.counsel.free.spans import bare_end, ending_at
from designs.counsel.free.wheel import APART, HAIR, ON, PLACE, lengths, scaled
from designs.design import Design
from designs.design.stock import Stock

THICK = (1.0, 1.5, 2.0, 2.5, 3.0, 4.0, 5.0, 6.0)  # times one of the two


def dials(design: Design, stock: Stock) -> Iterator[Dial]:
    """Yield one wheel in the place of two that stand beyond the last bearing, on its shaft as it is or a longer one."""
    del stock
    wheel = design.flywheel
    if wheel is None or wheel.on != "both" or wheel.thickness is None:
        return
    for longer in (False, True):
        levels = [_level(design, factor, longer) for factor in THICK]
        yield Dial(f"one flywheel past the other shaft's end{' on a longer shaft' if longer else ''}", "flywheel",
                   ("flywheel", "shafts.segments.*.length", "shafts.left"), f"two, {text(float(wheel.thickness), 'm')} "
                   "thick", levels, (*AIMS, "clearance_wheels"))  # fmt: skip


def _level(design: Design, factor: float, longer: bool) -> Level:
    """The other shaft is made anew where it is cut."""
    edits = _single(factor, longer)
    cut = any(edit.keys[:2] == ("shafts", "left") for edit in edits(design))
    make = (("flywheel", 1),) * (factor > 1) + (("shaft", 1 + longer),) * (cut or longer)
    return Level(edits, f"{factor:g} times as thick" if factor > 1 else "as thick", Work(make))


def _single(factor: float, longer: bool):
    """One wheel so many times as thick.   longer : on a shaft that is longer, as it must be; else it reaches as far."""

    def edits(design: Design) -> tuple[Edit, ...]:
        wheel = design.flywheel
        if wheel is None or wheel.on != "both" or wheel.thickness is None or not beyond(design, wheel):
            return ()
        hand = _carrying(design, wheel)
        other = "left" if hand == "right" else "right"
        cut = ending_at(design.shafts, other, bare_end(replace(design, flywheel=None), other))
        end = float(edited(design, cut).shafts.pair[other == "left"].ends_at)
        thick = rounded(float(wheel.thickness) * factor, HAIR)
        at = middle_after(max(free_from(design, wheel, hand), end + APART), thick)
        found = (*cut, Edit(ON, hand), Edit(("flywheel", "at"), at), *[Edit(PLACE, None)] * (wheel.left_at is not None),
                 *(scaled(wheel, factor) if factor > 1 else ()))  # fmt: skip
        reaching = tuple(lengths(design, edited(design, found)))
        return (*found, *reaching) if bool(reaching) == longer else ()

    return edits


def _carrying(design: Design, wheel: Flywheel) -> str:
    """Return the shaft where the power leaves; where it leaves from both, the one whose wheel stands farther out."""
    on = design.cranks.load_on
    return on if on in HANDS else max(HANDS, key=lambda hand: float(np.abs(wheel.z(hand))))
