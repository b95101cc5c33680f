"""Flywheel: thicker at the same diameter, a disc from stock, or one on each shaft."""

from collections.abc import Iterator
from dataclasses import replace

import numpy as np

from balance.machine.materials import MATERIALS
from balance.machine.wheels import Flywheel
from designs.changing.edit import Edit, text
from designs.counsel.dial import Dial, Level, Work, fixed
from designs.design import Design
from designs.design.stock import Stock

THICKER = (1.25, 1.5, 2.0, 2.5, 3.0, 4.0)
BEYOND = 10e-3  # m from the last bearing or gear to the middle of a wheel past the other shaft's end
OUTBOARD = 1.5  # times the distance between the shafts, radius of such a wheel; common practice, no source
APART = 2e-3  # m between a wheel and the other shaft


def dials(design: Design, stock: Stock) -> Iterator[Dial]:
    """Yield which shafts carry a wheel, and its inertia: the same wheel made thicker, or a disc of steel from stock."""
    wheel = design.flywheel
    if wheel is None:
        yield _new(design, stock)
        return
    if wheel.on != "both":
        ways = [Level(fixed(*edits), shown, Work(make=(("flywheel", 1),))) for edits, shown in _second(design, wheel)]
        yield Dial("shafts with a flywheel", "flywheel", ("flywheel.on",), wheel.on, ways)
    work = Work(make=(("flywheel", 2 if wheel.on == "both" else 1),))
    inertia = float(wheel.polar_inertia)
    levels = [Level(fixed(*_thicker(wheel, factor)), f"{factor:g} times as thick", work)
              for factor in THICKER if inertia > 0]  # fmt: skip
    levels += [Level(fixed(Edit(("flywheel",), disc)), shown, work)
               for disc, shown in _discs(design, stock, wheel) if disc.polar_inertia > inertia]  # fmt: skip
    shown = text(inertia, "kg m^2")
    yield Dial("flywheel", "flywheel", ("flywheel", "flywheel.inertia", "flywheel.thickness"), shown, levels)


def _thicker(wheel: Flywheel, factor: float) -> list[Edit]:
    """Return what makes a wheel so many times as thick: all that is given of its thickness, inertia and mass."""
    numbers = {"thickness": wheel.thickness, "inertia": wheel.inertia, "mass": wheel.mass or None}
    return [Edit(("flywheel", name), float(f"{float(number) * factor:.3g}"))
            for name, number in numbers.items() if number is not None]  # fmt: skip


def _largest_radius(design: Design) -> float:
    """Return how large a wheel may be, m: clear of the other shaft, or past where that may end."""
    distance, wheel = float(design.cranks.centre_distance), design.flywheel
    if wheel is not None and wheel.on != "both":
        shaft = design.shafts if wheel.on == "right" or design.shafts.left is None else design.shafts.left
        needed = [float(each.at) for each in shaft.bearings] + [
            float(each.at) for each in design.cranks.throws.values()
        ]
        needed += [] if design.cranks.gears is None else [float(design.cranks.gears.at)]
        if not min(needed) - BEYOND < float(wheel.at) < max(needed) + BEYOND:
            return OUTBOARD * distance
    return distance - float(design.shafts.segments[-1].diameter) / 2 - APART


def _second(design: Design, wheel: Flywheel) -> Iterator[tuple[list[Edit], str]]:
    """Yield how a like wheel on the other shaft clears the first: side by side, or behind or before it."""
    both = Edit(("flywheel", "on"), "both")
    if _reach(wheel) > float(design.cranks.centre_distance) - float(design.shafts.segments[-1].diameter) / 2 - APART:
        return  # it would strike the other shaft
    if wheel.left_at is not None or 2 * _reach(wheel) + APART <= float(design.cranks.centre_distance):
        yield [both], "both"
        return
    if wheel.thickness is None:
        return
    thick, at, ends = float(wheel.thickness), float(wheel.at), design.shafts.pair[-1].ends
    for place in (at + thick + APART, at - thick - APART):
        if float(ends[0]) + thick / 2 <= place <= float(ends[1]) - thick / 2:
            yield [both, Edit(("flywheel", "left_at"), round(place, 4))], f"both, the left one at {text(place, 'm')}"


def _reach(wheel: Flywheel) -> float:
    """Return how far a wheel reaches with all its mass, m: its radius, else the least that it can have."""
    if wheel.diameter is not None:
        return float(wheel.diameter) / 2
    mass = float(wheel.wheel_mass)
    return float(np.sqrt(float(wheel.polar_inertia) / mass)) if mass else 0.0


def _discs(design: Design, stock: Stock, like: Flywheel) -> Iterator[tuple[Flywheel, str]]:
    """Yield steel discs from stock that clear the other shaft and its wheel, where another wheel stands."""
    assert stock.discs is not None
    assert stock.plates is not None
    for diameter in map(float, stock.discs):
        if diameter / 2 > _largest_radius(design):
            continue
        for thickness in (float(each) for each in stock.plates.get("steel", ()) if 8e-3 <= float(each) <= 20e-3):
            disc = replace(like, inertia=None, mass=0.0, diameter=diameter, inside=0.0, thickness=thickness,
                           material=MATERIALS["steel"], disc=None)  # fmt: skip
            yield disc, f"steel disc {text(diameter, 'm')} x {text(thickness, 'm')}"


def _new(design: Design, stock: Stock) -> Dial:
    """A disc between the gear or last bearing and the end of the shaft."""
    at = round(float(design.shafts.ends_at) - 6e-3, 4)
    levels = [Level(fixed(Edit(("flywheel",), disc)), shown, Work(make=(("flywheel", 1),)))
              for disc, shown in _discs(design, stock, Flywheel(on="right", inertia=0.0, at=at))]  # fmt: skip
    return Dial("flywheel", "flywheel", ("flywheel",), "none", levels)
