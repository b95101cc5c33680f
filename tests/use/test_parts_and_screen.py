"""What to buy and make, and what a screen of 80 columns shows."""

import csv
import json
import re
from dataclasses import replace
from io import StringIO
from pathlib import Path

import numpy as np
import pytest
from click.testing import CliRunner

from designs import status
from designs.command import group, screen
from designs.command.inputs import SHIPPED
from designs.evaluate import Evaluation, evaluate_finely
from designs.parts import parts, to_get_from
from designs.reading import read, read_text
from designs.shown import using
from designs.table import Column, Table
from designs.verdict.row import Row, not_checked

NAMES = ("as-built", "counterweighted", "redesign", "rhombic")


def run(*words: str, columns: int = 80) -> str:
    result = CliRunner().invoke(group, list(words), env={"COLUMNS": str(columns)})
    assert result.exception is None or isinstance(result.exception, SystemExit), result.exception
    return result.stdout


def demo(name: str) -> str:
    return str(SHIPPED / f"{name}.yaml")


def by_name(name: str) -> dict:
    return {each.name: each for each in parts(evaluate_finely(read(SHIPPED / f"{name}.yaml")))}


def test_parts_have_the_numbers_sizes_and_masses_of_the_design() -> None:
    found = by_name("redesign")
    assert (found["bearing"].count, found["bearing"].size) == (4, "10 x 26 x 8 mm")
    assert (found["foot"].count, found["foot"].of) == (4, "foam block 20 x 20 x 20 mm")  # 1.5 N/mm each
    assert (found["screw"].count, found["screw"].size) == (4, "M3")  # two in each of those that webs carry
    # Of 8 mm over 10 mm in its web, of 10 mm over 88 mm, of 7850 kg/m^3.
    assert found["shaft"].mass == pytest.approx(np.pi / 4 * (0.008**2 * 0.010 + 0.01**2 * 0.088) * 7850)
    weights = evaluate_finely(read(SHIPPED / "redesign.yaml")).weights
    assert weights is not None
    assert found["counterweight-2"].mass == pytest.approx(float(weights.planes[1].shape.mass))


def test_parts_leave_nothing_out_that_the_design_describes() -> None:
    found = by_name("redesign")
    assert (found["displacer yoke pin"].count, found["displacer yoke pin"].size) == (
        2,
        "round 4 mm, 11 mm long",
    )  # 4 + 2 x 3.5
    assert found["cylinder"].size == "bore 42 mm, wall 2.5 mm, 118 mm long inside"
    assert "bore 6 mm" in found["displacer guide"].size
    # From the pivots to the crown at 69.5 mm less 26 mm of piston; a crankpin sits 6 mm deep in two webs, or in one.
    assert found["piston posts"].size == "2 of round 5 mm, 43.5 mm long from pivots to piston"
    assert [found[f"{each} crankpin"].size.split(", ")[1] for each in ("inner", "outer")] == [
        "24 mm long",
        "18 mm long",
    ]
    assert found["piston yoke"].size.endswith("60 x 8 x 15 mm overall")
    assert found["displacer yoke"].of == "aluminium"  # its arm's
    assert found["displacer stem"].of == "stainless-steel"
    assert found["web 1"].note == (
        "inner at 9 mm, 0 deg; shaft 8 mm pressed, interference at least 12 um, 10 mm deep"
    )  # it holds no other throw
    assert found["inner crankpin"].note == "pressed, interference at least 10 um, 6 mm deep"
    assert not [each.name for each in found.values() if "not given" in each.of]


def test_walls_are_made_and_gears_have_the_pitch_that_inches_know() -> None:
    """25.4 mm over the module; sizes to a ten-thousandth, as 0.1875 is no 0.188 with a fit of 0.0004."""
    text = (SHIPPED / "redesign.yaml").read_text("utf-8")
    design = read_text(text)
    found = {each.name: each for each in parts(Evaluation(design))}
    assert (found["wall: floor"].size, found["wall: floor"].bought) == ("132 x 4 x 90 mm overall", False)
    assert found["gear"].size.startswith("module 1 mm, 52 teeth")
    with using("imperial"):
        inches = {each.name: each.size for each in parts(Evaluation(design))}
    assert inches["gear"].startswith("module 1 mm (diametral pitch 25.4), 52 teeth")
    assert inches["displacer yoke pin"] == "round 0.1575 in, 0.4331 in long"


def test_a_heavier_case_is_a_plate_under_it() -> None:
    base = read(SHIPPED / "redesign.yaml")
    heavier = replace(base, mount=replace(base.mount, mass=8.0))
    (plate,) = to_get_from(parts(evaluate_finely(base)), parts(evaluate_finely(heavier)))
    assert (plate.name, plate.mass) == ("plate under the case", pytest.approx(1.5))


def test_counterweights_are_named_as_their_drawings_are(tmp_path: Path) -> None:
    run("cut", demo("redesign"), "-o", str(tmp_path / "drawn"))
    named = {name for each in by_name("redesign").values() if each.drawing for name in each.drawing.split(", ")}
    assert named == {file.name for file in (tmp_path / "drawn").iterdir()}


def test_from_one_design_to_itself_there_is_nothing_to_get_and_to_another_what_differs() -> None:
    bare, weighted = (
        parts(evaluate_finely(read(SHIPPED / f"{name}.yaml"))) for name in ("as-built", "counterweighted")
    )
    assert to_get_from(bare, bare) == []
    needed = to_get_from(bare, weighted)
    wanted = [("counterweight", 2), ("hub of counterweight", 2), ("counterweight fixing", 2)]
    assert [(each.name, each.count) for each in needed] == wanted
    ring = np.pi * (6**2 - 2.5**2) * 11  # mm^3, from the shaft of 5 mm to where the weight begins
    assert needed[1].mass == pytest.approx(ring * 7.85e-6, rel=1e-3)
    assert (needed[2].of, needed[2].size) == ("glued", "hub 11 mm long")
    assert to_get_from(weighted, bare) == []


def test_another_fit_is_another_part() -> None:
    """Of crankpins that are pressed in tighter nothing else is new; whoever buys and makes by the list must see it."""
    text = (SHIPPED / "redesign.yaml").read_text("utf-8")
    pins = "pin: {diameter: 6 mm, length: 12 mm, joint: {kind: pressed, length: 6 mm, interference: 10 um}}"
    assert text.count(pins) == 2
    now, tighter = (parts(evaluate_finely(read_text(each)))
                    for each in (text, text.replace(pins, pins.replace("10 um", "17 um"))))  # fmt: skip
    needed = to_get_from(now, tighter)
    assert [(each.name, each.count, each.bought) for each in needed] == [
        ("inner crankpin", 2, False), ("outer crankpin", 2, False)
    ]  # fmt: skip
    assert all("17 um" in each.note for each in needed)


def test_parts_in_every_form() -> None:
    found = json.loads(run("parts", demo("redesign"), "--json"))["results"]
    assert found["buy"]["rows"][0]["part"] == "bearing"
    assert found["make"]["rows"][0]["mass_kg"] == pytest.approx(by_name("redesign")["shaft"].mass)
    assert run("parts", demo("redesign"), "--markdown").startswith("### What to buy")
    first, second = run("parts", demo("redesign"), "--csv").split("\n\n")
    assert len(list(csv.DictReader(StringIO(first)))) == len(found["buy"]["rows"])
    assert len(list(csv.DictReader(StringIO(second)))) == len(found["make"]["rows"])


@pytest.mark.parametrize("name", ["redesign", "rhombic"])
def test_check_begins_with_one_word_and_fits_a_screen(name: str) -> None:
    """One that fails is looked at where the command is run without a design."""
    lines = run("check", demo(name)).splitlines()
    assert re.match("(PASSES|DEPENDS|NOT ALL CHECKED)", lines[0])
    assert len(lines) <= 40
    assert max(map(len, lines)) <= 80


@pytest.mark.usefixtures("unadvised")
def test_what_was_not_checked_is_named_beside_what_fails_where_it_is_little(tmp_path: Path) -> None:
    text = (SHIPPED / "redesign.yaml").read_text("utf-8").replace("limits: {gap: 0.15 mm", "limits: {gap: 5 mm")
    (tmp_path / "fan.yaml").write_text(re.sub(r"\n  screws: [^\n]*", "", text), "utf-8")
    shown = " ".join(run("check", str(tmp_path / "fan.yaml")).split())
    assert shown.startswith("FAILS") and "Not checked: retention; give counterweights.screws: size" in shown


def test_check_shows_every_limit_when_asked() -> None:
    shown = run("check", demo("redesign"), "--all")
    keys = {row["what"] for row in json.loads(run("check", demo("redesign"), "--json"))["designs"][0]["verdict"]}
    flat = " ".join(shown.split())
    assert len(keys) > 20
    assert all(word in flat for key in keys for word in key.split()[:2])


@pytest.mark.parametrize("half", ["balance", "shafts"])
def test_no_word_and_no_number_is_broken_on_a_narrow_screen(half: str) -> None:
    """Whatever stands in a table that is drawn wide stands in the same table drawn narrow, word by word."""
    narrow, wide = (run(half, demo("redesign"), "--show", "all", columns=width) for width in (80, 400))
    assert max(map(len, narrow.splitlines())) <= 80
    assert set(wide.split()) <= set(narrow.split())


def test_tables_by_name_and_a_slip_in_one() -> None:
    shown = run("shafts", demo("redesign"))
    assert "Gap budget" in shown
    assert "Gear teeth" not in shown
    assert "teeth" in shown.partition("More tables")[2]
    assert "Gear teeth" in run("shafts", demo("redesign"), "--show", "teeth")
    result = CliRunner().invoke(group, ["shafts", demo("redesign"), "--show", "teth"])
    assert (result.exit_code, "the nearest is teeth" in result.stderr) == (2, True)


def test_each_part_of_a_wide_table_says_which_row_is_which(monkeypatch, capsys) -> None:
    """Neither shaft nor speed alone tells four rows apart: both stand in every part."""
    monkeypatch.setenv("COLUMNS", "80")
    columns = (Column("side", "shaft"), Column("speed", "speed", "rad/s"))
    columns += tuple(Column(f"n{place}", f"number{place}", "N") for place in range(9))
    rows = [
        (side, speed, *(speed + place for place in range(9))) for side in ("right", "left") for speed in (50.0, 90.0)
    ]
    screen.show([Table("wide", "Wide", columns, rows)])
    parts = capsys.readouterr().out.split("Wide, continued")
    assert len(parts) == 2
    for part in parts:
        shown = [line.split()[:2] for line in part.splitlines() if line.startswith(("right", "left"))]
        assert shown == [["right", "477"], ["right", "859"], ["left", "477"], ["left", "859"]]


def test_a_limit_that_nobody_asked_for_is_no_pass() -> None:
    rows = [
        Row("gap", "gap", 1.0, 0.5, "m", "at least"),
        Row("contact", "contact", 1.0, 2.0, "m", "at least"),
        not_checked("vibration", "vibration", "give mount"),
        not_checked("balance_grade", "grade", "give a limit", asked=False),
    ]
    assert status.counts(rows) == {"pass": 1, "FAIL": 1, "depends": 0, "not checked": 2}
    assert status.in_a_word(rows) == "FAILS"
    assert status.in_a_word([rows[0], rows[3]]) == "passes"
