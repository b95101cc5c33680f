"""What a limit depends on, in sentences: the entry, where it turns, and how to find it at the bench."""

from math import ceil, floor

import numpy as np

from balance.doubt.ranges import Range
from designs.shown import INCH, bench_words, imperial
from designs.shown import shown as shown_unit
from designs.verdict.row import Doubt, Turn

UNITS = {"N/m": ("N/µm", 1e-6, 0.0), "K": ("degC", 1.0, -273.15)}
IMPERIAL = {"K": ("degF", 1.8, -459.67)}
"""Units that people use for what is not known, where they are others than in tables: name, factor, and what to add."""
SMALL = 1e-3  # m; lengths up to it are told in micrometres
MEASURES = {
    "kg": "weigh it on a kitchen scale",
    "m": "measure it with a calliper, or feelers on a flat plate",
    "rad": "set it on a flat plate and measure the height with feelers",
    "m^3": "fill it with water and weigh that",
    "kg m^2": "hang it by two strings, twist it and time the swings",
    "K": "hold a thermocouple to it while it runs",
    "N/m": "hang a known mass on it and read a dial gauge",
    "Pa": "connect a pressure gauge",
    "rad/s": "count its turns over a minute",
}
"""The cheapest way to find a number of each SI unit, for entries whose definition says none; common practice."""


def measure_of(range_: Range) -> str:
    """Return how to find a doubtful number at the bench."""
    return bench_words(range_.measure or MEASURES.get(range_.si, "find it out by a trial"))


def shown(range_: Range, value: float, side: str | None = None) -> str:
    """Return a value of a doubtful number as people say it, without its unit: to two digits, or a share of its range.

    side : on which side of it a limit holds ("above", "below"): it is rounded to that side.
    """
    _, factor, more = unit_of(range_)
    told_by = abs(value) / 10 if range_.law in ("even in ratio", "factor") else abs(range_.high - range_.low) / 50
    step = 10.0 ** np.floor(np.log10(told_by * factor) + 1e-9)
    ratio = (value * factor + more) / step
    if side is not None:
        # What is whole but for rounding stays as it is.
        ratio = np.ceil(ratio - 1e-6) if side == "above" else np.floor(ratio + 1e-6)
    decimals = max(0, -int(np.round(np.log10(step))))
    text = f"{np.round(ratio) * step + 0.0:.{decimals}f}"
    return text.removesuffix(".0").replace("-", "\N{MINUS SIGN}")


def unit_of(range_: Range) -> tuple[str, float, float]:
    """Return the unit in which people tell a number: its name, the factor from SI, and what to add."""
    if range_.si == "m" and max(abs(range_.low), abs(range_.high)) <= SMALL:
        return ("thou", 1e3 / INCH, 0.0) if imperial() else ("µm", 1e6, 0.0)
    own = IMPERIAL if imperial() else UNITS
    if range_.si in own:
        return own[range_.si]
    name, factor, _ = shown_unit(range_.si)
    return name, factor, 0.0


def known_of(range_: Range) -> str:
    """Return what is known of a number, e.g. "taken 5 to 120 N/µm"."""
    source = "given" if range_.given else "taken"
    return f"{source} {shown(range_, range_.low)} to {shown(range_, range_.high)} {unit_of(range_)[0]}".strip()


def turn_words(turn: Turn) -> str:
    """Return where an entry turns a limit, e.g. "support stiffness: holds above 14 N/µm (taken 5 to 120 N/µm)"."""
    if turn.at is None or turn.side is None:
        return f"{turn.name} ({known_of(turn.range)})"
    at = f"{shown(turn.range, turn.at, turn.side)} {unit_of(turn.range)[0]}".strip()
    return f"{turn.name}: holds {turn.side} {at} ({known_of(turn.range)})"


def depends_on(doubt: Doubt) -> str:
    """Return what a limit depends on, in how many machines it holds, and how to find out the first entry."""
    alone = [each for each in doubt.turns if each.at is not None]
    others = [each for each in doubt.turns if each.at is None]
    said = [f"depends on {'; and on '.join(turn_words(each) for each in alone)}"] if alone else []
    if others:
        names = ", ".join(turn_words(each) for each in others)
        by_itself = "which does not turn it by itself" if len(others) == 1 else "none of which turns it by itself"
        said.append(f"{'also' if alone else 'depends'} on {names}, {by_itself}")
    said.append(share_words(doubt))
    if doubt.vibration:
        said.append(doubt.vibration)
    first = doubt.turns[0]
    return "; ".join(said) + f". Find out {first.name}: {measure_of(first.range)}"


def share_words(doubt: Doubt) -> str:
    """Return in how many of a hundred machines a limit holds, with its interval, rounded outward.

    So one that reaches below what is asked for never reads as if it did not.
    """
    low, high = floor(100 * doubt.low + ROUNDING), ceil(100 * doubt.high - ROUNDING)
    return f"holds in {round(100 * doubt.share)} of 100 machines ({low} to {high})"


ROUNDING = 1e-9


def depends_in_corners(doubt: Doubt) -> str:
    """Return the same for a limit that only a few corner machines were judged by."""
    return f"holds in {doubt.held} machines: {doubt.note}"
