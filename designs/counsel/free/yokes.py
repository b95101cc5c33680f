"""Yokes: their cross-bar, as deep as it is said to be, thicker, or long enough for its pins; the bush on a stem."""

from collections.abc import Callable, Iterator
from functools import partial

import numpy as np

from balance.machine.carried import Displacer
from balance.machine.materials import MATERIALS, Material
from balance.machine.yoke import Yoke
from balance.outlines import corner_arrays
from designs.changing.edit import Edit, edited, rounded, text
from designs.counsel.dial import Dial, Level, Work, fixed, path_of
from designs.design import Design
from designs.design.stock import Stock
from shafts.clearance.held import BUSH

MORE = (1e-3, 2e-3, 4e-3)  # m of bar
LARGER = (1.25, 1.5, 1.75, 2.0)  # times as thick both ways
HALF = 0.5e-3  # m, to which bars are sold or planed
METALS = ("strong-aluminium", "steel")  # of bars that hold more; common practice, no source
ENDS = (3e-3, 5e-3, 2e-3)  # m of bar beyond each pin, the usual first; common practice, no source
HAIR = 1e-6
TENTH = 1e-4  # m
HUNDREDTH = 1e-5  # m
GRAM = 1e-5  # kg, how finely masses are written
Edits = Callable[[Design], tuple[Edit, ...]]


def dials(design: Design, stock: Stock) -> Iterator[Dial]:
    """Yield these choices of each yoke, those of its bar where it has an outline."""
    del stock
    for name, yoke in design.yokes.items():
        if yoke.outline is None:
            continue
        yield from _as_drawn(name, yoke)
        if yoke.outline.rectangle is not None:
            yield from _stronger(name, yoke)
            yield from _longer(name, yoke)
    for name, yoke in design.yokes.items():
        yield from _guide(name, yoke)


def _as_drawn(name: str, yoke: Yoke) -> Iterator[Dial]:
    """Yield the cross-bar of a yoke as deep as its outline, where it is said to be deeper."""
    if yoke.arm is None or yoke.outline is None:
        return
    deep = {"height": float(np.ptp(corner_arrays(yoke.outline)[1])),
            "width": float(yoke.outline.z[1] - yoke.outline.z[0])}  # fmt: skip
    for side, most in deep.items():
        now, keys = float(getattr(yoke.arm.section, side)), ("yokes", name, "arm", "section", side)
        level = Level(fixed(Edit(keys, size := rounded(most, HUNDREDTH))), text(size, "m"), _work(name))
        if now > most + HUNDREDTH:
            yield Dial(f"{side} of the {name} yoke's bar", "yokes", (path_of(keys),), text(now, "m"), [level],
                       ("on_yokes",))  # fmt: skip


def _stronger(name: str, yoke: Yoke) -> Iterator[Dial]:
    """Yield a cross-bar that is wider along the shafts, thicker along the cylinder, to both sides or to one, or both.

    Its outline grows with it where it has no room for it: a stepped bar has.
    """
    if yoke.arm is None:
        return
    assert yoke.outline is not None and yoke.outline.rectangle is not None
    room = float(yoke.outline.rectangle[1]) - float(yoke.arm.section.height)
    yield _bar(f"wider bar of the {name} yoke", name, "width", float(yoke.arm.section.width), _of_width)
    for words, share in (("", 0.0), (", toward the cranks", -0.5), (", away from the cranks", 0.5)):
        if share and room > MORE[0]:
            continue  # it is as thick as that to both sides
        way = share if yoke.side == "above" else -share
        yield _bar(f"thicker bar of the {name} yoke{words}", name, "height", float(yoke.arm.section.height),
                   partial(_of_height, way=way))  # fmt: skip
    yield _larger(name, yoke)
    if yoke.arm.material.name in MATERIALS:
        yield _of_stronger_metal(name, yoke.arm.material)


def _of_stronger_metal(name: str, own: Material) -> Dial:
    metals = [each for each in map(MATERIALS.__getitem__, METALS)
              if float(each.yield_strength or 0.0) > float(own.yield_strength or 0.0)]  # fmt: skip
    levels = [Level(_of_metal(name, each), each.name, _work(name)) for each in metals]
    path = path_of(("yokes", name, "arm", "material"))
    return Dial(f"metal of the {name} yoke's bar", "yokes", (path,), own.name, levels, ("arm_strength",))


def _of_metal(name: str, metal: Material) -> Edits:
    """Return edits to a bar of another metal; what a yoke is said to be of for its growth with heat goes with it."""

    def edits(design: Design) -> tuple[Edit, ...]:
        yoke, keys = design.yokes[name], ("yokes", name)
        assert yoke.arm is not None and yoke.outline is not None and yoke.outline.rectangle is not None
        arm, whole = yoke.arm, yoke.material
        volume = float(yoke.outline.rectangle[0]) * float(arm.section.width) * float(arm.section.height)
        more = volume * (float(metal.density) / float(arm.material.density) - 1)
        grows = whole is not None and whole.name == arm.material.name
        return (Edit((*keys, "arm", "material"), metal), *[Edit((*keys, "material"), metal)] * grows,
                *_heavier(name, yoke, more))  # fmt: skip

    return edits


def _larger(name: str, yoke: Yoke) -> Dial:
    """Return a bar that is larger both ways, one that fills its outline among them: it comes no nearer to anything."""
    assert yoke.arm is not None and yoke.outline is not None and yoke.outline.rectangle is not None
    now = float(yoke.arm.section.width), float(yoke.arm.section.height)
    sizes = [tuple(float(np.ceil(each * share / HALF - HAIR) * HALF) for each in now) for share in LARGER]
    whole = float(yoke.outline.z[1] - yoke.outline.z[0]), float(yoke.outline.rectangle[1])
    if all(size > each + HUNDREDTH for size, each in zip(whole, now, strict=True)):
        sizes.append(tuple(rounded(each, HUNDREDTH) for each in whole))
    sizes.sort(key=lambda size: size[0] * size[1])
    levels = [Level(_of_both(name, *size), _by(*size), _work(name)) for size in sizes]
    paths = tuple(path_of(("yokes", name, "arm", "section", side)) for side in ("width", "height"))
    return Dial(f"larger bar of the {name} yoke", "yokes", paths, _by(*now), levels, ("arm_strength",))


def _by(width: float, height: float) -> str:
    return f"{width * 1e3:.4g} x {height * 1e3:.4g} mm"


def _of_both(name: str, width: float, height: float) -> Edits:
    def edits(design: Design) -> tuple[Edit, ...]:
        wider = _of_width(name, width)(design)
        both = (*wider, *_of_height(name, height, 0.0)(edited(design, wider)))
        return tuple({each.keys: each for each in both}.values())  # of the mass, which both change, the last

    return edits


def _bar(called: str, name: str, side: str, now: float, of_size: Callable[[str, float], Edits]) -> Dial:
    levels = [Level(of_size(name, size), text(size, "m"), _work(name))
              for more in MORE if (size := rounded(now + more, TENTH)) <= 2 * now]  # fmt: skip
    path = path_of(("yokes", name, "arm", "section", side))
    return Dial(called, "yokes", (path,), text(now, "m"), levels, ("arm_strength",))


def _of_height(name: str, height: float, way: float) -> Edits:
    """Return edits to a bar of a height, m.   way : share of what it grows by, by which its middle goes up."""

    def edits(design: Design) -> tuple[Edit, ...]:
        yoke, keys = design.yokes[name], ("yokes", name)
        assert yoke.arm is not None and yoke.outline is not None and yoke.outline.rectangle is not None
        (long, high), (x, y) = (
            (float(each) for each in pair) for pair in (yoke.outline.rectangle, yoke.outline.offset)
        )
        more, beyond = height - float(yoke.arm.section.height), height - high
        grown = [Edit((*keys, "outline", "rectangle"), (long, rounded(height, HUNDREDTH)))] * (beyond > 0)
        grown += [Edit((*keys, "outline", "offset"), (x, rounded(y + way * beyond, HUNDREDTH)))] * bool(grown and way)
        return (Edit((*keys, "arm", "section", "height"), height), *grown,
                *_heavier(name, yoke, long * more * float(yoke.arm.section.width)))  # fmt: skip

    return edits


def _of_width(name: str, width: float) -> Edits:
    def edits(design: Design) -> tuple[Edit, ...]:
        yoke, keys = design.yokes[name], ("yokes", name)
        assert yoke.arm is not None and yoke.outline is not None and yoke.outline.rectangle is not None
        long, more = float(yoke.outline.rectangle[0]), width - float(yoke.arm.section.width)
        low, high = (float(each) for each in yoke.outline.z)
        beyond = (width - (high - low)) / 2
        z = (rounded(low - beyond, HUNDREDTH), rounded(high + beyond, HUNDREDTH))
        return (Edit((*keys, "arm", "section", "width"), width), *[Edit((*keys, "outline", "z"), z)] * (beyond > 0),
                *_heavier(name, yoke, long * more * float(yoke.arm.section.height)))  # fmt: skip

    return edits


def _longer(name: str, yoke: Yoke) -> Iterator[Dial]:
    """Yield a bar that reaches past its pins, where it ends before them."""
    assert yoke.outline is not None and yoke.outline.rectangle is not None
    pin = None if yoke.rod is None else yoke.rod.yoke_pin
    least = 2 * float(yoke.half_span) + (0.0 if pin is None else float(pin.diameter))
    now, keys = float(yoke.outline.rectangle[0]), ("yokes", name, "outline", "rectangle")
    if yoke.rod is None or now >= least:
        return
    levels = [Level(_of_length(name, size), text(size, "m"), _work(name))
              for end in ENDS if (size := rounded(least + 2 * end, TENTH))]  # fmt: skip
    yield Dial(f"longer bar of the {name} yoke", "yokes", (path_of(keys),), text(now, "m"), levels, ("on_yokes",))


def _of_length(name: str, length: float) -> Edits:
    def edits(design: Design) -> tuple[Edit, ...]:
        yoke = design.yokes[name]
        assert yoke.outline is not None and yoke.outline.rectangle is not None
        long, high = (float(each) for each in yoke.outline.rectangle)
        deep = 0.0 if yoke.arm is None else float(yoke.arm.section.width)
        return (Edit(("yokes", name, "outline", "rectangle"), (length, high)),
                *_heavier(name, yoke, (length - long) * high * deep))  # fmt: skip

    return edits


def _guide(name: str, yoke: Yoke) -> Iterator[Dial]:
    """Yield a bush on a stem that is as long as the stem is thick, or no longer than the stem beyond the bar."""
    stem = yoke.carries
    if not isinstance(stem, Displacer) or yoke.guide is None or yoke.guide.length is None:
        return
    now, least = float(yoke.guide.length), BUSH * float(stem.stem_diameter)
    top = 0.0 if yoke.outline is None else float(np.max(corner_arrays(yoke.outline)[1]))
    most = np.inf if stem.stem_length is None else float(stem.stem_length) - top
    sizes = [rounded(size, TENTH) for size in (least, 1.5 * least, 2 * least) if now < least and size <= most]
    sizes += [np.floor(most / TENTH + 1e-6) * TENTH] if least <= most < now else []
    keys, work = ("yokes", name, "guide", "length"), Work(make=((f"guide of the {name}", 1),))
    levels = [Level(fixed(Edit(keys, rounded(size, TENTH))), text(rounded(size, TENTH), "m"), work) for size in sizes]
    if levels:
        yield Dial(f"guide of the {name}", "yokes", (path_of(keys),), text(now, "m"), levels, ("guided_length",))


def _heavier(name: str, yoke: Yoke, volume: float) -> Iterator[Edit]:
    """Yield the mass of a bar that grows by a volume, m^3, where its metal is given."""
    part = yoke.parts.get("yoke")
    if yoke.arm is not None and part is not None:
        mass = float(part.mass) + volume * float(yoke.arm.material.density)
        yield Edit(("yokes", name, "parts", "yoke", "mass"), rounded(mass, GRAM))


def _work(name: str) -> Work:
    return Work(make=((f"{name} yoke", 1),))
