"""What may be done about flywheels, by hand from the engine as built and the stock.

A steel rim of 86 mm outside, 56 inside, 17 mm thick stands at 36.5 mm on the right one of two shafts of 5 mm, 48 mm
apart, from -17 to 42 mm; their bearings at 0 and 24 mm, the gears at 12, the throws at -27 and -46 mm.
"""

from dataclasses import replace
from pathlib import Path

import pytest
from choices import dials_of, offered_of

from designs.counsel.free import wheel
from designs.design import Design
from designs.reading import read_text

DESIGNS = Path(__file__).parents[2] / "designs"
BUILT = (DESIGNS / "as-built.yaml").read_text("utf-8")
REBUILT = (DESIGNS / "redesign.yaml").read_text("utf-8")
MM = 1e-3
RIM = 86**4 - 56**4


dials, offered = dials_of(wheel), offered_of(wheel)


@pytest.fixture(scope="module")
def built() -> Design:
    return read_text(BUILT)


@pytest.fixture(scope="module")
def rebuilt() -> Design:
    return read_text(REBUILT)


def with_wheel(design: Design, **changes: object) -> Design:
    return replace(design, flywheel=replace(design.flywheel, **changes))


def test_a_disc_from_stock_has_more_inertia_and_passes_the_other_shafts_end(built: Design) -> None:
    """Inertia as D^4 t; more than 10 mm past the last bearing: a radius of 1.5 times 48 mm."""
    discs = [each for each in offered(built, "flywheel") if "disc" in each]
    by_hand = [f"steel disc {wide} mm x {thick} mm" for wide in (40, 50, 60, 70, 80, 90, 100, 110, 120, 140)
               for thick in (8, 10, 12, 15, 16, 20) if wide**4 * thick > RIM * 17]  # fmt: skip
    assert discs == by_hand
    assert discs[0] == "steel disc 80 mm x 20 mm"
    disc = offered(built, "flywheel")["steel disc 80 mm x 20 mm"]["flywheel"]
    assert [float(each) / MM for each in (disc.diameter, disc.inside, disc.thickness)] == pytest.approx([80, 0, 20])
    assert float(disc.at) == pytest.approx(38e-3)  # its face toward the bearings stays where it is
    assert (disc.inertia, float(disc.mass), disc.material.name, disc.on) == (None, 0.0, "steel", "right")


@pytest.mark.parametrize(("at", "largest"), [(34.1, 140), (33.9, 80), (-55.9, 80), (-56.1, 140)])
def test_a_wheel_is_as_large_as_the_other_shaft_that_passes_it_lets_it_be(built: Design, at, largest) -> None:
    """Between 10 mm before the first throw and 10 mm beyond the last bearing: 48 - 2.5 - 2 mm of radius, 87 mm."""
    design = with_wheel(built, at=at * MM, thickness=5 * MM)
    assert max(int(each.split()[2]) for each in offered(design, "flywheel") if "disc" in each) == largest


def test_the_gears_need_the_other_shaft_too(built: Design) -> None:
    gears = replace(built.cranks.gears, at=30 * MM)
    design = replace(with_wheel(built, thickness=5 * MM), cranks=replace(built.cranks, gears=gears))
    assert max(int(each.split()[2]) for each in offered(design, "flywheel") if "disc" in each) == 80
    none = replace(with_wheel(built, thickness=5 * MM), cranks=replace(built.cranks, gears=None, load_on="both"))
    assert max(int(each.split()[2]) for each in offered(none, "flywheel") if "disc" in each) == 140


def test_a_thicker_wheel_grows_away_from_the_bearings(built: Design) -> None:
    found = offered(built, "flywheel")["1.5 times as thick"]
    assert found == pytest.approx({"flywheel.thickness": 25.5e-3, "flywheel.at": 40.75e-3})
    other = with_wheel(built, at=-40 * MM)  # on the crank's side
    assert offered(other, "flywheel")["1.5 times as thick"]["flywheel.at"] == pytest.approx(-44.25e-3)
    given = with_wheel(built, inertia=6e-4, mass=0.4, thickness=None, material=None)
    assert offered(given, "flywheel")["1.25 times as thick"] == pytest.approx(
        {"flywheel.inertia": 7.5e-4, "flywheel.mass": 0.5}
    )
    assert "flywheel on longer shafts" not in dials(given)
    assert dials(built)["flywheel"].levels[0].work.make == (("flywheel", 1),)


def test_of_two_wheels_the_outer_one_moves_by_what_both_grow(rebuilt: Design) -> None:
    """Of 18 mm at 52 and 72 mm: 9 mm more each; the outer one goes by 1.5 times that, whichever hand it is on."""
    found = offered(rebuilt, "flywheel")["1.5 times as thick"]
    assert found == pytest.approx(
        {"flywheel.thickness": 27e-3, "flywheel.at": 56.5e-3, "flywheel.left_at": 85.5e-3}, abs=1e-6
    )
    turned = with_wheel(rebuilt, at=72 * MM, left_at=52 * MM)
    found = offered(turned, "flywheel")["1.5 times as thick"]
    assert (found["flywheel.at"], found["flywheel.left_at"]) == pytest.approx((85.5e-3, 56.5e-3))
    assert dials(rebuilt)["flywheel"].levels[0].work.make == (("flywheel", 2),)
    beside = offered(with_wheel(rebuilt, at=60 * MM, left_at=60 * MM), "flywheel")["1.5 times as thick"]
    assert (beside["flywheel.at"], beside["flywheel.left_at"]) == pytest.approx((64.5e-3, 64.5e-3))
    alone = with_wheel(rebuilt, on="right")
    assert set(offered(alone, "flywheel")["1.5 times as thick"]) == {"flywheel.thickness", "flywheel.at"}


def test_shafts_get_longer_where_wheels_would_reach_farther_beyond_them(built: Design, rebuilt: Design) -> None:
    """As built the wheel reaches 3 mm beyond the end: 8.5 mm more of wheel, 8.5 mm more of shaft, as it was."""
    found = offered(built, "flywheel on longer shafts")
    assert found["1.5 times as thick"]["shafts.segments.0.length"] == pytest.approx(70.5e-3)
    # Rebuilt the last one ends at 81 mm, 2 mm within: 13.5 mm and half of 9 more reach to 99 mm.
    longer = offered(rebuilt, "flywheel on longer shafts")["1.5 times as thick"]
    assert longer["shafts.segments.1.length"] == pytest.approx((88 + 99 - 83) * MM)
    roomy = with_wheel(built, at=20 * MM, thickness=5 * MM)
    assert offered(roomy, "flywheel on longer shafts")["1.5 times as thick"] == {}  # it ends far within
    assert dials(built)["flywheel on longer shafts"].levels[0].work.make == (("flywheel", 1), ("shaft", 2))
    assert dials(rebuilt)["flywheel on longer shafts"].levels[0].work.make == (("flywheel", 2), ("shaft", 2))


def test_a_wheel_is_turned_down_to_a_rim_and_up_to_the_other_shaft(built: Design) -> None:
    """More than 1.1 times 56 mm and half its own; up to 90 mm, which leaves half a millimetre, where shafts pass.

    One that stands past all that the other shaft needs may be wider: up to 1.5 times the 48 mm between them.
    """
    down = [85, 84, 83, 82, 80, 78, 76, 74, 70, 66]
    assert list(offered(built, "diameter of the flywheel")) == [f"{each} mm" for each in down]
    assert dials(built)["diameter of the flywheel"].aims == ("clearance_wheels",)
    solid = with_wheel(built, inside=0.0)
    assert list(offered(solid, "diameter of the flywheel"))[-1] == "56 mm"
    small = with_wheel(built, inside=0.0, diameter=59 * MM)
    assert list(offered(small, "diameter of the flywheel"))[-1] == "34 mm"  # not 29
    large = with_wheel(built, inside=0.0, diameter=150 * MM)
    assert list(offered(large, "diameter of the flywheel"))[-2:] == ["120 mm", "87 mm"]  # 2 mm off the other shaft
    beside = with_wheel(built, at=20 * MM)
    assert list(offered(beside, "larger flywheel")) == ["87 mm", "88 mm", "89 mm", "90 mm"]
    wide = [87, 88, 89, 90, 92, 94, 96, 98, 102, 106, 111, 116]
    assert list(offered(built, "larger flywheel")) == [f"{each} mm" for each in wide]
    assert list(offered(with_wheel(built, diameter=130 * MM), "larger flywheel"))[-1] == "142 mm"
    assert offered(built, "larger flywheel")["88 mm"] == {"flywheel.diameter": pytest.approx(88e-3)}
    given = with_wheel(built, inertia=6e-4, mass=0.4)
    assert offered(given, "larger flywheel")["90 mm"] == pytest.approx(
        {"flywheel.diameter": 90e-3, "flywheel.inertia": 6e-4 * (90**4 - 56**4) / RIM,
         "flywheel.mass": 0.4 * (90**2 - 56**2) / (86**2 - 56**2)}, rel=2e-3)  # fmt: skip


def test_a_wheel_too_wide_to_pass_the_other_shaft_becomes_two_that_do(built: Design) -> None:
    """87 mm pass it; 100 x 17 mm from 28 to 45 mm become two from there on, 2 mm apart: the second at 55.5 mm.

    The shaft, which ended 3 mm within the wheel, then ends as far within the second one.
    """
    name, large = "two smaller flywheels, one behind the other", with_wheel(built, diameter=100 * MM)
    assert name not in dials(built)
    found = offered(large, name)
    assert list(found) == [
        "both, 87 mm across",
        *(f"both, 87 mm across, {each} times as thick" for each in (1.25, 1.5, 2)),
    ]
    first = found["both, 87 mm across"]
    assert (first["flywheel.on"], first["flywheel.diameter"]) == ("both", pytest.approx(87 * MM))
    assert (first["flywheel.at"], first["flywheel.left_at"]) == pytest.approx((36.5 * MM, 55.5 * MM))
    thick = found["both, 87 mm across, 2 times as thick"]  # 28 to 62 and 64 to 98 mm
    assert thick["flywheel.thickness"] == pytest.approx(34 * MM)
    assert (thick["flywheel.at"], thick["flywheel.left_at"]) == pytest.approx((45 * MM, 81 * MM))
    end = float(built.shafts.ends_at)
    longer = thick["shafts.segments.0.length"] - float(built.shafts.segments[0].length)
    assert end + longer == pytest.approx(95 * MM)
    assert dials(large)[name].levels[0].work.make == (("flywheel", 2), ("shaft", 2))
    both = with_wheel(large, on="both", left_at=60 * MM)
    assert name not in dials(both)
    assert all(level.edits(both) == () for level in dials(large)[name].levels)
    for hollow, there in ((79.0, True), (79.2, False)):  # 1.1 times 79.1 mm are 87 mm
        assert (name in dials(with_wheel(large, inside=hollow * MM))) is there
    assert name not in dials(with_wheel(large, diameter=None, inertia=2e-3, mass=0.5))


def test_wheels_side_by_side_clear_each_other(built: Design) -> None:
    """Twice the radius and 2 mm: 46 mm of diameter between shafts 48 mm apart."""
    for wide, shown in ((45.9, "both"), (46.1, "both, the left one at 17.5 mm")):
        found = offered(with_wheel(built, diameter=wide * MM, inside=0.0), "shafts with a flywheel")
        assert list(found) == [shown]
    assert found["both, the left one at 17.5 mm"] == {"flywheel.on": "both", "flywheel.left_at": pytest.approx(17.5e-3)}


def test_a_second_wheel_stands_before_or_behind_the_first_on_the_shaft(built: Design) -> None:
    """19 mm off; with 8.5 mm to each side on a shaft from -20 to 42 mm."""

    def shown(at: float) -> list[str]:
        return list(offered(with_wheel(built, at=at * MM), "shafts with a flywheel"))

    assert shown(14.4) == ["both, the left one at 33.4 mm", "both, the left one at -4.6 mm"]
    assert shown(14.6) == ["both, the left one at -4.4 mm"]
    assert shown(7.6) == ["both, the left one at 26.6 mm", "both, the left one at -11.4 mm"]
    assert shown(7.4) == ["both, the left one at 26.4 mm"]


@pytest.mark.parametrize(
    ("changes", "two"),
    [
        ({"diameter": 86.9 * MM}, True),  # 48 - 2.5 - 2 mm of radius
        ({"diameter": 87.1 * MM}, False),
        ({"diameter": None, "inside": 0.0, "material": None, "inertia": 0.0435**2 * 0.4 * 0.99, "mass": 0.4}, True),
        ({"diameter": None, "inside": 0.0, "material": None, "inertia": 0.0435**2 * 0.4 * 1.01, "mass": 0.4}, False),
        ({"diameter": None, "inside": 0.0, "material": None, "inertia": 1.0}, True),  # of no known mass: nothing tells
    ],
)
def test_a_wheel_that_strikes_the_other_shaft_is_not_doubled_as_it_is(built: Design, changes: dict, two: bool) -> None:
    """What is no wider than its radius of gyration is not known to be wider."""
    design = with_wheel(built, at=14 * MM, **changes)
    assert bool(offered(design, "shafts with a flywheel")) is two


def test_two_wheels_in_place_of_one_are_made_where_they_clear_the_shaft_itself(built: Design) -> None:
    """45.5 mm from the other shaft's middle to its face; (17 - 2) / 2 mm each, and not under 4 mm."""
    for wide, there in ((90.9, True), (91.1, False)):
        assert ("two flywheels in the place of one" in dials(with_wheel(built, diameter=wide * MM))) is there
    assert "two flywheels in the place of one" not in dials(with_wheel(built, left_at=60 * MM))
    name = "two flywheels in the place of one"
    for thick, shown in ((17, ["both, each 7.5 mm thick"]), (10.1, ["both, each 4 mm thick"]), (9.9, [])):
        assert list(offered(with_wheel(built, thickness=thick * MM), name)) == shown
    given = with_wheel(built, inertia=6e-4, mass=0.4)
    halves = offered(given, name)["both, each 7.5 mm thick"]
    assert (halves["flywheel.inertia"], halves["flywheel.mass"]) == pytest.approx(
        (6e-4 * 7.5 / 17, 0.4 * 7.5 / 17), rel=3e-3
    )
    assert (halves["flywheel.at"], halves["flywheel.left_at"]) == pytest.approx((31.75e-3, 41.25e-3))
    assert dials(built)[name].levels[0].work.make == (("flywheel", 2),)
    longer = offered(built, "two flywheels on longer shafts")["both, one behind the other"]
    assert longer == {"flywheel.on": "both", "flywheel.left_at": pytest.approx(55.5e-3),
                      "shafts.segments.0.length": pytest.approx(81e-3)}  # fmt: skip
    assert dials(built)["two flywheels on longer shafts"].levels[0].work.make == (("flywheel", 1), ("shaft", 2))


def test_a_wheel_where_there_is_none_stands_at_the_shafts_end(built: Design) -> None:
    """6 mm within; up to 87 mm of diameter."""
    found = offered(replace(built, flywheel=None), "flywheel")
    assert list(found) == [f"steel disc {wide} mm x {thick} mm" for wide in (40, 50, 60, 70, 80)
                           for thick in (8, 10, 12, 15, 16, 20)]  # fmt: skip
    disc = found["steel disc 60 mm x 12 mm"]["flywheel"]
    assert (disc.on, float(disc.at), float(disc.diameter)) == ("right", pytest.approx(36e-3), pytest.approx(60e-3))


def test_a_value_of_a_wheel_that_another_change_took_away_changes_nothing(built: Design, rebuilt: Design) -> None:
    gone = replace(built, flywheel=None)
    for dial in dials(built).values():
        for level in dial.levels:
            assert level.edits(gone) == ()
    second = dials(with_wheel(built, at=14 * MM))
    for name in ("shafts with a flywheel", "two flywheels in the place of one", "two flywheels on longer shafts"):
        assert second[name].levels[0].edits(rebuilt) == ()  # which has two already
    by_inertia = with_wheel(built, inertia=6e-4, thickness=None)
    assert second["two flywheels in the place of one"].levels[0].edits(by_inertia) == ()
    assert second["two flywheels on longer shafts"].levels[0].edits(by_inertia) == ()
