"""What may be changed of the rebuilt engine, by hand from its file and the stock: each value, and what goes with it."""

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from designs.changing.edit import text
from designs.counsel.free import free_choices
from designs.design import Design
from designs.reading import read_text

REDESIGN = (Path(__file__).parents[2] / "designs" / "redesign.yaml").read_text("utf-8")
RHOMBIC = (Path(__file__).parents[2] / "designs" / "rhombic.yaml").read_text("utf-8")
MM = 1e-3
STEEL = 7850.0
ALUMINIUM = 2700.0


def offered(design: Design) -> dict[str, dict[str, dict[str, object]]]:
    """Return of every free choice its values, as shown, with the entries that each changes."""
    return {
        dial.name: {level.shown: {".".join(each.keys): each.value for each in level.edits(design)}
                    for level in dial.levels}
        for dial in free_choices(design)
    }  # fmt: skip


def of(text: str, name: str) -> dict[str, dict[str, object]]:
    return offered(read_text(text))[name]


def changed(*pairs: tuple[str, str]) -> str:
    text = REDESIGN
    for old, new in pairs:
        assert text.count(old) == 1, old
        text = text.replace(old, new)
    return text


@pytest.fixture(scope="module")
def found() -> dict[str, dict[str, dict[str, object]]]:
    return offered(read_text(REDESIGN))


def millimetres(levels: dict[str, dict[str, object]]) -> list[float]:
    return [float(shown.removesuffix(" mm")) for shown in levels]


def test_lengths_of_rods_go_by_the_stocks_step_either_way_the_nearest_first(found) -> None:
    steps = [*range(1, 11), 12, 14, 16, 18, 20, 30, 40, 60]
    for name, now in (("piston", 42.0), ("displacer", 65.2)):
        by_hand = [now + sign * 0.05 * count for count in steps for sign in (1, -1)]
        far = [now + sign * 0.05 * count for count in (80, 100, 120, 150, 200, 250, 300) for sign in (1, -1)]
        by_hand += [each for each in far if abs(each - now) <= 0.3 * now]
        assert max(by_hand) - now == pytest.approx(12.5 if name == "piston" else 15)
        levels = found[f"{name} rods"]
        assert millimetres(levels) == pytest.approx(by_hand)
        assert [each[f"yokes.{name}.rod.length"] for each in levels.values()] == pytest.approx(
            [each * MM for each in by_hand]
        )


def test_rods_that_become_much_longer_weigh_more_by_their_bar(found) -> None:
    """6 mm more of 24 mm2 of aluminium on the 6 g of 42 mm; the mass centre at the same share, inertia as m l^2."""
    assert set(found["piston rods"]["44 mm"]) == {"yokes.piston.rod.length"}
    mass = 6e-3 + 24e-6 * ALUMINIUM * 6 * MM
    by_hand = {
        "length": 48 * MM,
        "mass": mass,
        "cg": 18 * MM * 48 / 42,
        "inertia": 1.1e-6 * mass / 6e-3 * (48 / 42) ** 2,
    }
    assert found["piston rods"]["48 mm"] == pytest.approx(
        {f"yokes.piston.rod.{key}": each for key, each in by_hand.items()}, rel=4e-3
    )
    bare = read_text(REDESIGN.replace("section: 24 mm^2, material: aluminium, width: 8 mm, thickness: 4 mm,", ""))
    assert offered(bare)["piston rods"]["48 mm"]["yokes.piston.rod.mass"] == pytest.approx(6e-3 * 48 / 42, rel=4e-3)


def test_bars_of_rods_leave_enough_beside_the_pin_and_weigh_by_their_section(found) -> None:
    """Of 24 mm2 now, on a pin of 6 mm: from half to three times the section, and 8 mm wide at least."""
    levels = found["bar of the piston rods"]
    assert list(levels) == ["8 x 2 mm", "10 x 3 mm", "8 x 4 mm", "12 x 3 mm", "10 x 4 mm", "12 x 4 mm", "10 x 5 mm",
                            "12 x 5 mm", "12 x 6 mm"]  # fmt: skip
    keys = ("section", "width", "thickness", "mass", "inertia")
    by_hand = (36e-6, 12e-3, 3e-3, 9e-3, 1.65e-6)  # half as much again of 6 g and 1.1e-6 kg m2
    assert levels["12 x 3 mm"] == pytest.approx(
        {f"yokes.piston.rod.{key}": each for key, each in zip(keys, by_hand, strict=True)}
    )


def test_throws_and_phases_take_the_pins_mass_along(found) -> None:
    """A steel pin of 6 by 12 mm weighs 2.663 g of the 21.1 g of its web: 0.5 mm moves the web's centre by 0.063 mm."""
    assert millimetres(found["radius of the inner throw"]) == pytest.approx([9.1, 8.9, 9.2, 8.8, 9.3, 8.7, 9.5, 8.5])
    assert millimetres(found["radius of the outer throw"]) == pytest.approx(
        [12.1, 11.9, 12.2, 11.8, 12.3, 11.7, 12.5, 11.5]
    )
    pin, web = 3.14159265 / 4 * 0.006**2 * 0.012 * STEEL, 0.0211
    inner = found["radius of the inner throw"]["8.5 mm"]
    assert inner["cranks.throws.inner.radius"] == pytest.approx(8.5e-3)
    assert inner["cranks.webs.1.cg"] == pytest.approx((6.38e-3, 4.22e-3 - pin * 0.5e-3 / web), abs=6e-6)
    turned = found["phase of the outer throw"]
    assert list(turned) == [f"{90 + sign * count} deg" for count in (1, 2, 3, 5, 8, 10) for sign in (1, -1)]
    x, y = 12e-3 * (0.984807753 - 1), 12e-3 * -0.173648178  # by 10 degrees
    assert turned["100 deg"]["cranks.webs.1.cg"] == pytest.approx(
        (6.38e-3 + pin * x / web, 4.22e-3 + pin * y / web), abs=6e-6
    )
    assert "phase of the inner throw" not in found  # only phases between throws matter


def test_a_throw_that_moves_takes_the_webs_that_hold_its_pin_and_no_piece_is_counted_twice() -> None:
    """The rebuilt engine's web 1 joins shaft and inner pin, web 2 the inner and the outer one; two cranks.

    The rhombic drive's webs both hold the shaft, which the rebuilt engine's web 2 does not.
    """
    levels = {dial.name: dial.levels[0].work for dial in free_choices(read_text(REDESIGN))}
    inner, outer = (dict(levels[f"radius of the {name} throw"].make) for name in ("inner", "outer"))
    assert inner == {"web 1": 2, "web 2": 2, "inner crankpin": 2, "counterweight": 4}
    assert outer == {"web 2": 2, "outer crankpin": 2, "counterweight": 4}
    both = levels["radius of the outer throw"] + levels["width of web 2"]
    assert both.size == levels["radius of the outer throw"].size
    thick = RHOMBIC.replace("26 mm, diameter: 7 mm", "26 mm, diameter: 10 mm")
    one = REDESIGN.replace("{length: 10 mm, diameter: 8 mm}", "{length: 10 mm, diameter: 10 mm}")
    made = [{dial.name: dial.levels[0].work.make for dial in free_choices(read_text(text))}["shafts in the webs"]
            for text in (thick, one)]  # fmt: skip
    assert made == [(("shaft", 2), ("web 1", 2), ("web 2", 2)), (("shaft", 2), ("web 1", 2))]


def test_a_throw_never_shrinks_to_nothing() -> None:
    small = read_text(REDESIGN)
    throws = small.cranks.throws | {"inner": replace(small.cranks.throws["inner"], radius=0.2e-3)}
    offer = offered(replace(small, cranks=replace(small.cranks, throws=throws)))
    assert millimetres(offer["radius of the inner throw"]) == pytest.approx([0.3, 0.1, 0.4, 0.5, 0.7])


def test_crankpins_grow_with_the_rods_and_webs_that_leave_metal_beside_them() -> None:
    """Rods 10 mm wide leave 2 of it beside the pin up to 8 mm; it adds its mass where it stands.

    Thicker ones take along rods of wider bar, and webs; from 6 mm to two and a half times that.
    """
    text = REDESIGN.replace("width: 8 mm, thickness: 4 mm,", "width: 10 mm, thickness: 4 mm,")
    levels = of(text, "inner crankpin and rod eyes")
    assert list(levels) == ["7 mm", "8 mm", "10 mm", "12 mm"]
    assert [levels[each].get("yokes.piston.rod.width") for each in levels] == [None, None, 12e-3, 15e-3]
    added = 3.14159265 / 4 * (0.007**2 - 0.006**2) * 0.012 * STEEL
    grown = levels["7 mm"]
    assert grown["cranks.throws.inner.pin.diameter"] == pytest.approx(7e-3)
    assert grown["cranks.webs.1.mass"] == pytest.approx(0.0211 + added, abs=6e-6)
    along = (0.0211 * 4.22e-3 + added * 9e-3) / (0.0211 + added)
    assert grown["cranks.webs.1.cg"] == pytest.approx((6.38e-3 * 0.0211 / (0.0211 + added), along), abs=6e-6)


def test_a_wider_web_takes_counterweights_on_its_round_end_along() -> None:
    """They begin 9.05 mm out, on a web of 18 mm."""
    rebuilt = read_text(changed())
    wider = next(each for each in free_choices(rebuilt) if each.name == "width of web 1")
    assert {each.work.make for each in wider.levels} == {(("web 1", 2), ("counterweight", 4))}
    bare = replace(rebuilt, counterweights=None)
    wider = next(each for each in free_choices(bare) if each.name == "width of web 1")
    assert {each.work.make for each in wider.levels} == {(("web 1", 2),)}


def test_webs_of_wider_flat_weigh_what_their_plate_has_more_and_of_thicker_in_proportion(found) -> None:
    """Web 1 is 10 mm thick, its centres 9 mm apart: 2 R a + pi R^2 grows from 416.5 to 715.9 mm^2 about 4.5 mm."""
    assert list(found["width of web 1"]) == ["20 mm", "25 mm", "30 mm"]  # up to twice 18 mm
    assert list(found["width of web 2"]) == ["15 mm", "16 mm", "18 mm", "20 mm", "25 mm"]
    wide = dict(found["width of web 1"]["25 mm"])
    more = (715.874 - 416.469) * 10 * 7.85e-6
    mass = 29.2e-3 + more
    assert wide.pop("cranks.webs.0.cg") == pytest.approx((0.0, (29.2e-3 * 5.18 + more * 4.5) / mass * MM), abs=6e-6)
    assert wide == pytest.approx(
        {"cranks.webs.0.width": 25e-3, "cranks.webs.0.mass": mass, "cranks.webs.0.inertia": 3e-6 * mass / 29.2e-3,
         "counterweights.smallest_radius": 12.55e-3}, abs=6e-6
    )  # fmt: skip
    thick = found["thickness of web 1"]
    assert list(thick) == ["12 mm", "15 mm", "16 mm", "20 mm"]
    assert thick["15 mm"] == pytest.approx(
        {}
    )  # 0.5 mm from the bearing and 3.5 mm from the rod leave room for 4 mm more
    assert thick["12 mm"] == pytest.approx(
        {"cranks.webs.0.thickness": 12e-3, "cranks.webs.0.joint.length": 12e-3, "cranks.webs.0.at": -10.5e-3,
         "cranks.throws.inner.pin.length": 10.5e-3, "cranks.webs.0.mass": 35.04e-3, "cranks.webs.0.inertia": 3.6e-6,
         "shafts.starts_at": -16.5e-3, "shafts.segments.0.length": 11.5e-3},
        abs=6e-6,
    )  # fmt: skip


def test_pins_pressed_through_a_web_sit_as_deep_as_the_thinner_of_both_that_hold_them(found) -> None:
    """The inner pin goes through webs of 10 and 6 mm, the outer one through the thinner web alone."""
    deep = {shown: tuple(each[f"cranks.throws.{name}.pin.joint.length"] / MM for name in ("inner", "outer"))
            for shown, each in found["thickness of web 2"].items()}  # fmt: skip
    assert deep == {
        "8 mm": pytest.approx((8, 8)), "10 mm": pytest.approx((10, 10)), "12 mm": pytest.approx((10, 12))}  # fmt: skip
    assert found["direction of rotation"] == {"inward": {"cranks.turning": "inward"}}


def test_crankpins_may_be_longer_and_what_runs_in_a_bore_is_turned_to_fit_it(found) -> None:
    for name in ("inner", "outer"):
        assert list(found[f"length of the {name} crankpin"]) == ["13 mm", "14 mm", "15 mm", "16 mm", "18 mm"]
    assert list(found["diameter of the piston"]) == ["41.98 mm", "41.95 mm"]  # 41.97 mm is what it has
    assert list(found["diameter of the displacer"]) == ["41.4 mm", "41 mm", "40.5 mm"]
    narrow = changed(("{bore: 42 mm, starts_at", "{bore: 41.9 mm, starts_at"))
    assert list(of(narrow, "diameter of the piston")) == ["41.88 mm", "41.87 mm", "41.85 mm"]


def test_a_bore_that_one_part_says_otherwise_may_be_that_of_the_rest(found) -> None:
    """A displacer for 30 mm runs with a piston and in a cylinder of 42 mm; of two that differ the cylinder's stays."""
    assert not [name for name in found if name.startswith("bore of the")]
    other = changed(("carries: {kind: displacer, bore: 42 mm", "carries: {kind: displacer, bore: 30 mm"))
    (values,) = [values for name, values in offered(read_text(other)).items() if name.startswith("bore of the")]
    assert values == {"42 mm": {"yokes.displacer.carries.bore": pytest.approx(42e-3)}}
    for name, size in (("piston", 40), ("displacer", 30)):
        other = other.replace(f"kind: {name}, bore: 42 mm", f"kind: {name}, bore: {size} mm")
    every = {name: list(values) for name, values in offered(read_text(other)).items() if name.startswith("bore of the")}
    assert every == {"bore of the piston": ["42 mm"], "bore of the displacer": ["42 mm"]}


def test_holes_are_bored_as_wide_as_the_stem_needs() -> None:
    rhombic = (Path(__file__).parents[2] / "designs" / "rhombic.yaml").read_text("utf-8")
    assert "hole in the piston yoke" in offered(read_text(rhombic))
    assert list(of(rhombic.replace("hole: 6.4 mm", "hole: 6.1 mm"), "hole in the piston yoke")) == ["6.2 mm", "6.5 mm"]


def test_gears_of_a_module_that_nobody_sells_are_cut_anew_as_wide_as_gears_are() -> None:
    """1.3 mm is in no stock: 6, 8, 10 and 12 modules, to half a millimetre; the 8 mm that it has are no wider."""
    design = changed(("module: 1 mm", "module: 1.3 mm"), ("teeth: 52", "teeth: 40"))
    face = next(each for each in free_choices(read_text(design)) if each.name == "face of the gears")
    assert [each.shown for each in face.levels] == ["10.5 mm", "13 mm", "15.5 mm"]
    assert {each.work.make for each in face.levels} == {(("gear", 2),)}


def test_gears_are_wider_of_another_metal_or_module_and_stand_elsewhere_on_the_shaft(found) -> None:
    assert found["face of the gears"] == {"10 mm": {"cranks.gears.face": pytest.approx(10e-3)}}
    assert list(found["material of the gears"]) == ["brass"]
    assert "module of the gears" not in found  # none of 52 mm pitch diameter is in stock but the one that it has
    shifts = [12 + sign * count for count in (1, 2, 3, 4, 5, 6, 8) for sign in (1, -1)]
    assert millimetres(found["place of the gears"]) == shifts
    other = changed(("module: 1 mm", "module: 0.5 mm"), ("teeth: 52 ", "teeth: 104 "))
    other = other.replace("centre_distance: 52 mm", "centre_distance: 50 mm").replace("teeth: 104", "teeth: 100")
    assert list(of(other, "module of the gears")) == ["1 mm, 50 teeth"]
    edge = changed(("    at: 12 mm", "    at: -10 mm"))  # the shaft begins at -15 mm
    assert min(millimetres(of(edge, "place of the gears"))) == -14


def test_flywheels_are_thicker_or_discs_that_clear_the_other_shaft(found) -> None:
    """Shafts 52 mm apart, of 10 mm: a radius up to 45 mm clears; 18 mm thick now, of 90 mm."""
    wheel = found["flywheel"]
    thicker = {f"{factor:g} times as thick": {"flywheel.thickness": pytest.approx(18e-3 * factor)}
               for factor in (1.1, 1.25, 1.35, 1.5, 1.75, 2.0, 2.5, 3.0, 4.0)}  # fmt: skip
    # They grow away from the bearings, from 43 mm on, and the second stands 2 mm behind the first.
    more = {name: each["flywheel.thickness"].expected - 18e-3 for name, each in thicker.items()}
    disc = np.pi / 4 * 90e-3**2 * STEEL  # kg for each metre of thickness
    for name, each in more.items():
        thicker[name] |= {"flywheel.at": pytest.approx(52e-3 + each / 2, abs=2e-4),
                          "flywheel.left_at": pytest.approx(72e-3 + 1.5 * each, abs=2e-4),
                          "mount.mass": pytest.approx(6.5 + 2 * each * disc, abs=0.0051)}  # fmt: skip
    assert {name: wheel[name] for name in thicker} == thicker
    assert [each for each in wheel if each not in thicker] == ["steel disc 90 mm x 20 mm"]
    disc = wheel["steel disc 90 mm x 20 mm"]["flywheel"]
    assert (disc.diameter, disc.thickness, disc.on, disc.inertia) == (
        pytest.approx(0.09),
        pytest.approx(0.02),
        "both",
        None,
    )
    text = changed(("diameter: 90 mm, thickness: 18 mm, material: steel", "inertia: 5e-4 kg m^2, mass: 0.4 kg"))
    given = of(text, "flywheel")["1.5 times as thick"]
    assert given == pytest.approx({"flywheel.inertia": 7.5e-4, "flywheel.mass": 0.6, "mount.mass": 6.5 + 2 * 0.2})


def test_a_base_plate_is_no_fitting_and_no_anchor(found) -> None:
    """130 x 120 mm of steel: 6 mm weigh 0.735 kg, from a tenth of the 6.5 kg to all of it."""
    mass = {thick: 0.13 * 0.12 * thick * MM * STEEL for thick in (6, 8, 10, 12, 15, 16, 20)}
    assert {shown: each["mount.mass"] for shown, each in found["engine on a base plate"].items()} == {
        f"{text(round(each, 2), 'kg')} of steel (130 x 120 x {thick} mm)": pytest.approx(round(6.5 + each, 2))
        for thick, each in mass.items()
    }
    light = of(changed(("mass: 6.5 kg ", "mass: 2.3 kg ")), "engine on a base plate")  # 2 mm weigh 0.245 kg
    assert [shown.split(" x ")[-1] for shown in light] == [
        f"{thick} mm)" for thick in ("2", "2.5", "3", "4", "5", "6", "8", "10", "12", "15", "16")]  # fmt: skip
    design = read_text(REDESIGN)
    six, eight, *_ = next(each for each in free_choices(design) if each.name == "engine on a base plate").levels
    (again,) = eight.edits(six.of(design))  # a plate that is there already stays
    assert again.value == pytest.approx(round(6.5 + mass[6] + mass[8], 2))
    unsized = changed(("  size: [130 mm, 190 mm, 120 mm]\n", ""))
    assert next(iter(of(unsized, "engine on a base plate"))) == "710 g of steel (150 x 150 x 4 mm)"


def test_feet_carry_the_case_without_sagging_too_far(found) -> None:
    """15.9 N on each of four: 30 N and more bear it, and from 1.06 N/mm on it sags less than 15 mm."""
    assert sorted(springs(found["feet"])) == pytest.approx([8e3, 12e3, 16e3, 24e3])  # 2, 3, 4 and 6 N/mm each
    heavy = of(changed(("mass: 6.5 kg ", "mass: 13 kg ")), "feet")  # 31.9 N on each: too much for 25 and 30 N
    assert sorted(springs(heavy)) == pytest.approx([16e3, 24e3])


def springs(levels: dict[str, dict[str, object]]) -> list[object]:
    """Return the stiffness of all feet together, N/m, of those that are no rubber buffers and carry the case."""
    return [each["mount.feet.stiffness"] for each in levels.values() if each.get("mount.feet.stiffness") is not None]


def test_feet_stand_farther_from_the_mass_centre_at_their_height() -> None:
    text = changed(("cg: [0 mm, 25 mm, 0 mm]", "cg: [4 mm, 25 mm, -10 mm]"))
    levels = of(text, "places of the feet")
    assert list(levels) == [f"{factor:g} times as far apart" for factor in (1.25, 1.5, 2.0)]
    for factor, places in zip((1.25, 1.5, 2.0), levels.values(), strict=True):
        by_hand = [(4 + (x - 4) * factor, -45, -10 + (z + 10) * factor)
                   for x, z in ((60, 50), (-60, 50), (60, -50), (-60, -50))]  # fmt: skip
        for place, each in zip(places["mount.feet.places"], by_hand, strict=True):
            assert [1e3 * part for part in place] == pytest.approx(each, abs=0.5)
            assert [1e3 * part for part in place] == pytest.approx([round(1e3 * part) for part in place])


def test_what_is_kept_or_may_not_change_is_offered_no_value() -> None:
    design = read_text(REDESIGN)
    names = {dial.name for dial in free_choices(design, ["cranks.throws.*", "mount.feet"])}
    assert not names & {"radius of the inner throw", "length of the outer crankpin", "feet", "places of the feet"}
    assert {"piston rods", "engine on a base plate", "width of web 1"} <= names
    only = read_text("may_change: [yokes.*.rod, flywheel]\n" + REDESIGN)
    assert {dial.family for dial in free_choices(only)} == {"rods", "flywheel", "hubs"}
    names = {dial.name for dial in free_choices(only, ["yokes.piston"])}
    assert {each for each in names if "flywheel" not in each} == {"displacer rods", "bar of the displacer rods"}
    assert "flywheel" in names


BUILT = (Path(__file__).parents[2] / "designs" / "as-built.yaml").read_text("utf-8")
RIM = np.pi / 4 * (86**2 - 56**2) * 17 * MM**3 * STEEL  # kg, the wheel as built: 0.447


def masses(text: str, name: str) -> dict[str, float | None]:
    """Return of each value of a choice the mass of the engine that it makes, kg; None where that stays."""
    return {shown: entries.get("mount.mass") for shown, entries in of(text, name).items()}


@pytest.mark.parametrize(
    ("name", "value", "more"),
    [
        ("flywheel", "1.5 times as thick", 0.5 * RIM),
        ("flywheel on longer shafts", "2 times as thick", RIM),
        ("flywheel", "steel disc 80 mm x 20 mm", np.pi / 4 * 80**2 * 20 * MM**3 * STEEL - RIM),
        ("larger flywheel", "90 mm", RIM * (90**2 - 86**2) / (86**2 - 56**2)),
        ("two flywheels on longer shafts", "both, one behind the other", RIM),
        ("two flywheels in the place of one", "both, each 7.5 mm thick", RIM * (2 * 7.5 / 17 - 1)),
    ],
)
def test_the_mass_of_the_engine_goes_along_with_its_wheels(name: str, value: str, more: float) -> None:
    assert masses(BUILT, name)[value] == pytest.approx(3.2 + more, abs=0.0051)


def test_the_mass_of_the_engine_stays_where_its_wheels_weigh_what_they_did() -> None:
    """A wheel that only moves; one of which inertia alone is told; an engine of which no mass is."""
    assert set(masses(BUILT, "flywheel up along its shaft").values()) == {None}
    rim = "diameter: 86 mm, inside: 56 mm, thickness: 17 mm, material: steel"
    weightless = BUILT.replace(rim, "inertia: 5 kg cm^2")
    assert set(masses(weightless, "flywheel").values()) >= {None}
    assert masses(weightless, "flywheel")["1.5 times as thick"] is None
    unweighed = BUILT.replace("mount: {mass: 3.2 kg, feet: {stiffness: 60 N/mm, damping_ratio: 0.05}}\n", "")
    assert set(masses(unweighed, "flywheel").values()) == {None}


def test_a_plate_under_the_case_and_a_heavier_wheel_both_count_in_the_mass_of_the_engine() -> None:
    design = read_text(BUILT)
    dials = {each.name: each for each in free_choices(design)}
    thicker = next(each for each in dials["flywheel"].levels if each.shown == "2 times as thick")
    plate = dials["engine on a base plate"].levels[0]
    for first, then in ((thicker, plate), (plate, thicker)):
        one = float(first.of(design).mount.mass) - 3.2
        both = float(then.of(first.of(design)).mount.mass) - 3.2
        assert both - one == pytest.approx(float(then.of(design).mount.mass) - 3.2, abs=0.011)
        assert both > one > 0.3


@pytest.mark.parametrize("kept", ["mount", "mount.mass"])
def test_the_mass_of_the_engine_stays_where_it_is_kept_to(kept: str) -> None:
    design = read_text(BUILT)
    thicker = next(each for each in free_choices(design, [kept]) if each.name == "flywheel")
    assert float(thicker.levels[0].of(design).mount.mass) == float(design.mount.mass)
