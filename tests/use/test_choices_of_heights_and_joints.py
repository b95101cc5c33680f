"""What may be done about heights, posts, lengths of shafts, and joints, by hand from the rebuilt engine's file.

Its piston's crown is 69.5 mm high on posts of 5 mm at x = 10, z = -14.8 mm; the displacer of 60 mm has a stem of 62 mm;
the cylinder of 118 mm starts at 82 mm, z = -30 mm. Shafts end at 83 mm, the wheel of 18 mm on the left is at 72 mm.
Crankpins of 6 mm are pressed 6 mm deep with 10 um into webs of 10 and 6 mm, web 1 on the shaft of 8 mm with 12 um.
"""

from pathlib import Path

import numpy as np
import pytest
from choices import dials_of, offered_of

from designs.counsel.free import bodies, cranks, fits, free_choices, joints
from designs.design import Design
from designs.reading import read_text
from designs.stock import stock_with

REDESIGN = (Path(__file__).parents[2] / "designs" / "redesign.yaml").read_text("utf-8")
MM, MICRON = 1e-3, 1e-6
WAYS = np.array([0.5, 1, 1.5, 2, 3, 4, 5, 6, 8, 10, 12, 15, 20])  # mm
POSTS = "posts: {diameter: 5 mm, x: 10 mm, z: -14.8 mm}"
INNER = "pin: {diameter: 6 mm, length: 12 mm, joint: {kind: pressed, length: 6 mm, interference: 10 um}}"


def changed(*pairs: tuple[str, str]) -> Design:
    text = REDESIGN
    for old, new in pairs:
        assert old in text, old
        text = text.replace(old, new, 1)
    return read_text(text)


dials, offered = dials_of(bodies, joints), offered_of(bodies, joints)


def sizes(design: Design, name: str, key: str, unit: float = MM) -> list[float]:
    return [each[key] / unit for each in offered(design, name).values() if each]


@pytest.fixture(scope="module")
def rebuilt() -> Design:
    return changed()


@pytest.mark.parametrize(
    ("name", "key", "now", "sign"),
    [
        ("longer stem of the displacer", "yokes.displacer.carries.stem_length", 62, 1),
        ("shorter stem of the displacer", "yokes.displacer.carries.stem_length", 62, -1),
        ("longer displacer", "yokes.displacer.carries.length", 60, 1),
        ("shorter displacer", "yokes.displacer.carries.length", 60, -1),
        ("longer post of the piston, by its crown", "yokes.piston.carries.crown", 69.5, 1),
        ("shorter post of the piston, by its crown", "yokes.piston.carries.crown", 69.5, -1),
        ("longer cylinder", "cylinder.length", 118, 1),
        ("shorter cylinder", "cylinder.length", 118, -1),
        ("cylinder further outward along the shafts", "cylinder.z", -30, -1),
        ("cylinder further inward along the shafts", "cylinder.z", -30, 1),
        ("posts of the piston, further outward along the shafts", "yokes.piston.carries.posts.z", -14.8, -1),
        ("posts of the piston, further inward along the shafts", "yokes.piston.carries.posts.z", -14.8, 1),
        ("flywheel down along its shaft", "flywheel.at", 52, -1),
        ("flywheel up along its shaft", "flywheel.at", 52, 1),
        ("left flywheel down along its shaft", "flywheel.left_at", 72, -1),
        ("left flywheel up along its shaft", "flywheel.left_at", 72, 1),
    ],
)
def test_sizes_and_places_go_one_way_by_half_millimetres_and_more(rebuilt, name, key, now, sign) -> None:
    np.testing.assert_allclose(sizes(rebuilt, name, key), now + sign * WAYS, rtol=0, atol=1e-9)
    assert dials(rebuilt)[name].levels[0].work.size <= (3, 0)


def test_what_gets_shorter_than_half_is_another_part_and_posts_meet_at_the_middle() -> None:
    short = changed(("stem_length: 62 mm", "stem_length: 30 mm"))
    assert sizes(short, "shorter stem of the displacer", "yokes.displacer.carries.stem_length")[-1] == pytest.approx(15)
    narrow = changed(("x: 10 mm, z: -14.8", "x: 5.5 mm, z: -14.8"))
    found = sizes(narrow, "posts of the piston, nearer to the middle", "yokes.piston.carries.posts.x")
    np.testing.assert_allclose(found, [5, 4.5, 4, 3.5, 2.5])


def test_a_cylinder_takes_the_masses_in_its_middle_along(rebuilt) -> None:
    """Piston, displacer and stem lie at -30 mm with it; posts and bars say nothing of their place."""
    first = next(iter(offered(rebuilt, "cylinder further inward along the shafts").values()))
    assert {*first} == {"cylinder.z", "yokes.piston.parts.piston.at", "yokes.displacer.parts.displacer.at",
                        "yokes.displacer.parts.stem.at"}  # fmt: skip
    assert len({*first.values()}) == 1


def test_what_is_not_given_is_not_made_longer() -> None:
    found = dials(changed((", stem_length: 62 mm,\n", ",\n"), (", z: -30 mm}", "}")))
    assert not {each for each in found if "stem" in each or each.startswith("cylinder further")}
    assert (
        offered(changed((", stem_length: 62 mm,\n", ",\n")), "cylinder with all that runs in it")["2 mm higher"] == {}
    )


def test_the_open_end_of_the_cylinder_comes_nearer_to_the_cranks_and_the_hot_end_stays(rebuilt: Design) -> None:
    """From 82 mm on 118 mm long: its hot end is at 200 mm."""
    found = offered(rebuilt, "open end of the cylinder")
    assert [*found][:2] == ["81.5 mm from the cranks, 118.5 mm long", "81 mm from the cranks, 119 mm long"]
    for way, each in zip(WAYS, found.values(), strict=True):
        assert each["cylinder.starts_at"] / MM == pytest.approx(82 - way)
        assert (each["cylinder.starts_at"] + each["cylinder.length"]) / MM == pytest.approx(200)
    (dial,) = (each for each in bodies.dials(rebuilt, stock_with(None)) if each.name == "open end of the cylinder")
    assert "piston_in_cylinder" in dial.aims
    unknown = offered(changed((" length: 118 mm,", "")), "open end of the cylinder")
    assert unknown["81 mm from the cranks"] == {"cylinder.starts_at": pytest.approx(81 * MM)}
    near = offered(changed(("starts_at: 82 mm", "starts_at: 2 mm")), "open end of the cylinder")
    assert len(near) == 3  # never past the cranks themselves


def test_what_meets_along_a_shaft_has_choices_of_its_own(rebuilt: Design) -> None:
    """Bearings, gears, webs and counterweights stand side by side there, not wheels alone."""
    aimed = {dial.name for dial in free_choices(rebuilt) if "axial_room" in dial.aims}
    assert aimed >= {"place of bearing 1", "place of bearing 2", "span between bearings 1 and 2", "place of the gears",
                     "thinner web 1", "plate of the counterweights", "place of the counterweights",
                     "flywheel up along its shaft"}  # fmt: skip


def test_the_cylinder_rises_with_all_that_runs_in_it(rebuilt) -> None:
    found = offered(rebuilt, "cylinder with all that runs in it")
    assert list(found) == [f"{each} mm higher" for each in (2, 4, 6, 8, 10, 12, 15, 20, 25, 30)]
    for more, each in zip((2, 30), (found["2 mm higher"], found["30 mm higher"]), strict=True):
        assert each == {"cylinder.starts_at": pytest.approx((82 + more) * MM),
                        "yokes.piston.carries.crown": pytest.approx((69.5 + more) * MM),
                        "yokes.displacer.carries.stem_length": pytest.approx((62 + more) * MM)}  # fmt: skip


def test_posts_stand_as_near_to_the_axis_as_they_pass_the_other_yokes() -> None:
    """A yoke from -27 to -12 mm, posts of 5 mm: the middle of a post from -24.5 to -14.5 mm."""
    yoke = (-27 * MM, -12 * MM)
    assert bodies._beside(yoke, [], -18 * MM) == pytest.approx(-18 * MM)
    assert bodies._beside(yoke, [], -30 * MM) == pytest.approx(-24.5 * MM)
    beside = bodies._beside(yoke, [(-20 * MM, -16 * MM)], -18 * MM)
    assert -24.5 * MM <= beside <= (-20 - 2.5) * MM - 0.9 * bodies.STEP


def test_a_yoke_may_reach_as_far_as_its_posts() -> None:
    """From -27 to -12 mm, under posts of 5 mm whose middle is at -10 mm or at -30 mm."""
    for at, word, ends in ((-10, "inward", (-27, -7.5)), (-30, "outward", (-32.5, -12))):
        found = offered(
            changed(("z: -14.8 mm", f"z: {at} mm")), f"piston yoke reaching further {word} along the shafts"
        )
        reached = [np.array(next(iter(each.values()))) / MM for each in found.values()]
        np.testing.assert_allclose(reached[0], ends)
        moved = [abs(each - np.array(ends)).max() for each in reached]
        np.testing.assert_allclose(
            moved, np.ceil(np.array([0, *WAYS[:4]]) / (bodies.STEP / MM) - 1e-6) * bodies.STEP / MM
        )


def test_a_piston_without_posts_may_have_two_as_near_the_axis_as_they_pass_the_other_yoke() -> None:
    """The piston's yoke reaches from -27 to -12 mm, the displacer's from -45 to -18 mm: 3 mm beyond that.

    By half millimetres from -24.5 mm on; the bore of 42 mm about z = -30 mm leaves so much room along x.
    """
    bare = changed((f",\n       {POSTS}", ""))
    found = offered(bare, "posts of the piston")
    posts = [next(iter(each.values())) for each in found.values()]
    assert [each.z / MM for each in posts] == pytest.approx([-14.5] * len(posts))
    assert {each.diameter for each in posts} == {5 * MM}
    most = np.sqrt((21 - 2.5) ** 2 - 15.5**2)
    np.testing.assert_allclose([each.x / MM for each in posts], [x for x in 2.5 + np.array([0, *WAYS]) if x <= most])
    assert next(iter(found)) == "two of 5 mm, 2.5 mm beside the middle"


def test_shafts_may_reach_past_what_sits_on_them(rebuilt) -> None:
    """The left wheel ends at 81 mm: 2 mm past it the shaft ends as it is."""
    key = "shafts.segments.1.length"
    assert offered(rebuilt, "longer shafts") == {"5 mm past what sits on them": {key: pytest.approx(91 * MM)}}
    short = changed(("{length: 88 mm", "{length: 85.7 mm"))
    assert [each[key] / MM for each in offered(short, "longer shafts").values()] == pytest.approx([86, 88, 91])


# Joints


def test_a_press_fit_may_be_tighter_as_far_as_it_can_be_pressed_in(rebuilt) -> None:
    """Up to 3 um for a millimetre: 18 um in the crankpins of 6 mm, 24 um on the shaft of 8 mm."""
    pins = sizes(rebuilt, "joint of the inner crankpin", "cranks.throws.inner.pin.joint.interference", MICRON)
    assert pins == pytest.approx([12, 14, 16, 18])
    webs = sizes(rebuilt, "joint of web 1 and shaft", "cranks.webs.0.joint.interference", MICRON)
    assert webs == pytest.approx([14, 16, 18, 20, 22])
    assert len(offered(rebuilt, "joint of the inner crankpin")) == 7  # more, for pins that become thicker on the way
    thin = offered(changed((INNER, INNER.replace("diameter: 6 mm", "diameter: 2 mm"))), "joint of the inner crankpin")
    assert len(thin) == 1  # 12 um: twice as thick it would bear no more
    assert dials(rebuilt)["joint of web 1 and shaft"].levels[0].work.size == (2, 0)


def test_a_glued_joint_may_be_soldered_or_pressed() -> None:
    glued = INNER.replace("kind: pressed, length: 6 mm, interference: 10 um", "kind: glued, length: 6 mm")
    found = offered(changed((INNER, glued)), "joint of the inner crankpin")
    keys = "cranks.throws.inner.pin.joint"
    assert found == {"soldered": {f"{keys}.kind": "soldered"},
                     "pressed, interference 12 um": {f"{keys}.kind": "pressed",
                                                     f"{keys}.interference": pytest.approx(12 * MICRON)}}  # fmt: skip
    soldered = changed((INNER, glued.replace("glued", "soldered")))
    assert list(offered(soldered, "joint of the inner crankpin")) == ["pressed, interference 12 um"]


def test_a_seat_may_be_deeper_up_to_the_thinnest_web_that_holds_it() -> None:
    name, key = "depth of the inner crankpin in its webs", "cranks.throws.inner.pin.joint.length"
    assert offered(changed(), name) == {}  # it goes through its thinner web of 6 mm already
    for now, depths in ((2, [3, 4, 5, 6]), (2.5, [3.5, 4.5, 5.5, 6]), (5, [6]), (0.5, [1.5, 2.5, 3.5, 4.5, 6])):
        shallow = changed((INNER, INNER.replace("length: 6 mm", f"length: {now} mm")))
        assert sizes(shallow, name, key) == pytest.approx(depths)


def test_a_shaft_may_go_deeper_into_its_web_up_to_all_of_it() -> None:
    """Web 1 is 10 mm thick, and its shaft goes through it; of 5 mm there are 6, 7, 8, 9 mm and all of it."""
    name, key, through = (
        "depth of the shaft in web 1",
        "cranks.webs.0.joint.length",
        "length: 10 mm, interference: 12 um",
    )
    assert offered(changed(), name) == {}
    shallow = changed((through, through.replace("10 mm", "5 mm")))
    assert sizes(shallow, name, key) == pytest.approx([6, 7, 8, 9, 10])
    assert dials(shallow)[name].levels[0].work == dials(shallow)["joint of web 1 and shaft"].levels[0].work


def test_a_joint_of_unknown_grip_is_not_made_tighter_and_one_piece_stays_so() -> None:
    """The former still may go deeper."""
    unknown = INNER.replace("length: 6 mm, interference: 10 um", "length: 2 mm")
    found = dials(changed((INNER, unknown)))
    assert "joint of the inner crankpin" not in found
    assert len(found["depth of the inner crankpin in its webs"].levels) == 4
    whole = INNER.replace("kind: pressed, length: 6 mm, interference: 10 um", "kind: one piece, length: 2 mm")
    assert not [each for each in dials(changed((INNER, whole))) if "inner crankpin" in each]


def test_a_crankpin_too_long_is_cut_to_the_way_between_its_webs():
    """Webs of 10 mm at -10 mm and of 6 mm at -30 mm stand 12 mm apart."""
    with_fits = dials_of(fits)
    name = "inner crankpin as long as its webs stand apart"
    (level,) = with_fits(changed((INNER, INNER.replace("12 mm", "13 mm"))))[name].levels
    assert {edit.path: edit.value for edit in level.edits(changed())} == {
        "cranks.throws.inner.pin.length": pytest.approx(12 * MM)
    }
    assert not [each for each in with_fits(changed()) if each.endswith("stand apart")]


def test_a_crankpin_too_thick_for_the_eyes_of_its_rods_may_be_thinner():
    """Rods of 8 mm about 6 mm leave 1 mm of the 0.9 mm asked for; about 7 mm they would leave 0.5 of 1.05 mm."""
    in_cranks, name = dials_of(cranks), "thinner inner crankpin and rod eyes"
    levels = in_cranks(changed((INNER, INNER.replace("6 mm, length: 12", "7 mm, length: 12"))))[name].levels
    assert [each.shown for each in levels] == ["6 mm", "5 mm", "4 mm"]
    assert name not in in_cranks(changed())
