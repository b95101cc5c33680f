"""What a design is made of: what to buy, by designation or size, and what to make, from which stock and how heavy."""

from collections.abc import Iterator
from dataclasses import dataclass
from itertools import chain

import numpy as np

from balance.machine.wheels import Flywheel
from balance.machine.yoke import Rod
from balance.plates.pinned import Pinned
from balance.plates.polygon import Polygon
from designs.evaluate import Evaluation
from designs.shown import imperial, said, shown
from designs.stock import ball_name, stock_with
from designs.tables.table import Column, Table
from shafts.shaft import Shaft

FEET = 4  # where no places are given


@dataclass(frozen=True)
class Part:
    """One kind of part.

    name : what it is.   count : how many.   bought : whether it is bought ready.
    of : material or designation.   size : stock size, or what it is ordered by.   mass : of one, kg; None if not known.
    drawing : name of the file that `cut` writes for it; "" without one.   note : what else to know.
    """

    name: str
    count: int
    bought: bool
    of: str
    size: str
    mass: float | None = None
    drawing: str = ""
    note: str = ""

    @property
    def same_as(self) -> tuple:
        """What must agree for a part to serve in another design: a hundredth of a gram in mass, and all in words."""
        mass = None if self.mass is None else round(self.mass, 5)
        return self.name, self.bought, self.of, self.size, mass, self.note


def parts(evaluation: Evaluation) -> list[Part]:
    """Return every part that a design says enough of, what is bought first."""
    rooms = (_bearings, _gears, _screws, _feet, _shafts, _seats, _pins, _webs, _rods, _yokes, _weights, _wheel)
    found = list(chain.from_iterable(room(evaluation) for room in rooms))
    return sorted(_counted(found), key=lambda each: not each.bought)


def _counted(found: list[Part]) -> Iterator[Part]:
    """Yield parts that are the same as one, with their number."""
    kinds: dict[tuple, list[Part]] = {}
    for each in found:
        kinds.setdefault(each.same_as, []).append(each)
    for alike in kinds.values():
        first = alike[0]
        yield Part(**{**vars(first), "count": sum(each.count for each in alike)})


def to_get_from(one: list[Part], other: list[Part]) -> list[Part]:
    """Return what must be bought or made to get from the parts of one design to those of another."""
    there: dict[tuple, int] = {}
    for each in one:
        there[each.same_as] = there.get(each.same_as, 0) + each.count
    needed = ((each, each.count - there.get(each.same_as, 0)) for each in other)
    return [Part(**{**vars(each), "count": count}) for each, count in needed if count > 0]


def _as_sold(*sizes) -> str:
    """Return sizes of what is sold in millimetres, whatever units people see."""
    return " x ".join(f"{float(size) * 1e3:.6g}" for size in sizes) + " mm"


def _lengths(*sizes) -> str:
    """Return sizes of what is made."""
    unit, factor, _ = shown("m")
    form = ".3f" if imperial() else ".6g"
    return f"{' x '.join(f'{float(size) * factor:{form}}' for size in sizes)} {unit}"


def _sides(evaluation: Evaluation) -> list[tuple[Shaft, int]]:
    shafts = evaluation.design.shafts
    return [(shafts, 2)] if shafts.left is None else [(shafts, 1), (shafts.left, 1)]


def _bearings(evaluation: Evaluation) -> Iterator[Part]:
    for shaft, count in _sides(evaluation):
        for each in shaft.bearings:
            if each.ball is not None:
                size = [float(value) for value in (each.ball.bore, each.ball.outside, each.ball.width)]
                group = each.clearance if isinstance(each.clearance, str) else "CN"
                yield Part("bearing", count, True, ball_name(*size), _as_sold(*size), note=f"clearance {group}")
            elif each.bush is not None:
                yield Part(
                    "bush",
                    count,
                    True,
                    each.bush.material or "bush",
                    f"bore {_lengths(each.bush.bore)}, {_lengths(each.bush.length)} long",
                )


def _seats(evaluation: Evaluation) -> Iterator[Part]:
    """The holes in the case, and the case itself."""
    for shaft, count in _sides(evaluation):
        for each in shaft.bearings:
            stiff = "" if each.seat_stiffness is None else f"stiffness {float(each.seat_stiffness) * 1e-6:.3g} N/um"
            hole = "by the bush" if each.ball is None else f"hole {_lengths(each.ball.outside)}"
            yield Part("bearing seat", count, False, "case", f"{hole}, at {_lengths(each.at)}", note=stiff)
    if evaluation.design.mount is not None:
        yield Part("case, whole engine", 1, False, "as designed", "", float(evaluation.design.mount.mass))


def _gears(evaluation: Evaluation) -> Iterator[Part]:
    gears = evaluation.design.cranks.gears
    if gears is None:
        return
    face = "" if gears.face is None else f", face {_lengths(gears.face)}"
    bore = f"bore {_lengths(evaluation.design.shafts.segments[-1].diameter)}"
    size = f"module {_as_sold(gears.module)}, {gears.teeth} teeth{face}"
    material = gears.material.name if gears.material else "not given"
    other = gears.left_material.name if gears.left_material else material
    for name, hand in ((material, "right"), (other, "left")):
        yield Part("gear", 1, True, name, size, float(gears.mass_of(hand)) or None, note=bore)


def _screws(evaluation: Evaluation) -> Iterator[Part]:
    weights = evaluation.design.counterweights
    if not evaluation.fitted or weights is None or weights.screws is None:
        return
    screws, known = weights.screws, (stock_with(evaluation.design.stock).screws or {}).get(weights.screws.size)
    holes = "" if known is None else f"clearance hole {_as_sold(known.normal)}, tap {_as_sold(known.tap)}"
    count = 2 * screws.number * len(weights.planes)
    yield Part("screw", count, True, f"class {screws.property_class}", screws.size, note=holes)


def _feet(evaluation: Evaluation) -> Iterator[Part]:
    mount = evaluation.design.mount
    if mount is None or mount.feet is None:
        return
    number = len(mount.feet.places) or FEET
    each = float(mount.feet.stiffnesses[1]) / number
    damping = mount.feet.damping_ratio
    stock = stock_with(evaluation.design.stock).feet or {}
    named = [name for name, foot in stock.items() if np.isclose(float(foot.stiffness), each)
             and damping is not None and np.isclose(float(foot.damping_ratio), float(damping))]  # fmt: skip
    size = f"{said(each, 'N/m', '.4g')} each" + ("" if damping is None else f", damping ratio {float(damping):g}")
    yield Part("foot", number, True, named[0] if named else "foot", size)


def _shafts(evaluation: Evaluation) -> Iterator[Part]:
    for shaft, count in _sides(evaluation):
        thickest = max(float(each.diameter) for each in shaft.segments)
        length = sum(float(each.length) for each in shaft.segments)
        steps = "; ".join(f"{_lengths(each.diameter)} for {_lengths(each.length)}" for each in shaft.segments)
        mass = sum(np.pi / 4 * (float(each.diameter) ** 2 - float(each.bore) ** 2) * float(each.length)
                   for each in shaft.segments) * float(shaft.material.density)  # fmt: skip
        note = steps if len(shaft.segments) > 1 else ""
        yield Part(
            "shaft",
            count,
            False,
            shaft.material.name,
            f"round {_lengths(thickest)}, {_lengths(length)} long",
            float(mass),
            note=note,
        )


def _pins(evaluation: Evaluation) -> Iterator[Part]:
    for name, throw in evaluation.design.cranks.throws.items():
        if throw.pin is not None:
            material = (throw.pin.material or evaluation.design.shafts.material).name
            size = f"round {_lengths(throw.pin.diameter)}, {_lengths(throw.pin.length)} free"
            yield Part(f"{name} crankpin", 2, False, material, size)


def _webs(evaluation: Evaluation) -> Iterator[Part]:
    """The throws that a web holds are part of it: another radius or phase is another web."""
    throws = ", ".join(f"{name} at {_lengths(each.radius)}, {np.rad2deg(float(each.phase)):g} deg"
                       for name, each in evaluation.design.cranks.throws.items())  # fmt: skip
    on_shaft = f"; shaft {_lengths(evaluation.design.shafts.segments[0].diameter)}"
    starts, ends = (float(each) for each in evaluation.design.shafts.ends)
    for number, web in enumerate(evaluation.design.cranks.webs, start=1):
        material = (web.material or evaluation.design.shafts.material).name
        flat = (
            "size not given"
            if web.width is None or web.thickness is None
            else f"flat {_lengths(web.width, web.thickness)}"
        )
        yield Part(
            f"web {number}",
            2 if web.on == "both" else 1,
            False,
            material,
            flat,
            float(web.mass),
            note=f"{throws}{on_shaft if starts <= float(web.at) <= ends else ''}",
        )


def _rods(evaluation: Evaluation) -> Iterator[Part]:
    for name, yoke in evaluation.design.yokes.items():
        if yoke.rod is None:
            continue
        rod, pin = yoke.rod, evaluation.design.throw_of(yoke).pin
        eye = "" if pin is None else f"eye {_lengths(pin.diameter)}"
        size = f"{_lengths(rod.length)} between centres{_flat(rod)}"
        yield Part(f"{name} rod", 2, False, rod.material.name if rod.material else "not given", size,
                   float(rod.mass) or None, note=eye)  # fmt: skip


def _flat(rod: Rod) -> str:
    return "" if rod.width is None or rod.thickness is None else f", flat {_lengths(rod.width, rod.thickness)}"


def _yokes(evaluation: Evaluation) -> Iterator[Part]:
    trims = getattr(evaluation.weights, "trims", {}) if evaluation.fitted else {}
    for name, yoke in evaluation.design.yokes.items():
        for part, each in yoke.parts.items():
            yield Part(
                f"{part} of the {name}",
                1,
                False,
                yoke.material.name if yoke.material else "not given",
                "as designed",
                float(each.mass),
            )
        if float(trims.get(name, 0.0)) > 0:
            yield Part(f"trim on the {name} yoke", 1, False, "any metal", "to its mass", float(trims[name]))


def _weights(evaluation: Evaluation) -> Iterator[Part]:
    """Named as `cut` names their drawings."""
    weights = evaluation.design.counterweights
    if not evaluation.fitted or weights is None or evaluation.weights is None:
        return
    planes = evaluation.weights.planes
    for number, weight in enumerate(planes, start=1):
        if float(weight.shape.mass) <= 0:
            continue
        name = "counterweight" + (f"-{number}" if len(planes) > 1 else "")
        size = f"plate {_lengths(weight.shape.thickness)}, radius {_lengths(weight.shape.edge.reach)}"
        note = f"mass x radius {said(float(weight.shape.moment), 'kg m', '.1f')}, in the plane at {_lengths(weight.at)}"
        drawing = (
            f"{name}-right.dxf, {name}-left.dxf" if isinstance(weight.shape.edge, Polygon | Pinned) else f"{name}.dxf"
        )
        yield Part(name, 2, False, weights.material.name, size, float(weight.shape.mass), drawing, note)


def _wheel(evaluation: Evaluation) -> Iterator[Part]:
    wheel = evaluation.design.flywheel
    if isinstance(wheel, Flywheel):
        size = f"moment of inertia {said(float(wheel.polar_inertia), 'kg m^2', '.0f')}"
        if wheel.diameter is not None and wheel.thickness is not None:
            size = f"{_lengths(wheel.diameter)} x {_lengths(wheel.thickness)}, {size}"
        bore = f"bore {_lengths(evaluation.design.shafts.segments[-1].diameter)}"
        number, mass = 2 if wheel.on == "both" else 1, float(wheel.wheel_mass) or None
        yield Part("flywheel", number, False, _material(wheel), size, mass, note=bore)


def _material(wheel: Flywheel) -> str:
    return wheel.material.name if wheel.material else "not given"


def parts_tables(found: list[Part], title: str = "") -> list[Table]:
    """Return what to buy and what to make as tables."""
    of = f" {title}" if title else ""
    columns = (Column("count", "number", ""), Column("part", "part"), Column("of", "what"), Column("size", "size"),
               Column("mass", "mass of one", "kg"), Column("drawing", "drawing"), Column("note", "note"))  # fmt: skip
    buy, make = ([_row(each) for each in found if each.bought is bought] for bought in (True, False))
    shops = (columns[0], *columns[1:4], columns[6])
    return [
        Table("buy", f"What to buy{of}", shops, [(*row[:4], row[6]) for row in buy]),
        Table("make", f"What to make{of}", columns, make, NOTE),
    ]


NOTE = (
    "Sizes are finished sizes: add what sawing and facing take. A material that is not given, or a mass that is not "
    "known, stands so in the design. Drawings are written by `cut`."
)


def _row(part: Part) -> tuple:
    return str(part.count), part.name, part.of, part.size, part.mass, part.drawing, part.note
