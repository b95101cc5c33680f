"""What can be bought: the usual stock, and a maker's own in its place."""

from dataclasses import replace
from functools import cache
from pathlib import Path

from designs.design.stock import NeedleSizes, Stock
from designs.reading.build import build
from designs.reading.source import read_file
from shafts.bearings.ball import Ball
from shafts.bearings.needle import Needle
from shafts.bearings.standard_sizes import BALLS, NEEDLES

USUAL = Path(__file__).with_name("usual.yaml")


@cache
def usual() -> Stock:
    """Return what shops for makers usually keep."""
    return build(Stock, read_file(USUAL))


def stock_with(own: Stock | None) -> Stock:
    """Return the usual stock with a maker's own lists in place of the usual ones."""
    given = {} if own is None else {name: value for name, value in vars(own).items() if value is not None}
    return replace(usual(), **given)


def balls(stock: Stock) -> list[Ball]:
    """Return the ball bearings of a stock, smallest first: those listed, with what is said of them, or all known."""
    return sorted(_known() if stock.bearings is None else stock.bearings, key=_order)


@cache
def _known() -> tuple[Ball, ...]:
    return tuple(Ball(bore=bore, outside=outside, width=width) for bore, outside, width in BALLS[:, :3].tolist())


def needles(stock: NeedleSizes) -> list[Needle]:
    """Return the needle bearings of a stock, smallest first, each on a shaft as hard as the stock's."""
    known = (Needle(shaft=shaft, outside=outside, width=width) for shaft, outside, width in NEEDLES[:, :3].tolist())
    hard = (replace(each, hardness=float(stock.hardness), speed_limit=each.speed_limit or float(stock.speed_limit))
            for each in (known if stock.sizes is None else stock.sizes))  # fmt: skip
    return sorted(hard, key=_order)


def _order(bearing: Ball | Needle) -> tuple[float, ...]:
    """Return what bearings are sorted by: 3/8 in is one bore, whether it was written so or worked out."""
    return tuple(round(each, 7) for each in bearing.sizes)


def ball_name(ball: Ball) -> str:
    """Return a ball bearing by its basic designation, where one is known, and its size."""
    return f"ball bearing {ball.designation} ({ball.size} mm)" if ball.designation else f"ball bearing {ball.size} mm"
