"""Which parts could meet, and where two come nearest: parts placed by hand, each for one reason."""

from dataclasses import replace

import numpy as np
import pytest
import shapely
from hypothesis import assume, given
from hypothesis import strategies as st
from limits.test_gap_items import simple
from shapely.affinity import translate

from balance.machine.carried import Displacer, Piston
from balance.machine.crank import Throw
from balance.machine.yoke import Outline, Rod
from balance.obstacles import Missing, Obstacle
from shafts.clearance.nearest import CORNERS, deepest_points, faced, nearest_points
from shafts.clearance.pairs import could_meet, group_of, stem_crosses, unlooked

MM = 1e-3
BORE = 0.03


def machine(play=0.0, through=True, drawn=None):
    """Yokes a and b on one throw, c on another; a carries a displacer, b a piston; bearings stand at 0 and 40 mm."""
    throws = {"pin": Throw(radius=0.01, at=-0.03), "far": Throw(radius=0.01, at=-0.05)}
    found = simple({"rod": Rod(length=0.05)}, cranks={"throws": throws})
    yoke = found.yokes["only"]
    yokes = {
        "a": replace(yoke, carries=Displacer(bore=BORE, stem_diameter=4 * MM, stem_through_piston=through)),
        "b": replace(yoke, carries=Piston(bore=BORE, outline=drawn)),
        "c": replace(yoke, throw="far"),
    }
    return replace(found, yokes=yokes, fits=replace(found.fits, axial_play=play))


def part(kind, hand="right", yoke="", z=(0.0, 1.0), shape=None, joins=(), name=None, radius=0.0):
    """Return a part that lies anywhere; a yoke's parts follow it by its name."""
    shape = shapely.Point(0, 0) if shape is None else shape
    return Obstacle(name or f"{hand} {kind} {yoke}", hand, z, shape, radius, (kind, yoke), joins, kind=kind)


def meet(one, other, engine=None):
    """Return whether two parts could meet, asked either way round."""
    engine = engine or machine()
    answers = could_meet(engine, one, other), could_meet(engine, other, one)
    assert answers[0] == answers[1]
    return answers[0]


@pytest.mark.parametrize(
    ("one", "other", "could"),
    [
        # what could strike what
        (part("rod", yoke="a"), part("rod", yoke="c"), True),  # on unlike crankpins
        (part("rod", yoke="a"), part("yoke", "both", "b"), True),  # a yoke that it does not carry
        (part("weight"), part("rod", yoke="a"), True),
        (part("weight"), part("weight", "left"), True),
        (part("weight"), part("shaft", "left"), True),
        (part("pin", yoke="a"), part("pin", "left", "a"), True),  # mirror images, though of one yoke
        (part("rod", yoke="a"), part("rod", "left", "a"), True),
        (part("rod", yoke="a"), part("case", "both"), True),
        (part("wheel"), part("wheel", "left"), True),
        (part("wheel"), part("rod", yoke="a"), True),
        (part("bearing"), part("rod", yoke="a"), True),
        (part("bearing"), part("shaft", "left"), True),
        (part("bearing"), part("bearing", "left"), False),  # neither moves; told along the shafts
        (part("gear"), part("wheel", "left"), True),
        (part("stem", "both", "a"), part("cylinder", "both"), True),
        (part("post", "both", "b"), part("yoke", "both", "a"), True),
        # what stands still, and what belongs together
        (part("case", "both"), part("cylinder", "both"), False),
        (part("case", "both"), part("bearing"), False),
        (part("yoke", "both", "a"), part("yoke", "both", "b"), False),  # the gap
        (part("gear"), part("gear", "left"), False),  # they mesh
        (part("gear"), part("weight"), False),  # both turn with one shaft
        (part("shaft"), part("web"), False),
        (part("shaft"), part("rod", yoke="a"), False),  # no shaft along a throw
        (part("bearing"), part("wheel"), False),  # told by the room along the shaft
        (part("rod", yoke="a"), part("rod", yoke="b"), False),  # side by side on one crankpin
        (part("rod", yoke="a"), part("web", joins=("pin", "far")), False),  # faced to run beside it
        (part("rod", yoke="c"), part("web", joins=("pin",)), True),  # a web that does not reach its crankpin
        (part("yoke", "both", "a"), part("rod", yoke="a"), False),  # hung on it
        # what runs in what
        (part("stem", "both", "a"), part("yoke", "both", "b"), False),
        (part("stem", "both", "a"), part("carried", "both", "b"), False),  # through the piston
        (part("carried", "both", "a"), part("carried", "both", "b"), False),  # by their measures
        (part("carried", "both", "b"), part("cylinder", "both"), False),
    ],
    ids=lambda each: each.name if isinstance(each, Obstacle) else str(each),
)  # fmt: skip
def test_what_could_meet(one, other, could):
    assert meet(one, other) is could


def test_the_same_part_never_meets_itself():
    assert not meet(part("rod", yoke="a", name="it"), part("rod", "left", "c", name="it"))


def test_a_stem_meets_a_piston_that_has_no_hole_for_it_and_the_displacer_is_no_piston():
    stem, piston, displacer = (part(kind, "both", yoke) for kind, yoke in
                               (("stem", "a"), ("carried", "b"), ("carried", "a")))  # fmt: skip
    assert not meet(stem, piston)
    assert meet(stem, piston, machine(through=False))
    assert not meet(stem, displacer)  # it hangs on it
    two = machine()
    two = replace(two, yokes=two.yokes | {"b": replace(two.yokes["b"], carries=two.yokes["a"].carries)})
    assert meet(stem, part("carried", "both", "b"), two)


def test_pistons_of_which_one_is_drawn_are_looked_at():
    drawn = machine(drawn=Outline(rectangle=(BORE, 0.02), z=(-0.05, 0.0)))
    assert meet(part("carried", "both", "a"), part("carried", "both", "b"), drawn)


@pytest.mark.parametrize(("gap", "could"), [(0.0, True), (0.5e-9, True), (2e-9, False), (-1e-6, True)])
@pytest.mark.parametrize("play", [0.0, 0.2e-3])
def test_parts_whose_faces_touch_once_both_have_moved_could_meet(gap, could, play):
    """A shared face rubs, whatever its last digit: so no unit in which it is written decides."""
    one, other = part("weight", z=(0.0, 0.01)), part("rod", yoke="a", z=(0.01 + play + gap, 0.02))
    assert meet(one, other, machine(play)) is could
    below = part("rod", yoke="a", z=(-0.02, -play - gap))
    assert meet(one, below, machine(play)) is could


def test_a_shaft_passes_through_the_wall_that_holds_its_bearing_and_through_no_other():
    through = shapely.box(-0.1, -0.1, 0.1, 0.1)
    shaft = part("shaft", z=(-0.01, 0.05))
    for z, could in (((-2 * MM, 2 * MM), False), ((38 * MM, 42 * MM), False), ((0.01, 0.02), True)):
        assert meet(shaft, part("case", "both", z=z, shape=through)) is could
    for z, could in (((0.5e-7, 2 * MM), False), ((1.5e-7, 2 * MM), True), ((-2 * MM, -1.5e-7), True),
                     ((-2 * MM, -0.5e-7), False)):  # fmt: skip
        assert meet(shaft, part("case", "both", z=z, shape=through)) is could
    beside = shapely.box(0.05, -0.1, 0.1, 0.1)  # it does not stand about the shaft
    assert meet(shaft, part("case", "both", z=(-2 * MM, 2 * MM), shape=beside))


def test_each_shaft_has_bearings_of_its_own_in_the_wall():
    engine = machine()
    right = engine.shafts.pair[0]
    left = replace(engine.shafts.pair[1], bearings=tuple(replace(each, at=each.at + 5 * MM) for each in right.bearings))
    engine = replace(engine, shafts=replace(engine.shafts, left=left))
    wall = part("case", "both", z=(4 * MM, 6 * MM), shape=shapely.box(-0.1, -0.1, 0.1, 0.1))
    assert not meet(part("shaft", "left", z=(-0.01, 0.05)), wall, engine)
    assert meet(part("shaft", z=(-0.01, 0.05)), wall, engine)


@pytest.mark.parametrize(
    ("left", "width", "wide", "could"),
    [
        (15.0, 3.0, 29.9, False),  # the wall beside the bore, the piston within it
        (-18.0, 3.0, 29.9, False),  # and on the other side
        (14.9, 3.0, 29.9, True),  # a wall that reaches into the bore
        (-17.9, 3.0, 29.9, True),
        (15.0, 3.0, 30.2, True),  # a piston wider than its bore
        # less than a tenth of a micrometre is rounding, and no more
        (15.0 - 0.5e-4, 3.0, 29.9, False),
        (-18.0 + 0.5e-4, 3.0, 29.9, False),
        (15.0 - 2e-4, 3.0, 29.9, True),
        (-18.0 + 2e-4, 3.0, 29.9, True),
        (15.0, 3.0, 30.0 + 1e-4, False),
        (15.0, 3.0, 30.0 + 3e-4, True),
    ],
)
def test_a_piston_runs_beside_the_walls_of_its_bore(left, width, wide, could):
    wall = part("case", "both", shape=shapely.box(left * MM, -1, (left + width) * MM, 1))
    shapes = np.array([shapely.box(-wide / 2 * MM, y, wide / 2 * MM, y + 0.02) for y in (0.0, 0.01)])
    assert meet(part("carried", "both", "b", shape=shapes), wall) is could


@pytest.mark.parametrize("side", [-1, 1])
def test_a_piston_off_centre_or_a_cylinder_where_a_wall_is_asked_for(side):
    wall = part("case", "both", shape=shapely.box(15 * MM, -1, 18 * MM, 1))
    off = np.array([shapely.box((-14 + 1.5 * side) * MM, 0.0, (14 + 1.5 * side) * MM, 0.02)])
    assert meet(part("carried", "both", "b", shape=off), wall)  # it would leave its bore at that side
    assert meet(part("post", "both", "b", shape=off), wall)


def test_each_pair_is_told_in_one_kind():
    kinds = [("rod", "yoke", ""), ("rod", "weight", "weights"), ("weight", "wheel", "wheels"),
             ("gear", "case", "wheels"), ("stem", "rod", "carried"), ("bearing", "rod", "bearings"),
             ("bearing", "weight", "weights")]  # fmt: skip
    for one, other, group in kinds:
        assert group_of(part(one), part(other)) == group_of(part(other), part(one)) == group


def test_what_has_no_body_matters_where_a_part_of_the_kind_lies_beside_it():
    parts = [part("weight", z=(0.0, 0.01)), part("rod", yoke="a", z=(0.05, 0.06))]
    missing = [Missing("beside", (0.005, 0.02)), Missing("far", (0.03, 0.04)), Missing("anywhere")]
    assert [each.words for each in unlooked(parts, missing, "weights")] == ["beside", "anywhere"]
    assert [each.words for each in unlooked(parts, missing, "")] == ["anywhere"]
    assert unlooked(parts, missing, "wheels") == []


def test_what_lies_in_the_way_of_the_cylinder():
    engine = machine()
    assert stem_crosses(engine, (-0.06, -0.02))
    assert not stem_crosses(engine, (0.01, 0.02))
    for less, crosses in ((0.5e-7, True), (1.5e-7, False)):
        assert stem_crosses(engine, (-0.06, -0.03 - less)) is crosses
        assert stem_crosses(engine, (-0.03 + less, -0.02)) is crosses


# Where two parts come nearest

ALWAYS = np.ones(2, dtype=bool)


def bar(name, left, low, width=0.02, high=0.01, tilt=0.0, hand="both", kind="yoke"):
    """Return a bar at two angles, 1 mm higher at the second; its far end higher by its length times the tilt."""
    shapes = [shapely.Polygon([(left, low + up), (left + width, low + up + tilt * width),
                               (left + width, low + up + high + tilt * width), (left, low + up + high)])
              for up in (0.0, MM)]  # fmt: skip
    return Obstacle(name, hand, (0.0, 1.0), np.array(shapes), 0.0, (kind, name), kind=kind)


def test_the_nearest_points_are_those_of_two_bars_one_above_the_other():
    under, over = bar("under", 0.0, 0.0), bar("over", 0.03, 0.02)
    one, other = nearest_points(under, over, ALWAYS)
    np.testing.assert_allclose(one, [[0.02, 0.02], [0.01, 0.011]], atol=1e-15)
    np.testing.assert_allclose(other, [[0.03, 0.03], [0.02, 0.021]], atol=1e-15)
    assert nearest_points(under, over, np.array([False, True])).shape == (2, 2, 1)


def test_mirror_images_are_nearest_across_the_plane_between_them():
    """Each at its own corner that is nearest to the plane; what crosses the plane meets its image there."""
    right, left = (bar(f"{hand} web", sign * 0.004 - (sign < 0) * 0.02, 0.0, tilt=0.1, hand=hand)
                   for hand, sign in (("right", 1), ("left", -1)))  # fmt: skip
    one, other = nearest_points(right, left, ALWAYS)
    np.testing.assert_allclose(one[0], [0.004, 0.004], atol=1e-15)
    np.testing.assert_allclose(other, one * np.array([-1, 1])[:, None], atol=1e-15)
    np.testing.assert_allclose(one[1], [0.0, MM], atol=1e-15)
    again, image = nearest_points(left, right, ALWAYS)
    np.testing.assert_allclose(again[0], [-0.004, -0.004], atol=1e-15)
    np.testing.assert_allclose(image[0], [0.004, 0.004], atol=1e-15)
    across = bar("right web", -0.003, 0.0, hand="right")
    crossing = nearest_points(across, bar("left web", 0.0, 0.0, hand="left"), ALWAYS)
    np.testing.assert_allclose(crossing[:, 0], 0.0, atol=1e-15)
    rods = (
        replace(right, name="right rod of a"),
        replace(left, name="left rod of b", drawn=shapely.transform(left.shapes, lambda at: at - (0.01, 0.0))),
    )
    apart = np.diff([each[0] for each in nearest_points(*rods, ALWAYS)], axis=0)
    np.testing.assert_allclose(apart, -0.018, atol=1e-15)  # unlike parts are no mirror images


def still(shape, name="part"):
    """Return a part that stands so at two angles."""
    return Obstacle(name, "both", (0.0, 1.0), np.array([shape, shape]))


def way_out(one, other):
    """Return how far, and which way, the first of two shapes comes out of the other."""
    found = deepest_points(still(one), still(other), ALWAYS)
    way = found[1, :, 0] - found[0, :, 0]
    return float(np.hypot(*way)), way


@pytest.mark.parametrize(
    ("one", "other", "way"),
    [
        # A stem 6 mm wide that stands 5 mm below the upper face of a floor, 3 mm of it through the floor.
        (shapely.box(-3, -5, 3, 60), shapely.box(-50, -2, 50, 0), (0.0, 5.0)),
        (shapely.box(0, 0, 10, 10), shapely.box(7, -20, 9, 30), (-3.0, 0.0)),  # the wall's far side is farther
        (shapely.box(0, 0, 10, 10), shapely.box(1, -20, 3, 30), (3.0, 0.0)),
        (shapely.Point(1, 2), shapely.box(0, 0, 10, 10), (-1.0, 0.0)),
        (shapely.LineString([(0, 0), (8, 0)]), shapely.box(6, -1, 20, 9), (0.0, -1.0)),
    ],
)
def test_what_overlaps_comes_out_by_the_shortest_way(one, other, way):
    depth, found = way_out(one, other)
    assert depth == pytest.approx(float(np.hypot(*way)))
    np.testing.assert_allclose(found, way, atol=1e-9)


@pytest.mark.parametrize("degrees", range(0, 360, 15))
def test_two_round_parts_come_out_along_the_line_between_their_middles(degrees):
    """Of 10 and 4 mm, 11 mm from middle to middle: 3 mm in each other; 48 ways miss the line by 3.75 degrees."""
    across = 11 * np.array([np.cos(np.radians(degrees + 2)), np.sin(np.radians(degrees + 2))])
    one, other = (shapely.Point(*middle).buffer(radius, 90) for middle, radius in (((0, 0), 10), (across, 4)))
    depth, way = way_out(one, other)
    assert 3.0 - 1e-2 <= depth <= 14 - 11 * np.cos(np.radians(3.75))
    assert np.dot(way, -across) / (11 * depth) >= np.cos(np.radians(3.75 + 1e-6))


def rounded(most: float):
    """Return numbers up to so much, to a millionth: of smaller ones shapely takes a touch for an overlap."""
    return st.floats(-most, most).map(lambda each: round(each, 6))


@given(
    *[st.lists(st.tuples(*[rounded(9)] * 2), min_size=3, max_size=6)] * 2,
    st.tuples(rounded(4), rounded(4)),
)
def test_convex_shapes_are_clear_once_moved_as_far_and_no_shorter_way_clears_them(first, second, shift):
    """Any of 90 ways is tried with 98 percent of the depth."""
    one, other = (shapely.MultiPoint(each).convex_hull for each in (first, second))
    assume(one.geom_type == other.geom_type == "Polygon" and min(one.area, other.area) > 1)
    other = translate(other, *shift)
    assume(one.intersection(other).area > 0.1)
    depth, (x, y) = way_out(one, other)
    assert translate(one, x, y).intersection(other).area < 1e-6
    for angle in np.linspace(0, 2 * np.pi, 90, endpoint=False):
        shorter = translate(one, 0.98 * depth * np.cos(angle), 0.98 * depth * np.sin(angle))
        assert shorter.intersects(other)


def test_round_shapes_come_out_as_far_as_their_radii_are_longer_than_they_stand_apart():
    """Ways all round are 7.5 degrees apart: at worst 4 from the shortest, which is 5 - 3 in the distance of 3."""
    for angle in np.linspace(0, 1, 7):
        one, other = (
            shapely.Point(0, 0).buffer(3, 64),
            shapely.Point(3 * np.cos(angle), 3 * np.sin(angle)).buffer(2, 64),
        )
        assert 2 - 0.01 <= way_out(one, other)[0] <= 5 - 3 * np.cos(np.deg2rad(4))


def test_every_corner_of_straight_faces_is_looked_at_with_what_it_faces():
    under, over = bar("under", 0.0, 0.0), bar("over", 0.005, 0.02)
    found = faced(under, over, ALWAYS)
    assert found.shape == (10, 2, 2, 2)  # five corners of each closed outline
    shapes = under.shapes, over.shapes
    for corners, (mine, theirs) in ((found[:5], (0, 1)), (found[5:], (1, 0))):
        for angle in (0, 1):
            own = corners[:, mine, :, angle]
            np.testing.assert_allclose(own, shapely.get_coordinates(shapes[mine][angle]), atol=1e-15)
            apart = np.hypot(*np.moveaxis(corners[:, theirs, :, angle] - own, -1, 0))
            np.testing.assert_allclose(apart, shapely.distance(shapely.points(own), shapes[theirs][angle]), atol=1e-15)


def round_of(corners):
    angles = np.linspace(0, 2 * np.pi, corners - 1, endpoint=False)
    disc = shapely.Polygon(np.column_stack([0.1 + 0.01 * np.sin(angles), 0.01 * np.cos(angles)]))
    return Obstacle("disc", "right", (0.0, 1.0), np.array([disc, disc]), 0.0, ("weight", ""), kind="weight")


@pytest.mark.parametrize(("corners", "looked"), [(CORNERS, 5 + CORNERS), (CORNERS + 1, 5)])
def test_what_has_many_corners_is_round(corners, looked):
    assert len(faced(bar("bar", 0.0, 0.0), round_of(corners), ALWAYS)) == looked


def test_a_point_has_no_corners_and_mirror_images_are_faced_once():
    pin = part("pin", yoke="a", shape=np.array([shapely.Point(0.05, 0.0)] * 2))
    assert len(faced(pin, bar("bar", 0.0, 0.0), ALWAYS)) == 5
    right, left = (bar(f"{hand} web", 0.004, 0.0, hand=hand) for hand in ("right", "left"))
    found = faced(right, left, ALWAYS)
    assert len(found) == 5
    np.testing.assert_allclose(found[:, 1], found[:, 0] * np.array([-1, 1])[:, None], atol=1e-15)
    assert found.shape == (5, 2, 2, 2)
    for angle in (0, 1):
        np.testing.assert_allclose(found[:, 0, :, angle], shapely.get_coordinates(right.shapes[angle]), atol=1e-15)
