"""Webs as plates: mass, mass centre and inertia against shapely, and metal beside their holes by hand."""

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
import shapely

from designs.design import Design
from designs.evaluate import Evaluation
from designs.reading import read
from shafts.screwed import plates_of
from shafts.web_plates import WebHole, WebPlate, web_plate

SHIPPED = Path(__file__).parents[2] / "designs"


@pytest.fixture(scope="module")
def redesign() -> Design:
    return read(SHIPPED / "redesign.yaml")


def face(plate: WebPlate) -> shapely.Polygon:
    arm = shapely.LineString([plate.one, plate.other]).buffer(plate.half, quad_segs=2000)
    cut = [shapely.Point(*hole.at).buffer(hole.diameter / 2, quad_segs=2000)
           for hole in plate.holes if hole.cut and not hole.screw]  # fmt: skip
    return arm.difference(shapely.union_all(cut))


def polar(shape: shapely.Polygon) -> float:
    """Return the integral of the distance squared from the origin over a polygon, m^4, by Green's theorem."""
    total = 0.0
    for ring in (shapely.geometry.polygon.orient(shape).exterior, *shapely.geometry.polygon.orient(shape).interiors):
        x, y = np.asarray(ring.coords).T
        cross = x[:-1] * y[1:] - x[1:] * y[:-1]
        both = sum(a[:-1] ** 2 + a[:-1] * a[1:] + a[1:] ** 2 for a in (x, y))
        total += float(np.sum(cross * both)) / 12
    return total


def test_a_plate_weighs_what_shapely_makes_of_its_outline_and_holes(redesign):
    for number in (0, 1):
        plate = web_plate(redesign, number, redesign.shafts)
        shape, density = face(plate), float(plate.material.density) * plate.thickness
        found = plate.plate
        assert found.mass == pytest.approx(density * shape.area, rel=1e-6)
        centre = np.array([shape.centroid.x, shape.centroid.y])
        np.testing.assert_allclose(found.centre, centre, rtol=1e-6, atol=1e-12)
        assert found.inertia == pytest.approx(density * polar(shape), rel=1e-6)


def test_a_web_holds_its_seats_and_its_share_of_free_pins(redesign):
    """Pins of 6 mm: web 1 has a seat of 6 mm and half of 12 mm; web 2 two seats, half of one pin, the other."""
    per_length = 7850 * np.pi / 4 * 6e-3**2
    for number, lengths in ((0, [6e-3 + 6e-3]), (1, [6e-3 + 6e-3, 6e-3 + 12e-3])):
        plate = web_plate(redesign, number, redesign.shafts)
        assert [mass for mass, _, _ in plate.pins] == pytest.approx([per_length * each for each in lengths], rel=1e-9)
        assert plate.whole.mass == pytest.approx(plate.plate.mass + per_length * sum(lengths), rel=1e-9)


def test_metal_beside_holes_by_hand(redesign):
    """A web 18 mm wide: shaft 8 mm, pin 6 mm, 9 mm apart; edges 9 - 4 and 9 - 3, and 9 - 7 between both."""
    plate = web_plate(redesign, 0, redesign.shafts)
    found = {each.between: each.width for each in plate.metal()}
    assert found["the shaft and its edge"] == pytest.approx(5e-3)
    assert found["crankpin inner and its edge"] == pytest.approx(6e-3)
    assert found["the shaft and crankpin inner"] == pytest.approx(2e-3)
    aside = web_plate(redesign, 0, redesign.shafts, (WebHole("screw", (-6e-3, 0.0), 3e-3, screw=True),))
    of_screw = {each.between: (each.width, each.diameter) for each in aside.metal() if each.screw}
    assert of_screw["screw and its edge"] == pytest.approx((1.5e-3, 3e-3))
    assert of_screw["the shaft and screw"] == pytest.approx((6e-3 - 5.5e-3, 3e-3))
    assert of_screw["crankpin inner and screw"] == pytest.approx((np.hypot(6, 9) * 1e-3 - 4.5e-3, 3e-3))


def test_what_is_of_one_piece_leaves_no_hole(redesign):
    near, *others = redesign.cranks.webs
    webs = (replace(near, joint=replace(near.joint, kind="one piece")), *others)
    plate = web_plate(replace(redesign, cranks=replace(redesign.cranks, webs=webs)), 0, redesign.shafts)
    assert not any("shaft" in each.between for each in plate.metal())
    assert plate.plate.mass > web_plate(redesign, 0, redesign.shafts).plate.mass


@pytest.mark.parametrize("name", ["redesign", "rhombic", "as-built", "counterweighted"])
def test_shipped_webs_weigh_what_they_are_drawn_as(name):
    """Within a quarter, and those of the redesigns within a hundredth: mass, mass x radius and inertia."""
    evaluation = Evaluation(read(SHIPPED / f"{name}.yaml"))
    near = 0.01 if name in ("redesign", "rhombic") else 0.25
    for _, plate in plates_of(evaluation.design, None):
        web, whole = plate.web, plate.whole
        assert float(web.mass) == pytest.approx(whole.mass, rel=near)
        np.testing.assert_allclose(
            float(web.mass) * np.array(web.cg, float), whole.moment, atol=near * whole.mass * 9e-3
        )
        if near == 0.01:
            assert float(web.polar_inertia) == pytest.approx(whole.inertia, rel=0.02)
