"""Flywheels as near to the bearings as what stands there lets them, as thick as they are or thicker.

So they fill room that is there, instead of reaching farther beyond the last bearing: shafts bend less under them, and
twist less between them and the gears.
"""

from collections.abc import Iterator

import numpy as np

from balance.machine.outline import Outline
from balance.machine.wheels import Flywheel
from balance.turning import HANDS
from designs.changing.edit import Edit, edited, rounded, text
from designs.counsel.dial import Dial, Level, Work
from designs.counsel.free.walls import from_axis
from designs.counsel.free.wheel import APART, HAIR, HALF, PLACE, THICKER, clear_radius, lengths, reach, scaled
from designs.design import Design
from designs.design.stock import Stock
from shafts.along import sitting

ROOM = 1e-3  # m along the shaft between a wheel and what stands before it; common practice, no source
AT = ("flywheel", "at")
AIMS = ("torsional_margin", "slope_at_gears", "slope_at_bearings")


def dials(design: Design, stock: Stock) -> Iterator[Dial]:
    """Yield wheels nearer to the last bearing, that stand beyond it now: on shafts as they are, or on longer ones."""
    del stock
    wheel = design.flywheel
    if wheel is None or wheel.thickness is None:
        return
    number, now = 2 if wheel.on == "both" else 1, text(float(wheel.thickness), "m")
    thick = (1.0, *THICKER)
    for longer in (False, True):
        # Wheels that only move are no work but their fixing.
        make = [(("flywheel", number),) * (factor > 1) + (("shaft", 2),) * longer for factor in thick]
        levels = [Level(_nearer(factor, longer), f"{factor:g} times as thick" if factor > 1 else "as thick", Work(each))
                  for factor, each in zip(thick, make, strict=True)]  # fmt: skip
        yield Dial(f"flywheel nearer to the bearings{' on longer shafts' if longer else ''}", "flywheel",
                   ("flywheel", *["shafts.segments.*.length"] * longer), f"{now} thick at {text(float(wheel.at), 'm')}",
                   levels, AIMS)  # fmt: skip


def _nearer(factor: float, longer: bool):
    """Wheels so many times as thick, as near to the bearings as may be.

    longer : on shafts that are longer, as they must be; else where shafts reach as far as they are.
    """

    def edits(design: Design) -> tuple[Edit, ...]:
        wheel = design.flywheel
        if wheel is None or wheel.thickness is None or not beyond(design, wheel):
            return ()
        now = float(wheel.thickness)
        thick = rounded(now * factor, HALF)
        moved = list(_places(design, wheel, thick))
        if not any(edit.value - thick / 2 < at - now / 2 - HAIR for edit, at in moved):
            return ()  # no wheel comes nearer
        found = [Edit(each.keys, thick) if each.keys[-1] == "thickness" else each
                 for each in scaled(wheel, thick / now) if factor > 1]  # fmt: skip
        found += [edit for edit, at in moved if abs(edit.value - at) > HAIR]
        reaching = list(lengths(design, edited(design, tuple(found))))
        return (*found, *reaching) if bool(reaching) == longer else ()

    return edits


def _hands(wheel: Flywheel) -> list[str]:
    """Return the shafts that carry a wheel, the one with the inner wheel first."""
    hands = [hand for hand in HANDS if wheel.on in (hand, "both")]
    return sorted(hands, key=lambda hand: float(wheel.z(hand)))


def beyond(design: Design, wheel: Flywheel) -> bool:
    """Whether all wheels stand beyond the last bearing of their shafts, as these are counted along them."""
    return all(float(wheel.z(hand)) > float(design.shafts.pair[hand == "left"].bearings[-1].at)
               for hand in _hands(wheel))  # fmt: skip


def _places(design: Design, wheel: Flywheel, thick: float) -> Iterator[tuple[Edit, float]]:
    """Yield where wheels then stand, and where they stood.

    Two that stand side by side stay so; of two that stand one behind the other the outer one follows the inner one, or
    the other shaft's end where it is too wide to pass that.
    """
    inner, *outer = _hands(wheel)
    behind = outer if wheel.left_at is not None else []
    face = max(free_from(design, wheel, hand) for hand in (inner, *(each for each in outer if each not in behind)))
    middle = middle_after(face, thick)
    yield Edit(_key(wheel, inner), middle), float(wheel.z(inner))
    for hand in behind:
        after = max(middle + thick / 2 + APART, free_from(design, wheel, hand))
        if reach(wheel) > clear_radius(design) + APART - HALF + HAIR:
            after = max(after, float(design.shafts.pair[inner == "left"].ends_at) + APART)
        yield Edit(_key(wheel, hand), middle_after(after, thick)), float(wheel.z(hand))


def _key(wheel: Flywheel, hand: str) -> tuple[str, ...]:
    return PLACE if hand == "left" and wheel.left_at is not None else AT


def middle_after(face: float, thick: float) -> float:
    """Return where a wheel's middle stands whose face is free of what stands before it, m."""
    return rounded(np.ceil((face + thick / 2) / (HALF / 2) - 1e-6) * HALF / 2, HALF / 2)


def free_from(design: Design, wheel: Flywheel, hand: str) -> float:
    """Return from where on there is room for a wheel, m: past bearings, plates, gears and walls that end before it.

    What does not end before the wheel as it stands is no bound: the wheel passes it already.
    """
    assert wheel.thickness is not None
    now = float(wheel.z(hand)) - float(wheel.thickness) / 2
    ends = [float(each.at) + float(each.length) / 2 for side in HANDS for each in sitting(design, side)
            if "flywheel" not in each.name]  # fmt: skip
    ends += [float(wall.z[1]) for wall in design.walls.values() if _strikes(design, wheel, hand, wall)]
    return min(now, max((end for end in ends if end <= now + HAIR), default=now) + ROOM)


def _strikes(design: Design, wheel: Flywheel, hand: str, wall: Outline) -> bool:
    """Whether a wheel as wide as this one comes too near to a wall, or to the rectangle about it, that it passes."""
    if wheel.diameter is None:
        return True  # nothing tells how far it reaches
    return from_axis(design, wall, hand) < float(wheel.diameter) / 2 + APART
