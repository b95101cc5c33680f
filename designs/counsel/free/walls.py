"""Walls of the case that something turning comes too near to: ending sooner along the shafts, or farther out.

Like walls on both sides change together, and a wall that reaches to one that moves still does. What the case weighs,
and where, is kept as given.
"""

from collections.abc import Callable, Iterable, Iterator
from itertools import combinations

import numpy as np

from balance.machine.outline import Outline
from balance.outlines import boxes_apart, corner_arrays, ranges_meet
from balance.turning import HANDS
from designs.changing.edit import Edit, edited, rounded, text
from designs.counsel.dial import Dial, Level, Pieces, Work
from designs.design import Design
from designs.design.stock import Stock
from shafts.along import sitting

ROOM = 1e-3  # m between a wall's end and what turns before it; common practice, no source
NEAR = 2e-3  # m from a wall, beside it or along the shafts: what turns farther off has room enough
FARTHER = (1e-3, 2e-3, 3e-3, 4e-3, 5e-3, 6e-3, 8e-3, 10e-3, 12e-3, 16e-3, 20e-3)  # m
HALF = 0.5e-3  # m, to which ends are rounded
HAIR = 1e-9  # m
AIMS = ("clearance", "clearance_wheels", "clearance_weights", "clearance_carried", "clearance_bearings")
Box = np.ndarray
"""Least x and y of a wall, then largest, m, (4,)."""
Disc = tuple[str, float, float, float]
"""What turns: its shaft, its radius, from where to where along it, m."""


def dials(design: Design, stock: Stock) -> Iterator[Dial]:
    """Yield the ends and the place of walls that a gear, wheel or counterweight comes near to or runs into."""
    del stock
    for names in _alike(design):
        struck = [disc for disc in _turning(design) for each in names if _near(design, design.walls[each], disc)]
        if not struck:
            continue
        called, first = " and ".join(names), design.walls[names[0]]
        paths = tuple(f"walls.{each}.z" for each in names)
        for end, word in enumerate(("start", "end")):
            levels = [Level(_ending(names, end, at), text(at, "m"), Work(pieces_of(names)))
                      for at in _ends(design, first, end, struck)]  # fmt: skip
            yield Dial(f"{word} of {called}", "case", paths, text(float(first.z[end]), "m"), levels, AIMS)
        moves = {more: _farther(design, names, more) for more in FARTHER}
        levels = [Level(_moved(names, more), f"{text(more, 'm')} farther out",
                        Work(pieces_of(dict.fromkeys(edit.keys[1] for edit in edits))))
                  for more, edits in moves.items() if edits and _within_case(design, edits)]  # fmt: skip
        paths = tuple(dict.fromkeys(edit.path for edits in moves.values() for edit in edits))
        yield Dial(f"place of {called}", "case", paths, "as it stands", levels, AIMS)


def pieces_of(names: Iterable[str]) -> Pieces:
    """Return walls as pieces to make: each has its name, so that one that two changes touch is made once."""
    return tuple((f"{name} of the case", 1) for name in names)


def from_axis(design: Design, wall: Outline, hand: str) -> float:
    """Return the distance between the axis of the right or left shaft and the rectangle about a wall, m."""
    axis = HANDS[hand] * float(design.cranks.centre_distance) / 2
    return float(boxes_apart(np.array([axis, 0.0, axis, 0.0]), _box(wall)))


def _box(wall: Outline) -> Box:
    x, y = corner_arrays(wall)
    return np.array([np.min(x), np.min(y), np.max(x), np.max(y)], dtype=float)


def _alike(design: Design) -> list[tuple[str, ...]]:
    """Return the walls' names, those of two that mirror each other together."""
    pairs = [(one, other) for one, other in combinations(design.walls, 2)
             if design.walls[one].z == design.walls[other].z
             and np.allclose(_box(design.walls[one])[[2, 1, 0, 3]] * (-1, 1, -1, 1), _box(design.walls[other]),
                             rtol=0, atol=HAIR)]  # fmt: skip
    paired = {name for pair in pairs for name in pair}
    return [*pairs, *((name,) for name in design.walls if name not in paired)]


def _turning(design: Design) -> Iterator[Disc]:
    """Yield the gears, wheels and counterweights whose size is given."""
    gears, weights = design.cranks.gears, design.counterweights
    for hand in HANDS:
        if gears is not None:
            yield _disc(hand, gears.tip_radius, gears.at, gears.face or 0.0)
        for wheel in design.wheels(hand).values():
            if wheel.diameter is not None:
                yield _disc(hand, wheel.diameter / 2, wheel.z(hand), wheel.thickness or 0.0)
        for at in () if weights is None else weights.planes:
            yield _disc(hand, weights.largest_radius, at, weights.thickness)  # type: ignore[union-attr]


def _disc(hand: str, radius, at, thickness) -> Disc:
    return hand, float(radius), float(at) - float(thickness) / 2, float(at) + float(thickness) / 2


def _near(design: Design, wall: Outline, disc: Disc) -> bool:
    hand, radius, low, high = disc
    return from_axis(design, wall, hand) < radius + NEAR and bool(ranges_meet(wall.z, (low, high), NEAR))


def _ends(design: Design, wall: Outline, end: int, struck: list[Disc]) -> list[float]:
    """Return where a wall may end before what it comes near to, the nearest first, m; past the last plate or bearing.

    None on the side of a throw that stands beyond those: there the case stands about the crank.
    """
    sign = (-1, 1)[end]
    held = [sign * float(each.at) + float(each.length) / 2 for hand in HANDS for each in sitting(design, hand)
            if each.case]  # fmt: skip
    last, now = max(held, default=np.inf), sign * float(wall.z[end])
    if any(sign * float(each.at) > last for each in design.cranks.throws.values()):
        return []
    before = (min(sign * low, sign * high) - ROOM for _, _, low, high in struck)
    places = {float(np.floor(each / HALF + 1e-6)) * HALF for each in before}
    return [rounded(sign * each, HALF) for each in sorted(places, reverse=True) if last - HAIR <= each < now - HAIR]


def _ending(names: tuple[str, ...], end: int, at: float) -> Callable[[Design], tuple[Edit, ...]]:
    def edits(design: Design) -> tuple[Edit, ...]:
        spans = {each: (at, design.walls[each].z[1]) if end == 0 else (design.walls[each].z[0], at) for each in names}
        return tuple(Edit(("walls", each, "z"), (float(low), float(high))) for each, (low, high) in spans.items())

    return edits


def _moved(names: tuple[str, ...], more: float) -> Callable[[Design], tuple[Edit, ...]]:
    return lambda design: _farther(design, names, more)


def _farther(design: Design, names: tuple[str, ...], more: float) -> tuple[Edit, ...]:
    """Return plain upright or level walls so much farther from the middle, and others as wide as reaches to them."""
    found, boxes = list[Edit](), {name: _box(wall) for name, wall in design.walls.items()}
    for name in names:
        wall = design.walls[name]
        axis = 0 if wall.rectangle is None else int(np.argmin([float(each) for each in wall.rectangle]))
        offset = [float(each) for each in wall.offset]
        sign = int(np.sign(offset[axis]))
        if wall.rectangle is None or not sign:
            return ()
        outer = float(boxes[name][axis + 2 * (sign > 0)]) * sign
        offset[axis] = rounded(offset[axis] + sign * more, HALF / 10)
        found.append(Edit(("walls", name, "offset"), (offset[0], offset[1])))
        for other in (each for each in design.walls if each not in names):
            reaches = sign * float(boxes[other][axis + 2 * (sign > 0)])
            if _meet(design, name, other) and reaches < outer + more - HAIR:
                if design.walls[other].rectangle is None:
                    return ()
                boxes[other][axis + 2 * (sign > 0)] += sign * more
    widened = [each for each in boxes if not np.array_equal(boxes[each], _box(design.walls[each]))]
    return (*found, *(edit for each in widened for edit in _as_box(each, boxes[each])))


def _as_box(name: str, box: Box) -> tuple[Edit, ...]:
    size, middle = (tuple(rounded(float(each), HALF / 50) for each in pair)
                    for pair in (box[2:] - box[:2], (box[2:] + box[:2]) / 2))  # fmt: skip
    return Edit(("walls", name, "rectangle"), size), Edit(("walls", name, "offset"), middle)


def _meet(design: Design, one: str, other: str) -> bool:
    walls = design.walls[one], design.walls[other]
    return bool(ranges_meet(walls[0].z, walls[1].z)) and float(boxes_apart(*map(_box, walls))) <= HAIR


def _within_case(design: Design, edits: tuple[Edit, ...]) -> bool:
    """Whether walls stay within the box of the case, if its size is given, as far as they stood within it."""
    if design.mount is None or design.mount.size is None:
        return True
    (x, y, _), (wide, high, _) = (tuple(map(float, each)) for each in (design.mount.cg, design.mount.size))
    case = np.array([-(x - wide / 2), -(y - high / 2), x + wide / 2, y + high / 2])
    outward = np.array([-1, -1, 1, 1])
    after = edited(design, edits)
    return all(bool(np.all(outward * _box(after.walls[name]) <= np.maximum(case, outward * _box(wall)) + HAIR))
               for name, wall in design.walls.items())  # fmt: skip
