"""What files may say of bearings by designation and of their fits, and what verdict and tables say back."""

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from designs.design import Design
from designs.evaluate import Evaluation
from designs.reading import BadFile, read, read_text
from designs.tables import bearings as bearing_tables
from designs.verdict import bearing_fits, bearings
from designs.verdict.row import Row
from shafts.bearings.rolling import RollingDuty

SHIPPED = Path(__file__).parents[2] / "designs"
PATH = Path(__file__).parent / "greenhouse-fan.yaml"
TEXT = PATH.read_text()
LONG = "ball: {bore: 6 mm, outside: 19 mm, width: 6 mm}"
NEEDLE = "needle: {shaft: 6 mm, outside: 10 mm, width: 8 mm, hardness: 60, speed_limit: 9000 rpm}"


def written(new: str) -> Design:
    """Return the fan with its first bearing written otherwise."""
    assert LONG + ", clearance: C3" in TEXT
    return read_text(TEXT.replace(LONG + ", clearance: C3", new))


def rows_of(design: Design, source=bearing_fits) -> dict[str, Row]:
    return {row.key: row for row in source.rows(Evaluation(design))}


def with_each(design: Design, **said) -> Design:
    """Return a design with something said of each of its bearings."""
    seats = tuple(replace(each, **said) for each in design.shafts.bearings)
    return replace(design, shafts=replace(design.shafts, bearings=seats))


def thick(design: Design, diameter) -> Design:
    segments = tuple(replace(each, diameter=diameter) for each in design.shafts.segments)
    return replace(design, shafts=replace(design.shafts, segments=segments))


def test_a_bush_in_a_seat_of_a_class_is_asked_for_its_play_and_a_tight_one_does_not_creep() -> None:
    bush = "bush: {bore: 6 mm, outside: 10 mm, length: 12 mm, play: 15 um}"
    asked = rows_of(written(f"{bush}, seat_fit: H7"))["bearing_seat"]
    assert "give as `seat_fit` the play as measured" in f"{asked.unlooked} {asked.advice}"
    tight = rows_of(written(f"{bush}, seat_fit: -90 um"))["bearing_seat"]
    assert tight.state == "FAIL" and "splits its seat" in tight.change and "creeps" not in tight.change


@pytest.mark.parametrize("name", ["626", '"626"'])
def test_a_designation_is_the_bearing_of_that_size(name):
    short, long = written(f"ball: {name}").shafts.bearings[0], written(LONG).shafts.bearings[0]
    assert vars(short.ball) == vars(long.ball)


def test_a_designation_with_a_stroke_and_one_of_needles():
    assert written("ball: 618/6").shafts.bearings[0].ball.outside == pytest.approx(13e-3)
    assert written("needle: HK0608").shafts.bearings[0].needle.width == pytest.approx(8e-3)


@pytest.mark.parametrize(
    ("new", "says"),
    [
        ("ball: 627x", "627"),
        ("ball: HK0608", "a designation"),
        ("needle: 608", "HK0608"),
        ("ball: 626, fit: H7", "h6"),
        ("ball: 626, seat_fit: h6", "H7"),
        ("ball: 626, held_by: hope", "shoulder"),
        ("needle: HK0608, clearance: C3", "a group is for balls"),
        ("needle: HK0608, fit: 4 um", "needle.play"),
        ("needle: HK0608, ball: 626", "one of them"),
    ],
)
def test_what_is_not_understood_is_refused_with_what_is_allowed(new, says):
    with pytest.raises(BadFile, match=says):
        written(new)


def test_the_table_says_what_to_order():
    def table(design: Design) -> list:
        return next(each for each in bearing_tables.tables(Evaluation(design)) if each.key == "bearing_life").rows

    assert table(written("ball: 626"))[0][1] == "626 (6 x 19 x 6)"
    assert table(written("ball: 626"))[0][4] == "low end of catalogues (dynamic 2210 to 2820, static 885 to 1070 N)"
    assert table(written("needle: HK0608"))[0][1] == "HK0608 (6 x 10 x 8)"


def test_needles_work_by_the_laws_of_rollers():
    """ISO 281 with 10/3, on the mean load with that exponent; radial load only."""
    evaluation = Evaluation(written(NEEDLE))
    duty = evaluation.bearings[0]
    assert isinstance(duty, RollingDuty)
    load = evaluation.loaded_shafts.cranks[0].bearing_sizes[0] * 1.2
    mean = np.mean(load ** (10 / 3)) ** 0.3
    np.testing.assert_allclose(duty.equivalent, mean, rtol=1e-12)
    np.testing.assert_allclose(duty.revolutions, 1e6 * (1900 / mean) ** (10 / 3), rtol=1e-12)
    np.testing.assert_allclose(duty.static_safety, 1570 / (1.2 * duty.peak), rtol=1e-12)
    rows = rows_of(written(NEEDLE), bearings)
    assert [rows[key].state for key in ("bearing_life", "static_safety", "bearing_speed")] == ["pass"] * 3


def test_needles_on_a_shaft_of_unknown_hardness_do_not_pass():
    rows = rows_of(written("needle: HK0608"), bearings)
    assert [rows[key].state for key in ("bearing_life", "static_safety", "bearing_speed")] == ["not checked"] * 3
    assert "hardness" in rows["bearing_life"].words
    assert "speed_limit" in rows["bearing_speed"].words


@pytest.mark.parametrize("new", [NEEDLE, "needle: {shaft: 6 mm, outside: 11 mm, width: 8 mm}"])
def test_tables_can_be_shown_of_needles(new):
    for table in bearing_tables.tables(Evaluation(written(new))):
        assert all(len(row) == len(table.columns) for row in table.cells())


def test_shipped_redesigns_fit():
    for name in ("redesign", "rhombic"):
        rows = rows_of(read(SHIPPED / f"{name}.yaml"))
        assert [rows[key].state for key in ("bearing_fit", "bearing_seat", "internal_clearance")] == ["pass"] * 3


@pytest.mark.parametrize(
    ("diameter", "state"),
    [(10.0, "pass"), (12.0, "FAIL"), (8.0, "FAIL"), (9.94, "pass"), (9.8, "FAIL"), (10.02, "FAIL")],
)
def test_shaft_and_bore_must_be_of_one_size(diameter, state):
    """A glued ring: up to 0.1 mm of play that is measured; what the sizes say beyond the fit that is given fails."""
    design = thick(read(SHIPPED / "redesign.yaml"), diameter * 1e-3)  # bores of 10 mm
    if diameter == 9.94:
        assert rows_of(design)["bearing_fit"].state == "FAIL"
        design = with_each(design, fit=60e-6)
    found = rows_of(design)["bearing_fit"]
    assert found.state == state
    if diameter == 8.0:
        np.testing.assert_allclose(found.value, 2e-3, rtol=1e-9)
        assert "a shaft of 8 mm in a bore of 10 mm" in found.words
    assert ("it does not go in" in found.words) == (diameter == 12.0)  # of which no play can be told


def test_a_thin_shaft_in_a_wide_bore_never_passes():
    sizes = np.array([10.0, 5.94, 12.0]) * 1e-3
    found = rows_of(thick(read(SHIPPED / "redesign.yaml"), sizes))["bearing_fit"]
    assert list(found.passed) == [True, False, False]


def test_fits_left_out_are_asked_for():
    rows = rows_of(with_each(read(SHIPPED / "redesign.yaml"), fit=None, seat_fit=None, held_by=None))
    assert [rows[key].state for key in ("bearing_fit", "bearing_seat")] == ["not checked"] * 2
    assert "internal_clearance" not in rows
    assert "`fit`" in rows["bearing_fit"].words
    assert "`seat_fit`" in rows["bearing_seat"].words


@pytest.mark.parametrize(
    ("said", "key", "state"),
    [
        ({"fit": "f7"}, "bearing_fit", "FAIL"),
        ({"fit": "h5"}, "bearing_fit", "pass"),
        ({"fit": "s6"}, "bearing_fit", "FAIL"),
        ({"fit": "k6"}, "bearing_fit", "not checked"),
        ({"seat_fit": "H7"}, "bearing_seat", "pass"),
        ({"seat_fit": "H8"}, "bearing_seat", "FAIL"),
        ({"seat_fit": 0.05e-3}, "bearing_seat", "FAIL"),
        ({"fit": -8e-6, "clearance": "C3"}, "internal_clearance", "pass"),
        ({"fit": -8e-6}, "internal_clearance", "not checked"),
        ({"fit": -9e-6, "seat_fit": -22e-6, "clearance": "CN"}, "internal_clearance", "FAIL"),
        ({"held_by": "shoulder"}, "bearing_held", "FAIL"),
        ({"held_by": "circlip"}, "bearing_held", "FAIL"),
        ({"held_by": "press", "fit": 2e-6}, "bearing_fit", "FAIL"),
        ({"held_by": "press", "fit": -5e-6}, "bearing_fit", "pass"),
    ],
)
def test_states_of_fits(said, key, state):
    plain = {"fit": 3e-6, "seat_fit": 5e-6, "held_by": None} | said
    assert rows_of(with_each(read(SHIPPED / "redesign.yaml"), **plain))[key].state == state


def test_looser_rings_narrow_the_gap():
    design = with_each(read(SHIPPED / "redesign.yaml"), held_by=None, fit=0.0, seat_fit=0.0)
    gaps = [
        float(Evaluation(each).pairs[0].least(design.speed.most)[0])
        for each in (design, with_each(design, fit=10e-6, seat_fit=20e-6))
    ]
    assert gaps[1] < gaps[0] - 1e-5
