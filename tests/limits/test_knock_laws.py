"""Laws that direction reversals of loads keep, and what the joints of whole machines show."""

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from random_designs import random_machine

from balance import gas, joints, motion
from balance.cycle.load import Load
from balance.machine.machine import Gravity, NoGas
from balance.machine.yoke import RodMasses
from designs.evaluate import Evaluation
from designs.reading import read
from shafts.knock import STEPS, Joint, knocks, reversing_speeds
from shafts.knock import joints as joints_of
from shafts.reversals import one_sense, ranges_tried, reversing, sense_changes, swings, switches

FAN = read(Path(__file__).parents[1] / "use" / "greenhouse-fan.yaml")
ANGLES = np.arange(72) * (2 * np.pi / 72)


def test_cosine_changes_sense_twice_a_turn_at_its_zeros():
    angles, slopes = sense_changes(5 * np.cos(ANGLES - 0.2))
    np.testing.assert_allclose(np.sort(angles), [np.pi / 2 + 0.2, 1.5 * np.pi + 0.2], atol=1e-5)
    np.testing.assert_allclose(np.abs(slopes), 5, rtol=1e-4)
    assert sorted(np.sign(slopes)) == [-1, 1]


def test_order_three_changes_sense_six_times():
    assert sense_changes(np.cos(3 * ANGLES) + 0.2)[0].size == 6


def test_zeros_shift_with_the_phase():
    load = np.cos(ANGLES) + 0.4 * np.sin(2 * ANGLES) + 0.1
    turned = np.roll(load, 10)
    shifted = (sense_changes(load)[0] + ANGLES[10]) % (2 * np.pi)
    np.testing.assert_allclose(np.sort(sense_changes(turned)[0]), np.sort(shifted), atol=1e-9)


def test_halving_the_step_moves_no_zero():
    fine = np.arange(144) * (2 * np.pi / 144)
    coarse_load, fine_load = (np.exp(np.cos(at)) - 1.5 + 0.3 * np.sin(2 * at) for at in (ANGLES, fine))
    np.testing.assert_allclose(sense_changes(coarse_load)[0], sense_changes(fine_load)[0], atol=2e-5)


@pytest.mark.parametrize("load", [np.zeros(72), np.full(72, 3.0), 1e-14 * np.cos(ANGLES), 2 + np.cos(ANGLES)])
def test_loads_that_keep_their_sense_or_are_none(load):
    assert sense_changes(load, scale=10.0)[0].size == 0
    assert swings(load, 0 * load, scale=10.0)[0].size == 0


def test_load_that_turns_with_the_shaft_never_reverses():
    assert swings(np.cos(ANGLES), np.sin(ANGLES))[0].size == 0


def test_load_along_a_line_reverses_where_it_is_zero():
    angles, rates = swings(3 * np.cos(ANGLES), 4 * np.cos(ANGLES))
    np.testing.assert_allclose(np.sort(angles), [np.pi / 2, 1.5 * np.pi], atol=np.deg2rad(0.7))
    np.testing.assert_allclose(rates, 5, rtol=0.01)
    np.testing.assert_array_equal(swings(3 * np.cos(ANGLES), 4 * np.cos(ANGLES), scale=10.0)[0], angles)


def test_a_reversal_at_angle_zero_is_one_and_not_two():
    angles, _ = swings(3 * np.sin(ANGLES), 4 * np.sin(ANGLES))
    assert angles.size == 2
    np.testing.assert_allclose(np.abs(np.sin(angles)), 0.0, atol=np.deg2rad(0.7))


def test_slender_ellipse_reverses_and_a_round_one_does_not():
    """An ellipse's load turns fastest at its waist; a right angle within 20 degrees needs a waist of tan 10 degrees."""
    waist = np.tan(np.deg2rad(10))
    for thin, count in ((0.9 * waist, 2), (1.1 * waist, 0)):
        assert swings(np.cos(ANGLES), thin * np.sin(ANGLES))[0].size == count


def test_steady_load_and_a_cosine_begin_to_reverse_where_they_are_equal():
    """100 + omega^2 cos: from omega = 10 on."""
    load = Load(steady=np.full(72, 100.0), inertia=np.cos(ANGLES))
    assert reversing(load, 0.0, 30.0) == [(pytest.approx(10.0, rel=1e-9), 30.0)]
    assert reversing(load, 0.0, 8.0) == []
    assert reversing(load, 15.0, 30.0) == [(15.0, 30.0)]


def test_gas_that_reverses_and_a_steady_pull_of_inertia_cease_where_they_are_equal():
    """100 cos + omega^2: up to omega = 10."""
    load = Load(steady=100 * np.cos(ANGLES), inertia=np.ones(72))
    assert reversing(load, 2.0, 30.0) == [(2.0, pytest.approx(10.0, rel=1e-9))]
    assert reversing(load, 2.0, 8.0) == [(2.0, 8.0)]


def test_load_that_turns_from_push_to_pull_reverses_in_between_alone():
    """-100 - 50 cos + omega^2 (2 + cos): both its ends keep a sense."""
    load = Load(steady=-100 - 40 * np.cos(ANGLES), inertia=2 + 0.4 * np.cos(ANGLES))
    ratio = (100 + 40 * np.cos(ANGLES)) / (2 + 0.4 * np.cos(ANGLES))
    found = reversing(load, 0.0, 30.0)
    assert found == [(pytest.approx(np.sqrt(ratio.min()), rel=1e-6), pytest.approx(np.sqrt(ratio.max()), rel=1e-6))]


def test_load_of_inertia_alone_reverses_at_every_speed_or_at_none():
    assert reversing(Load(inertia=np.cos(ANGLES)), 1.0, 30.0) == [(1.0, 30.0)]
    assert reversing(Load(inertia=2 + np.cos(ANGLES)), 1.0, 30.0) == []
    assert reversing(Load(inertia=1 + np.cos(ANGLES)), 1.0, 30.0) == []  # it only touches zero
    assert reversing(Load(inertia=-1 - np.cos(ANGLES)), 1.0, 30.0) == []


def test_load_of_gas_alone_reverses_at_every_speed_or_at_none():
    assert reversing(Load(steady=np.cos(ANGLES)), 1.0, 30.0) == [(1.0, 30.0)]
    assert reversing(Load(steady=2 + np.cos(ANGLES)), 1.0, 30.0) == []


def test_many_options_are_each_what_they_are_alone():
    steady, wave = np.array([100.0, 400.0])[:, None] + 0 * ANGLES, np.cos(ANGLES) + np.zeros((2, 1))
    many = one_sense(Load(steady=steady, inertia=wave))
    for option in (0, 1):
        alone = one_sense(Load(steady=steady[option], inertia=wave[option]))
        for (low, high), (one_low, one_high) in zip(many, alone, strict=True):
            np.testing.assert_allclose([low[option], high[option]], [one_low, one_high], rtol=1e-12)


def test_switches_of_a_condition():
    found = switches(lambda value: 2.2 < value < 5.5 or value > 8.1, 0.0, 10.0)
    np.testing.assert_allclose(found, [(2.2, 5.5), (8.1, 10.0)], atol=1e-6)


@pytest.mark.parametrize("seed", range(12))
def test_ranges_of_reversal_are_those_that_trying_every_speed_finds(seed):
    """Brute force on random machines: at 200 speeds, the sign of the load along the right crankpin's rod."""
    machine = random_machine(seed)
    moved = motion.move(machine)
    forces = joints.joint_forces(machine, moved, gas.gas_state(machine, moved))
    for name, each in forces.items():
        rod = moved.yokes[name].rod
        load = each.pin.right.y if rod is None else each.pin.right.x * rod.x + each.pin.right.y * rod.y
        ranges = reversing(load, 1.0, 400.0)
        for speed in np.linspace(1.0, 400.0, 200):
            values = load.at(speed)
            if min(abs(speed - end) for end in (0, *np.ravel(ranges))) < 0.02 * speed:
                continue
            within = any(low < speed < high for low, high in ranges)
            assert within == (sense_changes(values, scale=float(np.max(np.abs(values))))[0].size > 0)


def test_strongest_knock_comes_first_and_is_play_times_rate():
    found = knocks(Evaluation(FAN).still_shafts, float(FAN.speed.rated))
    strengths = [each.strength for each in found]
    assert strengths == sorted(strengths, reverse=True)
    assert strengths[0] > 0
    for each in found:
        np.testing.assert_allclose(each.strength, each.rate * each.joint.play, rtol=1e-12)


def test_rate_of_a_pins_load_is_the_slope_of_the_load_itself():
    carried, speed = Evaluation(FAN).still_shafts, float(FAN.speed.rated)
    pins = [each for each in knocks(carried, speed) if "crankpin of piston" in each.joint.name]
    assert pins
    for each in pins:
        load, turned = each.joint.load.at(speed), each.angle
        spectrum = np.fft.rfft(load) / load.size
        order = np.arange(spectrum.size)
        slope = np.sum((2 * 1j * order * spectrum * np.exp(1j * order * turned)).real)
        np.testing.assert_allclose(each.rate, abs(slope) * speed, rtol=1e-3)


def test_more_backlash_is_heard_more_in_proportion():
    gears = FAN.cranks.gears
    doubled = replace(FAN, cranks=replace(FAN.cranks, gears=replace(gears, backlash=2 * gears.backlash)))
    speed = float(FAN.speed.rated)
    one, two = (
        [each.strength for each in knocks(Evaluation(design).still_shafts, speed) if each.joint.name == "gear teeth"]
        for design in (FAN, doubled)
    )
    assert one
    np.testing.assert_allclose(two, 2 * np.array(one), rtol=1e-9)


def test_mirrored_pins_stand_once_and_unlike_ones_twice():
    piston = FAN.yokes["piston"]
    rod = replace(piston.rod, left=RodMasses(mass=0.02, cg=0.01))
    unlike = replace(FAN, yokes=FAN.yokes | {"piston": replace(piston, rod=rod)})
    mass, cg, inertia = rod.mass, rod.cg, 1.5 * rod.inertia  # whose loads are the same at both dead centres
    rod = replace(rod, left=RodMasses(mass=mass, cg=cg, inertia=inertia))
    spun = replace(FAN, yokes=FAN.yokes | {"piston": replace(piston, rod=rod)})
    names = [each.name for each in joints_of(Evaluation(spun).still_shafts)]
    assert {"right crankpin of piston", "left crankpin of piston"} <= set(names)
    bare = replace(FAN, gas=NoGas(), gravity=Gravity(y=0.0))
    assert "each crankpin of piston" in [each.name for each in joints_of(Evaluation(bare).still_shafts)]
    alike, different = ([each.name for each in joints_of(Evaluation(design).still_shafts)] for design in (FAN, unlike))
    assert "each crankpin of piston" in alike
    assert {"right crankpin of piston", "left crankpin of piston"} <= set(different)


def test_guide_of_a_mirrored_yoke_bears_nothing_and_knocks_nowhere():
    carried = Evaluation(FAN).still_shafts
    guides = [each for each in joints_of(carried) if each.name.startswith("guide")]
    assert len(guides) == 2
    assert all(reversing_speeds(carried, each) == [] for each in guides)
    assert not any("guide" in each.joint.name for each in knocks(carried, float(FAN.speed.rated)))


def test_without_gas_and_gravity_speed_changes_no_angle():
    """All loads then grow with speed squared alike, and rates with its cube."""
    free = replace(FAN, gas=NoGas(), gravity=Gravity(y=0.0))
    slow, fast = (
        {(each.joint.name, round(each.angle, 6)): each.rate for each in knocks(Evaluation(free).still_shafts, speed)}
        for speed in (50.0, 100.0)
    )
    pins = {key for key in slow if "crankpin" in key[0] or "pivot" in key[0]}
    assert len(pins) >= 4
    assert pins == {key for key in fast if "crankpin" in key[0] or "pivot" in key[0]}
    for key in pins:
        np.testing.assert_allclose(fast[key], 8 * slow[key], rtol=1e-6)


def test_a_pin_of_a_rod_without_mass_is_pulled_along_the_rod_alone():
    """So the load along its line is all of the pin's load, push or pull, on either side."""
    light = {
        name: replace(yoke, rod=replace(yoke.rod, mass=0.0, inertia=0.0, material=None, left=None))
        for name, yoke in FAN.yokes.items()
    }
    carried, speed = Evaluation(replace(FAN, yokes=light, gravity=Gravity(x=4.0, y=-9.0))).still_shafts, 80.0
    found = {each.name: each.load for each in joints_of(carried)}
    for name in light:
        for kind, sides in (("crankpin", carried.forces[name].pin), ("yoke pivot", carried.forces[name].pivot)):
            for hand in ("right", "left"):
                pull = getattr(sides, hand)
                size = np.hypot(pull.x.at(speed), pull.y.at(speed))
                load = found.get(f"each {kind} of {name}") or found[f"{hand} {kind} of {name}"]
                np.testing.assert_allclose(np.abs(load.at(speed)), size, rtol=1e-9, atol=1e-9 * size.max())


def test_play_of_a_bearing_is_the_middle_of_its_clearance():
    """ISO 5753-1 (from memory): group C3 of a 6 mm bore has 8 to 23 um; the bush is given 12 um of play."""
    found = {each.name: each.play for each in joints_of(Evaluation(FAN).still_shafts)}
    assert found["right bearing 1"] == pytest.approx(15.5e-6)
    assert found["left bearing 2"] == pytest.approx(12e-6)
    assert found["gear teeth"] == pytest.approx(6e-5)


def test_shafts_without_gears_have_no_teeth_to_knock():
    bare = replace(FAN, cranks=replace(FAN.cranks, gears=None))
    assert "gear teeth" not in [each.name for each in joints_of(Evaluation(bare).still_shafts)]


def test_ranges_of_every_joint_are_those_that_trying_every_speed_finds():
    """Brute force: a joint knocks at a speed if and only if the speed lies within one of its ranges."""
    heavy = replace(FAN, gravity=Gravity(y=-1e4))  # whose bearings are always pressed down
    speeds = np.linspace(float(FAN.speed.least) + 0.1, float(FAN.speed.most) - 0.1, 40)
    both = set()
    for carried in (Evaluation(FAN).still_shafts, Evaluation(heavy).still_shafts):
        heard = [{each.joint.name for each in knocks(carried, float(speed))} for speed in speeds]
        for joint in joints_of(carried):
            ranges = reversing_speeds(carried, joint)
            for speed, names in zip(speeds, heard, strict=True):
                if min((abs(speed - end) for end in np.ravel(ranges)), default=np.inf) < 0.02 * speed:
                    continue
                within = any(low < speed < high for low, high in ranges)
                assert within == (joint.name in names)
                both.add((isinstance(joint.load, Load), within))
    assert len(both) == 4  # joints with one line and bearings, each with and without a reversal


@pytest.mark.parametrize("sign", [1, -1])
def test_a_load_that_keeps_one_sense_at_full_speed_may_change_it_while_slow(sign):
    """100 cos - omega^2/20 has both senses up to the root of 2000, and one beyond, pushing or pulling."""
    load = Load(steady=sign * 100 * np.cos(ANGLES), inertia=-sign * 0.05 * np.ones(72))
    found = reversing_speeds(Evaluation(FAN).still_shafts, Joint("a joint", load, 1e-5))
    assert found == [(pytest.approx(float(FAN.speed.least)), pytest.approx(np.sqrt(2000)))]


def shipped(name: str) -> Evaluation:
    found = Evaluation(read(Path(__file__).parents[2] / "designs" / f"{name}.yaml"))
    assert found.loaded_shafts.vibrates
    return found


def test_cranks_that_vibrate_knock_where_their_own_loads_change_sense():
    """Teeth where the still force and what vibration adds make zero; pins where the pull along the rod does."""
    built = shipped("as-built")
    shafts, speed = built.loaded_shafts, float(built.design.speed.rated)
    heard = knocks(shafts, speed)
    whole = built.still_shafts.tooth.at(speed) + built.shaft_vibration.tooth(speed)
    expected, _ = sense_changes(whole)
    still, _ = sense_changes(built.still_shafts.tooth.at(speed))
    assert np.max(np.abs(expected - still)) > 0.01
    found = sorted(each.angle for each in heard if each.joint.name == "gear teeth")
    np.testing.assert_allclose(found, np.sort(expected), atol=1e-9)
    moved = built.motion.yokes["displacer"].rod
    for hand, sign in (("right", 1.0), ("left", -1.0)):
        pull = getattr(shafts.forces["displacer"].pin, hand)
        along, _ = sense_changes(sign * moved.x * pull.x.at(speed) + moved.y * pull.y.at(speed))
        found = sorted(each.angle for each in heard if each.joint.name == f"{hand} crankpin of displacer")
        np.testing.assert_allclose(found, np.sort(along), atol=1e-9)


def test_ranges_of_what_vibrates_are_those_that_trying_speeds_finds():
    """At a third and two thirds of every step: but for what comes and goes between, and near the ends of a range."""
    built = shipped("rhombic")
    shafts = built.loaded_shafts
    least, most = float(built.design.speed.least), float(built.design.speed.most)
    step, both, missed = (most - least) / STEPS, set(), 0
    speeds = least + step * (np.arange(STEPS)[:, None] + np.array([1 / 3, 2 / 3])).ravel()
    heard = [{each.joint.name for each in knocks(shafts, float(speed))} for speed in speeds]
    for joint in joints_of(shafts):
        ranges = reversing_speeds(shafts, joint)
        for speed, names in zip(speeds, heard, strict=True):
            if min((abs(speed - end) for end in np.ravel(ranges)), default=np.inf) > step / 2:
                within = any(low < speed < high for low, high in ranges)
                both.add(within)
                missed += within != (joint.name in names)
    assert both == {True, False}
    assert missed <= 0.01 * speeds.size * len(joints_of(shafts))


def test_ranges_of_what_was_tried_end_midway():
    tried = np.array([1.0, 2.0, 4.0, 5.0])
    assert ranges_tried(tried, [True, False, True, True]) == [(1.0, 1.5), (3.0, 5.0)]
    assert ranges_tried(tried, [False, True, False, False]) == [(1.5, 3.0)]
    assert ranges_tried(tried, [False] * 4) == []
    assert ranges_tried(tried, [True] * 4) == [(1.0, 5.0)]
