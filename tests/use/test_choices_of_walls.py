"""Walls that something turning comes near to, by hand from the engine with a rhombic drive.

Its gears of module 1 mm and 44 teeth reach 23 mm from shafts 44 mm apart: 45 mm from the middle, from 27 to 35 mm along
the shafts; bearings and plates end before that. Cheeks of 4 mm stand with their faces 50 mm from the middle, from -30
to 36 mm along the shafts, and 54 mm on the outside, where the floor ends, too; the floor ends at 40 mm.
"""

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from choices import dials_of, edits_of

from balance.machine.outline import Outline
from designs.counsel.free import walls
from designs.design import Design
from designs.evaluate import evaluate_finely
from designs.reading import read_text
from designs.verdict import clearances

RHOMBIC = (Path(__file__).parents[2] / "designs" / "rhombic.yaml").read_text("utf-8")
MM = 1e-3
CHEEKS = "right cheek and left cheek"
dials = dials_of(walls)


def nearer(inside: float, **changes: object) -> Design:
    """Return the engine with cheeks whose faces stand so far from the middle, mm.   changes : of its case."""
    text = RHOMBIC
    for sign in ("", "-"):
        old = f"offset: [{sign}52 mm"
        assert text.count(old) == 1
        text = text.replace(old, f"offset: [{sign}{inside + 2:g} mm")
    design = read_text(text)
    assert design.mount is not None
    return replace(design, mount=replace(design.mount, **changes))


def offered(design: Design, name: str) -> dict[str, dict[str, object]]:
    return {each.shown: edits_of(each, design) for each in dials(design)[name].levels}


def test_walls_with_room_enough_stay_where_they_are() -> None:
    assert not dials(read_text(RHOMBIC))
    assert f"place of {CHEEKS}" in dials(nearer(46.5))
    assert not dials(nearer(47.5))


def test_a_wall_ends_a_millimetre_before_what_it_runs_into_but_not_before_the_plates() -> None:
    assert offered(nearer(44), f"end of {CHEEKS}") == {
        "26 mm": {f"walls.{side} cheek.z": (-0.03, 0.026) for side in ("right", "left")}
    }
    assert not dials(nearer(44))[f"start of {CHEEKS}"].levels  # the plate there ends at -26 mm, beyond the weights
    thicker = read_text(RHOMBIC.replace("at: 31 mm", "at: 30 mm").replace("52 mm, 0 mm", "46 mm, 0 mm"))
    assert not dials(thicker)[f"end of {CHEEKS}"].levels


def test_walls_stand_farther_out_within_the_case_and_the_floor_still_reaches_to_them() -> None:
    """The cheeks' outsides stand at 48 mm, the floor's edges at 54 mm, the case's sides at 65 mm."""
    found = offered(nearer(44), f"place of {CHEEKS}")
    assert [float(each.split()[0]) for each in found] == [1, 2, 3, 4, 5, 6, 8, 10]
    apart = {f"walls.{side} cheek.offset": (sign * 48 * MM, 0.0) for side, sign in (("right", 1), ("left", -1))}
    assert found["2 mm farther out"] == apart
    assert set(found["8 mm farther out"]) == {*apart, "walls.floor.rectangle", "walls.floor.offset"}
    np.testing.assert_allclose(found["8 mm farther out"]["walls.floor.rectangle"], (124 * MM, 4 * MM), atol=1e-12)
    work = [each.work.size for each in dials(nearer(44))[f"place of {CHEEKS}"].levels]
    assert work == [(2, 0)] * 6 + [(3, 0)] * 2
    assert list(offered(nearer(44, size=None), f"place of {CHEEKS}"))[-1] == "20 mm farther out"


def test_a_wall_by_itself_moves_alone_and_one_that_is_no_rectangle_only_ends_sooner() -> None:
    design = nearer(44)
    cheek = design.walls["right cheek"]
    alone = replace(design, walls={"cheek": cheek})
    assert {*offered(alone, "place of cheek")["2 mm farther out"]} == {"walls.cheek.offset"}
    bent = Outline(polygon=cheek.corners, z=cheek.z)
    assert [*dials(replace(design, walls={"cheek": bent}))] == ["start of cheek", "end of cheek", "place of cheek"]
    assert not dials(replace(design, walls={"cheek": bent}))["place of cheek"].levels


@pytest.mark.parametrize(
    ("choice", "shown"), [(f"place of {CHEEKS}", "2 mm farther out"), (f"end of {CHEEKS}", "26 mm")]
)
def test_gears_then_clear_what_they_ran_into(choice: str, shown: str) -> None:
    """The gears reach 1 mm into the cheeks, which then stand 1 mm off them or end before them."""
    design = nearer(44)
    level = next(each for each in dials(design)[choice].levels if each.shown == shown)

    def apart(of: Design) -> float:
        (row,) = clearances.rows(evaluate_finely(of), "clearance_wheels")
        return float(row.value)  # type: ignore[arg-type]

    assert apart(design) < 0
    assert apart(level.of(design)) == pytest.approx(1 * MM, abs=0.1 * MM)


def test_walls_are_there_for_all_that_may_run_into_them() -> None:
    """A rod or a stem that reaches below a floor, as well as a wheel."""
    every = {key for key, _ in clearances.KEYS.values()}
    assert all(every == set(dial.aims) for dial in dials(nearer(44)).values())
