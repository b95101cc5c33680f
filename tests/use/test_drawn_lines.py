"""Lines of a DXF file as they are seen: mirrored, open, in blocks, hidden or tilted, and none left out in silence."""

from pathlib import Path

import ezdxf
import numpy as np
import pytest

from designs.reading import BadFile
from designs.reading.complaints import Place
from designs.reading.drawing import read_drawing

CORNERS = [(-30, -35), (30, -35), (25, 8), (-30, 8)]
MIRRORED = {"extrusion": (0, 0, -1)}  # as drawing programs leave it; DXF reference, arbitrary axis algorithm


def plate(space, **how) -> None:
    space.add_lwpolyline(CORNERS, close=True, dxfattribs=how)


def drawn(folder: Path, put):
    document = ezdxf.new("R2010", units=4)
    document.layers.add("off").off()
    document.layers.add("frozen").freeze()
    put(document.modelspace())
    document.saveas(folder / "weight.dxf")
    return read_drawing("weight.dxf", folder, False, Place("fan.yaml", 1, 1))


def mirrored_plate(space) -> None:
    plate(space, **MIRRORED)
    space.add_circle((5, -25), 3, dxfattribs=MIRRORED)


def mirrored_half_disc(space) -> None:
    space.add_arc((5, -2), 16, 0, 180, dxfattribs=MIRRORED)
    space.add_line((-21, -2), (11, -2))


def closed_without_saying_so(space) -> None:
    space.add_lwpolyline([*CORNERS, CORNERS[0]], close=False)


def of_a_polyline_and_a_line(space) -> None:
    space.add_lwpolyline(CORNERS, close=False)
    space.add_line(CORNERS[-1], CORNERS[0])


def of_half_an_ellipse(space) -> None:
    space.add_ellipse((0, 0), (30, 0), 0.5, 0, np.pi)
    space.add_line((-30, 0), (30, 0))


def arc_all_round(space) -> None:
    plate(space)
    space.add_arc((0, -25), 3, 90, 450)


AREA = 2472.5  # a trapezium, (60 + 55) / 2 x 43
SEEN = {
    mirrored_plate: (AREA, (-25, 8), [(-5, -25, 6)]),
    mirrored_half_disc: (np.pi / 2 * 256, (-21, -2), []),
    closed_without_saying_so: (AREA, (25, 8), []),
    of_a_polyline_and_a_line: (AREA, (25, 8), []),
    of_half_an_ellipse: (np.pi / 2 * 450, (-30, 0), []),
    arc_all_round: (AREA, (25, 8), [(0, -25, 6)]),
}
"""Area, a corner, and the holes, mm."""


@pytest.mark.parametrize("put", SEEN, ids=lambda put: put.__name__)
def test_lines_are_taken_as_they_are_seen(tmp_path: Path, put) -> None:
    area, corner, holes = SEEN[put]
    found = drawn(tmp_path, put)
    x, y = 1e3 * found.corners.T
    assert abs(np.sum(x * np.roll(y, -1) - np.roll(x, -1) * y)) / 2 == pytest.approx(area, rel=5e-4)
    assert np.hypot(x - corner[0], y - corner[1]).min() < 1e-9
    assert 1e3 * found.holes == pytest.approx(np.array(holes, dtype=float).reshape(-1, 3))


def block(space) -> None:
    space.doc.blocks.new("hole").add_circle((0, 0), 3)
    space.add_blockref("hole", (0, -25))


UNSEEN = {
    "a block": block,
    "SOLID": lambda space: space.add_solid([(0, -25), (4, -25), (4, -20)]),
    "which is hidden": lambda space: space.add_circle((0, -25), 3, dxfattribs={"layer": "off"}),
    "layer 'frozen', which": lambda space: space.add_circle((0, -25), 3, dxfattribs={"layer": "frozen"}),
    "layer '0', which is hidden": lambda space: space.add_circle((0, -25), 3, dxfattribs={"invisible": 1}),
    "a circle that does not lie flat": lambda s: s.add_circle((5, -25), 3, dxfattribs={"extrusion": (0, 1, 0)}),
    "a line that does not lie flat": lambda space: space.add_line((0, 0, 0), (5, 0, 1)),
    "a polyline that does not lie flat": lambda s: s.add_polyline3d([(x, y, x) for x, y in CORNERS], close=True),
    "it ends at -3, -25": lambda space: space.add_lwpolyline([(3, -25, 0, 0, 1), (-3, -25)]),
    "it ends at -2, -25": lambda space: space.add_spline([(3, -25), (0, -22), (-2, -25)]),
    "it ends at 0, -22": lambda space: space.add_arc((0, -25), 3, 0, 90),
    "it ends at 5, -9": lambda space: (space.add_line((0, -9), (0, -5)), space.add_line((0, -5), (5, -9))),
    "a circle of radius -3": lambda space: space.add_circle((0, -25), -3),
    "a circle of radius 0": lambda space: space.add_circle((0, -25), 0),
    "a circle of radius nan": lambda space: space.add_circle((0, -25), float("nan")),
    "a line inf m": lambda space: space.add_circle((float("inf"), -25), 3),
}


@pytest.mark.parametrize("said", UNSEEN)
def test_what_cannot_be_followed_is_refused(tmp_path: Path, said: str) -> None:
    def put(space) -> None:
        plate(space)
        UNSEEN[said](space)

    with pytest.raises(BadFile) as refused:
        drawn(tmp_path, put)
    assert said in str(refused.value)


def test_notes_and_centre_marks_are_passed_over(tmp_path: Path) -> None:
    def put(space) -> None:
        plate(space)
        space.add_text("M3")
        space.add_point((0, 0))
        space.add_line((-1, 3), (1, 3))
        space.add_line((0, 2), (0, 4))
        space.add_circle((0, -25), 3, dxfattribs={"layer": "BESIDE"})

    found = drawn(tmp_path, put)
    assert (len(found.corners), len(found.holes)) == (4, 0)
