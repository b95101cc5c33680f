"""What makes many options quick must not change an answer: bounds hold, and few angles say what all say."""

from dataclasses import replace

import numpy as np
import pytest
from limits.gaps import carried
from limits.one_pin import LEVER, pushed
from random_engines import random_engine

from balance import gas, joints, motion, torque
from balance.cycle.extremes import least
from balance.cycle.load import Load
from balance.machine.yoke import RodMasses
from balance.many import one, unchecked
from shafts.crank.compliance import _same_options
from shafts.gap import contact
from shafts.gap.bounds import contact_of_many
from shafts.gap.bounds.bounds import GapBounds, bounds_of
from shafts.gap.bounds.largest_shift import _yielding, largest_shift
from shafts.gap.bounds.pruning import _lowest, pruned_pairs
from shafts.gap.curve import BearingRows, GapCurve, Leads, RodRows
from shafts.gap.displaced import play_at
from shafts.gap.facing import _distinct, facing_yokes
from shafts.gap.items import thermal_expansion
from shafts.gap.pair import yoke_pairs
from shafts.loaded_shafts import load_shafts
from shafts.peaks import _dip, _surely_less, peaks, shaft_peaks

SEEDS = range(24)
TOP = 250.0


def several(seed, count=20):
    """Return a random engine as so many options: its shafts, masses, rods and throws a little different in each."""
    return near_to(random_engine(seed), seed, count)


def near_to(engine, seed, count):
    """Return an engine, or a design, as so many options near to it."""
    generator = np.random.default_rng(seed)

    def near(value):
        return value * (1 + generator.uniform(-0.02, 0.02, count))

    segments = tuple(unchecked(each, {"diameter": near(each.diameter)}) for each in engine.shafts.segments)
    shafts = unchecked(engine.shafts, {"segments": segments})
    yokes = {}
    for name, yoke in engine.yokes.items():
        parts = {part: unchecked(each, {"mass": near(each.mass)}) for part, each in yoke.parts.items()}
        rod = yoke.rod and unchecked(yoke.rod, {"length": near(yoke.rod.length)})
        yokes[name] = unchecked(yoke, {"parts": parts, "rod": rod})
    return unchecked(engine, {"shafts": shafts, "yokes": yokes})


def loaded(engine):
    moved = motion.move(engine, motion.crank_angles(72))
    forces = joints.joint_forces(engine, moved, gas.gas_state(engine, moved))
    return load_shafts(engine, moved, forces, torque.torques(engine, moved, forces))


@pytest.mark.parametrize("seed", SEEDS)
def test_nothing_shifts_the_yokes_by_more_than_is_allowed_for(seed):
    shafts_so = carried(random_engine(seed), 360)
    for facing in facing_yokes(shafts_so.engine, shafts_so.motion):
        most = largest_shift(shafts_so, facing, np.asarray(TOP))
        warm = thermal_expansion.line(shafts_so, facing, "expected").clearances(0.0)
        found = next(each for each in yoke_pairs(shafts_so) if (each.upper, each.lower) == (facing.upper, facing.lower))
        for speed in (0.0, 0.3 * TOP, 0.8 * TOP, TOP):
            moved = np.abs(found.clearances(speed) - found.facing.nominal - warm)
            assert np.all(np.max(np.where(np.isfinite(moved), moved, 0.0), axis=-1) <= most)
        assert np.all(most < 0.05)  # a bound that allowed for anything would serve nothing


@pytest.mark.parametrize("seed", SEEDS)
def test_the_gap_keeps_within_its_bounds(seed):
    for pair in yoke_pairs(carried(random_engine(seed), 72)):
        bounds = bounds_of(pair.curve(), np.asarray(TOP))
        for share in (0.0, 0.1, 0.5, 0.9, 1.0):
            rooms = pair.clearances(np.sqrt(share) * TOP)
            with np.errstate(invalid="ignore"):
                middle = bounds.rest + share * (bounds.top - bounds.rest)
            usable = np.isfinite(rooms)
            assert np.all(np.abs(rooms - middle)[usable] <= np.broadcast_to(bounds.loose, rooms.shape)[usable] + 1e-15)
            assert np.all((rooms >= bounds.least - 1e-15)[usable])
            assert np.all((rooms <= bounds.most + 1e-15)[usable])


@pytest.mark.parametrize("seed", SEEDS)
def test_without_bounds_every_answer_would_be_the_same(seed):
    """Gap, angle and first contact from the whole curves of all options at all angles, to 1e-12.

    Nothing that is in the room of bounds is in these: it could be left out but for the time that it saves.
    """
    shafts_so, top = loaded(several(seed)), np.full(20, TOP)
    pruned = {(each.upper, each.lower): each for each in pruned_pairs(shafts_so, top)}
    whole = {(each.upper, each.lower): each for each in yoke_pairs(shafts_so)}
    assert list(pruned) == list(whole)
    for names, few in pruned.items():
        for speed in (0.0, 0.3 * TOP, 0.6 * TOP, TOP):
            speeds = np.full(20, speed)
            for ours, theirs in zip(few.least(speeds), whole[names].least(speeds), strict=True):
                np.testing.assert_allclose(ours, np.broadcast_to(theirs, 20), rtol=1e-12, atol=1e-15)
        first = contact_of_many.first_contact(few, top), contact.first_contact(whole[names], top)
        np.testing.assert_allclose(*first, rtol=1e-12)


@pytest.mark.parametrize("share", [0.1, 0.7])
@pytest.mark.parametrize("seed", range(12))
def test_without_bounds_the_speed_of_contact_would_be_the_same(seed, share):
    """Faces brought so near that every option touches between rest and the top speed, or at once, or never."""
    shafts_so, top = loaded(several(seed)), np.full(20, TOP)
    (few, *_), (whole, *_) = pruned_pairs(shafts_so, top), yoke_pairs(shafts_so)
    assert (few.upper, few.lower) == (whole.upper, whole.lower)
    ends = [whole.least(np.full(20, speed))[0] for speed in (0.0, TOP)]
    by = np.where(np.isfinite(ends[0]), (1 - share) * ends[0] + share * ends[1], 0.0)
    nearer = replace(few, curve=few.curve + GapCurve(Load(steady=-by[:, None, None])))
    facing = replace(whole.facing, nominal=whole.facing.nominal - by[:, None, None])
    first = contact_of_many.first_contact(nearer, top), contact.first_contact(replace(whole, facing=facing), top)
    np.testing.assert_allclose(*first, rtol=1e-11)
    if np.all(ends[1] < ends[0]):
        assert np.any((first[0] > 0) & np.isfinite(first[0]))


@pytest.mark.parametrize("seed", SEEDS)
def test_few_angles_say_what_all_angles_say_of_each_alone(seed):
    many = several(seed)
    together = pruned_pairs(loaded(many), np.full(20, TOP))
    for option in range(0, 20, 5):
        alone = {(each.upper, each.lower): each for each in yoke_pairs(loaded(one(many, option)))}
        for narrow in together:
            found = alone.get((narrow.upper, narrow.lower))
            if found is None:  # of two yokes near one height either may be the upper one
                continue
            for speed in (0.0, 0.6 * TOP, TOP):
                value, angle = (each[option] for each in narrow.least(np.full(20, speed)))
                expected = found.least(speed)
                assert value == pytest.approx(float(expected[0]), rel=1e-12, abs=1e-15)
                assert angle == pytest.approx(float(expected[1]), rel=1e-9)
            assert contact_of_many.first_contact(narrow, np.full(20, TOP))[option] == pytest.approx(
                float(contact.first_contact(found, TOP)), rel=1e-11
            )


@pytest.mark.parametrize("what", ["shafts", "loads"])
@pytest.mark.parametrize("seed", range(4))
def test_pairs_of_options_whose_shafts_or_loads_alone_differ_are_each_what_they_are_alone(seed, what):
    """At every angle: what has options meets what has none."""
    engine, shares = random_engine(seed), np.array([0.9, 1.0, 1.2])
    if what == "shafts":
        segments = tuple(unchecked(each, {"diameter": each.diameter * shares}) for each in engine.shafts.segments)
        many = unchecked(engine, {"shafts": unchecked(engine.shafts, {"segments": segments, "left": None})})
    else:
        parts = {name: {part: unchecked(each, {"mass": each.mass * shares}) for part, each in yoke.parts.items()}
                 for name, yoke in engine.yokes.items()}  # fmt: skip
        yokes = {name: unchecked(yoke, {"parts": parts[name]}) for name, yoke in engine.yokes.items()}
        many = unchecked(engine, {"yokes": yokes})
    (together,) = yoke_pairs(loaded(many))
    for option in range(3):
        (alone,) = yoke_pairs(loaded(one(many, option)))
        for speed in (0.0, 120.0):
            found = np.broadcast_to(together.clearances(np.full(3, speed)), (3, *alone.facing.nominal.shape))[option]
            np.testing.assert_allclose(found, alone.clearances(speed), rtol=0, atol=1e-13)


@pytest.mark.parametrize("share", [0.05, 0.5, 0.95])
@pytest.mark.parametrize("seed", range(8))
def test_contact_is_looked_for_wherever_it_can_be(seed, share):
    """Options whose nominal gap lies between what they need at rest and at the top speed touch in between.

    However soon a touch comes and goes: of many speeds between, none before the one that is found touches.
    """
    many = several(seed)
    shafts_so = loaded(many)
    (narrow, *_) = pruned_pairs(shafts_so, np.full(20, TOP))
    ends = [narrow.least(np.full(20, speed))[0] for speed in (0.0, TOP)]
    take = (1 - share) * ends[0] + share * ends[1]
    moved = replace(narrow, curve=narrow.curve + GapCurve(Load(steady=-take[:, None, None])))
    found = contact_of_many.first_contact(moved, np.full(20, TOP))
    speeds = np.sqrt(np.linspace(0.0, 1.0, contact.FINEST + 1)) * TOP
    tried = moved.least(speeds[:, None] * np.ones(20))[0]
    at, before = (moved.least(np.where(np.isfinite(found), each, 0.0))[0] for each in (found, found * (1 - 1e-9)))
    for option in range(20):
        touching = np.flatnonzero(tried[:, option] <= 0)
        if not np.isfinite(found[option]):
            assert np.min(tried[:, option]) > -1e-8  # a graze between the ends of two of the finest pieces
            continue
        assert not len(touching) or found[option] <= speeds[touching[0]] * (1 + 1e-12)
        assert at[option] <= 1e-12
        assert found[option] < 1e-9 or before[option] >= -1e-12  # some leave the middle of their play at once


@pytest.mark.parametrize("seed", SEEDS)
def test_peaks_are_the_largest_at_any_of_the_speeds(seed):
    crank = carried(random_engine(seed), 72).cranks[seed % 2]
    speeds = [np.asarray(each) for each in (20.0, 80.0, 110.0, 150.0, 200.0)]
    found_of = shaft_peaks(crank, speeds)
    judged = {"bearings": crank.bearings} | {kind: crank.vectors(each) for kind, each in crank.weights.items()}
    assert {kind for kind, found in found_of.items() if found} == set(judged)
    pairs = [pair for kind in judged for pair in zip(judged[kind], found_of[kind], strict=True)]
    for response, found in pairs:
        sizes = [float(np.max(response.size(each))) for each in speeds]
        assert found.size >= max(sizes) * (1 - 1e-12)
        assert found.size <= max(sizes) * 1.02  # the top of a parabola lies a little above the angles looked at
        assert float(np.max(response.size(found.speed))) == pytest.approx(max(sizes), rel=1e-12)


@pytest.mark.parametrize("slowest", [0.0, 40.0])
@pytest.mark.parametrize("seed", SEEDS)
def test_what_is_passed_over_between_two_speeds_is_less_than_at_one_of_them(seed, slowest):
    shafts_so = carried(random_engine(seed), 72)
    ends, passed = [np.asarray(slowest), np.asarray(200.0)], 0
    for crank in shafts_so.cranks:
        weights = np.concatenate([crank.pushes, crank.weights["slopes"]], axis=-2)
        dips = np.broadcast_to(_dip(crank, weights, ends), (weights.shape[-2] // 2,))
        for response, dip in zip((*crank.bearings, *crank.slopes), dips, strict=True):
            sizes = np.array([float(np.max(response.size(each))) for each in ends])
            for speed in (50.0, 100.0, 150.0):
                if _surely_less(np.asarray(speed), ends, sizes, dip):
                    passed += 1
                    assert np.max(response.size(speed)) <= sizes.max()
    assert passed


def test_a_push_of_the_teeth_between_the_ends_is_not_passed_over():
    """A tooth force that changes sign between the ends, pushing against what else bends the shaft: largest in between.

    By hand: x = 1 - |t| with t from -1 to 1 as speed squared goes from 0 to 1 is 0 at both ends and 1 half-way.
    """
    ones = np.ones(12)
    acting = pushed(Load(steady=ones), Load(steady=-ones, inertia=2 * ones))
    speeds = [np.asarray(each) for each in (0.0, np.sqrt(0.5), 1.0)]
    (found,) = peaks(acting, LEVER, speeds)
    assert found.size == pytest.approx(1.0)
    assert found.speed == speeds[1]


@pytest.mark.parametrize("slowest", [0.0, 1.0, 3.0])
@pytest.mark.parametrize("turned", [0.1, 0.9])
def test_a_push_that_turns_near_an_end_is_not_passed_over(turned, slowest):
    """X = 1 - |t|, t from -p to 1 - p: 1 - p and p at the ends, 1 at a share p of speed squared, by hand."""
    ones, low = np.ones(12), slowest**2
    speeds = [np.sqrt(low + each) for each in (0.0, turned, 1.0)]
    (found,) = peaks(pushed(Load(steady=ones), Load(steady=-(turned + low) * ones, inertia=ones)), LEVER, speeds)
    assert found.size == pytest.approx(1.0)
    assert found.speed == speeds[1]


def allowed(engine, top=TOP):
    """Return the most that its yokes are allowed to shift, and the pair itself."""
    shafts_so = carried(engine, 360)
    (facing,) = facing_yokes(shafts_so.engine, shafts_so.motion)
    return largest_shift(shafts_so, facing, np.asarray(top)), yoke_pairs(shafts_so)[0]


def without_rod_play(engine):
    yokes = {name: replace(yoke, rod=replace(yoke.rod, play=0.0)) for name, yoke in engine.yokes.items()}
    return replace(engine, yokes=yokes)


def without_clearance(engine):
    def tight(bearing):
        return (
            replace(bearing, clearance=0.0) if bearing.ball else replace(bearing, bush=replace(bearing.bush, play=0.0))
        )

    def tightened(shaft):
        return shaft and replace(shaft, bearings=tuple(tight(each) for each in shaft.bearings))

    return replace(engine, shafts=replace(tightened(engine.shafts), left=tightened(engine.shafts.left)))


def without_lead(engine):
    gears = engine.cranks.gears
    return replace(
        engine,
        fits=replace(engine.fits, timing_error=0.0),
        cranks=replace(engine.cranks, gears=gears and replace(gears, backlash=0.0)),
    )


ROWS = {"rod pin play": without_rod_play, "bearing clearance": without_clearance, "timing and backlash": without_lead}
RODDED = [seed for seed in SEEDS if all(yoke.rod is not None for yoke in random_engine(seed).yokes.values())]


@pytest.mark.parametrize("item", ROWS)
@pytest.mark.parametrize("seed", RODDED[:6])
def test_each_play_has_its_own_share_of_what_is_allowed(seed, item):
    engine = random_engine(seed)
    (most, found), (rest, _) = allowed(engine), allowed(ROWS[item](engine))
    shift = np.max(np.abs(found.items(TOP)[item]), axis=-1)
    assert np.all(most - rest >= shift * (1 - 1e-9))


@pytest.mark.parametrize("seed", RODDED[:6])
def test_a_clearance_that_is_known_exactly_is_allowed_in_full(seed):
    """A shaft stands half of it off centre; of a group that is more than is expected, of a stated one it is as much."""

    def loose(shaft):
        return shaft and replace(shaft, bearings=tuple(
            replace(each, clearance=4e-5, bush=each.bush and replace(each.bush, play=0.0)) for each in shaft.bearings
        ))  # fmt: skip

    engine = random_engine(seed)
    shafts = replace(loose(engine.shafts), left=loose(engine.shafts.left))
    (most, found), (rest, _) = allowed(replace(engine, shafts=shafts)), allowed(without_clearance(engine))
    shift = np.max(np.abs(found.items(TOP)["bearing clearance"]), axis=-1)
    assert np.all(most - rest >= shift * (1 - 1e-9))
    moved = 0.0
    for name in (found.upper, found.lower):  # each side of a yoke may rise by as much as its pin is moved, and more
        moved += max(np.max(np.hypot(*play_at(crank, name, TOP))) for crank in found.loaded.cranks)
    assert np.all(most - rest >= moved * (1 - 1e-9))
    assert moved > 2e-5


@pytest.mark.parametrize("seed", RODDED[:6])
def test_loads_at_rest_and_twist_are_allowed_for(seed):
    """With nothing turning only gas and weight remain; with a shaft that twists easily twist is most of it."""
    most, found = allowed(random_engine(seed), top=1e-3)
    items = found.items(1e-3)
    shift = sum(np.abs(items[name]) for name in ("shaft bending", "support deflection", "rod pin play"))
    assert np.all(np.max(shift, axis=-1) <= most)
    engine = random_engine(seed)
    soft = replace(engine.shafts, material=replace(engine.shafts.material, shear=engine.shafts.material.shear / 1e5))
    most, found = allowed(replace(engine, shafts=soft))
    assert np.all(np.max(np.abs(found.items(TOP)["shaft twist"]), axis=-1) <= most)


@pytest.mark.parametrize("wider", [1.0, 30.0])
@pytest.mark.parametrize("seed", RODDED[:6])
def test_pins_are_displaced_by_no_more_than_is_allowed_and_not_by_much_less(seed, wider):
    """At any angle and speed; also by teeth that push apart far more than they push along."""
    shafts_so = carried(random_engine(seed), 72)
    names = list(shafts_so.engine.yokes)
    for crank in shafts_so.cranks:
        loads = [replace(each, apart=wider * each.apart) for each in crank.loads]
        crank = crank.under(loads, crank.theta)
        most = _yielding(crank, names, np.asarray(TOP))
        for place, name in enumerate(names):
            sizes = [np.max(crank.pin(name).size(share * TOP)) for share in (0.0, 0.4, 0.7, 0.9, 1.0)]
            assert max(sizes) <= most[place] * (1 + 1e-12)
            assert most[place] < 3 * max(sizes)


@pytest.mark.parametrize("sign", [1, -1])
def test_what_the_teeth_push_apart_widens_the_bounds(sign):
    ones = np.ones((1, 3))
    still = np.zeros((1, 1, 3))
    curve = GapCurve(
        Load(steady=ones),
        apart=0.25 * ones,
        tooth=Load(steady=2 * sign * ones, inertia=-3 * sign * ones),
        leads=Leads(0 * ones, 0 * ones, 0 * ones),
        bearings=BearingRows(Load(steady=ones), Load(steady=ones), 0 * ones, 0 * ones, still, still),
        rods=RodRows(Load(steady=ones), still),
    )
    bounds = bounds_of(curve, np.asarray(1.0))  # from 2 at rest to 1 the other way: 2 at the most
    np.testing.assert_allclose(bounds.loose, 0.5)
    np.testing.assert_allclose(curve.clearances(0.0), 1.5)


def softened(engine, softer):
    """Return the engine with rods that yield so many times more, heavier on the left."""
    yokes = {}
    for name, yoke in engine.yokes.items():
        material = replace(yoke.rod.material, young=yoke.rod.material.young / softer)
        left = RodMasses(mass=5 * yoke.rod.mass, cg=yoke.rod.cg, inertia=9 * yoke.rod.inertia)
        yokes[name] = replace(yoke, rod=replace(yoke.rod, material=material, left=left))
    return replace(engine, yokes=yokes)


def loosened(engine, lead):
    """Return the engine with its left crank ahead by so much, rad."""
    return replace(engine, fits=replace(engine.fits, timing_error=lead))


@pytest.mark.parametrize(
    ("item", "changed"),
    [("rod stretch", lambda each: softened(each, 3e4)), ("timing and backlash", lambda each: loosened(each, 0.2))],
)
@pytest.mark.parametrize("seed", RODDED)
def test_what_is_by_far_the_largest_is_allowed_for_and_not_by_much_more(seed, item, changed):
    """Beside it all else is small, so the bound is that of the one item: no less than it, at every place along it."""
    most, found = allowed(changed(random_engine(seed)))
    shift = np.max(np.abs(found.items(TOP)[item]), axis=-1)
    assert np.all(shift <= most)
    assert np.max(most) < 60 * np.max(shift)


@pytest.mark.parametrize("seed", range(20))
def test_whatever_lies_between_the_bounds_is_lowest_at_an_angle_that_is_kept(seed):
    """Random curves between random bounds, at random places: the lowest angle and both beside it are kept."""
    generator = np.random.default_rng(seed)
    curve = generator.uniform(-1, 1, (4, 3, 1)) + np.cumsum(generator.normal(0, 0.3, (4, 3, 48)), axis=-1)
    low, high = curve - generator.uniform(0, 0.4, curve.shape), curve + generator.uniform(0, 0.4, curve.shape)
    kept = _lowest(low, high)
    assert kept.shape[-1] < 48
    for _ in range(200):
        share = generator.choice([0.0, 1.0, generator.random()], curve.shape)
        lowest = np.argmin(np.min(low + share * (high - low), axis=1), axis=-1)
        for option in range(4):
            assert {(lowest[option] + step) % 48 for step in (-1, 0, 1)} <= set(kept[option])


def between(low, high):
    still = np.asarray((low + high) / 2)
    return GapBounds(still, still, np.asarray((high - low) / 2))


@pytest.mark.parametrize("seed", range(20))
@pytest.mark.parametrize("offset", [-3.0, 0.0, 3.0])
def test_no_parabola_falls_farther_below_its_lowest_angle_than_is_allowed_for(seed, offset):
    generator = np.random.default_rng(seed)
    curve = offset + generator.normal(0, 1, (2, 3, 24)) - np.array([[[0.0]], [[9.0]]])  # the other option lies lower
    low, high = curve - generator.uniform(0, 0.5, curve.shape), curve + generator.uniform(0, 0.5, curve.shape)
    dip = between(low, high).dip
    for _ in range(50):
        gap = np.min(low + generator.random(curve.shape) * (high - low), axis=1)[0]
        place = int(np.argmin(gap))
        assert gap[place] - float(least(gap)[0]) <= np.max(dip[0, :, place]) + 1e-12


@pytest.mark.parametrize("ahead", [True, False])
def test_a_parabola_through_two_alike_falls_by_an_eighth_of_the_third(ahead):
    """0, 0 and b: the parabola through them is least half-way between the first two, b/8 below; nothing is to spare."""
    gap = np.array([0.0, 0.8, 5.0, 5.0, 5.0, 0.0]) if ahead else np.array([0.0, 0.0, 5.0, 5.0, 5.0, 0.8])
    curve = gap[None, None]
    assert float(least(gap)[0]) == pytest.approx(-0.1)
    np.testing.assert_allclose(between(curve, curve).dip[0, 0, 0], 0.1)


def test_peaks_of_options_are_each_what_they_are_alone():
    """One option's teeth push between the ends, as above; the other's, which have no force, let it fall from 3 to 2."""
    ones, half = np.ones(12), np.sqrt(0.5)
    pushes = np.array([[1.0], [0.0]]) * ones
    falls = Load(steady=np.array([[1.0], [3.0]]) * ones, inertia=np.array([[0.0], [-1.0]]) * ones)
    acting = pushed(falls, Load(steady=-pushes, inertia=2 * pushes))
    (found,) = peaks(acting, LEVER, [np.full(2, each) for each in (0.0, half, 1.0)])
    np.testing.assert_allclose(found.size, [1.0, 3.0])
    assert found.speed[0] == half


def test_teeth_that_turn_at_some_angles_alone_are_not_passed_over():
    """Over half the turn x = 1 - |t| as above, over the other half t stays at one and x falls from 0.6 to 0.2."""
    turning = np.arange(12) < 6
    teeth = Load(steady=np.where(turning, -1.0, 1.0), inertia=np.where(turning, 2.0, 0.0))
    bent = Load(steady=np.where(turning, 1.0, 1.6), inertia=np.where(turning, 0.0, -0.4))
    (found,) = peaks(pushed(bent, teeth), LEVER, [np.asarray(each) for each in (0.0, np.sqrt(0.5), 1.0)])
    assert 1.0 <= found.size < 1.126  # the parabola through a leap from one to zero tops it by an eighth


def test_places_that_face_each_other_in_one_option_alone_are_kept():
    x = np.array([[0.0, 1.0, 2.0, 1.0], [0.0, 1.0, 2.0, 1.0]])
    room = np.array([[1.0, np.inf, np.inf, np.inf], [1.0, 2.0, np.inf, 2.0]])
    kept_x, kept = _distinct(x, room)
    np.testing.assert_array_equal(kept_x, [[0.0, 1.0], [0.0, 1.0]])
    np.testing.assert_array_equal(kept, [[1.0, np.inf], [1.0, 2.0]])


def test_matrices_are_given_the_options_of_each_other():
    one, many = np.arange(6.0).reshape(2, 3), np.arange(16.0).reshape(4, 2, 2)
    first, second = _same_options(one, many)
    assert (first.shape, second.shape) == ((4, 2, 3), (4, 2, 2))
    np.testing.assert_array_equal(first[3], one)
    assert [each.shape for each in _same_options(one, one[:, :1])] == [(2, 3), (2, 1)]
