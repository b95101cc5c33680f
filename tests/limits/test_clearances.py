"""The room between parts other than yokes: by hand, by brute force, and never less well than a full look."""

from dataclasses import replace
from itertools import product
from types import SimpleNamespace

import numpy as np
import pytest
import shapely
from shapely.affinity import translate

from balance.machine.counterweights import Counterweights
from balance.machine.crank import Throw, Web, joined_by, outward
from balance.motion import crank_angles, move
from balance.weights.balancing import size_weights
from balance.weights.clearance import weight_parts
from designs.command.inputs import SHIPPED
from designs.evaluate import Evaluation, evaluate_finely
from designs.reading import read
from designs.verdict import clearances
from shafts.bearings.play import clearance_range
from shafts.clearance.clearances import Clearance, _box_distance, _fastest
from shafts.gap.displaced import Displaced
from shafts.gap.facing import alone
from shafts.gap.items import sum_of_lines, yoke_tilt_along_shafts
from shafts.gap.items.thermal_expansion import thicker_faces
from shafts.gap.items.yoke_arm_bending import arm_bow
from shafts.gap.items.yoke_tilt_along_shafts import couple, stem_tilt
from shafts.gap.pair import yoke_pairs

NAMES = ["redesign", "rhombic"]


@pytest.fixture(scope="module", params=NAMES)
def evaluation(request):
    return evaluate_finely(read(SHIPPED / f"{request.param}.yaml"))


def stock() -> Counterweights:
    return Counterweights(thickness=0.006, smallest_radius=0.005, largest_radius=0.019, at=-0.02, fitted=False)


def nearest_of(evaluation) -> list[Clearance]:
    """Return what the quick look kept of every kind of pair, the nearest first."""
    found = [pair for group in evaluation.shapes.pairs for pair in evaluation.bodies.tightest(group)]
    return sorted(found, key=lambda each: float(np.min(each.distance)))


def by_name(found: list[Clearance]) -> dict[str, Clearance]:
    return {each.names: each for each in found}


def test_the_quick_look_finds_the_nearest_pair_of_the_full_one(evaluation):
    speed = evaluation.design.speed.most
    quick = min(float(each.least(speed)[0]) for each in nearest_of(evaluation))
    full = min(float(each.least(speed)[0]) for each in evaluation.clearances)
    assert quick == pytest.approx(full, abs=1e-9)


@pytest.mark.parametrize("lower", [10e-3, 16e-3, 25e-3])
def test_of_parts_that_overlap_the_quick_look_keeps_the_deepest(lower):
    """A cylinder pushed down over a yoke and its rods, of which the round ends say less of how deep they are in it."""
    design = read(SHIPPED / "redesign.yaml")
    cylinder = replace(
        design.cylinder, starts_at=design.cylinder.starts_at - lower, length=design.cylinder.length + lower
    )
    evaluation = evaluate_finely(replace(design, cylinder=cylinder))
    for group, pairs in evaluation.shapes.pairs.items():
        deepest = min(float(np.min(evaluation.bodies.clearance(*pair).distance)) for pair in pairs)
        kept = [float(np.min(each.distance)) for each in evaluation.bodies.tightest(group)]
        names = {evaluation.bodies.clearance(*pair).names for pair in pairs
                 if float(np.min(evaluation.bodies.clearance(*pair).distance)) <= min(deepest, 0.0) + 1e-9}  # fmt: skip
        assert min(kept) == pytest.approx(deepest, abs=1e-9)
        assert names <= {each.names for each in evaluation.bodies.tightest(group)}


def test_one_kind_of_pair_by_itself_is_what_it_is_among_all(evaluation):
    def judged(asked=""):
        return clearances.rows(Evaluation(evaluation.design, without_vibration=True), asked)

    every = {each.key: each for each in judged()}
    assert len(every) > 3
    for key, row in every.items():
        (alone,) = judged(key)
        assert (alone.key, alone.what, float(alone.value)) == (key, row.what, pytest.approx(float(row.value)))


def test_the_nearest_pairs_are_the_first_of_all_pairs(evaluation):
    nearest = evaluation.bodies.nearest(20)
    assert [each.names for each in nearest] == [each.names for each in evaluation.clearances[:20]]
    assert len(evaluation.bodies.nearest(10**6)) == len(evaluation.clearances)


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
    stem = replace(yokes["displacer"].carries, stem_material=hard)
    yokes["displacer"] = replace(yokes["displacer"], carries=stem)
    throws = {
        name: replace(throw, pin=replace(throw.pin, material=hard)) for name, throw in design.cranks.throws.items()
    }
    gears = replace(design.cranks.gears, backlash=0.0, mesh_stiffness=1e22)
    webs = tuple(replace(web, thickness=None) for web in design.cranks.webs)
    rigid = replace(
        design,
        shafts=replace(design.shafts, material=hard, bearings=bearings),
        yokes=yokes,
        cranks=replace(design.cranks, throws=throws, gears=gears, webs=webs),
        fits=replace(design.fits, guide_play=0.0),
    )
    for pair in evaluate_finely(rigid).clearances[:6]:
        np.testing.assert_allclose(pair.gap(rigid.speed.most), pair.distance, atol=1e-12)


def test_a_wall_in_the_way_is_struck_and_named():
    design = read(SHIPPED / "redesign.yaml")
    wall = replace(design.walls["floor"], offset=(0.0, -0.012))
    evaluation = evaluate_finely(replace(design, walls={"floor": wall}))
    nearest = nearest_of(evaluation)[0]
    assert "floor" in nearest.names
    assert np.min(nearest.distance) <= 0.0


def stem_and_floor(up: float, ends_at: float | None = None) -> Clearance:
    """Return the rhombic engine's stem and its floor, so much higher, m, and ending sooner along the shafts."""
    design = read(SHIPPED / "rhombic.yaml")
    floor = design.walls["floor"]
    low, high = floor.z
    raised = replace(floor, offset=(floor.offset[0], floor.offset[1] + up), z=(low, ends_at or high))
    bodies = evaluate_finely(replace(design, walls={**design.walls, "floor": raised})).bodies
    stem = next(part for part in bodies.shapes.parts if part.kind == "stem")
    return bodies.clearance(stem, next(part for part in bodies.shapes.parts if part.name == "floor"))


def test_what_runs_into_a_floor_is_told_by_how_deep():
    """Each millimetre that the floor comes up is a millimetre more, at rest and at speed."""
    rpm, found = 1500.0, []
    for up in (20, 21, 25):
        pair = stem_and_floor(up * 1e-3)
        found.append((float(np.min(pair.distance)), float(pair.least(rpm)[0]), float(pair.least(rpm, "worst")[0])))
    depths = np.array(found)
    assert np.all(depths[:, 0] < -1e-3)
    np.testing.assert_allclose(depths[0] - depths[1:], [[1e-3] * 3, [5e-3] * 3], atol=2e-6)
    assert np.all(depths[:, 2] < depths[:, 1])
    assert np.all(np.abs(depths[:, 1] - depths[:, 0]) < 1e-3)  # parts give way by less than that


def test_the_way_along_the_shafts_may_be_the_shortest_one_out():
    """A stem 6 mm wide about z = 0 passes a floor that ends 2.5 mm before its middle by half a millimetre."""
    far, near = stem_and_floor(20e-3), stem_and_floor(20e-3, -2.5e-3)
    stem, play = near.one, float(near.displaced.loaded.engine.fits.axial_play)
    assert (stem.z[1] - stem.z[0], sum(stem.z)) == pytest.approx((6e-3, 0.0))
    assert float(np.min(far.distance)) < -(0.5e-3 + play) - 1e-3
    deep = far.distance < -(0.5e-3 + play) - 1e-3
    np.testing.assert_allclose(near.distance[deep], -(0.5e-3 + play), atol=1e-9)
    np.testing.assert_allclose(near.gap(1500.0)[deep], -(0.5e-3 + play), atol=1e-9)
    np.testing.assert_allclose(near.distance[far.distance > 0], far.distance[far.distance > 0], atol=1e-9)


def test_a_round_part_comes_out_along_the_shafts_too():
    """A wheel of 45 mm radius and 18 mm about 48.5 mm, 11 mm into a floor 34 mm below that ends at 40 mm."""
    design = read(SHIPPED / "redesign.yaml")
    for at, depth in ((48.5e-3, 0.5e-3), (20e-3, None)):
        bodies = evaluate_finely(replace(design, flywheel=replace(design.flywheel, at=at))).bodies
        pair = bodies.clearance(*(next(part for part in bodies.shapes.parts if part.name == name)
                                  for name in ("right flywheel", "floor")))  # fmt: skip
        play = float(pair.displaced.loaded.engine.fits.axial_play)
        expected = 11e-3 if depth is None else depth + play
        np.testing.assert_allclose(pair.distance, -expected, atol=1e-9)
        assert float(pair.least(1500.0)[0]) == pytest.approx(-expected, abs=1e-9 if depth else 1e-3)


def test_parts_that_never_share_a_plane_are_not_looked_at():
    design = read(SHIPPED / "redesign.yaml")
    far = replace(design.walls["floor"], z=(0.5, 0.6))
    evaluation = evaluate_finely(replace(design, walls={"floor": far}))
    assert not any("floor" in pair.names for pair in evaluation.clearances)


def drawn_web(carried, part, place: int, speed: float, case) -> tuple:
    """Return a web as it is drawn, and as it is with its ends moved as their crankpins."""
    on = {yoke.throw: name for name, yoke in carried.engine.yokes.items()}
    points = shapely.get_coordinates(part.shapes[place])
    off = [
        [float(np.broadcast_to(e, 360)[place]) for e in Displaced(carried).pin(on[t], part.hand, speed, case)]
        for t in part.joins
    ]
    return shapely.LineString(points), shapely.LineString(points + np.array([off[0], off[-1]])), part.radius


def leaned(pair, place: int, speed: float, case) -> list[tuple[float, float]]:
    """Return how far both parts may be raised at either end of what they share along the shafts, as yokes lean, m.

    By hand: a yoke leans about its rods' plane, in its guide and with its stem.
    """
    loaded, raised = pair.displaced.loaded, []
    play = loaded.engine.fits.axial_play
    ends = max(pair.one.z[0], pair.other.z[0]) - play, min(pair.one.z[1], pair.other.z[1]) + play
    for part in (pair.one, pair.other):
        kind, name = part.follows
        if kind != "yoke":
            raised.append([0.0])
            continue
        yoke, stem, turns = loaded.engine.yokes[name], stem_tilt(loaded, name), couple(loaded, name).at(speed)
        bent = 0.0 if stem is None else float(np.broadcast_to(stem.at(speed), 360)[place])
        side = float(np.sign(np.broadcast_to(turns, 360)[place])) if case == "expected" else 0.0
        slack = 0.0 if yoke.guided_length is None else float(loaded.engine.fits.guide_play / yoke.guided_length)
        plane = loaded.engine.throw_of(yoke).at
        raised.append([(bent + s * slack) * (z - plane) for s in ((side,) if side else (-1.0, 1.0)) for z in ends])
    return list(product(*raised))


def drawn(carried, part, place: int, speed: float, case) -> tuple:
    """Return a part at one angle as it is drawn, and as it is once all that gives way has moved it; and its radius.

    How far a yoke leans along the shafts is left to `leaned`.
    """
    kind, name = part.follows
    if kind in ("case", "shaft"):
        return part.shapes, part.shapes, part.radius
    if kind == "web":
        return drawn_web(carried, part, place, speed, case)
    moved, yoke = carried.motion.yokes[name], carried.engine.yokes[name]
    sign = {"right": 1, "left": -1}.get(part.hand, 0)
    shift = Displaced(carried).yoke(name, speed, case)
    rise, tilt = (float(np.broadcast_to(each, 360)[place]) for each in (shift.rise, shift.tilt))
    if kind == "yoke":
        points = shapely.get_coordinates(shapely.segmentize(part.shapes[place], 5e-4))
        bow = arm_bow(carried, name, points[:, 0])
        bent = 0.0 if bow is None else bow.shape * float(bow.load.at(speed)[place])
        lifted = np.column_stack([points[:, 0], points[:, 1] + rise + tilt * points[:, 0] + bent])
        return shapely.Polygon(points), shapely.Polygon(lifted), part.radius
    pin = np.array([sign * moved.pin.x[place], moved.pin.along[place]])
    off = np.array(
        [float(np.broadcast_to(e, 360)[place]) for e in Displaced(carried).pin(name, part.hand, speed, case)]
    )
    if kind == "pin":
        return shapely.Point(pin), shapely.Point(pin + off), part.radius
    pivot = np.array([sign * yoke.half_span, moved.height[place]])
    lift = np.array([0.0, rise + sign * yoke.half_span * tilt])
    return shapely.LineString([pin, pivot]), shapely.LineString([pin + off, pivot + lift]), part.radius


def bent_by(loaded, part, place: int, speed: float) -> float:
    """Return how much more a yoke's middle sinks by its arms' bending than its corners do, m, at one angle."""
    kind, name = part.follows
    if kind != "yoke":
        return 0.0
    left, _, right, _ = shapely.bounds(part.shapes[place])
    bow = arm_bow(loaded, name, np.linspace(left, right, 61))
    return 0.0 if bow is None else float(np.ptp(bow.shape) * np.abs(bow.load.at(speed)[place]))


@pytest.mark.parametrize("case", ["expected", "worst"])
def test_what_gives_way_changes_a_distance_as_drawing_it_again_does(evaluation, case):
    """At odd angles: the distance of the moved shapes, measured by shapely.

    Left out are weights, which nothing moves.
    """
    speed, looked_at, most = float(evaluation.design.speed.most), 0, 0.0
    for pair in evaluation.clearances:
        kinds = {pair.one.follows[0], pair.other.follows[0]}
        if "weight" in kinds:
            continue
        loose = sum(pair.displaced.looseness(part) for part in (pair.one, pair.other)) if case == "worst" else 0.0
        gap = pair.gap(speed, case) + loose  # at worst what yields moves the parts, and play as far as it can
        for place in (11, 95, 187, 263, 341):
            one, other = (drawn(pair.displaced.loaded, part, place, speed, case) for part in (pair.one, pair.other))
            before = one[0].distance(other[0]) - one[2] - other[2]
            raised = (translate(other[1], yoff=b - a) for a, b in leaned(pair, place, speed, case))
            after = min(one[1].distance(each) for each in raised) - one[2] - other[2]
            if before < 2e-4:
                continue
            looked_at, most = looked_at + 1, max(most, abs(after - before))
            assert pair.distance[place] == pytest.approx(before, abs=1e-12)
            # First order: what is left is a square of what gives way over the distance, or a corner that takes turns.
            # Of a face that bends between two of its corners the corners alone are looked at.
            bow = sum(bent_by(pair.displaced.loaded, part, place, speed) for part in (pair.one, pair.other))
            assert gap[place] - before == pytest.approx(after - before, rel=0.03, abs=3e-8 + bow)
    assert looked_at > 40
    assert most > 5e-6


def test_play_moves_a_throw_along_the_line_of_both_bearings(evaluation):
    """By hand: each journal stands half its clearance off centre along its load, and the shaft follows straight."""
    loaded, speed = evaluation.clearances[0].displaced.loaded, 90.0
    for crank in loaded.cranks:
        (z1, z2), ends, most = [bearing.at for bearing in crank.shaft.bearings], [], []
        for bearing, load in zip(crank.shaft.bearings, crank.bearings, strict=True):
            x, y = load.on_bench(speed)
            low, high = clearance_range(bearing)
            ends.append([(low + high) / 4 * way / np.hypot(x, y) for way in (x, y)])
            most.append(high / 2)
        for name, yoke in loaded.engine.yokes.items():
            along = (loaded.engine.throw_of(yoke).at - z1) / (z2 - z1)
            expected, worst = (Displaced(loaded).pin(name, crank.hand, speed, case) for case in ("expected", "worst"))
            bent = crank.pin(name).on_bench(speed)
            for axis in (0, 1):
                played = (1 - along) * ends[0][axis] + along * ends[1][axis]
                np.testing.assert_allclose(
                    expected[axis], bent[axis] + played, rtol=0, atol=1e-9 * np.abs(played).max()
                )
                np.testing.assert_array_equal(worst[axis], bent[axis])
            part = next(each for pair in evaluation.clearances for each in (pair.one, pair.other)
                        if each.follows == ("pin", name) and each.hand == crank.hand)  # fmt: skip
            reach = abs(1 - along) * most[0] + abs(along) * most[1]  # both off centre so that they add up
            np.testing.assert_allclose(Displaced(loaded).looseness(part), reach, rtol=1e-9)


def test_yokes_shift_against_each_other_as_their_own_budget_says(evaluation):
    """The gap of a pair of yokes is its nominal one, their faces' heat, and the upper yoke's shift less the lower's.

    And how each leans along the shafts, at the end of what both share that closes the gap.
    """
    parts = {part.follows[1]: part for part in evaluation.shapes.parts if part.kind == "yoke"}
    for pair in yoke_pairs(evaluation.clearances[0].displaced.loaded):
        x, moves, play = pair.facing.x, Displaced(pair.loaded), evaluation.design.fits.axial_play
        lows, highs = zip(*(parts[name].z for name in (pair.upper, pair.lower)), strict=True)
        shared, most = (max(lows) - play, min(highs) + play), evaluation.design.speed.most
        for speed in (20.0, 120.0, most):
            upper, lower = (moves.yoke(name, speed, "expected") for name in (pair.upper, pair.lower))
            faces = thicker_faces(pair.loaded, pair.facing)[:, None]
            down, up = (moves.tilt_rise(parts[n], shared, speed, "expected") for n in (pair.upper, pair.lower))
            moved = upper.at(x) - lower.at(x) + pair.items(speed)["yoke arm bending"] + faces + down[0] - up[1]
            gaps = pair.clearances(speed)
            usable = np.isfinite(gaps)
            expected = np.broadcast_to(pair.facing.nominal + moved, gaps.shape)
            assert np.all(expected[usable] <= gaps[usable] + 1e-12)
            # The budget takes stems to bend as at the fastest speed: where they do, both say the same.
            turns = [[couple(pair.loaded, n).at(s) for s in (speed, most)] for n in (pair.upper, pair.lower)]
            alike = np.all([now * fast >= 0 for now, fast in turns], axis=0)
            usable = usable & alike
            assert np.mean(alike) > 0.5
            np.testing.assert_allclose(gaps[usable], expected[usable], rtol=0, atol=1e-12)


@pytest.mark.parametrize("name", ["piston", "displacer"])
def test_the_middle_of_a_yoke_sinks_as_its_arms_bend(name):
    """What is looked at between a yoke and others is where its bent arms are: its budget's own line at that place."""
    design = read(SHIPPED / "redesign.yaml")
    yoke = design.yokes[name]
    soft = replace(yoke.arm, material=replace(yoke.arm.material, young=yoke.arm.material.young / 1e3))
    loaded = evaluate_finely(replace(design, yokes=design.yokes | {name: replace(yoke, arm=soft)})).loaded_shafts
    found, part = Displaced(loaded), SimpleNamespace(follows=("yoke", name), hand="")
    for x in (0.0, 0.008, -0.017, 0.028):
        near = np.full(loaded.motion.theta.shape, x), np.zeros(loaded.motion.theta.shape)
        moved = found.of(part, near, 100.0, "expected")[1]
        curve = sum_of_lines(loaded, alone(name, np.array([x])), "expected", (yoke_tilt_along_shafts,))
        np.testing.assert_allclose(moved, curve.clearances(100.0)[0], rtol=0, atol=1e-12)


# Crank webs: arms with round ends from what is next inward to the crankpin next outward


@pytest.fixture(scope="module")
def redesign():
    return evaluate_finely(read(SHIPPED / "redesign.yaml"))


def test_mirrored_webs_come_as_near_as_their_outermost_pins_and_half_their_widths_let_them(redesign):
    """By hand: c less twice the larger throw at a web's end, less its width; the shaft's end has no throw."""
    cranks, found = redesign.design.cranks, by_name(redesign.clearances)
    for number, (web, radius) in enumerate(zip(cranks.webs[:2], (9e-3, 12e-3), strict=True), start=1):
        pair = found[f"right web {number} and left web {number}"]
        assert np.min(pair.distance) == pytest.approx(cranks.centre_distance - 2 * radius - web.width, abs=1e-6)


def test_a_web_reaches_the_floor_by_its_lowest_pin(redesign):
    floor = max(y for _, y in redesign.design.walls["floor"].corners)
    for number, radius in ((1, 9e-3), (2, 12e-3)):
        pair = by_name(redesign.clearances)[f"right web {number} and floor"]
        half = redesign.design.cranks.webs[number - 1].width / 2
        assert np.min(pair.distance) == pytest.approx(-radius - half - floor, abs=1e-6)


def test_a_web_against_a_wheel_of_the_other_side_by_brute_force(redesign):
    """The second web joins the pins at phase 0 and 90 deg; both turn clockwise on the right, seen along the shafts."""
    design = redesign.design
    pair = by_name(redesign.clearances)["right web 2 and left crankpin inner"]
    for place in (0, 41, 133, 222, 301):
        theta, half = np.deg2rad(place), design.cranks.centre_distance / 2
        ends = [(half + r * np.sin(theta + a), r * np.cos(theta + a)) for r, a in ((9e-3, 0.0), (12e-3, np.pi / 2))]
        pin = shapely.Point(-half - 9e-3 * np.sin(theta), 9e-3 * np.cos(theta))
        apart = shapely.LineString(ends).distance(pin) - 7e-3 - 3e-3  # half a web's width, half a crankpin's
        assert pair.distance[place] == pytest.approx(apart, abs=1e-12)


def test_webs_are_looked_at_but_for_what_they_are_faced_to_run_beside(redesign):
    names = set(by_name(redesign.clearances))
    assert not any("right web" in each and "right rod" in each for each in names)
    assert not any("right web" in each and ("right shaft" in each or "right crankpin" in each) for each in names)
    assert {"right web 1 and left counterweight 1", "right web 1 and left web 1"} <= names
    rooms = {(each.weight, each.part): each.own for each in redesign.weight_clearances}
    assert not rooms["left counterweight 1", "right web 1"]
    assert rooms["right counterweight 1", "right web 1"]


def test_webs_without_a_given_size_are_taken_and_asked_for(redesign):
    design = redesign.design
    bare = tuple(replace(web, width=None) for web in design.cranks.webs)
    found = evaluate_finely(replace(design, cranks=replace(design.cranks, webs=bare))).shapes.parts
    assert {part.taken for part in found if part.kind == "web"} == {
        f"cranks.webs.{place}.width and .thickness" for place in range(2)
    }
    assert not any(part.taken for part in evaluate_finely(design).shapes.parts)


@pytest.mark.parametrize(
    ("at", "sign", "expected"),
    [
        (-0.05, -1.0, ("near", "far")),
        (-0.02, -1.0, (None, "near")),
        (0.01, 0.0, (None, "near")),
        (0.1, 1.0, (None, None)),
    ],
)
def test_what_a_web_joins(at, sign, expected):
    """Throws at -30 and -60 mm beyond a shaft from -10 to 80 mm: each web holds the throw outward of it."""
    throws = {"near": Throw(radius=0.01, at=-0.03), "far": Throw(radius=0.012, at=-0.06)}
    web = Web(at=at, mass=0.0)
    assert float(outward(web.at, (-0.01, 0.08))) == sign
    assert joined_by(web, throws, (-0.01, 0.08), sign) == expected


def test_what_makes_the_quick_look_quick_holds(evaluation):
    """Boxes around two parts are no farther apart than they are; no distance changes faster than both parts move."""
    for pair in evaluation.clearances:
        one, other = pair.one, pair.other
        assert _box_distance(one, other) <= float(np.min(pair.distance)) + 1e-12
        loaded = pair.displaced.loaded
        fastest = sum(_fastest(loaded.motion, loaded.engine, part) for part in (one, other))
        change = np.abs(np.diff(pair.distance, append=pair.distance[:1]))
        assert np.all(change <= fastest * np.pi / 180 * (1 + 1e-9) + 1e-12)
        assert fastest < 0.1  # rods and yokes of these engines move by some tens of millimetres a radian


def test_a_weight_goes_round_as_far_out_as_it_reaches():
    """A sector of 19 mm about its shaft moves by 19 mm for each radian, on either side."""
    design = read(SHIPPED / "redesign.yaml")
    found = evaluate_finely(replace(design, counterweights=stock())).loaded_shafts
    stocked = replace(design, counterweights=stock())
    weights = size_weights(stocked.counterweights, evaluate_finely(stocked).shaking)
    parts = weight_parts(stocked, weights, found.motion.theta)
    assert {part.hand for part in parts} == {"right", "left"}
    for part in parts:
        assert _fastest(found.motion, found.engine, part) == pytest.approx(0.019, rel=1e-6)


def test_parts_deep_in_each_other_need_no_loads(monkeypatch):
    """A cylinder 20 mm lower is in the yoke below it; by how far is what the row says, but for deflection."""
    design = read(SHIPPED / "rhombic.yaml")
    low = replace(design, cylinder=replace(design.cylinder, starts_at=design.cylinder.starts_at - 20e-3))
    (row,) = clearances.rows(evaluate_finely(low), "clearance_carried")
    assert row.value < -clearances.DEEP
    assert clearances.deep_row(evaluate_finely(design), "clearance_carried") is None
    assert clearances.deep_row(evaluate_finely(low), "clearance") is None  # another kind of pair
    monkeypatch.setattr(Evaluation, "_every_degree", property(lambda self: pytest.fail("no loads are asked for")))
    deep = clearances.deep_row(evaluate_finely(low), "clearance_carried")
    assert (deep.key, deep.limit, deep.sense) == (row.key, row.limit, row.sense)
    assert deep.value == pytest.approx(float(row.value), abs=0.2e-3)
    assert deep.value != float(row.value)
