"""What the case stands on, and a plate under it that makes it heavier."""

from collections.abc import Iterator
from dataclasses import replace
from typing import Any

import numpy as np

from balance.machine.machine import STANDARD_GRAVITY
from balance.machine.materials import MATERIALS
from balance.machine.mount import Feet
from balance.masses import mass_left
from designs.changing.edit import Edit, rounded, text
from designs.counsel.dial import Dial, Level, Work, fixed
from designs.design import Design
from designs.design.stock import Foot, Stock
from designs.shown import said

FEET = 4  # feet, where no places are given
PLATE = "engine on a base plate"
MASS = "mount.mass"  # of the whole engine
GRAIN = 0.01  # kg, to which that is rounded
UNSIZED = (0.15, 0.15)  # m, of a plate under a case whose size is not given; common practice, no source
APART = (1.25, 1.5, 2.0)  # times as far from the mass centre as they stand
CORNERS = (1.0, *APART)  # times as far from it as the farthest foot
HAIR = 1e-6  # m; feet that stand no farther off stand there
MOST = 2.0  # times as heavy as it was: more is another engine


def dials(design: Design, stock: Stock) -> Iterator[Dial]:
    """Yield feet from stock that carry the case without sagging too far, and a base plate of steel."""
    if design.mount is None:
        return
    yield _base(design, stock)
    if design.mount.feet is not None:
        yield _feet(design, stock)
        yield _apart(design)
        yield _at_corners(design)


def _feet(design: Design, stock: Stock) -> Dial:
    assert design.mount is not None
    assert design.mount.feet is not None
    assert stock.feet is not None
    feet = design.mount.feet
    number = len(feet.places) or FEET
    own, work = float(feet.stiffnesses[1]), Work(buy=(("foot", number),))
    levels = [Level(_if_it_carries(number, foot, stock, _of_foot(feet, foot, number)), _named(number, name, foot), work)
              for name, foot in sorted(stock.feet.items(), key=lambda each: -each[1].springs)]  # fmt: skip
    damping = "" if feet.damping_ratio is None else f", damping ratio {float(feet.damping_ratio):g}"
    now = f"{said(own, 'N/m')} in all{damping}"
    paths = ("mount.feet.stiffness", "mount.feet.rubber", "mount.feet.damping_ratio")
    return Dial("feet", "feet", paths, now, levels)


def _named(number: int, name: str, foot: Foot) -> str:
    damping = "" if foot.damping_ratio is None else f", damping ratio {float(foot.damping_ratio):g}"
    return f"{number} x {name} ({said(foot.springs, 'N/m')} each as it vibrates{damping})"


def _of_foot(feet: Feet, foot: Foot, number: int) -> tuple[Edit, ...]:
    """Return feet of a kind in place of others: what was given of the old ones is not true of them."""
    new: dict[str, Any]
    if foot.rubber is None:
        new = {"rubber": None, "stiffness": number * foot.springs}
    else:
        new = {"stiffness": None, "rubber": replace(foot.rubber, number=None if feet.places else number)}
    new |= {"damping_ratio": foot.damping_ratio, "dynamic_ratio": None, "loss_factor": None}
    for key in ("across", "along_shafts"):
        if getattr(feet, key) is not None:
            share = float(getattr(feet, key)) / float(feet.stiffnesses[1])
            new[key] = float(f"{number * foot.springs * share:.4g}") if foot.rubber is None else None
    same = {key for key, value in new.items() if value is None and getattr(feet, key) is None}
    return tuple(Edit(("mount", "feet", key), value) for key, value in new.items() if key not in same)


def _if_it_carries(number: int, foot: Foot, stock: Stock, edits: tuple[Edit, ...]):
    """Feet that the case would crush, or sag on too far, are no choice: nothing changes."""

    def of(design: Design) -> tuple[Edit, ...]:
        assert design.mount is not None
        each = float(design.mount.mass) * STANDARD_GRAVITY / number
        sag = each / foot.springs
        return edits if each <= float(foot.load) and sag <= float(stock.largest_sag) else ()  # type: ignore[arg-type]

    return of


def _apart(design: Design) -> Dial:
    """Feet farther apart on a board under the case, to the millimetre; they keep their height."""
    assert design.mount is not None and design.mount.feet is not None
    places, (cx, _, cz) = design.mount.feet.places, (float(each) for each in design.mount.cg)
    levels = []
    for factor in APART if places else ():
        across, along = (
            [rounded(middle + (float(place[axis]) - middle) * factor, 1e-3) for place in places]
            for axis, middle in ((0, cx), (2, cz))
        )
        moved = tuple((x, float(place[1]), z) for x, place, z in zip(across, places, along, strict=True))
        levels.append(Level(fixed(Edit(("mount", "feet", "places"), moved)), f"{factor:g} times as far apart",
                            Work(make=(("board under the feet", 1),))))  # fmt: skip
    return Dial("places of the feet", "feet", ("mount.feet.places",), "as they stand", levels)


def _at_corners(design: Design) -> Dial:
    """Four feet of the same kind at the corners of a board about the mass centre, where fewer stand or stand askew."""
    assert design.mount is not None and design.mount.feet is not None
    feet, (cx, _, cz) = design.mount.feet, (float(each) for each in design.mount.cg)
    half = [max((abs(float(place[axis] - middle)) for place in feet.places), default=0.0)
            for axis, middle in ((0, cx), (2, cz))]  # fmt: skip
    levels = []
    for factor in CORNERS if 0 < len(feet.places) <= FEET else ():
        (x, z), height = (rounded(factor * each, 1e-3) for each in half), min(float(place[1]) for place in feet.places)
        places = tuple((rounded(cx + i * x, 1e-3), height, rounded(cz + j * z, 1e-3)) for j in (1, -1) for i in (1, -1))
        if len(places) != len(feet.places) or not np.allclose(sorted(places), sorted(feet.places), atol=HAIR):
            more = FEET - len(feet.places)
            work = Work((("board under the feet", 1),), (("foot", more),) * bool(more))
            shown = f"{2 * x * 1e3:g} mm by {2 * z * 1e3:g} mm"
            edits = (Edit(("mount", "feet", "places"), places), *_as_many(feet, FEET))
            levels.append(Level(fixed(*edits), shown, work))
    paths = ("mount.feet.places", "mount.feet.stiffness")
    return Dial("feet at the corners of a board", "feet", paths, f"{len(feet.places)} places", levels, ("standing",))


def _as_many(feet: Feet, number: int) -> Iterator[Edit]:
    """Yield what so many feet of the same kind make of what is given of all of them together."""
    for key in ("stiffness", "across", "along_shafts"):
        given = getattr(feet, key)
        if given is not None and number != len(feet.places):
            yield Edit(("mount", "feet", key), float(f"{float(given) * number / len(feet.places):.4g}"))
    if feet.rubber is not None and feet.rubber.number is not None and number != feet.rubber.number:
        yield Edit(("mount", "feet", "rubber", "number"), number)


def _heavier(more: float):
    """A plate goes under the case as it then stands: another one may be there already, which stays."""

    def edits(design: Design) -> tuple[Edit, ...]:
        return (heavier(design, more),)

    return edits


def heavier(design: Design, more: float) -> Edit:
    """Return what makes a whole engine, whose mass is given, so much heavier, kg."""
    assert design.mount is not None
    return Edit(("mount", "mass"), rounded(float(design.mount.mass) + more, GRAIN))


def _base(design: Design, stock: Stock) -> Dial:
    """The mass centre is kept as given; a box's moments of inertia follow its mass."""
    mount = design.mount
    assert mount is not None
    assert stock.plates is not None
    now = float(mount.mass)
    x, z = UNSIZED if mount.size is None else (float(mount.size[0]), float(mount.size[2]))
    levels = []
    said_wrong = float(mass_left(design, now)) < 0  # then a plate would only hide that
    for thickness in () if said_wrong else map(float, stock.plates.get("steel", ())):
        mass = x * z * thickness * float(MATERIALS["steel"].density)
        if 0.1 * now <= mass <= (MOST - 1) * now:
            plate = f"{x * 1e3:.0f} x {z * 1e3:.0f} x {thickness * 1e3:g} mm"
            shown = f"{text(rounded(mass, GRAIN), 'kg')} of steel ({plate})"
            levels.append(Level(_heavier(mass), shown, Work(make=(("base plate", 1),))))
    return Dial(PLATE, "case", (MASS,), "none", levels)
