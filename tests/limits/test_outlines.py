"""Where two outlines face each other, and how far they are apart there: by shapely, and at their very corners."""

import numpy as np
import pytest
import shapely

from balance.machine.yoke import Outline
from balance.outlines import edge_heights, facing, ranges_meet, touch

DEPTH = (0.0, 0.01)


def star(seed: int, corners: int = 7) -> Outline:
    """Return a random outline that does not cross itself: corners in order round its middle."""
    generator = np.random.default_rng(seed)
    turn = np.sort(generator.uniform(0, 2 * np.pi, corners))
    reach = generator.uniform(0.01, 0.03, corners)
    return Outline(polygon=tuple(zip(reach * np.sin(turn), reach * np.cos(turn), strict=True)), z=DEPTH)


@pytest.mark.parametrize("seed", range(8))
def test_edges_are_where_an_upright_line_enters_and_leaves(seed):
    outline = star(seed)
    shape = shapely.Polygon(outline.corners)
    low_x, _, high_x, _ = shape.bounds
    places = np.linspace(low_x, high_x, 41)[1:-1]
    low, high = edge_heights(outline, places)
    for place, lowest, highest in zip(places, low, high, strict=True):
        cut = shapely.LineString([(place, -1.0), (place, 1.0)]).intersection(shape)
        np.testing.assert_allclose((lowest, highest), (cut.bounds[1], cut.bounds[3]), rtol=0, atol=1e-12)
    beside = edge_heights(outline, np.array([low_x - 1e-6, high_x + 1e-6]))
    np.testing.assert_array_equal(beside, [[np.inf, np.inf], [-np.inf, -np.inf]])


@pytest.mark.parametrize("seed", range(8))
def test_the_least_room_is_that_of_a_fine_scan(seed):
    """Between corners both edges are straight, so nothing between them is nearer."""
    upper, lower = star(seed), star(seed + 50)
    _, room = facing(upper, lower)
    ends = [shapely.Polygon(each.corners).bounds for each in (upper, lower)]
    places = np.linspace(max(each[0] for each in ends), min(each[2] for each in ends), 20001)
    scan = edge_heights(upper, places)[0] - edge_heights(lower, places)[1]
    assert float(room.min()) <= scan.min() + 1e-12
    assert float(room.min()) == pytest.approx(scan.min(), abs=2e-5)


@pytest.mark.parametrize("side", [1, -1])
def test_a_tip_at_the_very_side_counts(side):
    """A wedge whose highest corner is also the one farthest out, under a flat face at 20 mm: 10 mm are left there."""
    tip = Outline(polygon=((-0.02 * side, 0.010), (0.02 * side, -0.010), (0.02 * side, 0.0)), z=DEPTH)
    flat = Outline(polygon=((-0.05, 0.02), (0.05, 0.02), (0.0, 0.05)), z=DEPTH)
    assert float(facing(flat, tip)[1].min()) == pytest.approx(0.010)


def test_sides_that_meet_but_for_the_last_digit_face_each_other():
    """0.1 + 0.2 is not 0.3 to the last digit; what shares a side to a picometre faces along it, what does not, not."""
    left = Outline(polygon=((0.0, 0.0), (0.3, 0.0), (0.3, 0.1), (0.0, 0.1)), z=DEPTH)
    for offset, met in ((0.2, True), (0.2 - 1e-13, True), (0.2 + 1e-9, False)):
        right = Outline(polygon=((0.1, 0.0), (0.4, 0.0), (0.4, 0.1), (0.1, 0.1)), offset=(offset, 0.5), z=DEPTH)
        room = facing(right, left)[1]
        assert bool(np.any(np.isfinite(room))) == met
        if met:
            assert float(room.min()) == pytest.approx(0.4)
        mirrored = facing(
            *(Outline(polygon=tuple((-x, y) for x, y in each.corners), z=DEPTH) for each in (right, left))
        )
        np.testing.assert_allclose(np.sort(mirrored[1]), np.sort(room), rtol=1e-12)


@pytest.mark.parametrize("beyond", [1e-13, -1e-13, 0.0])
def test_a_picometre_beside_an_outline_is_still_on_it(beyond):
    box = Outline(rectangle=(0.02, 0.01), z=DEPTH)
    low, high = edge_heights(box, np.array([-0.01 - beyond, 0.01 + beyond]))
    np.testing.assert_allclose([low, high], [[-0.005, -0.005], [0.005, 0.005]], rtol=1e-9)


def test_outlines_of_options_are_each_what_they_are_alone():
    widths, heights, ups = np.array([0.02, 0.03, 0.05]), np.array([0.004, 0.01, 0.006]), np.array([0.02, 0.03, 0.01])
    together = Outline(rectangle=(widths, heights), offset=(0.001, ups), z=DEPTH)
    lower = star(3)
    room = facing(together, lower)[1]
    for option in range(3):
        alone = Outline(rectangle=(widths[option], heights[option]), offset=(0.001, ups[option]), z=DEPTH)
        np.testing.assert_allclose(room[option], facing(alone, lower)[1], rtol=1e-12)


def test_ranges_that_touch_meet_in_any_unit_and_play_lets_others():
    assert ranges_meet((0.0, 0.01), (0.009, 0.02))
    assert ranges_meet((0.009, 0.02), (0.0, 0.01))
    for inch in (1.0, 0.0254, 1 / 0.0254 * 0.0254**2):  # a shared face, however its place was written down
        assert ranges_meet((0.0, 0.1 * 3 * inch), (0.3 * inch, 0.7 * inch))
        assert ranges_meet((0.3 * inch, 0.7 * inch), (0.0, 0.1 * 3 * inch))
        assert touch((0.0, 0.1 * 3 * inch), (0.3 * inch, 0.7 * inch))
    assert not ranges_meet((0.0, 0.01), (0.010001, 0.02))
    assert not touch((0.0, 0.01), (0.009, 0.02))
    assert ranges_meet((0.0, 0.01), (0.011, 0.02), 0.0011)
    assert not ranges_meet((0.011, 0.02), (0.0, 0.01), 0.0009)
    np.testing.assert_array_equal(
        ranges_meet((np.array([0.0, 0.005]), 0.01), (0.02, 0.03), np.array([0.02, 0.005])), [True, False]
    )
