"""The gap between two yokes: nominal where nothing gives, and every small error against exact kinematics."""

from dataclasses import replace
from itertools import pairwise

import numpy as np
import pytest
from limits.gaps import Side, carried, pair, placed
from random_engines import exact, random_engine, stiff
from shafts.gap.crank_give import wind_up
from shafts.gap.timing import timing_of
from shafts.gap.tolerances import deviations
from shafts.gap.warming import thicker_faces, warm_shift
from shafts.superposition import Response

from balance.cycle.load import Load, PlanarForce
from balance.machine.machine import Gravity, NoGas
from balance.machine.yoke import Outline
from balance.outlines import edge_heights
from shafts.gap.pair import yoke_pairs
from shafts.gap.shift import Shift, lean_of, pin_shift, turn_of
from shafts.shaft import Fits, Tolerances

SEEDS = range(12)
RODDED = [
    (seed, name)
    for seed in range(40)
    for name, yoke in random_engine(seed).yokes.items()
    if yoke.rod is not None and yoke.half_span > 0.004
][:16]
HANDS = {"right": 1.0, "left": -1.0}
THETA = np.arange(24) * (2 * np.pi / 24)


# Nothing that gives, nothing that plays


@pytest.mark.parametrize("seed", SEEDS)
def test_rigid_engine_without_play_keeps_its_nominal_gap(seed):
    engine = random_engine(seed)
    soft = pair(exact(engine))
    found = pair(stiff(exact(engine)))
    for speed in (0.0, 40.0, 150.0):
        for case in ("expected", "worst"):
            given = np.abs(soft.gap(speed, case) - np.min(soft.nominal, axis=-2)).max()
            assert given > 1e-9
            np.testing.assert_allclose(
                found.gap(speed, case), np.min(found.nominal, axis=-2), rtol=0, atol=2e-9 * given + 1e-16
            )


@pytest.mark.parametrize("seed", SEEDS)
def test_items_and_nominal_gap_add_up(seed):
    found = pair(random_engine(seed))
    for speed in (0.0, 90.0):
        for case in ("expected", "worst"):
            total = found.nominal + sum(found.items(speed, case).values())
            np.testing.assert_allclose(found.rooms(speed, case), total, rtol=0, atol=1e-15)
            np.testing.assert_allclose(found.gap(speed, case), total.min(axis=-2), rtol=0, atol=1e-15)


@pytest.mark.parametrize("seed", SEEDS)
def test_worst_case_is_never_better(seed):
    found = pair(random_engine(seed))
    expected, worst = found.items(90.0), found.items(90.0, "worst")
    for name in ("timing and backlash", "making tolerances"):
        assert np.all(worst[name] <= np.minimum(expected[name], 0.0) + 1e-15)
    most = [max(float(np.max(each)) for each in bearing.clearance) for bearing in found.bearings]
    assert min(most) >= 0.0


@pytest.mark.parametrize("seed", SEEDS)
def test_nominal_gap_is_that_of_heights_and_outlines(seed):
    """By brute force: the least upright distance between both outlines on a fine raster, by shapely."""
    from shapely import LineString, Polygon

    engine = random_engine(seed)
    found = pair(engine)
    upper, lower = (engine.yokes[name].outline for name in (found.upper, found.lower))
    shapes = [Polygon(each.corners) for each in (upper, lower)]
    low = max(each.bounds[0] for each in shapes)
    high = min(each.bounds[2] for each in shapes)
    corners = [x for each in (upper, lower) for x, _ in each.corners if low <= x <= high]
    rooms = []
    for x in np.unique([*np.linspace(low, high, 101), *corners]):
        cuts = [LineString([(x, -1.0), (x, 1.0)]).intersection(each) for each in shapes]
        rooms.append(cuts[0].bounds[1] - cuts[1].bounds[3])
    height = [found.carried.motion.yokes[name].height for name in (found.upper, found.lower)]
    nominal = found.nominal.min(axis=-2)
    np.testing.assert_allclose(nominal, height[0] - height[1] + min(rooms), rtol=0, atol=1e-10)
    assert np.mean(height[0]) >= np.mean(height[1])


# Which parts can touch at all


@pytest.mark.parametrize(
    ("play", "meet"),
    [(0.0, False), (0.4e-3, False), (0.6e-3, True)],
)
def test_only_parts_whose_ranges_meet_can_touch(play, meet):
    """Half a millimetre lies between the ranges; each part may move half the axial play either way."""
    engine = random_engine(3)
    upper, lower = (engine.yokes[name] for name in engine.yokes)
    yokes = dict(
        zip(
            engine.yokes,
            (
                replace(upper, outline=replace(upper.outline, z=(-0.04, -0.02))),
                replace(lower, outline=replace(lower.outline, z=(-0.0195, -0.01))),
            ),
            strict=True,
        )
    )
    found = yoke_pairs(carried(replace(engine, yokes=yokes, fits=Fits(axial_play=play))))
    assert bool(found) == meet


def test_yokes_without_outline_or_side_by_side_are_no_pair():
    engine = random_engine(3)
    first = next(iter(engine.yokes))
    bare = {first: replace(engine.yokes[first], outline=None)}
    assert not yoke_pairs(carried(replace(engine, yokes=engine.yokes | bare)))
    beside = Outline(rectangle=(0.01, 0.01), offset=(0.2, 0.0), z=(-0.05, 0.0))
    aside = {first: replace(engine.yokes[first], outline=beside)}
    assert not yoke_pairs(carried(replace(engine, yokes=engine.yokes | aside)))


def test_only_where_they_face_each_other():
    """A short bar over a long one: the long one's ends are beside it and count as infinitely far."""
    engine = random_engine(3)
    bars = [Outline(rectangle=(width, 0.01), z=(-0.05, 0.0)) for width in (0.02, 0.06)]
    yokes = {name: replace(each, outline=bar) for (name, each), bar in zip(engine.yokes.items(), bars, strict=True)}
    found = pair(replace(engine, yokes=yokes))
    heights = [found.carried.motion.yokes[name].height for name in (found.upper, found.lower)]
    inside = np.isfinite(found.nominal).all(axis=-1)
    np.testing.assert_array_equal(inside, np.abs(found.x) <= 0.01)
    np.testing.assert_allclose(
        found.nominal[inside], (heights[0] - heights[1] - 0.01) + 0 * found.nominal[inside], atol=1e-15
    )


# Small errors against exact kinematics


def first_order(measure, predicted, scale, step=1e-6):
    """Assert that a change is as predicted to first order: what is left falls with the square of the step."""
    misses = []
    for size in (step, step / 2):
        height, tilt = measure(size)
        rest, level = measure(0.0)
        rise, turn = predicted
        misses.append(np.array([height - rest - size * rise, (tilt - level - size * turn) * scale]))
    largest = max(np.abs(np.broadcast_to(predicted[0], THETA.shape)).max(), np.abs(predicted[1]).max() * scale)
    whole, half = (np.abs(each).max() for each in misses)
    assert whole < 3e-3 * step * largest
    assert half < 0.3 * whole + 1e-6 * step * largest


def looked(seed, name):
    engine = random_engine(seed)
    found = carried(engine, len(THETA))
    return engine, found, engine.yokes[name], found.motion.yokes[name]


@pytest.mark.parametrize(("seed", "name"), RODDED)
def test_displaced_pins_against_exact_kinematics(seed, name):
    """Pins displaced by small known amounts: the rod-length equations solved exactly give the same rise and tilt."""
    engine, _, yoke, moved = looked(seed, name)
    ux, uy, vx, vy = np.random.default_rng(seed).uniform(-1, 1, 4)
    ones = np.ones_like(THETA)
    right, left = (
        Response(PlanarForce(Load(gas=x * ones), Load(gas=y * ones)), None, 0.0) for x, y in ((ux, uy), (vx, vy))
    )
    shift = pin_shift(lean_of(moved), turn_of(yoke, moved), right, left).at(0.0)

    def measure(size):
        return placed(engine, name, Side(out=size * ux, up=size * uy), Side(out=-size * vx, up=size * vy), THETA)

    np.testing.assert_allclose(measure(0.0)[0], moved.height, rtol=1e-12)
    first_order(measure, (shift.rise, shift.tilt), yoke.half_span)


@pytest.mark.parametrize(("seed", "name"), RODDED[:8])
def test_separating_force_moves_both_pins_outward(seed, name):
    """What the teeth push apart, along +x on the right shaft and mirrored on the left, displaces pins like any load."""
    _, found, yoke, moved = looked(seed, name)
    responses = [state.pins[name] for state in found.states]
    whole = pin_shift(lean_of(moved), turn_of(yoke, moved), *responses)
    with_teeth, without = whole.at(80.0), Shift(whole.rise.at(80.0), whole.tilt.at(80.0))
    pushed = [
        Response(PlanarForce(x=Load(gas=each.mesh_weight * each.mesh.separating(80.0))), None, 0.0)
        for each in responses
    ]
    by_hand = pin_shift(lean_of(moved), turn_of(yoke, moved), *pushed).at(0.0)
    for way in ("rise", "tilt"):
        teeth = getattr(with_teeth, way) - getattr(without, way)
        scale = np.abs(getattr(with_teeth, way)).max()
        np.testing.assert_allclose(teeth, getattr(by_hand, way), rtol=1e-9, atol=1e-13 * scale)
    assert np.all(responses[0].mesh.separating(80.0) >= 0)
    assert np.all(responses[1].mesh.separating(80.0) <= 0)


def test_separating_forces_tilt_where_the_shafts_differ():
    tilts = []
    for seed, name in RODDED:
        _, found, yoke, moved = looked(seed, name)
        shift = pin_shift(lean_of(moved), turn_of(yoke, moved), *(state.pins[name] for state in found.states))
        tilts.append(np.abs(shift.at(80.0).tilt - shift.tilt.at(80.0)).max())
    assert max(tilts) > 1e-7


DEVIATIONS = {
    "throw radius": ("throw_radius", "radius"),
    "throw phase": ("throw_phase", "ahead"),
    "rod length": ("rod_length", "length"),
    "half-span": ("half_span", "span"),
}


@pytest.mark.parametrize("hand", HANDS)
@pytest.mark.parametrize("kind", DEVIATIONS)
@pytest.mark.parametrize(("seed", "name"), RODDED[:6])
def test_making_errors_against_exact_kinematics(seed, name, kind, hand):
    engine, found, yoke, _ = looked(seed, name)
    of = yoke.throw if kind.startswith("throw") else name
    half_width, shift = deviations(found, name)[f"{kind} of {of}, {hand}"]
    field, side = DEVIATIONS[kind]
    assert half_width == getattr(engine.fits.tolerances, field)
    unit = 1 / 0.02 if side == "ahead" else 1.0  # an angle, so that a step of a micrometre is one at the pin

    def measure(size):
        off = {each: Side(**{side: size * unit}) if each == hand else Side() for each in HANDS}
        return placed(engine, name, off["right"], off["left"], THETA)

    first_order(measure, (shift.rise * unit, shift.tilt * unit), yoke.half_span)


@pytest.mark.parametrize(("seed", "name"), RODDED[:6])
def test_shafts_farther_apart_against_exact_kinematics(seed, name):
    engine, found, yoke, _ = looked(seed, name)
    half_width, shift = deviations(found, name)["centre distance"]
    assert half_width == engine.fits.tolerances.centre_distance

    def measure(size):
        return placed(engine, name, Side(out=size / 2), Side(out=size / 2), THETA)

    first_order(measure, (shift.rise, shift.tilt), yoke.half_span)
    assert not np.any(shift.tilt)


@pytest.mark.parametrize(("seed", "name"), RODDED[:6])
def test_cranks_out_of_step_against_exact_kinematics(seed, name):
    engine, found, yoke, _ = looked(seed, name)
    ((sign, tilt, _),) = timing_of(found, name).tilts
    assert sign == 1.0

    def measure(size):
        return placed(engine, name, Side(ahead=size * 25), Side(ahead=-size * 25), THETA)

    first_order(measure, (np.zeros_like(tilt), tilt * 50), yoke.half_span)


@pytest.mark.parametrize(("seed", "name"), RODDED[:6])
def test_growth_by_heat_against_exact_kinematics(seed, name):
    """Rods, half-span and case each longer by alpha (T - 293.15 K); to first order in the temperature difference."""
    engine, _, yoke, _ = looked(seed, name)

    def lengths(share):
        hot, case = (293.15 + share * each for each in (90.0, 40.0))
        fits = Fits(case_temperature=case, case_material=engine.fits.case_material)
        yokes = engine.yokes | {name: replace(yoke, temperature=hot)}
        grown = (
            yoke.rod.length * yoke.rod.material.expansion * (hot - 293.15),
            yoke.half_span * yoke.material.expansion * (hot - 293.15),
            engine.cranks.centre_distance * engine.fits.case_material.expansion * (case - 293.15),
        )
        return replace(engine, yokes=yokes, fits=fits), grown

    warm, (longer, wider, apart) = lengths(1.0)
    shift = warm_shift(carried(warm, len(THETA)), name)
    for share in (1.0, 0.1):
        grown = Side(length=longer * share, span=wider * share, out=apart / 2 * share)
        height = placed(engine, name, grown, grown, THETA)[0] - placed(engine, name, Side(), Side(), THETA)[0]
        largest = np.abs(shift.rise).max()
        np.testing.assert_allclose(height / share, shift.rise, rtol=0, atol=share * 0.02 * largest)
    assert not np.any(shift.tilt)


def test_a_slot_rises_with_its_pins_and_tilts_about_where_they_are():
    """Pins in a slot hold it at their own distance from the axis."""
    seed, name = next(
        (seed, name) for seed in range(60) for name, y in random_engine(seed).yokes.items() if y.rod is None
    )
    engine, _, yoke, moved = looked(seed, name)
    ones = np.ones_like(THETA)
    right, left = (
        Response(PlanarForce(Load(gas=x * ones), Load(gas=y * ones)), None, 0.0) for x, y in ((3e-6, 1e-6), (0, 5e-6))
    )
    shift = pin_shift(lean_of(moved), turn_of(yoke, moved), right, left).at(0.0)
    np.testing.assert_allclose(shift.rise, 3e-6, rtol=1e-12)
    throw = engine.cranks.throws[yoke.throw]
    place = engine.cranks.centre_distance / 2 + throw.radius * np.sin(THETA + throw.phase)
    np.testing.assert_allclose(shift.tilt, -2e-6 / place, rtol=1e-12)


def test_rods_that_meet_in_the_middle_tilt_nothing():
    seed, name = RODDED[0]
    yoke = replace(random_engine(seed).yokes[name], half_span=0.0)
    _, _, _, moved = looked(seed, name)
    np.testing.assert_array_equal(turn_of(yoke, moved), np.zeros((1,)))


def test_no_tolerances_no_deviations():
    seed, name = RODDED[0]
    engine = random_engine(seed)
    fits = Fits(tolerances=Tolerances(rod_length=1e-5))
    found = deviations(carried(replace(engine, fits=fits), 24), name)
    assert sorted(found) == [f"rod length of {name}, left", f"rod length of {name}, right"]


@pytest.mark.parametrize("seed", SEEDS[:6])
def test_the_tightest_place_is_where_the_gap_is_least(seed):
    found = pair(random_engine(seed))
    place, spot = found.tightest(80.0)
    rooms = found.rooms(80.0)
    assert np.unravel_index(rooms.argmin(), rooms.shape) == (place, spot.place)
    assert spot.of(rooms[place]) <= rooms.min()
    items = found.items(80.0)
    total = spot.of(found.nominal[place]) + sum(spot.of(each[place]) for each in items.values())
    np.testing.assert_allclose(total, spot.of(rooms[place]), atol=1e-15)


@pytest.mark.parametrize(("seed", "name"), RODDED[:8])
def test_wind_up_turns_each_crank_ahead_of_its_gear(seed, name):
    """Each crank ahead by the twist of all torques between its throw and the gear, piece by piece, and placed anew.

    To first order: the softest of these shafts wind up by some hundredths of a radian.
    """
    shafts_so = carried(random_engine(seed), 24)
    engine, speed = shafts_so.engine, 120.0
    throw, ahead = engine.throw_of(engine.yokes[name]), []
    for shaft, twisting in zip(engine.shafts.pair, shafts_so.twisting, strict=True):
        ends = float(shaft.starts_at) + np.cumsum([0.0, *(each.length for each in shaft.segments)])
        # From the throw towards the gear: all torques on the throw's side of each piece wind it.
        low, high = sorted((float(throw.at), float(engine.cranks.gears.at)))
        cuts = np.unique(np.clip([*ends, *(float(each.at) for each in twisting), low, high], low, high))
        wound = np.zeros(24)
        for start, end in pairwise(cuts):
            middle = (start + end) / 2
            if not ends[0] < middle < ends[-1]:
                continue  # beyond the shaft its arms are rigid
            piece = shaft.segments[int(np.searchsorted(ends, middle)) - 1]
            polar = np.pi / 32 * (piece.diameter**4 - piece.bore**4)
            beyond = [each for each in twisting if (float(each.at) < middle) == (float(throw.at) < middle)]
            torque = sum(np.broadcast_to(each.torque.at(speed), 24) for each in beyond)
            wound = wound + torque * (end - start) / (shaft.material.shear * polar)
        ahead.append(wound)
    theta = shafts_so.motion.theta
    still = placed(engine, name, Side(), Side(), theta)
    moved = placed(engine, name, Side(ahead=ahead[0]), Side(ahead=ahead[1]), theta)
    found = wind_up(shafts_so, name).at(speed)
    for ours, before, after in zip((found.rise, found.tilt), still, moved, strict=True):
        scale = np.abs(after - before).max()
        assert scale > 1e-9
        np.testing.assert_allclose(ours, after - before, rtol=0, atol=0.015 * scale)


@pytest.mark.parametrize("seed", SEEDS[:4])
def test_teeth_that_bear_nothing_stand_in_the_middle_of_their_play(seed):
    """At rest without gas and weight nothing is loaded: the gap is still the sum of its items."""
    engine = replace(exact(random_engine(seed)), gas=NoGas(), gravity=Gravity(x=0.0, y=0.0))
    gears = replace(engine.cranks.gears, backlash=1e-4)
    found = pair(replace(engine, cranks=replace(engine.cranks, gears=gears)))
    for case in ("expected", "worst"):
        items = found.items(0.0, case)
        np.testing.assert_allclose(found.rooms(0.0, case), found.nominal + sum(items.values()), rtol=0, atol=1e-15)
    assert np.abs(found.items(0.0)["timing and backlash"]).max() < 1e-15 < np.abs(items["timing and backlash"]).max()


@pytest.mark.parametrize("hot", ["upper", "lower", "both"])
@pytest.mark.parametrize("seed", SEEDS[:4])
def test_a_yoke_thickens_by_its_own_warmth(seed, hot):
    """From its pivots to its face at each place by expansion times 80 K: what the upper gains in depth is lost."""
    found = pair(exact(random_engine(seed)))
    engine, cold = found.carried.engine, found.carried.engine.fits.set_up_at
    warmed = {"upper": (found.upper,), "lower": (found.lower,), "both": (found.upper, found.lower)}[hot]
    yokes = {
        name: replace(yoke, temperature=cold + (80.0 if name in warmed else 0.0)) for name, yoke in engine.yokes.items()
    }
    shafts_so = replace(found.carried, engine=replace(engine, yokes=yokes))
    strain = {name: 80.0 * yokes[name].material.expansion * (name in warmed) for name in yokes}
    under = edge_heights(yokes[found.upper].outline, found.x)[0] * strain[found.upper]
    over = edge_heights(yokes[found.lower].outline, found.x)[1] * strain[found.lower]
    thicker = thicker_faces(shafts_so, found.upper, found.lower, found.x)
    np.testing.assert_allclose(thicker, under - over, rtol=1e-9)
    assert np.abs(thicker).max() > 0
