"""What a design leaves out of its cranks makes gap, contact and slopes 'not checked', and never makes a FAIL less."""

from dataclasses import replace
from functools import cache

import pytest

from designs.command.inputs import SHIPPED
from designs.design import Design
from designs.evaluate import Evaluation
from designs.reading import read
from designs.verdict import gap, shafts
from designs.verdict.row import Row
from shafts.shaft import Plate

KEYS = ("gap", "contact", "slope_at_bearings", "slope_at_gears", "deflection_at_gears")


@cache
def whole() -> Design:
    """The shipped redesign with all that yields stated: its plates, too."""
    design = read(SHIPPED / "redesign.yaml")
    size = {"thickness": 0.012, "width": 0.08, "height": 0.05, "material": design.shafts.material}
    plates = tuple(Plate(at=each.at, tied=True, **size) for each in design.shafts.bearings)
    return replace(design, shafts=replace(design.shafts, plates=plates))


def without_pin(design: Design, which: str) -> Design:
    throws = design.cranks.throws | {which: replace(design.cranks.throws[which], pin=None)}
    return replace(design, cranks=replace(design.cranks, throws=throws))


def without_web(design: Design, which: int) -> Design:
    webs = tuple(replace(web, width=None) if number == which else web for number, web in enumerate(design.cranks.webs))
    return replace(design, cranks=replace(design.cranks, webs=webs))


def without_seat(design: Design, which: int) -> Design:
    bearings = tuple(
        replace(each, seat_stiffness=None) if number == which else each
        for number, each in enumerate(design.shafts.bearings)
    )
    return replace(design, shafts=replace(design.shafts, bearings=bearings))


def without_plates(design: Design, _: None) -> Design:
    return replace(design, shafts=replace(design.shafts, plates=()))


LEFT_OUT = [
    (without_pin, "inner", "cranks.throws.inner.pin"),
    (without_pin, "outer", "cranks.throws.outer.pin"),
    (without_web, 0, "cranks.webs.0.width and .thickness"),
    (without_web, 1, "cranks.webs.1.width and .thickness"),
    (without_seat, 0, "shafts.bearings.0.seat_stiffness"),
    (without_seat, 1, "shafts.bearings.1.seat_stiffness"),
    (without_plates, None, "shafts.plates"),
]


def rows(design: Design) -> dict[str, Row]:
    """The rows of the two rooms that what yields bears upon; every other room would take as long again."""
    evaluation = Evaluation(design)
    return {row.key: row for source in (gap, shafts) for row in source.rows(evaluation) if row.key in KEYS}


@pytest.fixture(scope="module")
def stated() -> dict[str, Row]:
    return rows(whole())


@pytest.fixture(scope="module")
def failing() -> dict[str, Row]:
    return rows(tight(whole()))


def test_all_that_yields_is_stated_so_every_row_is_checked(stated):
    found = stated
    assert set(found) >= {"gap", "contact", "slope_at_bearings"}
    assert all(row.state in ("pass", "FAIL") and not row.unlooked for row in found.values())


@pytest.mark.parametrize(("leave", "which", "entry"), LEFT_OUT)
def test_an_entry_left_out_is_named_and_lets_no_row_pass(stated, leave, which, entry):
    after = rows(leave(whole(), which))
    assert set(stated) == set(after)
    for key, row in after.items():
        assert entry in row.unlooked, key
        assert row.state != "pass", key
        if row.state == "not checked":
            assert entry in row.words, key


def tight(design: Design) -> Design:
    """The same held to limits that nothing keeps, with yokes so near each other that they meet while it runs."""
    asked = replace(design.limits, gap=0.02, slope_at_bearings=1e-9, slope_at_gears=1e-9, deflection_at_gears=1e-9)
    upper = design.yokes["displacer"]
    lower = replace(upper, rod=replace(upper.rod, length=upper.rod.length - 0.55e-3))
    return replace(design, limits=asked, yokes=design.yokes | {"displacer": lower})


def test_nothing_keeps_the_tight_limits(failing):
    assert {key for key, row in failing.items() if row.state == "FAIL"} == set(KEYS)
    assert 0 < failing["contact"].value < failing["contact"].limit


@pytest.mark.parametrize(("leave", "which", "entry"), LEFT_OUT)
def test_a_fail_stays_a_fail_whatever_is_left_out(failing, leave, which, entry):
    after = rows(leave(tight(whole()), which))
    for key in failing:
        # With one part rigid the value may be a little better: it still fails, and the row says so.
        assert after[key].state == "FAIL", key
        assert entry in after[key].unlooked, key
