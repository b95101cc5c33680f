"""What a design is made of: what to buy, by designation or size, and what to make, from which stock and how heavy."""

from collections.abc import Iterator
from dataclasses import dataclass, replace
from itertools import chain

import numpy as np

from balance.bodies.yokes import upright
from balance.machine.carried import Diaphragm, Displacer, Piston, Posts
from balance.machine.crank import joined_by, outward
from balance.machine.materials import Material
from balance.machine.outline import Outline
from balance.machine.yoke import Rod, Yoke
from balance.outlines import corner_arrays
from balance.turning import HANDS
from balance.weights.balancing import Weight
from designs.drawing.counterweights import hub_of
from designs.drawing.sheets import drawing_of
from designs.evaluate import Evaluation
from designs.fixings import fixing, held
from designs.shown import INCH, file_words, imperial, said, shown
from designs.stock import stock_with
from designs.table import Column, Table
from shafts.bearings.kind import millimetres
from shafts.pieces import widest_between
from shafts.shaft import Shaft
from shafts.strength.grips import key_of
from shafts.strength.on_shaft import Hubbed, hubbed

CASE = "case, whole engine"
FEET = 4  # where no places are given
POSTS, PLATES = ("posts", "post", "links"), ("plates", "clamp plates")
"""What files call the posts and the clamp plates below a piston or diaphragm."""


@dataclass(frozen=True)
class Part:
    """One kind of part.

    name : what it is.   count : how many.   bought : whether it is bought ready.
    of : material or designation.   size : stock size, or what it is ordered by.   mass : of one, kg; None if not known.
    drawing : name of the file that `cut` writes for it; "" without one.   note : what else to know.
    """

    name: str
    count: int
    bought: bool
    of: str
    size: str
    mass: float | None = None
    drawing: str = ""
    note: str = ""

    @property
    def same_as(self) -> tuple:
        """What must agree for a part to serve in another design: a hundredth of a gram in mass, and all in words."""
        mass = None if self.mass is None else round(self.mass, 5)
        return self.name, self.bought, self.of, self.size, mass, self.note


def parts(evaluation: Evaluation) -> list[Part]:
    """Return every part that a design says enough of, what is bought first."""
    sources = (_bearings, _gears, _screws, _feet, _stops, _shafts, _seats, _plates, _walls, _case, _pins,
               _webs, _rods, _yoke_pins, _yokes, _guides, _cylinder, _weights, _wheels, _fixings)  # fmt: skip
    listed = list(chain.from_iterable(source(evaluation) for source in sources))
    return sorted(_counted(listed), key=lambda each: not each.bought)


def _counted(listed: list[Part]) -> Iterator[Part]:
    """Yield parts that are the same as one, with their number."""
    kinds: dict[tuple, list[Part]] = {}
    for each in listed:
        kinds.setdefault(each.same_as, []).append(each)
    for alike in kinds.values():
        first = alike[0]
        yield Part(**{**vars(first), "count": sum(each.count for each in alike)})


def to_get_from(one: list[Part], other: list[Part]) -> list[Part]:
    """Return what must be bought or made to get from the parts of one design to those of another."""
    there: dict[tuple, int] = {}
    for each in one:
        there[each.same_as] = there.get(each.same_as, 0) + each.count
    needed = ((each, each.count - there.get(each.same_as, 0)) for each in other)
    case = next((each for each in one if each.name == CASE), None)
    return [_added(case, Part(**{**vars(each), "count": count})) for each, count in needed if count > 0]


def _added(case: Part | None, part: Part) -> Part:
    """Return what turns one case into another that differs in mass alone; any other part as it is."""
    if part.name != CASE or case is None or case.mass is None or part.mass is None:
        return part
    more = part.mass - case.mass
    if more > 0:
        return Part("plate under the case", 1, False, "any metal", "to its mass", more)
    return Part(CASE, 1, False, "as designed", "to be made lighter by so much", -more)


def _as_sold(*sizes) -> str:
    """Return sizes of what is sold in millimetres, whatever units people see."""
    return f"{millimetres(*sizes)} mm"


def _lengths(*sizes) -> str:
    """Return sizes of what is made."""
    unit, factor, _ = shown("m")
    form = ".4f" if imperial() else ".6g"
    return f"{' x '.join(f'{float(size) * factor:{form}}' for size in sizes)} {unit}"


def _sides(evaluation: Evaluation) -> list[tuple[Shaft, int]]:
    shafts = evaluation.design.shafts
    return [(shafts, 2)] if shafts.left is None else [(shafts, 1), (shafts.left, 1)]


def _bearings(evaluation: Evaluation) -> Iterator[Part]:
    for shaft, count in _sides(evaluation):
        for each in shaft.bearings:
            rolling = each.ball or each.needle
            if rolling is not None:
                group = each.clearance if isinstance(each.clearance, str) else "CN"
                note = f"clearance {group}" if each.ball else ""
                kind = f"{rolling.title} {rolling.designation}".strip()
                yield Part("bearing", count, True, kind, _as_sold(*rolling.sizes), note=note)
            elif each.bush is not None:
                outside = "" if each.bush.outside is None else f", outside {_lengths(each.bush.outside)}"
                size = f"bore {_lengths(each.bush.bore)}{outside}, {_lengths(each.bush.length)} long"
                yield Part("bush", count, True, each.bush.material or "bush", size)


def _seats(evaluation: Evaluation) -> Iterator[Part]:
    """The holes in the case."""
    for shaft, count in _sides(evaluation):
        for each in shaft.bearings:
            stiff = (
                ""
                if each.seat_stiffness is None
                else file_words(f"stiffness {float(each.seat_stiffness) * 1e-6:.3g} N/um")
            )
            outside = each.inside.outside
            hole = "by the bush" if outside is None else f"hole {_lengths(outside)}"
            yield Part("bearing seat", count, False, "case", f"{hole}, at {_lengths(each.at)}", note=stiff)


def _plates(evaluation: Evaluation) -> Iterator[Part]:
    """Plates of the case that hold bearings: both shafts stand in one."""
    for plate in evaluation.design.shafts.plates:
        size = f"plate {_lengths(plate.thickness)}, {_lengths(plate.width)} wide, {_lengths(plate.height)} to the shaft"
        note = f"at {_lengths(plate.at)}" + (", tied to another" if plate.tied else "")
        yield Part("bearing plate", 1, False, plate.material.name, size, note=note)


def _walls(evaluation: Evaluation) -> Iterator[Part]:
    """What stands still beside the cranks, as the sides of the case."""
    for name, wall in evaluation.design.walls.items():
        yield Part(f"wall: {name}", 1, False, "as designed", _overall(wall).removeprefix(", "))


def _case(evaluation: Evaluation) -> Iterator[Part]:
    if evaluation.design.mount is not None:
        yield Part(CASE, 1, False, "as designed", "", float(evaluation.design.mount.mass))


def _stops(evaluation: Evaluation) -> Iterator[Part]:
    stop = evaluation.design.stop
    if stop is not None:
        wide = "" if stop.diameter is None else f"{_lengths(stop.diameter)} x "
        hard = "" if stop.hardness is None else f"{float(stop.hardness):g} IRHD"
        size = f"{wide}{_lengths(stop.thickness)} thick, {said(float(stop.spring), 'N/m', '.3g')} each"
        yield Part("rubber stop", 2 if float(stop.x) else 1, True, "rubber", size, note=hard)


def _gears(evaluation: Evaluation) -> Iterator[Part]:
    gears = evaluation.design.cranks.gears
    if gears is None:
        return
    face = "" if gears.face is None else f", face {_lengths(gears.face)}"
    bore = f"bore {_lengths(evaluation.design.shafts.segments[-1].diameter)}"
    pitch = f" (diametral pitch {INCH / float(gears.module):.4g})" if imperial() else ""
    size = f"module {_as_sold(gears.module)}{pitch}, {gears.teeth} teeth{face}"
    material = _named(gears.material)
    other = gears.left_material.name if gears.left_material else material
    for name, hand in ((material, "right"), (other, "left")):
        yield Part("gear", 1, True, name, size, float(gears.mass_of(hand)) or None, note=bore)


def _screws(evaluation: Evaluation) -> Iterator[Part]:
    weights = evaluation.design.counterweights
    if not evaluation.fitted or weights is None or weights.screws is None:
        return
    screws, known = weights.screws, (stock_with(evaluation.design.stock).screws or {}).get(weights.screws.size)
    holes = "" if known is None else f"clearance hole {_as_sold(known.normal)}, tap {_as_sold(known.tap)}"
    carried = (each.name for hand in evaluation.weight_carriers.values() for each in hand)
    count = screws.number * sum(not name.startswith("pin") for name in carried)  # a crankpin holds by its joint
    yield Part("screw", count, True, f"class {screws.property_class}", screws.size, note=holes)


def _fixings(evaluation: Evaluation) -> Iterator[Part]:
    """What holds gears, wheels and counterweights on their shafts, and what is bought for it."""
    design = evaluation.design
    for hand, shaft in zip(HANDS, design.shafts.pair, strict=True):
        for each in hubbed(evaluation.machine, shaft, hand):
            what, hub = each.name.split(" ", 1)[1], each.hub
            if hub is None:
                yield Part(f"{what} fixing", 1, False, "not given", "", note=f"give {each.entry}")
            elif hub.kind != "one piece":
                wide = "" if hub.outside is None else f"outside {_lengths(hub.outside)}"
                long = "" if hub.length is None else f"hub {_lengths(hub.length)} long"
                size = ", ".join(filter(None, (wide, long)))
                yield Part(f"{what} fixing", 1, False, file_words(fixing(hub)), size)
                yield from _bought(each, f"hub of the {what}")


def _bought(part: Hubbed, note: str) -> Iterator[Part]:
    """Return what is bought to hold a part, with its length where the hub's outside tells it."""
    hub, wide = part.hub, None if part.own_outside is None else float(part.own_outside)
    assert hub is not None
    deep = "" if wide is None else f", up to {_as_sold((wide - float(part.diameter)) / 2)} long"
    if hub.kind == "set screws" and hub.thread is not None:
        yield Part("set screw", hub.screws, True, "cup point", f"{hub.thread}{deep}", note=note)
    if hub.kind == "clamped" and hub.thread is not None:
        tight = "" if hub.tightening is None else file_words(f"; tighten to {float(hub.tightening):g} N m")
        yield Part("clamp screw", hub.screws, True, "class 8.8 at least", hub.thread, note=note + tight)
    if hub.kind == "pinned" and hub.pin is not None:
        across = "" if wide is None else f", {_as_sold(wide)} long"
        metal = hub.pin.material.name if hub.pin.material else "as the shaft"
        yield Part("cross pin", 1, True, metal, f"round {_as_sold(hub.pin.diameter)}{across}", note=note)
    if hub.kind == "keyed":
        yield Part("key", 1, True, "steel, DIN 6885", _key(part), note=note)
    if hub.kind == "screwed" and hub.thread is not None:
        yield Part("nut", 1, True, "steel", hub.thread, note=note)


def _key(part: Hubbed) -> str:
    """Return the size of a key by the shaft that it is in; empty where no key is known for that."""
    size = key_of(float(part.diameter))
    assert part.hub is not None
    long = "" if part.hub.length is None else f" x {millimetres(part.hub.length)}"
    return "" if size is None else f"{millimetres(*size)}{long} mm"


def _feet(evaluation: Evaluation) -> Iterator[Part]:
    mount = evaluation.design.mount
    if mount is None or mount.feet is None:
        return
    number = len(mount.feet.places) or FEET
    each = float(mount.feet.stiffnesses[1]) / number
    damping, rubber = mount.feet.damping_ratio, mount.feet.rubber
    own = None if rubber is None else replace(rubber, number=None)
    stock = stock_with(evaluation.design.stock).feet or {}
    named = [name for name, foot in stock.items() if (foot.rubber == own if own is not None else foot.rubber is None
             and np.isclose(foot.springs, each) and damping is not None
             and np.isclose(float(foot.damping_ratio or 0.0), float(damping)))]  # fmt: skip
    size = f"{said(each, 'N/m', '.4g')} each" + ("" if damping is None else f", damping ratio {float(damping):g}")
    kind = (
        "foot"
        if own is None
        else f"rubber buffer {_as_sold(own.diameter, own.height)}, hardness {float(own.hardness):g}"
    )
    yield Part("foot", number, True, named[0] if named else kind, size)


def _shafts(evaluation: Evaluation) -> Iterator[Part]:
    for shaft, count in _sides(evaluation):
        thickest = max(float(each.diameter) for each in shaft.segments)
        length = sum(float(each.length) for each in shaft.segments)
        steps = "; ".join(f"{_lengths(each.diameter)} for {_lengths(each.length)}" for each in shaft.segments)
        mass = sum(np.pi / 4 * (float(each.diameter) ** 2 - float(each.bore) ** 2) * float(each.length)
                   for each in shaft.segments) * float(shaft.material.density)  # fmt: skip
        note = steps if len(shaft.segments) > 1 else ""
        yield Part(
            "shaft",
            count,
            False,
            shaft.material.name,
            f"round {_lengths(thickest)}, {_lengths(length)} long",
            float(mass),
            note=note,
        )


def _pins(evaluation: Evaluation) -> Iterator[Part]:
    for name, throw in evaluation.design.cranks.throws.items():
        if throw.pin is not None:
            material = (throw.pin.material or evaluation.design.shafts.material).name
            long = _whole_pin(evaluation, name)
            size = f"round {_lengths(throw.pin.diameter)}, "
            size += "" if long is None else f"{_lengths(long)} long, of which "
            yield Part(f"{name} crankpin", 2, False, material, f"{size}{_lengths(throw.pin.length)} free",
                       note=held(throw.pin.joint))  # fmt: skip


def _whole_pin(evaluation: Evaluation, name: str) -> float | None:
    """Return how long a crankpin is with what sits in its webs, m; None if that is not given."""
    design = evaluation.design
    pin, ends = design.cranks.throws[name].pin, design.shafts.ends
    if pin is None or pin.joint is None or pin.joint.length is None or pin.joint.kind == "one piece":
        return None
    webs = [web for web in design.cranks.webs if web.on != "left"]
    holding = sum(name in joined_by(web, design.cranks.throws, ends, float(outward(web.at, ends))) for web in webs)
    return float(pin.length) + min(holding, 2) * float(pin.joint.length)


def _webs(evaluation: Evaluation) -> Iterator[Part]:
    """The throws that a web holds are part of it: another radius or phase is another web."""
    design = evaluation.design
    for number, web in enumerate(design.cranks.webs, start=1):
        pair = zip(HANDS, design.shafts.pair, strict=True)
        sized = web.width is not None and web.thickness is not None
        size = f"flat {_lengths(web.width, web.thickness)}" if sized else "size not given"
        for hand, shaft in pair:
            if web.on not in (hand, "both"):
                continue
            inner, outer = joined_by(web, design.cranks.throws, shaft.ends, float(outward(web.at, shaft.ends)))
            holds = [f"{each} at {_lengths(design.cranks.throws[each].radius)}, "
                    f"{np.rad2deg(float(design.cranks.throws[each].phase)):g} deg"
                    for each in (inner, outer) if each is not None]  # fmt: skip
            if inner is None and shaft.starts_at <= web.at <= shaft.ends_at:
                bore = _lengths(2 * widest_between(shaft, web.at - 1e-6, web.at + 1e-6))
                holds.append(" ".join(filter(None, ("shaft", bore, held(web.joint)))))
            yield Part(f"web {number}", 1, False, (web.material or design.shafts.material).name, size, float(web.mass),
                       drawing_of(evaluation, f"web {number}", hand), "; ".join(holds))  # fmt: skip


def _rods(evaluation: Evaluation) -> Iterator[Part]:
    for name, yoke in evaluation.design.yokes.items():
        if yoke.rod is None:
            continue
        rod, pin = yoke.rod, evaluation.design.throw_of(yoke).pin
        eyes = {"crankpin": pin, "yoke pin": rod.yoke_pin}
        eye = ", ".join(f"eye {_lengths(each.diameter)} for the {name}" for name, each in eyes.items() if each)
        size = f"{_lengths(rod.length)} between centres{_flat(rod)}"
        yield Part(f"{name} rod", 2, False, _named(rod.material), size,
                   float(rod.mass) or None, note=eye)  # fmt: skip


def _flat(rod: Rod) -> str:
    return "" if rod.width is None or rod.thickness is None else f", flat {_lengths(rod.width, rod.thickness)}"


def _yoke_pins(evaluation: Evaluation) -> Iterator[Part]:
    for name, yoke in evaluation.design.yokes.items():
        pin = None if yoke.rod is None else yoke.rod.yoke_pin
        if yoke.rod is None or pin is None:
            continue
        size, thick = f"round {_lengths(pin.diameter)}", yoke.rod.thickness
        if pin.held == "both ends" and pin.wall is not None and thick is not None:
            size += f", {_lengths(thick + 2 * pin.wall)} long"
        elif thick is not None:
            size += f", {_lengths(thick)} free beside what the yoke holds"
        yield Part(f"{name} yoke pin", 2, False, _named(pin.material), size, note=f"held at {pin.held}")


def _named(material: Material | None) -> str:
    return material.name if material else "not given"


def _yokes(evaluation: Evaluation) -> Iterator[Part]:
    """Whatever moves with a yoke, of which the design has the mass; what it says of its size stands elsewhere in it."""
    trims = getattr(evaluation.weights, "trims", {}) if evaluation.fitted else {}
    for name, yoke in evaluation.design.yokes.items():
        for part, each in yoke.parts.items():
            called = part if part == name else f"{name} {part}"
            of, size = _moving(yoke, part)
            yield Part(called, 1, False, of, size, float(each.mass))
        yield from _without_mass(name, yoke)
        if float(trims.get(name, 0.0)) > 0:
            yield Part(f"trim on the {name} yoke", 1, False, "any metal", "to its mass", float(trims[name]))


def _without_mass(name: str, yoke: Yoke) -> Iterator[Part]:
    """What a yoke carries that has its size in a design but no mass of its own: its mass is with the others."""
    carried, note = yoke.carries, "mass among the others of its yoke"
    if isinstance(carried, Diaphragm) and "diaphragm" not in yoke.parts:
        of, size = _moving(yoke, "diaphragm")
        yield Part(f"{name} sheet" if name == "diaphragm" else f"{name} diaphragm", 1, False, of, size, note=note)
    if getattr(carried, "posts", None) is not None and not any(each in POSTS for each in yoke.parts):
        yield Part(f"{name} posts", 1, False, *_moving(yoke, "posts"), note=note)


def _posts(yoke: Yoke, posts: Posts, below: str) -> tuple[str, str]:
    """Return of what the posts below a piston or diaphragm are made, and their size."""
    body = upright("", yoke)
    of = posts.material or (yoke.arm and yoke.arm.material)
    number = "2 of " if float(posts.x) else ""
    long = "" if body is None else f", {_lengths(body.low)} long from pivots to {below}"
    return _named(of) if of else "any, to its mass", f"{number}round {_lengths(posts.diameter)}{long}"


def _overall(outline: Outline | None) -> str:
    """Return how large a yoke is by its outline."""
    if outline is None:
        return ""
    x, y = corner_arrays(outline)
    return f", {_lengths(np.ptp(x), np.ptp(y), outline.z[1] - outline.z[0])} overall"


def _moving(yoke: Yoke, part: str) -> tuple[str, str]:
    """Return of what a part that moves with a yoke is made, and its size, as far as any entry of a design says it."""
    carried, free = yoke.carries, "any, to its mass"
    if part == "yoke":
        of = yoke.material or (yoke.arm and yoke.arm.material)
        section = "" if yoke.arm is None else f"bar {_lengths(yoke.arm.section.width, yoke.arm.section.height)}, "
        return _named(of or None), f"{section}pivots {_lengths(2 * yoke.half_span)} apart{_overall(yoke.outline)}"
    if isinstance(carried, Displacer) and part == "stem":
        tube = f" x {_lengths(carried.stem_bore)} bore" if float(carried.stem_bore) else ""
        long = "" if carried.stem_length is None else f", {_lengths(carried.stem_length)} long from pivots to displacer"
        return _named(carried.stem_material), f"round {_lengths(carried.stem_diameter)}{tube}{long}"
    if isinstance(carried, Displacer | Piston) and part == carried.kind:
        size = f"round {_lengths(carried.bore if carried.diameter is None else carried.diameter)}"
        size += "" if carried.length is None else f", {_lengths(carried.length)} long"
        dome = getattr(carried, "dome", 0.0)
        return free, size + (f", dome {_lengths(dome)}" if float(dome) else "")
    if isinstance(carried, Diaphragm) and part == carried.kind:
        wide = [f"{word} {_lengths(each)}" for word, each in (("free to move", carried.free_diameter),
                ("clamped", carried.clamp_diameter), ("sheet", carried.thickness)) if each is not None]  # fmt: skip
        return carried.material.name if carried.material else free, ", ".join(wide) or "to its area"
    if isinstance(carried, Diaphragm) and part in PLATES and carried.clamp_diameter is not None:
        thick = "" if carried.plate is None else f", {_lengths(carried.plate)} with the sheet"
        return free, f"round {_lengths(carried.clamp_diameter)}{thick}"
    if part in POSTS and isinstance(carried, Piston | Diaphragm) and carried.posts is not None:
        return _posts(yoke, carried.posts, carried.kind)
    return free, "as designed"


def _guides(evaluation: Evaluation) -> Iterator[Part]:
    """Only a guide that is told: else a yoke is guided by its piston or displacer."""
    for name, yoke in evaluation.design.yokes.items():
        if yoke.guide is not None:
            stem = getattr(yoke.carries, "stem_diameter", 0.0)
            bore = f"bore {_lengths(stem)} for its stem, " if float(stem) else ""
            play = f"{_lengths(evaluation.design.fits.guide_play)} of play"
            yield Part(f"{name} guide", 1, False, "any", f"{bore}{_lengths(yoke.guide.length)} long", note=play)


def _cylinder(evaluation: Evaluation) -> Iterator[Part]:
    own = evaluation.design.cylinder
    if own is None:
        bores = sorted({float(each.carries.bore) for each in evaluation.design.yokes.values()
                        if isinstance(each.carries, Piston | Displacer)})  # fmt: skip
        for bore in bores:
            yield Part("cylinder", 1, False, "any", f"bore {_lengths(bore)}", note="give cylinder for its length")
        return
    long = "length not given" if own.length is None else f"{_lengths(own.length)} long inside"
    wall = "" if own.wall is None else f", wall {_lengths(own.wall)}"
    dome = f"; dome {_lengths(own.dome)} deep" if float(own.dome) else ""
    note = f"starts {_lengths(own.starts_at)} above the shafts{dome}"
    yield Part("cylinder", 1, False, "any", f"bore {_lengths(own.bore)}{wall}, {long}", note=note)


def _weights(evaluation: Evaluation) -> Iterator[Part]:
    """Named as `cut` names their drawings."""
    weights = evaluation.design.counterweights
    if not evaluation.fitted or weights is None or evaluation.weights is None:
        return
    planes = evaluation.weights.planes
    for number, weight in enumerate(planes, start=1):
        if float(weight.shape.mass) <= 0:
            continue
        name = "counterweight" + (f"-{number}" if len(planes) > 1 else "")
        size = f"plate {_lengths(weight.shape.thickness)}, radius {_lengths(weight.shape.edge.reach)}"
        note = f"mass x radius {said(float(weight.shape.moment), 'kg m', '.1f')}, in the plane at {_lengths(weight.at)}"
        mass, drawing = float(weight.shape.mass), drawing_of(evaluation, name)
        yield Part(name, 2, False, weights.material.name, size, mass, drawing, note)
        yield from _hubs(evaluation, weight, number - 1, name)


def _hubs(evaluation: Evaluation, weight: Weight, plane: int, name: str) -> Iterator[Part]:
    """A ring on each shaft that a weight sits on: of what its screws go into, or as the shaft."""
    design = evaluation.design
    assert design.counterweights is not None
    into = None if design.counterweights.screws is None else design.counterweights.screws.into
    for side, shaft in enumerate(design.shafts.pair):
        ring = hub_of(evaluation, weight, plane, side)
        if ring is not None:
            material, long = into or shaft.material, float(weight.shape.thickness)
            mass = np.pi * (ring[1] ** 2 - ring[0] ** 2) * long * float(material.density)
            size = f"ring {_lengths(2 * ring[1])} outside, bore {_lengths(2 * ring[0])}, {_lengths(long)} long"
            yield Part(f"hub of {name}", 1, False, material.name, size, mass)


def _wheels(evaluation: Evaluation) -> Iterator[Part]:
    """Flywheel and pulley on each shaft."""
    for hand, shaft in zip(HANDS, evaluation.design.shafts.pair, strict=True):
        for name, wheel in evaluation.design.wheels(hand).items():
            size = f"moment of inertia {said(float(wheel.polar_inertia), 'kg m^2', '.0f')}"
            if wheel.diameter is not None and wheel.thickness is not None:
                inside = f", {_lengths(wheel.inside)} inside" if float(wheel.inside) else ""
                size = f"{_lengths(wheel.diameter)} x {_lengths(wheel.thickness)}{inside}, {size}"
            at = wheel.z(hand)
            bore = 2 * widest_between(shaft, at - 1e-6, at + 1e-6)
            note = f"bore {_lengths(bore)}" if float(bore) else "beyond the shaft's end"
            mass, drawing = float(wheel.wheel_mass) or None, drawing_of(evaluation, name, hand)
            yield Part(name, 1, False, _named(wheel.material), size, mass, drawing, note)


def parts_tables(listed: list[Part], title: str = "") -> list[Table]:
    """Return what to buy and what to make as tables."""
    of = f" {title}" if title else ""
    columns = (Column("count", "number", ""), Column("part", "part"), Column("of", "what"), Column("size", "size"),
               Column("mass", "mass of one", "kg"), Column("drawing", "drawing"), Column("note", "note"))  # fmt: skip
    buy, make = ([_row(each) for each in listed if each.bought is bought] for bought in (True, False))
    shops = (columns[0], *columns[1:4], columns[6])
    return [
        Table("buy", f"What to buy{of}", shops, [(*row[:4], row[6]) for row in buy]),
        Table("make", f"What to make{of}", columns, make, NOTE),
    ]


def for_the_shop(tables: list[Table]) -> list[Table]:
    """Return what to buy and to make in columns that stand side by side on a narrow screen."""
    return [replace(each, columns=SHOP, rows=[_narrow(each, row) for row in each.rows]) for each in tables]


SHOP = (Column("count", "number", ""), Column("part", "part"), Column("of", "what and size"),
        Column("mass", "mass", "kg"), Column("note", "drawing, notes"))  # fmt: skip


def _narrow(table: Table, row: tuple) -> tuple:
    at = dict(zip((column.key for column in table.columns), row, strict=True))
    said = f"{at['of']}, {at['size']}" if at["size"] and at["size"] not in at["of"] else at["of"]
    notes = "; ".join(filter(None, (at.get("drawing", ""), at["note"])))
    return at["count"], at["part"], said, at.get("mass"), notes


NOTE = (
    "Sizes are finished sizes: add what sawing and facing take. Mass is that of one. Any: the design has no entry for "
    "its material. Drawings are written by `cut`."
)


def _row(part: Part) -> tuple:
    return str(part.count), part.name, part.of, part.size, part.mass, part.drawing, part.note
