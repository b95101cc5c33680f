"""Flywheel: thicker at the same diameter, a disc from stock, turned down, or one on each shaft.

What a value makes of the wheel follows from the wheel that then stands there: other changes may have touched it.
"""

from collections.abc import Iterator
from dataclasses import replace

import numpy as np

from balance.machine.materials import MATERIALS
from balance.machine.wheels import Flywheel
from designs.changing.edit import Edit, edited, rounded, text
from designs.changing.groups import sides
from designs.counsel.dial import Dial, Level, Work, fixed
from designs.design import Design
from designs.design.stock import Stock
from designs.shown import said

THICKER = (1.1, 1.25, 1.35, 1.5, 1.75, 2.0, 2.5, 3.0, 4.0)
TURNED = (1e-3, 2e-3, 3e-3, 4e-3, 6e-3, 8e-3, 10e-3, 12e-3, 16e-3, 20e-3, 25e-3, 30e-3)  # m, off a diameter
BEYOND = 10e-3  # m from the last bearing or gear to the middle of a wheel past the other shaft's end
OUTBOARD = 1.5  # times the distance between the shafts, radius of such a wheel; common practice, no source
APART = 2e-3  # m between a wheel and the other shaft, and between two wheels
THICK_OF_TWO = (1.0, 1.25, 1.5, 2.0)  # times one
THINNEST = 4e-3  # m, of a wheel; common practice, no source
HALF = 0.5e-3  # m, to which thicknesses and lengths are rounded
HAIR = 1e-9  # m
ON, PLACE = ("flywheel", "on"), ("flywheel", "left_at")


def dials(design: Design, stock: Stock) -> Iterator[Dial]:
    """Yield which shafts carry a wheel, and its inertia: the same wheel made thicker, or a disc of steel from stock."""
    wheel = design.flywheel
    if wheel is None:
        yield _new(design, stock)
        return
    if wheel.on != "both":
        yield from _second(design, wheel)
    number, inertia = 2 if wheel.on == "both" else 1, float(wheel.polar_inertia)
    work, shown = Work(make=(("flywheel", number),)), said(inertia, "kg m^2")
    if wheel.inertia is None and wheel.diameter is not None and wheel.thickness is not None:
        shown = " x ".join(text(float(each), "m") for each in (wheel.diameter, wheel.thickness))
    levels = [Level(_thicker(factor), f"{factor:g} times as thick", work)
              for factor in THICKER if inertia > 0]  # fmt: skip
    levels += [Level(_disc(*size), disc_shown, work)
               for disc, size, disc_shown in _discs(design, stock, wheel) if disc.polar_inertia > inertia]  # fmt: skip
    yield Dial("flywheel", "flywheel", ("flywheel", "flywheel.inertia", "flywheel.thickness"), shown, levels)
    if wheel.thickness is not None:
        longer = Work(make=(("flywheel", number), ("shaft", 2)))
        levels = [Level(_thicker(factor, True), f"{factor:g} times as thick", longer) for factor in THICKER]
        paths = ("flywheel.thickness", "flywheel.at", "shafts.segments.*.length")
        yield Dial("flywheel on longer shafts", "flywheel", paths, f"{text(float(wheel.thickness), 'm')} thick", levels)
    yield from _turned_down(design, wheel, work)
    yield from _larger(design, wheel, work)


def _thicker(factor: float, longer: bool = False):
    """A wheel so many times as thick: all that is given of its thickness, inertia and mass.

    It grows away from the bearings, and the second one moves with it.   longer : on shafts that reach as far.
    """

    def edits(design: Design) -> tuple[Edit, ...]:
        wheel = design.flywheel
        if wheel is None:
            return ()
        found = [*scaled(wheel, factor), *_moved(design, wheel, factor)]
        reaching = list(lengths(design, edited(design, tuple(found))))
        return (*found, *reaching) if longer and reaching else () if longer else tuple(found)

    return edits


def scaled(wheel: Flywheel, factor: float) -> list[Edit]:
    """Return what is given of a wheel's thickness, inertia and mass, so many times as much."""
    numbers = {"thickness": wheel.thickness, "inertia": wheel.inertia, "mass": wheel.mass or None}
    return [Edit(("flywheel", name), float(f"{float(number) * factor:.3g}"))
            for name, number in numbers.items() if number is not None]  # fmt: skip


def _moved(design: Design, wheel: Flywheel, factor: float) -> Iterator[Edit]:
    """Yield where wheels then stand whose faces toward the bearings, or toward each other, stay as far apart."""
    if wheel.thickness is None:
        return
    more, at = float(wheel.thickness) * (factor - 1), float(wheel.at)
    away = np.sign(at - np.mean([float(each.at) for each in design.shafts.bearings]))
    behind = 0.0 if wheel.left_at is None or wheel.on != "both" else float(np.sign(away * (float(wheel.left_at) - at)))
    yield Edit(("flywheel", "at"), rounded(at + away * more * (1.5 if behind < 0 else 0.5), HALF / 2))
    if wheel.left_at is not None and wheel.on == "both":
        yield Edit(PLACE, rounded(float(wheel.left_at) + away * more * (1.5 if behind > 0 else 0.5), HALF / 2))


def lengths(design: Design, after: Design) -> Iterator[Edit]:
    """Yield the lengths of shafts that reach as far beyond their wheels as before, where they end short of that."""
    old, new = design.flywheel, after.flywheel
    if old is None or new is None or old.thickness is None or new.thickness is None:
        return
    for keys, shaft in sides(design):
        alone = design.shafts.left is not None
        hands = ["left"] if keys[-1] == "left" else ["right"] if alone else ["right", "left"]
        hands = [hand for hand in hands if new.on in (hand, "both")]
        if not hands:
            continue
        carried = [hand for hand in hands if old.on in (hand, "both")]
        now = max((float(old.z(hand)) + float(old.thickness) / 2 for hand in carried), default=float(shaft.ends_at))
        then = max(float(new.z(hand)) + float(new.thickness) / 2 for hand in hands)
        short = then - max(now, float(shaft.ends_at)) if now <= float(shaft.ends_at) else then - now
        if short > HAIR:
            last = len(shaft.segments) - 1
            length = np.ceil((float(shaft.segments[last].length) + short) / HALF - 1e-6) * HALF
            yield Edit((*keys, "segments", str(last), "length"), rounded(float(length), HALF))


def _disc(diameter: float, thickness: float):
    """A disc from stock in the wheel's place, on the shafts that then carry one."""

    def edits(design: Design) -> tuple[Edit, ...]:
        like = design.flywheel
        if like is None:
            return ()
        disc = _as_disc(like, diameter, thickness)
        if like.thickness is None:
            return (Edit(("flywheel",), disc),)
        moved = _moved(design, like, thickness / float(like.thickness))
        return (Edit(("flywheel",), replace(disc, **{each.keys[-1]: each.value for each in moved})),)

    return edits


def _as_disc(like: Flywheel, diameter: float, thickness: float) -> Flywheel:
    return replace(like, inertia=None, mass=0.0, diameter=diameter, inside=0.0, thickness=thickness,
                   material=MATERIALS["steel"], disc=None)  # fmt: skip


def _turned_down(design: Design, wheel: Flywheel, work: Work) -> Iterator[Dial]:
    """A wheel of less diameter, which then clears what it struck; inertia and mass that are given go with the rim.

    By so much, and as far as it takes to pass the other shaft, however much that is.
    """
    if wheel.diameter is None:
        return
    now, inside = float(wheel.diameter), float(wheel.inside)
    diameters = sorted(
        {rounded(each, 1e-4) for each in (_passing(design), *(now - less for less in TURNED))}, reverse=True
    )
    levels = [Level(_turned(each), text(each, "m"), work)
              for each in diameters if max(1.1 * inside, now / 2) < each < now - HAIR]  # fmt: skip
    yield Dial("diameter of the flywheel", "flywheel", ("flywheel.diameter",), text(now, "m"), levels,
               ("clearance_wheels",))  # fmt: skip


def _larger(design: Design, wheel: Flywheel, work: Work) -> Iterator[Dial]:
    """A wheel of more diameter, as far as it clears the other shaft or that may end: inertia grows with its fourth."""
    if wheel.diameter is None:
        return
    now, most = float(wheel.diameter), 2 * max(_largest_radius(design), clear_radius(design) + APART - HALF)
    levels = [Level(_turned(now + more), text(rounded(now + more, 1e-4), "m"), work)
              for more in TURNED if now + more <= most]  # fmt: skip
    yield Dial("larger flywheel", "flywheel", ("flywheel.diameter",), text(now, "m"), levels)


def _turned(diameter: float):
    """Return what gives a wheel another diameter: inertia and mass that are given go with its rim."""

    def edits(design: Design) -> tuple[Edit, ...]:
        wheel = design.flywheel
        if wheel is None or wheel.diameter is None:
            return ()
        now, inside = float(wheel.diameter), float(wheel.inside)
        shares = {"inertia": (wheel.inertia, 4), "mass": (wheel.mass or None, 2)}
        less = {name: _rim(diameter, inside, n) / _rim(now, inside, n) * float(old)
                for name, (old, n) in shares.items() if old is not None}  # fmt: skip
        return (Edit(("flywheel", "diameter"), rounded(diameter, 1e-4)),
                *(Edit(("flywheel", name), float(f"{value:.3g}")) for name, value in less.items()))  # fmt: skip

    return edits


def _rim(diameter: float, inside: float, power: int) -> float:
    return diameter**power - inside**power


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
    return clear_radius(design)


def _passing(design: Design) -> float:
    """Return the diameter of the largest wheel that passes the other shaft, m."""
    return float(np.floor(2 * clear_radius(design) / HALF + 1e-6)) * HALF


def clear_radius(design: Design) -> float:
    """Return the radius, m, with which a wheel clears the other shaft that passes it."""
    return float(design.cranks.centre_distance) - float(design.shafts.segments[-1].diameter) / 2 - APART


def _second(design: Design, wheel: Flywheel) -> Iterator[Dial]:
    """Yield how two wheels clear each other and the shafts: side by side, or one behind the other.

    One behind the other they stand on the shafts as they are, each thinner in the place of one, or on longer shafts.
    """
    levels = [Level(_both(edits), shown, Work(make=(("flywheel", 1),))) for edits, shown in _as_it_is(design, wheel)]
    yield Dial("shafts with a flywheel", "flywheel", ("flywheel.on",), wheel.on, levels)
    if wheel.thickness is None or wheel.left_at is not None:
        return
    if reach(wheel) > clear_radius(design) + APART:
        yield from _two_smaller(design, wheel)
        return
    thin = rounded(np.floor((float(wheel.thickness) - APART) / 2 / HALF) * HALF, HALF)
    thin_levels = [Level(_halved, f"both, each {text(thin, 'm')} thick", Work(make=(("flywheel", 2),)))] * bool(
        thin >= THINNEST
    )
    paths = ("flywheel.on", "flywheel.thickness", "flywheel.at")
    yield Dial("two flywheels in the place of one", "flywheel", paths, f"one on the {wheel.on} shaft", thin_levels)
    longer = Level(_on_longer_shafts, "both, one behind the other", Work(make=(("flywheel", 1), ("shaft", 2))))
    yield Dial(
        "two flywheels on longer shafts",
        "flywheel",
        ("flywheel.on", "shafts.segments.*.length"),
        f"one on the {wheel.on} shaft",
        [longer],
    )


def _two_smaller(design: Design, wheel: Flywheel) -> Iterator[Dial]:
    """Two wheels that pass each other's shafts in the place of one that does not: they roll the case no more."""
    diameter = _passing(design)
    if wheel.diameter is None or diameter <= 1.1 * float(wheel.inside):
        return
    work = Work(make=(("flywheel", 2), ("shaft", 2)))
    levels = [Level(_smaller(diameter, factor), f"both, {text(diameter, 'm')} across{thicker}", work)
              for factor in THICK_OF_TWO
              for thicker in [f", {factor:g} times as thick" if factor > 1 else ""]]  # fmt: skip
    paths = ("flywheel.on", "flywheel.diameter", "flywheel.thickness", "flywheel.at", "shafts.segments.*.length")
    yield Dial("two smaller flywheels, one behind the other", "flywheel", paths, f"one on the {wheel.on} shaft", levels)


def _smaller(diameter: float, factor: float):
    """Two wheels of a diameter, so many times as thick as the one, whose inner face stays where it is."""

    def edits(design: Design) -> tuple[Edit, ...]:
        wheel = design.flywheel
        if wheel is None or wheel.on == "both" or wheel.thickness is None or wheel.diameter is None:
            return ()
        down, thick = _turned(diameter)(design), float(wheel.thickness) * factor
        less = edited(design, down).flywheel
        assert less is not None
        at = rounded(float(wheel.at) + (thick - float(wheel.thickness)) / 2, HALF / 2)
        found = (*down, *(scaled(less, factor) if factor > 1 else ()), Edit(("flywheel", "at"), at), Edit(ON, "both"),
                 Edit(PLACE, rounded(at + thick + APART, HALF / 2)))  # fmt: skip
        return (*found, *lengths(design, edited(design, found)))

    return edits


def _both(edits: list[Edit]):
    return lambda design: () if design.flywheel is None or design.flywheel.on == "both" else tuple(edits)


def _as_it_is(design: Design, wheel: Flywheel) -> Iterator[tuple[list[Edit], str]]:
    both = Edit(ON, "both")
    if reach(wheel) > clear_radius(design):
        return  # it would strike the other shaft
    if wheel.left_at is not None or 2 * reach(wheel) + APART <= float(design.cranks.centre_distance):
        yield [both], "both"
        return
    if wheel.thickness is None:
        return
    thick, at, ends = float(wheel.thickness), float(wheel.at), design.shafts.pair[-1].ends
    for place in (at + thick + APART, at - thick - APART):
        if float(ends[0]) + thick / 2 <= place <= float(ends[1]) - thick / 2:
            yield [both, Edit(PLACE, round(place, 4))], f"both, the left one at {text(place, 'm')}"


def _halved(design: Design) -> tuple[Edit, ...]:
    """Two wheels, one behind the other, within the length of the one."""
    wheel = design.flywheel
    if wheel is None or wheel.on == "both" or wheel.thickness is None:
        return ()
    thick = float(wheel.thickness)
    thin = rounded(np.floor((thick - APART) / 2 / HALF) * HALF, HALF)
    if thin < THINNEST:
        return ()
    away = rounded((thick - thin) / 2, HALF / 2)
    lighter = [each for each in scaled(wheel, thin / thick) if each.keys[-1] != "thickness"]
    return (Edit(ON, "both"), Edit(("flywheel", "thickness"), thin), *lighter,
            Edit(("flywheel", "at"), rounded(float(wheel.at) - away, HALF / 2)),
            Edit(PLACE, rounded(float(wheel.at) + away, HALF / 2)))  # fmt: skip


def _on_longer_shafts(design: Design) -> tuple[Edit, ...]:
    """A like wheel on the left shaft behind the first; shafts that end before it are made longer."""
    wheel = design.flywheel
    if wheel is None or wheel.on == "both" or wheel.thickness is None:
        return ()
    place = rounded(float(wheel.at) + float(wheel.thickness) + APART, HALF)
    found = (Edit(ON, "both"), Edit(PLACE, place))
    return (*found, *lengths(design, edited(design, found)))


def reach(wheel: Flywheel) -> float:
    """Return how far a wheel reaches with all its mass, m: its radius, else the least that it can have."""
    if wheel.diameter is not None:
        return float(wheel.diameter) / 2
    mass = float(wheel.wheel_mass)
    return float(np.sqrt(float(wheel.polar_inertia) / mass)) if mass else 0.0


def _discs(design: Design, stock: Stock, like: Flywheel) -> Iterator[tuple[Flywheel, tuple[float, float], str]]:
    """Yield steel discs from stock that clear the other shaft and its wheel, where a wheel stands; their sizes."""
    assert stock.discs is not None
    assert stock.plates is not None
    for diameter in map(float, stock.discs):
        if diameter / 2 > _largest_radius(design):
            continue
        for thickness in (float(each) for each in stock.plates.get("steel", ()) if 8e-3 <= float(each) <= 20e-3):
            shown = f"steel disc {text(diameter, 'm')} x {text(thickness, 'm')}"
            yield _as_disc(like, diameter, thickness), (diameter, thickness), shown


def _new(design: Design, stock: Stock) -> Dial:
    """A disc between the gear or last bearing and the end of the shaft."""
    at = round(float(design.shafts.ends_at) - 6e-3, 4)
    levels = [Level(fixed(Edit(("flywheel",), disc)), shown, Work(make=(("flywheel", 1),)))
              for disc, _, shown in _discs(design, stock, Flywheel(on="right", inertia=0.0, at=at))]  # fmt: skip
    return Dial("flywheel", "flywheel", ("flywheel",), "none", levels)
