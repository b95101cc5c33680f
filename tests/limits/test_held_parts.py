"""What holds what, by hand on one small machine: by how much each part falls short of what it must hold."""

from dataclasses import replace

import numpy as np
import pytest
from limits.test_gap_items import bushes, simple

from balance.machine.carried import Diaphragm, Posts
from balance.machine.crank import Pin, Throw, Web
from balance.machine.cylinder import Cylinder
from balance.machine.joint import Guide, Joint, YokePin
from balance.machine.materials import MATERIALS
from balance.machine.wheels import Flywheel
from balance.machine.yoke import Arm, Displacer, Outline, Piston, Rod, Section
from shafts.bearings.ball import Ball
from shafts.bearings.bearing import Bearing
from shafts.clearance.clearances import _beside_throws
from shafts.clearance.held import eye_joints, guide_joints, plate_joints, ring_joints, seat_joints, yoke_joints
from shafts.clearance.wheel_inertia import wheel_joints
from shafts.shaft import Plate, Segment

MM = 1e-3
STEEL = MATERIALS["steel"]


def short(joints) -> dict[str, float]:
    return {each.what: each.short / MM for each in joints}


def plate(at, thickness=10.0, width=30.0, height=12.0):
    return Plate(at=at * MM, thickness=thickness * MM, width=width * MM, height=height * MM, material=STEEL)


def held_by(*plates):
    """A ball bearing of 8 x 22 x 7 mm at 0, a bush at 40 mm."""
    ball = Bearing(at=0.0, ball=Ball(bore=8 * MM, outside=22 * MM, width=7 * MM))
    return short(plate_joints(simple(shaft={"bearings": (ball, *bushes(0.04)), "plates": plates})))


@pytest.mark.parametrize(
    ("at", "thickness", "shared"),
    [(3.0, 4.0, 2.5), (-3.0, 4.0, 2.5), (0.0, 20.0, 7.0), (1.0, 2.0, 2.0), (-6.0, 4.0, -0.5)],
)
def test_a_plate_holds_half_the_width_of_a_bearing(at, thickness, shared):
    """The ring reaches from -3.5 to 3.5 mm: what lies in the plate, of which 3.5 mm are asked for."""
    assert held_by(plate(at, thickness))["right bearing 1 along the shaft"] == pytest.approx(3.5 - shared)


def test_a_plate_is_round_about_the_ring():
    """Of a ring of 22 mm 11 mm lie below the shaft, and as much to each side."""
    found = held_by(plate(0.0, width=20.0, height=9.0))
    assert found["left bearing 1 below its ring"] == pytest.approx(2.0)
    assert found["left bearing 1 across"] == pytest.approx(1.0)
    found = held_by(plate(0.0))
    assert (found["right bearing 1 below its ring"], found["right bearing 1 across"]) == pytest.approx((-1.0, -4.0))


def test_the_nearest_plate_holds_a_bearing_and_without_plates_nothing_is_told():
    found = held_by(plate(38.0, thickness=3.0), plate(3.0, thickness=4.0))
    assert found["right bearing 1 along the shaft"] == pytest.approx(1.0)
    assert found["right bearing 2 along the shaft"] == pytest.approx(5.0 - 3.0)  # 10 mm wide
    assert held_by() == {}


def yoke(outline=None, z=(-34.0, -26.0), cylinder=None, rod_pin=None, **more):
    """A yoke whose rods stand 20 mm beside its middle, on crankpins at z = -30 mm; 50 x 8 mm if nothing is said."""
    outline = outline or {"rectangle": (50 * MM, 8 * MM)}
    rod = Rod(length=0.05, yoke_pin=None if rod_pin is None else YokePin(diameter=rod_pin * MM, held="one end"))
    placed = Outline(z=(z[0] * MM, z[1] * MM), **outline)
    return list(yoke_joints(simple({"rod": rod, "outline": placed, **more}, cylinder=cylinder)))


LOPSIDED, MIRRORED = (
    {"polygon": tuple((x * MM, y * MM) for x, y in ((left, -4), (right, -4), (right, 4), (left, 4)))}
    for left, right in ((-20, 25), (-25, 20))
)


@pytest.mark.parametrize(
    ("outline", "pin", "missing"),
    [
        (None, 4.0, -3.0),
        (None, None, -5.0),
        (LOPSIDED, 4.0, 2.0),
        (MIRRORED, 4.0, 2.0),
        ({"rectangle": (40 * MM, 8 * MM)}, 6.0, 3.0),
    ],
)
def test_a_yoke_reaches_round_its_pins_on_both_sides(outline, pin, missing):
    assert short(yoke(outline, rod_pin=pin))["yoke only at its pins"] == pytest.approx(missing)


def test_an_arm_is_no_larger_than_the_outline_of_its_yoke():
    arm = Arm(section=Section(width=12 * MM, height=10 * MM), material=STEEL)
    found = [each for each in yoke(arm=arm) if each.what == "yoke only about its arm"]
    assert [each.short / MM for each in found] == pytest.approx([10.0 - 8.0, 12.0 - 8.0])
    assert [each.why[:18] for each in found] == ["arm.section.height", "arm.section.width "]


STEM = Displacer(bore=30 * MM, stem_diameter=6 * MM)


@pytest.mark.parametrize(
    ("carries", "axis", "missing"),
    [
        (Piston(bore=30 * MM), -30.0, -4.0),
        (STEM, -30.0, -1.0),
        (STEM, -27.0, 2.0),
        (STEM, -33.5, 2.5),
        (Piston(bore=30 * MM), -25.0, 1.0),
        (Piston(bore=30 * MM), -34.5, 0.5),
    ],
)
def test_a_yoke_lies_below_what_stands_on_it(carries, axis, missing):
    """It reaches from -34 to -26 mm along the shafts; the stem of 6 mm stands on the cylinder's axis."""
    cylinder = Cylinder(bore=31 * MM, starts_at=0.1, z=axis * MM)
    found = short(yoke(carries=carries, cylinder=cylinder))
    assert found[f"yoke only below its {carries.kind}"] == pytest.approx(missing)


@pytest.mark.parametrize(
    ("outline", "x", "at", "missing"),
    [(None, 10.0, -30.0, -2.0), (None, 10.0, -28.0, 0.0), (None, 10.0, -33.0, 1.0), (None, 24.0, -30.0, 1.0),
     (LOPSIDED, 20.0, -30.0, 2.0), (MIRRORED, 20.0, -30.0, 2.0), (None, 22.5, -30.0, -0.5)],
)  # fmt: skip
def test_a_yoke_lies_below_its_posts(outline, x, at, missing):
    """Posts of 4 mm: 2 mm of the yoke on every side of their middle."""
    posts = Posts(diameter=4 * MM, x=x * MM, z=at * MM)
    found = short(yoke(outline, carries=Piston(bore=30 * MM, posts=posts)))
    assert found["yoke only below its posts"] == pytest.approx(missing)


@pytest.mark.parametrize(
    ("carries", "radius"),
    [({"bore": 30 * MM}, 15.0), ({"bore": 30 * MM, "diameter": 28 * MM}, 14.0), ({"free_diameter": 40 * MM}, 20.0)],
)
def test_posts_stand_below_what_they_carry(carries, radius):
    """6 mm beside the axis across and 8 along it are 10 mm, and 2 more to the far side of a post of 4."""
    posts = Posts(diameter=4 * MM, x=6 * MM, z=-22 * MM)
    kind = Diaphragm if "free_diameter" in carries else Piston
    more = {"clamp_diameter": 20 * MM} if kind is Diaphragm else {}
    cylinder = Cylinder(bore=31 * MM, starts_at=0.1, z=-30 * MM)
    found = short(yoke(carries=kind(posts=posts, **carries, **more), cylinder=cylinder))
    (above,) = [each for what, each in found.items() if what.endswith("above its posts")]
    assert above == pytest.approx(12.0 - radius)


def eyes(width, play, hung="rod"):
    throws = {"pin": Throw(radius=0.01, at=-0.03, pin=Pin(diameter=5 * MM, length=10 * MM))}
    rod = Rod(length=0.05, width=width and width * MM, thickness=4 * MM, play=play * MM,
              yoke_pin=YokePin(diameter=4 * MM, held="one end"))  # fmt: skip
    return short(eye_joints(simple({"rod": rod} if hung == "rod" else None, cranks={"throws": throws})))


def test_the_walls_and_the_play_of_a_rods_eyes():
    """Walls of 15 percent of the pin, play of 8 at the most: over pins of 5 and 4 mm."""
    found = eyes(6.0, 0.5)
    assert found["rods of only at the crankpin"] == pytest.approx(0.75 - 0.5)
    assert found["rods of only at the yoke pin"] == pytest.approx(0.6 - 1.0)
    assert found["rods of only on the crankpin"] == pytest.approx(0.5 - 0.4)
    assert found["rods of only on the yoke pin"] == pytest.approx(0.5 - 0.32)


def test_slots_have_no_eyes_and_rods_of_no_width_are_asked_for_elsewhere():
    assert eyes(6.0, 0.0, "slot") == {}
    assert eyes(None, 0.0) == {}


def guided(carries, guide=None, **more):
    return short(guide_joints(simple({"rod": Rod(length=0.05), "carries": carries, "guide": guide, **more})))


def test_the_least_length_that_guides():
    """A stem by its own diameter, a piston by a quarter of its bore; a yoke in a guide needs no piston for that."""
    stem = Displacer(bore=30 * MM, stem_diameter=4 * MM, length=20 * MM)
    assert guided(stem, Guide(length=3 * MM)) == pytest.approx({"only, by its stem": 1.0})
    assert guided(stem) == {}
    piston = Piston(bore=30 * MM, length=5 * MM)
    assert guided(piston) == pytest.approx({"only, by its piston": 2.5})
    assert guided(piston, Guide(length=3 * MM)) == {}


@pytest.mark.parametrize(("outline", "free"), [(None, 60.0), (Outline(rectangle=(0.05, 0.008), z=(0, 0.01)), 56.0)])
def test_a_bush_fits_between_yoke_and_displacer(outline, free):
    """A stem of 60 mm from the line of the pivots, of which 4 mm lie in a yoke 8 mm high."""
    stem = Displacer(bore=30 * MM, stem_diameter=4 * MM, stem_length=60 * MM)
    found = guided(stem, Guide(length=58 * MM), outline=outline)
    assert found["only, along its stem"] == pytest.approx(58.0 - free)


def seated(web_joint=None, pin_joint=None, length=10.0, starts_at=-10.0):
    """Crankpins of 5 mm at -30 and -60 mm, webs between them 10 mm apart: from -50 to -35 and from -25 to -10 mm."""
    throws = {"pin": Throw(radius=0.01, at=-0.03, pin=Pin(diameter=5 * MM, length=length * MM, joint=pin_joint)),
              "far": Throw(radius=0.01, at=-0.06, phase=1.0, pin=Pin(diameter=5 * MM, length=20 * MM))}  # fmt: skip
    webs = tuple(Web(mass=0.01, at=at * MM, thickness=15 * MM, width=20 * MM, joint=web_joint)
                 for at in (-17.5, -42.5))  # fmt: skip
    engine = simple({"rod": Rod(length=0.05)}, cranks={"throws": throws, "webs": webs})
    whole = Segment(length=(60 - starts_at) * MM, diameter=10 * MM)
    engine = replace(engine, shafts=replace(engine.shafts, starts_at=starts_at * MM, segments=(whole,)))
    return {what: each for what, each in short(seat_joints(engine)).items() if what.startswith("right")}


def test_what_sits_in_a_web_is_no_longer_than_the_web_is_thick():
    """The shaft ends at the face of its web: nothing of it is in there."""
    found = seated(Joint(kind="glued", length=18 * MM), Joint(kind="glued", length=13 * MM))
    assert found == pytest.approx(
        {"right shaft in web 1": 18.0, "right crankpin pin in web 1": -2.0, "right crankpin pin in web 2": -2.0}
    )


@pytest.mark.parametrize(("starts_at", "missing"), [(-25.0, -3.0), (-30.0, -3.0), (-20.0, 2.0), (-17.5, 4.5)])
def test_a_shaft_sits_no_deeper_in_its_web_than_it_reaches(starts_at, missing):
    """12 mm are asked of the 15 between -25 and -10 mm."""
    found = seated(Joint(kind="glued", length=12 * MM), starts_at=starts_at)
    assert found["right shaft in web 1"] == pytest.approx(missing)


@pytest.mark.parametrize(("neck", "collar", "missing"), [(10, 12, 2.0), (10, 10, 0.0), (10, 8, 0.0), (9, 8, -1.0)])
def test_a_ring_is_pushed_on_from_the_better_end(neck, collar, missing):
    """A bore of 10 mm on a neck between a thick length on one side and a collar on the other."""
    parts = (Segment(length=30 * MM, diameter=14 * MM), Segment(length=20 * MM, diameter=neck * MM),
             Segment(length=30 * MM, diameter=collar * MM))  # fmt: skip
    seats = tuple(Bearing(at=at * MM, ball=Ball(bore=10 * MM, outside=26 * MM, width=8 * MM)) for at in (-5, 5))
    engine = simple({"rod": Rod(length=0.05)})
    shafts = replace(engine.shafts, starts_at=-40 * MM, segments=parts, bearings=seats)
    found = {each.what: each.short / MM for each in ring_joints(replace(engine, shafts=shafts))}
    assert found["right bearing 1"] == pytest.approx(missing)


@pytest.mark.parametrize(("length", "seat", "missing"), [(10.0, None, None), (13.0, None, -1.5), (13.0, 2.0, 0.5)])
def test_a_pin_longer_than_the_way_between_its_webs_sits_in_both(length, seat, missing):
    """13 mm where 10 are free: 1.5 mm in each web at the most, which a seat that is given must not be beyond."""
    found = seated(pin_joint=seat and Joint(kind="glued", length=seat * MM), length=length)
    told = found.get("right crankpin pin between its webs")
    assert (told is None) if missing is None else told == pytest.approx(missing)


def test_the_interference_at_which_a_web_yields_all_round():
    """Y log(D/d) in a ring of 20 on a pin of 5 mm, by Lame's rings of one metal: p = E i/(2 d) (1 - d^2/D^2)."""
    pressed = Joint(kind="pressed", length=10 * MM, interference=50e-6)
    found = seated(pin_joint=pressed)["right crankpin pin in web 1, by its interference"]
    most = STEEL.yield_strength * np.log(4) * 2 * 5.0 / (STEEL.young * (1 - 1 / 16))
    assert found == pytest.approx(0.05 - most)


@pytest.mark.parametrize(("diameter", "missing"), [(50.0, 5.0), (80.0, -10.0)])
def test_a_wheel_is_no_smaller_than_its_radius_of_gyration(diameter, missing):
    """0.3 kg at 30 mm."""
    wheel = Flywheel(at=0.02, inertia=0.3 * 0.03**2, mass=0.3, diameter=diameter * MM, thickness=10 * MM)
    found = short(wheel_joints(simple(flywheel=wheel)))
    assert list(found.values()) == pytest.approx([missing])


def test_along_a_crankpin_there_is_no_shaft():
    """A shaft from -10 to 50 mm, 8 mm thick up to 20 mm and 10 from there; pins of 10 mm at 18, and at -8 mm."""
    pin = Pin(diameter=5 * MM, length=10 * MM)
    throws = {"pin": Throw(radius=0.01, at=18 * MM, pin=pin), "end": Throw(radius=0.01, at=-8 * MM, pin=pin),
              "bare": Throw(radius=0.01, at=40 * MM)}  # fmt: skip
    segments = (Segment(length=30 * MM, diameter=8 * MM), Segment(length=30 * MM, diameter=10 * MM))
    engine = simple({"rod": Rod(length=0.05)}, cranks={"throws": throws}, shaft={"segments": segments})
    left = np.array(_beside_throws(engine, engine.shafts.pair[0])) / MM
    np.testing.assert_allclose(left, [(-3, 13, 4), (23, 40, 5), (40, 50, 5)])
