"""Rows of part strength on the shipped engines, and on each of them broken in one place."""

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from designs.evaluate import Evaluation, evaluate_finely
from designs.reading import read
from designs.tables import strength as strength_tables
from designs.verdict import gap, parts

DESIGNS = Path(__file__).parents[2] / "designs"
REDESIGN = DESIGNS / "redesign.yaml"


def rows(design) -> dict:
    return {row.key: row for row in parts.rows(Evaluation(design))}


def broken(tmp_path: Path, old: str, new: str) -> dict:
    text = REDESIGN.read_text()
    assert old in text
    path = tmp_path / "broken.yaml"
    path.write_text(text.replace(old, new))
    return rows(read(path))


@pytest.mark.parametrize("name", ["redesign", "rhombic"])
def test_a_described_engine_passes_every_row(name):
    found = rows(read(DESIGNS / f"{name}.yaml"))
    assert list(found) == list(parts.KINDS)
    assert {row.state for row in found.values()} == {"pass"}


def test_as_built_pressed_pins_tire_and_slip():
    found = rows(read(DESIGNS / "as-built.yaml"))
    assert {key for key, row in found.items() if row.state == "FAIL"} == {"crankpin_strength", "joint_grip", "hub_grip"}
    assert "right flywheel" in found["hub_grip"].what
    assert "crankpin inner: fatigue" in found["crankpin_strength"].what
    assert "a slip of 1 degree moves the gap by 0." in found["joint_grip"].what


@pytest.mark.parametrize(
    ("old", "new", "key"),
    [
        ("pin: {diameter: 6 mm, length: 12 mm", "pin: {diameter: 2 mm, length: 12 mm", "crankpin_strength"),
        ("interference: 10 um", "interference: 0.5 um", "joint_grip"),
        (
            "thread: M4, number: 2, length: 12 mm, outside: 26 mm",
            "thread: M2, length: 12 mm, outside: 26 mm",
            "hub_grip",
        ),
        ("pin: {diameter: 2.5 mm}", "pin: {diameter: 5.1 mm}", "hub_grip"),
        ("thickness: 10 mm, width: 18 mm", "thickness: 10 mm, width: 8.2 mm", "web_strength"),
        ("held: both ends, wall: 3.5 mm", "held: one end", "yoke_pin_strength"),
        ("section: 24 mm^2", "section: 0.6 mm^2", "rod_strength"),
        ("section: 24 mm^2", "section: 1 mm^2", "rod_buckling"),
        ("section: {width: 12 mm, height: 8 mm}", "section: {width: 12 mm, height: 1.5 mm}", "arm_strength"),
        ("stem_bore: 4 mm", "stem_bore: 5.95 mm", "stem_strength"),
        ("stem_length: 62 mm", "stem_length: 620 mm", "stem_buckling"),
    ],
)
def test_a_machine_broken_in_one_place_fails_for_that(tmp_path, old, new, key):
    if key == "yoke_pin_strength":
        old, new = "yoke_pin: {diameter: 4 mm, held: both ends", "yoke_pin: {diameter: 0.8 mm, held: both ends"
    assert broken(tmp_path, old, new)[key].state == "FAIL"


@pytest.mark.parametrize(
    ("old", "new", "key", "entry"),
    [
        (", joint: {kind: pressed, length: 6 mm, interference: 10 um}", "", "joint_grip", "pin.joint"),
        (", interference: 10 um", "", "joint_grip", "joint.interference"),
        (", joint: {kind: pressed, length: 6 mm, interference: 10 um}", "", "crankpin_strength", "pin.joint"),
        (
            "    hub: {kind: pinned, length: 8 mm, outside: 20 mm, pin: {diameter: 2.5 mm}}",
            "",
            "hub_grip",
            "cranks.gears.hub",
        ),
        (", pin: {diameter: 2.5 mm}", "", "hub_grip", "cranks.gears.hub.pin"),
        (", stem_material: stainless-steel", "", "stem_strength", "stem_material"),
        ("section: 24 mm^2, ", "", "rod_buckling", "rod.section"),
    ],
)
def test_what_is_left_out_is_not_passed_and_asked_for(tmp_path, old, new, key, entry):
    row = broken(tmp_path, old, new)[key]
    assert row.state == "not checked"
    assert entry in row.words


def test_a_gap_is_not_passed_while_a_guide_is_unknown():
    design = read(REDESIGN)
    displacer = design.yokes["displacer"]
    loose = replace(displacer, guide=None, carries=replace(displacer.carries, length=None))
    found = gap.rows(Evaluation(replace(design, yokes=design.yokes | {"displacer": loose})))
    assert {row.state for row in found} == {"not checked"}
    assert "yokes.displacer.guide.length" in found[0].words
    assert {row.state for row in gap.rows(Evaluation(design))} == {"pass"}


def test_the_budget_has_a_line_for_yokes_that_lean():
    """As built: 1 mrad of play and a stem of 6 mm under 0.12 kg 10 mm beside the rods take 12 to 65 um."""
    evaluation = evaluate_finely(read(DESIGNS / "as-built.yaml"))
    (pair,) = evaluation.pairs
    from designs.tables.gap import budget_rows

    line = next(row for row in budget_rows(pair, evaluation.tightest_speed(pair)) if row[1].startswith("yoke tilt"))
    assert -65e-6 < line[3] <= line[2] < -12e-6


def test_many_options_lean_as_each_does_alone():
    """What one mass more beside the rods does to the gap; what vibrates is left out of many options alike."""
    design = read(DESIGNS / "as-built.yaml")
    design = replace(design, speed=replace(design.speed, least=10.0, rated=30.0, most=50.0))
    beside = np.array([-0.046, -0.040, -0.036, -0.030])

    def moved(at):
        yoke = design.yokes["displacer"]
        mass = yoke.parts["displacer"]
        return replace(design, yokes=design.yokes | {
            "displacer": replace(yoke, parts=yoke.parts | {"displacer": replace(mass, at=at)})})  # fmt: skip

    together = gap.rows(Evaluation(moved(beside)))[0].value
    alone = np.array([float(gap.rows(Evaluation(moved(float(at))))[0].value) for at in beside])
    assert np.ptp(alone) > 1e-6
    np.testing.assert_allclose(together - together[0], alone - alone[0], rtol=0, atol=1e-8)


def test_tables_show_every_part():
    evaluation = Evaluation(read(REDESIGN))
    table = next(each for each in strength_tables.tables(evaluation) if each.key == "part_strength")
    assert len(table.rows) == sum(len(each.by) or 1 for part in evaluation.parts.values() for each in part)
    assert "from memory" in table.note
