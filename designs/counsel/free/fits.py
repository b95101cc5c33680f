"""What runs in something or holds something: crankpins, pistons and displacers, holes for stems."""

from collections.abc import Iterator

import numpy as np

from balance.machine.carried import Displacer, Piston
from designs.changing.edit import Edit, Keys, rounded, text
from designs.counsel.dial import Dial, Level, Work, fixed, path_of
from designs.counsel.free.cranks import webs_of
from designs.design import Design
from designs.design.stock import Stock

LONGER = (1e-3, 2e-3, 3e-3, 4e-3, 6e-3)  # m, of a crankpin
PLAY = {"piston": (0.02e-3, 0.03e-3, 0.05e-3), "displacer": (0.6e-3, 1e-3, 1.5e-3)}
"""Play that is turned on a diameter, m: a running fit, and a way for the gas (common practice, no source)."""
AROUND = (0.1e-3, 0.2e-3, 0.5e-3)  # m, of a hole about a stem
HUNDREDTH = 1e-5  # m


def dials(design: Design, stock: Stock) -> Iterator[Dial]:
    """Yield these choices; only the whole verdict sees what they do."""
    del stock
    yield from _crankpins(design)
    yield from _bores(design)
    for name, yoke in design.yokes.items():
        if isinstance(yoke.carries, Piston | Displacer) and yoke.carries.diameter is not None:
            yield _turned(design, name, yoke.carries)
        if yoke.hole is not None:
            yield from _hole(design, name, float(yoke.hole))


def _crankpins(design: Design) -> Iterator[Dial]:
    for name, throw in design.cranks.throws.items():
        if throw.pin is not None:
            keys, now = ("cranks", "throws", name, "pin", "length"), float(throw.pin.length)
            work = Work(make=((f"{name} crankpin", 2),))
            levels = [_level(keys, rounded(now + more, HUNDREDTH), "m", work) for more in LONGER]
            yield Dial(f"length of the {name} crankpin", "crankpins", (path_of(keys),), text(now, "m"), levels,
                       ("rods_on_pins",))  # fmt: skip
            yield from _between_webs(design, name, now)


def _between_webs(design: Design, name: str, now: float) -> Iterator[Dial]:
    """Yield a crankpin as long as its two webs stand apart, where it is longer."""
    webs = [design.cranks.webs[place] for place in webs_of(design, name)]
    thick = [float(each.thickness) for each in webs if each.thickness is not None]
    if len(webs) != 2 or len(thick) != 2:
        return
    way = rounded(abs(float(webs[0].at) - float(webs[1].at)) - sum(thick) / 2, HUNDREDTH)
    if 0 < way < now - HUNDREDTH:
        keys, work = ("cranks", "throws", name, "pin", "length"), Work(make=((f"{name} crankpin", 2),))
        yield Dial(f"{name} crankpin as long as its webs stand apart", "crankpins", (path_of(keys),), text(now, "m"),
                   [_level(keys, way, "m", work)], ("pin_seats",))  # fmt: skip


def _level(keys: Keys, value: float, si: str, work: Work) -> Level:
    return Level(fixed(Edit(keys, value)), text(value, si), work)


def _turned(design: Design, name: str, carried: Piston | Displacer) -> Dial:
    bores = [float(each.bore) for each in (carried, design.cylinder) if each is not None]
    keys, now, kind = ("yokes", name, "carries", "diameter"), float(carried.diameter), str(carried.kind)  # type: ignore[arg-type]
    work, sizes = Work(make=((kind, 1),)), (rounded(min(bores) - play, HUNDREDTH) for play in PLAY[kind])
    levels = [_level(keys, size, "m", work) for size in sizes if not np.isclose(size, now)]
    # The ring about a displacer is part of the dead volume: a wider one leaves less of it.
    aims = ("running_fit", "dead_regenerator") if kind == "displacer" else ("running_fit",)
    return Dial(f"diameter of the {kind}", "fits", (path_of(keys),), text(now, "m"), levels, aims)


def _bores(design: Design) -> Iterator[Dial]:
    """Yield the bore of the cylinder where one part of it says another than the rest, or than the cylinder itself."""
    bores: dict[Keys, float] = {("yokes", name, "carries"): float(yoke.carries.bore)
             for name, yoke in design.yokes.items() if isinstance(yoke.carries, Piston | Displacer)}  # fmt: skip
    bores |= {} if design.cylinder is None else {("cylinder",): float(design.cylinder.bore)}
    sizes = [rounded(bore, HUNDREDTH) for bore in bores.values()]
    usual = max(reversed(sizes), key=sizes.count, default=0.0)  # the cylinder's own where each says another
    for keys, bore in bores.items():
        if not np.isclose(bore, usual):
            whole = (*keys, "bore")
            yield Dial(f"bore of the {keys[-2] if len(keys) > 1 else 'cylinder'}", "fits", (path_of(whole),),
                       text(bore, "m"), [_level(whole, usual, "m", Work(make=(("cylinder", 1),)))],
                       ("running_fit", "dead_regenerator"))  # fmt: skip


def _hole(design: Design, name: str, now: float) -> Iterator[Dial]:
    stems = [float(each.carries.stem_diameter) for other, each in design.yokes.items()
             if other != name and isinstance(each.carries, Displacer)]  # fmt: skip
    keys, work = ("yokes", name, "hole"), Work(make=((f"hole in the {name} yoke", 1),))
    sizes = [rounded(max(stems, default=0.0) + around, HUNDREDTH) for around in AROUND]
    levels = [_level(keys, size, "m", work) for size in sizes if size > now]
    yield Dial(f"hole in the {name} yoke", "fits", (path_of(keys),), text(now, "m"), levels, ("stem_holes",))
