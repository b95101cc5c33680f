"""Room around the counterweights: closed forms, and points sprinkled over the real shapes at random angles."""

from dataclasses import replace

import numpy as np
import pytest
from limits.evaluated import SPEED

from balance.bodies.every import bodies, without_body
from balance.machine.counterweights import Counterweights, SectorShape
from balance.machine.crank import Cranks, Pin, Throw
from balance.machine.machine import Machine
from balance.machine.yoke import Outline, Part, Rod, Yoke
from balance.motion import crank_angles, move
from balance.weights import balancing
from balance.weights.balancing import Weight, Weights
from balance.weights.clearance import circle_clearance, proven_clearances, weight_parts
from balance.weights.plate_choice import plate_for

DISTANCE, PLANE = 0.044, -0.02
PIN = Pin(diameter=0.005, length=0.010)
DEGREES = crank_angles(360)


def machine(walls=None, outline=None, side="above", rod=None, pin=PIN) -> Machine:
    """Return a machine with one yoke on rods that pull half way along a crankpin in the plane of the weights."""
    hung = rod or Rod(length=0.042, width=0.008, thickness=0.004)
    yoke = Yoke(throw="pin", side=side, half_span=0.014, rod=hung, parts={"all": Part(mass=0.1)}, outline=outline)
    throws = {"pin": Throw(radius=0.010, phase=0.2, at=PLANE, pin=pin)}
    stock = Counterweights(thickness=0.006, smallest_radius=0.005, largest_radius=0.020, at=PLANE)
    return Machine(
        speed=SPEED,
        cranks=Cranks(centre_distance=DISTANCE, throws=throws),
        yokes={"only": yoke},
        walls=walls or {},
        counterweights=stock,
    )


def weights(outer: float, angle: float, at: float = PLANE, half: float = 0.8) -> Weights:
    """Return a sector of this outer radius and half angle at a place in the crank frame, the same on both shafts."""
    stock = Counterweights(
        thickness=0.006, smallest_radius=0.005, largest_radius=outer, at=at, shape=SectorShape(angle=2 * half),
        solve_for="thickness",
    )  # fmt: skip
    plate = replace(plate_for(stock, 1.0), thickness=0.006)
    return Weights((Weight(at, plate.moment, angle, plate),), {})


def named(rooms: list, weight: str, part: str):
    (found,) = [room for room in rooms if room.weight == weight and room.part == part]
    return found


@pytest.mark.parametrize("outer", [0.018, 0.021, 0.0215])
def test_mirrored_weights_keep_the_centre_distance_less_two_radii(outer):
    found = proven_clearances(machine(), weights(outer, 0.4), {})
    assert named(found, "right counterweight", "left counterweight").gap == pytest.approx(
        DISTANCE - 2 * outer, abs=1e-6
    )
    assert circle_clearance(DISTANCE, outer, 0.0) == pytest.approx(DISTANCE - 2 * outer)


def test_mirrored_weights_that_reach_over_the_middle_strike_by_what_each_must_lose():
    found = named(proven_clearances(machine(), weights(0.0235, 0.4), {}), "right counterweight", "left counterweight")
    assert found.gap == pytest.approx(DISTANCE / 2 - 0.0235, abs=1e-5)
    clear = weights(0.0235 + found.gap - 1e-5, 0.4)
    assert named(proven_clearances(machine(), clear, {}), "right counterweight", "left counterweight").gap > 0


def test_the_other_shaft_is_as_far_as_its_radius_leaves():
    shafts = {"right": [(-0.03, 0.0, 0.004)], "left": [(-0.03, -0.018, 0.003), (-0.018, 0.0, 0.006)]}
    found = proven_clearances(machine(), weights(0.020, 0.4), shafts)
    gaps = sorted(room.gap for room in found if room.part == "left shaft")
    np.testing.assert_allclose(gaps, [DISTANCE - 0.020 - 0.006, DISTANCE - 0.020 - 0.003], atol=1e-6)
    assert named(found, "left counterweight", "right shaft").gap == pytest.approx(DISTANCE - 0.020 - 0.004, abs=1e-6)
    assert circle_clearance(DISTANCE, 0.020, 0.006) == pytest.approx(DISTANCE - 2 * 0.020)
    assert circle_clearance(DISTANCE, 0.012, 0.025) == pytest.approx(DISTANCE - 0.012 - 0.025)


@pytest.mark.parametrize("angle", [np.pi + 0.2, 0.2 + 1.2, 0.2 - 1.9])
def test_its_own_crankpin_turns_with_it(angle):
    """A pin at 10 mm and a sector from 5 mm: the nearest straight side or nothing between, the same at every angle."""
    found = named(proven_clearances(machine(), weights(0.020, angle), {}), "right counterweight", "right crankpin pin")
    apart = abs((angle - 0.2 + np.pi) % (2 * np.pi) - np.pi) - 0.8
    nearest = 0.010 * np.sin(apart) if apart < np.arccos(0.5) else None
    if nearest is not None:
        assert found.gap == pytest.approx(nearest - 0.0025, abs=1e-6)
    else:
        corner = np.sqrt(0.010**2 + 0.005**2 - 2 * 0.010 * 0.005 * np.cos(apart))
        assert found.gap == pytest.approx(corner - 0.0025, abs=1e-6)


def test_a_weight_on_its_crankpin_strikes_it():
    found = named(proven_clearances(machine(), weights(0.020, 0.2), {}), "right counterweight", "right crankpin pin")
    assert found.gap == pytest.approx(0.010 - 0.0025 - 0.020, abs=2e-5)  # down to the pin's near side


def test_a_wall_beside_is_struck_at_the_angle_at_which_the_weight_points_to_it():
    """A wall right of the right shaft, its face 19 mm from it: a weight of 20 mm is 1 mm too large at 90 degrees."""
    wall = Outline(polygon=((0.041, -0.03), (0.045, -0.03), (0.045, 0.03), (0.041, 0.03)), z=(-0.03, 0.0))
    found = proven_clearances(machine({"side": wall}), weights(0.020, 0.0, half=0.05), {})
    right = named(found, "right counterweight", "side")
    assert right.gap == pytest.approx(-0.001, abs=2e-6)
    assert np.rad2deg(right.angle) == pytest.approx(90.0, abs=np.rad2deg(0.05))  # the rim is 0.1 rad wide
    assert named(found, "left counterweight", "side").gap == pytest.approx(0.041 + DISTANCE / 2 - 0.020, abs=2e-6)
    clear = named(
        proven_clearances(machine({"side": wall}), weights(0.0185, 0.0, half=0.05), {}), "right counterweight", "side"
    )
    assert clear.gap == pytest.approx(0.0005, abs=2e-6)


def test_of_two_near_places_of_a_wall_the_nearer_one_counts_at_whatever_angle_it_is():
    """A face that leaves 1 mm at 90 degrees, and a corner that leaves 0.95 mm at 45."""
    away = 0.02095 / np.sqrt(2)
    corners = ((0.043, -0.03), (0.043, 0.01), (0.022 + away, away), (0.043, 0.03), (0.05, 0.03), (0.05, -0.03))
    wall = Outline(polygon=corners, z=(-0.03, 0.0))
    found = proven_clearances(machine({"side": wall}), weights(0.020, 0.0, half=0.05), {})
    right = named(found, "right counterweight", "side")
    assert right.gap == pytest.approx(0.00095, abs=2e-6)
    assert np.rad2deg(right.angle) == pytest.approx(45.0, abs=3.0)


def test_what_lies_elsewhere_along_the_shafts_cannot_be_struck():
    wall = Outline(rectangle=(0.2, 0.2), z=(-0.0169, 0.0))  # the plate ends at -17 mm
    assert not [
        room for room in proven_clearances(machine({"all": wall}), weights(0.020, 0.0), {}) if room.part == "all"
    ]
    found = proven_clearances(machine({"all": wall}), weights(0.020, 0.0), {}, play=0.0002)
    assert [room for room in found if room.part == "all" and room.gap < 0]


@pytest.mark.parametrize("angle", [0.0, 2.0, 4.0])
def test_no_sprinkled_point_of_weight_and_yoke_is_nearer(angle):
    """Points on the sector's rim and sides at random angles against the yoke's rectangle, moved by the closed form."""
    outline = Outline(rectangle=(0.052, 0.008), z=(-0.03, -0.01))
    built, cut = machine(outline=outline), weights(0.0195, angle)
    room = named(proven_clearances(built, cut, {}), "right counterweight", "yoke only")
    generator = np.random.default_rng(6)
    theta, radius = generator.uniform(0, 2 * np.pi, 200_000), generator.uniform(0.005, 0.0195, 200_000)
    turn = theta + angle + generator.uniform(-0.8, 0.8, 200_000)
    x, y = DISTANCE / 2 + radius * np.sin(turn), radius * np.cos(turn)
    pin_x, pin_y = DISTANCE / 2 + 0.010 * np.sin(theta + 0.2), 0.010 * np.cos(theta + 0.2)
    height = pin_y + np.sqrt(0.042**2 - (pin_x - 0.014) ** 2)
    away = np.hypot(np.maximum(np.abs(x) - 0.026, 0), np.maximum(np.abs(y - height) - 0.004, 0))
    assert room.gap <= away.min() + 2e-5
    assert room.gap >= away.min() - 3e-4  # 200 000 points lie about so close


def test_no_sprinkled_point_of_weight_and_rod_is_nearer():
    built, cut = machine(), weights(0.0195, np.pi + 0.2)
    rooms = proven_clearances(built, cut, {})
    generator = np.random.default_rng(7)
    count = 400_000
    theta, radius = generator.uniform(0, 2 * np.pi, count), generator.uniform(0.005, 0.0195, count)
    turn = theta + np.pi + 0.2 + generator.uniform(-0.8, 0.8, count)
    x, y = DISTANCE / 2 + radius * np.sin(turn), radius * np.cos(turn)
    for hand, sign in (("right", 1), ("left", -1)):
        px, py = sign * (DISTANCE / 2 + 0.010 * np.sin(theta + 0.2)), 0.010 * np.cos(theta + 0.2)
        dx, dy = sign * 0.014 - px, np.sqrt(0.042**2 - (np.abs(px) - 0.014) ** 2)
        along = np.clip(((x - px) * dx + (y - py) * dy) / (dx**2 + dy**2), 0, 1)
        away = np.hypot(x - px - along * dx, y - py - along * dy) - 0.004
        room = named(rooms, "right counterweight", f"{hand} rod of only")
        # Where they strike, the room is what the radius must come down by: down to the innermost struck point.
        expected = away.min() if away.min() > 0 else radius[away <= 0].min() - 0.0195
        assert room.gap == pytest.approx(expected, abs=3e-4)


def test_left_and_right_are_alike_in_a_mirrored_machine():
    outline = Outline(rectangle=(0.052, 0.008), z=(-0.03, -0.01))
    found = proven_clearances(machine(outline=outline), weights(0.0195, 2.5), {})
    for part in ("yoke only", "right rod of only"):
        other = part.replace("right", "left")
        right, left = named(found, "right counterweight", part), named(found, "left counterweight", other)
        assert right.gap == pytest.approx(left.gap, abs=1e-9)


def words_without(built):
    return [each.words for each in without_body(built)]


def test_parts_without_an_outline_are_named():
    bare = machine(rod=Rod(length=0.042), pin=None)
    text = " ".join(words_without(bare))
    for word in ("yoke only", "rods of only", "crankpin pin", "case (walls)"):
        assert word in text
    assert "case" not in " ".join(words_without(machine({"floor": Outline(rectangle=(0.1, 0.01), z=(0.0, 0.1))})))
    assert "yoke" not in " ".join(words_without(machine(outline=Outline(rectangle=(0.05, 0.01), z=(0.0, 0.01)))))


@pytest.mark.parametrize("known", [{"width": 0.008}, {"thickness": 0.004}])
def test_a_rod_of_half_a_size_is_taken_by_its_crankpin_and_named(known):
    """A rod on a crankpin is taken to be two pins wide and one thick; without a crankpin it has no body."""
    built = machine(rod=Rod(length=0.042, **known))
    pin = built.cranks.throws["pin"].pin
    (right, _) = (part for part in bodies(built, move(built, crank_angles(12)), {}) if part.kind == "rod")
    assert right.taken == "yokes.only.rod.width and .thickness"
    assert right.radius == pytest.approx(known.get("width", 2 * pin.diameter) / 2)
    assert right.z[1] - right.z[0] == pytest.approx(known.get("thickness", pin.diameter))
    bare = machine(rod=Rod(length=0.042, **known), pin=None)
    assert "rods of only (yokes.only.rod.width and .thickness)" in words_without(bare)
    assert not [part for part in bodies(bare, move(bare, crank_angles(12)), {}) if part.kind == "rod"]


def test_round_parts_reach_half_their_length_to_either_side_of_their_throw():
    """A pin of 10 mm and rods of 4 mm about the plane at -20 mm; halves of 5 and 8 mm round about their middles."""
    built = machine()
    found = {part.name: part for part in bodies(built, move(built, crank_angles(12)), {})}
    for hand in ("right", "left"):
        pin, rod = found[f"{hand} crankpin pin"], found[f"{hand} rod of only"]
        np.testing.assert_allclose([*pin.z, pin.radius], [-0.025, -0.015, 0.0025], rtol=1e-12)
        np.testing.assert_allclose([*rod.z, rod.radius], [-0.022, -0.018, 0.004], rtol=1e-12)


def test_a_rectangle_is_drawn_about_its_offset_and_rides_with_its_yoke():
    """60 x 8 mm, its middle 1 mm to the right and 3 mm down from the yoke's own; a triangle's corners as they are."""
    outline = Outline(rectangle=(0.060, 0.008), offset=(0.001, -0.003), z=(-0.03, -0.01))
    built = machine({"wedge": Outline(polygon=((0, 0), (0.01, 0), (0, 0.01)), offset=(0.1, 0.2), z=(0, 0.1))}, outline)
    moved = move(built, crank_angles(12))
    found = {part.name: part for part in bodies(built, moved, {})}
    for shape, height in zip(found["yoke only"].shapes, moved.yokes["only"].height, strict=True):
        np.testing.assert_allclose(shape.bounds, (-0.029, height - 0.007, 0.031, height + 0.001), rtol=0, atol=1e-15)
        assert shape.is_valid
        assert shape.area == pytest.approx(0.060 * 0.008)
    np.testing.assert_allclose(found["wedge"].shapes.centroid.coords[0], (0.1 + 0.01 / 3, 0.2 + 0.01 / 3))


def test_two_planes_are_looked_at_against_each_other_only_where_they_meet():
    one, two = weights(0.0235, 0.3), weights(0.0235, 0.3, at=0.02)
    both = Weights((*one.planes, *two.planes), {})
    found = {(room.weight, room.part) for room in proven_clearances(machine(), both, {})}
    assert ("right counterweight 1", "left counterweight 1") in found
    assert ("right counterweight 1", "left counterweight 2") not in found


def test_weights_without_mass_strike_nothing():
    stock = machine().counterweights
    empty = balancing.weights_of(stock, [np.array(0j)], {})
    assert proven_clearances(machine(), empty, {}) == []
    assert weight_parts(machine(), empty, DEGREES) == []


def test_weights_are_parts_of_both_shafts_in_every_plane():
    """Plates of 6 mm about their planes; at crank angle zero a half angle of 0.8 about +y, 22 mm off the middle."""
    one, two = weights(0.0195, 0.0), weights(0.0195, 0.0, at=0.02)
    found = {part.name: part for part in weight_parts(machine(), Weights((*one.planes, *two.planes), {}), DEGREES)}
    assert set(found) == {f"{hand} counterweight {number}" for hand in ("right", "left") for number in (1, 2)}
    for name, part in found.items():
        middle = -0.02 if name.endswith("1") else 0.02
        np.testing.assert_allclose(part.z, (middle - 0.003, middle + 0.003), rtol=1e-9)
        sign = 1 if part.hand == "right" else -1
        low_x, low_y, high_x, high_y = part.shapes[0].bounds
        wide = 0.0195 * np.sin(0.8)
        np.testing.assert_allclose((low_x, high_x), (sign * 0.022 - wide, sign * 0.022 + wide), rtol=1e-9)
        np.testing.assert_allclose((low_y, high_y), (0.005 * np.cos(0.8), 0.0195), rtol=1e-3)
        assert part.follows == ("weight", "")


def test_what_turns_with_it_alone_is_what_all_are_less_the_rest():
    """Rods move against it, unless they run on the crankpin that carries it: they are looked at at speed."""
    cut = weights(0.0235, 0.3)
    every, own = (proven_clearances(machine(), cut, {}, own_alone=alone) for alone in (False, True))
    assert [vars(each) for each in own] == [vars(each) for each in every if each.own and "rod" not in each.part]
    assert 0 < len(own) < len(every)


def test_a_part_drawn_only_where_it_is_looked_at_is_the_same_part():
    """Looked at every tenth degree, then about some of these: what was drawn before is not drawn again elsewhere."""
    (part, _), (known, _) = (weight_parts(machine(), weights(0.0195, 0.4), DEGREES) for _ in range(2))
    for mask in (np.arange(360) % 10 == 0, np.arange(360) < 25, np.arange(360) % 7 == 3):
        assert all(each.equals(other) for each, other in zip(part.at(mask), known.shapes[mask], strict=True))
