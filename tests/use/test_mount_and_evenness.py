"""What a file may say of mount, disc and their limits, and what verdict and tables then say."""

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from balance.case.isolation import worst_velocity
from designs.counsel.free import free_choices
from designs.design import Design
from designs.evaluate import Evaluation
from designs.reading import read
from designs.reading.complaints import BadFile
from designs.tables import evenness, mount
from designs.verdict import evenness as evenness_rows
from designs.verdict import vibration as vibration_rows

FILE = Path(__file__).with_name("greenhouse-fan.yaml")
MOUNT = """
mount:
  mass: 2.4 kg
  size: [120 mm, 20 cm, 150 mm]
  cg: [0 mm, 20 mm, -10 mm]
  feet:
    stiffness: 60 N/mm
    damping ratio: 0.08
    places: [[-5 cm, -5 cm, -7 cm], [5 cm, -5 cm, -7 cm], [-5 cm, -5 cm, 5 cm], [5 cm, -5 cm, 5 cm]]
  points: {hot end: [0 mm, 140 mm, 0 mm]}
"""
EVEN = "limits: {speed fluctuation: 4 %, balance grade: 40 mm/s, vibration: 20 mm/s}"


def design(tmp_path: Path, *changes: tuple[str, str]) -> Design:
    text = FILE.read_text()
    for old, new in changes:
        assert old in text
        text = text.replace(old, new)
    path = tmp_path / "design.yaml"
    path.write_text(text)
    return read(path)


def mounted(tmp_path: Path) -> Design:
    wheel = "flywheel: {inertia: 3.5e-4 kg m^2, at: 34 mm, disc: {material: bronze, diameter: 110 mm}}"
    limits = EVEN.replace("4 %", "0.04")
    return design(
        tmp_path,
        ("flywheel: {inertia: 3.5e-4 kg m^2, at: 34 mm}", wheel + MOUNT),
        ("limits: {bearing life: 1500 h}", limits),
    )


def by_key(rows: list) -> dict:
    return {row.key: row for row in rows}


def test_without_a_mount_nothing_is_passed_in_silence(tmp_path: Path) -> None:
    found = by_key([*vibration_rows.rows(it := Evaluation(design(tmp_path))), *evenness_rows.rows(it)])
    assert {key: row.passed for key, row in found.items()} == dict.fromkeys(
        ("stands", "vibration", "uplift", "speed_fluctuation", "balance_grade")
    )
    assert "mount.mass" in found["vibration"].change
    assert "limits.speed_fluctuation" in found["speed_fluctuation"].change
    assert mount.tables(it) == []


def test_file_is_read_as_it_stands(tmp_path: Path) -> None:
    found = mounted(tmp_path)
    assert found.mount is not None
    assert found.mount.feet is not None
    assert found.mount.size == pytest.approx((0.12, 0.2, 0.15))
    assert found.mount.feet.places[3] == pytest.approx((0.05, -0.05, 0.05))
    assert found.mount.points["hot end"] == pytest.approx((0.0, 0.14, 0.0))
    assert found.mount.turns
    assert found.flywheel.disc.diameter == pytest.approx(0.11)
    assert found.limits.balance_grade == pytest.approx(0.04)


def test_rows_say_where_and_when(tmp_path: Path) -> None:
    evaluation = Evaluation(mounted(tmp_path))
    found = by_key([*vibration_rows.rows(evaluation), *evenness_rows.rows(evaluation)])
    row = found["vibration"]
    assert "hot end" in row.what
    again = worst_velocity(evaluation.design.mount, evaluation.case_loads, evaluation.design.speed)
    assert row.value == pytest.approx(float(again))
    assert row.limit == pytest.approx(0.02)
    assert evaluation.design.speed.least <= row.speed <= evaluation.design.speed.most
    assert found["speed_fluctuation"].speed == pytest.approx(evaluation.design.speed.least)
    assert all(row.checked for row in found.values())


def test_hung_free_says_so(tmp_path: Path) -> None:
    stood = mounted(tmp_path)
    found = by_key(vibration_rows.rows(Evaluation(replace(stood, mount=replace(stood.mount, feet=None)))))
    assert found["vibration"].checked
    assert not found["uplift"].checked
    assert "hang free" in found["uplift"].change


def test_needed_disc_holds_the_stated_fluctuation(tmp_path: Path) -> None:
    """A wheel of the inertia that the table asks for meets the limit to rounding, at the worst speed."""
    stood = mounted(tmp_path)
    table = next(each for each in evenness.tables(Evaluation(stood)) if each.key == "flywheel")
    row = dict(zip((column.key for column in table.columns), table.rows[0], strict=True))
    assert row["diameter"] == pytest.approx(0.11)
    assert np.pi / 32 * 8800 * row["thickness"] * 0.11**4 == pytest.approx(row["inertia"])
    better = replace(stood, flywheel=replace(stood.flywheel, inertia=row["inertia"]))
    assert by_key(evenness_rows.rows(Evaluation(better)))["speed_fluctuation"].value == pytest.approx(0.04, rel=1e-3)


def test_cases_and_feet_that_are_told_are_judged_as_the_verdict_judges(tmp_path: Path) -> None:
    """Every row of the table is a stock value put into the design, with the rows of the verdict on that."""
    design = mounted(tmp_path)
    bolted = replace(design, mount=replace(design.mount, feet=replace(design.mount.feet, held_down=True)))
    table = next(each for each in mount.tables(Evaluation(bolted)) if each.key == "mount_needed")
    levels = {f"{dial.name} to {level.shown}": level for dial in free_choices(bolted) for level in dial.levels}
    assert table.rows[0][0] == "as it is"
    assert len(table.rows) > 1
    for words, _, _, velocity, _, _, state in table.rows[1:]:
        rows = by_key(vibration_rows.rows(Evaluation(levels[words].of(bolted))))
        assert float(rows["vibration"].value) == pytest.approx(float(velocity), rel=1e-9)
        assert (rows["vibration"].state == "FAIL") == ("vibration" in state)


def test_every_cell_can_be_shown(tmp_path: Path) -> None:
    evaluation = Evaluation(mounted(tmp_path))
    tables = [*mount.tables(evaluation), *evenness.tables(evaluation)]
    assert {
        "vibration",
        "vibration_causes",
        "standing",
        "feet",
        "bench_orders",
        "resonances",
        "avoid",
        "mount_needed",
        "evenness",
        "speed_swing",
        "inertias",
        "flywheel",
        "grade",
        "slips",
    } == {table.key for table in tables}
    for table in tables:
        assert table.note
        assert table.rows
        assert all(len(row) == len(table.columns) for row in table.cells())


@pytest.mark.parametrize(
    ("old", "new", "words"),
    [
        (
            "size: [120 mm, 20 cm, 150 mm]",
            "size: [120 mm, 20 cm, 150 mm]\n  inertia: [1 kg m^2, 1 kg m^2, 1 kg m^2]",
            "both inertia and size",
        ),
        ("[5 cm, -5 cm, 5 cm]]", "[5 cm, -5 cm]]", "places"),
        ("mass: 2.4 kg", "mass: 2.4", "mass"),
        ("stiffness: 60 N/mm", "stiffness: -60 N/mm", "stiffness"),
    ],
)
def test_slips_in_the_file_are_named(tmp_path: Path, old: str, new: str, words: str) -> None:
    changed = MOUNT.replace(old, new)
    assert changed != MOUNT
    with pytest.raises(BadFile, match=words):
        design(tmp_path, ("flywheel: {inertia: 3.5e-4 kg m^2, at: 34 mm}", "flywheel: none" + changed))
