"""Gears: face width, module with as many teeth as keep the centre distance, material, and place along the shafts."""

from collections.abc import Iterator

import numpy as np

from balance.machine.crank import Gears
from balance.machine.materials import MATERIALS
from designs.changing.edit import Edit, rounded, text
from designs.counsel.dial import Dial, Level, Work, fixed
from designs.design import Design
from designs.design.stock import Stock
from shafts.clearance.held import LOOSE_TEETH, TIGHT_TEETH

BUY, CUT = Work(buy=(("gear", 2),)), Work(make=(("gear", 2),))
BACKLASH = 0.06  # modules, as gears are sold; common practice, no source
FACES = (6, 8, 10, 12)  # modules, as spur gears are cut; common practice, no source
HALF = 0.5e-3  # m, to which faces are rounded
SHIFTS = (1, 2, 3, 4, 5, 6, 8)


def dials(design: Design, stock: Stock) -> Iterator[Dial]:
    """Yield what may be changed of the gears; none without gears."""
    gears = design.cranks.gears
    if gears is None:
        return
    assert stock.gears is not None
    assert stock.steps is not None
    keys = ("cranks", "gears")
    if gears.face is not None:
        now = float(gears.face)
        levels = [
            Level(fixed(Edit((*keys, "face"), each)), text(each, "m"), work) for each, work in _wider(gears, stock)
        ]
        yield Dial("face of the gears", "gears", ("cranks.gears.face",), text(now, "m"), levels, ("gear_mesh",))
    play, module = float(gears.backlash), float(gears.module)
    if not TIGHT_TEETH * module <= play <= LOOSE_TEETH * module:
        usual = rounded(BACKLASH * module, 1e-5)
        yield Dial("backlash of the gears", "gears", ("cranks.gears.backlash",), text(play, "m"),
                   [Level(fixed(Edit((*keys, "backlash"), usual)), text(usual, "m"), BUY)], ("gear_mesh",))  # fmt: skip
    if gears.material is not None and gears.material.name in MATERIALS:
        other = [name for name in ("brass", "steel") if name != gears.material.name]
        levels = [Level(fixed(Edit((*keys, "material"), MATERIALS[each])), each, BUY) for each in other]
        yield Dial("material of the gears", "gears", ("cranks.gears.material",), gears.material.name, levels)
    distance = float(gears.module) * gears.teeth
    other_modules = [each for each in stock.gears if not np.isclose(float(each.module), float(gears.module))]
    pairs = [(float(each.module), teeth) for each in other_modules for teeth in each.teeth
             if np.isclose(float(each.module) * teeth, distance)]  # fmt: skip
    levels = [Level(fixed(Edit((*keys, "module"), m), Edit((*keys, "teeth"), z)), f"{text(m, 'm')}, {z} teeth", BUY)
              for m, z in pairs]  # fmt: skip
    now_pair = f"{text(float(gears.module), 'm')}, {gears.teeth} teeth"
    yield Dial("module of the gears", "gears", ("cranks.gears.module", "cranks.gears.teeth"), now_pair, levels)
    at, step = float(gears.at), float(stock.steps.place)
    places = [rounded(at + sign * count * step, step / 2) for count in SHIFTS for sign in (1, -1)]
    inside = [each for each in places if float(design.shafts.starts_at) < each < float(design.shafts.ends_at)]
    levels = [
        Level(fixed(Edit((*keys, "at"), each)), text(each, "m"), Work(make=(("gear fixing", 2),))) for each in inside
    ]
    yield Dial("place of the gears", "gears", ("cranks.gears.at",), text(at, "m"), levels, ("axial_room",))


def _wider(gears: Gears, stock: Stock) -> Iterator[tuple[float, Work]]:
    """Yield wider faces, m: of gears of the same module from stock; without any, of such as are cut anew."""
    module, now = float(gears.module), float(gears.face or 0.0)
    sold = [each.faces for each in stock.gears or () if np.isclose(float(each.module), module)]
    cut = (rounded(count * module, HALF) for count in FACES)
    faces = {float(face) for each in sold for face in each} if sold else {*cut}
    yield from ((face, BUY if sold else CUT) for face in sorted(faces) if face > now)
