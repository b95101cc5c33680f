"""What verdict, tables, drawing and `cut` say of what carries a counterweight and holds it."""

from dataclasses import replace
from pathlib import Path

import ezdxf
import numpy as np
import pytest
import shapely
from click.testing import CliRunner
from use.test_cut import lines_of

from balance.machine.counterweights import BoltCircle, SectorShape
from balance.machine.materials import MATERIALS
from designs.command.cut import command
from designs.counsel.free import free_choices
from designs.design import Design
from designs.drawing import write_cut
from designs.evaluate import Evaluation, evaluate_finely
from designs.parts import parts
from designs.reading import BadFile, read
from designs.tables import counterweights as tables
from designs.verdict import clearances
from designs.verdict import counterweights as verdict

SHIPPED = Path(__file__).parents[2] / "designs"


@pytest.fixture(scope="module")
def redesign() -> Design:
    return read(SHIPPED / "redesign.yaml")


def rows(design: Design) -> dict:
    return {row.key: row for row in verdict.rows(Evaluation(design))}


def stocked(design: Design, **entries) -> Design:
    return replace(design, counterweights=replace(design.counterweights, **entries))


def test_the_shipped_weights_are_carried(redesign):
    for name, carriers in (("redesign", ["web 1", "pin outer"]), ("rhombic", ["web 1", "web 2"])):
        evaluation = Evaluation(read(SHIPPED / f"{name}.yaml"))
        assert [each.name for each in evaluation.weight_carriers["left"]] == carriers
        found = rows(evaluation.design)
        assert {key: row.state for key, row in found.items()} == dict.fromkeys(found, "pass")
        table = tables.tables(evaluation)[0]
        assert [row[-2] for row in table.rows] == carriers


def test_a_weight_where_nothing_is_fails_and_is_told_where_something_would_be(redesign):
    adrift = stocked(redesign, on=None, at=(-0.010, -0.060))
    row = rows(adrift)["counterweight_carried"]
    assert (row.state, float(row.value)) == ("FAIL", 1.0)
    assert "the end of crankpin outer from −50 to −39 mm" in row.change
    assert rows(stocked(redesign, on=("web 1", "web 2")))["counterweight_carried"].state == "FAIL"


def test_balance_is_kept_on_the_pin(redesign):
    """The whole machine, worked out with what was cut: no first order of force or pitch is left."""
    shaken = Evaluation(redesign).shaking.orders()
    assert abs(shaken["y"][1]) < 1e-12
    assert abs(shaken["pitch"][1]) < 1e-12


def test_a_thicker_plate_on_the_pin_is_a_change_that_is_tried(redesign):
    """Its arm to the crankpin, which grows as well, counts."""
    thin = stocked(redesign, thickness=0.004)
    row = rows(thin)["counterweight_moment"]
    assert (row.state, row.change) == ("FAIL", "")
    plates = [dial for dial in free_choices(thin) if "counterweights.thickness" in dial.paths]
    levels = {level.shown: level for level in plates[0].levels}
    assert rows(levels["steel 10 mm"].of(thin))["counterweight_moment"].state == "pass"
    assert rows(levels["steel 5 mm"].of(thin))["counterweight_moment"].state == "FAIL"


def test_a_weight_in_the_place_of_its_own_web_or_rod_is_a_clash(redesign):
    within = rows(stocked(redesign, on=("shaft", "pin"), smallest_radius=0.005))["counterweight_own"]
    assert within.state == "FAIL"
    assert "web 1" in within.what
    one_piece = rows(stocked(redesign, smallest_radius=0.005))["counterweight_own"]
    assert one_piece.state == "not checked"
    assert "counts twice" in one_piece.words
    in_the_rod = rows(stocked(redesign, at=(-0.010, -0.0435)))["counterweight_own"]
    assert in_the_rod.state == "FAIL"
    assert "rod of displacer" in in_the_rod.what


def test_a_rod_that_a_weight_not_on_its_pin_sweeps_over_is_told_once(redesign):
    """A plate on the webs, in the place of the piston's rod: among all other parts, at speed."""
    over = stocked(redesign, at=(-0.021, -0.047), thickness=0.004)
    (row,) = clearances.rows(evaluate_finely(over), "clearance_weights")
    assert row.state == "FAIL"
    assert "rod of piston" in row.what
    assert " rod " not in rows(over)["counterweight_own"].what


def test_a_rod_may_run_against_the_plate_that_closes_its_pin(redesign):
    """With play along the shafts the rod can touch the eye, as it can touch a web: no clash in either list."""
    loose = replace(redesign, fits=replace(redesign.fits, axial_play=0.2e-3))
    assert rows(loose)["counterweight_own"].state == "pass"
    names = [each.names for each in Evaluation(loose).clearances]
    assert not any("right rod of displacer" in each and "right counterweight 2" in each for each in names)


def test_unknown_webs_leave_their_clearance_unchecked(redesign):
    webs = tuple(replace(web, width=None) for web in redesign.cranks.webs)
    row = rows(replace(redesign, cranks=replace(redesign.cranks, webs=webs)))["counterweight_own"]
    assert row.state == "not checked"
    assert "cranks.webs.0.width" in row.words


def bolted(design: Design) -> Design:
    """Return the redesign with its first weight alone, bolted to the face of its web."""
    shape = SectorShape(bolts=BoltCircle(number=2, diameter=3.2e-3, radius=20.5e-3, pitch=np.pi / 6))
    screws = replace(design.counterweights.screws, arrangement="shear", engagement=6e-3)
    return stocked(design, shape=shape, screws=screws, at=-10e-3, on="web 1")


@pytest.mark.parametrize(
    ("engagement", "into", "weakest"),
    [(0.006, None, "plate edge"), (0.0001, None, "threads"), (0.0006, "oak", "threads")],
)
def test_the_fixing_says_what_gives_way_first(redesign, engagement, into, weakest):
    from balance.machine.materials import MATERIALS

    design = bolted(redesign)
    screws = replace(design.counterweights.screws, engagement=engagement, into=into and MATERIALS[into])
    limits = replace(redesign.limits, retention=1e6)
    row = rows(replace(stocked(design, screws=screws), limits=limits))["retention"]
    assert row.state == "FAIL"
    first = "screws" if weakest == "plate edge" else weakest
    assert f"the {first} would fail first" in row.change
    assert "screws, threads, plate edge" in row.what


def test_a_fixing_of_which_part_was_not_looked_at_does_not_pass(redesign):
    screws = replace(redesign.counterweights.screws, engagement=None)
    row = rows(stocked(redesign, screws=screws))["retention"]
    assert row.state == "not checked"
    assert "counterweights.screws.engagement" in row.words


def test_the_drawing_shows_pin_hole_bolts_and_angles(redesign, tmp_path):
    """The crankpin's hole stands where the mechanism has it, on the right plate and mirrored on the left one."""
    shape = bolted(redesign).counterweights.shape
    evaluation = Evaluation(stocked(redesign, shape=shape))
    weight = evaluation.weights.planes[1]
    names = [file.name for file in write_cut(evaluation, tmp_path)]
    weights = ["counterweight-1.dxf", "counterweight-2-right.dxf", "counterweight-2-left.dxf"]
    assert names == [*weights, "web-1.dxf", "web-2.dxf", "flywheel.dxf"]
    for hand, sign in (("right", 1), ("left", -1)):
        space = ezdxf.readfile(tmp_path / f"counterweight-2-{hand}.dxf").modelspace()
        holes = [
            (hole.dxf.center.x, hole.dxf.center.y, 2 * hole.dxf.radius)
            for hole in space.query("CIRCLE[layer=='HOLES']")
        ]
        turn = np.pi / 2 - float(weight.angle)
        assert holes[-1] == pytest.approx((sign * 12 * np.sin(turn), 12 * np.cos(turn), 6.0), abs=1e-6)
        assert len(holes) == 3
        (outline,) = space.query("LWPOLYLINE[layer=='OUTLINE']")
        face = shapely.polygonize([shapely.LineString(line) for line in lines_of(outline)]).geoms[0]
        for x, y, size in holes:
            face = face.difference(shapely.Point(x, y).buffer(size / 2, quad_segs=300))
        assert face.area * 1e-6 * 0.010 * 7850 == pytest.approx(float(weight.shape.mass), rel=1e-3)
        text = " ".join(each.dxf.text for each in space.query("TEXT"))
        ahead = (np.rad2deg(float(weight.angle)) - 90) % 360
        assert f"{ahead:.2f} deg from crankpin outer" in text
        assert "hole for crankpin outer: 6.00 mm on radius 12.00 mm" in text
        assert "2 bolt holes 3.20 mm on radius 20.50 mm" in text
        assert "carried by: pin outer. Outer radius 25.00 mm" in text
    shaft = ezdxf.readfile(write_cut(Evaluation(stocked(redesign, on=("shaft", "pin"))), tmp_path / "..", True)[0])
    radii = [each.dxf.radius for each in shaft.modelspace().query("CIRCLE[layer=='BESIDE']")]
    assert 4.0 in radii  # the shaft of 8 mm
    assert 9.05 in radii  # the hub
    words = " ".join(each.dxf.text for each in shaft.modelspace().query("TEXT"))
    ring = "outside 18.10 mm, bore 8.00 mm, 10.00 mm long"
    assert f"a hub that is not drawn: {ring}; on the shaft: how is not given" in words


def test_a_weight_on_the_shaft_wants_a_hub_of_what_its_screws_go_into(redesign):
    """A ring from the shaft of 8 mm to where the weight begins; on a web, a crankpin or the shaft itself none."""
    brass = replace(redesign.counterweights.screws, into=MATERIALS["brass"])
    on_shaft = stocked(redesign, on=("shaft", "pin"), screws=brass)
    (hub,) = [each for each in parts(Evaluation(on_shaft)) if each.name.startswith("hub")]
    assert (hub.name, hub.count, hub.of) == ("hub of counterweight-1", 2, "brass")
    assert hub.mass == pytest.approx(np.pi * (9.05e-3**2 - 4e-3**2) * 0.010 * float(MATERIALS["brass"].density))
    bare = stocked(redesign, on=("shaft", "pin"), smallest_radius=4e-3)
    for each in (redesign, bare):
        assert not [part for part in parts(Evaluation(each)) if part.name.startswith("hub")]


def test_cut_always_warns_and_says_when_nothing_carries(tmp_path):
    runner = CliRunner()
    good = runner.invoke(command, [str(SHIPPED / "redesign.yaml"), "-o", str(tmp_path / "good")])
    assert good.exit_code == 0, good.output
    assert "is a projectile" in good.output
    text = (SHIPPED / "redesign.yaml").read_text()
    loose = text.replace("at: [-10 mm, -46 mm] ", "at: [-10 mm, -60 mm] ").replace(
        "on: [web 1, pin]", "on: [web 1, shaft]"
    )
    assert loose != text
    (tmp_path / "loose.yaml").write_text(loose)
    bad = runner.invoke(command, [str(tmp_path / "loose.yaml"), "-o", str(tmp_path / "bad")])
    assert bad.exit_code == 1
    assert "Nothing carries counterweight 2" in bad.output


@pytest.mark.parametrize("on", ["hub", "[web 1]", "web 3", "[web 1, pin, shaft]", "web 0"])
def test_carriers_that_cannot_be_are_refused(tmp_path, on):
    text = (SHIPPED / "redesign.yaml").read_text().replace("on: [web 1, pin]", f"on: {on}")
    (tmp_path / "on.yaml").write_text(text)
    with pytest.raises(BadFile, match="on"):
        read(tmp_path / "on.yaml")
