"""Flywheels as near to the bearings as what stands there lets them, as thick as they are or thicker.

So they fill room that is there, instead of reaching farther beyond the last bearing: shafts bend less under them, and
twist less between them and the gears.
"""

from collections.abc import Iterator

import numpy as np

from balance.machine.wheels import Flywheel
from designs.changing.edit import Edit, edited, rounded, text
from designs.counsel.dial import Dial, Level, Work
from designs.counsel.free.shafts import HANDS
from designs.counsel.free.wheel import APART, HAIR, HALF, PLACE, clear_radius, lengths, reach, scaled
from designs.design import Design
from designs.design.stock import Stock
from shafts.along import sitting

THICKER = (1.0, 1.25, 1.5, 1.75, 2.0, 2.5, 3.0, 4.0)
ROOM = 1e-3  # m along the shaft between a wheel and what stands before it; common practice, no source


def dials(design: Design, stock: Stock) -> Iterator[Dial]:
    """Yield wheels beyond the last bearing nearer to it: before walls that end there, and past those."""
    del stock
    wheel = design.flywheel
    if wheel is None or wheel.thickness is None:
        return
    number = 2 if wheel.on == "both" else 1
    seen = set()
    for walls, words in ((True, "before walls"), (False, "past walls")):
        levels = []
        for factor in THICKER:
            edits = _nearer(factor, walls)(design)
            if edits and edits not in seen:
                seen.add(edits)
                longer = any(edit.keys[0] == "shafts" for edit in edits)
                work = Work(make=(("flywheel", number),) * (factor > 1) + (("shaft", 2),) * longer)
                levels.append(Level(_nearer(factor, walls), _words(design, factor, walls), work))
        paths = ("flywheel.at", "flywheel.left_at", "flywheel.thickness", "shafts.segments.*.length")
        yield Dial(f"flywheel nearer to the bearings, {words}", "flywheel", paths, f"at {text(float(wheel.at), 'm')}",
                   levels, ("torsional_margin", "slope_at_gears", "slope_at_bearings"))  # fmt: skip


def _words(design: Design, factor: float, walls: bool) -> str:
    wheel = edited(design, _nearer(factor, walls)(design)).flywheel
    assert wheel is not None
    return f"at {text(float(wheel.at), 'm')}" + (f", {factor:g} times as thick" if factor > 1 else "")


def _nearer(factor: float, walls: bool):
    """Wheels so many times as thick, each as near to the bearings as may be, on shafts that reach as far as they must.

    walls : whether they stay beyond walls that end before them.
    """

    def edits(design: Design) -> tuple[Edit, ...]:
        wheel = design.flywheel
        if wheel is None or wheel.thickness is None or not _beyond(design, wheel):
            return ()
        thick = rounded(float(wheel.thickness) * factor, HALF)
        found = [Edit(each.keys, thick) if each.keys[-1] == "thickness" else each
                 for each in scaled(wheel, thick / float(wheel.thickness))] if factor > 1 else []  # fmt: skip
        moved = list(_places(design, wheel, thick, walls))
        if not any(edit.value - thick / 2 < now - float(wheel.thickness) / 2 - HAIR for edit, now in moved):
            return ()
        found += [edit for edit, now in moved if abs(edit.value - now) > HAIR]
        return (*found, *lengths(design, edited(design, tuple(found))))

    return edits


def _hands(wheel: Flywheel) -> list[str]:
    """Return the shafts that carry a wheel, the one with the inner wheel first."""
    hands = [hand for hand in HANDS if wheel.on in (hand, "both")]
    return sorted(hands, key=lambda hand: float(wheel.along(hand)))


def _beyond(design: Design, wheel: Flywheel) -> bool:
    """Whether all wheels stand beyond the last bearing of their shafts, as these are counted along them."""
    return all(float(wheel.along(hand)) > float(design.shafts.pair[hand == "left"].bearings[-1].at)
               for hand in _hands(wheel))  # fmt: skip


def _places(design: Design, wheel: Flywheel, thick: float, walls: bool) -> Iterator[tuple[Edit, float]]:
    """Yield where wheels then stand, and where they stood.

    Two that stand side by side stay so; of two that stand one behind the other the outer one keeps as far from the
    inner one, or from the other shaft's end, as it must.
    """
    behind = wheel.on == "both" and wheel.left_at is not None
    inner, *outer = _hands(wheel)
    faces = [_free_from(design, wheel, hand, walls) for hand in (_hands(wheel) if not behind else [inner])]
    face = max(faces)
    keys = {"right": ("flywheel", "at"), "left": PLACE if wheel.left_at is not None else ("flywheel", "at")}
    yield Edit(keys[inner], _middle(face, thick)), float(wheel.along(inner))
    if behind:
        after = max(_middle(face, thick) + thick / 2 + APART, _free_from(design, wheel, outer[0], walls))
        if reach(wheel) > clear_radius(design) + APART - HALF + HAIR:
            after = max(after, float(design.shafts.pair[inner == "left"].ends_at) + APART)
        yield Edit(keys[outer[0]], _middle(after, thick)), float(wheel.along(outer[0]))


def _middle(face: float, thick: float) -> float:
    return rounded(np.ceil((face + thick / 2) / (HALF / 2) - 1e-6) * HALF / 2, HALF / 2)


def _free_from(design: Design, wheel: Flywheel, hand: str, walls: bool) -> float:
    """Return from where on a shaft is free before its wheel, m: past bearings, plates and gears of both shafts.

    What does not end before the wheel as it stands is no bound: the wheel passes it already.
    """
    assert wheel.thickness is not None
    now = float(wheel.along(hand)) - float(wheel.thickness) / 2
    ends = [float(each.at) + float(each.length) / 2 for side in HANDS for each in sitting(design, side)
            if "flywheel" not in each.name]  # fmt: skip
    ends += [float(wall.z[1]) for wall in design.walls.values() if walls]
    before = [end for end in ends if end <= now + HAIR]
    return min(now, max(before, default=now) + ROOM)
