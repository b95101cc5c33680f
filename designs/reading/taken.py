"""What a design leaves out and nobody knows by itself: the usual value in its place, and its range beside it.

The definitions say what is usual and why (Typical); a bearing's clearance group says its range by itself; making
tolerances give a range to each dimension that they speak of.
"""

from collections.abc import Iterator
from dataclasses import fields, is_dataclass, replace
from typing import Any

import numpy as np

from balance.bodies.usual import web_centre
from balance.doubt.ranges import Range, law_between
from balance.machine.crank import Web
from balance.many import planted, unchecked
from balance.quantities import Bound, Typical, Unit, mark
from designs.design import Design
from shafts.bearings.ball import NORMAL
from shafts.bearings.bearing import Bearing
from shafts.shaft import Tolerances

Path = tuple[str, ...]
Ranges = dict[Path, Range]
ELSEWHERE = ("limits", "options", "materials", "doubts", "measured", "found")


def with_doubts(design: Design, given: Ranges, written: set[Path]) -> Design:
    """Return a design with the usual value of what was left out, and beside it every range of its numbers.

    given : ranges of the numbers that have one of their own.   written : paths of what was not left out.
    """
    taken: Ranges = {}
    for path, value, range_ in _taken(design, written):
        design = planted(design, (path,), value)
        taken[path] = range_
    # A half-width is no unknown itself: it gives the dimensions theirs.
    taken = {path: each for path, each in taken.items() if path[:2] != ("fits", "tolerances")}
    named = {path: _named(design, path, each) for path, each in given.items()}
    ranges = {**clearances(design), **_of_tolerances(design, written), **taken, **named}
    return unchecked(design, {"doubts": _on_each_side(design, _everywhere(design, ranges))})


def _taken(design: Design, written: set[Path]) -> Iterator[tuple[Path, Any, Range]]:
    """Yield the path, usual value and range of each number that was left out and is usually not known."""
    for path, record in records(design):
        for each in fields(record):
            typical, at = mark(each.type, Typical), (*path, each.name)
            if typical is None or at in written or _settled(design, at):
                continue
            value = getattr(record, each.name)
            places = [(*at, str(n)) for n in range(len(value))] if isinstance(value, tuple) else [at]
            scale = float(np.prod([getattr(record, name) for name in typical.of]))
            if not scale:
                continue
            usual = _usual(record, each, scale)
            of_web = _of_web(design, record, usual) if isinstance(record, Web) else None
            for position, range_ in zip(places, of_web or [usual] * len(places), strict=True):
                yield position, range_.middle, range_


def _usual(record: Any, field: Any, scale: float) -> Range:
    typical, unit, bound = (mark(field.type, kind) for kind in (Typical, Unit, Bound))
    low, usual, high = (number * scale for number in (typical.low, typical.usual, typical.high))
    law = law_between(low, high, positive=bound is not None and bound.least >= 0)
    alike = typical.name if typical.alike else ""
    return Range(law, low, usual, high, unit.si, False, typical.reason, typical.name, typical.measure, alike)


def _of_web(design: Design, web: Web, usual: Range) -> list[Range] | None:
    """Return the ranges of a web's mass centre along x and y by what it joins; None if it holds no crankpin."""
    shaft = design.shafts.pair[1 if web.on == "left" else 0]
    material = web.material or shaft.material
    centre = web_centre(
        web, design.cranks.throws, (float(shaft.starts_at), float(shaft.ends_at)), float(material.density)
    )
    if centre is None:
        return None
    triples = zip(centre.low, centre.usual, centre.high, strict=True)
    return [replace(usual, low=low, middle=at, high=high, words=centre.why) for low, at, high in triples]


def _named(design: Design, path: Path, given: Range) -> Range:
    """Return a range of the design's own with what its entry is called and how it is measured, where that is known."""
    heads = ((at_path(design, path[:count]), path[count]) for count in reversed(range(len(path))))
    record, key = next((record, key) for record, key in heads if is_dataclass(record))
    typical = mark(next(each.type for each in fields(record) if each.name == key), Typical)
    return given if typical is None else replace(given, name=typical.name, measure=typical.measure)


def _settled(design: Design, path: Path) -> bool:
    """Return whether something else that is given settles what was left out, or it has no meaning here."""
    *around, last = path
    if around[-1:] == ["bush"]:
        bearing = at_path(design, tuple(around[:-1]))
        return bearing.clearance is not None or bearing.bush.tolerance is not None
    if around[-1:] == ["feet"]:
        feet = at_path(design, tuple(around))
        return feet.loss_factor is not None or feet.rubber is not None
    if around[-1:] == ["rod"] and last in ("cg", "inertia"):
        return not at_path(design, tuple(around)).mass
    return False


def records(part: Any, path: Path = ()) -> Iterator[tuple[Path, Any]]:
    """Yield every definition in a design with its path, but for limits, options and named materials."""
    if is_dataclass(part) and not isinstance(part, type):
        yield path, part
        for each in fields(part):
            if path or each.name not in ELSEWHERE:
                yield from records(getattr(part, each.name), (*path, each.name))
    elif isinstance(part, dict | tuple):
        for name, each in part.items() if isinstance(part, dict) else enumerate(part):
            yield from records(each, (*path, str(name)))


def at_path(part: Any, path: Path) -> Any:
    """Return what stands at a path in a design."""
    for key in path:
        part = (
            part[key] if isinstance(part, dict) else part[int(key)] if isinstance(part, tuple) else getattr(part, key)
        )
    return part


def clearances(design: Design) -> Ranges:
    """Return the range of each ball bearing's clearance that is given as a group, or left out for the usual one."""
    ranges: Ranges = {}
    for path, record in records(design):
        if isinstance(record, Bearing) and record.ball is not None and isinstance(record.clearance, str | None):
            low, high = record.ball.clearance(record.clearance, None)
            if np.ndim(low):
                continue  # many options
            group, is_given = record.clearance or NORMAL, record.clearance is not None
            words = f"group {group}, ISO 5753-1" if is_given else f"the usual group {NORMAL}, ISO 5753-1"
            ranges[(*path, "clearance")] = Range(
                "even",
                float(low),
                float(low + high) / 2,
                float(high),
                "m",
                is_given,
                words,
                "internal clearance",
                CLEARANCE,
            )
    return ranges


def clearances_of_sides(design: Design) -> Ranges:
    """Return the same with those of the left side's bearings."""
    return _on_each_side(design, clearances(design))


CLEARANCE = "press the shaft to and fro at the bearing with 5 N, read a dial gauge, take off what bends"


def _of_tolerances(design: Design, written: set[Path]) -> Ranges:
    """Return the range of each dimension that a making tolerance speaks of."""
    ranges: Ranges = {}
    for name, path in _toleranced(design):
        half, value = getattr(design.fits.tolerances, name), at_path(design, path)
        if np.ndim(half) or np.ndim(value):
            continue  # many options, each of which is a machine as it stands
        is_given = ("fits", "tolerances", name) in written
        annotation = next(each.type for each in fields(Tolerances) if each.name == name)
        if half > 0 and (value > half or mark(annotation, Unit).si == "rad" or name == "yoke_height"):
            typical = mark(annotation, Typical)
            words = "its making tolerance" if is_given else typical.reason
            measure, si = typical.measure, mark(annotation, Unit).si
            ranges[path] = Range(
                "cut normal", value - half, value, value + half, si, is_given, words, typical.name, measure
            )
    return ranges


def _toleranced(design: Design) -> Iterator[tuple[str, Path]]:
    """Yield each dimension that has a making tolerance: the tolerance's name and the path of the dimension."""
    yield "centre_distance", ("cranks", "centre_distance")
    for name in design.cranks.throws:
        yield "throw_radius", ("cranks", "throws", name, "radius")
        yield "throw_phase", ("cranks", "throws", name, "phase")
    for name, yoke in design.yokes.items():
        yield "half_span", ("yokes", name, "half_span")
        if yoke.rod is not None:
            yield "rod_length", ("yokes", name, "rod", "length")
        if yoke.outline is not None:
            yield "yoke_height", ("yokes", name, "outline", "offset", "1")


LEFT = {
    ("yokes", "rod", "length"): "left_length",
    ("cranks", "throws", "radius"): "left_radius",
    ("cranks", "throws", "phase"): "left_phase",
    ("yokes", "half_span"): "left_half_span",
    ("shafts", "bearings", "clearance"): "left_clearance",
}
"""Entries of which each side has a piece of its own, by their keys without names, and those of the left side."""


def _on_each_side(design: Design, ranges: Ranges) -> Ranges:
    """Return ranges with those of the left side beside the right one's: what is made twice is drawn twice."""
    both = dict(ranges)
    for path, each in ranges.items():
        on_left = left_of(path)
        if on_left is None or on_left in ranges or (path[0] == "shafts" and design.shafts.left is not None):
            continue
        given = at_path(design, on_left)
        beside = replace(each, name=f"{each.name} on the left" if each.name else "", alike="")
        both[on_left] = beside if given is None else beside.about(float(given))
    return both


def left_of(path: Path) -> Path | None:
    """Return the path of the left side's own entry; None for what both sides share."""
    key = LEFT.get(tuple(each for number, each in enumerate(path) if number not in _names(path)))
    return None if key is None else (*path[:-1], key)


def right_of(path: Path) -> Path | None:
    """Return the path of the right side's entry; None if the path is no left side's."""
    right = next((keys[-1] for keys, left in LEFT.items() if left == path[-1]), None)
    return None if right is None else (*path[:-1], right)


def _names(path: Path) -> tuple[int, ...]:
    """Return which keys of a path are names and numbers."""
    return (1,) if path[0] == "yokes" else (2,)


def side_value(design: Design, path: Path) -> Any:
    """Return what stands at a path; the right side's where the left has nothing of its own."""
    value, right = at_path(design, path), right_of(path)
    return at_path(design, right) if value is None and right is not None else value


def _everywhere(design: Design, ranges: Ranges) -> Ranges:
    """Return ranges of a material's own entries at every part that is made of it, and all others as they are."""
    spread: Ranges = {}
    for path, each in ranges.items():
        if path[0] != "materials":
            spread[path] = each
            continue
        material = at_path(design, path[:2])
        shared = replace(each, alike=".".join(path))
        spread |= {(*at, *path[2:]): shared for at, record in records(design) if record is material}
    return spread
