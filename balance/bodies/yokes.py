"""Bodies of the yokes, of what hangs them on the cranks, and of what they carry."""

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

import numpy as np

from balance.bodies.usual import rod_size
from balance.machine.carried import Diaphragm, Displacer, Piston, Posts
from balance.machine.machine import Machine
from balance.machine.outline import Outline
from balance.machine.yoke import Yoke
from balance.motion import Motion, YokeMotion
from balance.obstacles import Missing, Obstacle, about
from balance.outlines import polygon
from balance.quantities import Number
from balance.turning import HANDS

HAIR = 1e-9  # m; so that a stem drawn as wide as it is leaves no sliver
REACH = 0.02  # m; how far from its throw's plane a yoke of unknown outline may reach along the shafts
SKIRT, PLATE = 0.6, 0.1  # length of a piston over its bore, thickness of clamp plates over their diameter; usual


@dataclass(frozen=True)
class Upright:
    """What a yoke carries, as a body of revolution about the cylinder's axis.

    low, rim, top : heights of its lower end, of its upper end at the rim and in the middle, above the pivot line, m.
    radius : m.   taken : the key that would give its length or height, where a usual one is taken.
    """

    low: float
    rim: float
    top: float
    radius: float
    taken: str = ""


def upright(name: str, yoke: Yoke) -> Upright | None:
    """Return what a yoke carries by its measures; None as long as its height on the yoke is not given."""
    carried = yoke.carries
    if isinstance(carried, Displacer) and carried.stem_length is not None and carried.length is not None:
        low, length, dome = float(carried.stem_length), float(carried.length), float(carried.dome)
        return Upright(low, low + length, low + length + dome, _diameter_of(carried) / 2)
    if isinstance(carried, Piston) and carried.crown is not None:
        crown = float(carried.crown)
        taken = "" if carried.length is not None else f"yokes.{name}.carries.length"
        low = crown - float(SKIRT * carried.bore if carried.length is None else carried.length)
        return Upright(low, crown, crown, _diameter_of(carried) / 2, taken)
    if isinstance(carried, Diaphragm) and carried.crown is not None and carried.clamp_diameter is not None:
        crown, wide = float(carried.crown), float(carried.clamp_diameter)
        taken = "" if carried.plate is not None else f"yokes.{name}.carries.plate"
        return Upright(crown - float(PLATE * wide if carried.plate is None else carried.plate), crown, crown, wide / 2,
                       taken)  # fmt: skip
    return None


def axis_of(machine: Machine) -> Number:
    """Return the place of the cylinder's axis along the shafts, m: as given, else midway between its throws."""
    if machine.cylinder is not None and machine.cylinder.z is not None:
        return machine.cylinder.z
    places = [machine.throw_of(yoke).at for yoke in machine.yokes.values() if yoke.carries is not None]
    every = np.stack(np.broadcast_arrays(*(places or [each.at for each in machine.cranks.throws.values()])))
    return (np.min(every, axis=0) + np.max(every, axis=0)) / 2


def yoke_bodies(machine: Machine, motion: Motion) -> Iterator[Obstacle]:
    """Yield every yoke, its crankpins and rods, and what it carries with its stem, as far as they are known."""
    for name, yoke in machine.yokes.items():
        moved = motion.yokes[name]
        for hand in HANDS:
            yield from _pin_and_rod(machine, name, yoke, moved, hand)
        if yoke.outline is not None:
            yield _from_outline(f"yoke {name}", name, yoke.outline, moved, "yoke")
        yield from _carried(machine, name, yoke, moved)


def yokes_without(machine: Machine) -> Iterator[Missing]:
    """Yield what has no body among yokes, rods, crankpins and what yokes carry."""
    for name, yoke in machine.yokes.items():
        throw = machine.throw_of(yoke)
        near = about(throw.at, 2 * REACH)
        if yoke.outline is None:
            yield Missing(f"yoke {name} (yokes.{name}.outline)", near)
        if yoke.rod is not None and rod_size(yoke.rod, throw) is None:
            yield Missing(f"rods of {name} (yokes.{name}.rod.width and .thickness)", near)
        if throw.pin is None:
            yield Missing(f"crankpin {yoke.throw} (cranks.throws.{yoke.throw}.pin)", near)
        yield from _carried_without(machine, name, yoke)
        yield from _posts_without(machine, name, yoke)


def _carried_without(machine: Machine, name: str, yoke: Yoke) -> Iterator[Missing]:
    carried = yoke.carries
    if carried is None or carried.outline is not None or upright(name, yoke) is not None:
        return
    wide = carried.free_diameter if isinstance(carried, Diaphragm) else carried.bore
    keys = {"piston": "crown", "displacer": "stem_length and .length", "diaphragm": "crown and .clamp_diameter"}
    z = about(axis_of(machine), 2 * REACH if wide is None else wide)
    yield Missing(f"{carried.kind} of {name} (yokes.{name}.carries.{keys[carried.kind]})", z)


def _posts_without(machine: Machine, name: str, yoke: Yoke) -> Iterator[Missing]:
    """Yield what must carry a piston or diaphragm past a yoke that hangs higher than its own, if it is not given."""
    carried = yoke.carries
    if not isinstance(carried, Piston | Diaphragm) or carried.posts is not None or carried.outline is not None:
        return
    for other, above in machine.yokes.items():
        if above is not yoke and hangs_at(machine, above) > hangs_at(machine, yoke):
            z = about(machine.throw_of(above).at, 2 * REACH) if above.outline is None else above.outline.z
            words = f"what carries {carried.kind} of {name} past yoke {other} (yokes.{name}.carries.posts)"
            yield Missing(words, (float(z[0]), float(z[1])))


def hangs_at(machine: Machine, yoke: Yoke) -> float:
    """Return a height about which a yoke moves: enough to tell which of two hangs higher, m."""
    if yoke.rod is None:
        return 0.0
    offset = float(machine.cranks.centre_distance) / 2 - float(yoke.half_span)
    rise = np.sqrt(max(float(yoke.rod.length) ** 2 - offset**2, 0.0))
    return float(rise if yoke.side == "above" else -rise)


def _diameter_of(carried: Piston | Displacer) -> float:
    return float(carried.bore if carried.diameter is None else carried.diameter)


def _pin_and_rod(machine: Machine, name: str, yoke: Yoke, moved: YokeMotion, hand: str) -> Iterator[Obstacle]:
    import shapely

    throw, sign = machine.throw_of(yoke), HANDS[hand]
    pins = np.stack([sign * moved.pin.x, moved.pin.along], axis=-1)
    if throw.pin is not None:
        z, radius = about(throw.at, throw.pin.length), float(throw.pin.diameter) / 2
        follows = "pin", name
        yield Obstacle(f"{hand} crankpin {yoke.throw}", hand, z, shapely.points(pins), radius, follows, kind="pin")
    size = None if yoke.rod is None else rod_size(yoke.rod, throw)
    if size is None or yoke.rod is None:
        return
    pivots = np.stack(np.broadcast_arrays(sign * yoke.half_span, moved.height), axis=-1)
    lines = shapely.linestrings(np.stack([pins, pivots], axis=-2))
    given = yoke.rod.width is not None and yoke.rod.thickness is not None
    yield Obstacle(
        f"{hand} rod of {name}", hand, about(throw.at, size[1]), lines, size[0] / 2, ("rod", name), kind="rod",
        taken="" if given else f"yokes.{name}.rod.width and .thickness",
    )  # fmt: skip


def _carried(machine: Machine, name: str, yoke: Yoke, moved: YokeMotion) -> Iterator[Obstacle]:
    import shapely

    carried, body = yoke.carries, upright(name, yoke)
    if carried is None:
        return
    if body is not None and isinstance(carried, Piston | Diaphragm) and carried.posts is not None:
        yield _posts(name, carried.posts, body, moved)
    label = f"{carried.kind} of {name}" if name != carried.kind else carried.kind
    if isinstance(carried, Displacer) and carried.outline is not None and float(carried.stem_diameter):
        yield from _with_stem(name, carried, carried.outline, moved)
        return
    if carried.outline is not None:
        yield _from_outline(f"what {name} carries", name, carried.outline, moved, "carried")
    elif body is not None:
        z = about(axis_of(machine), 2 * body.radius)
        # A dome is taken to be as wide as its foot: no less than it is.
        shape = shapely.box(-body.radius, body.low, body.radius, body.top)
        yield Obstacle(label, "both", z, _at_heights(shape, moved.height), 0.0, ("yoke", name), kind="carried",
                       taken=body.taken)  # fmt: skip
    if isinstance(carried, Displacer) and carried.stem_length is not None and float(carried.stem_diameter):
        half = float(carried.stem_diameter) / 2
        shape = shapely.box(-half, 0.0, half, float(carried.stem_length))
        z = about(axis_of(machine), 2 * half)
        yield Obstacle(f"stem of {name}", "both", z, _at_heights(shape, moved.height), 0.0, ("yoke", name), kind="stem")


def _posts(name: str, posts: Posts, body: Upright, moved: YokeMotion) -> Obstacle:
    import shapely

    half, x = float(posts.diameter) / 2, float(posts.x)
    pair = shapely.multipolygons([shapely.box(side - half, 0.0, side + half, body.low) for side in sorted({-x, x})])
    z = about(posts.z, posts.diameter)
    return Obstacle(f"posts of {name}", "both", z, _at_heights(pair, moved.height), 0.0, ("yoke", name), kind="post")


def _from_outline(what: str, name: str, outline: Outline, moved: YokeMotion, kind: str) -> Obstacle:
    z = float(outline.z[0]), float(outline.z[1])
    return Obstacle(what, "both", z, _at_heights(polygon(outline), moved.height), 0.0, ("yoke", name), kind=kind)


def _with_stem(name: str, carried: Displacer, outline: Outline, moved: YokeMotion) -> Iterator[Obstacle]:
    """Yield a drawn displacer as two parts: the strip about the axis that is no wider than its stem, and the rest."""
    import shapely

    drawn, z, half = polygon(outline), (float(outline.z[0]), float(outline.z[1])), float(carried.stem_diameter) / 2
    _, low, _, high = shapely.bounds(drawn)
    strip = shapely.box(-half - HAIR, low, half + HAIR, high)
    for what, kind, shape in (
        (f"what {name} carries", "carried", shapely.difference(drawn, strip)),
        (f"stem of {name}", "stem", shapely.intersection(drawn, strip)),
    ):
        if not shapely.is_empty(shape):
            yield Obstacle(what, "both", z, _at_heights(shape, moved.height), 0.0, ("yoke", name), kind=kind)


def _at_heights(shape: Any, height: np.ndarray) -> Any:
    """Return a shape at every angle, raised by a height, m, (angles,)."""
    import shapely

    corners = shapely.get_coordinates(shape)
    raised = corners + np.stack([np.zeros_like(height), height], axis=-1)[:, None]
    return shapely.set_coordinates(np.repeat(shape, len(height)), raised.reshape(-1, 2))
