"""The machine from the side, SVG in mm: where every part lies along the shafts (z), and how high at each crank angle.

It stands to the scale and at the heights of the view along the shafts, so the two can be set side by side.
"""

from collections.abc import Collection
from dataclasses import dataclass

import numpy as np

from balance.obstacles import Obstacle
from designs.evaluate import Evaluation
from designs.pages.svg import line, short, tag, text
from designs.shown import number, shown
from designs.shown import said as in_words

MM = 1e3
BEHIND = ("case", "cylinder", "carried", "stem", "post", "yoke", "rod", "weight", "web", "shaft", "pin", "gear",
          "bearing", "wheel")  # fmt: skip
"""Kinds of part from back to front."""
NAMED = ("bearing", "gear", "wheel", "pin", "weight", "cylinder")
"""Kinds of part that a line leads from to a name below."""
DROP = 1.2  # mm that the letters of a name stand below its middle (page.js has it too)
LETTER = 0.56  # width of a letter over its height
PAPER, LOWEST, WIDEST = 1.5, 48.0, 66.0  # mm: letters on paper, and the room that the view has there at the least
LEAST = 10  # letters of a name that may reach out of its yoke
MARGIN = 6.0


@dataclass(frozen=True, eq=False)
class SidePart:
    """A part as a rectangle. kind, name : of part.   z : from where to where, mm.   low, high : mm, (angles,)."""

    kind: str
    name: str
    z: tuple[float, float]
    low: np.ndarray
    high: np.ndarray
    left: bool = False

    @property
    def moving(self) -> bool:
        """Whether it stands otherwise at other angles."""
        return bool(np.ptp(self.low) > 1e-6 or np.ptp(self.high) > 1e-6)


def side_parts(evaluation: Evaluation, theta: np.ndarray) -> list[SidePart]:
    """Return every part with a body, from back to front: those of the right crank, and what the left one has besides.

    theta : crank angles at which the parts are to stand, rad.
    """
    parts = sorted(evaluation.shapes.parts, key=lambda part: BEHIND.index(part.kind))
    own = [_seen(part, theta) for part in parts if part.hand != "left"]
    known = {(part.kind, part.z) for part in own}
    besides = [_seen(part, theta, True) for part in parts if part.hand == "left" and part.kind in ("wheel", "bearing")]
    return [*own, *(part for part in besides if (part.kind, part.z) not in known)]


def _seen(part: Obstacle, theta: np.ndarray, left: bool = False) -> SidePart:
    bounds, reach = part.hull
    if bounds.ndim == 1:
        low, high = (np.full(theta.shape, bounds[place]) for place in (1, 3))
    else:
        every = np.arange(len(bounds) + 1) * (2 * np.pi / len(bounds))
        low, high = (np.interp(theta % (2 * np.pi), every, [*bounds[:, place], bounds[0, place]]) for place in (1, 3))
    z = float(part.z[0]) * MM, float(part.z[1]) * MM
    return SidePart(part.kind, part.name, z, (low - reach) * MM, (high + reach) * MM, left)


def side_view(
    parts: list[SidePart],
    place: int,
    tall: tuple[float, float, float],
    shared: tuple[float, float] | None,
    marked: Collection[tuple[str, tuple[float, float]]] = (),
) -> str:
    """Return the view from the side, SVG.

    place : crank angle, as an index.   tall : top and height of the view, y downward, and height of letters, mm.
    shared : from where to where along the shafts the yokes face each other, mm; None if they do not.
    marked : kind and z of the parts that clash.
    """
    ends = [end for part in parts for end in part.z if part.kind != "case"]
    left, right = min(ends) - MARGIN, max(ends) + MARGIN
    top, height, size = tall
    inside = "" if shared is None else tag(
        "rect", x=shared[0], y=top, width=shared[1] - shared[0], height=height, kind="shared"
    )  # fmt: skip
    inside += line(left, 0, right, 0, "centre")
    inside += "".join(_part(part, number, place, (left, right)) for number, part in enumerate(parts))
    inside += "".join(
        _part(part, number, place, (left, right), "clash")
        for number, part in enumerate(parts)
        if (part.kind, part.z) in marked
    )
    inside += "".join(_label(part, number, place, size) for number, part in enumerate(parts) if part.kind == "yoke")
    names, rows = _names(parts, (left, right), size)
    low = top + height
    below = (rows + 3.4) * 1.5 * size
    printed = PAPER * max((height + below) / LOWEST, (right - left) / WIDEST)
    inside += names.replace("@", short(low))
    inside += _ruler((left, right), low + (rows + 1.2) * 1.5 * size, size, max(size, printed))
    said = "; ".join(f"{part.name} {number(part.z[0] / MM, 'm', '.1f')} to {in_words(part.z[1] / MM, 'm', '.1f')}"
                     for part in parts if part.kind in ("yoke", "bearing", "gear", "wheel"))  # fmt: skip
    return tag(
        "svg", inside, viewBox=f"{short(left)} {short(top)} {short(right - left)} {short(height + below)}", role="img",
        kind="machine side", aria_label=f"The machine from the side. Along the shafts: {said}.",
        font_size=short(size), style=f"--wide:{short(right - left)};--high:{short(height + below)}",
    )  # fmt: skip


def _part(part: SidePart, number: int, place: int, ends: tuple[float, float], kind: str = "") -> str:
    z = (max(part.z[0], ends[0]), min(part.z[1], ends[1]))
    low, high = float(part.low[place]), float(part.high[place])
    return tag(
        "rect", tag("title", _plain(part.name)), x=z[0], y=-high, width=max(z[1] - z[0], 0.0), height=high - low,
        kind=kind or f"{part.kind}{' left' if part.left else ''}", data_side=number if part.moving else None,
    )  # fmt: skip


def _plain(words: str) -> str:
    return words.replace("&", "&amp;").replace("<", "&lt;")


def _label(part: SidePart, number: int, place: int, size: float) -> str:
    """Return the name of a yoke, in it."""
    middle = -(float(part.low[place]) + float(part.high[place])) / 2
    most = max(LEAST, int(1.4 * (part.z[1] - part.z[0]) / (LETTER * size)))
    words = cut_short(part.name.removeprefix("yoke "), most)
    return tag("text", _plain(words), x=sum(part.z) / 2, y=middle + DROP, text_anchor="middle", kind="label named",
               data_side=number)  # fmt: skip


def cut_short(words: str, most: int) -> str:
    """Return words that take no more than so many letters."""
    return words if len(words) <= most else words[: max(1, most - 1)] + "…"


def _names(parts: list[SidePart], ends: tuple[float, float], size: float) -> tuple[str, int]:
    """Return names below with lines that lead to them, "@" where the view ends, and how many rows they take."""
    named: dict[tuple[float, str], SidePart] = {}
    for part in parts:
        if part.kind in NAMED:
            words = part.name.removeprefix("right ").removeprefix("left ")
            named.setdefault((sum(part.z) / 2, words), part)
    found, rows = [], [-np.inf] * 6
    for (middle, words), part in sorted(named.items(), key=lambda each: each[0]):
        said = cut_short(words, 18)
        half = LETTER * size * len(said) / 2
        x = min(max(middle, ends[0] + half), ends[1] - half)
        row = next((row for row, end in enumerate(rows) if x - half > end + size * 0.5), int(np.argmin(rows)))
        rows[row] = x + half
        start = max(-float(np.min(part.low)), 0.0)
        y = (row + 1) * 1.5 * size
        found.append(
            f'<g transform="translate(0 @)"><text class="label named" text-anchor="middle" x="{short(x)}" '
            f'y="{short(y)}">{_plain(said)}</text></g>'
            f'<path class="leader" d="M{short(middle)},{short(start)}V@v{short(y - 0.85 * size)}"/>'
        )
    return "".join(found), sum(np.isfinite(end) for end in rows)


def _ruler(ends: tuple[float, float], y: float, size: float, largest: float) -> str:
    """Return a scale along the shafts, with as many numbers as have room.   largest : letters on paper, mm there."""
    unit, up, _ = shown("m")
    one = 25.4 if unit == "in" else 20.0
    longest = max(len(short(end / MM * up, 1)) for end in ends)
    steps = [each * one for each in (0.5, 1, 2.5, 5, 10) if each * one > (LETTER * longest + 0.6) * largest]
    step = next(iter(steps), 10 * one)
    marks = np.arange(np.ceil((ends[0] + size) / step) * step, ends[1] - size, step)
    found = line(ends[0], y, ends[1], y, "scale")
    for mark in marks:
        found += line(mark, y, mark, y + 0.5 * size, "scale")
        found += text(mark, y + 1.6 * size, short(mark / MM * up, 1).replace("-", "\u2212"), "label", "middle")
    return found + text(ends[1], y - 0.5 * size, f"z, {unit}", "label", "end")
