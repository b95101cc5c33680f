"""Shafts with the bearings on them, and the plates that hold them."""

from collections.abc import Iterator, Mapping
from dataclasses import replace
from itertools import chain, pairwise
from typing import Any

import numpy as np

from balance.errors import BadDesign
from balance.machine.materials import MATERIALS
from designs.changing.edit import Edit, Keys, edited, rounded, text, value_at
from designs.changing.groups import bearing_counts, group_edits, seat_diameter, sides, webs_to_widen
from designs.counsel.dial import Dial, Level, Pieces, Work, fixed, path_of
from designs.counsel.free.stepped import off_the_webs, on_bearings, stepped, thicker, web_pieces
from designs.design import Design
from designs.design.stock import Seat, Stock
from designs.stock import balls, needles
from shafts.bearings.ball import Ball
from shafts.bearings.needle import Needle
from shafts.clearance.joined import shared_length
from shafts.crank.layout import layout
from shafts.shaft import Plate, Shaft

WALL = 3e-3  # m of plate that must stand between the two seats of one plate; common practice, no source
HAIR = 1e-9  # m; less is rounding
FINE = 1e-6  # m, to which an end is told that must lie where it is asked
BOUGHT = {"ball": "bearing", "bush": "bush", "needle": "needle bearing"}
"""What a bearing of each kind is called where it is bought."""


def dials(design: Design, stock: Stock) -> Iterator[Dial]:
    """Yield the shafts' diameter with their bearings, seats, clearance and material."""
    yield from chain(_sizes(design, stock), _seats(design, stock), _bushes(design, stock))
    yield from chain(_clearance(design), _materials(design, stock), _needles(design, stock))
    yield from chain(thicker(design), on_bearings(design), _into_webs(design))


def _into_webs(design: Design) -> Iterator[Dial]:
    """Shafts that reach as far into the webs on their ends as they are said to sit in them."""
    shallow = [(keys, shaft, *each) for keys, shaft in sides(design) for each in _shallow(design, keys, shaft)]
    edits = tuple(edit for keys, shaft, starts, inside, length in shallow
                  for edit in _longer(keys, shaft, starts, length - inside))  # fmt: skip
    if edits:
        paths = tuple(path_of(edit.keys) for edit in edits)
        now, then = text(min(each[3] for each in shallow), "m"), text(max(each[4] for each in shallow), "m")
        level = Level(fixed(*edits), f"{then} deep", Work((("shaft", 2),)))
        yield Dial("ends of the shafts in their webs", "shafts", paths, now, [level], ("pin_seats",))


def _shallow(design: Design, keys: Keys, shaft: Shaft) -> Iterator[tuple[bool, float, float]]:
    """Yield of each end that is too short whether the shaft starts there, what is in the web, and what is asked, m."""
    ends = float(shaft.starts_at), float(shaft.ends_at)
    chained = layout(shaft, design.cranks, "left" if keys[-1] == "left" else "right")
    for joint, beside in zip(chained.joints, pairwise(chained.axes), strict=True):
        held, faces = None if joint.web is None else design.cranks.webs[joint.web].joint, (joint.low, joint.high)
        if held is not None and held.length is not None and any(axis.throw is None for axis in beside):
            low, high = map(float, faces)
            length, inside = float(held.length), shared_length((low, high), ends)
            if inside + HAIR < length <= high - low + HAIR:
                yield low < ends[0], inside, length


def _longer(keys: Keys, shaft: Shaft, starts: bool, more: float) -> Iterator[Edit]:
    place = 0 if starts else len(shaft.segments) - 1
    if starts:
        yield Edit((*keys, "starts_at"), rounded(float(shaft.starts_at) - more, FINE))
    length = float(shaft.segments[place].length) + more
    yield Edit((*keys, "segments", str(place), "length"), rounded(length, FINE))


def farthest(design: Design, hand: str) -> float:
    """Return how far along its shaft anything that sits on it reaches, m."""
    shaft, gears = design.shafts.pair[hand == "left"], design.cranks.gears
    ends = [float(each.at) + float(each.inside.width) / 2 for each in shaft.bearings]
    ends += [] if gears is None else [float(gears.at) + float(gears.face or 0.0) / 2]
    ends += [float(each.z(hand)) + float(each.thickness or 0.0) / 2 for each in design.wheels(hand).values()]
    return max(ends)


def new_shafts(design: Design, bore: float) -> Pieces:
    """What is made anew, or bored again, with shafts of another diameter, m: a bore only grows."""
    anew = bore < seat_diameter(design.shafts) - HAIR
    bored = "{}" if anew else "{} bore"
    wheels = 0 if design.flywheel is None else 2 if design.flywheel.on == "both" else 1
    others = ((bored.format("gear"), 2 * (design.cranks.gears is not None)), (bored.format("flywheel"), wheels),
              ("web bore", 2 * bool(design.cranks.webs) * (not anew)))  # fmt: skip
    webs: Pieces = tuple((f"web {place + 1}", 2) for place in webs_to_widen(design, np.inf if anew else bore))
    return (
        ("shaft", 2),
        *webs,
        *(each for each in others if each[1]),
        ("bearing seat", 2 * len(design.shafts.bearings)),
    )


def _sizes(design: Design, stock: Stock) -> Iterator[Dial]:
    seats = [each for _, shaft in sides(design) for each in shaft.bearings]
    own = next((each.ball for each in seats if each.ball is not None), None)
    if own is None:
        return  # bushes and needles alone say nothing of the ball bearing beside them
    assert stock.shafts is not None
    now = seat_diameter(design.shafts)
    most = float(np.min(design.cranks.centre_distance)) - WALL
    counts = bearing_counts(design)
    number = counts["ball"]
    buy: Pieces = ((BOUGHT["ball"], number),)
    all_anew: Pieces = tuple((BOUGHT[kind], count) for kind, count in counts.items())
    sold = [each for each in balls(stock) if any(np.isclose(each.bore, float(size)) for size in stock.shafts)]
    fitting = [each for each in sold if each.outside <= most and each.bore <= 3 * now and own.refit(each) is each]
    fitting.sort(key=lambda each: (abs(float(each.bore) - now), abs(float(each.outside) - float(own.outside))))
    levels = [Level(_resized(each), _named(each),
                    Work((("bearing seat", number), *_turned_with(design, each)), buy)
                    if np.isclose(each.bore, now) else Work(new_shafts(design, float(each.bore)), all_anew))
              for each in fitting]  # fmt: skip
    paths = ("shafts.segments.*.diameter", "shafts.bearings.*.ball")
    said_now = _named(own, now)
    yield Dial("shafts with their bearings", "shafts", paths, said_now, levels, ("joint_grip",))
    if not np.isclose(own.bore, now):
        fit = [replace(level, edits=_bearings_alone(level)) for level, ball in zip(levels, fitting, strict=True)
               if _on_shaft_as_it_is(design, ball)]  # fmt: skip
        yield Dial(
            "bearings of the shafts as they are",
            "shafts",
            paths[1:],
            said_now,
            fit,
            ("bearing_fit", "pushed_on"),
        )


def _turned_with(design: Design, ball: Ball) -> Pieces:
    """Return what ball bearings of the same bore make anew beside their seats: shafts that are stepped, webs."""
    touched = _touched(design, ball)
    turned = (("shaft", 2),) if any("segments" in keys for keys in touched) else ()
    return (*turned, *web_pieces(design, sorted({int(keys[2]) for keys in touched if keys[:2] == ("cranks", "webs")})))


def _touched(design: Design, ball: Ball) -> list[Keys]:
    """Return the entries that shafts for a ball bearing, with their bearings, make other than they are."""
    return [edit.keys for edit in _resized(ball)(design) if not _same(edit.value, value_at(design, edit.keys))]


def _same(one: Any, other: Any) -> bool:
    numbers = isinstance(one, float) and isinstance(other, float)
    return bool(np.isclose(one, other, atol=0.0)) if numbers else one is other or one == other


def _resized(ball: Ball):
    def edits(design: Design) -> tuple[Edit, ...]:
        try:
            found = group_edits(design, ball)
        except BadDesign:
            return ()  # a bearing of another kind is not made for such a shaft
        after = edited(design, found)
        wide = {n: float(after.cranks.webs[n].width or 0.0) for n in webs_to_widen(design, float(ball.bore))}
        turned = (
            *stepped(after),
            *(edit for n, each in wide.items() for edit in off_the_webs(after, [n], each)),
        )
        whole = {edit.keys for edit in turned}
        return (*(edit for edit in found if edit.keys[:-2] not in whole), *turned)

    return edits


def _bearings_alone(level: Level):
    def edits(design: Design) -> tuple[Edit, ...]:
        return tuple(edit for edit in level.edits(design) if "bearings" in edit.keys)

    return edits


def _on_shaft_as_it_is(design: Design, ball: Ball) -> bool:
    touched = _touched(design, ball)
    return bool(touched) and all("bearings" in keys for keys in touched)


def _named(ball: Ball, shaft: float | None = None) -> str:
    """Return shafts and their bearings in words.   shaft : its diameter, m, where it is not the bore."""
    bore, thick = (f"{float(each) * 1e3:g}" for each in (ball.bore, ball.bore if shaft is None else shaft))
    return f"{thick} mm {'on' if thick == bore else 'in'} {ball.size} mm bearings"


def _seats(design: Design, stock: Stock) -> Iterator[Dial]:
    """Thicker plates of the case: with their own thickness, where it is given, and the stiffness of the seats in them.

    A stiffness that is not given counts as rigid, and stays so.
    """
    assert stock.seats is not None
    every = sides(design)
    stiff = {(*keys, "bearings", str(n), "seat_stiffness"): float(each.seat_stiffness)
             for keys, shaft in every for n, each in enumerate(shaft.bearings) if each.seat_stiffness}  # fmt: skip
    thick = [float(each.thickness) for _, shaft in every for each in shaft.plates]
    if not stiff and not thick:
        return
    now = ([_as_given(design, stiff)] if stiff else []) + ([text(min(thick), "m")] if thick else [])
    number = len(design.shafts.plates) or len(design.shafts.bearings)
    source = f"; the low end for such a plate, the file gives {now[0]}" if stiff else ""
    levels = [Level(_seated(seat), f"{text(float(seat.stiffness), 'N/m')} ({name}{source})",
                    Work(make=(("bearing plate", number),)))
              for name, seat in stock.seats.items()
              # A stiffness that is taken is set against one that was given: a plate no thicker promises nothing.
              if any(each < float(seat.thickness) for each in thick)
              or (not thick and any(each < float(seat.stiffness) for each in stiff.values()))]  # fmt: skip
    paths = ("shafts.bearings.*.seat_stiffness",) * bool(stiff) + ("shafts.plates.*.thickness",) * bool(thick)
    yield Dial("bearing plates", "case", paths, ", ".join(now), levels, ("in_plates",))


def _as_given(design: Design, stiff: Mapping[Keys, float]) -> str:
    """Return the least stiffness of a seat as the file says it; of one that it leaves out, what is taken."""
    softest = min(stiff, key=lambda keys: stiff[keys])
    range_ = design.doubts.get(softest)
    if range_ is None:
        return text(stiff[softest], "N/m")
    return range_.words if range_.given else f"none, for which {text(float(f'{stiff[softest]:.3g}'), 'N/m')} is taken"


def _seated(seat: Seat):
    stiffness, thickness = float(seat.stiffness), float(seat.thickness)

    def edits(design: Design) -> tuple[Edit, ...]:
        found = [
            Edit((*keys, "bearings", str(n), "seat_stiffness"), stiffness)
            for keys, shaft in sides(design)
            for n, each in enumerate(shaft.bearings)
            if each.seat_stiffness is not None and float(each.seat_stiffness) < stiffness
        ]
        for keys, shaft in sides(design):
            for n, each in enumerate(shaft.plates):
                if float(each.thickness) < thickness:
                    found.append(Edit((*keys, "plates", str(n), "thickness"), thickness))
                    found += _plate_moved((*keys, "plates", str(n), "at"), design, each, thickness)
        return tuple(found)

    return edits


def _plate_moved(keys: Keys, design: Design, plate: Plate, thickness: float) -> Iterator[Edit]:
    """Yield where a thicker plate's middle then stands: it grows to both sides, but away from what turns near it."""
    at, half, more = float(plate.at), float(plate.thickness) / 2, thickness - float(plate.thickness)
    turning = [(float(web.at), float(web.thickness or 0.0) / 2) for web in design.cranks.webs]
    if design.counterweights is not None:
        turning += [(float(z), float(design.counterweights.thickness) / 2) for z in design.counterweights.planes]
    if design.cranks.gears is not None and design.cranks.gears.face is not None:
        turning.append((float(design.cranks.gears.at), float(design.cranks.gears.face) / 2))
    for wheel in {**design.wheels("right"), **design.wheels("left")}.values():
        turning += [(float(wheel.z(hand)), float(wheel.thickness or 0.0) / 2) for hand in ("right", "left")]
    below = min((at - half - (place + wide) for place, wide in turning if place < at), default=np.inf)
    above = min((place - wide - (at + half) for place, wide in turning if place > at), default=np.inf)
    down, up = max(min(below, more), 0.0), max(min(above, more), 0.0)
    shift = rounded(more / 2 - float(np.clip(more / 2, more - up, down)), 1e-5) if down + up >= more - HAIR else 0.0
    if shift:
        yield Edit(keys, rounded(at + shift, 1e-5))


def _clearance(design: Design) -> Iterator[Dial]:
    """Bearings of the smaller clearance group; CN is what is usual."""
    places = [(*keys, "bearings", str(n)) for keys, shaft in sides(design) for n, each in enumerate(shaft.bearings)
              if each.ball is not None and each.clearance in (None, "CN", "C3", "C4", "C5")]  # fmt: skip
    if places:
        work = Work(buy=((BOUGHT["ball"], bearing_counts(design)["ball"]),))
        edits = tuple(Edit((*keys, "clearance"), "C2") for keys in places)
        now = str(design.shafts.bearings[0].clearance or "CN")
        yield Dial(
            "bearings' clearance", "bearings", ("shafts.bearings.*.clearance",), now, [Level(fixed(*edits), "C2", work)]
        )


def _materials(design: Design, stock: Stock) -> Iterator[Dial]:
    own = design.shafts.material
    edits = {name: tuple(Edit((*keys, "material"), MATERIALS[name]) for keys, _ in sides(design))
             for name in stock.shaft_materials or () if name in MATERIALS and name != own.name}  # fmt: skip
    levels = [Level(fixed(*each), name, Work(make=(("shaft", 2),))) for name, each in edits.items()]
    yield Dial("material of the shafts", "shafts", ("shafts.material",), own.name, levels)


def _bushes(design: Design, stock: Stock) -> Iterator[Dial]:
    """Longer bushes of the same bore."""
    for place, bearing in enumerate(design.shafts.bearings):
        if bearing.bush is None:
            continue
        bore, now = float(bearing.bush.bore), float(bearing.bush.length)
        lengths = sorted({float(length) for each in stock.bushes or () if np.isclose(float(each.bore), bore)
                          for length in each.lengths if float(length) > now})  # fmt: skip
        path = path_of(("shafts", "bearings", str(place), "bush", "length"))
        levels = [Level(_bushed(place, each), text(each, "m"), Work(buy=((BOUGHT["bush"], 2),))) for each in lengths]
        yield Dial(f"bush {place + 1}", "bearings", (path,), text(now, "m"), levels)


def _bushed(place: int, length: float):
    def edits(design: Design) -> tuple[Edit, ...]:
        return tuple(Edit((*keys, "bearings", str(place), "bush", "length"), length)
                     for keys, shaft in sides(design)
                     if place < len(shaft.bearings) and shaft.bearings[place].bush is not None)  # fmt: skip

    return edits


def _needles(design: Design, stock: Stock) -> Iterator[Dial]:
    """A needle bearing in place of a ball bearing on the same diameter, beside another that holds the shaft along it.

    The shaft is then hardened: what the rollers run on is the shaft itself. Its seat is one that tightens the cup.
    """
    if stock.needles is None or stock.needles.shaft not in MATERIALS:
        return
    sold = needles(stock.needles)
    for place, bearing in enumerate(design.shafts.bearings):
        others = [each for n, each in enumerate(design.shafts.bearings) if n != place and each.ball is not None]
        if bearing.ball is None or not others or np.any(np.asarray(bearing.axial_load)):
            continue
        bore = float(bearing.ball.bore)
        work = Work((("shaft", 2), ("bearing seat", 2)), ((BOUGHT["needle"], 2),))
        levels = [Level(_on_needles(place, each, stock.needles.shaft), f"needle bearing {each.size} mm", work)
                  for each in sold if np.isclose(each.shaft, bore)]  # fmt: skip
        now = f"ball bearing {bearing.ball.size} mm"
        paths = (path_of(("shafts", "bearings", str(place), "ball")), "shafts.material")
        yield Dial(f"kind of bearing {place + 1}", "bearings", paths, now, levels)


def _on_needles(place: int, needle: Needle, material: str):
    def edits(design: Design) -> tuple[Edit, ...]:
        found: list[Edit] = []
        for keys, shaft in sides(design):
            at, own = (*keys, "bearings", str(place)), shaft.bearings[place] if place < len(shaft.bearings) else None
            if own is None or own.ball is None or not np.isclose(own.ball.bore, needle.shaft):
                return ()  # a shaft of another size, or one that differs, wants another bearing
            found += [Edit((*at, "ball"), None), Edit((*at, "needle"), needle), Edit((*at, "fit"), "h6")]
            # What was given of the ball bearing is not true of it.
            found += [Edit((*at, key), None) for key in ("clearance", "left_clearance", "held_by", "stiffness")
                      if getattr(own, key) is not None]  # fmt: skip
            found += [Edit((*at, "seat_fit"), "N6")] * (own.seat_fit is not None)
            if shaft.material.name != material:
                found.append(Edit((*keys, "material"), MATERIALS[material]))
        return tuple(found)

    return edits
