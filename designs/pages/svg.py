"""SVG as text: elements, short numbers, and the hatches that pictures share; looks come from parts.css alone."""

from collections.abc import Iterable, Sequence
from html import escape
from typing import Any

import numpy as np

Points = Iterable[tuple[float, float]]

HATCHES = (
    '<svg class="hatches" width="0" height="0" aria-hidden="true" focusable="false"><defs>'
    '<pattern id="hatch" width="5" height="5" patternUnits="userSpaceOnUse" patternTransform="rotate(45)">'
    '<path class="hatch" d="M0,0V5"/></pattern>'
    '<pattern id="hatch-cross" width="5" height="5" patternUnits="userSpaceOnUse" patternTransform="rotate(45)">'
    '<path class="hatch cross" d="M0,0V5M0,0H5"/></pattern>'
    '<pattern id="hatch-clash" width="2.6" height="2.6" patternUnits="userSpaceOnUse" patternTransform="rotate(45)">'
    '<path class="hatch clash" d="M0,0V2.6"/></pattern></defs></svg>'
)
"""To stand once in a page, before the pictures: `hatch` marks what is taken away or fails, `hatch-cross` overlap,
`hatch-clash`, for pictures in millimetres, parts that clash."""


def short(value: float, decimals: int = 2) -> str:
    """Return a number with no more digits than a picture can show."""
    text = f"{float(value):.{decimals}f}"
    text = text.rstrip("0").rstrip(".") if "." in text else text
    return "0" if text in ("-0", "") else text


def tag(name: str, inside: str = "", **attributes: Any) -> str:
    """Return an element; `inside` is markup. An underscore in a name stands for a hyphen; `kind` is the class."""
    said = "".join(
        f' {"class" if key == "kind" else key.replace("_", "-")}="{_value(value)}"'
        for key, value in attributes.items()
        if value is not None
    )
    return f"<{name}{said}>{inside}</{name}>" if inside else f"<{name}{said}/>"


def _value(value: object) -> str:
    return short(float(value)) if isinstance(value, float | np.floating) else escape(str(value), quote=True)


def line(x1: float, y1: float, x2: float, y2: float, kind: str) -> str:
    """Return a straight line."""
    return tag("line", x1=float(x1), y1=float(y1), x2=float(x2), y2=float(y2), kind=kind)


def path(points: Points, closed: bool = False) -> str:
    """Return the `d` of a line through points, without those that a picture of this size cannot tell from it."""
    places = thinned([(float(x), float(y)) for x, y in points])
    words = "L".join(f"{short(x)},{short(y)}" for x, y in places)
    return f"M{words}{'Z' if closed else ''}" if words else ""


def thinned(points: Sequence[tuple[float, float]], tolerance: float = 0.06) -> list[tuple[float, float]]:
    """Return the points of a line without those that lie within `tolerance` of what is left (Douglas and Peucker)."""
    if len(points) < 3:
        return list(points)
    every = np.array(points)
    kept, open_ = {0, len(points) - 1}, [(0, len(points) - 1)]
    while open_:
        first, last = open_.pop()
        if last - first < 2:
            continue
        start, way = every[first], every[last] - every[first]
        beside = every[first + 1 : last] - start
        length = float(np.hypot(*way))
        off = np.abs(beside[:, 0] * way[1] - beside[:, 1] * way[0]) / length if length else np.hypot(*beside.T)
        worst = int(np.argmax(off)) + first + 1
        if off[worst - first - 1] > tolerance:
            kept.add(worst)
            open_ += [(first, worst), (worst, last)]
    return [points[place] for place in sorted(kept)]


def text(x: float, y: float, words: str, kind: str = "", anchor: str = "") -> str:
    """Return words at a place; anchor : "middle" or "end", else they start there."""
    return tag("text", escape(words), x=float(x), y=float(y), kind=kind or None, text_anchor=anchor or None)


def picture(box: tuple[float, float, float, float], inside: str, words: str, kind: str) -> str:
    """Return a whole picture. box : left, top, width, height; words : what is found in it, for those who cannot see."""
    left, top, width, height = box
    return tag(
        "svg", inside, viewBox=f"{short(left)} {short(top)} {short(width)} {short(height)}", role="img",
        aria_label=words, kind=kind,
    )  # fmt: skip
