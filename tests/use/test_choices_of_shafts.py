"""What may be done about shafts and bearings, by hand from the rebuilt engine's file and the stock.

Bearings of 10 x 26 x 8 mm stand at 0 and 30 mm on a shaft from -15 to 83 mm, the gears of 8 mm at 12 mm, wheels of
18 mm at 52 and 72 mm; throws at -21 and -39 mm, webs of 10 and 6 mm at -10 and -30 mm, weights of 10 mm at -10 and
-47 mm.
"""

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from choices import dials_of, offered_of

from designs.changing.edit import text
from designs.changing.groups import ball_for, group_edits, grouped, seat_diameter, webs_to_widen
from designs.counsel.free import shafts, spans, stepped
from designs.design import Design
from designs.design.stock import Stock
from designs.reading import read_text
from designs.reading.complaints import BadFile
from designs.stock import balls, needles, stock_with
from shafts.bearings.ball import Ball
from shafts.bearings.standard_sizes import NEEDLES

DESIGNS = Path(__file__).parents[2] / "designs"
REDESIGN = (DESIGNS / "redesign.yaml").read_text("utf-8")
RHOMBIC = (DESIGNS / "rhombic.yaml").read_text("utf-8")
MM = 1e-3
STOCK = """{shafts: [8 mm, 10 mm, 12 mm, 16 mm, 30 mm, 32 mm], bearings: [[8 mm, 22 mm, 7 mm], [9 mm, 24 mm, 7 mm],
  [10 mm, 22 mm, 6 mm], [10 mm, 26 mm, 8 mm], [10 mm, 35 mm, 11 mm], [12 mm, 28 mm, 8 mm], [12 mm, 48.9 mm, 10 mm],
  [12 mm, 49.1 mm, 10 mm], [30 mm, 47 mm, 9 mm], [32 mm, 48 mm, 9 mm]]}"""


def changed(*pairs: tuple[str, str], stock: str = "", text: str = REDESIGN) -> Design:
    for old, new in pairs:
        assert text.count(old) == 1, old
        text = text.replace(old, new)
    return read_text(text + (f"\nstock: {stock}\n" if stock else ""))


dials, offered = dials_of(shafts, spans), offered_of(shafts, spans)


@pytest.fixture(scope="module")
def rebuilt() -> Design:
    return changed()


@pytest.fixture(scope="module")
def stocked() -> Design:
    return changed(stock=STOCK)


# Bearings as a stock gives them


def test_a_bearing_of_the_stock_comes_by_its_sizes_by_its_name_or_with_all_that_is_said_of_it() -> None:
    given = "{bore: 3/8 in, outside: 0.8125 in, width: 0.2 in, dynamic_rating: 2.4 kN}"
    found = balls(stock_with(changed(stock=f"{{bearings: [R6, 608, [8 mm, 16 mm, 5 mm], {given}]}}").stock))
    sizes = [(8, 16, 5), (8, 22, 7), (9.525, 20.6375, 5.08), (9.525, 22.225, 5.55625)]
    assert [each.sizes for each in found] == [pytest.approx([part * MM for part in size]) for size in sizes]
    assert [each.designation for each in found] == ["", "608", "", "R6"]
    assert [each.dynamic_rating for each in found] == [None, None, 2400.0, None]
    (listed,) = Stock(bearings=[(8 * MM, 22 * MM, 7 * MM)]).bearings
    assert listed.designation == "608"


def test_ratings_that_the_stock_gives_stay_with_the_bearing() -> None:
    """8 x 21 x 7 mm is in no catalogue that was read, so it is rated by what the stock says."""
    words = "{bore: 8 mm, outside: 21 mm, width: 7 mm, static_rating: 1200 N}"
    own = changed(stock=f"{{shafts: [8 mm], bearings: [{words}]}}")
    (made,) = offered(own, "shafts with their bearings").values()
    assert made["shafts.bearings.0.ball"].static_rating == 1200.0
    assert text(made["shafts.bearings.0.ball"], "") == words


def test_needles_of_the_stock_run_as_fast_as_they_or_all_of_it_may() -> None:
    sizes = "[HK1010, {shaft: 10 mm, outside: 14 mm, width: 11 mm, speed_limit: 6000 rpm}]"
    stock = stock_with(changed(stock=f"{{needles: {{sizes: {sizes}, hardness: 61, speed_limit: 9000 rpm}}}}").stock)
    found = needles(stock.needles)
    assert [each.speed_limit * 30 / np.pi for each in found] == pytest.approx([9000, 6000])
    assert [each.hardness for each in found] == [61.0, 61.0]


@pytest.mark.parametrize(
    ("bearing", "where", "allowed"),
    [
        ("[8 mm, 6 mm, 5 mm]", "stock.bearings.0.outside", "more than the bore"),
        ("[8 mm, 22 mm]", "stock.bearings.0", r"or \[bore, outside, width\]; or entries: bore"),
        ("R7", "stock.bearings.0", "a designation: 618/3"),
        ("[8 mm +- 0.1 mm, 22 mm, 7 mm]", "stock.bearings.0.bore", "of one size"),
    ],
)
def test_a_bearing_that_the_stock_cannot_have_is_named(bearing: str, where: str, allowed: str) -> None:
    with pytest.raises(BadFile, match=rf"{where}: read .*; allowed: .*{allowed}"):
        changed(stock=f"{{bearings: [{bearing}]}}")


# Diameter, with all that must agree


def test_bearings_on_ground_shaft_come_nearest_first_and_leave_a_wall_between_the_seats(stocked: Design) -> None:
    """Shafts 52 mm apart with 3 mm between the seats: 49 mm; up to three times as thick."""
    levels = dials(stocked)["shafts with their bearings"].levels
    assert [each.shown.split(" on ")[1] for each in levels] == [
        f"{each} mm bearings"
        for each in ("10 x 22 x 6", "10 x 35 x 11", "12 x 28 x 8", "8 x 22 x 7", "12 x 48.9 x 10", "30 x 47 x 9")
    ]
    assert levels[3].shown.startswith("8 mm on ")
    bought = (("bearing", 4),)
    assert {each.work.buy for each in levels} == {bought}
    assert [each.work.make for each in levels[:2]] == [(("bearing seat", 4),)] * 2
    anew = (("shaft", 2), ("gear bore", 2), ("flywheel bore", 2), ("web bore", 2), ("bearing seat", 4))
    assert levels[2].work.make == anew
    assert levels[5].work.make == (anew[0], ("web 1", 2), *anew[1:])


def test_bearings_of_another_bore_than_the_shaft_are_changed_alone() -> None:
    """Bearings of 8 mm were put on a shaft of 10 mm: those in stock for it need no other shaft."""
    wrong = changed(stock=STOCK)
    ball = replace(wrong.shafts.bearings[0].ball, bore=8 * MM, outside=22 * MM, width=7 * MM)
    bearings = tuple(replace(each, ball=ball) for each in wrong.shafts.bearings)
    wrong = replace(wrong, shafts=replace(wrong.shafts, bearings=bearings))
    name, both = "bearings of the shafts as they are", dials(wrong)["shafts with their bearings"]
    assert both.now == "10 mm in 8 x 22 x 7 mm bearings"
    found = offered(wrong, name)
    assert list(found) == [f"10 mm on {each} mm bearings" for each in ("10 x 22 x 6", "10 x 26 x 8", "10 x 35 x 11")]
    assert all(set(each) == {"shafts.bearings.0.ball", "shafts.bearings.1.ball"} for each in found.values())
    assert {each.work.make for each in dials(wrong)[name].levels} == {(("bearing seat", 4),)}
    assert {"bearing_fit", "pushed_on"} <= set(dials(wrong)[name].aims)
    assert name not in dials(changed(stock=STOCK))


def test_a_bore_only_grows(rebuilt: Design) -> None:
    """On thinner shafts gears and wheels are other ones, and the web that holds the shaft."""
    made = (("shaft", 2), ("web 1", 2), ("gear", 2), ("flywheel", 2), ("bearing seat", 4))
    assert shafts.new_shafts(rebuilt, 6 * MM) == made


def test_what_is_bored_again_is_what_there_is(rebuilt: Design) -> None:
    single = replace(rebuilt, flywheel=replace(rebuilt.flywheel, on="right", left_at=None))
    assert ("flywheel bore", 1) in shafts.new_shafts(single, 12 * MM)
    cranks = replace(rebuilt.cranks, gears=None, webs=())
    bare = replace(rebuilt, flywheel=None, counterweights=None, cranks=cranks)
    assert shafts.new_shafts(bare, 12 * MM) == (("shaft", 2), ("bearing seat", 4))


def by_keys(design: Design, size: tuple[float, float, float]) -> dict[str, object]:
    bore, outside, width = (part * MM for part in size)
    ball = Ball(bore=bore, outside=outside, width=width)
    return {".".join(each.keys): each.value for each in group_edits(design, ball)}


def test_steps_hub_and_webs_follow_a_shafts_diameter(rebuilt: Design) -> None:
    """The step of 8 mm on a seat of 10; a web of 18 mm with 2 mm each side up to 14, then the next flat bar."""
    found = by_keys(rebuilt, (12, 28, 8))
    assert found["shafts.segments.0.diameter"] == pytest.approx(9.5e-3)  # 9.6
    assert found["shafts.segments.1.diameter"] == pytest.approx(12e-3)
    ball = found["shafts.bearings.1.ball"]
    assert [float(each) / MM for each in (ball.bore, ball.outside, ball.width)] == pytest.approx([12, 28, 8])
    assert not [key for key in found if "web" in key or "weight" in key]  # 8 mm of hub in 9.05
    found = by_keys(rebuilt, (15, 32, 9))
    assert found["counterweights.smallest_radius"] == pytest.approx(9.5e-3)
    assert found["cranks.webs.0.width"] == pytest.approx(20e-3)
    # 10 mm of plate: 2 R a + pi R^2 from 416.5 to 494.2 mm^2 over 9 mm, less a hole of 12 mm in place of one of 8 mm.
    more = (494.159 - 416.469 - np.pi / 4 * (12**2 - 8**2)) * 10 * 7.85e-6
    assert found["cranks.webs.0.mass"] == pytest.approx(29.2e-3 + more, abs=6e-6)
    assert by_keys(rebuilt, (30, 47, 9))["cranks.webs.0.width"] == pytest.approx(34e-3)  # no such flat
    bare = replace(rebuilt, counterweights=None)
    assert "counterweights.smallest_radius" not in by_keys(bare, (15, 32, 9))
    assert by_keys(rebuilt, (0.5, 2, 1))["shafts.segments.0.diameter"] == pytest.approx(0.5e-3)


@pytest.mark.parametrize(("at", "bore", "widened"), [(-15.9, 14.1, [0]), (-16.1, 14.1, []), (-10, 13.9, []),
                                                     (83.9, 14.1, [0]), (84.1, 14.1, [])])  # fmt: skip
def test_webs_on_the_shaft_get_wider_where_they_are_too_narrow(rebuilt: Design, at, bore, widened) -> None:
    """A millimetre beyond the shaft's end at most."""
    webs = (replace(rebuilt.cranks.webs[0], at=at * MM), rebuilt.cranks.webs[1])
    moved = replace(rebuilt.cranks, webs=webs)
    object.__setattr__(design := replace(rebuilt), "cranks", moved)  # what may stand there is not asked here
    assert webs_to_widen(design, bore * MM) == widened


def test_the_bearing_of_a_diameter_is_the_one_most_like_its_own(stocked: Design) -> None:
    """2.6 times as wide outside as inside: 28 mm on 12, not 48.9; of two alike the narrower one."""
    assert [1e3 * each for each in ball_for(stocked, 12 * MM).sizes] == pytest.approx([12, 28, 8])
    assert ball_for(stocked, 16 * MM) is None
    own = replace(stocked.shafts.bearings[0].ball, outside=40 * MM)
    first = replace(stocked.shafts.bearings[0], ball=own)
    wide = replace(stocked, shafts=replace(stocked.shafts, bearings=(first, stocked.shafts.bearings[1])))
    assert ball_for(wide, 12 * MM).outside == pytest.approx(48.9e-3)


def test_the_seat_is_what_the_first_bearing_sits_on(rebuilt: Design) -> None:
    shaft = rebuilt.shafts
    first = shaft.bearings[0]
    for at, thick in ((-8, 8), (-5, 8), (-4.9, 10), (200, 10)):
        bearings = (replace(first, at=at * MM), *shaft.bearings[1:])
        object.__setattr__(moved := replace(shaft), "bearings", bearings)
        assert seat_diameter(moved) == pytest.approx(thick * MM)


def test_many_diameters_at_once_each_have_what_agrees_with_them(stocked: Design) -> None:
    many = grouped(stocked, np.array([12, 10, 12]) * MM)
    assert many.shafts.segments[1].diameter == pytest.approx([12e-3, 10e-3, 12e-3])
    assert many.shafts.segments[0].diameter == pytest.approx([9.5e-3, 8e-3, 9.5e-3])
    assert many.shafts.bearings[0].ball.outside == pytest.approx([28e-3, 26e-3, 28e-3])
    mixed = grouped(stocked, np.array([10, 30]) * MM)
    assert mixed.cranks.webs[0].width == pytest.approx([18e-3, 34e-3])


# Steps beside crankpins


@pytest.mark.parametrize(
    ("radius", "pin", "share", "thick"),
    [
        (9.0, 4.0, 0.2, 10.0),  # 7 mm for half of it and a fifth of it
        (9.0, 4.0, 0.25, 9.0),  # 9.33
        (9.0, 8.0, 0.5, 3.0),  # 4 mm of metal are wanted beside the pin: 5 - 4, twice
        (20.0, 16.0, 0.5, 8.0),  # the pin is the thicker one: 12 - 8, twice
        (5.0, 4.0, 0.5, 3.0),  # no thinner than that
    ],
)
def test_a_shaft_leaves_metal_beside_a_crankpin(radius: float, pin: float, share: float, thick: float) -> None:
    assert stepped._thickest(radius * MM, pin * MM, share) == pytest.approx(thick * MM)


def test_a_shaft_is_turned_down_where_a_web_holds_it_and_nowhere_else() -> None:
    part, zone = (0.0, 0.05, 0.01, 0.0), (0.02, 0.03, 0.008)
    assert stepped._cut(part, zone) == [(0.0, 0.02, 0.01, 0.0), (0.02, 0.03, 0.008, 0.0),
                                                (0.03, 0.05, 0.01, 0.0)]  # fmt: skip
    assert stepped._cut(part, (-0.01, 0.03, 0.008)) == [(0.0, 0.03, 0.008, 0.0), (0.03, 0.05, 0.01, 0.0)]
    assert stepped._cut(part, (0.02, 0.09, 0.008)) == [(0.0, 0.02, 0.01, 0.0), (0.02, 0.05, 0.008, 0.0)]
    assert stepped._cut(part, (0.06, 0.09, 0.008)) == [part]
    assert stepped._cut(part, (0.02, 0.03, 0.01)) == [part]  # thin enough
    hollow = (0.0, 0.05, 0.01, 0.008)
    assert stepped._cut(hollow, zone) == [hollow]
    assert stepped._cut((0.0, 0.05, 0.01, 0.0079), zone)[1] == (0.02, 0.03, 0.008, 0.0079)
    joined = stepped._joined([(0.0, 0.02, 0.01, 0.0), (0.02, 0.03, 0.01, 0.0), (0.03, 0.05, 0.01, 0.004),
                                      (0.05, 0.06, 0.008, 0.004)])  # fmt: skip
    assert joined == [(0.0, 0.03, 0.01, 0.0), (0.03, 0.05, 0.01, 0.004), (0.05, 0.06, 0.008, 0.004)]


def test_across_a_crankpin_between_webs_a_shaft_is_as_thin_as_in_them() -> None:
    """Webs of 8 mm at -9 and 9 mm, a pin of 6 mm at 8 mm: (8 - 3) / (0.5 + share), whole to half a millimetre."""
    design = changed(text=RHOMBIC)
    zones = list(stepped._zones(design, design.shafts, 0.2))
    by_hand = [(-13, -5, 7), (5, 13, 7), (-5, 5, 7)]
    assert [tuple(round(each / MM, 6) for each in zone) for zone in zones] == by_hand
    narrow = replace(design, limits=replace(design.limits, web_metal=0.2))
    whole = replace(design.shafts, segments=(replace(design.shafts.segments[0], length=96 * MM),))
    (edit,) = stepped.stepped(replace(narrow, shafts=whole))
    assert [(float(each.length) / MM, float(each.diameter) / MM) for each in edit.value] == [
        pytest.approx((15, 10)), pytest.approx((26, 7)), pytest.approx((55, 10))]  # fmt: skip
    assert not list(stepped.stepped(narrow))
    # Of 13/32 in, which is no whole number of micrometres: it would no longer go into its bearings.
    inches = replace(whole, segments=(replace(whole.segments[0], diameter=13 / 32 * 25.4 * MM),))
    (edit,) = stepped.stepped(replace(narrow, shafts=inches))
    assert edit.value[0].diameter == edit.value[2].diameter == 13 / 32 * 25.4 * MM


@pytest.mark.parametrize(
    ("width", "at", "radius"),
    [(20, -10, 10.05), (18, -10, None), (18.06, -10, 9.1), (20, -20.9, 10.05), (20, -21.1, None)],
)
def test_weights_reach_off_the_round_end_of_a_wider_web(rebuilt: Design, width, at, radius) -> None:
    """Of 10 mm each, their middles less than 10 mm apart: then the weight lies on it, from 0.05 mm beyond."""
    webs = (replace(rebuilt.cranks.webs[0], at=at * MM), rebuilt.cranks.webs[1])
    object.__setattr__(design := replace(rebuilt), "cranks", replace(rebuilt.cranks, webs=webs))
    weights = replace(rebuilt.counterweights, at=-11 * MM, on="web 1")
    object.__setattr__(design, "counterweights", weights)
    edits = list(stepped.off_the_webs(design, [0], width * MM))
    assert [each.value for each in edits] == ([] if radius is None else [pytest.approx(radius * MM)])
    assert not list(stepped.off_the_webs(replace(rebuilt, counterweights=None), [0], 30 * MM))


# Places


def places(design: Design, number: int) -> list[float]:
    found = offered(design, f"place of bearing {number}")
    for shown, edits in found.items():
        value = float(shown.removesuffix(" mm")) * MM
        assert edits[f"shafts.bearings.{number - 1}.at"] == pytest.approx(value)
    return [float(shown.removesuffix(" mm")) for shown in found]


def test_bearings_move_by_millimetres_clear_of_what_turns_and_of_each_other(rebuilt: Design) -> None:
    """Half a millimetre beside: the web's end is at -5 mm, the bearings 4 mm to each side, 8 mm for the wheel."""
    assert places(rebuilt, 1) == [1, 2, 3, 4, 5, 6, 8, 10, 12, 15, 20]
    assert places(rebuilt, 2) == [31, 29, 32, 28, 33, 27, 34, 26, 35, 25, 36, 24, 38, 22, 20, 18, 15, 10]
    assert dials(rebuilt)["place of bearing 2"].levels[0].work.make == (("bearing plate", 1),)


@pytest.mark.parametrize(
    ("pair", "least"),
    [
        (("thickness: 10 mm, width: 18 mm", "thickness: 12.9 mm, width: 18 mm"), 1),  # it ends at -3.55 mm
        (("thickness: 10 mm, width: 18 mm", "thickness: 13 mm, width: 18 mm"), 1),
        (("thickness: 10 mm, width: 18 mm", "thickness: 13.1 mm, width: 18 mm"), 2),
        (("material: steel\n  thickness: 10 mm", "material: steel\n  thickness: 12.9 mm"), 1),
        (("material: steel\n  thickness: 10 mm", "material: steel\n  thickness: 13.1 mm"), 2),
    ],
)
def test_a_thicker_web_or_weight_keeps_a_bearing_off(pair: tuple[str, str], least: int) -> None:
    assert min(places(changed(pair), 1)) == least


def test_a_bearing_finds_all_its_width_on_the_shaft_and_its_own_side_of_a_throw(rebuilt: Design) -> None:
    bearings, shaft = rebuilt.shafts.bearings, rebuilt.shafts
    far = (bearings[0], replace(bearings[1], at=76 * MM))
    design = replace(rebuilt, flywheel=None, shafts=replace(shaft, bearings=far, plates=()))
    assert [each for each in places(design, 2) if each > 76] == [77, 78, 79]  # to 83 mm
    low = (replace(bearings[0], at=-9 * MM), bearings[1])
    clear = replace(rebuilt.cranks, webs=())
    design = replace(rebuilt, cranks=clear, counterweights=None, shafts=replace(shaft, bearings=low, plates=()))
    assert [each for each in places(design, 1) if each < -9] == [-10, -11]  # from -15 mm; the throw is at -21


def test_a_left_shaft_of_its_own_follows_where_its_bearing_stood_as_on_the_right() -> None:
    both = offered(changed(text=RHOMBIC), "place of bearing 2")
    every = {f"shafts.{left}{part}.1.at" for left in ("", "left.") for part in ("bearings", "plates")}
    assert set(next(iter(both.values()))) == every
    design = changed(text=RHOMBIC)
    left = design.shafts.left
    moved = replace(left, plates=(), bearings=(left.bearings[0], replace(left.bearings[1], at=23 * MM)))
    apart = replace(design, shafts=replace(design.shafts, left=moved))
    right = {"shafts.bearings.1.at", "shafts.plates.1.at"}
    assert set(next(iter(offered(apart, "place of bearing 2").values()))) == right


def with_plates(design: Design, *at: float, thickness: float = 8.0) -> Design:
    """Return the design with plates so thick, their middles at so many mm."""
    plates = tuple(replace(plate, at=place * MM, thickness=thickness * MM)
                   for plate, place in zip(design.shafts.plates, at, strict=True))  # fmt: skip
    return replace(design, shafts=replace(design.shafts, plates=plates))


def test_a_plate_goes_where_its_bearing_goes_and_one_that_is_not_its_own_stays(rebuilt: Design) -> None:
    found = offered(with_plates(rebuilt, 1, 30), "place of bearing 1")
    assert found["3 mm"] == pytest.approx({"shafts.bearings.0.at": 3e-3, "shafts.plates.0.at": 4e-3})
    assert set(offered(with_plates(rebuilt, -5, 30), "place of bearing 1")["3 mm"]) == {"shafts.bearings.0.at"}


def test_a_plate_beside_its_bearing_comes_back_under_half_of_it_or_all(rebuilt: Design) -> None:
    """Of bearings 8 mm wide at 0 and 30 mm, 4 mm must stand in 8 mm of plate: up to 4 mm off; in 5 mm up to 2.5 mm."""
    off = with_plates(rebuilt, -7, 36)
    middle = "in the middle of bearing"
    assert offered(off, "place of plate 1") == {"4 mm beside bearing 1": {"shafts.plates.0.at": -4 * MM},
                                                f"{middle} 1": {"shafts.plates.0.at": 0.0}}  # fmt: skip
    assert offered(off, "place of plate 2") == {"4 mm beside bearing 2": {"shafts.plates.1.at": 34 * MM},
                                                f"{middle} 2": {"shafts.plates.1.at": 30 * MM}}  # fmt: skip
    thin = offered(with_plates(rebuilt, 3, 36, thickness=5.0), "place of plate 1")
    assert list(thin) == ["2.5 mm beside bearing 1", f"{middle} 1"]
    assert list(offered(with_plates(rebuilt, 2, 30), "place of plate 1")) == [f"{middle} 1"]  # it may hold better
    assert not offered(rebuilt, "place of plate 1")
    dial = dials(off)["place of plate 1"]
    assert (dial.now, dial.aims) == ("7 mm beside bearing 1", ("in_plates",))
    # A bearing that moved first has it there.
    moved = replace(off.shafts.bearings[0], at=2 * MM)
    there = replace(off, shafts=replace(off.shafts, bearings=(moved, off.shafts.bearings[1])))
    assert [edit.value for edit in dial.levels[1].edits(there)] == [2 * MM]


def test_a_left_plate_follows_where_it_stood_as_on_the_right() -> None:
    design = changed(("- {at: 0 mm, thickness", "- {at: 6 mm, thickness"))
    same = replace(design, shafts=replace(design.shafts, left=spans._alone(design.shafts)))
    name, level = "place of plate 1", "in the middle of bearing 1"
    both = offered(same, name)[level]
    assert set(both) == {"shafts.plates.0.at", "shafts.left.plates.0.at"}
    other = replace(same.shafts.left, plates=with_plates(design, 5, 30).shafts.plates)
    apart = replace(same, shafts=replace(same.shafts, left=other))
    assert set(offered(apart, name)[level]) == {"shafts.plates.0.at"}


# Plates, clearance, metal, bushes, needles


def test_thicker_plates_take_seats_and_what_is_beside_them_along(rebuilt: Design) -> None:
    """Plates of 8 mm with 40 N/um: 12 mm is taken to give 50. The first one, 1 mm off the web, grows the other way."""
    found = offered(rebuilt, "bearing plates")
    assert list(found) == ["50 N/um (aluminium plate 12 mm; the low end for such a plate, the file gives 40 N/um)"]
    seat = "seat_stiffness: 40 N/um,\n"
    ranged, left_out = (dials(read_text(REDESIGN.replace(seat, each, 1)))["bearing plates"].now
                        for each in (seat.replace("40", "5..30"), "\n"))  # fmt: skip
    assert ranged == "5..30 N/um, 8 mm"
    assert left_out.startswith("none, for which ")
    (edits,) = found.values()
    assert edits == pytest.approx(
        {"shafts.bearings.0.seat_stiffness": 50e6, "shafts.bearings.1.seat_stiffness": 50e6,
         "shafts.plates.0.thickness": 12e-3, "shafts.plates.1.thickness": 12e-3, "shafts.plates.0.at": 1e-3}
    )  # fmt: skip
    dial = dials(rebuilt)["bearing plates"]
    assert (dial.now, dial.levels[0].work.make) == ("40 N/um, 8 mm", (("bearing plate", 2),))


def beside(design: Design, **changes: float) -> float | None:
    """Return where the first plate then stands, mm; None where it is."""
    (edits,) = offered(design, "bearing plates").values()
    return None if "shafts.plates.0.at" not in edits else edits["shafts.plates.0.at"] / MM


def test_a_plate_grows_to_the_side_that_has_room() -> None:
    """4 mm more, from -4 to 4 mm; the web ends at -5, the gears of 8 mm begin at 8 mm."""
    off = ("at: -10 mm, mass: 29.2 g", "at: -13 mm, mass: 29.2 g")
    far = ("at: [-10 mm, -47 mm] ", "at: -47 mm "), ("on: [web 1, pin] ", "on: pin ")
    assert beside(changed(("    at: 12 mm", "    at: 11 mm"))) == pytest.approx(1)  # 1 and 3 mm: just room
    assert beside(changed(("    at: 12 mm", "    at: 10.5 mm"))) is None  # too little on both sides together
    assert beside(changed(off, *far, ("    at: 12 mm", "    at: 9 mm"))) == pytest.approx(-1)
    assert beside(changed(off)) == pytest.approx(1)  # the weight's face is nearer than the web's
    assert beside(changed(off, *far)) is None  # 4 mm on each side
    near = changed()
    for gears in (None, replace(near.cranks.gears, face=None)):  # of no known face: only the web is near
        assert beside(replace(near, cranks=replace(near.cranks, gears=gears, load_on="both"))) == pytest.approx(1)
    # One wheel 1 mm off the second plate, on the left.
    wheel = changed(("at: 52 mm, left_at: 72 mm", "at: 72 mm, left_at: 44 mm"))
    (edits,) = offered(wheel, "bearing plates").values()
    assert edits["shafts.plates.1.at"] == pytest.approx(29e-3)


@pytest.mark.parametrize(("now", "levels"), [(30, ["35", "50"]), (34.9, ["35", "50"]), (35, ["50"]), (51, [])])
def test_a_plate_of_no_given_thickness_is_one_that_is_stiffer(rebuilt: Design, now: float, levels: list[str]) -> None:
    shaft = rebuilt.shafts
    bearings = (replace(shaft.bearings[0], seat_stiffness=now * 1e6), replace(shaft.bearings[1], seat_stiffness=60e6))
    design = replace(rebuilt, shafts=replace(shaft, plates=(), bearings=bearings))
    found = offered(design, "bearing plates")
    assert [each.split()[0] for each in found] == levels
    for edits in found.values():
        assert set(edits) == {"shafts.bearings.0.seat_stiffness"}  # the stiffer one stays as it is
    assert dials(design)["bearing plates"].now == f"{now:g} N/um"


def test_rigid_seats_stay_rigid_and_their_plates_may_be_thicker(rebuilt: Design) -> None:
    shaft = rebuilt.shafts
    rigid = tuple(replace(each, seat_stiffness=None) for each in shaft.bearings)
    design = replace(rebuilt, shafts=replace(shaft, bearings=rigid))
    dial = dials(design)["bearing plates"]
    assert (dial.now, [each.shown for each in dial.levels]) == ("8 mm", ["50 N/um (aluminium plate 12 mm)"])
    assert dial.paths == ("shafts.plates.*.thickness",)
    assert "bearing plates" not in dials(replace(rebuilt, shafts=replace(shaft, bearings=rigid, plates=())))
    thick = tuple(replace(each, thickness=12 * MM) for each in shaft.plates)
    design = replace(rebuilt, shafts=replace(shaft, plates=thick))
    assert not dials(design)["bearing plates"].levels  # a stiffness taken of a plate no thicker promises nothing


def test_clearance_is_taken_smaller_where_balls_have_a_usual_one_or_more(rebuilt: Design) -> None:
    found = offered(rebuilt, "bearings' clearance")
    assert found == {"C2": {"shafts.bearings.0.clearance": "C2", "shafts.bearings.1.clearance": "C2"}}
    assert dials(rebuilt)["bearings' clearance"].levels[0].work.buy == (("bearing", 4),)
    shaft = rebuilt.shafts
    one = (replace(shaft.bearings[0], clearance="C2"), replace(shaft.bearings[1], clearance=None))
    design = replace(rebuilt, shafts=replace(shaft, bearings=one))
    assert offered(design, "bearings' clearance") == {"C2": {"shafts.bearings.1.clearance": "C2"}}
    both = offered(changed(text=RHOMBIC), "bearings' clearance")["C2"]
    assert len(both) == 4


def test_shafts_may_be_of_the_other_ground_metal(rebuilt: Design) -> None:
    found = offered(rebuilt, "material of the shafts")
    assert {name: each["shafts.material"].name for name, each in found.items()} == {"hardened-steel": "hardened-steel"}
    assert dials(rebuilt)["material of the shafts"].levels[0].work.make == (("shaft", 2),)


BALL = """{at: 30 mm, ball: {bore: 10 mm, outside: 26 mm, width: 8 mm}, clearance: CN, seat_stiffness: 40 N/um,
       fit: 5 um, seat_fit: 8 um, held_by: glue}"""


@pytest.mark.parametrize(
    ("beside", "name"),
    [
        ("bush: {bore: 10 mm, length: 12 mm, play: 20 um}", "bush"),
        ("needle: {shaft: 10 mm, outside: 14 mm, width: 10 mm}", "needle bearing"),
    ],
)
def test_what_stands_beside_a_ball_bearing_is_bought_with_another_bore_alone(beside: str, name: str) -> None:
    """One of each on each of two shafts."""
    design = changed((BALL, f"{{at: 30 mm, {beside}, seat_stiffness: 40 N/um}}"))
    works = {each.shown: each.work for each in dials(design)["shafts with their bearings"].levels}
    same = next(work for shown, work in works.items() if shown.startswith("10 mm"))
    other = next(work for shown, work in works.items() if shown.startswith("8 mm"))
    assert dict(same.buy) == {"bearing": 2}
    assert dict(same.make)["bearing seat"] == 2
    assert dict(other.buy) == {"bearing": 2, name: 2}
    assert dials(design)["bearings' clearance"].levels[0].work.buy == (("bearing", 2),)


def test_bushes_are_longer_of_the_same_bore(rebuilt: Design) -> None:
    design = changed((BALL, "{at: 30 mm, bush: {bore: 10 mm, length: 12 mm, play: 20 um}, seat_stiffness: 40 N/um}"))
    assert offered(design, "bush 2") == {
        f"{each} mm": {"shafts.bearings.1.bush.length": pytest.approx(each * MM)} for each in (14, 15, 16, 20, 25)
    }
    assert dials(design)["bush 2"].levels[0].work.buy == (("bush", 2),)
    assert "bush 1" not in dials(design)
    assert "kind of bearing 1" not in dials(design)  # nothing else holds the shaft along it
    # Bushes alone say nothing of the ball bearing beside them.
    bushed = replace(rebuilt.shafts, bearings=(design.shafts.bearings[1], replace(design.shafts.bearings[1], at=0.0)))
    assert "shafts with their bearings" not in dials(replace(rebuilt, shafts=bushed))


def test_needles_run_on_a_hardened_shaft_of_the_same_diameter(rebuilt: Design) -> None:
    sold = NEEDLES[np.isclose(NEEDLES[:, 0], 10 * MM), :3]
    found = offered(rebuilt, "kind of bearing 2")
    assert len(found) == len(sold) > 0
    assert list(found) == [f"needle bearing {' x '.join(f'{each * 1e3:g}' for each in row)} mm"
                           for row in sorted(map(tuple, sold))]  # fmt: skip
    edits = next(iter(found.values()))
    needle = edits.pop("shafts.bearings.1.needle")
    assert (float(needle.shaft), float(needle.hardness)) == (pytest.approx(10e-3), 60)
    assert float(needle.speed_limit) == pytest.approx(10000 * np.pi / 30)
    assert edits.pop("shafts.material").name == "hardened-steel"
    assert edits == {"shafts.bearings.1.ball": None, "shafts.bearings.1.fit": "h6", "shafts.bearings.1.clearance": None,
                     "shafts.bearings.1.held_by": None, "shafts.bearings.1.seat_fit": "N6"}  # fmt: skip
    work = dials(rebuilt)["kind of bearing 2"].levels[0].work
    assert (work.make, work.buy) == ((("shaft", 2), ("bearing seat", 2)), (("needle bearing", 2),))


def test_needles_hold_nothing_along_the_shaft_and_a_shaft_of_another_size_wants_others(rebuilt: Design) -> None:
    shaft = rebuilt.shafts
    pushed = (shaft.bearings[0], replace(shaft.bearings[1], axial_load=5.0))
    design = replace(rebuilt, shafts=replace(shaft, bearings=pushed))
    assert "kind of bearing 1" in dials(design)
    assert "kind of bearing 2" not in dials(design)
    level = dials(rebuilt)["kind of bearing 2"].levels[0]
    thicker = changed(("{length: 88 mm, diameter: 10 mm}", "{length: 88 mm, diameter: 12 mm}"),
                      text=REDESIGN.replace("{bore: 10 mm, outside: 26 mm, width: 8 mm}",
                                            "{bore: 12 mm, outside: 28 mm, width: 8 mm}"))  # fmt: skip
    assert level.edits(thicker) == ()
    metal = "differs\n  material: silver-steel"
    hard = changed((metal, metal.replace("silver", "hardened")))
    assert hard.shafts.material.name == "hardened-steel"
    assert "shafts.material" not in offered(hard, "kind of bearing 2").popitem()[1]


def test_a_shaft_for_which_a_needle_bearing_is_not_made_is_passed_over() -> None:
    """Needle bearings are known for shafts of 10 and 12 mm, and for none of 32 mm."""
    ball = "{at: 30 mm, ball: {bore: 10 mm, outside: 26 mm, width: 8 mm}, clearance: CN, seat_stiffness: 40 N/um,\n"
    ball += "       fit: 5 um, seat_fit: 8 um, held_by: glue}"
    needle = "{at: 30 mm, needle: {shaft: 10 mm, outside: 14 mm, width: 10 mm}, seat_stiffness: 40 N/um}"
    found = offered(changed((ball, needle), stock="{shafts: [12 mm, 15 mm]}"), "shafts with their bearings")
    known = set((NEEDLES[:, 0]).round(4))
    assert 0.012 in known and 0.015 not in known
    assert all(bool(edits) == shown.startswith("12 mm") for shown, edits in found.items())
    assert {shown.split()[0] for shown in found} == {"12", "15"}


# How far apart the bearings stand, and where shafts end


def test_bearings_stand_farther_apart_with_all_that_is_there_or_beyond(rebuilt: Design) -> None:
    """Gears at 12 of 30 mm keep their share, to half a millimetre; walls that end at the plate go along."""
    name, floor = "span between bearings 1 and 2", "offset: [0 mm, -36 mm], z: [-50 mm, 40 mm]"
    found = offered(rebuilt, name)
    assert list(found) == [f"{30 + more} mm apart" for more in (2, 4, 6, 8, 10, 12, 16, 20)]
    for more, gears in ((2, 13), (20, 20)):
        assert found[f"{30 + more} mm apart"] == {
            "shafts.bearings.1.at": pytest.approx((30 + more) * MM),
            "shafts.plates.1.at": pytest.approx((30 + more) * MM),
            "shafts.segments.1.length": pytest.approx((88 + more) * MM), "flywheel.at": pytest.approx((52 + more) * MM),
            "flywheel.left_at": pytest.approx((72 + more) * MM), "cranks.gears.at": pytest.approx(gears * MM),
        }  # fmt: skip
    assert dials(rebuilt)[name].levels[0].work.make == (("shaft", 2),)
    for end, goes in ((39.9, True), (20.1, True), (19.9, False)):
        walled = changed((floor, floor.replace("40 mm", f"{end} mm")))
        wall = offered(walled, name)["32 mm apart"].get("walls.floor.z")
        assert (wall == pytest.approx((-50 * MM, (end + 2) * MM))) if goes else wall is None
        assert dials(walled)[name].levels[0].work.make == (("shaft", 2), ("floor of the case", 1))[: 1 + goes]
    inside = offered(changed(("left_at: 72 mm", "left_at: 30 mm")), name)["32 mm apart"]
    assert "flywheel.left_at" not in inside  # it stands there, not beyond


def test_bearings_on_both_sides_of_a_throw_stay_where_they_are() -> None:
    outboard = changed(("- {at: 0 mm, ball", "- {at: -60 mm, ball"), ("starts_at: -15 mm", "starts_at: -70 mm"),
                       ("{length: 88 mm", "{length: 143 mm"))  # fmt: skip
    assert not [each for each in dials(outboard) if each.startswith("span")]


def test_the_shaft_without_a_wheel_ends_2_mm_before_the_other_ones(rebuilt: Design) -> None:
    """From 52 mm half its 18 mm and 2 mm: at 41 mm, where the last length of 88 mm had ended at 83 mm."""
    assert "end of the left shaft" not in dials(rebuilt)  # it has one, too
    both = "{on: both, at: 52 mm, left_at: 72 mm,"
    for on, other, last in (("right", "left", "left"), ("left", "right", "")):
        one = changed((both, f"{{on: {on}, at: 52 mm,"))
        (edits,) = [each.edits(one) for each in dials(one)[f"end of the {other} shaft"].levels]
        if last:
            (left,) = edits
            assert [each.length / MM for each in left.value.segments] == pytest.approx([10, 46])
        else:
            left, own = edits
            assert own.keys == ("shafts", "segments", "1", "length")
            assert own.value == pytest.approx(46 * MM)
            assert [each.length / MM for each in left.value.segments] == pytest.approx([10, 88])
        assert left.keys == ("shafts", "left")
    for at, ends in ((45, 1), (44.5, 0)):  # its bearing reaches to 34 mm
        near = changed((both, f"{{on: right, at: {at} mm,"))
        assert len(dials(near)["end of the left shaft"].levels) == ends
