"""What can be bought: the usual stock, and a maker's own in its place."""

from dataclasses import replace
from functools import cache
from pathlib import Path

from designs.design.stock import Stock
from designs.reading.build import build
from designs.reading.source import read_file
from shafts.bearings.standard_sizes import BALLS, designation

USUAL = Path(__file__).with_name("usual.yaml")
Size = tuple[float, float, float]


@cache
def usual() -> Stock:
    """Return what shops for makers usually keep."""
    return build(Stock, read_file(USUAL))


def stock_with(own: Stock | None) -> Stock:
    """Return the usual stock with a maker's own lists in place of the usual ones."""
    given = {} if own is None else {name: value for name, value in vars(own).items() if value is not None}
    return replace(usual(), **given)


def balls(stock: Stock) -> list[Size]:
    """Return the ball bearings of a stock, (bore, outside, width), m, smallest first."""
    sizes = BALLS[:, :3].tolist() if stock.bearings is None else stock.bearings
    return sorted((float(bore), float(outside), float(width)) for bore, outside, width in sizes)


def ball_name(bore: float, outside: float, width: float) -> str:
    """Return a ball bearing by its basic designation, where one is known, and its size."""
    name = designation(bore, outside, width)
    size = " x ".join(f"{float(each) * 1e3:g}" for each in (bore, outside, width))
    return f"ball bearing {name} ({size} mm)" if name else f"ball bearing {size} mm"
