"""Feet at the corners of a board, by hand from the rebuilt engine: at 60 and 50 mm about the mass centre, 6 N/mm."""

from dataclasses import replace
from pathlib import Path

import pytest

from designs.counsel.dial import Level
from designs.counsel.free import case
from designs.design import Design
from designs.reading import read_text
from designs.stock import stock_with

REDESIGN = (Path(__file__).parents[2] / "designs" / "redesign.yaml").read_text("utf-8")
MM = 1e-3


@pytest.fixture(scope="module")
def rebuilt() -> Design:
    return read_text(REDESIGN)


def corners(design: Design) -> dict[str, Level]:
    found = {each.name: each for each in case.dials(design, stock_with(design.stock))}
    return {each.shown: each for each in found["feet at the corners of a board"].levels}


def on_feet(design: Design, *places: tuple[float, float], **changes: object) -> Design:
    stood = tuple((x * MM, -45 * MM, z * MM) for x, z in places)
    return replace(design, mount=replace(design.mount, feet=replace(design.mount.feet, places=stood, **changes)))


def test_where_three_feet_stand_a_fourth_is_bought_and_all_stand_about_the_mass_centre(rebuilt: Design) -> None:
    three = on_feet(rebuilt, (60, 50), (-60, 50), (0, 10), across=9e3)
    found = corners(three)
    assert list(found) == ["120 mm by 100 mm", "150 mm by 124 mm", "180 mm by 150 mm", "240 mm by 200 mm"]
    level = found["120 mm by 100 mm"]
    assert (level.work.make, level.work.buy) == ((("board under the feet", 1),), (("foot", 1),))
    edits = {".".join(edit.keys): edit.value for edit in level.edits(three)}
    assert {tuple(round(each / MM, 6) for each in place) for place in edits["mount.feet.places"]} == {
        (60, -45, 50), (-60, -45, 50), (60, -45, -50), (-60, -45, -50)}  # fmt: skip
    assert (edits["mount.feet.stiffness"], edits["mount.feet.across"]) == (8e3, 12e3)  # of all: four thirds


def test_four_feet_askew_are_moved_and_those_at_the_corners_are_not(rebuilt: Design) -> None:
    askew = corners(on_feet(rebuilt, (60, 50), (-60, 50), (60, -50), (-20, -50)))
    edits = askew["120 mm by 100 mm"].edits(rebuilt)
    assert [edit.keys[-1] for edit in edits] == ["places"]
    assert askew["120 mm by 100 mm"].work.buy == ()
    assert "120 mm by 100 mm" not in corners(rebuilt)
    assert "180 mm by 150 mm" in corners(rebuilt)


def test_feet_of_no_known_place_or_more_than_four_get_no_corners(rebuilt: Design) -> None:
    assert corners(on_feet(rebuilt)) == {}
    assert corners(on_feet(rebuilt, (60, 50), (-60, 50), (60, -50), (-60, -50), (0, 50))) == {}
