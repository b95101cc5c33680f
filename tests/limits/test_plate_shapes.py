"""Counterweight shapes: what they weigh against a fine polygon in shapely, and that they hit what is asked of them."""

from dataclasses import replace

import numpy as np
import pytest
import shapely

from balance.machine.counterweights import BoltCircle, Counterweights, Hole, OutlineShape, SectorShape, SegmentShape
from balance.machine.materials import MATERIALS
from balance.plates.plate import Plate, flattened
from balance.plates.polygon import crosses_itself
from balance.plates.segment import segment_of_first, segment_radius
from balance.quality import Hole as Drilled
from balance.weights.plate_choice import largest_moment, plate_for
from shafts.bearings.bearing import Bearing
from shafts.bearings.bush import Bush
from shafts.pieces import pieces, widest_between
from shafts.shaft import Segment, Shaft

BOLTS = BoltCircle(number=3, diameter=0.003, radius=0.012, pitch=np.deg2rad(30))
CORNERS = ((-0.02, -0.004), (0.016, -0.001), (0.018, 0.012), (0.004, 0.021), (-0.013, 0.015))
OWN = OutlineShape(
    polygon=CORNERS, holes=(Hole(at=(0.0, 0.002), diameter=0.005), Hole(at=(-0.01, 0.008), diameter=0.002))
)
STOCK = Counterweights(thickness=0.006, smallest_radius=0.005, largest_radius=0.02, at=0.0)
SHAPES = {
    "sector": SectorShape(),
    "drilled sector": SectorShape(bolts=BOLTS),
    "quarter sector": SectorShape(angle=np.pi / 2),
    "segment": SegmentShape(),
    "drilled segment": SegmentShape(chord=0.004, bolts=BOLTS),
    "outline": OWN,
}


def cut(name: str, **changes) -> Counterweights:
    return replace(STOCK, shape=SHAPES[name], **changes)


def drawn(plate: Plate) -> shapely.Polygon:
    """Return the plate's face, arcs as chords of a twentieth of a degree."""
    face = shapely.Polygon(flattened(plate.edge.path(), np.deg2rad(0.05)))
    holes = [shapely.Point(float(x), float(y)).buffer(float(d) / 2, quad_segs=400) for x, y, d in plate.holes]
    assert face.is_valid
    return face.difference(shapely.union_all(holes))


def polar(face: shapely.Polygon) -> float:
    """Return the second moment about the origin by a fan of triangles to every edge, holes turning the other way."""
    total = 0.0
    for place, ring in enumerate((face.exterior, *face.interiors)):
        x, y = np.array(ring.coords).T
        double = x[:-1] * y[1:] - x[1:] * y[:-1]
        corners = x[:-1] ** 2 + x[:-1] * x[1:] + x[1:] ** 2 + y[:-1] ** 2 + y[:-1] * y[1:] + y[1:] ** 2
        part = float(np.sum(double * corners) / 12)
        total += abs(part) if place == 0 else -abs(part)
    return total


@pytest.mark.parametrize("name", SHAPES)
@pytest.mark.parametrize("share", [0.85, 0.95])
def test_mass_moment_and_inertia_are_those_of_the_drawn_face(name, share):
    stock = cut(name)
    plate = plate_for(stock, share * largest_moment(stock))
    face, heavy = drawn(plate), float(plate.thickness * plate.density)
    assert plate.hole_edge_distance > 0
    assert plate.mass == pytest.approx(face.area * heavy, rel=1e-5)
    assert plate.centre == pytest.approx(face.centroid.y, rel=1e-5)
    assert face.centroid.x == pytest.approx(0.0, abs=1e-9)
    assert plate.moment == pytest.approx(face.area * face.centroid.y * heavy, rel=1e-5)
    assert plate.inertia == pytest.approx(polar(face) * heavy, rel=1e-5)
    assert plate.edge.reach == pytest.approx(np.max(np.hypot(*np.array(face.exterior.coords).T)), rel=1e-9)


@pytest.mark.parametrize("name", SHAPES)
@pytest.mark.parametrize("solve_for", ["extent", "thickness", "radius"])
def test_the_wanted_moment_is_hit_within_the_bounds(name, solve_for):
    stock = cut(name, solve_for=solve_for)
    most = largest_moment(stock)
    for share in (0.3, 0.7, 1.0):
        plate = plate_for(stock, share * most)
        assert plate.moment == pytest.approx(share * most, rel=1e-12)
        assert plate.thickness <= stock.thickness * (1 + 1e-12)
    assert plate_for(stock, 1.5 * most).moment == pytest.approx(most, rel=1e-12)
    if name != "outline":
        assert plate_for(stock, 0.5 * most).edge.reach <= stock.largest_radius


def test_the_largest_sector_is_half_a_ring_in_closed_form():
    """(2/3) rho t (R^3 - r^3); its mass centre at 4 (R^3 - r^3) / (3 pi (R^2 - r^2)), every handbook's half ring."""
    plate = plate_for(cut("sector"), np.inf)
    assert plate.moment == pytest.approx(2 / 3 * 7850 * 0.006 * (0.02**3 - 0.005**3), rel=1e-12)
    assert plate.centre == pytest.approx(4 * (0.02**3 - 0.005**3) / (3 * np.pi * (0.02**2 - 0.005**2)), rel=1e-12)


@pytest.mark.parametrize("choose", ["lightest", "least inertia"])
@pytest.mark.parametrize("name", ["sector", "segment", "drilled sector"])
def test_the_most_that_a_chosen_shape_can_have_is_that_of_the_better_of_both(choose, name):
    """Asked for more than any plate has, each choice comes as near as the stated shapes do: within one trial radius."""
    bolts = SHAPES[name].bolts
    most = max(float(largest_moment(replace(STOCK, shape=kind(bolts=bolts)))) for kind in (SectorShape, SegmentShape))
    assert float(largest_moment(cut(name, choose=choose))) == pytest.approx(most, rel=1e-9)
    assert float(plate_for(cut(name, choose=choose), 1.2 * most).moment) == pytest.approx(most, rel=1e-9)


def test_many_options_at_once_are_each_what_they_are_alone():
    thickness, wanted = np.array([0.004, 0.006, 0.012]), np.array([1e-4, 2e-4, 9e-4])
    for name in SHAPES:
        for choose in ("stated", "lightest", "least inertia"):
            many = plate_for(cut(name, thickness=thickness, choose=choose), wanted)
            for place in range(3):
                alone = plate_for(cut(name, thickness=thickness[place], choose=choose), wanted[place])
                for what in ("mass", "moment", "inertia", "centre"):
                    assert np.broadcast_to(getattr(many, what), 3)[place] == pytest.approx(
                        float(getattr(alone, what)), rel=1e-12
                    )


@pytest.mark.parametrize(("choose", "what"), [("lightest", "mass"), ("least inertia", "inertia")])
@pytest.mark.parametrize("share", [0.2, 0.6, 0.95])
def test_nothing_lighter_is_found_by_trying(choose, what, share):
    """Thousands of sectors and segments of any thickness, radius and extent that have the wanted moment."""
    wanted = share * largest_moment(cut("sector"))
    plate = plate_for(cut("sector", choose=choose), wanted)
    assert float(plate.moment) == pytest.approx(wanted, rel=1e-9)
    best = float(getattr(plate, what))
    generator, found = np.random.default_rng(4), []
    thickness, radius = 0.006 * generator.random(4000), 0.005 + 0.015 * generator.random(4000)
    for name in ("sector", "segment"):
        plates = plate_for(cut(name, thickness=np.r_[thickness, 0.006], largest_radius=np.r_[radius, 0.02]), wanted)
        whole = plates.moment >= wanted * (1 - 1e-9)
        found.append(np.min(np.asarray(getattr(plates, what))[whole], initial=np.inf))
    assert np.isfinite(min(found))
    assert best <= min(found) * (1 + 1e-3)


@pytest.mark.parametrize("name", ["sector", "segment", "outline"])
def test_a_drilled_hole_takes_away_what_the_same_plate_with_that_hole_lacks(name):
    plate = plate_for(cut(name), 0.5 * largest_moment(cut(name)))
    drilled = replace(plate, holes=(*plate.holes, (0.0, 0.015, 0.0025)))
    hole = Drilled(0.0025, plate.thickness, 0.015, plate.density)
    assert plate.moment - drilled.moment == pytest.approx(float(hole.moment), rel=1e-9)
    assert plate.mass - drilled.mass == pytest.approx(float(hole.mass), rel=1e-9)


@pytest.mark.parametrize("name", SHAPES)
def test_room_is_the_distance_to_the_drawn_edge(name):
    edge = plate_for(cut(name), 0.6 * largest_moment(cut(name))).edge
    face = shapely.Polygon(flattened(edge.path(), np.deg2rad(0.05)))
    points = np.random.default_rng(2).uniform(-0.022, 0.022, (400, 2))
    inside = shapely.contains_xy(face, points[:, 0], points[:, 1])
    edge_distance = np.asarray(edge.edge_distance(points[:, 0], points[:, 1]))
    far = shapely.distance(face.exterior, shapely.points(points))
    assert np.sum(inside) > 30
    clear = far > 1e-6
    np.testing.assert_array_equal(edge_distance[clear] > 0, inside[clear])
    np.testing.assert_allclose(edge_distance[inside & clear], far[inside & clear], atol=1e-7)


@pytest.mark.parametrize(
    "corners",
    [CORNERS[::way] for way in (1, -1)]
    + [
        tuple((side * x, y + up) for x, y in CORNERS[::way])
        for side in (1, -1)
        for up in (-0.02, 0.2)
        for way in (1, -1)
    ],
)
def test_an_outline_may_be_gone_round_either_way(corners):
    """Its path goes counter-clockwise, and it weighs what shapely makes of it."""
    stock = replace(STOCK, shape=OutlineShape(polygon=corners))
    plate = plate_for(stock, np.inf)
    face = shapely.Polygon(corners)
    path = np.array(plate.edge.path())[:, :2]
    assert shapely.LinearRing(path).is_ccw
    assert shapely.Polygon(path).area == pytest.approx(face.area)
    assert float(plate.mass) == pytest.approx(face.area * 0.006 * 7850)
    assert float(plate.centre) == pytest.approx(np.hypot(*face.centroid.coords[0]))
    assert float(plate.inertia) == pytest.approx(polar(face) * 0.006 * 7850)
    lean = np.arctan2(*face.centroid.coords[0])  # turned by as much, the mass centre stands on +y
    turned = np.array(corners) @ np.array([[np.cos(lean), np.sin(lean)], [-np.sin(lean), np.cos(lean)]])
    assert {tuple(np.round(each, 9) + 0.0) for each in path} == {tuple(np.round(each, 9) + 0.0) for each in turned}


@pytest.mark.parametrize("choose", ["lightest", "least inertia"])
def test_the_best_shape_stays_within_its_largest_radius(choose):
    """Holes whose rim comes within a thirtieth of a millimetre of it leave one radius to choose from."""
    bolts = BoltCircle(number=1, diameter=0.004, radius=0.01797)
    stock = replace(STOCK, shape=SectorShape(bolts=bolts), choose=choose)
    plate = plate_for(stock, 0.8 * largest_moment(replace(stock, choose="stated")))
    assert float(plate.edge.reach) <= 0.02 * (1 + 1e-12)


def test_an_arc_stands_on_its_chord():
    """A bulge is the tangent of a quarter of the angle, counter-clockwise: 1 goes half round, tan 22.5 a quarter."""
    half = flattened([(1.0, 5.0, 1.0), (3.0, 5.0, 0.0)], np.deg2rad(10))
    np.testing.assert_allclose(np.hypot(half[:, 0] - 2.0, half[:, 1] - 5.0), 1.0, rtol=1e-12)
    assert half[:, 1].min() == pytest.approx(4.0)
    assert len(half) == 19  # 18 chords of 10 degrees, and back along the straight side
    quarter = flattened([(3.0, 5.0, np.tan(np.deg2rad(22.5))), (2.0, 6.0, 0.0)], np.deg2rad(10))
    np.testing.assert_allclose(np.hypot(quarter[:, 0] - 2.0, quarter[:, 1] - 5.0), 1.0, rtol=1e-12)
    assert np.all(quarter[:, 0] >= 2.0 - 1e-12)


def test_a_corner_that_is_said_twice_changes_nothing():
    once, twice = (OutlineShape(polygon=corners) for corners in (CORNERS, (*CORNERS[:2], *CORNERS[1:])))
    points = np.random.default_rng(1).uniform(-0.02, 0.02, (50, 2))
    one, other = (plate_for(replace(STOCK, shape=shape), np.inf) for shape in (once, twice))
    np.testing.assert_allclose(other.edge.edge_distance(*points.T), one.edge.edge_distance(*points.T), rtol=1e-12)
    assert float(other.moment) == pytest.approx(float(one.moment))


@pytest.mark.parametrize("first", [0.0, -1e-7])
def test_no_moment_asks_for_no_segment(first):
    assert float(segment_of_first(first, 0.02, 0.005).chord) == 0.02
    assert float(segment_radius(first, 0.005)) == 0.005


def test_a_hole_that_breaks_out_is_seen():
    wide = plate_for(cut("drilled sector"), np.inf)
    narrow = plate_for(cut("drilled sector"), 0.05 * largest_moment(cut("drilled sector")))
    assert wide.hole_edge_distance == pytest.approx(0.012 - 0.005 - 0.0015)
    assert narrow.hole_edge_distance < 0


def test_outlines_that_cross_themselves():
    bow, square = [(0, 0), (1, 1), (1, 0), (0, 1)], [(0, 0), (1, 0), (1, 1), (0, 1)]
    assert crosses_itself(*np.array(bow, dtype=float).T)
    assert not crosses_itself(*np.array(square, dtype=float).T)


@pytest.mark.parametrize("choose", ["lightest", "least inertia"])
def test_the_best_shape_keeps_its_holes(choose):
    """A small moment would be had from a sliver at the rim, lighter than anything that still holds the bolt circle."""
    stock = cut("drilled sector", choose=choose)
    for share in (0.45, 0.7, 0.9):
        assert plate_for(stock, share * largest_moment(stock)).hole_edge_distance >= 0


def test_the_shaft_beside_a_weight_is_the_thickest_that_reaches_there():
    bush = Bush(bore=0.01, length=0.01)
    segments = tuple(Segment(length=0.01, diameter=each) for each in (0.006, 0.010, 0.008))
    bearings = tuple(Bearing(at=at, bush=bush) for at in (0.0, 0.03))
    shaft = Shaft(material=MATERIALS["steel"], segments=segments, starts_at=0.0, bearings=bearings)
    for low, high, expected in (
        (0.001, 0.009, 0.003),
        (0.001, 0.010, 0.003),  # what only touches it is not beside it
        (0.020, 0.029, 0.004),
        (0.001, 0.011, 0.005),
        (0.021, 0.05, 0.004),
        (-0.02, -0.01, 0.0),
    ):
        assert widest_between(shaft, low, high) == expected
    assert pieces(shaft)[1] == pytest.approx((0.01, 0.02, 0.005))
