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


def test_a_board_reaches_as_far_to_both_sides_of_a_mass_centre_that_stands_aside_as_the_farthest_foot(
    rebuilt: Design,
) -> None:
    """The centre at 10 mm: the feet at -60 mm stand 70 mm from it."""
    aside = replace(rebuilt, mount=replace(rebuilt.mount, cg=(10 * MM, 25 * MM, 0.0)))
    edits = {".".join(edit.keys): edit.value for edit in corners(aside)["140 mm by 100 mm"].edits(aside)}
    assert {round(place[0] / MM, 6) for place in edits["mount.feet.places"]} == {80, -60}


def test_feet_at_the_corners_stand_there_in_any_unit(rebuilt: Design) -> None:
    """Inches are not kept to the last digit: what is a hair away is no other place."""
    off = on_feet(
        rebuilt, *[(x * (1 + 1e-15), z * (1 - 1e-15)) for x, z in ((60, 50), (-60, 50), (60, -50), (-60, -50))]
    )
    assert list(corners(off)) == list(corners(rebuilt))
