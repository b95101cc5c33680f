"""What the case stands on, and a plate under it that makes it heavier."""

from collections.abc import Iterator

from balance.machine.machine import STANDARD_GRAVITY
from balance.machine.materials import MATERIALS
from designs.changing.edit import Edit, rounded, text
from designs.counsel.dial import Dial, Level, Work, fixed
from designs.design import Design
from designs.design.stock import Stock
from designs.shown import said

FEET = 4  # feet, where no places are given
PLATE = (0.15, 0.15)  # m, of a plate under a case whose size is not given; common practice, no source
APART = (1.25, 1.5, 2.0)  # times as far from the mass centre as they stand
MOST = 2.0  # times as heavy as it was: more is another engine


def dials(design: Design, stock: Stock) -> Iterator[Dial]:
    """Yield feet from stock that carry the case without sagging too far, and a base plate of steel."""
    if design.mount is None:
        return
    yield _base(design, stock)
    if design.mount.feet is not None:
        yield _feet(design, stock)
        yield _apart(design)


def _feet(design: Design, stock: Stock) -> Dial:
    assert design.mount is not None
    assert design.mount.feet is not None
    assert stock.feet is not None
    feet = design.mount.feet
    number = len(feet.places) or FEET
    own, levels = float(feet.stiffnesses[1]), []
    for name, foot in sorted(stock.feet.items(), key=lambda each: -float(each[1].stiffness)):
        edits = [Edit(("mount", "feet", "stiffness"), number * float(foot.stiffness)),
                 Edit(("mount", "feet", "damping_ratio"), float(foot.damping_ratio))]  # fmt: skip
        if feet.rubber is not None:
            edits.insert(0, Edit(("mount", "feet", "rubber"), None))
        for key in ("across", "along_shafts"):  # of the old feet
            if getattr(feet, key) is not None:
                share = float(getattr(feet, key)) / own
                edits.append(Edit(("mount", "feet", key), float(f"{number * float(foot.stiffness) * share:.4g}")))
        levels.append(Level(_if_it_carries(number, foot, stock, tuple(edits)), f"{number} x {name}",
                            Work(buy=(("foot", number),))))  # fmt: skip
    damping = "" if feet.damping_ratio is None else f", damping ratio {float(feet.damping_ratio):g}"
    now = f"{said(own, 'N/m')} in all{damping}"
    return Dial("feet", "feet", ("mount.feet.stiffness", "mount.feet.damping_ratio"), now, levels)


def _if_it_carries(number: int, foot, stock: Stock, edits: tuple[Edit, ...]):
    """Feet that the case would crush, or sag on too far, are no choice: nothing changes."""

    def of(design: Design) -> tuple[Edit, ...]:
        assert design.mount is not None
        each = float(design.mount.mass) * STANDARD_GRAVITY / number
        sag = each / float(foot.stiffness)
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


def _base(design: Design, stock: Stock) -> Dial:
    """The mass centre is kept as given; a box's moments of inertia follow its mass."""
    mount = design.mount
    assert mount is not None
    assert stock.plates is not None
    now = float(mount.mass)
    x, z = PLATE if mount.size is None else (float(mount.size[0]), float(mount.size[2]))
    levels = []
    for thickness in map(float, stock.plates.get("steel", ())):
        mass = x * z * thickness * float(MATERIALS["steel"].density)
        if 0.1 * now <= mass <= (MOST - 1) * now:
            plate = f"{x * 1e3:.0f} x {z * 1e3:.0f} x {thickness * 1e3:g} mm"
            shown = f"{text(rounded(now + mass, 0.01), 'kg')} (steel plate {plate})"
            levels.append(Level(fixed(Edit(("mount", "mass"), rounded(now + mass, 0.01))), shown,
                                Work(make=(("base plate", 1),))))  # fmt: skip
    return Dial("plate under the case", "case", ("mount.mass",), text(now, "kg"), levels)
