"""Rods: their lengths, the flat bar that they are made of, and the offset of a slot in place of rods."""

from collections.abc import Iterator

import numpy as np

from balance.machine.yoke import Rod
from designs.changing.edit import Edit, rounded, text
from designs.counsel.dial import Dial, Level, Work, fixed, path_of
from designs.design import Design
from designs.design.stock import Stock

MULTIPLES = (1, 2, 3, 4, 5, 6, 7, 8, 9, 10, 12, 14, 16, 18, 20, 30, 40, 60)  # of the stock's step
HAIR = 1e-9  # m
EYE = 2e-3  # m of rod beside a crankpin, both sides together; common practice, no source
AIMS = ("clearance", "displacer_to_hot_end", "displacer_to_piston", "clearance_carried", "piston_in_cylinder")
LIGHTEST, HEAVIEST = 0.5, 3.0  # of the section as it is: beyond it is another rod


def dials(design: Design, stock: Stock) -> Iterator[Dial]:
    """Yield length and bar of each yoke's rods. With the length masses are kept: a step is a few thousandths of it."""
    yield from _lengths(design, stock)
    yield from _bars(design, stock)


def _lengths(design: Design, stock: Stock) -> Iterator[Dial]:
    assert stock.steps is not None
    step = float(stock.steps.rod)
    for name, yoke in design.yokes.items():
        part, key = ("rod", "length") if yoke.rod is not None else ("slot", "offset")
        keys, now = ("yokes", name, part, key), float(getattr(getattr(yoke, part), key))
        work = Work(make=((f"{name} {part}", 2 if part == "rod" else 1),))
        levels = [
            Level(fixed(Edit(keys, value)), text(value, "m"), work)
            for count in MULTIPLES
            for sign in (1, -1)
            if abs((value := rounded(now + sign * count * step, step)) - now) > HAIR and (value > 0 or part == "slot")
        ]
        called = f"{name} {part}s" if part == "rod" else f"{name} slot"
        yield Dial(called, "rods", (path_of(keys),), text(now, "m"), levels, AIMS)


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
