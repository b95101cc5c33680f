"""What the verdict and the tables say of bearings, teeth and knock."""

import json
from dataclasses import replace
from pathlib import Path
from types import SimpleNamespace

import numpy as np
import pytest

from balance.machine.materials import MATERIALS
from designs.counsel.advice import Counsel
from designs.counsel.advised import judge
from designs.design import Design
from designs.evaluate import Evaluation
from designs.reading import BadFile, read, read_text
from designs.tables import bearings as bearing_tables
from designs.tables import knock as knock_tables
from designs.tables import teeth as tooth_tables
from designs.verdict import bearings, teeth
from designs.verdict.row import Row
from shafts.bearings.ball import Ball
from shafts.bearings.bush import Bush
from shafts.bearings.kind import Duty

PATH = Path(__file__).parent / "greenhouse-fan.yaml"
FAN = read(PATH)
ODD = Ball(bore=6e-3, outside=18e-3, width=6e-3)


def with_bearing(place: int, **said) -> Design:
    """Return the fan with something else in one of its bearing seats."""
    seats = list(FAN.shafts.bearings)
    seats[place] = replace(seats[place], **said)
    return replace(FAN, shafts=replace(FAN.shafts, bearings=tuple(seats)))


def with_gears(**said) -> Design:
    return replace(FAN, cranks=replace(FAN.cranks, gears=replace(FAN.cranks.gears, **said)))


def rows_of(design: Design, room=bearings) -> dict[str, Row]:
    return {row.key: row for row in room.rows(Evaluation(design))}


def test_worst_bearing_is_named_and_its_life_is_the_least():
    row = rows_of(FAN)["bearing_life"]
    lives = {each.name: float(each.life) for each in Evaluation(FAN).bearings if hasattr(each, "life")}
    worst = min(lives, key=lives.__getitem__)
    assert worst in row.what
    np.testing.assert_allclose(row.value, lives[worst], rtol=1e-12)
    assert row.limit == 1500 * 3600  # as the file says: 1500 h
    assert row.passed


def test_static_safety_names_its_speed_and_angle():
    row = rows_of(FAN)["static_safety"]
    assert row.passed
    assert FAN.speed.least <= row.speed <= FAN.speed.most
    assert 0 <= row.angle < 2 * np.pi


def test_a_bearing_of_a_kind_that_no_law_judges_is_not_checked():
    """As one of a new kind is, before its rows are written."""
    (row,) = bearings.rows(SimpleNamespace(bearings=[Duty("right bearing 1")]))
    assert (row.key, row.state) == ("bearing_life", "not checked")
    assert "right bearing 1" in row.what


def test_bearing_too_small_fails_and_larger_is_advised():
    weak = replace(ODD, dynamic_rating=20.0, static_rating=10.0, speed_limit=1e4)
    rows = rows_of(with_bearing(0, ball=weak))
    assert not rows["bearing_life"].passed
    assert not rows["static_safety"].passed
    design = with_bearing(0, ball=weak)
    advice = Counsel(design, judge(Evaluation(design))).advice("bearing_life")
    assert advice.holds
    assert any(step.dial.name == "shafts with their bearings" for step in advice.plan.steps)


def test_bearing_that_may_not_run_so_fast_fails():
    row = rows_of(with_bearing(0, ball=replace(FAN.shafts.bearings[0].ball, speed_limit=100.0)))["bearing_speed"]
    assert not row.passed
    np.testing.assert_allclose(row.value, FAN.speed.most)


@pytest.mark.parametrize(
    ("key", "entry"),
    [("bearing_life", "dynamic_rating"), ("static_safety", "static_rating"), ("bearing_speed", "speed_limit")],
)
def test_unknown_size_is_not_checked_and_says_what_to_state(key, entry):
    row = rows_of(with_bearing(0, ball=ODD))[key]
    assert not row.checked
    assert entry in row.change
    assert "6 x 18 x 6 mm is no known size" in row.change
    assert "6 x 19 x 6 mm" in row.change
    assert "right bearing 1, left bearing 1" in row.what


def test_known_bearing_beside_an_unknown_one_is_still_judged():
    lives = [
        row for row in bearings.rows(Evaluation(with_bearing(1, bush=None, ball=ODD))) if row.key == "bearing_life"
    ]
    assert [row.checked for row in lives] == [True, False]


def test_unknown_size_among_many_options_never_passes():
    sizes = Ball(bore=np.array([6e-3, 6e-3]), outside=np.array([19e-3, 18e-3]), width=np.array([6e-3, 6e-3]))
    rows = rows_of(with_bearing(0, ball=sizes))
    for key in ("bearing_life", "static_safety", "bearing_speed"):
        assert list(rows[key].passed) == [True, False]


def test_bush_without_material_is_not_checked():
    row = rows_of(FAN)["bush_pv"]
    assert not row.checked
    assert "material" in row.change


def test_bush_with_material_is_judged_by_it():
    rows = [rows_of(with_bearing(1, bush=replace(FAN.shafts.bearings[1].bush, material=each)))["bush_pv"]
            for each in ("sintered bronze", "nylon")]  # fmt: skip
    assert rows[0].passed
    assert rows[0].value == rows[1].value
    assert (rows[0].limit, rows[1].limit) == (1.75e6, 0.105e6)


def test_bush_that_rubs_too_hard_fails():
    short = Bush(bore=6e-3, length=0.2e-3, material="nylon")
    assert not rows_of(with_bearing(1, bush=short))["bush_pv"].passed


def test_teeth_are_judged_once_face_and_material_are_known():
    rows = rows_of(with_gears(material=MATERIALS["steel"]), teeth)
    assert rows["tooth_bending_safety"].passed
    assert rows["tooth_pitting_safety"].passed


@pytest.mark.parametrize("missing", ["face", "material"])
def test_teeth_without_face_or_material_are_not_checked(missing):
    rows = rows_of(with_gears(**{missing: None}), teeth)
    assert len(rows) == 2
    for row in rows.values():
        assert not row.checked
        assert missing in row.change


def test_design_without_gears_has_its_teeth_not_checked():
    rows = rows_of(replace(FAN, cranks=replace(FAN.cranks, gears=None)), teeth)
    assert [row.checked for row in rows.values()] == [False, False]


def test_pitting_of_bronze_is_not_checked_until_its_strength_is_stated():
    assert not rows_of(FAN, teeth)["tooth_pitting_safety"].checked
    assert rows_of(FAN, teeth)["tooth_bending_safety"].checked
    stated = rows_of(with_gears(contact_strength=400e6), teeth)["tooth_pitting_safety"]
    assert stated.checked
    assert rows_of(with_gears(contact_strength=40e6), teeth)["tooth_pitting_safety"].value < stated.value / 99


def test_weak_teeth_fail():
    rows = rows_of(with_gears(bending_strength=1e5, contact_strength=1e6), teeth)
    assert not rows["tooth_bending_safety"].passed
    assert not rows["tooth_pitting_safety"].passed


@pytest.mark.parametrize("room", [bearing_tables, tooth_tables, knock_tables])
@pytest.mark.parametrize(
    "design",
    [
        FAN,
        with_bearing(0, ball=ODD),
        with_bearing(0, stiffness=3e7, seat_stiffness=1e7),
        with_gears(face=None),
        replace(FAN, cranks=replace(FAN.cranks, gears=None)),
    ],
    ids=["fan", "unknown size", "stated stiffness", "no face", "no gears"],
)
def test_tables_can_be_shown_whatever_is_known(room, design):
    for table in room.tables(Evaluation(design)):
        assert table.rows
        assert table.note
        assert all(len(row) == len(table.columns) for row in table.cells())
        json.dumps(table.json(), allow_nan=False)


def test_table_of_stiffness_says_where_it_comes_from():
    def itself(design: Design) -> list[str]:
        (table,) = [each for each in bearing_tables.tables(Evaluation(design)) if each.key == "bearing_stiffness"]
        return [row[2] for row in table.rows]

    assert itself(FAN) == ["by contact theory", "rigid"] * 2
    assert all(
        words.startswith("by contact theory, balls not known") for words in itself(with_bearing(0, ball=ODD))[::2]
    )
    assert itself(with_bearing(0, stiffness=3e7)) == ["as given", "rigid"] * 2


def test_what_a_file_may_say_of_bearings_and_teeth():
    text = PATH.read_text()
    text = text.replace("clearance: C3}", "clearance: C3, axial_load: 4 N, load_factor: 1.5}")
    text = text.replace("length: 8 mm}, clearance", "length: 8 mm, material: turned bronze}, clearance")
    text = text.replace("material: bronze}", "material: bronze, left_material: steel, contact_strength: 300 MPa}")
    design = read_text(text)
    first, second = design.shafts.bearings
    assert (first.axial_load, first.load_factor, second.bush.material) == (4.0, 1.5, "turned bronze")
    assert design.cranks.gears.left_material.name == "steel"
    np.testing.assert_allclose(design.cranks.gears.contact_strength, 300e6)


def test_material_of_a_bush_that_is_not_known_is_refused():
    text = PATH.read_text().replace("length: 8 mm}, clearance", "length: 8 mm, material: wood}, clearance")
    with pytest.raises(BadFile, match="sintered bronze"):
        read_text(text)
