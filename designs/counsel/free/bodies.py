"""What runs in the cylinder, where it stands, and how long shafts are: sizes that keep parts clear of each other."""

from collections.abc import Callable, Iterator

import numpy as np

from balance.bodies.yokes import axis_of
from balance.machine.carried import Diaphragm, Displacer, Piston, Posts
from balance.machine.wheels import Flywheel
from balance.machine.yoke import Yoke
from balance.quantities import Scalar
from balance.turning import HANDS
from designs.changing.edit import Edit, Keys, rounded, text
from designs.changing.groups import sides
from designs.counsel.dial import Dial, Level, Work, fixed, path_of
from designs.counsel.free.shafts import farthest
from designs.design import Design
from designs.design.stock import Stock

WAYS = (0.5e-3, 1e-3, 1.5e-3, 2e-3, 3e-3, 4e-3, 5e-3, 6e-3, 8e-3, 10e-3, 12e-3, 15e-3, 20e-3)  # m
HIGHER = (2e-3, 4e-3, 6e-3, 8e-3, 10e-3, 12e-3, 15e-3, 20e-3, 25e-3, 30e-3)  # m
LEAST = 0.5  # of a length as it was: what is shorter is another part
STEP = 0.5e-3  # m
POST = 5e-3  # m, diameter of a new one; common practice, no source
HAIR = 1e-9  # m; less is rounding
BEYOND = (0.0, 2e-3, 5e-3)  # m of shaft past what sits on it
HEIGHTS = ("displacer_to_hot_end", "displacer_to_piston", "clearance_carried", "dead_hot", "dead_cold")
"""Limits of what stands how high in the cylinder."""


def dials(design: Design, stock: Stock) -> Iterator[Dial]:
    """Yield these choices, each one way: more and less are tried apart. Masses are kept as given."""
    del stock
    for name, yoke in design.yokes.items():
        keys, carried = ("yokes", name, "carries"), yoke.carries
        if isinstance(carried, Displacer):
            yield from _sized("stem of the displacer", (*keys, "stem_length"), carried.stem_length,
                              Work((("displacer stem", 1),)), HEIGHTS)  # fmt: skip
            yield from _sized("displacer", (*keys, "length"), carried.length, Work((("displacer", 1),)), HEIGHTS)
        elif isinstance(carried, Piston | Diaphragm):
            work, aims = Work(((f"post of the {carried.kind}", 1),)), (*HEIGHTS, "piston_in_cylinder")
            yield from _sized(f"post of the {carried.kind}, by its crown", (*keys, "crown"), carried.crown, work, aims)
            if carried.posts is not None:
                yield from _posts((*keys, "posts"), carried.kind, carried.posts)
                yield from [] if yoke.outline is None else _wider(name, yoke, carried.posts)
            elif isinstance(carried, Piston) and yoke.outline is not None:
                others = [other.outline.z for each, other in design.yokes.items() if each != name and other.outline]
                axis = float(axis_of(design))
                yield _new_posts((*keys, "posts"), carried, _beside(yoke.outline.z, others, axis), axis)
    yield from _cylinder(design)
    yield from _shafts(design)
    if design.flywheel is not None:
        yield from _along(design.flywheel)


def _sized(name: str, keys: Keys, given: Scalar | None, work: Work, aims: tuple[str, ...]) -> Iterator[Dial]:
    """Yield a length made longer, and made shorter, by half millimetres and more."""
    if given is None:
        return
    now = float(given)
    for word, sign in (("longer", 1), ("shorter", -1)):
        sizes = [rounded(now + sign * way, STEP / 5) for way in WAYS]
        levels = [Level(fixed(Edit(keys, size)), text(size, "m"), work) for size in sizes if size >= LEAST * now]
        yield Dial(f"{word} {name}", "heights", (path_of(keys),), text(now, "m"), levels, aims)


def _new_posts(keys: Keys, piston: Piston, z: float, axis: float) -> Dial:
    """Two posts for a piston that has none, nearer to the middle or farther.   z, axis : theirs, the cylinder's, m."""
    half = POST / 2
    places = [rounded(half + way, STEP) for way in (0.0, *WAYS)]
    levels = [Level(fixed(Edit(keys, Posts(diameter=POST, x=each, z=z))),
                    f"two of {text(POST, 'm')}, {text(each, 'm')} beside the middle",
                    Work((("post of the piston", 2), ("yoke's holes for posts", 1))))
              for each in places if np.hypot(each, z - axis) + half <= float(piston.bore) / 2]  # fmt: skip
    return Dial("posts of the piston", "heights", (path_of(keys),), "none", levels, ("on_yokes",))


def _beside(along: tuple[Scalar, Scalar], others: list[tuple[Scalar, Scalar]], axis: float) -> float:
    """Return where posts stand on a yoke, m: as near to the axis as they can pass the other yokes, if they can."""
    half = POST / 2
    low, high = float(along[0]) + half, float(along[1]) - half
    places = sorted((rounded(each, STEP / 5) for each in (*np.arange(low, high, STEP), high)),
                    key=lambda each: abs(each - axis))  # fmt: skip
    passes = (
        each for each in places if not any(float(z[0]) - half - STEP < each < float(z[1]) + half + STEP for z in others)
    )
    return next(passes, places[0])


def _posts(keys: Keys, kind: str, posts: Posts) -> Iterator[Dial]:
    """Posts nearer to the middle of the yoke, or further along the shafts."""
    work = Work(((f"post of the {kind}", 2), ("yoke's holes for posts", 1)))
    ways = (("x", posts.x, -1, "nearer to the middle"), ("z", posts.z, -1, "further outward along the shafts"),
            ("z", posts.z, 1, "further inward along the shafts"))  # fmt: skip
    for key, now, sign, words in ways:
        places = [rounded(float(now) + sign * way, STEP / 5) for way in WAYS]
        levels = [Level(fixed(Edit((*keys, key), each)), text(each, "m"), work) for each in places
                  if key == "z" or each >= float(posts.diameter) / 2]  # fmt: skip
        yield Dial(f"posts of the {kind}, {words}", "heights", (path_of((*keys, key)),), text(float(now), "m"), levels,
                   ("on_yokes", "clearance_carried"))  # fmt: skip


def _wider(name: str, yoke: Yoke, posts: Posts) -> Iterator[Dial]:
    """A yoke that reaches as far along the shafts as its posts, where it ends before them; its mass is kept."""
    assert yoke.outline is not None
    keys: Keys = ("yokes", name, "outline", "z")
    (low, high), half = (float(each) for each in yoke.outline.z), float(posts.diameter) / 2
    out, into = float(posts.z) - half, float(posts.z) + half
    for word, end, now in (("outward", out, low), ("inward", into, high)):
        sign = -1 if word == "outward" else 1
        if sign * (end - now) <= HAIR:
            continue
        ends = [rounded(now + sign * STEP * np.ceil((sign * (end - now) + more) / STEP - 1e-6), STEP / 5)
                for more in (0.0, *WAYS[:4])]  # fmt: skip
        levels = [Level(fixed(Edit(keys, (each, high) if sign < 0 else (low, each))), text(each, "m"),
                        Work(((f"{name} yoke", 1),))) for each in ends]  # fmt: skip
        yield Dial(f"{name} yoke reaching further {word} along the shafts", "heights", (path_of(keys),),
                   text(now, "m"), levels, ("on_yokes",))  # fmt: skip


def _cylinder(design: Design) -> Iterator[Dial]:
    """Its length, its place along the shafts, and its height with all that runs in it."""
    cylinder = design.cylinder
    if cylinder is None:
        return
    yield from _sized("cylinder", ("cylinder", "length"), cylinder.length, Work((("cylinder", 1),)),
                      ("displacer_to_hot_end", "dead_hot"))  # fmt: skip
    yield _toward_cranks(float(cylinder.starts_at), cylinder.length)
    work = Work((("seat of the cylinder", 1),))
    for word, sign in (("outward", -1), ("inward", 1)) if cylinder.z is not None else ():
        now = float(cylinder.z)  # type: ignore[arg-type]
        places = [rounded(now + sign * way, STEP) for way in WAYS]
        levels = [Level(_with_what_runs_in_it(each), text(each, "m"), work) for each in places]
        yield Dial(f"cylinder further {word} along the shafts", "heights", ("cylinder.z",), text(now, "m"), levels,
                   ("on_yokes", "clearance_carried"))  # fmt: skip
    more = Work((("seat of the cylinder", 1), ("displacer stem", 1), ("post of the piston or diaphragm", 1)))
    levels = [Level(_raised(way), f"{text(way, 'm')} higher", more) for way in HIGHER]
    paths = ("cylinder.starts_at", "yokes.*.carries.crown", "yokes.*.carries.stem_length")
    yield Dial("cylinder with all that runs in it", "heights", paths, "as it stands", levels,
               ("clearance_carried", "clearance"))  # fmt: skip


def _with_what_runs_in_it(z: float) -> Callable[[Design], tuple[Edit, ...]]:
    """Move the cylinder along the shafts, and the masses in its middle with it."""

    def edits(design: Design) -> tuple[Edit, ...]:
        assert design.cylinder is not None
        now = float(design.cylinder.z)  # type: ignore[arg-type]
        places = {("yokes", name, "parts", part, "at"): each.at
                  for name, yoke in design.yokes.items() for part, each in yoke.parts.items()}  # fmt: skip
        moved = (Edit(keys, z) for keys, at in places.items() if at is not None and abs(float(at) - now) < HAIR)
        return Edit(("cylinder", "z"), z), *moved

    return edits


def _toward_cranks(start: float, length: Scalar | None) -> Dial:
    """A cylinder whose open end lies nearer to the cranks, so that more of a piston stays in it; its hot end stays."""
    now = {"starts_at": start} | ({} if length is None else {"length": float(length)})
    keys: list[Keys] = [("cylinder", key) for key in now]
    sizes = [[rounded(value + way * (-1 if key == "starts_at" else 1), STEP / 5) for key, value in now.items()]
             for way in WAYS if start > way]  # fmt: skip
    levels = [Level(fixed(*map(Edit, keys, each)), _reaches(*each), Work((("cylinder", 1),))) for each in sizes]
    return Dial("open end of the cylinder", "heights", tuple(map(path_of, keys)), _reaches(*now.values()), levels,
                ("piston_in_cylinder",))  # fmt: skip


def _reaches(start: float, *length: float) -> str:
    return ", ".join([f"{text(start, 'm')} from the cranks", *(f"{text(each, 'm')} long" for each in length)])


def _raised(way: float) -> Callable[[Design], tuple[Edit, ...]]:
    """Everything in the cylinder higher by as much, so that heights in it stay as they are."""

    def edits(design: Design) -> tuple[Edit, ...]:
        if design.cylinder is None:
            return ()
        found = [Edit(("cylinder", "starts_at"), rounded(float(design.cylinder.starts_at) + way, STEP / 5))]
        for name, yoke in design.yokes.items():
            key = "stem_length" if isinstance(yoke.carries, Displacer) else "crown"
            now = getattr(yoke.carries, key, None)
            if yoke.carries is not None and now is None:
                return ()  # how high it stands is not known
            if now is not None:
                found.append(Edit(("yokes", name, "carries", key), rounded(float(now) + way, STEP / 5)))
        return tuple(found)

    return edits


def _shafts(design: Design) -> Iterator[Dial]:
    """Shafts that reach past all that is to sit on them."""
    levels = [Level(_reaching(more), f"{text(more, 'm')} past what sits on them" if more else "as far as what sits on "
                    "them", Work((("shaft", 2),))) for more in BEYOND if _reaching(more)(design)]  # fmt: skip
    yield Dial("longer shafts", "shafts", ("shafts.segments.*.length",), text(float(design.shafts.ends_at), "m"),
               levels, ("on_shaft", "axial_room", "pin_seats"))  # fmt: skip


def _reaching(more: float) -> Callable[[Design], tuple[Edit, ...]]:
    def edits(design: Design) -> tuple[Edit, ...]:
        found = []
        for keys, shaft in sides(design):
            hands = [keys[-1]] if keys[-1] == "left" else ["right"] if design.shafts.left is not None else list(HANDS)
            short = max(farthest(design, hand) for hand in hands) + more - float(shaft.ends_at)
            if short > 0:
                last = len(shaft.segments) - 1
                length = np.ceil((float(shaft.segments[last].length) + short) / STEP - 1e-6) * STEP
                found.append(Edit((*keys, "segments", str(last), "length"), rounded(float(length), STEP)))
        return tuple(found)

    return edits


def _along(wheel: Flywheel) -> Iterator[Dial]:
    """A flywheel nearer to the bearings or farther from them, on each shaft that carries one."""
    places = {"at": wheel.at} | ({"left_at": wheel.left_at} if wheel.left_at is not None else {})
    for key, at in places.items():
        now, keys = float(at), ("flywheel", key)
        which = "left flywheel" if key == "left_at" else "flywheel"
        for word, sign in (("down", -1), ("up", 1)):
            found = [rounded(now + sign * way, STEP / 2) for way in WAYS]
            levels = [Level(fixed(Edit(keys, each)), text(each, "m")) for each in found]
            yield Dial(f"{which} {word} along its shaft", "flywheel", (path_of(keys),), text(now, "m"), levels,
                       ("clearance_wheels", "on_shaft", "axial_room"))  # fmt: skip
