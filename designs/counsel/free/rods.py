"""Rods: their lengths, the flat bar that they are made of, and the offset of a slot in place of rods."""

from collections.abc import Callable, Iterator

import numpy as np

from balance.machine.yoke import Rod
from designs.changing.edit import Edit, rounded, text
from designs.counsel.dial import Dial, Level, Work, path_of
from designs.design import Design
from designs.design.stock import Stock

MULTIPLES = (1, 2, 3, 4, 5, 6, 7, 8, 9, 10, 12, 14, 16, 18, 20, 30, 40, 60)  # of the stock's step
FARTHER = (80, 100, 120, 150, 200, 250, 300)  # of it, for rods that are far too short or too long
ANOTHER = 0.3  # of their length: what differs by more is another engine's. As many longer as shorter: tried by turns
WEIGHED = 0.05  # of their length: rods that change by more are given another mass
HAIR = 1e-9  # m
EYE = 2e-3  # m of rod beside a crankpin, both sides together; common practice, no source
AIMS = ("clearance", "displacer_to_hot_end", "displacer_to_piston", "clearance_carried", "piston_in_cylinder")
LIGHTEST, HEAVIEST = 0.5, 3.0  # of the section as it is: beyond it is another rod


def dials(design: Design, stock: Stock) -> Iterator[Dial]:
    """Yield length and bar of each yoke's rods. With small steps of the length masses are kept: a few thousandths."""
    yield from _lengths(design, stock)
    yield from _bars(design, stock)


def _lengths(design: Design, stock: Stock) -> Iterator[Dial]:
    assert stock.steps is not None
    step = float(stock.steps.rod)
    for name, yoke in design.yokes.items():
        part, key = ("rod", "length") if yoke.rod is not None else ("slot", "offset")
        keys, now = ("yokes", name, part, key), float(getattr(getattr(yoke, part), key))
        work = Work(make=((f"{name} {part}", 2 if part == "rod" else 1),))
        values = [rounded(now + sign * count * step, step) for count in MULTIPLES for sign in (1, -1)]
        if part == "rod":
            far = (rounded(now + sign * count * step, step) for count in FARTHER for sign in (1, -1))
            values = [each for each in values if each > 0]
            values += [each for each in far if abs(each - now) <= ANOTHER * now + HAIR]
        levels = [Level(_of_length(name, part, value), text(value, "m"), work) for value in values
                  if abs(value - now) > HAIR]  # fmt: skip
        called = f"{name} {part}s" if part == "rod" else f"{name} slot"
        yield Dial(called, "rods", (path_of(keys),), text(now, "m"), levels, AIMS)


def _of_length(name: str, part: str, length: float) -> Callable[[Design], tuple[Edit, ...]]:
    """A rod that becomes much longer or shorter by more or less of its bar, or in proportion where none is given."""

    def edits(design: Design) -> tuple[Edit, ...]:
        rod, keys = design.yokes[name].rod, ("yokes", name, part)
        if rod is None:
            return (Edit((*keys, "offset"), length),)
        own, now = (Edit((*keys, "length"), length),), float(rod.length)
        mass, section = float(rod.mass), _section_of(rod)
        if abs(length / now - 1) <= WEIGHED or not mass:
            return own
        of_bar = section is not None and rod.material is not None
        per_length = section * float(rod.material.density) if of_bar else mass / now  # type: ignore[operator, union-attr]
        heavier = max(mass + per_length * (length - now), mass * length / now * LIGHTEST)
        scaled = [("mass", heavier), ("cg", float(rod.cg) * length / now)]
        if float(rod.inertia):
            scaled.append(("inertia", float(rod.inertia) * heavier / mass * (length / now) ** 2))
        return (*own, *(Edit((*keys, key), float(f"{value:.3g}")) for key, value in scaled if value))

    return edits


def _bars(design: Design, stock: Stock) -> Iterator[Dial]:
    """Rods of flat bar that leaves enough beside their crankpin; mass and inertia in proportion to the section."""
    for name, yoke in design.yokes.items():
        rod, pin = yoke.rod, design.throw_of(yoke).pin
        if rod is None or (now := _section_of(rod)) is None or rod.material is None:
            continue
        least = EYE + (0.0 if pin is None else float(pin.diameter))
        sold = sorted(
            ((float(wide), float(thick)) for wide, thick in stock.bars or ()), key=lambda bar: bar[0] * bar[1]
        )
        work = Work(make=((f"{name} rod", 2),))
        levels = [Level(_of_bar(name, bar), _bar_named(*bar), work) for bar in sold
                  if LIGHTEST * now <= bar[0] * bar[1] <= HEAVIEST * now and bar[0] >= least - HAIR
                  and not np.isclose(bar[0] * bar[1], now)]  # fmt: skip
        known = rod.width is not None and rod.thickness is not None
        shown = _bar_named(float(rod.width), float(rod.thickness)) if known else text(now, "m^2")  # type: ignore[arg-type]
        keys = ("section",) * (rod.section is not None) + ("width", "thickness")
        paths = tuple(path_of(("yokes", name, "rod", key)) for key in keys)
        yield Dial(
            f"bar of the {name} rods", "rods", paths, shown, levels, ("rod_strength", "rod_buckling", "rod_eyes")
        )


def _section_of(rod: Rod) -> float | None:
    """Return the area of a rod's bar, m^2, as given or by its sides; None if it is not known."""
    if rod.section is not None:
        return float(rod.section)
    return None if rod.width is None or rod.thickness is None else float(rod.width) * float(rod.thickness)


def _bar_named(wide: float, thick: float) -> str:
    return f"{wide * 1e3:g} x {thick * 1e3:g} mm"


def _of_bar(name: str, bar: tuple[float, float]):
    return lambda design: of_bar(design, name, bar)


def of_bar(design: Design, name: str, bar: tuple[float, float]) -> tuple[Edit, ...]:
    """Return rods of another flat bar, (width, thickness), m; mass and inertia in proportion where they can be told."""
    rod, keys = design.yokes[name].rod, ("yokes", name, "rod")
    assert rod is not None
    sizes = {"section": bar[0] * bar[1]} if rod.section is not None else {}
    sizes |= {"width": bar[0], "thickness": bar[1]}
    now = _section_of(rod)
    share = 1.0 if now is None else bar[0] * bar[1] / now
    heavier = [Edit((*keys, key), float(f"{float(value) * share:.3g}"))
               for key, value in (("mass", rod.mass), ("inertia", rod.inertia)) if float(value)]  # fmt: skip
    return (*(Edit((*keys, key), float(f"{value:.9g}")) for key, value in sizes.items()), *heavier)
