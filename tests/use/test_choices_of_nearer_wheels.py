"""How near to the bearings flywheels may stand, by hand from the rebuilt engine and the one with a rhombic drive.

Rebuilt: wheels of 90 x 18 mm at 52 and 72 mm on shafts 52 mm apart that end at 83 mm; bearings of 8 mm and plates as
thick at 0 and 30 mm, gears of 8 mm at 12 mm, walls up to 40 mm. Rhombic: wheels of 76 x 28 mm at 53 and 83.5 mm on
shafts of 10 mm, 44 mm apart, that end at 68 and 98 mm; gears of 8 mm at 31 mm, cheeks 50 mm from the middle up to
36 mm, a floor 46 mm below it up to 40 mm.
"""

from dataclasses import replace
from pathlib import Path

import pytest
from choices import dials_of, edits_of

from balance.machine.outline import Outline
from designs.counsel.free import nearer, single
from designs.design import Design
from designs.reading import read_text

DESIGNS = Path(__file__).parents[2] / "designs"
MM = 1e-3
PLAIN, LONGER = "flywheel nearer to the bearings", "flywheel nearer to the bearings on longer shafts"
AT, LEFT_AT, THICK = "flywheel.at", "flywheel.left_at", "flywheel.thickness"


@pytest.fixture(scope="module")
def rebuilt() -> Design:
    return read_text((DESIGNS / "redesign.yaml").read_text("utf-8"))


@pytest.fixture(scope="module")
def rhombic() -> Design:
    return read_text((DESIGNS / "rhombic.yaml").read_text("utf-8"))


dials, dials_of_one = dials_of(nearer), dials_of(single)


def offered(design: Design, shown: str, name: str = PLAIN) -> dict[str, float]:
    """Return what a value of a choice changes, mm."""
    level = next(each for each in dials(design)[name].levels if each.shown == shown)
    return {path: value / MM for path, value in edits_of(level, design).items()}


def with_wheel(design: Design, **changes: object) -> Design:
    return replace(design, flywheel=replace(design.flywheel, **changes))


def test_wheels_stand_a_millimetre_past_the_walls_that_they_would_strike(rebuilt: Design) -> None:
    """41 and 9 mm; the other one 2 mm behind it."""
    assert offered(rebuilt, "as thick") == pytest.approx({AT: 50, LEFT_AT: 70})
    assert offered(replace(rebuilt, walls={}), "as thick") == pytest.approx({AT: 44, LEFT_AT: 64})  # 34 + 1 + 9
    for gap, at in ((2.1, 44), (1.9, 50)):  # beside 26 mm and 45 mm of radius
        post = Outline(rectangle=(4 * MM, 4 * MM), offset=((26 + 45 + gap + 2) * MM, 0.0), z=(-0.05, 0.04))
        assert offered(replace(rebuilt, walls={"post": post}), "as thick")[AT] == pytest.approx(at)
    unknown = with_wheel(replace(rebuilt, walls={"post": post}), diameter=None, inertia=6e-4)
    assert offered(unknown, "as thick")[AT] == pytest.approx(50)  # nothing tells how far it reaches


def test_what_reaches_past_the_wheels_is_passed_already(rebuilt: Design) -> None:
    board = Outline(rectangle=(4 * MM, 4 * MM), z=(-0.05, 0.044))  # beyond 43 mm, where the first one begins
    assert offered(replace(rebuilt, walls={"board": board}), "as thick")[AT] == pytest.approx(44)


def test_thicker_wheels_fill_the_room_and_reach_as_far_as_shafts_do(rhombic: Design, rebuilt: Design) -> None:
    """37 mm is free: 14 mm on; 2 mm between them. Half as thick again they end at 123 mm, the first one at 79 mm."""
    assert offered(rhombic, "as thick") == pytest.approx({AT: 51, LEFT_AT: 81})
    thin = with_wheel(rhombic, thickness=14 * MM)
    assert offered(thin, "2 times as thick") == pytest.approx({THICK: 28, AT: 51, LEFT_AT: 81})
    assert offered(thin, "2 times as thick", LONGER) == {}
    assert offered(rhombic, "1.5 times as thick") == {}
    found = offered(rhombic, "1.5 times as thick", LONGER)
    assert (found[THICK], found[AT], found[LEFT_AT]) == pytest.approx((42, 58, 102))
    now = [float(each.segments[-1].length) / MM for each in rhombic.shafts.pair]
    assert found["shafts.segments.2.length"] == pytest.approx(now[0] + 79 - 68)
    assert found["shafts.left.segments.2.length"] == pytest.approx(now[1] + 123 - 98)
    given = with_wheel(rebuilt, inertia=6e-4, mass=0.5, thickness=10 * MM)
    assert offered(given, "1.25 times as thick")["flywheel.inertia"] * MM == pytest.approx(7.5e-4)


def test_a_wheel_too_wide_to_pass_the_other_shaft_stands_beyond_its_end(rhombic: Design) -> None:
    """44 - 5 mm less 0.5 mm: up to 77 mm wide; else past 68 and 2 mm."""
    for wide, left_at in ((77, 81), (77.2, 84)):
        assert offered(with_wheel(rhombic, diameter=wide * MM), "as thick").get(LEFT_AT, 83.5) == pytest.approx(left_at)


def test_wheels_side_by_side_or_alone_move_as_one(rebuilt: Design) -> None:
    assert offered(with_wheel(rebuilt, left_at=None, diameter=48 * MM), "as thick") == pytest.approx({AT: 44})
    assert offered(with_wheel(rebuilt, on="right"), "as thick") == pytest.approx({AT: 50})
    left = offered(with_wheel(rebuilt, on="left"), "as thick")
    assert left == pytest.approx({LEFT_AT: 50})
    turned = offered(with_wheel(rebuilt, at=72 * MM, left_at=52 * MM), "as thick")
    assert turned == pytest.approx({AT: 70, LEFT_AT: 50})


def test_wheels_that_come_no_nearer_or_stand_elsewhere_are_left_where_they_are(rebuilt: Design) -> None:
    near = with_wheel(rebuilt, at=50 * MM, left_at=70 * MM)
    for design in (near, with_wheel(rebuilt, at=-60 * MM), replace(rebuilt, flywheel=None)):
        for dial in dials(rebuilt).values():
            assert all(level.edits(design) == () for level in dial.levels)
    assert dials(with_wheel(rebuilt, thickness=None, inertia=6e-4)) == {}


def test_moving_wheels_is_no_work_and_thicker_ones_are_made_anew(rebuilt: Design) -> None:
    plain, longer = (dials(rebuilt)[name].levels for name in (PLAIN, LONGER))
    assert [each.work.make for each in plain[:2]] == [(), (("flywheel", 2),)]
    assert [each.work.make for each in longer[:2]] == [(("shaft", 2),), (("flywheel", 2), ("shaft", 2))]
    assert dials(with_wheel(rebuilt, on="left"))[PLAIN].levels[1].work.make == (("flywheel", 1),)
    assert "torsional_margin" in dials(rebuilt)[PLAIN].aims


# One in the place of two

ONE, ONE_LONGER = "one flywheel past the other shaft's end", "one flywheel past the other shaft's end on a longer shaft"


def one(design: Design, shown: str = "as thick", name: str = ONE) -> dict:
    level = next(each for each in dials_of_one(design)[name].levels if each.shown == shown)
    return edits_of(level, design)


def test_one_wheel_stands_where_the_power_leaves_and_the_other_shaft_ends_past_its_last_bearing(
    rebuilt: Design,
) -> None:
    """The left one's bearing ends at 34 mm; from the floor's end at 40 mm 1 mm and half of 18 mm are 50 mm."""
    found = one(rebuilt)
    assert (found["flywheel.on"], found[AT], found[LEFT_AT]) == ("right", pytest.approx(50 * MM), None)
    assert [float(each.length) / MM for each in found["shafts.left"].segments] == pytest.approx([10, 39])
    assert not {"flywheel.thickness", "shafts.segments.1.length"} & set(found)
    # Where no wall is in the way it stands 2 mm past that end; where both shafts drive, where the outer one stood.
    free = replace(rebuilt, walls={})
    assert one(free)[AT] == pytest.approx(45 * MM)
    both = replace(free, cranks=replace(rebuilt.cranks, load_on="both"))
    left = one(both)
    assert left["flywheel.on"] == "left"
    assert left["shafts.segments.1.length"] == pytest.approx(39 * MM)
    assert [float(each.length) / MM for each in left["shafts.left"].segments] == pytest.approx([10, 88])


def test_one_wheel_may_be_thicker_as_far_as_its_shaft_reaches_or_on_a_longer_one(rebuilt: Design) -> None:
    """27 mm of 41 to 68 mm on a shaft that ends at 83 mm; 72 mm end at 113 mm, 30 mm farther than it."""
    found = one(rebuilt, "1.5 times as thick")
    assert (found[THICK], found[AT]) == pytest.approx((27 * MM, 54.5 * MM))
    assert one(rebuilt, "1.5 times as thick", ONE_LONGER) == {}
    assert one(rebuilt, "4 times as thick") == {}
    found = one(rebuilt, "4 times as thick", ONE_LONGER)
    assert (found[THICK], found[AT]) == pytest.approx((72 * MM, 77 * MM))
    assert found["shafts.segments.1.length"] == pytest.approx((88 + 30) * MM)
    work = {each.shown: each.work.make for each in dials_of_one(rebuilt)[ONE_LONGER].levels}
    assert work["as thick"] == (("shaft", 2),)
    assert work["4 times as thick"] == (("flywheel", 1), ("shaft", 2))


def test_one_wheel_is_no_choice_of_one_or_of_wheels_before_the_last_bearing(rebuilt: Design) -> None:
    assert ONE not in dials_of_one(with_wheel(rebuilt, on="right", left_at=None))
    assert one(with_wheel(rebuilt, at=25 * MM)) == {}
    assert ONE not in dials_of_one(with_wheel(rebuilt, thickness=None, inertia=6e-4))


def test_a_shaft_that_ends_before_the_wheel_is_not_cut_and_no_work(rebuilt: Design) -> None:
    short = replace(rebuilt.shafts, left=single.ending_at(rebuilt.shafts, "left", 34 * MM)[0].value)
    work = {each.shown: each.work.make for each in dials_of_one(replace(rebuilt, shafts=short))[ONE].levels}
    assert (work["as thick"], work["1.5 times as thick"]) == ((), (("flywheel", 1),))
