"""Rods: their lengths, and the offset of a slot in place of rods."""

from collections.abc import Iterator

from designs.counsel.dial import Dial, Level, Work, fixed, path_of
from designs.counsel.edit import Edit, rounded, text
from designs.design import Design
from designs.stock.kinds import Stock

MULTIPLES = (1, 2, 3, 4, 5, 6, 7, 8, 9, 10, 12, 14, 16, 18, 20, 30, 40, 60)  # of the stock's step
HAIR = 1e-9  # m


def dials(design: Design, stock: Stock) -> Iterator[Dial]:
    """Yield the length of each yoke's rods. Their masses are kept: a step is a few thousandths of a length."""
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
        yield Dial(
            f"{name} {part}s" if part == "rod" else f"{name} slot", "rods", (path_of(keys),), text(now, "m"), levels
        )
