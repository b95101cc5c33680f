"""The room between parts other than yokes: by hand, by brute force, and never less well than a full look."""

from dataclasses import replace

import numpy as np
import pytest
import shapely

from balance.motion import crank_angles, move
from designs.command.inputs import SHIPPED
from designs.evaluate import closely
from designs.reading import read
from shafts.gap.clearances import Clearance

NAMES = ["redesign", "rhombic"]


@pytest.fixture(scope="module", params=NAMES)
def evaluation(request):
    return closely(read(SHIPPED / f"{request.param}.yaml"))


def by_name(found: list[Clearance]) -> dict[str, Clearance]:
    return {each.names: each for each in found}


def test_the_quick_look_finds_the_nearest_pair_of_the_full_one(evaluation):
    speed = evaluation.design.speed.most
    quick = min(float(each.least(speed)[0]) for each in evaluation.tightest)
    full = min(float(each.least(speed)[0]) for each in evaluation.clearances)
    assert quick == pytest.approx(full, abs=1e-9)


def test_mirrored_pins_come_as_near_as_the_shafts_are_apart_less_both_throws(evaluation):
    """By hand: pins turned inward stand c - 2 r apart, less a pin's diameter."""
    cranks = evaluation.design.cranks
    found = by_name(evaluation.clearances)
    for name, throw in cranks.throws.items():
        pair = found[f"right crankpin {name} and left crankpin {name}"]
        by_hand = cranks.centre_distance - 2 * throw.radius - throw.pin.diameter
        assert np.min(pair.distance) == pytest.approx(by_hand, abs=1e-9)


def test_a_rod_to_the_floor_by_hand(evaluation):
    """The rods' big ends come lowest with their pins; a rod's edge is round there."""
    floor = evaluation.design.walls["floor"]
    top = max(y for _, y in floor.corners)
    for name, yoke in evaluation.design.yokes.items():
        if yoke.side == "below":
            continue
        lowest = -evaluation.design.cranks.throws[yoke.throw].radius
        pair = by_name(evaluation.clearances)[f"right rod of {name} and floor"]
        assert np.min(pair.distance) == pytest.approx(lowest - top - yoke.rod.width / 2, abs=2e-6)


def test_distances_by_brute_force(evaluation):
    """Rod of one side and yoke, rebuilt from the motion alone and measured by shapely at odd angles."""
    design = evaluation.design
    name, other = list(design.yokes)
    pair = by_name(evaluation.clearances).get(f"right rod of {name} and yoke {other}")
    if pair is None:
        pytest.skip("their ranges along the shafts do not meet")
    moved = move(design, crank_angles(360))
    for place in (0, 37, 121, 200, 333):
        rod, yoke = moved.yokes[name], moved.yokes[other]
        line = shapely.LineString(
            [(rod.pin.x[place], rod.pin.along[place]), (design.yokes[name].half_span, rod.height[place])]
        )
        bar = shapely.Polygon([(x, y + yoke.height[place]) for x, y in design.yokes[other].outline.corners])
        apart = max(line.distance(bar) - design.yokes[name].rod.width / 2, 0.0)
        assert pair.distance[place] == pytest.approx(apart, abs=1e-12)


def test_at_rest_with_rigid_parts_nothing_moves():
    """Huge stiffness, no play and no weight: the room at any speed is that of the drawing."""
    design = read(SHIPPED / "redesign.yaml")
    hard = replace(design.shafts.material, young=1e25, shear=4e24)
    bearings = tuple(
        replace(each, stiffness=1e22, seat_stiffness=1e22, clearance=0.0) for each in design.shafts.bearings
    )
    yokes = {
        name: replace(yoke, arm=None, rod=replace(yoke.rod, play=0.0, section=None))
        for name, yoke in design.yokes.items()
    }
    throws = {
        name: replace(throw, pin=replace(throw.pin, material=hard)) for name, throw in design.cranks.throws.items()
    }
    gears = replace(design.cranks.gears, backlash=0.0)
    webs = tuple(replace(web, thickness=None) for web in design.cranks.webs)
    rigid = replace(
        design,
        shafts=replace(design.shafts, material=hard, bearings=bearings),
        yokes=yokes,
        cranks=replace(design.cranks, throws=throws, gears=gears, webs=webs),
    )
    for pair in closely(rigid).clearances[:6]:
        np.testing.assert_allclose(pair.gap(rigid.speed.most), pair.distance, atol=1e-12)


def test_a_wall_in_the_way_is_struck_and_named():
    design = read(SHIPPED / "redesign.yaml")
    wall = replace(design.walls["floor"], offset=(0.0, -0.012))
    evaluation = closely(replace(design, walls={"floor": wall}))
    nearest = evaluation.tightest[0]
    assert "floor" in nearest.names
    assert np.min(nearest.distance) == 0.0


def test_parts_that_never_share_a_plane_are_not_looked_at():
    design = read(SHIPPED / "redesign.yaml")
    far = replace(design.walls["floor"], z=(0.5, 0.6))
    evaluation = closely(replace(design, walls={"floor": far}))
    assert not any("floor" in pair.names for pair in evaluation.clearances)
