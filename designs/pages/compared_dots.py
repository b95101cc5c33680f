"""Designs side by side as dots: one row a figure with a scale of its own, one numbered dot a design."""

from html import escape

import numpy as np

from designs.options.side_by_side import SAME, Line
from designs.pages.limits import said
from designs.pages.spacing import pushed_apart
from designs.pages.svg import line, picture, tag, text

WIDE, TALL, EDGE = 300.0, 34.0, 14.0
APART = 11.0  # px between the numbers of two dots
LEVEL = 24.0


def dots(names: list[str], lines: list[Line]) -> str:
    """Return the figures in which designs differ as rows of dots, HTML, and a sentence on all others."""
    shown = [each for each in lines if _differs(each)]
    key = "".join(tag("li", escape(name)) for name in names)
    rows = "".join(_row(each) for each in shown)
    alike = [each.what for each in lines if not _differs(each) and np.any(np.isfinite(each.values))]
    more = tag("p", escape(f"Alike in: {', '.join(alike)}."), kind="note") if alike else ""
    return tag("ol", key, kind="designs") + tag("div", rows, kind="dots") + more


def _differs(line_: Line) -> bool:
    values = line_.told_apart[np.isfinite(line_.told_apart)]
    return len(values) > 1 and bool(np.ptp(values) > SAME * np.max(np.abs(values)))


def _row(one: Line) -> str:
    unit, factor, _ = one.first.shown
    values = one.told_apart * factor
    limits = [float(each.limit) * factor for each in one.figures if each is not None and each.limit is not None]
    limit = limits[0] if limits and np.isfinite(limits[0]) else None
    finite = values[np.isfinite(values)]
    low, high = float(finite.min()), float(finite.max())
    near = limit is not None and low - 3 * (high - low) <= limit <= high + 3 * (high - low)
    if near and limit is not None:
        low, high = min(low, limit), max(high, limit)

    def across(value: float) -> float:
        return EDGE + (value - low) / (high - low or 1.0) * (WIDE - 2 * EDGE)

    inside = line(EDGE, LEVEL, WIDE - EDGE, LEVEL, "axis")
    inside += line(across(limit), LEVEL - 8, across(limit), LEVEL + 8, "bound") if near and limit is not None else ""
    places = sorted((across(float(value)), place) for place, value in enumerate(values) if np.isfinite(value))
    for (x, place), at in zip(places, pushed_apart([x for x, _ in places], APART, EDGE, WIDE - EDGE), strict=True):
        figure = one.figures[place]
        fails = figure is not None and figure.passed is not None and not np.all(figure.passed)
        kind = "fails" if fails else "best" if one.best[place] else ""
        inside += tag("circle", cx=x, cy=LEVEL, r=4.0, kind=kind or None)
        inside += text(at, 11, str(place + 1), kind, "middle")
    words = "; ".join(f"design {place + 1}: {_value(one, place)}" for place in range(len(values)))
    least, most = (int(each) for each in (np.argmin(_finite(values, np.inf)), np.argmax(_finite(values, -np.inf))))
    ends = f"{_number(one, least)} to {_number(one, most)} {unit}".strip()
    asked = "" if limit is None or one.first.limit is None else f", limit {said(one.first.text(one.first.limit))}"
    heading = escape(one.what) + tag("small", escape(f"{said(ends)}{asked}"))
    return tag(
        "div", tag("div", heading, kind="what") + picture((0, 0, WIDE, TALL), inside, f"{one.what}: {words}", "strip")
    )


def _finite(values: np.ndarray, other: float) -> np.ndarray:
    return np.where(np.isfinite(values), values, other)


def _number(one: Line, place: int) -> str:
    figure = one.figures[place]
    return "-" if figure is None else figure.text(figure.value)


def _value(one: Line, place: int) -> str:
    figure = one.figures[place]
    if figure is None or figure.value is None:
        return "not checked"
    return f"{figure.text(figure.value)} {figure.shown[0]}".strip()
