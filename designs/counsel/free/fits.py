"""What runs in something or holds something: crankpins, pistons and displacers, holes for stems, dead volumes."""

from collections.abc import Iterator

import numpy as np

from balance.machine.carried import Displacer, Piston
from balance.machine.machine import IsothermalGas
from designs.changing.edit import Edit, Keys, rounded, text
from designs.counsel.dial import Dial, Level, Work, fixed, path_of
from designs.design import Design
from designs.design.stock import Stock

LONGER = (1e-3, 2e-3, 3e-3, 4e-3, 6e-3)  # m, of a crankpin
PLAY = {"piston": (0.02e-3, 0.03e-3, 0.05e-3), "displacer": (0.6e-3, 1e-3, 1.5e-3)}
"""Play that is turned on a diameter, m: a running fit, and a way for the gas (common practice, no source)."""
AROUND = (0.1e-3, 0.2e-3, 0.5e-3)  # m, of a hole about a stem
MORE = (1.0, 1.25, 1.5, 2.0)  # times the volume that clearances alone hold
HUNDREDTH = 1e-5  # m
TENTH = 1e-7  # m^3


def dials(design: Design, stock: Stock) -> Iterator[Dial]:
    """Yield these choices; only the whole verdict sees what they do."""
    del stock
    yield from _crankpins(design)
    for name, yoke in design.yokes.items():
        if isinstance(yoke.carries, Piston | Displacer) and yoke.carries.diameter is not None:
            yield _turned(design, name, yoke.carries)
        if yoke.hole is not None:
            yield from _hole(design, name, float(yoke.hole))
    if isinstance(design.gas, IsothermalGas):
        yield from _dead(design, design.gas)


def _crankpins(design: Design) -> Iterator[Dial]:
    for name, throw in design.cranks.throws.items():
        if throw.pin is not None:
            keys, now = ("cranks", "throws", name, "pin", "length"), float(throw.pin.length)
            work = Work(make=((f"{name} crankpin", 2),))
            levels = [_level(keys, rounded(now + more, HUNDREDTH), "m", work) for more in LONGER]
            yield Dial(f"length of the {name} crankpin", "crankpins", (path_of(keys),), text(now, "m"), levels,
                       ("rods_on_pins",))  # fmt: skip


def _level(keys: Keys, value: float, si: str, work: Work) -> Level:
    return Level(fixed(Edit(keys, value)), text(value, si), work)


def _turned(design: Design, name: str, carried: Piston | Displacer) -> Dial:
    bores = [float(each.bore) for each in (carried, design.cylinder) if each is not None]
    keys, now, kind = ("yokes", name, "carries", "diameter"), float(carried.diameter), str(carried.kind)  # type: ignore[arg-type]
    work, sizes = Work(make=((kind, 1),)), (rounded(min(bores) - play, HUNDREDTH) for play in PLAY[kind])
    levels = [_level(keys, size, "m", work) for size in sizes if not np.isclose(size, now)]
    return Dial(f"diameter of the {kind}", "fits", (path_of(keys),), text(now, "m"), levels, ("running_fit",))


def _hole(design: Design, name: str, now: float) -> Iterator[Dial]:
    stems = [float(each.carries.stem_diameter) for other, each in design.yokes.items()
             if other != name and isinstance(each.carries, Displacer)]  # fmt: skip
    keys, work = ("yokes", name, "hole"), Work(make=((f"hole in the {name} yoke", 1),))
    sizes = [rounded(max(stems, default=0.0) + around, HUNDREDTH) for around in AROUND]
    levels = [_level(keys, size, "m", work) for size in sizes if size > now]
    yield Dial(f"hole in the {name} yoke", "fits", (path_of(keys),), text(now, "m"), levels, ("stem_holes",))


def _dead(design: Design, gas: IsothermalGas) -> Iterator[Dial]:
    """Volumes that are given as less than what the clearances alone hold are no true ones: nothing is made anew."""
    from balance.cylinder import along_cylinder  # which needs the motion, and is asked for seldom
    from balance.motion import crank_angles, move

    along = along_cylinder(design, move(design, crank_angles(360)))
    for name, least in ({} if along is None else along.least_volumes()).items():
        keys, now = ("gas", "dead", name), float(getattr(gas.dead, name))
        if now >= least:
            continue
        sizes = [float(np.ceil(least * factor / TENTH) * TENTH) for factor in MORE]
        levels = [_level(keys, rounded(size, TENTH), "m^3", Work()) for size in sizes]
        yield Dial(f"{name} dead volume", "gas", (path_of(keys),), text(now, "m^3"), levels, (f"dead_{name}",))
