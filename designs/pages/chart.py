"""A plot as SVG text: axes, ticks, curves, bands and bars, sized so that its letters can be read on a phone."""

from dataclasses import dataclass

import numpy as np

from designs.pages.spacing import pushed_apart
from designs.pages.svg import line, path, picture, short, tag, text

WIDE, TALL = 344.0, 216.0  # of a plot, in CSS pixels: as wide as a phone
LETTER, ROW = 6.1, 13.0  # width of a letter and height of a line of words, likewise
FINER = 6  # steps between two points of a curve, so that it ends where it leaves the axes
CURVES = ("one", "two", "three", "four", "five", "six")
"""Classes of curves that are told apart by ink and by line."""


@dataclass(frozen=True, eq=False)
class Chart:
    """Axes of a plot.

    x, y : from where to where, in the units of the axes.   padding : left, right, above, below the axes, px.
    log : whether y goes by factors.
    """

    x: tuple[float, float]
    y: tuple[float, float]
    padding: tuple[float, float, float, float] = (46.0, 10.0, 20.0, 36.0)
    size: tuple[float, float] = (WIDE, TALL)
    log: bool = False

    @property
    def left(self) -> float:
        """Left end of the axes, px."""
        return self.padding[0]

    @property
    def right(self) -> float:
        """Right end of the axes, px."""
        return self.size[0] - self.padding[1]

    @property
    def top(self) -> float:
        """Upper end of the axes, px."""
        return self.padding[2]

    @property
    def bottom(self) -> float:
        """Lower end of the axes, px."""
        return self.size[1] - self.padding[3]

    def across(self, x):
        """Return where values of x stand, px."""
        return self.left + (np.asarray(x) - self.x[0]) / (self.x[1] - self.x[0]) * (self.right - self.left)

    def up(self, y):
        """Return where values of y stand, px; what lies beyond the axes stands at their edge."""
        low, high = (np.log10(self.y) if self.log else self.y)[:2]
        value = np.log10(np.maximum(y, 1e-30)) if self.log else np.asarray(y)
        return self.bottom - np.clip((value - low) / (high - low), 0.0, 1.0) * (self.bottom - self.top)

    def axes(self, across: str, up: str, at: list[float] | None = None) -> str:
        """Return both axes with ticks and names. at : ticks of x; round ones if left out."""
        rows = decades(*self.y) if self.log else round_steps(*self.y, 5)
        found = ""
        for value in rows:
            y = float(self.up(value))
            found += line(self.left, y, self.right, y, "grid") + text(self.left - 5, y + 4, number(value), "", "end")
        for value in round_steps(*self.x, 6) if at is None else at:
            x = float(self.across(value))
            found += line(x, self.bottom, x, self.bottom + 4, "tick") + text(
                x, self.bottom + 16, number(value), "", "middle"
            )
        found += line(self.left, self.bottom, self.right, self.bottom, "axis")
        found += text(self.right, self.bottom + 31, across, "name", "end")
        return found + text(2, min(10.0, self.top - 9), up, "name")

    def curve(self, x, y, kind: str) -> str:
        """Return a curve through points as far as it lies within the axes; it may be in pieces."""
        place = np.linspace(0, len(x) - 1, (len(x) - 1) * FINER + 1)
        x, y = (np.interp(place, np.arange(len(each)), each) for each in (x, y))
        inside = np.isfinite(y) & (y >= min(self.y)) & (y <= max(self.y))
        ends = np.flatnonzero(np.diff(inside)) + 1
        across, up = self.across(x), self.up(y)
        parts = [part for part in np.split(np.arange(len(x)), ends) if inside[part[0]]]
        d = "".join(path(zip(across[part], up[part], strict=True)) for part in parts)
        return tag("path", d=d, kind=f"curve {kind}") if d else ""

    def band(self, x, low, high, kind: str) -> str:
        """Return the field between two curves."""
        across, lower, upper = self.across(x), self.up(low), self.up(high)
        points = [*zip(across, upper, strict=True), *zip(across[::-1], lower[::-1], strict=True)]
        return tag("path", d=path(points, closed=True), kind=kind)

    def span(self, low: float, high: float, kind: str = "running") -> str:
        """Return an upright band between two values of x."""
        start, end = (float(np.clip(self.across(each), self.left, self.right)) for each in (low, high))
        return tag("rect", x=start, y=self.top, width=end - start, height=self.bottom - self.top, kind=kind)

    def level(self, y: float, kind: str, words: str = "") -> str:
        """Return a line across at a value of y, with words above it."""
        at = float(self.up(y))
        return line(self.left, at, self.right, at, kind) + (
            text(self.right - 4, at - 4, words, "said", "end") if words else ""
        )

    def names(self, ends: list[tuple[float, str, str]]) -> str:
        """Return names of curves right of the axes, pushed apart. ends : y, name, class."""
        placed = sorted((float(self.up(y)), name, kind) for y, name, kind in ends)
        where = pushed_apart([each[0] for each in placed], ROW, self.top + 2, self.bottom)
        return "".join(
            text(self.right + 5, y + 4, name, f"end {kind}") for y, (_, name, kind) in zip(where, placed, strict=True)
        )

    def whole(self, inside: str, words: str, kind: str = "") -> str:
        """Return the plot as a picture. words : what is found in it."""
        return picture((0, 0, *self.size), inside, words, f"chart {kind}".strip())


def round_steps(low: float, high: float, count: int) -> list[float]:
    """Return round values from low to high, at most about so many."""
    raw = max(high - low, 1e-12) / max(count, 1)
    power = 10.0 ** np.floor(np.log10(raw))
    step = next(power * each for each in (1, 2, 2.5, 5, 10) if power * each >= raw * (1 - 1e-9))
    first, last = np.ceil(low / step - 1e-9), np.floor(high / step + 1e-9)
    return [float(place * step) for place in np.arange(first, last + 1)]


def decades(low: float, high: float) -> list[float]:
    """Return 1, 2 and 5 times powers of ten between two values; of many decades the powers alone."""
    steps = (1, 2, 5) if high / low < 300 else (1,)
    powers = 10.0 ** np.arange(np.floor(np.log10(low)), np.ceil(np.log10(high)) + 1)
    return [float(step * power) for power in powers for step in steps if low * 0.999 <= step * power <= high * 1.001]


def spread(*values: np.ndarray, share: float = 0.06, zero: bool = False) -> tuple[float, float]:
    """Return from where to where an axis goes that holds all values. zero : and zero."""
    every = np.concatenate([np.ravel(each) for each in values])
    every = np.append(every[np.isfinite(every)], [0.0] if zero or not np.any(np.isfinite(every)) else [])
    low, high = float(every.min()), float(every.max())
    padding = (high - low or abs(high) or 1.0) * share
    return (0.0 if zero and low == 0 else low - padding), high + padding


def number(value: float) -> str:
    """Return a number of an axis, with a true minus."""
    return short(value, 6 if abs(value) < 0.01 else 3).replace("-", "\u2212")
