"""Whether parts hold each other: plates bearings, yokes their pins and what they carry, webs their pins, guides stems.

Each says by how much a part falls short of what it holds, from sizes that are given; one that is not given is asked for
by the rows of strength and clearance, which need it for more.
"""

from collections.abc import Iterator

import numpy as np

from balance.bodies.yokes import axis_of
from balance.machine import joint as machine
from balance.machine.carried import Diaphragm, Displacer, Piston, Posts
from balance.machine.crank import Throw
from balance.machine.threads import THREADS
from balance.machine.yoke import Yoke
from balance.obstacles import about
from balance.outlines import corner_arrays
from balance.quantities import Number
from balance.turning import HANDS
from shafts.clearance.joined import HUB, Joint, in_mm, shared_length
from shafts.clearance.seats import bearing_size
from shafts.crank.layout import SLACK, layout
from shafts.engine import Engine
from shafts.pieces import HAIR, widest_between
from shafts.shaft import Plate, Shaft
from shafts.strength.grips import most_interference
from shafts.strength.on_shaft import Hubbed, hubbed
from shafts.strength.seats import seats_of

AROUND = 1.5  # diameters of a screw or pin: least length of what it goes through (common practice, no source)
FLAT = 0.8  # of the shaft: a wider set screw finds no flat (common practice, no source)
DEEP = 0.8  # diameters: least thread of a set screw in a wall (common practice, no source)
BESIDE = 1.5  # diameters: least wall that has room for a clamp's screw beside the shaft (common practice, no source)
EYE_WALL = 0.15  # of its pin's diameter: least wall of a rod's eye (common practice, no source)
LOOSE_PIN = 0.08  # of its pin's diameter: play of a hole that is quite worn out (common practice, no source)
FACE = 2.0  # modules: teeth narrower than that tilt off each other as a shaft bends (common practice, no source)
TIGHT_TEETH = 0.02  # of the module: with less teeth bind as a gear runs out (common practice, no source)
LOOSE_TEETH = 0.3  # of the module: twice the backlash of heavy work; more hammers (common practice, no source)
SKIRT, BUSH = 0.25, 1.0  # of its diameter: least guided length of a piston, of a stem (common practice, no source)


def plate_joints(engine: Engine) -> Iterator[Joint]:
    """Yield of every bearing how much its plate falls short of half its width, and of what is round its ring."""
    for hand, shaft in zip(HANDS, engine.shafts.pair, strict=True):
        for index, bearing in enumerate(shaft.bearings if shaft.plates else (), start=1):
            plate, name = _plate_of(shaft, float(bearing.at)), f"{hand} bearing {index}"
            outside, width, _ = bearing_size(bearing)
            reach = (float(plate.thickness) + width) / 2 - abs(float(plate.at) - float(bearing.at))
            shared = min(reach, width, float(plate.thickness))
            yield Joint(
                f"{name} along the shaft", HUB * width - shared, f"its plate is {in_mm(plate.thickness)} mm thick"
            )
            yield Joint(
                f"{name} below its ring", outside / 2 - float(plate.height), f"height is {in_mm(plate.height)} mm"
            )
            yield Joint(
                f"{name} across", (outside - float(plate.width)) / 2, f"its plate is {in_mm(plate.width)} mm wide"
            )


def _plate_of(shaft: Shaft, at: float) -> Plate:
    return min(shaft.plates, key=lambda plate: abs(float(plate.at) - at))


def yoke_joints(engine: Engine) -> Iterator[Joint]:
    """Yield of every yoke how much it falls short of its pins, of what it carries, and of its own cross-bar."""
    for name, yoke in engine.yokes.items():
        if yoke.outline is None:
            continue
        x, y = corner_arrays(yoke.outline)
        if yoke.rod is not None:
            pin = 0.0 if yoke.rod.yoke_pin is None else float(yoke.rod.yoke_pin.diameter) / 2
            ends = float(min(np.max(x), -np.min(x)))
            yield Joint(f"yoke {name} at its pins", float(yoke.half_span) + pin - ends,
                        f"it ends {in_mm(ends)} mm from its middle")  # fmt: skip
        if yoke.arm is not None:
            section, deep = yoke.arm.section, float(yoke.outline.z[1] - yoke.outline.z[0])
            for what, size, outline in (("height", section.height, float(np.ptp(y))), ("width", section.width, deep)):
                yield Joint(f"yoke {name} about its arm", float(size) - outline,
                            f"arm.section.{what} is {in_mm(size)} mm, its outline has {in_mm(outline)} mm")  # fmt: skip
        yield from _carried(engine, name, yoke, (float(np.min(x)), float(np.max(x))))


def _carried(engine: Engine, name: str, yoke: Yoke, across: tuple[float, float]) -> Iterator[Joint]:
    """Yield how much a yoke falls short of what stands on it: stem, posts, or a piston right above it."""
    carried = yoke.carries
    if carried is None or yoke.outline is None:
        return
    axis, z = float(axis_of(engine)), (float(yoke.outline.z[0]), float(yoke.outline.z[1]))
    posts: Posts | None = getattr(carried, "posts", None)
    if posts is None:
        half = float(carried.stem_diameter) / 2 if isinstance(carried, Displacer) else 0.0
        short = max(z[0] - axis + half, axis + half - z[1])
        why = f"the cylinder's axis stands at {in_mm(axis)} mm"
        why += "" if isinstance(carried, Displacer) else ", and no posts are given"
        yield Joint(f"yoke {name} below its {carried.kind}", short, why)
        return
    half, at, x = float(posts.diameter) / 2, float(posts.z), float(posts.x)
    short = max(z[0] - at + half, at + half - z[1], x + half - across[1], across[0] + x + half)
    yield Joint(f"yoke {name} below its posts", short, f"they stand at x {in_mm(x)} mm, z {in_mm(at)} mm")
    radius = _radius(carried)
    if radius is not None:
        short = float(np.hypot(x, at - axis)) + half - radius
        yield Joint(f"{carried.kind} of {name} above its posts", short,
                    f"they reach {in_mm(radius + short)} mm from the cylinder's axis")  # fmt: skip


def _radius(carried: Piston | Diaphragm | Displacer) -> float | None:
    """Return the radius within which posts stand, m: of the piston, of a diaphragm's ring; None if it is not known."""
    size = carried.free_diameter if isinstance(carried, Diaphragm) else carried.diameter or carried.bore
    return None if size is None else float(size) / 2


def seat_joints(engine: Engine) -> Iterator[Joint]:
    """Yield of every pin and shaft in a web how much deeper, or more tightly, it is said to sit than they allow."""
    for hand, shaft in zip(HANDS, engine.shafts.pair, strict=True):
        for seat in seats_of(engine, shaft, hand):
            metals = seat.web_material, seat.material
            most = most_interference(seat.joint, seat.diameter, seat.web.width, metals)
            yield from _splits(seat.name, seat.joint, most, "web")
            if seat.joint is not None and seat.joint.kind in machine.NOT_OF and seat.diameter is not None:
                yield from _room(seat.name, seat.joint, float(seat.diameter), seat.web.width)
        for part in hubbed(engine, shaft, hand):
            yield from _hub(part, shaft)
        chain = layout(shaft, engine.cranks, hand)
        for index, joint in enumerate(chain.joints):
            if joint.web is None:
                continue
            for axis in (chain.axes[index], chain.axes[index + 1]):
                yield from _seated(engine, shaft, hand, joint.web, (float(joint.low), float(joint.high)), axis.throw)
        for index, axis in enumerate(chain.axes[1:-1], start=1):
            both = chain.joints[index - 1].web is not None and chain.joints[index].web is not None
            if axis.throw is not None and both:
                yield from _between_webs(engine.cranks.throws[axis.throw], axis.throw, hand,
                                    float(chain.joints[index].low) - float(chain.joints[index - 1].high))  # fmt: skip


def _splits(name: str, joint: machine.Joint | None, most: Number | None, about: str) -> Iterator[Joint]:
    """Yield by how much a press fit is tighter, m, than what sits about it bears."""
    if most is not None and joint is not None and joint.interference is not None:
        why = f"beyond {float(most) * 1e6:.0f} um its {about} yields all round and splits or lets go"
        yield Joint(f"{name}, by its interference", float(joint.interference) - float(most), why)


def _hub(part: Hubbed, shaft: Shaft) -> Iterator[Joint]:
    """Yield how much less of the shaft is in a hub, m, than is said, and by how much it is too tight."""
    if part.hub is None:
        return
    if part.hub.length is not None:
        ends = float(shaft.starts_at), float(shaft.ends_at)
        inside = shared_length(about(part.at, part.hub.length), ends)
        why = f"{in_mm(inside)} mm of the shaft are in it"
        yield Joint(f"{part.name} on the shaft", float(part.hub.length) - inside, why)
    yield from _splits(part.name, part.hub, part.most_interference(shaft.material), "hub")
    yield from _room(part.name, part.hub, float(part.diameter), part.own_outside)


def _room(name: str, joint: machine.Joint, diameter: float, outside: Number | None) -> Iterator[Joint]:
    """Yield by how much what holds a joint is too large for it, m.   outside : of what sits about it, m, if known."""
    thick, what = 0.0, ""
    if joint.kind in ("set screws", "clamped") and joint.thread is not None:
        thick, what = THREADS[joint.thread][0] * 1e-3, joint.thread
    elif joint.kind == "pinned" and joint.pin is not None:
        thick, what = float(joint.pin.diameter), f"{in_mm(joint.pin.diameter)} mm pin"
    if thick and joint.length is not None:
        yield Joint(
            f"{name} along its {what}", AROUND * thick - float(joint.length), f"it is {in_mm(joint.length)} mm long"
        )
    if joint.kind == "set screws" and thick:
        yield Joint(f"{name} beneath its {what}", thick - FLAT * diameter, f"the shaft has {in_mm(diameter)} mm")
    if outside is not None:
        wall = (float(outside) - diameter) / 2
        needed = {"set screws": DEEP * thick, "clamped": BESIDE * thick}.get(joint.kind, EYE_WALL * diameter)
        yield Joint(f"{name} around the shaft", needed - wall, f"its wall is {in_mm(wall)} mm thick")


def _seated(
    engine: Engine, shaft: Shaft, hand: str, web: int, faces: tuple[float, float], throw: str | None
) -> Iterator[Joint]:
    """Yield how much less of a crankpin or shaft is in a web, m, than it is said to sit in it.

    faces : of the web, m.   throw : of the crankpin; None for the shaft, which may end in the web.
    """
    if throw is None:
        held, what = engine.cranks.webs[web].joint, "shaft"
        inside = shared_length(faces, (float(shaft.starts_at), float(shaft.ends_at)))
        why = f"{in_mm(inside)} mm of the shaft are in the web"
    else:
        held, what, inside = _joint_of_pin(engine.cranks.throws[throw]), f"crankpin {throw}", faces[1] - faces[0]
        why = f"the web is {in_mm(inside)} mm thick"
    if held is not None and held.length is not None:
        yield Joint(f"{hand} {what} in web {web + 1}", float(held.length) - inside, why)


def _joint_of_pin(throw: Throw):
    return None if throw.pin is None else throw.pin.joint


def _between_webs(throw: Throw, name: str, hand: str, way: float) -> Iterator[Joint]:
    """Yield how much of a crankpin's seats is missing where its length is more than the free one."""
    pin = throw.pin
    if pin is None or float(pin.length) - way <= SLACK:
        return
    seat = 0.0 if pin.joint is None or pin.joint.length is None else float(pin.joint.length)
    yield Joint(f"{hand} crankpin {name} between its webs", seat - (float(pin.length) - way) / 2,
                f"it is {in_mm(pin.length)} mm long where its webs stand {in_mm(way)} mm apart")  # fmt: skip


def ring_joints(engine: Engine) -> Iterator[Joint]:
    """Yield of every bearing how much thicker than its bore the shaft is on the better way to its place."""
    for hand, shaft in zip(HANDS, engine.shafts.pair, strict=True):
        for index, bearing in enumerate(shaft.bearings, start=1):
            half, at, bore = float(bearing.inside.width) / 2 - HAIR, float(bearing.at), float(bearing.inside.bore)
            ways = widest_between(shaft, -np.inf, at + half), widest_between(shaft, at - half, np.inf)
            thick = 2 * float(min(ways))
            yield Joint(f"{hand} bearing {index}", thick - bore, f"either way leads over {in_mm(thick)} mm of shaft")


def eye_joints(engine: Engine) -> Iterator[Joint]:
    """Yield of every rod how much its eyes fall short of a wall about their pins, and their play."""
    for name, yoke in engine.yokes.items():
        rod, pin = yoke.rod, engine.throw_of(yoke).pin
        if rod is None or rod.width is None:
            continue
        for what, size in (("crankpin", pin), ("yoke pin", rod.yoke_pin)):
            if size is not None:
                yield Joint(f"rods of {name} on the {what}", float(rod.play) - LOOSE_PIN * float(size.diameter),
                            f"its play is {in_mm(rod.play)} mm; a rod so loose hammers")  # fmt: skip
                wall = (float(rod.width) - float(size.diameter)) / 2
                yield Joint(f"rods of {name} at the {what}", EYE_WALL * float(size.diameter) - wall,
                            f"they are {in_mm(rod.width)} mm wide over a pin of {in_mm(size.diameter)} mm")  # fmt: skip


def tooth_joints(engine: Engine) -> Iterator[Joint]:
    """Yield how much the gears' face falls short of two modules, and how far their backlash is beyond its bound."""
    gears = engine.cranks.gears
    if gears is None:
        return
    module = float(gears.module)
    if gears.face is not None:
        yield Joint("face", FACE * module - float(gears.face), f"the face is {in_mm(gears.face)} mm wide")
    backlash, why = float(gears.backlash), f"backlash is {in_mm(gears.backlash)} mm"
    yield Joint("backlash", backlash - LOOSE_TEETH * module, why)
    yield Joint("backlash above what binds", TIGHT_TEETH * module - backlash, why)


def guide_joints(engine: Engine) -> Iterator[Joint]:
    """Yield of every yoke how much the length that guides it falls short of its guide's diameter."""
    for name, yoke in engine.yokes.items():
        length, carried = yoke.guided_length, yoke.carries
        if length is None or carried is None:
            continue
        if isinstance(carried, Displacer) and float(carried.stem_diameter) and yoke.guide is not None:
            yield _guided(f"{name}, by its stem", float(length), BUSH * float(carried.stem_diameter))
            yield from _on_stem(f"{name}, along its stem", float(length), carried, yoke)
        elif isinstance(carried, Piston) and yoke.guide is None:
            yield _guided(f"{name}, by its piston", float(length), SKIRT * float(carried.bore))


def _on_stem(what: str, length: float, carried: Displacer, yoke: Yoke) -> Iterator[Joint]:
    """Yield how much longer a bush is than the stem between yoke and displacer, on which it must fit."""
    if carried.stem_length is None:
        return
    top = 0.0 if yoke.outline is None else float(np.max(corner_arrays(yoke.outline)[1]))
    free = float(carried.stem_length) - top
    yield Joint(what, length - free, f"the stem is {in_mm(free)} mm long between yoke and displacer")


def _guided(what: str, length: float, least: float) -> Joint:
    return Joint(
        what, least - length, f"{in_mm(length)} mm guide it, {in_mm(least)} mm is the least that keeps it upright"
    )
