"""An outline from a DXF file: one closed line about the shaft's centre at 0,0, and round holes in it.

Closed polylines, splines, ellipses and circles count, and lines and arcs that join end to end into a loop.
The largest is the outline, circles within it are holes. Drawings without a unit are taken as millimetres.
"""

import tempfile
from pathlib import Path
from typing import Any

import numpy as np

from balance.machine.counterweights import FlatDrawing
from balance.plates.plate import chords_of, flattened
from balance.plates.polygon import crosses_itself
from designs.reading.beside import content_of, file_beside
from designs.reading.complaints import BadFile, Place, bad, quote
from designs.reading.followed import ASIDE, NOT_CUT, NOTES, lay_flat, refuse_what_is_no_line

LARGEST = 5_000_000  # bytes; a weight's outline takes a thousandth of that
MOST_LINES = 2000  # corners, and loose lines and arcs, that an outline may have
STEP = np.deg2rad(0.5)  # of an arc for each chord: one part in 80 000 of its area is lost
FLATNESS = 1e-6  # m by which a chord may stand off a spline
MOST_HOLES = 100  # more than any weight has; each is looked at for its room
FARTHEST = 2.0  # m from 0,0; nothing that turns in a small engine reaches a tenth of that
ALLOWED = "a DXF file with one closed outline about 0,0 and round holes in it"


CLOSE = 1e-9  # in drawing units, by which two ends are one


def read_drawing(name: str, folder: Path | None, allow_above: bool, position: Place) -> FlatDrawing:
    """Return the outline in the file `name` beside the design file.

    position : where the design file names the drawing. Raises BadFile.
    """
    file = file_beside(name, folder, allow_above, position)
    content = content_of(file, LARGEST, position, "a DXF file")
    try:
        return _read(content, Place(file.name))
    except BadFile:
        raise
    except Exception:  # a damaged drawing fails in any of a library's many ways, and all mean the same here
        raise bad(Place(file.name), f"{quote(file.name)}, which is no sound drawing", ALLOWED) from None


def _read(content: bytes, position: Place) -> FlatDrawing:
    import ezdxf  # a sixth of a second to import, and few designs name a drawing

    with tempfile.TemporaryDirectory() as folder:
        copy = Path(folder) / "drawing.dxf"
        copy.write_bytes(content)
        document = ezdxf.readfile(copy)
    loops, circles = _closed(document, position, _metres_per_unit(document, position))
    return _drawing(loops, circles, position)


def _metres_per_unit(document: Any, position: Place) -> float:
    from ezdxf import units

    written = document.units
    if written == 0:
        return 1e-3
    try:
        return float(units.conversion_factor(units.InsertUnits(written), units.InsertUnits(units.M)))
    except (ValueError, TypeError):
        raise bad(position, f"drawing unit {written}", "a drawing in mm, cm, m or inches") from None


def _closed(document: Any, position: Place, scale: float) -> tuple[list[np.ndarray], list[tuple[float, float, float]]]:
    """Return the corners of every closed line and (x, y, diameter) of every circle, m, but for what is not cut."""
    from ezdxf import path

    loops: list[np.ndarray] = []
    circles: list[tuple[float, float, float]] = []
    loose: list[Any] = []
    for entity in document.modelspace():
        kind = entity.dxftype()
        if entity.dxf.layer == NOT_CUT or kind in NOTES:
            continue
        refuse_what_is_no_line(entity, document, position)
        lay_flat(entity, position)
        _refuse_many(sum(map(len, loops)), position)
        if kind == "CIRCLE" or (kind == "ARC" and _goes_round(entity)):
            circles.append(_circle(entity, position, scale))
        elif kind in ("LWPOLYLINE", "POLYLINE"):
            points = _vertices(entity)
            if entity.is_closed or _ends_meet(points):
                loops.append(_bent(points, scale, position))
            else:
                loose.append(entity)
        elif kind in ("SPLINE", "ELLIPSE"):
            within = _points_of(entity)
            _refuse_many(len(within), position)
            _refuse_far(np.max(np.abs(within)) * scale, position)
            drawn = path.make_path(entity)
            if drawn.is_closed:
                loops.append(_corners([(point.x, point.y) for point in drawn.flattening(FLATNESS / scale)], scale))
            else:
                loose.append(entity)
        else:
            loose.append(entity)
    if len(circles) > MOST_HOLES:
        raise bad(position, f"{len(circles)} circles", f"at most {MOST_HOLES}")
    return loops + _joined(loose, position, scale), circles


def _goes_round(arc: Any) -> bool:
    turn = (arc.dxf.end_angle - arc.dxf.start_angle) % 360.0
    return min(turn, 360.0 - turn) < CLOSE


def _circle(circle: Any, position: Place, scale: float) -> tuple[float, float, float]:
    """Return centre and diameter of a circle, m."""
    centre, radius = circle.dxf.center, circle.dxf.radius
    if not radius > 0:
        raise bad(position, f"a circle of radius {radius:g}", "a radius of more than 0")
    _refuse_far((max(abs(centre.x), abs(centre.y)) + radius) * scale, position)
    return centre.x * scale, centre.y * scale, 2 * radius * scale


def _points_of(curve: Any) -> np.ndarray:
    """Return the points within which a spline or an ellipse runs, in drawing units."""
    if curve.dxftype() == "SPLINE":
        return np.array([[point[0], point[1]] for point in (*curve.control_points, *curve.fit_points)] or [[0.0, 0.0]])
    centre, axis = curve.dxf.center, curve.dxf.major_axis.magnitude * max(1.0, abs(curve.dxf.ratio))
    return np.array([[centre.x - axis, centre.y - axis], [centre.x + axis, centre.y + axis]])


def _refuse_many(corners: int, position: Place) -> None:
    if corners > MOST_LINES:
        raise bad(position, f"an outline of {corners} corners", f"at most {MOST_LINES}")


def _refuse_far(distance: float, position: Place) -> None:
    """Refuse before a curve of that size is cut into chords of a size that a weight needs."""
    if not distance <= FARTHEST:
        raise bad(position, f"a line {distance:.3g} m from 0,0 in the drawing's unit", f"at most {FARTHEST:g} m")


def _vertices(line: Any) -> list[tuple[float, float, float]]:
    """Return (x, y, bulge) of every corner of a polyline, in drawing units."""
    if line.dxftype() == "POLYLINE":
        return [(each.dxf.location.x, each.dxf.location.y, each.dxf.get("bulge", 0.0)) for each in line.vertices]
    return list(line.get_points("xyb"))


def _ends_meet(points: list[tuple[float, float, float]]) -> bool:
    return len(points) > 2 and np.allclose(points[0][:2], points[-1][:2], rtol=0, atol=CLOSE)


def _bent(points: list[tuple[float, float, float]], scale: float, position: Place) -> np.ndarray:
    """Return the corners of a closed polyline of (x, y, bulge), its arcs cut into chords of STEP."""
    if _ends_meet(points):
        points = points[:-1]  # the first one again
    _refuse_many(chords_of(points, STEP), position)
    return _corners(flattened(points, STEP), scale)


def _corners(points: Any, scale: float) -> np.ndarray:
    """Return corners in m, without those that only repeat the one before."""
    corners = np.array(points, dtype=float).reshape(-1, 2) * scale
    return corners[np.any(np.abs(corners - np.roll(corners, 1, axis=0)) > 1e-9, axis=1)]


def _joined(loose: list[Any], position: Place, scale: float) -> list[np.ndarray]:
    """Return the loops that open lines make end to end; single straight ones that make none are centre marks."""
    from ezdxf import edgeminer, edgesmith

    if len(loose) > MOST_LINES:
        raise bad(position, f"{len(loose)} loose lines and arcs", f"at most {MOST_LINES}")
    if not loose:
        return []
    deposit = edgeminer.Deposit(list(edgesmith.edges_from_entities_2d(loose)), gap_tol=FLATNESS / scale)
    loops = []
    for chain in edgeminer.find_all_simple_chains(deposit):
        if edgeminer.is_loop(chain):
            loops.append(
                _bent(_vertices(edgesmith.lwpolyline_from_chain(chain, max_sagitta=FLATNESS / scale)), scale, position)
            )
        elif len(chain) > 1 or chain[0].payload.dxftype() != "LINE":
            end = ", ".join(f"{round(number, 6) + 0.0:g}" for number in (chain[-1].end.x, chain[-1].end.y))
            raise bad(position, f"a line that is open; it ends at {end}", f"closed outlines; {ASIDE}")
    return loops


def _area(corners: np.ndarray) -> float:
    x, y = corners[:, 0], corners[:, 1]
    return abs(float(np.sum(x * np.roll(y, -1) - np.roll(x, -1) * y))) / 2


def _drawing(loops: list[np.ndarray], circles: list[tuple[float, float, float]], position: Place) -> FlatDrawing:
    loops = sorted((loop for loop in loops if len(loop) >= 3), key=_area)
    if not loops and circles:
        loops.append(_round(circles.pop(int(np.argmax([circle[2] for circle in circles])))))
    _refuse(loops, position)
    corners, holes = loops[0], np.array(circles, dtype=float).reshape(-1, 3)
    if np.any(np.pi / 4 * holes[:, 2] ** 2 > _area(corners)):
        raise bad(position, "a circle larger than the outline", ALLOWED)
    for each in (corners, holes):
        each.flags.writeable = False
    return FlatDrawing(corners=corners, holes=holes)


def _refuse(loops: list[np.ndarray], position: Place) -> None:
    if len(loops) != 1:
        raise bad(position, f"{len(loops)} closed outlines", ALLOWED)
    _refuse_many(len(loops[0]), position)
    _refuse_far(np.max(np.abs(loops[0])), position)
    if not np.all(np.isfinite(loops[0])) or _area(loops[0]) <= 0:
        raise bad(position, "an outline without an area", ALLOWED)
    if crosses_itself(loops[0][:, 0], loops[0][:, 1]):
        raise bad(position, "an outline that crosses itself", ALLOWED)


def _round(circle: tuple[float, float, float]) -> np.ndarray:
    x, y, diameter = circle
    angle = np.linspace(0, 2 * np.pi, 720, endpoint=False)
    return np.column_stack([x + diameter / 2 * np.cos(angle), y + diameter / 2 * np.sin(angle)])
