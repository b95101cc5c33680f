"""Drawings written as DXF files."""

from pathlib import Path
from typing import Any

from designs.drawing.sheet import MM, Sheet
from designs.drawing.sheets import sheets
from designs.evaluate import Evaluation
from designs.reading.followed import NOT_CUT
from designs.whole_file import write_whole

LAYERS = {"OUTLINE": 7, "HOLES": 7, "CENTRES": 1, NOT_CUT: 8, "TEXT": 3}  # name: colour number
LETTERS = 24  # letters' heights that the larger extent of a part is
LINE_HEIGHT = 1.6  # of the letters' height


class NothingToCut(ValueError):
    """A design that sizes no flat part."""


def write_cut(evaluation: Evaluation, folder: Path | str, force: bool = False) -> list[Path]:
    """Write a DXF file for each flat part that a design sizes into a folder, and return the files.

    evaluation : of a single design.   force : whether files of the same names may be replaced.
    Nothing is written if any file is in the way.
    Raises NothingToCut, FileExistsError, or OSError where a file cannot be written.
    """
    files = {Path(folder) / f"{sheet.name}.dxf": sheet for sheet in sheets(evaluation)}
    if not files:
        raise NothingToCut("the design has no flat part to cut: describe counterweights, or give sizes of cranks.webs")
    taken = [file for file in files if file.exists()]
    if taken and not (force and all(file.is_file() for file in taken)):
        raise FileExistsError(f"{taken[0]}: it exists already")
    for file, sheet in files.items():
        write_whole(file, _drawn(sheet).saveas, replace=force)
    return list(files)


def _drawn(sheet: Sheet) -> Any:
    import ezdxf  # a sixth of a second to import, and only a drawing needs it
    from ezdxf import units

    document = ezdxf.new("R2010", units=units.MM)
    for name, colour in LAYERS.items():
        document.layers.add(name, color=colour)
    space = document.modelspace()
    outline = [(x * MM, y * MM, bulge) for x, y, bulge in sheet.path]
    space.add_lwpolyline(outline, format="xyb", close=True, dxfattribs={"layer": "OUTLINE"})
    for x, y, diameter in sheet.holes:
        space.add_circle((float(x) * MM, float(y) * MM), float(diameter) / 2 * MM, dxfattribs={"layer": "HOLES"})
    for x, y, radius in sheet.beside:
        space.add_circle((x * MM, y * MM), radius * MM, dxfattribs={"layer": NOT_CUT})
    for x, y, half in sheet.centres:
        _cross(space, x, y, half)
    _write_lines(space, sheet)
    return document


def _cross(space: Any, x: float, y: float, half: float) -> None:
    for dx, dy in ((half, 0.0), (0.0, half)):
        ends = ((x - dx) * MM, (y - dy) * MM), ((x + dx) * MM, (y + dy) * MM)
        space.add_line(*ends, dxfattribs={"layer": "CENTRES"})


def _write_lines(space: Any, sheet: Sheet) -> None:
    """Write the words below everything that is drawn."""
    from ezdxf.bbox import extents

    box = extents(space)
    height = max(box.size.x, box.size.y) / LETTERS
    for number, line in enumerate(sheet.lines):
        corner = (box.extmin.x, box.extmin.y - (2 + number * LINE_HEIGHT) * height)
        space.add_text(_printable(line), height=height, dxfattribs={"layer": "TEXT"}).set_placement(corner)


def _printable(text: str) -> str:
    """Return a text without what would end a line of the file or start a code in it."""
    return "".join(letter if letter.isprintable() else " " for letter in text).replace("%%", "% %").replace("^", "")
