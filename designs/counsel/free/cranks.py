"""Cranks: throws, crankpins, webs, and which way they turn."""

from collections.abc import Callable, Iterable, Iterator
from itertools import chain
from typing import Any

import numpy as np

from balance.machine.crank import Pin, joined_by, outward, place_in_frame
from designs.changing.edit import Edit, Keys, edited, rounded, text
from designs.changing.groups import seat_diameter
from designs.changing.webs import web_edits, widened
from designs.counsel.dial import Dial, Level, Pieces, Work, fixed, path_of
from designs.counsel.free.rods import of_bar
from designs.counsel.free.stepped import off_the_webs, stepped, web_pieces, weight_pieces
from designs.design import Design
from designs.design.stock import Stock
from shafts.clearance.held import EYE_WALL

RADII = (1, 2, 3, 5)  # steps of a throw's radius
PHASES = (1, 2, 3, 5, 8, 10)  # steps of a throw's phase
EYE = 2e-3  # m of rod beside a pin, both sides together, and as much again of web; common practice, no source
THICKEST = 2.5  # times as thick as a crankpin was: more is another crank
TENTH = 1e-4  # m
HAIR = 1e-9  # m
WIDTH_AIMS = ("web_strength", "joint_grip", "web_metal", "weight_screws")


def dials(design: Design, stock: Stock) -> Iterator[Dial]:
    """Yield radius and phase of each throw, its crankpin, the size of each web, and the direction of rotation."""
    yield from chain(_throws(design, stock), _pins(design, stock), _webs(design, stock), _web_plates(design, stock))
    yield _turning(design)


def _throws(design: Design, stock: Stock) -> Iterator[Dial]:
    assert stock.steps is not None
    weights = design.counterweights
    for number, (name, throw) in enumerate(design.cranks.throws.items()):
        # Other loads want other counterweights: those that are fitted are cut anew.
        anew = weight_pieces(len(weights.planes)) if weights is not None and weights.fitted else ()
        work = Work(make=(*_of_throw(design, name), (f"{name} crankpin", 2), *anew))
        radius, step = float(throw.radius), float(stock.steps.radius)
        keys: Keys = ("cranks", "throws", name, "radius")
        levels = [Level(_moved(name, "radius", value), text(value, "m"), work)
                  for count in RADII for sign in (1, -1)
                  if (value := rounded(radius + sign * count * step, step)) > 0]  # fmt: skip
        yield Dial(f"radius of the {name} throw", "cranks", (path_of(keys),), text(radius, "m"), levels)
        yield from _apart(design, name, work)
        if number == 0:
            continue  # only phases between throws matter
        phase, step = float(throw.phase), float(stock.steps.phase)
        keys = ("cranks", "throws", name, "phase")
        turned = [phase + sign * count * step for count in PHASES for sign in (1, -1)]
        levels = [Level(_moved(name, "phase", value), text(value, "rad"), work) for value in turned]
        yield Dial(f"phase of the {name} throw", "cranks", (path_of(keys),), text(phase, "rad"), levels)


def _of_throw(design: Design, name: str) -> Pieces:
    """Return the webs in which a throw's crankpin sits, which are made anew with its hole elsewhere."""
    webs = web_pieces(design, webs_of(design, name))
    return webs or ((f"web of the {name} throw", 2),)


def _apart(design: Design, name: str, work: Work) -> Iterator[Dial]:
    """A larger radius where the holes of pin and shaft in a web leave less metal than is asked for."""
    throw = design.cranks.throws[name]
    if throw.pin is None:
        return
    holes, now = (float(throw.pin.diameter), seat_diameter(design.shafts)), float(throw.radius)
    least = sum(holes) / 2 + float(design.limits.web_metal) * max(holes)
    if now >= least - HAIR:
        return
    radii = [rounded(np.ceil((least + more) / TENTH - 1e-6) * TENTH, TENTH) for more in (0.0, 0.5e-3, 1e-3)]
    levels = [Level(_moved(name, "radius", each), text(each, "m"), work) for each in radii]
    yield Dial(f"larger radius of the {name} throw", "cranks", (path_of(("cranks", "throws", name, "radius")),),
               text(now, "m"), levels, ("web_metal",))  # fmt: skip


def _moved(name: str, key: str, value: float):
    """A crankpin that moves takes its mass along: the mass centre of its web is set anew."""

    def edits(design: Design) -> tuple[Edit, ...]:
        throw = design.cranks.throws[name]
        new = {"radius": throw.radius, "phase": throw.phase} | {key: value}
        there = (new["radius"] * np.sin(new["phase"]), new["radius"] * np.cos(new["phase"]))
        return (Edit(("cranks", "throws", name, key), value), *_with_pin(design, name, 0.0, there))

    return edits


def _with_pin(design: Design, name: str, added: float, there: tuple | None = None) -> tuple[Edit, ...]:
    """Return what a crankpin that grows by a mass, or moves, does to the web that its mass is counted with."""
    throw, webs = design.cranks.throws[name], design.cranks.webs
    if throw.pin is None or not webs:
        return ()
    place = min(range(len(webs)), key=lambda n: abs(float(webs[n].at) - float(throw.at)))
    web, old = webs[place], place_in_frame(throw)
    there = old if there is None else there
    own = _pin_mass(design, name, float(throw.pin.diameter))
    mass = float(web.mass) + added
    if mass <= 0:
        return ()
    across, along = (
        float(f"{(float(web.mass * c) + (own + added) * float(n) - own * float(o)) / mass:.4g}")
        for c, n, o in zip(web.cg, there, old, strict=True)
    )
    return web_edits(place, web, mass, (across, along))


def _pin_mass(design: Design, name: str, diameter: float) -> float:
    pin = design.cranks.throws[name].pin
    assert pin is not None
    density = float((pin.material or design.shafts.material).density)
    return np.pi / 4 * diameter**2 * float(pin.length) * density


def _pins(design: Design, stock: Stock) -> Iterator[Dial]:
    """A crankpin and the eyes of the rods on it move together, and the webs and rods that are too narrow for it."""
    assert stock.pins is not None
    for name, throw in design.cranks.throws.items():
        if throw.pin is None:
            continue
        now, rods = float(throw.pin.diameter), [n for n, y in design.yokes.items() if y.throw == name]
        levels = []
        for each in (float(each) for each in stock.pins if now < float(each) <= THICKEST * now + HAIR):
            webs, bars = _webs_too_narrow(design, name, each), _rods_too_narrow(design, name, each)
            if any(_flat(stock, each) is None for _ in webs) or any(_bar(stock, each) is None for _ in bars):
                continue
            work = Work(make=((f"{name} crankpin", 2), *((f"{n} rod", 2) for n in rods),
                              *web_pieces(design, webs)))  # fmt: skip
            levels.append(Level(_of_pin(name, each, stock), text(each, "m"), work))
        path = path_of(("cranks", "throws", name, "pin", "diameter"))
        aims = ("crankpin_strength", "joint_grip")
        yield Dial(f"{name} crankpin and rod eyes", "crankpins", (path,), text(now, "m"), levels, aims)
        yield from _thinner_pin(design, stock, name, now, rods)


def _thinner_pin(design: Design, stock: Stock, name: str, now: float, rods: list[str]) -> Iterator[Dial]:
    """Yield a thinner crankpin where the eyes of its rods leave too little about the one that it has."""
    widths = [float(each.width) for each in (design.yokes[n].rod for n in rods) if each is not None and each.width]
    if min(widths, default=np.inf) >= now * (1 + 2 * EYE_WALL) - HAIR:
        return
    sizes = sorted((float(each) for each in stock.pins or () if now / 2 <= float(each) < now), reverse=True)
    work = Work(make=((f"{name} crankpin", 2), *((f"{n} rod", 2) for n in rods)))
    levels = [Level(_of_pin(name, each, stock), text(each, "m"), work) for each in sizes]
    path = path_of(("cranks", "throws", name, "pin", "diameter"))
    yield Dial(f"thinner {name} crankpin and rod eyes", "crankpins", (path,), text(now, "m"), levels, ("rod_eyes",))


def _of_pin(name: str, diameter: float, stock: Stock):
    def edits(design: Design) -> tuple[Edit, ...]:
        pin = design.cranks.throws[name].pin
        assert pin is not None
        found: list[Edit] = []
        bar, flat = _bar(stock, diameter), _flat(stock, diameter)
        if bar is not None and flat is not None:
            found += (edit for each in _rods_too_narrow(design, name, diameter) for edit in of_bar(design, each, bar))
            found += (edit for each in _webs_too_narrow(design, name, diameter) for edit in _wider(each, flat)(design))
        whole, design = design, edited(design, tuple(found))
        added = _pin_mass(design, name, float(diameter)) - _pin_mass(design, name, float(pin.diameter))
        keys: Keys = ("cranks", "throws", name, "pin")
        own = (Edit((*keys, "diameter"), float(diameter)), *_as_tight(keys, pin, diameter),
               *_with_pin(design, name, added))  # fmt: skip
        found = [*(each for each in found if each.keys not in {one.keys for one in own}), *own]
        after = edited(whole, tuple(found))
        return *found, *stepped(after)

    return edits


def _as_tight(keys: Keys, pin: Pin, diameter: float) -> Iterator[Edit]:
    """Yield the interference that presses as hard on a thicker pin: it grows with the diameter."""
    joint = pin.joint
    if joint is not None and joint.kind == "pressed" and joint.interference is not None:
        share = diameter / float(pin.diameter)
        yield Edit((*keys, "joint", "interference"), rounded(float(joint.interference) * share, 1e-6))


def _webs_too_narrow(design: Design, name: str, diameter: float) -> list[int]:
    """Return the numbers of the webs that hold a throw's pin and are too narrow for one so thick."""
    widths = {n: design.cranks.webs[n].width for n in webs_of(design, name)}
    return [n for n, width in widths.items() if width is not None and float(width) < diameter + EYE]


def _rods_too_narrow(design: Design, name: str, diameter: float) -> list[str]:
    """Return the yokes whose rods hang on a throw's pin and are too narrow for one so thick."""
    return [n for n, yoke in design.yokes.items() if yoke.throw == name and yoke.rod is not None
            and yoke.rod.width is not None and float(yoke.rod.width) < diameter + EYE - HAIR]  # fmt: skip


def _flat(stock: Stock, diameter: float) -> float | None:
    """Return the narrowest flat bar for a web that leaves twice as much beside a pin as a rod does, m."""
    return min((float(each) for each in stock.flats or () if float(each) >= diameter + 2 * EYE - HAIR), default=None)


def _bar(stock: Stock, diameter: float) -> tuple[float, float] | None:
    """Return the lightest flat bar for a rod with an eye on a pin, (width, thickness), m."""
    wide = ((float(one), float(other)) for one, other in stock.bars or () if float(one) >= diameter + EYE - HAIR)
    return min(wide, key=lambda bar: bar[0] * bar[1], default=None)


def _webs(design: Design, stock: Stock) -> Iterator[Dial]:
    """Webs of wider flat bar."""
    assert stock.flats is not None
    for place, web in enumerate(design.cranks.webs):
        if web.width is None or web.thickness is None:
            continue
        now, keys = float(web.width), ("cranks", "webs", str(place), "width")
        levels = [Level(_wider(place, float(each)), text(float(each), "m"), _wider_work(design, [place], float(each)))
                  for each in stock.flats if now < float(each) <= 2 * now]  # fmt: skip
        yield Dial(f"width of web {place + 1}", "cranks", (path_of(keys),), text(now, "m"), levels, WIDTH_AIMS)
    sized = [n for n, web in enumerate(design.cranks.webs) if web.width is not None and web.thickness is not None]
    if len(sized) > 1:
        widths = [float(design.cranks.webs[n].width) for n in sized]  # type: ignore[arg-type]
        levels = [Level(_all_wider(sized, float(each)), text(float(each), "m"), _wider_work(design, sized, float(each)))
                  for each in stock.flats if max(widths) < float(each) <= 2.5 * min(widths)]  # fmt: skip
        yield Dial("width of all webs", "cranks", ("cranks.webs.*.width",), text(min(widths), "m"), levels, WIDTH_AIMS)


def _wider_work(design: Design, places: list[int], width: float) -> Work:
    """Return what wider webs take, with the counterweights that then lie farther out on them."""
    weights = design.counterweights
    moved = weights is not None and weights.fitted and any(True for _ in off_the_webs(design, places, width))
    pieces = weight_pieces(len(weights.planes)) if weights is not None and moved else ()
    return Work(make=(*web_pieces(design, places), *pieces))


def _wider(place: int, width: float):
    return lambda design: (*widened(design, design, place, width), *off_the_webs(design, [place], width))


def _all_wider(places: list[int], width: float):
    def edits(design: Design) -> tuple[Edit, ...]:
        narrow = [each for each in places if float(design.cranks.webs[each].width or width) < width]
        return (*(edit for each in narrow for edit in widened(design, design, each, width)),
                *off_the_webs(design, narrow, width))  # fmt: skip

    return edits


def _web_plates(design: Design, stock: Stock) -> Iterator[Dial]:
    """Webs of other plate about the same middle; what is pressed or glued into them sits as deep as that allows.

    Thinner ones are there for crankpins that find no length between them.
    """
    assert stock.plates is not None
    for place, web in enumerate(design.cranks.webs):
        if web.width is None or web.thickness is None:
            continue
        now = float(web.thickness)
        sold = stock.plates.get((web.material or design.shafts.material).name, stock.plates.get("steel", ()))
        work = Work(make=web_pieces(design, [place]))
        levels = [Level(_thicker(place, float(each)), text(float(each), "m"), work)
                  for each in sold if now < float(each) <= 2 * now]  # fmt: skip
        path = path_of(("cranks", "webs", str(place), "thickness"))
        aims = ("web_strength", "joint_grip")
        yield Dial(f"thickness of web {place + 1}", "cranks", (path,), text(now, "m"), levels, aims)
        levels = [Level(_thinner(place, float(each)), text(float(each), "m"), work)
                  for each in reversed(sold) if now / 2 <= float(each) < now]  # fmt: skip
        yield Dial(f"thinner web {place + 1}", "cranks", (path,), text(now, "m"), levels, ("pin_seats", "axial_room"))


def _thinner(place: int, thickness: float):
    def edits(design: Design) -> tuple[Edit, ...]:
        if thickness >= float(design.cranks.webs[place].thickness):  # type: ignore[arg-type]
            return ()
        return _of_plate(design, place, thickness, lambda length: length > thickness)

    return edits


def _thicker(place: int, thickness: float):
    """A thicker web grows to both sides, but to the other one where something stands in the way."""

    def edits(design: Design) -> tuple[Edit, ...]:
        web = design.cranks.webs[place]
        now = float(web.thickness)  # type: ignore[arg-type]
        if thickness <= now or thickness - now > sum(_room_beside(design, float(web.at), now / 2)):
            return ()
        grown = _grown(design, place, thickness - now)
        return _of_plate(design, place, thickness, lambda length: np.isclose(length, now), grown)

    return edits


def _of_plate(
    design: Design, place: int, thickness: float, follows: Callable[[float], Any], more: Iterable[Edit] = ()
) -> tuple[Edit, ...]:
    """Return a web of another thickness, m, with all that goes along, its mass in proportion.

    follows : whether a shaft that sits so deep in it, m, then sits as deep as it is thick.   more : further edits.
    """
    web, keys = design.cranks.webs[place], ("cranks", "webs", str(place))
    found = [Edit((*keys, "thickness"), thickness)]
    if web.joint is not None and web.joint.length is not None and follows(float(web.joint.length)):
        found.append(Edit((*keys, "joint", "length"), thickness))
    mass = float(web.mass) * thickness / float(web.thickness)  # type: ignore[arg-type]
    own = web_edits(place, web, mass, (float(web.cg[0]), float(web.cg[1])))
    return (*found, *_seats_of_pins(design, place, thickness), *more, *own)


def _grown(design: Design, place: int, more: float) -> Iterator[Edit]:
    """Yield where a web's middle then stands, and what goes along: the shaft that ends in it, pins that get shorter."""
    web, shaft = design.cranks.webs[place], design.shafts
    at, half = float(web.at), float(web.thickness) / 2  # type: ignore[arg-type]
    below, above = _room_beside(design, at, half)
    down = float(np.clip(more / 2, more - above, below))
    shift = rounded(more / 2 - down, 1e-5)
    if shift:
        yield Edit(("cranks", "webs", str(place), "at"), rounded(at + shift, 1e-5))
    starts = float(shaft.starts_at)
    if down and at - half - HAIR <= starts < at + half and shaft.left is None:
        yield Edit(("shafts", "starts_at"), rounded(starts - down, 1e-5))
        yield Edit(("shafts", "segments", "0", "length"), rounded(float(shaft.segments[0].length) + down, 1e-5))
    for name, throw in design.cranks.throws.items():
        if throw.pin is None or place not in webs_of(design, name):
            continue
        nearer = down if float(throw.at) < at else more - down
        if nearer and float(throw.pin.length) > 2 * nearer:
            yield Edit(("cranks", "throws", name, "pin", "length"), rounded(float(throw.pin.length) - nearer, 1e-5))


def _room_beside(design: Design, at: float, half: float) -> tuple[float, float]:
    """Return how far a web may grow down and up along the shaft, m: to weights, near to rods and bearings."""
    taken = [(float(design.throw_of(yoke).at), EYE / 4 + float(yoke.rod.thickness or 2 * EYE) / 2)
             for yoke in design.yokes.values() if yoke.rod is not None]  # fmt: skip
    taken += [(float(each.at), EYE / 4 + float(each.inside.width) / 2) for each in design.shafts.bearings]
    if design.counterweights is not None:
        taken += [(float(z), float(design.counterweights.thickness) / 2) for z in design.counterweights.planes
                  if abs(float(z) - at) > half]  # fmt: skip
    below = (at - half - (place + wide) for place, wide in taken if place < at)
    above = (place - wide - (at + half) for place, wide in taken if place > at)
    return max(min(below, default=np.inf), 0.0), max(min(above, default=np.inf), 0.0)


def webs_of(design: Design, name: str) -> list[int]:
    """Return the numbers of the webs that hold a throw's crankpin."""
    ends = design.shafts.ends
    return [n for n, web in enumerate(design.cranks.webs)
            if name in joined_by(web, design.cranks.throws, ends, float(outward(web.at, ends)))]  # fmt: skip


def _seats_of_pins(design: Design, place: int, thickness: float) -> Iterator[Edit]:
    """Yield how deep crankpins then sit that went through the thinner of their webs: the other may now be that."""
    webs = design.cranks.webs
    for name, throw in design.cranks.throws.items():
        joint = None if throw.pin is None else throw.pin.joint
        held = webs_of(design, name)
        if joint is None or joint.length is None or place not in held:
            continue
        sizes = {n: float(thick) for n in held if (thick := webs[n].thickness) is not None}
        if np.isclose(float(joint.length), min(sizes.values())):
            deep = min({**sizes, place: thickness}.values())
            if not np.isclose(deep, float(joint.length)):
                yield Edit(("cranks", "throws", name, "pin", "joint", "length"), deep)


def _turning(design: Design) -> Dial:
    other = "inward" if design.cranks.turning == "outward" else "outward"
    keys: Keys = ("cranks", "turning")
    return Dial("direction of rotation", "direction", (path_of(keys),), design.cranks.turning,
                [Level(fixed(Edit(keys, other)), other)])  # fmt: skip
