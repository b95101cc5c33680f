"""Machines that are broken in one way each, as a maker would find out on the bench, must fail for that reason.

Each starts from a shipped engine, which passes, and changes a line or two of its file.
"""

from dataclasses import replace
from types import SimpleNamespace

import numpy as np
import pytest

from designs.command.inputs import SHIPPED
from designs.counsel.advised import judge
from designs.counsel.free import free_choices
from designs.evaluate import Evaluation
from designs.reading import read
from designs.verdict import clearances, cylinder, joined, verdict_of
from designs.verdict.along import rows as along_rows
from shafts.clearance.joined import _weight_joint

WHEELS = "at: 52 mm, left_at: 72 mm, diameter: 90 mm, thickness: 18 mm, material: steel"
LEFT_SHAFT = "{length: 85 mm, diameter: 10 mm}]"
BODIES = (clearances, cylinder, joined)


def changed(tmp_path, name, *changes):
    text = (SHIPPED / f"{name}.yaml").read_text("utf-8")
    for old, new in changes:
        assert old in text, old
        text = text.replace(old, new)
    (tmp_path / "broken.yaml").write_text(text, "utf-8")
    return Evaluation(read(tmp_path / "broken.yaml"))


def bodily(evaluation):
    return {row.key: row for source in BODIES for row in source.rows(evaluation)} | {
        row.key: row for row in along_rows(evaluation)
    }


@pytest.mark.parametrize("name", ["redesign", "rhombic", "as-built", "counterweighted"])
def test_shipped_engines_are_wholly_looked_at_and_stand_it(name):
    found = bodily(Evaluation(read(SHIPPED / f"{name}.yaml")))
    assert {"clearance", "clearance_wheels", "clearance_carried", "displacer_to_piston", "on_shaft"} <= set(found)
    assert {row.state for row in found.values()} == {"pass"}


BROKEN = [
    (
        "flywheels side by side that overlap",
        "redesign",
        [("left_at: 72 mm", "left_at: 60 mm")],
        "clearance_wheels",
        "flywheel",
    ),
    (
        "flywheels by inertia and mass alone, too wide to pass each other",
        "redesign",
        [(WHEELS, "inertia: 1.6e-3 kg m^2, at: 42 mm, mass: 0.9 kg")],
        "clearance_wheels",
        "right flywheel and left flywheel",
    ),
    (
        "a flywheel of more inertia than its size can have",
        "redesign",
        [("diameter: 90 mm,", "diameter: 90 mm, inertia: 2e-3 kg m^2, mass: 0.9 kg,")],
        "wheel_body",
        "flywheel",
    ),
    (
        "a flywheel that meets the other shaft",
        "rhombic",
        [
            (
                LEFT_SHAFT,
                LEFT_SHAFT.replace(
                    "85 mm, diameter: 10 mm", "27 mm, diameter: 10 mm}, {length: 58 mm, diameter: 13 mm"
                ),
            )
        ],
        "clearance_wheels",
        "right flywheel and left shaft",
    ),
    ("bearing rings that overlap", "redesign", [("outside: 26 mm", "outside: 55 mm")], "bearing_rings", "bearings"),
    (
        "a bearing ring in the way of the other shaft",
        "rhombic",
        [("outside: 26 mm", "outside: 82 mm")],
        "clearance_bearings",
        "shaft",
    ),
    (
        "a piston that runs into the displacer",
        "redesign",
        [("stem_length: 62 mm", "stem_length: 60 mm")],
        "displacer_to_piston",
        "piston",
    ),
    (
        "a counterweight where there is no shaft",
        "redesign",
        [("at: [-10 mm, -47 mm]", "at: [-10 mm, -60 mm]")],
        "on_shaft",
        "weight 2",
    ),
    (
        "a counterweight that meets the other crankpin",
        "redesign",
        [("largest_radius: 25 mm", "largest_radius: 36 mm")],
        "clearance_weights",
        "weight",
    ),
    ("a gear off the end of its shaft", "rhombic", [("    at: 31 mm", "    at: 69 mm")], "on_shaft", "right gear"),
    (
        "a displacer that hits the hot end",
        "redesign",
        [("length: 118 mm", "length: 116 mm")],
        "displacer_to_hot_end",
        "hot end",
    ),
    (
        "a dome that hits the hot end where the rim is clear",
        "redesign",
        [("length: 60 mm, dome: 5 mm", "length: 60 mm, dome: 7 mm")],
        "displacer_to_hot_end",
        "hot end",
    ),
    (
        "a piston that leaves its cylinder",
        "redesign",
        [("starts_at: 82 mm, length: 118 mm", "starts_at: 90 mm, length: 110 mm")],
        "piston_in_cylinder",
        "piston",
    ),
    ("a stem wider than its hole", "rhombic", [("hole: 6.4 mm ", "hole: 5.5 mm ")], "stem_holes", "stem"),
    (
        "a stem that the piston has no hole for",
        "redesign",
        [("stem_length: 62 mm", "stem_length: 62 mm, stem_through_piston: no")],
        "stem_holes",
        "no hole",
    ),
    (
        "a crankpin shorter than its rods are thick",
        "rhombic",
        [("width: 10 mm, thickness: 3 mm,", "width: 10 mm, thickness: 6 mm,")],
        "rods_on_pins",
        "crankpin common",
    ),
    (
        "a yoke wider than the case",
        "redesign",
        [("[60 mm, 8 mm], z: [-45", "[126 mm, 8 mm], z: [-45")],
        "clearance",
        "cheek",
    ),
    ("a shaft that ends by its web", "redesign", [("starts_at: -15 mm", "starts_at: -4.9 mm")], "on_shaft", "web 1"),
    (
        "a piston larger than its bore",
        "redesign",
        [("diameter: 41.97 mm", "diameter: 42.1 mm")],
        "running_fit",
        "piston",
    ),
    (
        "a cylinder of another bore than the piston's",
        "redesign",
        [("{bore: 42 mm, starts_at", "{bore: 40 mm, starts_at")],
        "running_fit",
        "piston",
    ),
    (
        "a yoke that runs into the cylinder",
        "redesign",
        [("starts_at: 82 mm, length: 118 mm", "starts_at: 79 mm, length: 121 mm")],
        "clearance_carried",
        "cylinder",
    ),
    ("posts that run through the other yoke", "redesign", [("z: -14.8 mm", "z: -19 mm")], "clearance_carried", "posts"),
    (
        "a dead volume that the clearance alone exceeds",
        "redesign",
        [("dead: {hot: 12 cm^3", "dead: {hot: 1.5 cm^3")],
        "dead_hot",
        "hot",
    ),
    (
        "a ring about the displacer that holds more than is said",
        "redesign",
        [("regenerator: 8 cm^3", "regenerator: 3 cm^3")],
        "dead_regenerator",
        "regenerator",
    ),
]


@pytest.mark.parametrize(("why", "name", "changes", "key", "word"), BROKEN, ids=[each[0] for each in BROKEN])
def test_a_machine_that_cannot_be_built_fails_for_its_reason(tmp_path, why, name, changes, key, word):
    row = bodily(changed(tmp_path, name, *changes))[key]
    assert row.state == "FAIL", (why, row.state, row.what, row.words)
    assert word in row.what


@pytest.mark.parametrize(
    ("name", "change", "key", "asked"),
    [
        ("redesign", ("stem_length: 62 mm,", ""), "displacer_to_piston", "yokes.displacer.carries.stem_length"),
        ("redesign", ("crown: 69.5 mm,", ""), "piston_in_cylinder", "crown"),
        (
            "redesign",
            (" length: 118 mm,", ""),
            "displacer_to_hot_end",
            "116.8 mm",
        ),  # by hand: 76.67 + 62 + 60 + 0.15 - 82
        ("rhombic", ("    hole: 6.4 mm  ", "    #"), "stem_holes", "yokes.piston.hole"),
        ("redesign", ("posts: {diameter: 5 mm, x: 10 mm, z: -14.8 mm}", ""), "clearance", "yokes.piston.carries.posts"),
        ("redesign", ("diameter: 41.97 mm, ", ""), "running_fit", "yokes.piston.carries.diameter"),
        ("redesign", (" width: 8 mm, thickness: 4 mm,", " width: 8 mm,"), "rods_on_pins", "yokes.piston.rod.thickness"),
    ],
)
def test_what_is_left_out_is_asked_for_and_is_no_pass(tmp_path, name, change, key, asked):
    row = bodily(changed(tmp_path, name, change))[key]
    assert row.state == "not checked"
    assert asked in row.words


@pytest.mark.parametrize(("at", "short"), [(-14e-3, -1e-3), (-16e-3, 1e-3), (-60e-3, 45e-3)])
def test_half_of_a_counterweight_must_be_on_the_shaft(at, short):
    """10 mm thick, on a shaft that starts at -15 mm, with no web: of -19 to -9 mm it holds 6, of -21 to -11 mm 4."""
    engine = read(SHIPPED / "redesign.yaml")
    throws = {name: replace(each, pin=None) for name, each in engine.cranks.throws.items()}
    anywhere = replace(engine.counterweights, on=None)
    bare = replace(engine, cranks=replace(engine.cranks, webs=(), throws=throws), counterweights=anywhere)
    edge = SimpleNamespace(path=lambda: [])
    plate = SimpleNamespace(mass=0.02, thickness=10e-3, edge=edge)
    weight = SimpleNamespace(at=at, angle=0.0, shape=plate)
    joint = _weight_joint(bare, "right", weight, "right counterweight", "")
    assert joint.short == pytest.approx(short, abs=1e-12)


def test_whether_a_stem_needs_a_hole_is_asked_where_no_cylinder_is_given(tmp_path):
    text = (SHIPPED / "redesign.yaml").read_text("utf-8")
    start = text.index("cylinder:  ")
    cylinder = text[start : text.index("\n\n", start)]
    apart = ("stem_length: 62 mm", "stem_length: 62 mm, stem_through_piston: no")
    row = bodily(changed(tmp_path, "redesign", apart, (cylinder, "")))["stem_holes"]
    assert row.state == "not checked"
    assert "cylinder" in row.words


def test_a_clash_among_what_is_known_fails_though_other_parts_have_no_body(tmp_path):
    missing = ("outline: {rectangle: [60 mm, 8 mm], z: [-27 mm, -12 mm]}", "")
    floor = ("offset: [0 mm, -36 mm]", "offset: [0 mm, -12 mm]")
    row = bodily(changed(tmp_path, "redesign", missing, floor))["clearance"]
    assert row.state == "FAIL"
    assert "floor" in row.what
    assert "yokes.piston.outline" in row.unlooked
    assert bodily(changed(tmp_path, "redesign", missing))["clearance"].state == "not checked"


def test_a_usual_size_that_strikes_is_no_fail_but_something_to_give(tmp_path):
    """By inertia and mass its radius is 42 mm at least, which clears; a usual rim would be 51 mm, which does not."""
    told = "inertia: 8e-4 kg m^2, at: 52 mm, left_at: 72 mm, mass: 0.454 kg"
    row = bodily(changed(tmp_path, "redesign", (WHEELS, told)))["clearance_wheels"]
    assert row.state == "not checked"
    assert "flywheel.diameter and .thickness" in row.words


def test_a_running_fit_is_no_clash(tmp_path):
    """A piston drawn 0.04 mm smaller than the bore between two walls of its cylinder is told by its play alone."""
    drawn = "diameter: 41.97 mm, length: 26 mm, crown: 69.5 mm,"
    outline = "length: 26 mm, outline: {rectangle: [41.96 mm, 26 mm], offset: [0 mm, 56.5 mm], z: [-51 mm, -9 mm]},"
    wall = (
        "  right cheek:",
        "  bore: {rectangle: [3 mm, 118 mm], offset: [22.5 mm, 141 mm], z: [-53 mm, -7 mm]}\n  right cheek:",
    )
    found = bodily(changed(tmp_path, "redesign", (drawn, outline), wall))
    assert found["running_fit"].state == "pass"
    assert float(found["running_fit"].value) == pytest.approx(0.04e-3, abs=1e-9)
    assert found["clearance_carried"].state != "FAIL"
    wider = bodily(changed(tmp_path, "redesign", (drawn, outline.replace("41.96", "42.2")), wall))
    assert wider["running_fit"].state == wider["clearance_carried"].state == "FAIL"


def test_drawn_pistons_and_displacers_are_looked_at_against_each_other(tmp_path):
    """Crown at 69.5 mm above its yoke; a displacer drawn from 60 mm above its own strikes it, from 62 mm it does not.

    Its stem, drawn with it, passes the piston.
    """
    piston = ("crown: 69.5 mm,", "outline: {rectangle: [41.9 mm, 26 mm], offset: [0 mm, 56.5 mm], z: [-51 mm, -9 mm]},")
    for low, state in ((62, "pass"), (60, "FAIL")):
        corners = f"[[-3 mm, 4 mm], [3 mm, 4 mm], [3 mm, {low} mm], [20.6 mm, {low} mm], [20.6 mm, 122 mm], "
        corners += f"[-20.6 mm, 122 mm], [-20.6 mm, {low} mm], [-3 mm, {low} mm]]"
        displacer = ("stem_length: 62 mm,", f"outline: {{polygon: {corners}, z: [-51 mm, -9 mm]}},")
        row = bodily(changed(tmp_path, "redesign", piston, displacer))["clearance_carried"]
        assert row.state == state, row.what


def test_remarks_name_slips_and_say_what_was_read(tmp_path):
    from designs.remarks import remarks

    for name in ("redesign", "rhombic", "as-built", "counterweighted"):
        said = remarks(Evaluation(read(SHIPPED / f"{name}.yaml")))
        assert len(said) == 1
        assert "strokes of" in said[0]
    for change, words in (
        (("yoke: 24 g, piston: {", "yoke: 24 kg, piston: {"), "more than half of the engine"),
        (("yoke: 24 g, piston: {", "yoke: 24 mg, piston: {"), "next to nothing"),
        (("yoke: 24 g, piston: {", "yoke: 240 g, piston: {"), "would in any metal"),
        (("mass: 21.1 g, cg", "mass: 150 g, cg"), "Web 2 weighs"),
        (("cg: [6.38 mm, 4.22 mm]", "cg: [63 mm, 4.22 mm]"), "Web 2: its mass centre"),
        (
            ("thickness: 18 mm, material: steel", "thickness: 18 mm, material: steel, mass: 9 kg"),
            "flywheel's mass is 10 times",
        ),
        (("mass: 6 g, cg: 18 mm", "mass: 600 g, cg: 18 mm"), "weighs more than the yoke"),
        (("diameter: 41.97 mm", "diameter: 41.5 mm"), "0.5 mm smaller than its bore of 42 mm, lets past"),
        (("damping_ratio: 0.08", "damping_ratio: 8"), "damp with 8 of what is critical"),
        (("diameter: 90 mm, thickness: 18 mm", "diameter: 96 mm, thickness: 18 mm"), "reaches 3 mm below the feet"),
    ):
        assert any(words in each for each in remarks(changed(tmp_path, "redesign", change))), words
    needle = "needle: {shaft: 10 mm, outside: 14 mm, width: 10 mm}, seat_stiffness: 40 N/um}"
    rolling = ("ball: {bore: 10 mm, outside: 26 mm, width: 8 mm}, clearance: CN, seat_stiffness: 40 N/um,\n"
               "       fit: 5 um, seat_fit: 8 um, held_by: glue}")  # fmt: skip
    held = remarks(changed(tmp_path, "redesign", (f"at: 0 mm, {rolling}", f"at: 0 mm, {needle}")))
    assert not any("hold nothing along it" in each for each in held)  # the other bearing does
    both = [(f"at: {at} mm, {rolling}", f"at: {at} mm, {needle}") for at in (0, 30)]
    loose = remarks(changed(tmp_path, "redesign", *both))
    assert any("right and the left shaft run in needles or bushes alone" in each for each in loose)


def test_an_engine_lighter_than_what_moves_in_it_fails_and_no_plate_mends_it(tmp_path):
    """What moves and turns weighs 2.24 kg, of which wheels make 1.8 (two discs of 90 by 18 mm in steel)."""
    light = changed(tmp_path, "redesign", ("mass: 6.5 kg ", "mass: 2 kg "))
    row = next(row for row in verdict_of(light) if row.key == "engine_mass")
    wheels = 2 * np.pi / 4 * 0.09**2 * 0.018 * 7850
    assert row.state == "FAIL"
    assert -float(row.value) == pytest.approx(2.2375 - 2.0, abs=1e-3) and wheels == pytest.approx(1.798, abs=1e-3)
    plates = {each.name: each for each in free_choices(light.design)}
    assert "engine on a base plate" not in plates
    assert "engine on a base plate" in {each.name for each in free_choices(changed(tmp_path, "redesign").design)}


def test_a_thread_that_strips_before_its_screw_is_tight_fails(tmp_path):
    """M3 of class 8.8 in steel that yields at 355 MPa wants 1.07 mm of thread, by hand."""
    short = changed(tmp_path, "redesign", ("ment: 4.5 mm", "ment: 0.6 mm")).design
    rows = {row.key: row for row in verdict_of(Evaluation(short))}
    assert rows["thread_tightening"].state == "FAIL"
    assert float(rows["thread_tightening"].value) == pytest.approx(0.6 / 1.07, rel=5e-3)
    assert "strips before its screw is tight" in rows["thread_tightening"].change


def test_every_row_of_bodies_stands_in_the_verdict():
    keys = [row.key for row in judge(Evaluation(read(SHIPPED / "redesign.yaml")))]
    assert {"clearance", "clearance_weights", "bearing_rings", "on_shaft", "displacer_to_hot_end"} <= set(keys)
    assert len(keys) == len(set(keys))
