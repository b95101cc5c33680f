"""What must be joined, by hand on one small machine: how much each part falls short, and what cannot be told."""

from dataclasses import replace
from types import SimpleNamespace

import numpy as np
import pytest
from limits.test_gap_items import bushes, simple

from balance.machine.crank import Gears, Pin, Throw, Web
from balance.machine.cylinder import Cylinder
from balance.machine.joint import Guide
from balance.machine.wheels import Flywheel
from balance.machine.yoke import Displacer, Outline, Part, Piston, Rod, Slot, Yoke
from shafts.bearings.ball import Ball
from shafts.bearings.bearing import Bearing
from shafts.bearings.bush import Bush
from shafts.bearings.needle import NEEDLE_STOCK
from shafts.clearance.held import tooth_joints
from shafts.clearance.joined import fit_joints, rod_joints, sitting_joints, stem_joints
from shafts.clearance.seats import bearing_size, seat_bodies
from shafts.shaft import Fits, Segment

MM = 1e-3


@pytest.mark.parametrize(
    ("inside", "size"),
    [
        ({"ball": Ball(bore=8 * MM, outside=22 * MM, width=7 * MM)}, (22, 7, False)),
        ({"needle": NEEDLE_STOCK["HK0608"]}, (10, 8, False)),
        ({"bush": Bush(bore=8 * MM, length=9 * MM, outside=11 * MM)}, (11, 9, False)),
        ({"bush": Bush(bore=8 * MM, length=9 * MM)}, (12, 9, True)),
    ],
    ids=["ball", "needle", "bush", "bush of no stated outside"],
)
def test_every_kind_of_bearing_is_a_body(inside, size):
    bearing = Bearing(at=0.0, **inside)
    assert bearing_size(bearing) == pytest.approx((size[0] * MM, size[1] * MM, size[2]))
    found = {each.name: each for each in seat_bodies(simple(shaft={"bearings": (bearing, *bushes(0.04))}))}
    assert found["left bearing 1"].circle == pytest.approx((-0.025, 0.0, size[0] * MM / 2))
    assert bool(found["left bearing 1"].taken) == size[2]


def test_a_bearing_must_have_half_its_width_on_the_shaft():
    """The shaft ends at 50 mm; a bearing 7 mm wide at 49 mm has 4.5 mm of it, and must have 3.5."""
    ball = Bearing(at=49 * MM, ball=Ball(bore=8 * MM, outside=22 * MM, width=7 * MM))
    found = {each.what: each for each in sitting_joints(simple(shaft={"bearings": (*bushes(0.0), ball)}), None)}
    assert found["right bearing 2"].short == pytest.approx(-1.0 * MM)
    assert found["right bearing 1"].short == pytest.approx(-5 * MM)  # 10 mm wide, all of it on the shaft


def on_rods():
    """Two yokes on rods of one crankpin, 10 mm long."""
    throws = {"pin": Throw(radius=0.01, at=-0.03, pin=Pin(diameter=5 * MM, length=10 * MM))}
    machine = simple({"rod": Rod(length=0.05)}, cranks={"throws": throws})
    yoke = machine.yokes["only"]
    hung = {"lower": 6 * MM, "upper": 5.5 * MM}
    rods = {name: Rod(length=0.05, width=8 * MM, thickness=thick) for name, thick in hung.items()}
    yokes = {name: replace(yoke, rod=rod) for name, rod in rods.items()}
    return replace(machine, yokes=yokes)


def test_rods_beside_each_other_need_so_long_a_pin():
    (found,) = rod_joints(on_rods())
    assert (found.what, found.unknown) == ("crankpin pin", "")
    assert found.short == pytest.approx(1.5 * MM)


def test_what_is_not_given_of_a_pin_and_its_rods_is_asked_for():
    machine = on_rods()
    bare = replace(machine.yokes["upper"], rod=Rod(length=0.05))
    pinless = replace(machine.cranks.throws["pin"], pin=None)
    machine = replace(
        machine, yokes=machine.yokes | {"upper": bare}, cranks=replace(machine.cranks, throws={"pin": pinless})
    )
    (found,) = rod_joints(machine)
    assert found.unknown == "yokes.upper.rod.thickness, cranks.throws.pin.pin"
    assert found.short < 0


@pytest.mark.parametrize(
    ("carries", "cylinder", "short"),
    [
        (Piston(bore=30 * MM, diameter=30.1 * MM), None, 0.1),
        (Piston(bore=30 * MM, diameter=29.9 * MM), None, -0.1),
        (Piston(bore=30 * MM, diameter=29.9 * MM), Cylinder(bore=29 * MM, starts_at=0.1), 0.9),
        (Displacer(bore=30 * MM, diameter=29 * MM), Cylinder(bore=31 * MM, starts_at=0.1), -1.0),
    ],
)
def test_a_piston_wider_than_the_narrowest_bore_it_runs_in(carries, cylinder, short):
    machine = simple({"rod": Rod(length=0.05), "carries": carries}, cylinder=cylinder)
    (found,) = fit_joints(machine)
    assert found.short == pytest.approx(short * MM)
    assert f"{carries.kind} of only" in found.what


def test_a_width_that_is_not_given_is_asked_for():
    (found,) = fit_joints(simple({"rod": Rod(length=0.05), "carries": Piston(bore=0.03)}))
    assert found.unknown == "yokes.only.carries.diameter"
    assert found.short < 0


def passing(hole, through=True, above=0.08, z=(-0.034, -0.026), cylinder=None):
    """A displacer whose stem of 4 mm comes down past a piston's yoke farther up."""
    lower = Yoke(throw="pin", half_span=0.02, rod=Rod(length=0.05), parts={"all": Part(mass=0.1)},
                 carries=Displacer(bore=0.03, stem_diameter=4 * MM, stem_through_piston=through))  # fmt: skip
    upper = replace(lower, rod=Rod(length=above), carries=Piston(bore=0.03), hole=hole,
                    outline=None if z is None else Outline(rectangle=(0.05, 0.008), z=z))  # fmt: skip
    machine = simple({"rod": Rod(length=0.05)})
    return replace(machine, yokes={"displacer": lower, "piston": upper}, cylinder=cylinder)


@pytest.mark.parametrize(
    ("machine", "short", "unknown"),
    [
        (passing(4.5 * MM), -0.5, ""),
        (passing(3.8 * MM), 0.2, ""),
        (passing(None), None, "yokes.piston.hole"),
        (passing(4.5 * MM, z=None), None, "yokes.piston.outline and .hole"),
    ],
)
def test_a_stem_passes_the_hole_of_a_yoke_above_it(machine, short, unknown):
    (found,) = stem_joints(machine)
    assert found.what == "stem of displacer and yoke piston"
    assert found.unknown == unknown
    if short is not None:
        assert found.short == pytest.approx(short * MM)


def test_a_stem_beside_or_above_a_yoke_needs_no_hole():
    assert list(stem_joints(passing(None, z=(-0.06, -0.05)))) == []
    assert list(stem_joints(passing(None, above=0.04))) == []


def test_a_piston_without_a_hole_stops_the_stem_of_its_own_cylinder():
    cylinder = Cylinder(bore=0.03, starts_at=0.1)
    found = list(stem_joints(passing(5 * MM, through=False, cylinder=cylinder)))
    assert [each.short for each in found] == pytest.approx([-1 * MM, 4 * MM])
    unknown = [each.unknown for each in stem_joints(passing(5 * MM, through=False))]
    assert unknown == ["", "the cylinder, if displacer and piston share one"]
    assert [each.short for each in stem_joints(passing(5 * MM, through=False))][1] == -np.inf


def test_a_stem_at_the_height_of_a_yoke_needs_no_hole():
    assert list(stem_joints(passing(None, above=0.05))) == []


@pytest.mark.parametrize("machine", [passing(None), passing(4.5 * MM, z=None)])
def test_what_cannot_be_told_of_a_stem_never_fails_by_itself(machine):
    assert [each.short for each in stem_joints(machine)] == [-np.inf]


def test_rods_of_another_crankpin_and_slots_take_no_length():
    machine = on_rods()
    throws = machine.cranks.throws | {
        "far": replace(machine.cranks.throws["pin"], pin=Pin(diameter=0.005, length=0.02))
    }
    slot = replace(machine.yokes["upper"], rod=None, slot=Slot())
    yokes = machine.yokes | {"upper": replace(machine.yokes["upper"], throw="far"), "slotted": slot}
    found = rod_joints(replace(machine, cranks=replace(machine.cranks, throws=throws), yokes=yokes))
    assert {each.what: each.short for each in found} == pytest.approx(
        {"crankpin pin": -4 * MM, "crankpin far": -14.5 * MM}
    )


def bearing_parts(**cranks):
    """The shaft reaches from -10 to 50 mm, the crankpin of the throw from -35 to -25 mm, at 10 mm from the axis."""
    phase = cranks.pop("phase", 0.0)
    throw = Throw(radius=10 * MM, at=-30 * MM, phase=phase, pin=Pin(diameter=5 * MM, length=10 * MM))
    wheels = {name: cranks.pop(name) for name in ("flywheel", "wheels") if name in cranks}
    return simple({"rod": Rod(length=0.05)}, cranks={"throws": {"pin": throw}, **cranks}, **wheels)


def sitting(engine, hand="right", weights=None):
    return {each.what.removeprefix(f"{hand} "): each.short / MM for each in sitting_joints(engine, weights)
            if each.what.startswith(hand)}  # fmt: skip


def test_webs_and_wheels_must_sit_on_the_shaft():
    """A web 18 mm thick at -16 mm has 3 of the 9 mm that it needs; a wheel whose hub is not known needs a hair."""
    web = Web(mass=0.01, at=-16 * MM, thickness=18 * MM, width=12 * MM)
    bare = Flywheel(at=45 * MM, inertia=1e-4, mass=0.3)
    found = sitting(bearing_parts(webs=(web,), flywheel=bare))
    assert found["web 1"] == pytest.approx(6.0)
    assert found["flywheel"] == pytest.approx(-0.1)
    wide = Flywheel(at=45 * MM, inertia=1e-4, mass=0.3, thickness=18 * MM)
    assert sitting(bearing_parts(webs=(web,), flywheel=wide))["flywheel"] == pytest.approx(9 - 14)
    assert sitting(bearing_parts(flywheel=replace(bare, at=60 * MM)))["flywheel"] == pytest.approx(0.1 + 9.9)


def plate(at, half=3.0, angle=0.0, mass=0.02, corners=None):
    """A counterweight 10 mm thick, of which the plate reaches from 5 to 15 mm from the axis, `half` to each side."""
    corners = corners or [[-half, 5.0], [half, 5.0], [half, 15.0], [-half, 15.0]]
    shape = SimpleNamespace(mass=mass, thickness=10 * MM, corners=np.array(corners) * MM)
    return SimpleNamespace(at=at * MM, angle=angle, shape=shape)


def short(engine, weight, hand="right"):
    return sitting(engine, hand, SimpleNamespace(planes=(weight,)))["counterweight"]


@pytest.mark.parametrize(
    ("at", "missing"),
    [
        (-31.0, 0.9),  # 1 mm from the face of the web, of which a tenth counts as touching
        (-30.2, 0.1),
        (-20.0, -10.1),  # over the web
        (0.0, -5.0),  # all of its 10 mm lie on the shaft, and 5 must
        (48.0, -2.0),
        (54.0, 4.0),
    ],
)
def test_a_counterweight_is_carried_by_the_shaft_or_a_web_that_it_touches(at, missing):
    """A web from -25 to -10 mm, where the shaft begins, on the right crank alone."""
    web = Web(mass=0.01, at=-17.5 * MM, thickness=15 * MM, width=12 * MM, on="right")
    engine = bearing_parts(webs=(web,))
    assert short(engine, plate(at, half=1.0)) == pytest.approx(missing)
    assert short(engine, plate(at, half=1.0), "left") == pytest.approx(5 + max(at - 5, -10) - min(at + 5, 50))


@pytest.mark.parametrize("phase", [0.0, 0.5, -2.0])
@pytest.mark.parametrize(("half", "turned", "taken"), [(3.0, 0.0, True), (2.4, 0.0, False), (3.0, 0.3, False)])
def test_a_counterweight_in_whose_plate_a_crankpin_ends_is_carried(phase, half, turned, taken):
    """The pin of 5 mm must lie wholly in it, the counterweight turned as the throw is."""
    found = short(bearing_parts(phase=phase), plate(-20, half, phase + turned))
    assert found == pytest.approx(0.0 if taken else 10.0)
    lopsided = [[-3.0, 5.0], [8.0, 5.0], [8.0, 15.0], [-3.0, 15.0]]
    assert short(bearing_parts(phase=phase), plate(-20, angle=phase + 0.3, corners=lopsided)) == pytest.approx(10.0)
    assert short(bearing_parts(phase=phase), plate(-20, angle=phase - 0.3, corners=lopsided)) == pytest.approx(0.0)


@pytest.mark.parametrize(("apart", "taken"), [(-1.0, True), (0.05, True), (0.15, False)])
@pytest.mark.parametrize("side", [-1, 1])
def test_a_crankpin_ends_where_the_plate_is(apart, taken, side):
    found = short(bearing_parts(), plate(-30 + side * (10 + apart)))
    assert (found == 0.0) is taken


def test_what_is_held_already_keeps_what_it_has_to_spare():
    web = Web(mass=0.01, at=-17.5 * MM, thickness=15 * MM, width=12 * MM)
    assert short(bearing_parts(webs=(web,)), plate(-25)) == pytest.approx(-5.1)


def test_counterweights_are_numbered_where_there_are_several_and_those_of_no_mass_left_out():
    both = SimpleNamespace(planes=(plate(0), plate(54), plate(54, mass=0.0)))
    found = {name: each for name, each in sitting(bearing_parts(), weights=both).items() if "weight" in name}
    assert found == pytest.approx({"counterweight 1": -5.0, "counterweight 2": 4.0})
    found = [each for each in sitting_joints(bearing_parts(), both) if each.what == "right counterweight 2"]
    assert found[0].why == "nothing carries it there: the right shaft reaches from -10 to 50 mm"


@pytest.mark.parametrize(("play", "short"), [(3.0, -3.0), (2.5, -2.5), (1.5, 0.5), (0.0, 2.0), (-1.0, 1.0)])
def test_what_runs_with_less_than_a_lapped_fit_seizes(play, short):
    """Under 2 um nothing runs: what is missing to that is told, and of what is too wide how much it is."""
    carries = Piston(bore=30 * MM, diameter=30 * MM - play * 1e-6)
    (found,) = fit_joints(simple({"rod": Rod(length=0.05), "carries": carries}))
    assert found.short == pytest.approx(short * 1e-6, abs=1e-12)


def test_a_web_that_lies_wholly_on_the_shaft_has_half_its_length_to_spare():
    """The shaft begins at -25 mm, the web reaches from there to -19 mm."""
    throw = Throw(radius=10 * MM, at=-30 * MM, pin=Pin(diameter=5 * MM, length=10 * MM))
    web = Web(mass=0.01, at=-22 * MM, thickness=6 * MM, width=12 * MM)
    cranks = {"throws": {"pin": throw}, "webs": (web,)}
    shaft = {"starts_at": -25 * MM, "segments": (Segment(length=75 * MM, diameter=8 * MM),)}
    engine = simple({"rod": Rod(length=0.05)}, cranks=cranks, shaft=shaft)
    assert sitting(engine)["web 1"] == pytest.approx(-3.0)


def test_a_web_of_no_given_thickness_is_as_thick_as_the_thickest_of_the_shaft():
    """From -36 to -24 mm by the 12 mm of the shaft's second part: a weight from -23.95 mm on touches it."""
    segments = (Segment(length=20 * MM, diameter=8 * MM), Segment(length=40 * MM, diameter=12 * MM))
    engine = bearing_parts(webs=(Web(mass=0.01, at=-30 * MM),))
    engine = replace(engine, shafts=replace(engine.shafts, segments=segments))
    for at, missing in ((-19.0 + 0.05, -0.05), (-19.0 + 0.3, 0.2)):
        assert short(engine, plate(at, half=1.0)) == pytest.approx(missing)


def test_a_crankpin_takes_a_counterweight_though_another_is_not_given():
    engine = bearing_parts()
    throws = {"bare": Throw(radius=10 * MM, at=-60 * MM), **engine.cranks.throws}
    engine = replace(engine, cranks=replace(engine.cranks, throws=throws))
    assert short(engine, plate(-20)) == pytest.approx(0.0)


def test_a_displacer_needs_room_to_lean_on_its_stem():
    """A play of 0.1 mm over 20 mm of guide leans it by 1/200: 0.2 mm to each side over its 40 mm, and 0.05 aside."""
    hung = Displacer(bore=30 * MM, diameter=29 * MM, length=40 * MM, stem_diameter=4 * MM)
    machine = simple({"rod": Rod(length=0.05), "carries": hung, "guide": Guide(length=20 * MM)})
    (found,) = fit_joints(replace(machine, fits=Fits(guide_play=0.1 * MM)))
    assert found.short == pytest.approx((-1.0 + 2 * (0.05 + 0.2)) * MM)


@pytest.mark.parametrize(("backlash", "short"), [(0.0, 0.02), (0.05, -0.03), (0.4, 0.1)])
def test_teeth_that_bind_or_hammer(backlash, short):
    gears = Gears(module=MM, teeth=50, at=0.0, backlash=backlash * MM)
    machine = simple({"rod": Rod(length=0.05)}, cranks={"gears": gears})
    assert max(each.short for each in tooth_joints(machine)) == pytest.approx(short * MM)
