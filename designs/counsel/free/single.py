"""One flywheel in the place of two: on the shaft where the power leaves, past the end of the other one, cut short.

So it may be as wide as two that pass each other's shafts may not, and stands nearer to the bearings than the outer one.
With its diameter its inertia grows much faster than its weight, which bends the shaft.
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
from designs.counsel.free.wheel import APART, HAIR, HALF, ON, OUTBOARD, PLACE, lengths, scaled, turned
from designs.design import Design
from designs.design.stock import Stock

THICK = (1.0, 1.5, 2.0, 2.5, 3.0, 4.0, 5.0, 6.0)  # times one of the two
WIDE = (1.15, 1.25, 1.35, 1.5, 1.65, 1.8, 2.0)  # times the diameter of one of the two
THICK_OF_WIDE = (1.0, 2.0)


def dials(design: Design, stock: Stock) -> Iterator[Dial]:
    """Yield one wheel in the place of two that stand beyond the last bearing, on its shaft as it is or a longer one.

    Thicker at the same diameter, or of a larger one.
    """
    del stock
    wheel = design.flywheel
    if wheel is None or wheel.on != "both" or wheel.thickness is None:
        return
    now, sizes = text(float(wheel.thickness), "m"), [*_sizes(design, wheel)]
    for longer in (False, True):
        on = "past the other shaft's end" + " on a longer shaft" * longer
        levels = [_level(design, None, factor, longer, f"{factor:g} times as thick" if factor > 1 else "as thick")
                  for factor in THICK]  # fmt: skip
        yield Dial(f"one flywheel {on}", "flywheel", PATHS, f"two, {now} thick", levels, (*AIMS, "clearance_wheels"))
        levels = [_level(design, diameter, factor, longer, f"{text(diameter, 'm')} x {text(thick, 'm')}")
                  for diameter, factor, thick in sizes]  # fmt: skip
        yield Dial(f"one larger flywheel {on}", "flywheel", ("flywheel.diameter", *PATHS), f"two, {now} thick", levels)


PATHS = ("flywheel", "shafts.segments.*.length", "shafts.left")


def _sizes(design: Design, wheel: Flywheel) -> Iterator[tuple[float, float, float]]:
    """Yield larger diameters, m, how many times as thick each, and how thick, m; the least inertia first."""
    if wheel.diameter is None or wheel.thickness is None:
        return
    now, thick = float(wheel.diameter), float(wheel.thickness)
    wide = (rounded(now * each, HALF) for each in WIDE)
    sizes = [(each, factor) for each in wide for factor in THICK_OF_WIDE
             if each / 2 <= OUTBOARD * float(design.cranks.centre_distance)]  # fmt: skip
    for diameter, factor in sorted(sizes, key=lambda each: each[0] ** 4 * each[1]):
        yield diameter, factor, rounded(thick * factor, HAIR)


def _level(design: Design, diameter: float | None, factor: float, longer: bool, shown: str) -> Level:
    wheel, edits = design.flywheel, _single(diameter, factor, longer)
    assert wheel is not None
    there = {edit.keys[1] for edit in edits(design) if edit.keys[0] == "shafts"}
    wheels = (("flywheel", 1),) if factor > 1 or diameter is not None else ()
    return Level(edits, shown, Work((*wheels, *((("shaft", 1 + longer),) if "left" in there or longer else ()))))


def _single(diameter: float | None, factor: float, longer: bool):
    """One wheel so many times as thick, of some diameter or its own.

    longer : on a shaft that is longer, as it must be; else it reaches as far.
    """

    def edits(design: Design) -> tuple[Edit, ...]:
        if design.flywheel is None or design.flywheel.on != "both":
            return ()
        wider = () if diameter is None else turned(diameter)(design)
        wheel = edited(design, wider).flywheel
        if wheel is None or wheel.thickness is None or not beyond(design, wheel):
            return ()
        hand = _carrying(design, wheel)
        other = "left" if hand == "right" else "right"
        cut = ending_at(design.shafts, other, bare_end(replace(design, flywheel=None), other))
        end = float(edited(design, cut).shafts.pair[other == "left"].ends_at)
        thick = rounded(float(wheel.thickness) * factor, HAIR)
        at = middle_after(max(free_from(design, wheel, hand), end + APART), thick)
        found = (*cut, *wider, Edit(ON, hand), Edit(("flywheel", "at"), at),
                 *[Edit(PLACE, None)] * (wheel.left_at is not None),
                 *(scaled(wheel, factor) if factor > 1 else ()))  # fmt: skip
        reaching = tuple(lengths(design, edited(design, found)))
        return (*found, *reaching) if bool(reaching) == longer else ()

    return edits


def _carrying(design: Design, wheel: Flywheel) -> str:
    """Return the shaft where the power leaves; where it leaves from both, the one whose wheel stands farther out."""
    on = design.cranks.load_on
    return on if on in HANDS else max(HANDS, key=lambda hand: float(np.abs(wheel.z(hand))))
