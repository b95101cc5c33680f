"""Where bearings stand, by themselves or with all that is about them, and where shafts end or are thinner."""

from collections.abc import Callable, Iterator
from dataclasses import fields, replace

import numpy as np

from balance.machine.crank import joined_by, outward
from designs.changing.edit import Edit, Keys, rounded, text
from designs.changing.groups import sides
from designs.counsel.dial import Dial, Level, Work, path_of
from designs.counsel.free.shafts import HAIR, farthest
from designs.counsel.free.stepped import stepped, web_pieces
from designs.counsel.free.walls import pieces_of
from designs.design import Design
from designs.design.stock import Stock
from shafts.clearance.joined import HUB
from shafts.shaft import Plate, Shaft, Shafts

BESIDE = 8e-3  # m, half the length that a flywheel of unknown thickness may take; common practice, no source
MOVES = (1, 2, 3, 4, 5, 6, 8, 10, 12, 15, 20)  # steps of a bearing's place
ROOM = 0.5e-3  # m between a bearing and what turns beside it
FARTHER = (2e-3, 4e-3, 6e-3, 8e-3, 10e-3, 12e-3, 16e-3, 20e-3)  # m that bearings stand farther apart
HALF = 0.5e-3  # m, to which a gear's place and a shaft's end are rounded
SHORT_OF = 2e-3  # m from the end of a shaft to the other's flywheel
WALL_ENDS = 10e-3  # m, from a plate's middle: a wall that ends nearer ends at that plate


def dials(design: Design, stock: Stock) -> Iterator[Dial]:
    """Yield the outer bearings' places, a longer span between the last two, thinner seats in webs, an end cut off.

    Plates go where their bearings go; one that stands off its bearing may come back.
    """
    yield from _places(design, stock)
    yield from _plates_back(design)
    yield from _spans(design)
    yield from _thin_in_webs(design)
    yield from _cut_off(design)


def _places(design: Design, stock: Stock) -> Iterator[Dial]:
    """The last bearing farther from the throws or nearer, the first one nearer to them."""
    assert stock.steps is not None
    step = float(stock.steps.place)
    throws = [float(throw.at) for throw in design.cranks.throws.values()]
    for place in (0, len(design.shafts.bearings) - 1):
        at = float(design.shafts.bearings[place].at)
        levels = [
            Level(_placed(place, value), text(value, "m"), Work(make=(("bearing plate", 1),)))
            for count in MOVES
            for sign in (1, -1)
            if _free(design, place, value := rounded(at + sign * count * step, step), throws)
        ]
        path = path_of(("shafts", "bearings", str(place), "at"))
        yield Dial(f"place of bearing {place + 1}", "case", (path,), text(at, "m"), levels,
                   ("clearance_bearings", "axial_room"))  # fmt: skip


def _placed(place: int, value: float):
    def edits(design: Design) -> tuple[Edit, ...]:
        """A left shaft of its own follows where its bearing stood as on the right."""
        now = float(design.shafts.bearings[place].at)
        there = [(keys, shaft) for keys, shaft in sides(design)
                 if place < len(shaft.bearings) and float(shaft.bearings[place].at) == now]  # fmt: skip
        moved = (Edit((*keys, "bearings", str(place), "at"), value) for keys, _ in there)
        return (*moved, *(edit for keys, shaft in there for edit in _plates_along(keys, shaft, now, value - now)))

    return edits


def _plates_along(keys: Keys, shaft: Shaft, at: float, more: float) -> Iterator[Edit]:
    """Yield the places of plates that stand about a bearing, as far along the shaft as it moves."""
    for number, plate in enumerate(shaft.plates):
        if abs(float(plate.at) - at) <= float(plate.thickness) / 2:
            yield Edit((*keys, "plates", str(number), "at"), rounded(float(plate.at) + more, 1e-5))


def _plates_back(design: Design) -> Iterator[Dial]:
    """Plates that stand beside the middle of their bearing, under it again: as far as holds it, or all the way."""
    for number, plate in enumerate(design.shafts.plates):
        place, off = _off(design.shafts, plate)
        wide = float(design.shafts.bearings[place].inside.width)
        enough = float(np.floor(((float(plate.thickness) + wide) / 2 - HUB * wide) / HALF) * HALF)
        beside = (float(np.copysign(enough, off)),) * (abs(off) > enough) + (0.0,) * (abs(off) > HAIR)
        levels = [Level(_plate_at(number, each), _beside(each, place), Work((("bearing plate", 1),)))
                  for each in dict.fromkeys(beside)]  # fmt: skip
        path = path_of(("shafts", "plates", str(number), "at"))
        yield Dial(f"place of plate {number + 1}", "case", (path,), _beside(off, place), levels, ("in_plates",))


def _off(shaft: Shaft, plate: Plate) -> tuple[int, float]:
    """Return the number of the bearing that is nearest to a plate, and how far beside it the plate stands, m."""
    apart = [float(plate.at) - float(each.at) for each in shaft.bearings]
    return min(enumerate(apart), key=lambda each: abs(each[1]))


def _beside(off: float, place: int) -> str:
    return f"{text(abs(off), 'm')} beside bearing {place + 1}" if off else f"in the middle of bearing {place + 1}"


def _plate_at(number: int, beside: float) -> Callable[[Design], tuple[Edit, ...]]:
    def edits(design: Design) -> tuple[Edit, ...]:
        """A left shaft of its own follows where its plate stood as on the right."""
        plate = design.shafts.plates[number]
        at = float(plate.at) - _off(design.shafts, plate)[1] + beside
        return tuple(Edit((*keys, "plates", str(number), "at"), rounded(at, 1e-5))
                     for keys, shaft in sides(design)
                     if number < len(shaft.plates) and shaft.plates[number].at == plate.at)  # fmt: skip

    return edits


def _free(design: Design, place: int, at: float, throws: list[float]) -> bool:
    """Whether a bearing finds its place on the shaft, clear of what turns beside it, where it is now."""
    shaft = design.shafts
    bearing = shaft.bearings[place]
    half = float(bearing.inside.width) / 2
    if not float(shaft.starts_at) + half - HAIR <= at <= float(shaft.ends_at) - half + HAIR:
        return False
    taken = [(float(web.at), float(web.thickness or 0.0) / 2) for web in design.cranks.webs]
    taken += [(each, 0.0) for each in throws]
    taken += [(float(each.at), float(each.inside.width) / 2) for n, each in enumerate(shaft.bearings) if n != place]
    if design.flywheel is not None:
        taken.append((float(design.flywheel.at), BESIDE))
    if design.counterweights is not None:  # proposed ones too: they are to be fitted
        taken += [(float(z), float(design.counterweights.thickness) / 2) for z in design.counterweights.planes]
    now = float(bearing.at)
    return all((at - each) * (now - each) > 0 and abs(at - each) >= half + width + ROOM - HAIR for each, width in taken)


def _spans(design: Design) -> Iterator[Dial]:
    """The last bearing farther from the one before it, where no throw stands between them.

    What stands there or beyond moves along: plate, wheels, gears, the walls that end there; shafts are as much longer.
    """
    bearings = design.shafts.bearings
    if len(bearings) < 2:
        return
    inner, outer = (float(each.at) for each in bearings[-2:])
    if any(inner < float(each.at) < outer for each in design.cranks.throws.values()):
        return
    work = Work(make=(("shaft", 2), *pieces_of(_walls_there(design))))
    levels = [Level(_apart(more), f"{text(outer - inner + more, 'm')} apart", work) for more in FARTHER]
    paths = tuple(dict.fromkeys(edit.path for edit in _apart(FARTHER[0])(design)))
    yield Dial(f"span between bearings {len(bearings) - 1} and {len(bearings)}", "shafts", paths,
               f"{text(outer - inner, 'm')} apart", levels, ("axial_room",))  # fmt: skip


def _walls_there(design: Design) -> list[str]:
    """Return the walls that end at the plate of the last bearing."""
    at = float(design.shafts.bearings[-1].at)
    return [name for name, wall in design.walls.items() if abs(float(wall.z[1]) - at) < WALL_ENDS]


def _apart(more: float) -> Callable[[Design], tuple[Edit, ...]]:
    def edits(design: Design) -> tuple[Edit, ...]:
        inner, outer = (float(each.at) for each in design.shafts.bearings[-2:])
        found = [edit for keys, shaft in sides(design) for edit in _farther(keys, shaft, outer, more)]
        for name, wheel in (("flywheel", design.flywheel), ("pulley", design.pulley)):
            for key in ("at", "left_at"):
                at = None if wheel is None else getattr(wheel, key)
                if at is not None and float(at) > outer:
                    found.append(Edit((name, key), rounded(float(at) + more, HALF / 2)))
        gears = design.cranks.gears
        if gears is not None and float(gears.at) > inner:
            # Between them it keeps its share of the span.
            share = min((float(gears.at) - inner) / (outer - inner), 1.0)
            found.append(Edit(("cranks", "gears", "at"), rounded(float(gears.at) + share * more, HALF)))
        for name in _walls_there(design):
            low, high = (float(each) for each in design.walls[name].z)
            found.append(Edit(("walls", name, "z"), (low, rounded(high + more, 1e-5))))
        return tuple(found)

    return edits


def _farther(keys: Keys, shaft: Shaft, outer: float, more: float) -> Iterator[Edit]:
    """Yield the last bearing of a shaft with its plate farther out, and the shaft as much longer before it."""
    place, at = len(shaft.bearings) - 1, float(shaft.bearings[-1].at)
    if at != outer:
        return
    yield Edit((*keys, "bearings", str(place), "at"), rounded(at + more, HALF / 5))
    yield from _plates_along(keys, shaft, at, more)
    middle = (float(shaft.bearings[-2].at) + at) / 2
    number = int(np.clip(np.searchsorted([float(each) for each in shaft.boundaries], middle) - 1, 0,
                         len(shaft.segments) - 1))  # fmt: skip
    length = float(shaft.segments[number].length)
    yield Edit((*keys, "segments", str(number), "length"), rounded(length + more, 1e-6))


def _thin_in_webs(design: Design) -> Iterator[Dial]:
    """Shafts turned thinner where webs hold them, as thick as leaves metal beside the crankpin."""

    def edits(changed: Design) -> tuple[Edit, ...]:
        return tuple(stepped(changed))

    if edits(design):
        ends, throws = design.shafts.ends, design.cranks.throws
        holding = [n for n, web in enumerate(design.cranks.webs)
                   if joined_by(web, throws, ends, float(outward(web.at, ends)))[0] is None]  # fmt: skip
        work = Work((("shaft", 2), *web_pieces(design, holding)))
        yield Dial("shafts in the webs", "shafts", ("shafts.segments",), "as they are",
                   [Level(edits, "turned thinner", work)], ("web_metal",))  # fmt: skip


def _cut_off(design: Design) -> Iterator[Dial]:
    """The shaft without a flywheel ends before the wheel of the other one, which then has no shaft to clear."""
    wheel = design.flywheel
    if wheel is None or wheel.on == "both" or wheel.thickness is None:
        return
    other = "left" if wheel.on == "right" else "right"
    levels = [Level(_ends_before, "before the flywheel", Work((("shaft", 1),)))] if _ends_before(design) else []
    shaft = design.shafts.pair[other == "left"]
    yield Dial(f"end of the {other} shaft", "shafts", ("shafts.left",), text(float(shaft.ends_at), "m"), levels,
               ("clearance_wheels",))  # fmt: skip


def _ends_before(design: Design) -> tuple[Edit, ...]:
    """Return both shafts, the one without a wheel ending before it; none where more than a bare end would go."""
    wheel, shafts = design.flywheel, design.shafts
    if wheel is None or wheel.on == "both" or wheel.thickness is None:
        return ()
    other = "left" if wheel.on == "right" else "right"
    end = float(np.floor((float(wheel.at) - float(wheel.thickness) / 2 - SHORT_OF) / HALF + 1e-6) * HALF)
    return ending_at(shafts, other, end) if bare_end(design, other) <= end else ()


def bare_end(design: Design, hand: str) -> float:
    """Return where a shaft may end at the earliest, m: past all that sits on it."""
    needed = max(farthest(design, hand), *(float(web.at) for web in design.cranks.webs))
    return float(np.ceil(needed / HALF - 1e-6) * HALF)


def ending_at(shafts: Shafts, hand: str, end: float) -> tuple[Edit, ...]:
    """Return what lets one shaft end so far along, m, and the other as it does; none where it ends before.

    More than its last length is not taken off.
    """
    shaft = shafts.pair[hand == "left"]
    last, length = len(shaft.segments) - 1, float(shaft.segments[-1].length) - float(shaft.ends_at) + end
    if end >= float(shaft.ends_at) or length <= 0:
        return ()
    if shafts.left is None and hand == "left":
        return (Edit(("shafts", "left"), _alone(shafts, rounded(length, 1e-6)), ("shafts",)),)
    own = () if shafts.left is not None else (Edit(("shafts", "left"), _alone(shafts), ("shafts",)),)
    keys = ("shafts", "left") if hand == "left" else ("shafts",)
    return (*own, Edit((*keys, "segments", str(last), "length"), rounded(length, 1e-6)))


def _alone(shafts: Shafts, last: float | None = None) -> Shaft:
    """Return the left shaft as one that is described by itself.   last : length of its last segment, if it differs."""
    found = Shaft(**{each.name: getattr(shafts, each.name) for each in fields(Shaft)})
    if last is None:
        return found
    return replace(found, segments=(*found.segments[:-1], replace(found.segments[-1], length=last)))
