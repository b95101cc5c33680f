"""What may be done about counterweights, by hand from the rebuilt engine's file and the stock.

Its planes stand at -10 and -47 mm, 10 mm thick; rods of 4 mm at -21 and -39 mm; webs of 10 and 6 mm at -10 and -30 mm.
"""

from dataclasses import replace
from pathlib import Path

import pytest
from choices import dials_of, edits_of

from designs.counsel.dial import Work
from designs.counsel.free import weights
from designs.design import Design
from designs.reading import read_text

REDESIGN = (Path(__file__).parents[2] / "designs" / "redesign.yaml").read_text("utf-8")
TWO_PLANES, TWO_CARRIERS = "  at: [-10 mm, -47 mm] ", "  on: [web 1, pin] "
MM = 1e-3


def changed(*pairs: tuple[str, str], stock: str = "") -> Design:
    text = REDESIGN
    for old, new in pairs:
        assert text.count(old) == 1, old
        text = text.replace(old, new)
    return read_text(text + (f"\nstock: {stock}\n" if stock else ""))


def one_plane(at: str, on: str, *pairs: tuple[str, str]) -> Design:
    return changed((TWO_PLANES, f"  at: {at} "), (TWO_CARRIERS, f"  on: {on} "), *pairs)


dials = dials_of(weights)


def offered(design: Design, name: str) -> list[tuple[str, dict[str, object]]]:
    """Return the values of a choice in their order, with the entries that each changes."""
    return [(each.shown, edits_of(each, design))
            for each in dials(design)[name].levels]  # fmt: skip


def possible(design: Design, name: str) -> list[str]:
    """Return the values of a choice that can be made: others change nothing."""
    return [shown for shown, edits in offered(design, name) if edits]


@pytest.fixture(scope="module")
def rebuilt() -> Design:
    return changed()


def test_plates_of_its_own_metal_come_first_the_nearest_thickness_first(rebuilt: Design) -> None:
    shown = [each for each, _ in offered(rebuilt, "plate of the counterweights")]
    own, others = shown[:13], shown[13:]
    assert sorted(own) == sorted(f"steel {each} mm" for each in ("1", "1.5", "2", "2.5", 3, 4, 5, 6, 8, 12, 15, 16, 20))
    for part in (own, others):
        off = [abs(float(each.split()[1]) - 10) for each in part]
        assert off == sorted(off)
    assert others[:2] == ["brass 10 mm", "tungsten-alloy 10 mm"]
    assert len(others) == 12 + 10
    (work,) = {each.work for each in dials(rebuilt)["plate of the counterweights"].levels}
    assert (work.make, work.buy) == ((("counterweight", 4),), ())  # two planes of two
    assert "weight_screws" in dials(rebuilt)["plate of the counterweights"].aims  # what is thicker has more beside them


def test_a_plate_says_its_metal_only_where_that_changes(rebuilt: Design) -> None:
    levels = dict(offered(rebuilt, "plate of the counterweights"))
    assert levels["steel 8 mm"] == {"counterweights.thickness": pytest.approx(8e-3)}
    brass = levels["brass 8 mm"]
    assert brass["counterweights.material"].name == "brass"
    assert brass["counterweights.thickness"] == pytest.approx(8e-3)


def test_no_plate_grows_into_a_rod() -> None:
    """8 mm from the middle of a rod of 4 mm, and half a millimetre between: 11 mm and no more."""
    design = changed(stock="{plates: {steel: [9.5 mm, 11 mm, 11.2 mm]}}")
    assert possible(design, "plate of the counterweights") == ["steel 9.5 mm", "steel 11 mm"]
    thick = changed(("thickness: 4 mm,\n          yoke_pin: {diameter: 4 mm, held: both ends, wall: 3.5 mm, "
                     "material: silver-steel}}\n    parts: {yoke: 24 g, displacer",
                     "\n          yoke_pin: {diameter: 4 mm, held: both ends, wall: 3.5 mm, "
                     "material: silver-steel}}\n    parts: {yoke: 24 g, displacer"),
                    stock="{plates: {steel: [9 mm, 10.8 mm, 11.2 mm]}}")  # fmt: skip
    assert thick.yokes["displacer"].rod.thickness is None  # 4 mm then
    assert possible(thick, "plate of the counterweights") == ["steel 10.8 mm", "steel 9 mm"]


def test_a_plate_in_a_rods_plane_already_may_only_get_thinner() -> None:
    design = one_plane("-39 mm", "pin")
    assert possible(design, "plate of the counterweights")
    own = [each for each in possible(design, "plate of the counterweights") if each.startswith("steel")]
    assert all(float(each.split()[1]) < 10 for each in own)
    assert len(own) == 9


def test_weights_reach_as_far_as_their_mirror_images_allow(rebuilt: Design) -> None:
    """Shafts 52 mm apart, 1 mm between them: 25.5 mm; and 2 mm of plate at least."""
    name = "reach of the counterweights"
    steps = [25.5, 24.5, 24, 23.5, 23, 22, 21, 20]
    assert offered(rebuilt, name) == [
        (f"{each:g} mm", {"counterweights.largest_radius": pytest.approx(each * MM)}) for each in steps
    ]
    for least, left in ((21.45, 4), (21.55, 3)):
        near = changed(("smallest_radius: 9.05 mm ", f"smallest_radius: {least} mm "))
        assert [shown for shown, _ in offered(near, name)] == [f"{each:g} mm" for each in steps[:left]]
    narrow = replace(rebuilt, cranks=replace(rebuilt.cranks, centre_distance=51.7 * MM, gears=None, load_on="both"))
    assert offered(narrow, name)[0][0] == "24.5 mm"  # up to 25.35 mm
    meet = changed(("largest_radius: 25 mm", "largest_radius: 34 mm"))
    meeting = [25.5, 25, 24.5, 24, 23.5, 22.5, 21.5, 20.5]
    assert [shown for shown, _ in offered(meet, name)] == [f"{each:g} mm" for each in meeting]


def test_planes_move_singly_clear_of_rods_or_to_what_carries_them(rebuilt: Design) -> None:
    """7.5 mm from a rod's middle; by 1 to 8 mm, and to webs, pin and shaft farther off, half a millimetre within."""
    shown = [each for each, _ in offered(rebuilt, "place of the counterweights")]
    steps = [sign * count for count in (1, 2, 3, 4, 5, 6, 8) for sign in (1, -1)]
    first = [f"[{-10 + each} mm, -47 mm]" for each in steps]
    second = [f"[-10 mm, {-47 + each} mm]" for each in steps]
    carried = ["[-22.5 mm, -47 mm]", "[-39.5 mm, -47 mm]", "[-10 mm, -14.5 mm]", "[-10 mm, -19.5 mm]",
               "[-10 mm, -37.5 mm]"]  # fmt: skip
    assert shown == [*first, *second, *carried]
    can = possible(rebuilt, "place of the counterweights")
    assert [each for each in can if each.endswith("-47 mm]")] == [each for each in first if int(each[1:4]) >= -13]
    assert [each for each in can if each.startswith("[-10 mm")] == [f"[-10 mm, {-47 - each} mm]" for each in
                                                                  (1, 2, 3, 4, 5, 6, 8)]  # fmt: skip


def test_a_single_plane_is_said_as_one_place() -> None:
    design = one_plane("-30 mm", "web 2")
    levels = dict(offered(design, "place of the counterweights"))
    assert levels["-29 mm"] == {"counterweights.at": pytest.approx(-29e-3)}
    assert levels["-28 mm"] == {}  # 7 mm from the inner rod
    # What carries it no farther off than single steps go is not told once more: the first web, 6.5 mm from -26 mm.
    assert "-19.5 mm" not in dict(offered(one_plane("-26 mm", "web 2"), "place of the counterweights"))
    assert dials(design)["plate of the counterweights"].levels[0].work.make == (("counterweight", 2),)


def test_a_second_plane_stands_at_webs_on_the_pins_end_or_beyond_it() -> None:
    """The first web carries the plane at -10 mm; the pin of 12 mm at -39 mm ends at -45 mm."""
    design = one_plane("-10 mm", "web 1")
    pairs = offered(design, "place of the counterweights")[:3]
    on = {at: edits.get("counterweights.on") for at, edits in pairs}
    assert on == {"[-10 mm, -30 mm]": ("web 1", "web 2"), "[-10 mm, -46.5 mm]": ("web 1", "pin"),
                  "[-10 mm, -51 mm]": None}  # fmt: skip
    assert dials(design)["place of the counterweights"].levels[0].work.make == (("counterweight", 4),)


def test_a_second_plane_on_shaft_and_web_alike_is_carried_by_what_is_nearer() -> None:
    """Beyond the inner pin, which ends at -15 mm: -9 mm, in the first web that lies on the shaft."""
    second = dict(offered(one_plane("-30 mm", "web 2"), "place of the counterweights"))
    assert second["[-30 mm, -10 mm]"]["counterweights.on"] == ("web 2", "web 1")
    assert second["[-30 mm, -9 mm]"]["counterweights.on"] == ("web 2", "web 1")
    bare = "thickness: 10 mm, width: 18 mm, inertia: 3.0e-6 kg m^2,\n       joint: {kind: pressed, length: 10 mm, "
    design = one_plane("-30 mm", "web 2", (bare, "width: 18 mm, inertia: 3.0e-6 kg m^2,\n       joint: {kind: pressed, "
                                                 "length: 10 mm, "))  # fmt: skip
    second = dict(offered(design, "place of the counterweights"))
    assert second["[-30 mm, -10 mm]"]["counterweights.on"] == ("web 2", "shaft")
    design = one_plane("-30 mm", "web 2")
    shaft = design.shafts
    segments = (shaft.segments[0], replace(shaft.segments[1], length=30 * MM))
    bearings = (shaft.bearings[0], replace(shaft.bearings[1], at=20 * MM))
    short = replace(shaft, segments=segments, bearings=bearings, plates=())  # it ends at 25 mm, its middle at 5
    second = dict(offered(replace(design, shafts=short, flywheel=None), "place of the counterweights"))
    assert second["[-30 mm, -9 mm]"]["counterweights.on"] == ("web 2", "web 1")


def test_screws_are_more_or_thicker(rebuilt: Design) -> None:
    """Two M3 now, in each of the two weights that webs carry: those on the pins are held by its press fit."""
    found = dials(rebuilt)["screws of the counterweights"].levels
    assert [each.shown for each in found] == ["2 x M4", "2 x M5", "2 x M6", "3 x M3", "3 x M4", "3 x M5", "3 x M6",
                                              "4 x M3", "4 x M4", "4 x M5", "4 x M6"]  # fmt: skip
    assert [each.work.buy for each in found][::4] == [(("screw", 4),), (("screw", 6),), (("screw", 8),)]
    on_webs = dials(changed(("on: [web 1, pin]", "on: web 1"), ("at: [-10 mm, -47 mm]", "at: -10 mm")))
    assert on_webs["screws of the counterweights"].levels[0].work.buy == (("screw", 4),)
    on_both = dials(changed(("on: [web 1, pin]", "on: [web 1, web 2]")))["screws of the counterweights"].levels
    assert on_both[0].work.buy == (("screw", 8),)
    levels = dict(offered(rebuilt, "screws of the counterweights"))
    assert levels["2 x M5"] == {"counterweights.screws.size": "M5"}
    assert levels["3 x M3"] == {"counterweights.screws.number": 3}
    assert levels["3 x M4"] == {"counterweights.screws.size": "M4", "counterweights.screws.number": 3}
    three = changed(
        ("screws: {size: M3, property_class: 8.8, number: 2", "screws: {size: M4, property_class: 8.8, number: 3")
    )
    assert possible(three, "screws of the counterweights") == ["3 x M5", "3 x M6", "4 x M4", "4 x M5", "4 x M6"]


@pytest.mark.parametrize(
    ("now", "longer"),
    [
        (4.5, (5, 6, 8, 10, 12)),
        (4, (5, 6, 8, 10, 12)),
        (1.5, (3, 4, 5, 6)),
        (3.9, (4, 5, 6, 8, 10)),
        (5.5, (6, 8, 10, 12, 16)),
    ],
)
def test_thread_goes_up_to_three_times_as_deep_and_6_mm_at_least(now: float, longer: tuple[int, ...]) -> None:
    design = changed(("engagement: 4.5 mm", f"engagement: {now} mm"))
    name = "thread of the counterweights' screws"
    assert offered(design, name) == [
        (f"{each} mm", {"counterweights.screws.engagement": pytest.approx(each * MM)}) for each in longer
    ]
    assert dials(design)[name].levels[0].work.buy == (("screw", 4),)


def test_thread_goes_down_to_a_third_and_half_a_diameter_at_least() -> None:
    """From 4.5 mm of M3: no less than 1.5 mm, by half millimetres first; new screws are bought, nothing is made."""
    name = "shorter thread of the counterweights' screws"
    assert [words for words, _ in offered(changed(), name)] == [f"{each} mm" for each in (4, 3.5, 3, 2.5, 1.5)]
    assert dials(changed())[name].levels[0].work == Work(buy=(("screw", 4),))
    assert "weight_screws" in dials(changed())[name].aims
    least = changed(("engagement: 4.5 mm", "engagement: 7.5 mm"))
    assert possible(least, name)[-1] == "3.5 mm"  # 8 mm less is none, 6 mm less is less than a third


def test_weights_begin_where_their_web_ends() -> None:
    """A web of 18 mm ends 9 mm from the shaft; 9.05 mm is a shim above it. What is screwed to its face has no seat."""
    name, radius = "seat of the counterweights", "smallest_radius: 9.05 mm"
    low, high = (changed((radius, f"smallest_radius: {each} mm")) for each in (8.5, 9.6))
    for design in (low, high):
        assert offered(design, name) == [("9.05 mm", {"counterweights.smallest_radius": pytest.approx(9.05 * MM)})]
        assert dials(design)[name].levels[0].work.make == (("counterweight", 4),)
    assert name not in dials(changed())
    assert name not in dials(
        changed((radius, "smallest_radius: 9.6 mm"), ("arrangement: tension", "arrangement: shear"))
    )


def test_bolts_stay_within_the_plate() -> None:
    """Holes of 3.2 mm between 9.05 and 25 mm: from 10.65 to 23.4 mm, by half millimetres."""
    bolts = "shape: {kind: sector, bolts: {number: 2, diameter: 3.2 mm, radius: 20 mm, pitch: 32 deg}}"
    design = changed(("shape: {kind: sector}", bolts))
    radii = [19.5, 20.5, 19, 21, 18.5, 21.5, 18, 22, 17, 23, 16, 15]
    assert offered(design, "bolt circle of the counterweights") == [
        (f"{each:g} mm", {"counterweights.shape.bolts.radius": pytest.approx(each * MM)}) for each in radii
    ]
    inner = changed(("shape: {kind: sector}", bolts.replace("radius: 20 mm", "radius: 12.5 mm")))
    assert min(float(each.split()[0]) for each in possible(inner, "bolt circle of the counterweights")) == 11


def test_trims_are_more_than_there_is_and_the_counterweights_follow(rebuilt: Design) -> None:
    found = dict(offered(rebuilt, "trim on the piston yoke"))
    grams = (10, 20, 30, 50, 70, 100, 150)
    assert list(found) == [f"at most {each} g" for each in grams]
    assert [1e3 * each["counterweights.trims.piston"].at_most for each in found.values()] == pytest.approx(grams)
    made = (("counterweight", 4), ("trim on the piston yoke", 1))
    assert dials(rebuilt)["trim on the piston yoke"].levels[0].work.make == made
    trimmed = changed(("  shape: {kind: sector}", "  shape: {kind: sector}\n  trims: {piston: {at_most: 20 g}}"))
    assert offered(trimmed, "trim on the piston yoke") == [
        (f"at most {each} g", {"counterweights.trims.piston.at_most": pytest.approx(each * 1e-3)}) for each in grams[2:]
    ]
    assert dials(trimmed)["trim on the piston yoke"].now == "20 g"


def test_weights_that_are_only_proposed_may_be_fitted_and_trims_make_none(rebuilt: Design) -> None:
    proposed = changed(("fitted: yes ", "fitted: no "))
    assert offered(proposed, "counterweights")[0] == ("fitted", {"counterweights.fitted": True})
    assert dials(proposed)["counterweights"].levels[0].work.make == (("counterweight", 4),)
    assert dials(proposed)["trim on the piston yoke"].levels[0].work.make == (("trim on the piston yoke", 1),)
    assert "counterweights" not in dials(rebuilt)


def test_weights_that_are_only_proposed_may_be_fitted_larger_of_a_dear_metal_last() -> None:
    """Mirrored ones reach 25.5 mm; 10 mm of steel have 78.5 kg/m^2, of brass 85, 4 mm of tungsten less than 76."""
    sold = "{plates: {steel: [8 mm, 12 mm], brass: [10 mm], tungsten-alloy: [4 mm, 6 mm]}}"
    found = offered(changed(("fitted: yes ", "fitted: no "), stock=sold), "counterweights")
    far = ", reaching 25.5 mm"
    larger = ["", far, ", of brass 10 mm", ", of steel 12 mm", f", of brass 10 mm{far}", f", of steel 12 mm{far}"]
    larger += [", of tungsten-alloy 6 mm", f", of tungsten-alloy 6 mm{far}"]
    assert [shown for shown, _ in found] == [f"fitted{each}" for each in larger]
    fit, reach = {"counterweights.fitted": True}, {"counterweights.largest_radius": pytest.approx(25.5 * MM)}
    assert [edits for _, edits in found[:2]] == [fit, fit | reach]
    assert [edits for _, edits in (found[3], found[5])] == [{}, {}]  # 12 mm stand in a rod's way
    metal = found[2][1].pop("counterweights.material")
    assert metal.name == "brass"
    assert found[2][1].items() <= found[4][1].items()
    assert found[4][1]["counterweights.largest_radius"] == reach["counterweights.largest_radius"]


def bare(*pairs: tuple[str, str]) -> Design:
    """Return the engine without counterweights."""
    start, end = REDESIGN.index("counterweights:"), REDESIGN.index("flywheel: ")
    text = REDESIGN[:start] + REDESIGN[end:]
    for old, new in pairs:
        assert text.count(old) == 1, old
        text = text.replace(old, new)
    return read_text(text)


def test_new_weights_stand_at_each_web_and_at_the_outermost_two() -> None:
    """On the wider web's end, 9.05 mm, up to 1 mm from the middle; six thicknesses of each of three metals."""
    levels = offered(bare(), "counterweights")
    assert len(levels) == 3 * 18
    places = [shown.split(" at ")[1] for shown, _ in levels[::18]]
    assert places == ["-30 mm", "-10 mm", "[-30 mm, -10 mm]"]
    assert [shown.split(" at ")[0] for shown, _ in levels[:18]] == [
        f"{name} {each} mm" for name in ("steel", "brass", "tungsten-alloy") for each in (4, 5, 6, 8, 10, 12)
    ]
    block = levels[-1][1]["counterweights"]
    assert (block.smallest_radius, block.largest_radius) == (pytest.approx(9.05e-3), pytest.approx(25e-3))
    assert (block.fitted, block.material.name, float(block.thickness)) == (True, "tungsten-alloy", pytest.approx(12e-3))
    assert (block.screws.size, block.screws.number, block.screws.engagement) == ("M3", 2, pytest.approx(3e-3))
    works = [each.work for each in dials(bare())["counterweights"].levels]
    assert (works[0].make, works[0].buy) == ((("counterweight", 2),), (("screw", 4),))
    assert (works[-1].make, works[-1].buy) == ((("counterweight", 4),), (("screw", 8),))


def test_new_weights_find_room_between_shaft_and_mirror_image_and_between_their_planes() -> None:
    width = "thickness: 10 mm, width: 18 mm"
    assert not possible(bare((width, "thickness: 10 mm, width: 46.1 mm")), "counterweights")
    assert possible(bare((width, "thickness: 10 mm, width: 45.7 mm")), "counterweights")
    narrow = bare(
        (width, "thickness: 10 mm, width: 13 mm"), ("thickness: 6 mm, width: 14 mm", "thickness: 6 mm, width: 13 mm")
    )
    assert offered(narrow, "counterweights")[0][1]["counterweights"].smallest_radius == pytest.approx(7e-3)  # a hub
    close = bare(("    - {at: -30 mm, mass: 21.1 g", "    - {at: -16.5 mm, mass: 21.1 g"))
    pairs = [shown for shown, _ in offered(close, "counterweights") if "[" in shown]
    assert {shown.split(" at ")[0].split()[1] for shown in pairs} == {"4", "5", "6"}
