"""Drawings of the counterweights, read again and measured by shapely; and outlines taken from drawings."""

from pathlib import Path

import ezdxf
import numpy as np
import pytest
import shapely
from click.testing import CliRunner

from designs.command.cut import command
from designs.command.inputs import SHIPPED
from designs.drawing import NothingToCut, write_cut
from designs.evaluate import Evaluation
from designs.reading import BadFile, read
from designs.verdict import counterweights

FILE = Path(__file__).with_name("greenhouse-fan.yaml")
STOCK = "material: steel, thickness: 36 mm, smallest radius: 5 mm, largest radius: 20 mm"
BOLTS = "bolts: {number: 3, diameter: 3 mm, radius: 12 mm, pitch: 30 deg}"
FEW_BOLTS = "bolts: {number: 2, diameter: 3 mm, radius: 14 mm, pitch: 30 deg}"
OUTLINE = (
    "{kind: outline, polygon: [[-18 mm, -2 mm], [18 mm, 0 mm], [12 mm, 16 mm], [-8 mm, 18 mm]], "
    "holes: [{at: [1 mm, 4 mm], diameter: 5 mm}]}"
)
SHAPES = ["sector", f"{{kind: sector, {BOLTS}}}", "segment", f"{{kind: segment, {FEW_BOLTS}}}", OUTLINE]


def design_file(folder: Path, entries: str, name: str = "design.yaml") -> Path:
    """Write a design whose counterweights are these entries."""
    lines = FILE.read_text().splitlines()
    kept = [line for line in lines if not line.startswith("counterweights:")]
    assert len(kept) == len(lines) - 1
    place = next(n for n, line in enumerate(kept) if line.startswith("options:"))
    kept.insert(place, f"counterweights: {{{entries}}}" if entries else "")
    file = folder / name
    file.write_text("\n".join(line for line in kept if entries or "counterweights" not in line))
    return file


def evaluated(folder: Path, entries: str) -> Evaluation:
    return Evaluation(read(design_file(folder, entries)))


def lines_of(outline) -> list[list[tuple[float, float]]]:
    """Return the lines and arcs of a polyline as the drawing library splits it, ends rounded to meet."""
    found = []
    for piece in outline.virtual_entities():
        points = [piece.dxf.start, piece.dxf.end] if piece.dxftype() == "LINE" else list(piece.flattening(1e-5))
        found.append([(round(point.x, 9), round(point.y, 9)) for point in points])
    return found


def measured(file: Path) -> tuple[shapely.Polygon, list[str]]:
    """Return the face that a drawing shows, mm, and its lines of text."""
    document = ezdxf.readfile(file)
    assert document.units == ezdxf.units.MM
    assert not document.audit().errors
    space = document.modelspace()
    (outline,) = space.query("LWPOLYLINE[layer=='OUTLINE']")
    assert outline.closed
    face = shapely.polygonize([shapely.LineString(line) for line in lines_of(outline)]).geoms[0]
    for hole in space.query("CIRCLE[layer=='HOLES']"):
        face = face.difference(
            shapely.Point(hole.dxf.center.x, hole.dxf.center.y).buffer(hole.dxf.radius, quad_segs=500)
        )
    return face, [text.dxf.text for text in space.query("TEXT")]


@pytest.mark.parametrize("shape", SHAPES)
def test_the_drawing_is_the_weight_at_full_size(tmp_path, shape):
    evaluation = evaluated(tmp_path, f"{STOCK}, at: -12 mm, shape: {shape}")
    (weight,) = evaluation.weights.planes
    assert weight.shape.hole_edge_distance > 0
    files = write_cut(evaluation, tmp_path)
    assert [file.name for file in files] == (
        ["counterweight.dxf"] if "outline" not in shape else ["counterweight-right.dxf", "counterweight-left.dxf"]
    )
    for file in files:
        face, lines = measured(file)
        mass = face.area * 1e-6 * float(weight.shape.thickness) * 7850
        assert mass == pytest.approx(float(weight.shape.mass), rel=1e-5)
        assert mass * face.centroid.y * 1e-3 == pytest.approx(float(weight.shape.moment), rel=1e-5)
        assert face.centroid.x == pytest.approx(0.0, abs=1e-5)
        text = " ".join(lines)
        assert f"{weight.shape.moment * 1e6:.1f} g mm" in text
        assert f"{weight.shape.thickness * 1e3:.2f} mm thick" in text
        assert "steel" in text
    assert not list(tmp_path.glob(".*"))


def test_the_left_weight_is_the_mirror_image(tmp_path):
    right, left = write_cut(evaluated(tmp_path, f"{STOCK}, at: -12 mm, shape: {OUTLINE}"), tmp_path)
    one, other = measured(right)[0], measured(left)[0]
    mirrored = shapely.transform(one, lambda points: points * [-1, 1])
    assert mirrored.symmetric_difference(other).area < 1e-6
    assert one.symmetric_difference(other).area > 1.0


def test_two_planes_give_two_drawings(tmp_path):
    evaluation = evaluated(tmp_path, f"{STOCK}, at: [-70 mm, 30 mm]")
    files = write_cut(evaluation, tmp_path)
    assert [file.name for file in files] == ["counterweight-1.dxf", "counterweight-2.dxf"]
    areas = [measured(file)[0].area for file in files]
    expected = [float(weight.shape.measures.area) * 1e6 for weight in evaluation.weights.planes]
    np.testing.assert_allclose(areas, expected, rtol=1e-5)


def test_a_weight_that_falls_short_says_so_on_its_drawing(tmp_path):
    evaluation = evaluated(tmp_path, f"{STOCK.replace('36 mm', '2 mm')}, at: -12 mm")
    assert evaluation.weight.short > 0
    _, lines = measured(write_cut(evaluation, tmp_path)[0])
    assert any("FALLS SHORT" in line for line in lines)


def test_nothing_is_replaced_unless_told_to(tmp_path):
    evaluation = evaluated(tmp_path, f"{STOCK}, at: -12 mm, shape: {OUTLINE}")
    taken = tmp_path / "counterweight-left.dxf"
    taken.write_text("precious")
    with pytest.raises(FileExistsError):
        write_cut(evaluation, tmp_path)
    assert taken.read_text() == "precious"
    assert not (tmp_path / "counterweight-right.dxf").exists()
    write_cut(evaluation, tmp_path, force=True)
    assert measured(taken)[0].area > 0
    taken.unlink()
    taken.mkdir()
    with pytest.raises(FileExistsError):
        write_cut(evaluation, tmp_path, force=True)


def test_a_design_without_counterweights_has_nothing_to_cut(tmp_path):
    with pytest.raises(NothingToCut):
        write_cut(evaluated(tmp_path, ""), tmp_path)


def test_a_title_cannot_break_the_drawing(tmp_path):
    file = design_file(tmp_path, f"{STOCK}, at: -12 mm")
    text = file.read_text()
    title = next(line for line in text.splitlines() if line.startswith("title:"))
    file.write_text(text.replace(title, 'title: "a\\nb %%c ^J \\u00e9 \\t"'))
    (drawing,) = write_cut(Evaluation(read(file)), tmp_path)
    face, lines = measured(drawing)
    assert face.area > 0
    assert lines[0].startswith("a b % %c J é")


def test_what_was_drawn_can_be_read_again_as_an_outline(tmp_path):
    drawn = evaluated(tmp_path, f"{STOCK}, at: -12 mm, shape: {{kind: sector, {BOLTS}}}")
    write_cut(drawn, tmp_path)
    again = evaluated(tmp_path, f"{STOCK}, at: -12 mm, shape: {{kind: outline, drawing: counterweight.dxf}}")
    one, two = drawn.weights.planes[0].shape, again.weights.planes[0].shape
    for what in ("mass", "moment", "inertia", "thickness"):
        assert float(getattr(two, what)) == pytest.approx(float(getattr(one, what)), rel=2e-4)
    assert len(two.holes) == 3


@pytest.fixture(scope="module")
def rebuilt(tmp_path_factory):
    """The shipped redesign, and what `cut` writes of it."""
    folder = tmp_path_factory.mktemp("rebuilt")
    evaluation = Evaluation(read(SHIPPED / "redesign.yaml"))
    return evaluation, {file.stem: file for file in write_cut(evaluation, folder)}


def test_a_web_is_drawn_as_the_arm_that_it_is_with_the_holes_of_what_it_joins(rebuilt):
    """A bar with round ends about both centres: by shapely's buffer of the line between them."""
    evaluation, files = rebuilt
    design = evaluation.design
    face, lines = measured(files["web-2"])
    centres = [(0.0, 9.0), (12.0, 0.0)]  # throws of 9 mm at 0 deg and 12 mm at 90 deg, as the file says
    arm = shapely.LineString(centres).buffer(7.0, quad_segs=500)
    holes = shapely.union_all([shapely.Point(*each).buffer(3.0, quad_segs=500) for each in centres])
    assert face.symmetric_difference(arm.difference(holes)).area < 0.01
    text = " ".join(lines)
    for said in (
        "6.00 mm on radius 9.00 mm, 0.00 deg",
        "6.00 mm on radius 12.00 mm, 90.00 deg",
        "centres 15.00 mm apart",
    ):
        assert said in text
    assert f"mass as drawn {face.area * 1e-6 * 6e-3 * design.shafts.material.density * 1e3:.2f} g" in text
    first, lines = measured(files["web-1"])  # on a shaft of 8 mm
    assert shapely.Point(0, 3.9).disjoint(first)
    assert first.intersects(shapely.Point(0, -4.1))
    # Two radial screws 6 mm apart on a rim of 9.05 mm, about the weight's middle line.
    away = np.rad2deg(3.0 / 9.05)
    middle = np.rad2deg(float(evaluation.weights.planes[0].angle)) % 360
    said = f"thread 4.50 mm deep, at {middle - away:.2f}, {middle + away:.2f} deg"
    assert sum(line.startswith("radial threads M3") and said in line for line in lines) == 1


def test_heads_of_screws_are_said_to_be_sunk_on_the_plate_that_they_hold(rebuilt):
    """The first plane is screwed to a web; the second one sits on a crankpin, by its press fit."""
    plates = {name: file for name, file in rebuilt[1].items() if name.startswith("counterweight")}
    sunk = {name for name, file in plates.items() if any("heads of screws sunk" in line for line in measured(file)[1])}
    assert sunk == {name for name in plates if name.startswith("counterweight-1")} < set(plates)


def test_a_flywheel_is_drawn_with_its_bore_and_says_its_inertia(rebuilt):
    """Shigley, table A-18: m = pi d^2 t rho / 4, J = m d^2 / 8 of a disc, the bore taken off."""
    _, files = rebuilt
    face, lines = measured(files["flywheel"])
    assert face.area == pytest.approx(np.pi / 4 * (90**2 - 10**2), rel=1e-5)
    mass, inertia = (np.pi / 4 * 7850 * 0.018 * (0.09**n - 0.01**n) / share for n, share in ((2, 1), (4, 8)))
    assert f"mass as drawn {mass * 1e3:.1f} g, moment of inertia {inertia * 1e7:.0f} g cm2" in " ".join(lines)


def test_cut_and_check_are_of_one_mind(tmp_path):
    """A weight as wide as the web that it is made of fills the same place: no clash, and for `check` not either."""
    text = (SHIPPED / "redesign.yaml").read_text().replace("smallest_radius: 9.05 mm", "smallest_radius: 8 mm")
    (tmp_path / "own.yaml").write_text(text)
    evaluation = Evaluation(read(tmp_path / "own.yaml"))
    (own,) = [row for row in counterweights.rows(evaluation) if row.key == "counterweight_own"]
    assert own.state == "not checked"
    shown = CliRunner().invoke(command, [str(tmp_path / "own.yaml"), "-o", str(tmp_path / "drawn")])
    assert ("one piece" in shown.output, "  yes" in shown.output, shown.exit_code) == (True, False, 1)
    assert "FAIL: metal about the counterweights' screws" in shown.output  # which then miss the web's round end


def drawing(folder: Path, draw, units: int = 4, name: str = "own.dxf") -> None:
    document = ezdxf.new("R2010", units=units)
    draw(document.modelspace())
    document.saveas(folder / name)


def read_own(folder: Path) -> Evaluation:
    return evaluated(folder, f"{STOCK}, at: -12 mm, shape: {{kind: outline, drawing: own.dxf}}")


def test_loose_lines_and_arcs_join_into_an_outline(tmp_path):
    """A half disc of 16 mm from an arc and a line, with a centre cross that joins nothing: pi r^2 / 2 and 2/3 r^3."""

    def draw(space):
        space.add_arc((0, 0), 16, 0, 180)
        space.add_line((-16, 0), (16, 0))
        space.add_line((-1, 3), (1, 3))
        space.add_line((0, 2), (0, 4))

    drawing(tmp_path, draw)
    measures = read_own(tmp_path).weight.shape.measures
    assert measures.area == pytest.approx(np.pi / 2 * 0.016**2, rel=1e-4)
    assert measures.first == pytest.approx(2 / 3 * 0.016**3, rel=1e-4)


@pytest.mark.parametrize(("units", "scale"), [(4, 1e-3), (5, 1e-2), (1, 0.0254), (0, 1e-3)])
def test_drawing_units(tmp_path, units, scale):
    """Codes of $INSUNITS: 4 mm, 5 cm, 1 inch, 0 none stated; DXF reference, header variables."""
    drawing(tmp_path, lambda space: space.add_lwpolyline([(-1, 0.1), (1, 0.1), (1, 1), (-1, 1)], close=True), units)
    assert read_own(tmp_path).weight.shape.measures.area == pytest.approx(1.8 * scale**2, rel=1e-9)


BAD = {
    "two outlines": lambda s: [s.add_lwpolyline([(x, 1), (x + 2, 1), (x, 3)], close=True) for x in (0, 9)],
    "no outline": lambda s: s.add_line((0, 0), (1, 1)),
    "open": lambda s: s.add_lwpolyline([(0, 0), (5, 0), (5, 5)]),
    "crossing": lambda s: s.add_lwpolyline([(0, 0), (9, 9), (9, 0), (0, 9.5)], close=True),
    "flat": lambda s: s.add_lwpolyline([(0, 0), (9, 0), (4, 0)], close=True),
    "huge circle": lambda s: (s.add_lwpolyline([(0, 0), (9, 9), (9, 0)], close=True), s.add_circle((0, 0), 50)),
    "empty": lambda s: None,
}


@pytest.mark.parametrize("fault", BAD)
def test_drawings_that_are_no_outline_are_refused(tmp_path, fault):
    drawing(tmp_path, BAD[fault])
    with pytest.raises(BadFile) as caught:
        read_own(tmp_path)
    assert "own.dxf" in str(caught.value)
    assert len(caught.value.complaints) == 1


@pytest.mark.parametrize(
    "content", [b"", b"no drawing", b"0\nSECTION\n2\nENTITIES\n0\nLINE\n", b"\xff" * 100, b"a" * 5_000_001]
)
def test_damaged_drawings_are_refused(tmp_path, content):
    (tmp_path / "own.dxf").write_bytes(content)
    with pytest.raises(BadFile):
        read_own(tmp_path)


@pytest.mark.parametrize("name", ["../own.dxf", "/etc/hostname", "nowhere.dxf", "link.dxf"])
def test_drawings_elsewhere_are_refused(tmp_path, name):
    inside = tmp_path / "inside"
    inside.mkdir()
    drawing(tmp_path, lambda space: space.add_circle((0, 5), 8))
    (inside / "link.dxf").symlink_to(tmp_path / "own.dxf")
    with pytest.raises(BadFile):
        evaluated(inside, f"{STOCK}, at: -12 mm, shape: {{kind: outline, drawing: {name}}}")


def test_the_command_writes_says_so_and_does_not_overwrite(tmp_path):
    file = str(design_file(tmp_path, f"{STOCK}, at: -12 mm"))
    runner = CliRunner()
    first = runner.invoke(command, [file, "-o", str(tmp_path)])
    assert first.exit_code in (0, 1), first.output
    assert "counterweight.dxf" in first.output
    before = (tmp_path / "counterweight.dxf").read_bytes()
    second = runner.invoke(command, [file, "-o", str(tmp_path)])
    assert second.exit_code == 2
    assert "--force" in second.output
    assert (tmp_path / "counterweight.dxf").read_bytes() == before
    assert runner.invoke(command, [file, "-o", str(tmp_path), "--force"]).exit_code == first.exit_code
    assert runner.invoke(command, [file, "-o", str(tmp_path / "new")]).exit_code == first.exit_code
    assert (tmp_path / "new" / "counterweight.dxf").is_file()
    assert runner.invoke(command, [file, "-o", str(tmp_path / "nowhere" / "new")]).exit_code == 2
    assert runner.invoke(command, [file, "-o", file]).exit_code == 2
    short = str(design_file(tmp_path, f"{STOCK.replace('36 mm', '2 mm')}, at: -12 mm", "short.yaml"))
    assert runner.invoke(command, [short, "-o", str(tmp_path), "--force"]).exit_code == 1
    bare = str(design_file(tmp_path, "", "bare.yaml"))
    assert runner.invoke(command, [bare, "-o", str(tmp_path), "--force"]).exit_code == 2
