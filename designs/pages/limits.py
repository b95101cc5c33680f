"""Every limit as a bar on one scale, the share of the limit that is used: what fails first, what passes last."""

from collections.abc import Mapping
from html import escape
from types import MappingProxyType

import numpy as np

from designs.pages.svg import line, picture, tag, text
from designs.shown import RPM
from designs.tables.verdict import amount
from designs.verdict.row import Row, used, worst_first

KINDS = {"FAIL": "fail", "depends": "depends", "not checked": "unchecked", "pass": "pass"}
"""The class of a row in each state."""
LIMIT, DECADE, MOST = 100.0, 92.0, 10.0  # where the limit stands in a bar of 200, ten times it beyond; cut off there
MIDDLE, TALL = 8.0, 16.0
FACTOR = 10.0  # times the limit, from which on a person is told how many


def limit_bars(rows: list[Row], helped: Mapping[str, str] = MappingProxyType({})) -> str:
    """Return all limits as a table with bars, HTML.

    helped : what was found to help a limit that fails, by its key; said once for all its rows.
    """
    told = dict(helped)
    heads = (("state", ""), ("what", "limit"), ("bar", _scale()), ("value", "value"), ("limit", "asked"))
    head = "".join(tag("div", inside or "&#160;", role="columnheader", kind=kind) for kind, inside in heads)
    body = "".join(_row(each, _words(each, told)) for each in worst_first(rows))
    return tag("div", tag("div", head, role="row", kind="head") + body, role="table", kind="limits",
               aria_label="Every limit")  # fmt: skip


def _words(row: Row, told: dict[str, str]) -> str:
    """Return what helps a limit that fails, and what to give or to find out where it is not known."""
    if row.state == "FAIL" and row.key in told:
        words, told[row.key] = told[row.key], ""
        return words
    return "" if row.state == "pass" else row.words


def _row(row: Row, words: str) -> str:
    sense = "" if row.limit is None else {"at most": "≤ ", "at least": "≥ "}[row.sense]
    asked = "" if row.limit is None else sense + said(amount(row, row.limit))
    cells = (
        ("state", escape(row.state)),
        ("what", escape(row.what) + _where(row)),
        ("bar", bar(row)),
        ("value", escape("" if row.value is None else said(amount(row, row.value))) + _besides(row)),
        ("limit", escape(asked)),
    )
    inside = "".join(
        tag("div", inside or "&#160;", role="cell", kind=kind if inside else f"{kind} blank") for kind, inside in cells
    )
    if words:
        inside += tag("div", escape(words.replace("`", "")), role="cell", kind="change")
    return tag("div", inside, role="row", kind=KINDS[row.state])


def said(number: str) -> str:
    """Return a number in words with a true minus, kept together with its unit."""
    number = "\u2212" + number[1:] if number[:1] == "-" else number
    return number.replace(" ", "\u00a0").replace("^2", "²").replace("^3", "³")


def _where(row: Row) -> str:
    places = []
    if row.speed is not None and np.isfinite(float(row.speed)):
        places.append(f"{float(row.speed) * RPM:.0f}\u00a0rpm")
    if row.angle is not None and np.isfinite(float(row.angle)):
        places.append(f"{np.degrees(float(row.angle)):.0f}°")
    return tag("small", f" at {', '.join(places)}", kind="where") if places else ""


def _besides(row: Row) -> str:
    """Return what a value alone does not say: how many times the limit it is, and the worst of what it may be."""
    share, found = used(row), []
    if share is not None and np.isfinite(share) and share > FACTOR:
        found.append(f"x {share:.0f} of the limit" if row.sense == "at most" else f"1/{share:.0f} of the limit")
    if row.doubt is not None and row.doubt.worst is not None:
        worst = amount(row, row.doubt.worst)
        found += [f"worst found {said(worst)}"] if worst != amount(row, row.value) else []
    return "".join(" " + tag("small", escape(each)) for each in found)


def _scale() -> str:
    marks = {0.1: "1/10", 0.3: "1/3", 1.0: "limit", 3.0: "x 3", 10.0: "x 10"}
    inside = "".join(text(_across(x), 12, words, "", "middle") for x, words in marks.items())
    words = "Scale: share of the limit that is used, each step about three times the one before"
    return picture((-10, 0, 220, TALL), inside, words, "share-scale")


def _across(share: float) -> float:
    """Return where a share stands in a bar: factors, not differences, are equally wide."""
    return LIMIT + DECADE * float(np.log10(np.clip(share, 1 / MOST, MOST)))


def bar(row: Row) -> str:
    """Return the bar of one limit from its value to the limit, SVG; empty where there is no share to draw."""
    share = used(row)
    if share is None:
        return ""
    end = _across(share)
    left, wide = min(end, LIMIT), max(abs(end - LIMIT), 0.5)
    inside = tag("rect", x=left, y=MIDDLE - 4, width=wide, height=8.0, kind="span")
    if share > 1.0:
        inside += tag("rect", x=left, y=MIDDLE - 4, width=wide, height=8.0, fill="url(#hatch)")
    if share > MOST:
        inside += tag("path", d=f"M{end:.0f},{MIDDLE - 6:.0f}l7,6l-7,6z", kind="beyond")
    else:
        inside += line(end, MIDDLE - 5, end, MIDDLE + 5, "mark")
    inside += _spread(row) + line(LIMIT, 0, LIMIT, TALL, "bound")
    words = "far more than the limit" if not np.isfinite(share) else f"{share:.0%} of the limit used"
    return picture((-10, 0, 220, TALL), inside, words, "share")


def _spread(row: Row) -> str:
    """Return a line over what 90 of 100 machines use of the limit."""
    ends = [] if row.doubt is None else [used(row, value) for value in row.doubt.spread]
    if len(ends) < 2 or any(each is None for each in ends):
        return ""
    low, high = (_across(each) for each in sorted(map(float, ends)))  # type: ignore[arg-type]
    return line(low, MIDDLE, max(high, low + 1), MIDDLE, "spread")
