"""One drawing: an outline, its holes, what it sits on, and what is written below it."""

from collections.abc import Collection, Iterator
from dataclasses import dataclass

import numpy as np

from balance.plates.plate import Bend, RoundHole

MM = 1e3  # drawings are in millimetres
Circle = tuple[float, float, float]
"""Centre x, centre y and radius, m."""


@dataclass(frozen=True)
class Sheet:
    """A drawing of one part; the shaft's centre is at the origin, lengths in m.

    name : of the file, without its ending.   path : the outline, counter-clockwise.   holes : that are cut.
    beside : circles of what it sits on, which are not cut.   centres : (x, y, half length) of crosses.
    lines : what is written below.
    """

    name: str
    path: list[Bend]
    holes: list[RoundHole]
    beside: list[Circle]
    centres: list[tuple[float, float, float]]
    lines: list[str]


def for_sides(sides: Collection[str], alike: bool, turned: str = "") -> Iterator[tuple[str, str, str]]:
    """Yield (side, end of the file's name, end of the title) of each drawing; one for both sides where these are alike.

    sides : right, left or both.   turned : what to say of the left part besides, where one drawing serves it too.
    """
    if not alike:
        yield from ((hand, f"-{hand}", f" {hand}") for hand in sides)
    else:
        first = next(iter(sides))
        yield first, "", f", one on each shaft{turned}" if len(sides) > 1 else f", on the {first} shaft"


def circle(radius: float) -> list[Bend]:
    """Return a circle about the shaft's centre as two arcs."""
    return [(radius, 0.0, 1.0), (-radius, 0.0, 1.0)]


def arm(one: tuple[float, float], other: tuple[float, float], half: float) -> list[Bend]:
    """Return an arm with round ends about two centres, of half a width."""
    along = np.subtract(other, one)
    length = float(np.hypot(*along))
    if not length:
        return [(x + one[0], y + one[1], bulge) for x, y, bulge in circle(half)]
    x, y = float(along[1]) / length * half, -float(along[0]) / length * half
    return [(one[0] + x, one[1] + y, 0.0), (other[0] + x, other[1] + y, 1.0),
            (other[0] - x, other[1] - y, 0.0), (one[0] - x, one[1] - y, 1.0)]  # fmt: skip


def mirrored(sheet: Sheet) -> Sheet:
    """Return the mirror image of a drawing, but for its words; every arc turns the other way."""
    return Sheet(
        sheet.name,
        [(-x, y, -bulge) for x, y, bulge in sheet.path],
        [(-x, y, diameter) for x, y, diameter in sheet.holes],
        [(-x, y, radius) for x, y, radius in sheet.beside],
        [(-x, y, half) for x, y, half in sheet.centres],
        sheet.lines,
    )


def mm(length) -> str:
    """Return a length as a drawing says it."""
    return f"{float(length) * MM:.2f} mm"
