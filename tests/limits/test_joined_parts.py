"""What must be joined, by hand on one small machine: how much each part falls short, and what cannot be told."""

from dataclasses import replace

import pytest
from limits.test_gap_items import bushes, simple

from balance.machine.crank import Pin, Throw
from balance.machine.cylinder import Cylinder
from balance.machine.yoke import Displacer, Outline, Part, Piston, Rod, Yoke
from shafts.bearings.ball import Ball
from shafts.bearings.bearing import Bearing
from shafts.bearings.bush import Bush
from shafts.bearings.needle import NEEDLE_STOCK
from shafts.clearance.joined import fit_joints, rod_joints, sitting_joints, stem_joints
from shafts.clearance.seats import bearing_size, seat_bodies

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
