"""Stepped shafts: thicker in their webs; and what follows from thicker ones and from wider webs.

A shaft is then turned thinner in a web that has no metal left for it, and weights lie on the web's round end.
"""

from collections.abc import Callable, Iterable, Iterator
from itertools import pairwise

import numpy as np

from balance.machine.crank import joined_by, outward
from balance.machine.machine import Machine
from designs.changing.edit import Edit, Keys, rounded, text
from designs.changing.groups import seat_diameter, sides
from designs.counsel.dial import COUNTERWEIGHT, Dial, Level, Pieces, Work
from designs.design import Design
from designs.verdict.bearing_fits import NO_FIT
from shafts.shaft import Segment, Shaft

STEP = 0.5e-3  # m, to which diameters are turned
THINNEST = 3e-3  # m; common practice, no source
SHORTEST = 1e-3  # m: what is shorter beside a part that is turned thinner goes with it; common practice, no source
HAIR = 1e-9  # m
BEYOND = 0.05e-3  # m beyond a web's round end, where a weight lies on it
Zone = tuple[float, float, float]
"""From where to where along the shaft, m, and how thick it may be there, m."""


def on_bearings(design: Design) -> Iterator[Dial]:
    """Yield shafts turned to the bores of the bearings on them, where some are of another size altogether."""

    def edits(design: Design) -> tuple[Edit, ...]:
        return tuple(edit for keys, shaft in sides(design) for edit in _to_bores(keys, shaft))

    if wrong := edits(design):
        levels = [Level(edits, "that of each bearing's bore", Work((("shaft", 2),)))]
        paths = tuple(dict.fromkeys(edit.path for edit in wrong))
        yield Dial(
            "diameter of the shafts on their bearings", "shafts", paths, "another size", levels, ("bearing_fit",)
        )


def _to_bores(keys: Keys, shaft: Shaft) -> Iterator[Edit]:
    for place, (segment, start, end) in enumerate(shaft.placed_segments):
        bores = {float(each.inside.bore) for each in shaft.bearings
                 if min(float(end), float(each.at) + float(each.inside.width) / 2)
                 - max(float(start), float(each.at) - float(each.inside.width) / 2) > HAIR}  # fmt: skip
        if len(bores) == 1 and abs((bore := bores.pop()) - float(segment.diameter)) > NO_FIT:
            yield Edit((*keys, "segments", str(place), "diameter"), bore)


def thicker(design: Design) -> Iterator[Dial]:
    """Yield the diameter of shafts that are thinner in their webs than on their bearings, up to what the webs allow."""
    thin = [(thick, most) for _, shaft in sides(design) for _, thick, most in _in_webs(design, shaft)]
    seat = seat_diameter(design.shafts)
    if not thin or (now := min(thick for thick, _ in thin)) >= seat - HAIR:
        return
    most = min(seat, *(each for _, each in thin))
    work = Work((("shaft", 2), ("web bore", 2)))
    steps = now + STEP * np.arange(1, int((most - now) / STEP + HAIR) + 1)
    levels = [Level(_at_least(rounded(each, STEP)), text(rounded(each, STEP), "m"), work) for each in steps]
    yield Dial("thickness of the shafts in the webs", "shafts", ("shafts.segments.*.diameter",), text(now, "m"), levels)


def _at_least(thick: float) -> Callable[[Design], tuple[Edit, ...]]:
    def edits(design: Design) -> tuple[Edit, ...]:
        return tuple(Edit((*keys, "segments", str(place), "diameter"), thick)
                     for keys, shaft in sides(design) for place, now, _ in _in_webs(design, shaft)
                     if now < thick - HAIR)  # fmt: skip

    return edits


def _in_webs(design: Design, shaft: Shaft) -> Iterator[tuple[int, float, float]]:
    """Yield the segments of a shaft that webs hold: number, diameter, and how thick they may be there, m."""
    zones = list(_zones(design, shaft, float(design.limits.web_metal)))
    for place, (start, end, thick, _) in enumerate(_segments(shaft)):
        inside = [most for low, high, most in zones if min(end, high) - max(start, low) > HAIR]
        if inside:
            yield place, thick, min(inside)


def stepped(design: Design) -> Iterator[Edit]:
    """Yield the segments of shafts that are too thick in some web."""
    share = float(design.limits.web_metal)
    for keys, shaft in sides(design):
        segments = list(_segments(shaft))
        for zone in _zones(design, shaft, share):
            segments = [part for each in segments for part in _cut(each, zone)]
        found = _joined(segments)
        if len(found) != len(shaft.segments) or any(
            not np.isclose(one[2], float(other.diameter)) for one, other in zip(found, shaft.segments, strict=True)
        ):
            made = tuple(Segment(length=rounded(end - start, 1e-6), diameter=thick, bore=bore)
                         for start, end, thick, bore in found)  # fmt: skip
            yield Edit((*keys, "segments"), made)


Part = tuple[float, float, float, float]  # start, end, diameter, bore


def _segments(shaft: Shaft) -> Iterator[Part]:
    for each, start, end in shaft.placed_segments:
        yield float(start), float(end), float(each.diameter), float(each.bore)


def _zones(design: Machine, shaft: Shaft, share: float) -> Iterator[Zone]:
    """Yield where webs hold a shaft, and how thick it may be there; across a crankpin between two of them as well."""
    start, end = (float(each) for each in shaft.ends)
    throws, found = design.cranks.throws, []
    for web in design.cranks.webs:
        half = 0.0 if web.thickness is None else float(web.thickness) / 2
        low, high = max(start, float(web.at) - half), min(end, float(web.at) + half)
        inner, outer = joined_by(web, throws, shaft.ends, float(outward(web.at, shaft.ends)))
        pin = None if outer is None else throws[outer].pin
        if inner is None and outer is not None and pin is not None and high > low:
            found.append((low, high, _thickest(float(throws[outer].radius), float(pin.diameter), share)))
    found.sort()
    for one, other in pairwise(found):
        if any(one[1] <= float(each.at) <= other[0] for each in throws.values()):
            found.append((one[1], other[0], min(one[2], other[2])))
    yield from found


def _thickest(radius: float, pin: float, share: float) -> float:
    """Return how thick a shaft may be beside a crankpin, m: r - d/2 - p/2 >= share max(d, p)."""
    most = min((radius - pin / 2) / (0.5 + share), 2 * (radius - pin / 2 - share * pin))
    return max(float(np.floor(most / STEP + 1e-6) * STEP), THINNEST)


def _cut(part: Part, zone: Zone) -> list[Part]:
    start, end, thick, bore = part
    low, high = max(start, zone[0]), min(end, zone[1])
    if high - low < HAIR or thick <= zone[2] + HAIR or bore >= zone[2]:  # a hollow shaft cannot be turned to its bore
        return [part]
    low, high = (start if low - start < SHORTEST else low), (end if end - high < SHORTEST else high)
    pieces = [(start, low, thick, bore), (low, high, zone[2], bore), (high, end, thick, bore)]
    return [each for each in pieces if each[1] - each[0] > HAIR]


def _joined(parts: list[Part]) -> list[Part]:
    """Return parts with those of one diameter side by side as one."""
    found: list[Part] = []
    for each in parts:
        if found and np.isclose(found[-1][2], each[2]) and found[-1][3] == each[3]:
            found[-1] = (found[-1][0], each[1], each[2], each[3])
        else:
            found.append(each)
    return found


def weight_pieces(planes: int) -> Pieces:
    """Return counterweights of so many planes as pieces to make."""
    return ((COUNTERWEIGHT, 2 * planes),)


def web_pieces(design: Design, places: Iterable[int]) -> Pieces:
    """Return webs by their numbers as pieces to make, each on one side or on both."""
    return tuple((f"web {n + 1}", 2 if design.cranks.webs[n].on == "both" else 1) for n in places)


def off_the_webs(design: Design, places: list[int], width: float) -> Iterator[Edit]:
    """Yield from which radius on weights then reach that lie on the round end of a web that gets wider."""
    weights = design.counterweights
    if weights is None or float(weights.smallest_radius) >= width / 2 + BEYOND - HAIR:
        return
    halves = [(float(web.at), float(web.thickness or 0.0) / 2) for web in (design.cranks.webs[n] for n in places)]
    if any(
        abs(float(z) - at) < half + float(weights.thickness) / 2 - HAIR for z in weights.planes for at, half in halves
    ):
        yield Edit(("counterweights", "smallest_radius"), rounded(width / 2 + BEYOND, BEYOND))
