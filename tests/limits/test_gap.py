"""The gap between two yokes: nominal where nothing gives, and every small error against exact kinematics."""

from dataclasses import replace
from itertools import pairwise

import numpy as np
import pytest
from limits.evaluated import torques_on
from limits.gaps import Side, carried, pair, placed, rise, tilt
from random_engines import exact, random_engine, stiff

from balance.machine.machine import Gravity, NoGas
from balance.machine.yoke import Outline
from balance.outlines import edge_heights
from balance.turning import in_crank
from shafts.crank.layout import layout
from shafts.gap.items import shaft_twist
from shafts.gap.items.making_tolerances import deviations
from shafts.gap.items.thermal_expansion import thicker_faces, warm_shift
from shafts.gap.items.timing_and_backlash import tilt_of_lead
from shafts.gap.pair import yoke_pairs
from shafts.gap.shift import rise_per_displacement, shift_of_sides, tilt_per_rise
from shafts.shaft import Fits, Shafts, Tolerances

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
            given = np.abs(soft.gap(speed, case) - np.min(soft.facing.nominal, axis=-2)).max()
            assert given > 1e-9
            np.testing.assert_allclose(
                found.gap(speed, case), np.min(found.facing.nominal, axis=-2), rtol=0, atol=2e-9 * given + 1e-16
            )


@pytest.mark.parametrize("seed", SEEDS)
def test_items_and_nominal_gap_add_up(seed):
    found = pair(random_engine(seed))
    for speed in (0.0, 90.0):
        for case in ("expected", "worst"):
            total = found.facing.nominal + sum(found.items(speed, case).values())
            np.testing.assert_allclose(found.clearances(speed, case), total, rtol=0, atol=1e-15)
            np.testing.assert_allclose(found.gap(speed, case), total.min(axis=-2), rtol=0, atol=1e-15)


PLAYS = ("bearing clearance", "rod pin play", "timing and backlash", "making tolerances")


@pytest.mark.parametrize("seed", SEEDS)
def test_worst_case_is_never_better_line_by_line(seed):
    found = pair(random_engine(seed))
    for speed in (0.0, 90.0):
        expected, worst = found.items(speed), found.items(speed, "worst")
        for name in PLAYS:
            assert np.all(worst[name] <= -np.abs(expected[name]) + 1e-15), name
        for name in set(expected) - set(PLAYS):
            np.testing.assert_array_equal(worst[name], expected[name])
        assert np.all(found.gap(speed, "worst") <= found.gap(speed) + 1e-15)


def looser(engine, share):
    """Return the engine with every play, error and tolerance so many times as large."""

    def loose(shaft):
        bearings = tuple(replace(each, bush=replace(each.bush, play=share * each.bush.play)) for each in shaft.bearings)
        return replace(shaft, bearings=bearings)

    def jointed(yoke):
        joint = "slot" if yoke.rod is None else "rod"
        return replace(yoke, **{joint: replace(getattr(yoke, joint), play=share * getattr(yoke, joint).play)})

    left = engine.shafts.left and loose(engine.shafts.left)
    fields = {name: each for name, each in vars(loose(engine.shafts)).items() if name != "left"}
    gears, fits = engine.cranks.gears, engine.fits
    errors = Tolerances(**{name: share * each for name, each in vars(fits.tolerances).items()})
    return replace(
        engine,
        shafts=Shafts(**fields, left=left),
        yokes={name: jointed(yoke) for name, yoke in engine.yokes.items()},
        cranks=replace(engine.cranks, gears=replace(gears, backlash=share * gears.backlash)),
        fits=replace(fits, timing_error=share * fits.timing_error, tolerances=errors),
    )


@pytest.mark.parametrize("seed", SEEDS)
def test_more_play_never_leaves_more_worst_case_gap(seed):
    """In whatever is loosened, at every place, angle and speed; and twice the play takes twice as much."""
    engine = random_engine(seed)
    tight, half, whole = (pair(looser(engine, share)) for share in (0.0, 0.5, 1.0))
    for speed in (0.0, 60.0, 150.0):
        gaps = [each.clearances(speed, "worst") for each in (tight, half, whole)]
        usable = np.isfinite(gaps[0])
        for more, less in ((gaps[0], gaps[1]), (gaps[1], gaps[2])):
            assert np.all(less[usable] <= more[usable] + 1e-15)
        taken = [gaps[0][usable] - each[usable] for each in gaps[1:]]
        # A guide that has no more play to give holds the tilt of cranks out of step.
        assert np.all(taken[1] <= 2 * taken[0] + 1e-12)
        assert np.min(taken[1]) > 1e-7


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
    height = [found.loaded.motion.yokes[name].height for name in (found.upper, found.lower)]
    nominal = found.facing.nominal.min(axis=-2)
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
    heights = [found.loaded.motion.yokes[name].height for name in (found.upper, found.lower)]
    inside = np.isfinite(found.facing.nominal).all(axis=-1)
    np.testing.assert_array_equal(inside, np.abs(found.facing.x) <= 0.01)
    np.testing.assert_allclose(
        found.facing.nominal[inside], (heights[0] - heights[1] - 0.01) + 0 * found.facing.nominal[inside], atol=1e-15
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


def displaced(yoke, moved, right, left):
    """Return the shift of a yoke whose crankpins are displaced by (out, up), m."""
    by_x, by_y = rise_per_displacement(moved, THETA)
    rises = []
    for out, up in (right, left):
        x, y = in_crank(out, up, THETA, 1.0)
        rises.append(x * by_x + y * by_y)
    return shift_of_sides(*rises, tilt_per_rise(yoke, moved))


@pytest.mark.parametrize(("seed", "name"), RODDED)
def test_displaced_pins_against_exact_kinematics(seed, name):
    """Pins displaced by small known amounts: the rod-length equations solved exactly give the same rise and tilt."""
    engine, _, yoke, moved = looked(seed, name)
    ux, uy, vx, vy = np.random.default_rng(seed).uniform(-1, 1, 4)
    shift = displaced(yoke, moved, (ux, uy), (-vx, vy))

    def measure(size):
        return placed(engine, name, Side(out=size * ux, up=size * uy), Side(out=-size * vx, up=size * vy), THETA)

    np.testing.assert_allclose(measure(0.0)[0], moved.height, rtol=1e-12)
    first_order(measure, (shift.rise, shift.tilt), yoke.half_span)


@pytest.mark.parametrize(("seed", "name"), RODDED[:8])
def test_separating_force_moves_both_pins_as_any_force_on_the_gear_does(seed, name):
    """What the teeth push apart stands along +x of the bench on the right shaft, and mirrored on the left."""
    _, found, _, _ = looked(seed, name)
    for crank, sign in zip(found.cranks, (1.0, -1.0), strict=True):
        teeth, pin = crank.named("gear teeth"), crank.pin(name)
        assert teeth.apart * sign > 0
        push = in_crank(teeth.apart * np.abs(teeth.force.y.at(80.0)), 0.0, found.motion.theta, sign)
        influence = crank.influence([crank.stations.rods[name]])[..., list(crank.stations.teeth)]
        plain = pin.x.at(80.0), pin.y.at(80.0)
        for row, (whole, without) in enumerate(zip(pin.at(80.0), plain, strict=True)):
            by_hand = influence[row, 0] * push[0] + influence[row, 1] * push[1]
            np.testing.assert_allclose(whole - without, by_hand, rtol=1e-9, atol=1e-13 * np.abs(whole).max())


def test_separating_forces_tilt_where_the_shafts_differ():
    tilts = []
    for seed, name in RODDED:
        _, found, yoke, moved = looked(seed, name)
        by_x, by_y = rise_per_displacement(moved, found.motion.theta)
        pins = [crank.pin(name) for crank in found.cranks]
        push = np.abs(found.tooth.at(80.0))
        rises = [(pin.apart[0] * by_x + pin.apart[1] * by_y) * push for pin in pins]
        tilts.append(np.abs(shift_of_sides(*rises, tilt_per_rise(yoke, moved)).tilt).max())
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
    tilt, _ = tilt_of_lead(found, name)

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
    shift = displaced(yoke, moved, (3e-6, 1e-6), (0.0, 5e-6))
    np.testing.assert_allclose(shift.rise, 3e-6, rtol=1e-12)
    throw = engine.cranks.throws[yoke.throw]
    place = engine.cranks.centre_distance / 2 + throw.radius * np.sin(THETA + throw.phase)
    np.testing.assert_allclose(shift.tilt, -2e-6 / place, rtol=1e-12)


def test_rods_that_meet_in_the_middle_tilt_nothing():
    seed, name = RODDED[0]
    yoke = replace(random_engine(seed).yokes[name], half_span=0.0)
    _, _, _, moved = looked(seed, name)
    np.testing.assert_array_equal(tilt_per_rise(yoke, moved), np.zeros((1,)))


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
    rooms = found.clearances(80.0)
    assert np.unravel_index(rooms.argmin(), rooms.shape) == (place, spot.index)
    assert spot.of(rooms[place]) <= rooms.min()
    items = found.items(80.0)
    total = spot.of(found.facing.nominal[place]) + sum(spot.of(each[place]) for each in items.values())
    np.testing.assert_allclose(total, spot.of(rooms[place]), atol=1e-15)


@pytest.mark.parametrize(("seed", "name"), RODDED[:8])
def test_twist_turns_each_crank_ahead_of_its_gear(seed, name):
    """Each crank ahead by the twist of all torques between its throw and the gear, piece by piece, and placed anew.

    Only where there is shaft: webs and crankpins have lines of their own. To first order: the softest of these shafts
    wind up by some hundredths of a radian.
    """
    shafts_so = carried(random_engine(seed), 24)
    engine, speed, theta = shafts_so.engine, 120.0, shafts_so.motion.theta
    throw, ahead = engine.throw_of(engine.yokes[name]), []
    for crank in shafts_so.cranks:
        shaft, torques = crank.shaft, torques_on(crank, theta, speed)
        np.testing.assert_allclose(sum(each for _, each in torques), 0.0, atol=1e-9 * max(np.abs(torques[0][1])))
        ends = float(shaft.starts_at) + np.cumsum([0.0, *(each.length for each in shaft.segments)])
        lengths = [axis for axis in layout(shaft, engine.cranks, crank.hand).axes if axis.throw is None]
        # From the throw towards the gear: all torques on the throw's side of each piece wind it.
        low, high = sorted((float(throw.at), float(engine.cranks.gears.at)))
        marks = [*ends, *(at for at, _ in torques), *(end for axis in lengths for end in (axis.low, axis.high))]
        cuts = np.unique(np.clip([*marks, low, high], low, high))
        wound = np.zeros(24)
        for start, end in pairwise(cuts):
            middle = (start + end) / 2
            if not any(axis.low < middle < axis.high for axis in lengths):
                continue
            piece = shaft.segments[int(np.searchsorted(ends, middle)) - 1]
            polar = np.pi / 32 * (piece.diameter**4 - piece.bore**4)
            torque = sum(each for at, each in torques if (at < middle) == (float(throw.at) < middle))
            wound = wound + torque * (end - start) / (shaft.material.shear * polar)
        ahead.append(wound)
    still = placed(engine, name, Side(), Side(), theta)
    moved = placed(engine, name, Side(ahead=ahead[0]), Side(ahead=ahead[1]), theta)
    ours = rise(shafts_so, shaft_twist, name, speed), tilt(shafts_so, shaft_twist, name, speed)
    for found, before, after in zip(ours, still, moved, strict=True):
        scale = np.abs(after - before).max()
        assert scale > 1e-9
        np.testing.assert_allclose(found, after - before, rtol=0, atol=0.015 * scale)


@pytest.mark.parametrize("seed", SEEDS[:4])
def test_teeth_that_bear_nothing_stand_in_the_middle_of_their_play(seed):
    """At rest without gas and weight nothing is loaded: the gap is still the sum of its items."""
    engine = replace(exact(random_engine(seed)), gas=NoGas(), gravity=Gravity(x=0.0, y=0.0))
    gears = replace(engine.cranks.gears, backlash=1e-4)
    found = pair(replace(engine, cranks=replace(engine.cranks, gears=gears)))
    for case in ("expected", "worst"):
        items = found.items(0.0, case)
        np.testing.assert_allclose(
            found.clearances(0.0, case), found.facing.nominal + sum(items.values()), rtol=0, atol=1e-15
        )
    assert np.abs(found.items(0.0)["timing and backlash"]).max() < 1e-15 < np.abs(items["timing and backlash"]).max()


@pytest.mark.parametrize("hot", ["upper", "lower", "both"])
@pytest.mark.parametrize("seed", SEEDS[:4])
def test_a_yoke_thickens_by_its_own_warmth(seed, hot):
    """From its pivots to its face at each place by expansion times 80 K: what the upper gains in depth is lost."""
    found = pair(exact(random_engine(seed)))
    engine, cold = found.loaded.engine, found.loaded.engine.fits.set_up_at
    warmed = {"upper": (found.upper,), "lower": (found.lower,), "both": (found.upper, found.lower)}[hot]
    yokes = {
        name: replace(yoke, temperature=cold + (80.0 if name in warmed else 0.0)) for name, yoke in engine.yokes.items()
    }
    shafts_so = replace(found.loaded, engine=replace(engine, yokes=yokes))
    strain = {name: 80.0 * yokes[name].material.expansion * (name in warmed) for name in yokes}
    under = edge_heights(yokes[found.upper].outline, found.facing.x)[0] * strain[found.upper]
    over = edge_heights(yokes[found.lower].outline, found.facing.x)[1] * strain[found.lower]
    thicker = thicker_faces(shafts_so, found.facing)
    np.testing.assert_allclose(thicker, under - over, rtol=1e-9)
    assert np.abs(thicker).max() > 0
