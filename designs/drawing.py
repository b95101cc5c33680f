"""Flat drawings of the counterweights to cut: DXF at 1:1 in millimetres, one file a weight."""

from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np

from balance.plates.pinned import Pinned
from balance.plates.plate import Bend, RoundHole
from balance.plates.polygon import Polygon
from balance.weights.balancing import Weight
from designs.evaluate import Evaluation
from designs.reading.drawing import NOT_CUT
from designs.tables.counterweights import counted, holes_missing, pin_places
from designs.whole_file import write_whole
from shafts.pieces import widest_between

MM = 1e3  # drawings are in millimetres
LAYERS = {"OUTLINE": 7, "HOLES": 7, "CENTRES": 1, NOT_CUT: 8, "TEXT": 3}  # name: colour number
LINE_HEIGHT = 1.6  # of the letters' height


class NothingToCut(ValueError):
    """A design without counterweights, or one whose counterweights have no mass."""


@dataclass(frozen=True)
class Sheet:
    """One drawing: where the file goes, the weight, and whether it is drawn mirrored."""

    file: Path
    title: str
    weight: Weight
    mirrored: bool
    plane: int = 0


def write_cut(evaluation: Evaluation, folder: Path | str, force: bool = False) -> list[Path]:
    """Write a DXF file for each counterweight to be cut into a folder, and return the files.

    evaluation : of a single design.   force : whether files of the same names may be replaced.
    Sectors and segments are their own mirror images, so one file serves both shafts; an outline of the user's own, and
    a plate with an arm to its crankpin, get a file for each. Nothing is written if any file is in the way.
    Raises NothingToCut, FileExistsError, or OSError where a file cannot be written.
    """
    sheets = _sheets(evaluation, Path(folder))
    taken = [sheet.file for sheet in sheets if sheet.file.exists()]
    if taken and not (force and all(file.is_file() for file in taken)):
        raise FileExistsError(f"{taken[0]}: it exists already")
    for sheet in sheets:
        write_whole(sheet.file, _drawn(evaluation, sheet).saveas, replace=force)
    return [sheet.file for sheet in sheets]


def _sheets(evaluation: Evaluation, folder: Path) -> list[Sheet]:
    planes = () if evaluation.weights is None else evaluation.weights.planes
    found = []
    for number, weight in enumerate(planes, start=1):
        if float(weight.shape.mass) <= 0:
            continue
        name = "counterweight" + (f"-{number}" if len(planes) > 1 else "")
        if isinstance(weight.shape.edge, Polygon | Pinned):
            found += [
                Sheet(folder / f"{name}-{hand}.dxf", f"{name} {hand}", weight, hand == "left", number - 1)
                for hand in ("right", "left")
            ]
        else:
            found.append(Sheet(folder / f"{name}.dxf", f"{name}, one on each shaft", weight, False, number - 1))
    if not found:
        raise NothingToCut("the design has no counterweights to cut: describe them under counterweights")
    return found


def _drawn(evaluation: Evaluation, sheet: Sheet) -> Any:
    import ezdxf  # a sixth of a second to import, and only a drawing needs it
    from ezdxf import units

    document = ezdxf.new("R2010", units=units.MM)
    for name, colour in LAYERS.items():
        document.layers.add(name, color=colour)
    space, shape = document.modelspace(), sheet.weight.shape
    path, holes = _seen(shape.edge.path(), shape.holes, sheet.mirrored)
    outline = [(x * MM, y * MM, bulge) for x, y, bulge in path]
    space.add_lwpolyline(outline, format="xyb", close=True, dxfattribs={"layer": "OUTLINE"})
    for x, y, diameter in holes:
        space.add_circle((float(x) * MM, float(y) * MM), float(diameter) / 2 * MM, dxfattribs={"layer": "HOLES"})
        _cross(space, float(x), float(y), float(diameter) * 0.8)
    reach = float(shape.edge.reach)
    _beside(space, evaluation, sheet)
    _cross(space, 0.0, 0.0, reach / 4)
    _cross(space, 0.0, float(shape.centre), reach / 12)
    _write_lines(space, _lines(evaluation, sheet), reach)
    return document


def _beside(space: Any, evaluation: Evaluation, sheet: Sheet) -> None:
    """Draw what the plate sits on and turns with, as circles that are not cut: hub, shaft, and crankpins."""
    design, weight = evaluation.design, sheet.weight
    assert design.counterweights is not None
    name = evaluation.weight_carriers["right"][sheet.plane].name
    radii = []
    if name == "shaft":
        half = float(weight.shape.thickness) / 2
        shaft = design.shafts.pair[int(sheet.mirrored)]
        radii = [float(widest_between(shaft, weight.at - half, weight.at + half))]
    if not name.startswith("pin") and float(design.counterweights.smallest_radius) > 0:
        radii.append(float(design.counterweights.smallest_radius))
    for radius in radii:
        space.add_circle((0.0, 0.0), radius * MM, dxfattribs={"layer": NOT_CUT})
    for throw in design.cranks.throws.values():
        angle = float(throw.phase) - float(weight.angle)
        x = float(throw.radius) * np.sin(angle) * (-1 if sheet.mirrored else 1)
        y = float(throw.radius) * np.cos(angle)
        size = float(throw.pin.diameter) / 2 if throw.pin is not None else float(throw.radius) / 20
        space.add_circle((x * MM, y * MM), size * MM, dxfattribs={"layer": NOT_CUT})


def _radii(evaluation: Evaluation, sheet: Sheet) -> list[str]:
    """Return what carries the plate, its radii, its holes, and how it stands to each crankpin, in words."""
    design, weight = evaluation.design, sheet.weight
    stock, name = design.counterweights, evaluation.weight_carriers["right"][sheet.plane].name
    assert stock is not None
    lines = [f"carried by: {name or 'NOTHING'}. Outer radius {float(weight.shape.edge.reach) * MM:.2f} mm"
             f", inner or hub radius {float(stock.smallest_radius) * MM:.2f} mm"]  # fmt: skip
    bolts = getattr(stock.shape, "bolts", None)
    if bolts is not None:
        size, radius = float(bolts.diameter) * MM, float(bolts.radius) * MM
        lines.append(f"{bolts.number} bolt holes {size:.2f} mm on radius {radius:.2f} mm"
                     f", {np.rad2deg(float(bolts.pitch)):.1f} deg apart")  # fmt: skip
    if isinstance(weight.shape.edge, Pinned):
        arm = weight.shape.edge.arm
        size, radius = float(arm.pin) * MM, float(arm.radius) * MM
        lines.append(f"hole for crankpin {arm.throw}: {size:.2f} mm on radius {radius:.2f} mm")
    for throw, place in pin_places(design).items():
        ahead = (np.rad2deg(float(weight.angle)) - place) % 360
        sense = f"counted {counted(design)} the crank's turning"
        lines.append(f"mass centre {ahead:.2f} deg from crankpin {throw}, {sense}")
    if holes_missing(stock):
        lines.append("NO SCREW HOLES: give counterweights.shape.bolts to have them drawn and weighed")
    return lines


def _seen(path: list[Bend], holes: tuple[RoundHole, ...], mirrored: bool) -> tuple[list[Bend], tuple[RoundHole, ...]]:
    """Return path and holes as drawn; a mirror turns every arc the other way."""
    if not mirrored:
        return path, holes
    return [(-x, y, -bulge) for x, y, bulge in path], tuple((-x, y, diameter) for x, y, diameter in holes)


def _cross(space: Any, x: float, y: float, half: float) -> None:
    for dx, dy in ((half, 0.0), (0.0, half)):
        ends = ((x - dx) * MM, (y - dy) * MM), ((x + dx) * MM, (y + dy) * MM)
        space.add_line(*ends, dxfattribs={"layer": "CENTRES"})


def _lines(evaluation: Evaluation, sheet: Sheet) -> list[str]:
    weight, counterweights = sheet.weight, evaluation.design.counterweights
    assert counterweights is not None
    shape = weight.shape
    pins = ", ".join(f"{name} {phase:.2f} deg" for name, phase in pin_places(evaluation.design).items())
    lines = [
        f"{evaluation.design.title}: {sheet.title}",
        f"{counterweights.material.name}, {shape.density:.0f} kg/m^3, {shape.thickness * MM:.2f} mm thick",
        f"mass {shape.mass * 1e3:.2f} g, mass x radius {shape.moment * 1e6:.1f} g mm",
        f"mass centre {shape.centre * MM:.2f} mm from the shaft's centre",
        f"with the crank at angle zero its mass centre stands {np.rad2deg(weight.angle) % 360:.2f} deg from +y,",
        f"counted {counted(evaluation.design)} the crank's direction of rotation. Scale 1:1, mm. Cross at 0,0: shaft.",
        f"Crankpins, counted alike: {pins}.",
        *_radii(evaluation, sheet),
    ]
    if weight.short > 0:
        lines.append(f"FALLS SHORT of the wanted {weight.wanted * 1e6:.1f} g mm by {weight.short * 1e6:.1f} g mm")
    return [_printable(line) for line in lines]


def _printable(text: str) -> str:
    """Return a text without what would end a line of the file or start a code in it."""
    return "".join(letter if letter.isprintable() else " " for letter in text).replace("%%", "% %").replace("^", "")


def _write_lines(space: Any, lines: list[str], reach: float) -> None:
    height = reach / 12 * MM
    for number, line in enumerate(lines):
        place = (-reach * MM, -reach * 1.2 * MM - number * LINE_HEIGHT * height)
        space.add_text(line, height=height, dxfattribs={"layer": "TEXT"}).set_placement(place)
