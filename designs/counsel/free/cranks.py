"""Cranks: throws, crankpins, webs, and which way they turn."""

from collections.abc import Iterator
from itertools import chain

import numpy as np

from balance.machine.crank import Web, joined_by, outward, place_in_frame
from designs.changing.edit import Edit, Keys, rounded, text
from designs.counsel.dial import Dial, Level, Work, fixed, path_of
from designs.design import Design
from designs.design.stock import Stock

RADII = (1, 2, 3, 5)  # steps of a throw's radius
PHASES = (1, 2, 3, 5, 8, 10)  # steps of a throw's phase
EYE = 2e-3  # m of rod beside a pin, both sides together, and as much again of web; common practice, no source
GRAM = 1e-5  # kg, how finely masses are written


def dials(design: Design, stock: Stock) -> Iterator[Dial]:
    """Yield radius and phase of each throw, its crankpin, the size of each web, and the direction of rotation."""
    yield from chain(_throws(design, stock), _pins(design, stock), _webs(design, stock), _web_plates(design, stock))
    yield _turning(design)


def _throws(design: Design, stock: Stock) -> Iterator[Dial]:
    assert stock.steps is not None
    weights = design.counterweights
    for number, (name, throw) in enumerate(design.cranks.throws.items()):
        # Other loads want other counterweights: those that are fitted are cut anew.
        anew = (("counterweight", 2 * len(weights.planes)),) if weights is not None and weights.fitted else ()
        work = Work(make=((f"web of the {name} throw", 2), (f"{name} crankpin", 2), *anew))
        radius, step = float(throw.radius), float(stock.steps.radius)
        keys: Keys = ("cranks", "throws", name, "radius")
        levels = [Level(_moved(name, "radius", value), text(value, "m"), work)
                  for count in RADII for sign in (1, -1)
                  if (value := rounded(radius + sign * count * step, step)) > 0]  # fmt: skip
        yield Dial(f"radius of the {name} throw", "cranks", (path_of(keys),), text(radius, "m"), levels)
        if number == 0:
            continue  # only phases between throws matter
        phase, step = float(throw.phase), float(stock.steps.phase)
        keys = ("cranks", "throws", name, "phase")
        turned = [phase + sign * count * step for count in PHASES for sign in (1, -1)]
        levels = [Level(_moved(name, "phase", value), text(value, "rad"), work) for value in turned]
        yield Dial(f"phase of the {name} throw", "cranks", (path_of(keys),), text(phase, "rad"), levels)


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
    return _web_edits(place, web, mass, (across, along))


def _web_edits(place: int, web: Web, mass: float, centre: tuple[float, float]) -> tuple[Edit, ...]:
    keys: Keys = ("cranks", "webs", str(place))
    found = [] if mass == float(web.mass) else [Edit((*keys, "mass"), rounded(mass, GRAM))]
    if any(abs(one - float(other)) > 1e-6 for one, other in zip(centre, web.cg, strict=True)):
        found.append(Edit((*keys, "cg"), tuple(rounded(each, GRAM) for each in centre)))
    return tuple(found)


def _pin_mass(design: Design, name: str, diameter: float) -> float:
    pin = design.cranks.throws[name].pin
    assert pin is not None
    density = float((pin.material or design.shafts.material).density)
    return np.pi / 4 * diameter**2 * float(pin.length) * density


def _pins(design: Design, stock: Stock) -> Iterator[Dial]:
    """A crankpin and the eyes of the rods on it move together."""
    assert stock.pins is not None
    for name, throw in design.cranks.throws.items():
        if throw.pin is None:
            continue
        now, hung = float(throw.pin.diameter), {n: y for n, y in design.yokes.items() if y.throw == name}
        widths = [float(y.rod.width) for y in hung.values() if y.rod is not None and y.rod.width is not None]
        widths += [float(web.width) - EYE for web in design.cranks.webs if web.width is not None]
        most = min([2.5 * now, *(max(width - EYE, now) for width in widths)])
        work = Work(make=((f"{name} crankpin", 2), *((f"{each} rod", 2) for each in hung)))
        levels = [Level(_thicker_pin(name, float(each)), text(float(each), "m"), work)
                  for each in stock.pins if now < float(each) <= most + 1e-9]  # fmt: skip
        path = path_of(("cranks", "throws", name, "pin", "diameter"))
        aims = ("crankpin_strength", "joint_grip")
        yield Dial(f"{name} crankpin and rod eyes", "crankpins", (path,), text(now, "m"), levels, aims)


def _thicker_pin(name: str, diameter: float):
    def edits(design: Design) -> tuple[Edit, ...]:
        pin = design.cranks.throws[name].pin
        assert pin is not None
        added = _pin_mass(design, name, float(diameter)) - _pin_mass(design, name, float(pin.diameter))
        return (Edit(("cranks", "throws", name, "pin", "diameter"), float(diameter)), *_with_pin(design, name, added))

    return edits


def _webs(design: Design, stock: Stock) -> Iterator[Dial]:
    """Webs of wider flat bar, their mass in proportion."""
    assert stock.flats is not None
    for place, web in enumerate(design.cranks.webs):
        if web.width is None or web.thickness is None:
            continue
        now, keys = float(web.width), ("cranks", "webs", str(place), "width")
        work = Work(make=((f"web {place + 1}", 1 if web.on != "both" else 2),))
        levels = [Level(_wider(place, float(each)), text(float(each), "m"), work)
                  for each in stock.flats if now < float(each) <= 2 * now]  # fmt: skip
        yield Dial(f"width of web {place + 1}", "cranks", (path_of(keys),), text(now, "m"), levels, ("web_strength",))


def _wider(place: int, width: float):
    def edits(design: Design) -> tuple[Edit, ...]:
        web = design.cranks.webs[place]
        mass = float(web.mass) * width / float(web.width)  # type: ignore[arg-type]
        keys: Keys = ("cranks", "webs", str(place))
        return Edit((*keys, "width"), width), *_web_edits(place, web, mass, (float(web.cg[0]), float(web.cg[1])))

    return edits


def _web_plates(design: Design, stock: Stock) -> Iterator[Dial]:
    """Webs of thicker plate about the same middle; what is pressed or glued into them sits as much deeper."""
    assert stock.plates is not None
    for place, web in enumerate(design.cranks.webs):
        if web.width is None or web.thickness is None:
            continue
        now = float(web.thickness)
        sold = stock.plates.get((web.material or design.shafts.material).name, stock.plates.get("steel", ()))
        work = Work(make=((f"web {place + 1}", 1 if web.on != "both" else 2),))
        levels = [Level(_thicker(place, float(each)), text(float(each), "m"), work)
                  for each in sold if now < float(each) <= 2 * now]  # fmt: skip
        path = path_of(("cranks", "webs", str(place), "thickness"))
        aims = ("web_strength", "joint_grip")
        yield Dial(f"thickness of web {place + 1}", "cranks", (path,), text(now, "m"), levels, aims)


def _thicker(place: int, thickness: float):
    def edits(design: Design) -> tuple[Edit, ...]:
        web, keys = design.cranks.webs[place], ("cranks", "webs", str(place))
        now = float(web.thickness)  # type: ignore[arg-type]
        found = [Edit((*keys, "thickness"), thickness)]
        if web.joint is not None and web.joint.length is not None and np.isclose(float(web.joint.length), now):
            found.append(Edit((*keys, "joint", "length"), thickness))
        found += _seats_of_pins(design, place, thickness)
        mass = float(web.mass) * thickness / now
        return *found, *_web_edits(place, web, mass, (float(web.cg[0]), float(web.cg[1])))

    return edits


def _seats_of_pins(design: Design, place: int, thickness: float) -> Iterator[Edit]:
    """Yield how deep crankpins then sit that went through the thinner of their webs: the other may now be that."""
    webs, ends = design.cranks.webs, design.shafts.ends
    for name, throw in design.cranks.throws.items():
        joint = None if throw.pin is None else throw.pin.joint
        held = [n for n, each in enumerate(webs)
                if name in joined_by(each, design.cranks.throws, ends, float(outward(each.at, ends)))]  # fmt: skip
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
