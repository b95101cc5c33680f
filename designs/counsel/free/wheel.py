"""Flywheel: thicker at the same diameter, a disc from stock, or one on each shaft."""

from collections.abc import Iterator

import numpy as np

from balance.machine.machine import Flywheel
from balance.machine.materials import MATERIALS
from designs.counsel.dial import Dial, Level, Work, fixed
from designs.counsel.edit import Edit, text
from designs.design import Design
from designs.stock.kinds import Stock

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
    if wheel.on != "both" and _side_by_side(design):
        yield Dial("shafts with a flywheel", "flywheel", ("flywheel.on",), wheel.on,
                   [Level(fixed(Edit(("flywheel", "on"), "both")), "both", Work(make=(("flywheel", 1),)))])  # fmt: skip
    work = Work(make=(("flywheel", 2 if wheel.on == "both" else 1),))
    inertia, mass = float(wheel.inertia), float(wheel.mass)
    levels = []
    for factor in THICKER if inertia > 0 else ():
        edits = [Edit(("flywheel", "inertia"), float(f"{inertia * factor:.3g}"))]
        edits += [Edit(("flywheel", "mass"), float(f"{mass * factor:.3g}"))] * bool(mass)
        levels.append(Level(fixed(*edits), f"{factor:g} times as thick", work))
    levels += [Level(fixed(Edit(("flywheel", "inertia"), i), Edit(("flywheel", "mass"), m)), shown, work)
               for i, m, shown in _discs(design, stock) if i > inertia]  # fmt: skip
    yield Dial("flywheel", "flywheel", ("flywheel.inertia", "flywheel.mass"), text(inertia, "kg m^2"), levels)


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


def _side_by_side(design: Design) -> bool:
    """Whether a wheel on each shaft, one beside the other, clears the other shaft with all its mass."""
    wheel = design.flywheel
    assert wheel is not None
    reach = np.sqrt(float(wheel.inertia) / float(wheel.mass)) if float(wheel.mass) else 0.0
    return reach <= float(design.cranks.centre_distance) - float(design.shafts.segments[-1].diameter) / 2 - APART


def _discs(design: Design, stock: Stock) -> Iterator[tuple[float, float, str]]:
    """Yield moment of inertia and mass of steel discs that clear the other shaft and its wheel, and what they are."""
    assert stock.discs is not None
    assert stock.plates is not None
    for diameter in map(float, stock.discs):
        if diameter / 2 > _largest_radius(design):
            continue
        for thickness in (float(each) for each in stock.plates.get("steel", ()) if 8e-3 <= float(each) <= 20e-3):
            mass = np.pi / 4 * diameter**2 * thickness * float(MATERIALS["steel"].density)
            yield (float(f"{mass * diameter**2 / 8:.3g}"), float(f"{mass:.3g}"),
                   f"steel disc {text(diameter, 'm')} x {text(thickness, 'm')}")  # fmt: skip


def _new(design: Design, stock: Stock) -> Dial:
    """A disc between the gear or last bearing and the end of the shaft."""
    at = round(float(design.shafts.ends_at) - 6e-3, 4)
    levels = [Level(fixed(Edit(("flywheel",), Flywheel(on="right", inertia=i, mass=m, at=at))), shown,
                    Work(make=(("flywheel", 1),))) for i, m, shown in _discs(design, stock)]  # fmt: skip
    return Dial("flywheel", "flywheel", ("flywheel",), "none", levels)
