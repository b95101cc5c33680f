"""Laws that whirl, torsion and vibration of the shafts must keep."""

from dataclasses import replace
from itertools import pairwise

import numpy as np
import pytest
from limits.evaluated import run
from random_designs import random_engine
from shaft_samples import cantilever, light, simple_shaft
from shafts.carried import load_shafts
from shafts.twisting import TorqueAt, torques_along

from balance.cycle.load import Load
from balance.machine.crank import Gears
from balance.machine.machine import Flywheel
from balance.machine.yoke import Part, Rod
from balance.torque import Torques
from shafts.shaft import Segment
from shafts.whirl.critical import critical_speeds, first_critical, whirl_frequencies
from shafts.whirl.discs import Disc, carried_mass
from shafts.whirl.rotor import PointMass, Rotor, rotor, rotors
from shafts.whirl.torsion import highest_strong_order, torsional_frequencies, twist_systems, wind_up
from shafts.whirl.vibrating import ORDERS, Vibrating, resonances, swinging, vibrating


def carried_of(engine):
    found = run(engine)
    return load_shafts(engine, found.moved, found.forces, found.torques)


def softer(engine, young: float, shear: float, seats: float):
    """Return the engine with moduli and seats softened by factors, seats stated where they were not."""
    shafts = engine.shafts
    material = replace(shafts.material, young=shafts.material.young * young, shear=shafts.material.shear * shear)
    bearings = tuple(replace(each, stiffness=None, seat_stiffness=2e7 * seats) for each in shafts.bearings)
    return replace(engine, shafts=replace(shafts, left=None, material=material, bearings=bearings))


@pytest.mark.parametrize("seed", range(6))
def test_half_the_stiffness_lowers_every_frequency_by_the_root_of_two(seed: int):
    """Bending: modulus, shear modulus and seats together. Torsion: the shear modulus alone."""
    engine = random_engine(seed)
    stiff, soft = (softer(engine, *factors) for factors in ((1.0, 1.0, 1.0), (0.5, 0.5, 0.5)))
    for one, other in zip(rotors(carried_of(stiff)), rotors(carried_of(soft)), strict=True):
        np.testing.assert_allclose(first_critical(other), first_critical(one) / np.sqrt(2), rtol=1e-6)
    frequencies = [torsional_frequencies(twist_systems(each)[0])[0] for each in (stiff, soft)]
    np.testing.assert_allclose(frequencies[1], frequencies[0] / np.sqrt(2), rtol=1e-6)


@pytest.mark.parametrize("seed", range(6))
def test_softer_seats_alone_lower_the_first_critical_speed(seed: int):
    engine = random_engine(seed)
    stiff, soft = (softer(engine, 1.0, 1.0, seats) for seats in (1.0, 0.1))
    for one, other in zip(rotors(carried_of(stiff)), rotors(carried_of(soft)), strict=True):
        assert 0.3 < first_critical(other) / first_critical(one) < 0.99


@pytest.mark.parametrize("seed", range(6))
@pytest.mark.parametrize("order", [1, -1, 2, -3, 5])
def test_critical_speeds_are_where_the_frequencies_meet_the_order(seed: int, order: int):
    body = rotors(carried_of(random_engine(seed)))[0]
    speed = critical_speeds(body, order)[0]
    forward, backward = whirl_frequencies(body, speed, 3)
    meets = np.abs((forward if order > 0 else backward) - abs(order) * speed)
    assert np.min(meets) < 1e-6 * abs(order) * speed


def test_frequencies_split_with_speed_and_not_without_spin():
    body = rotors(carried_of(random_engine(4)))[0]
    forward, backward = whirl_frequencies(body, 0.0)
    np.testing.assert_allclose(forward, backward, rtol=1e-8)
    forward, backward = whirl_frequencies(body, 500.0)
    assert np.all(forward > backward)
    still = replace(body, spin=0 * body.spin)
    forward, backward = whirl_frequencies(still, 500.0)
    np.testing.assert_allclose(forward, backward, rtol=1e-8)


@pytest.mark.parametrize("order", [1, 2, 3, -1, -2])
def test_a_single_mass_answers_as_a_single_mass_does(order: int):
    """Quick over slow deflection of a point mass: 1/(1 - (n W/w)^2), whichever way the load swings."""
    body = rotor(cantilever(0.1, 0.005, light(200e9)), [PointMass(0.1, 0.5)], [0.0, 0.0])
    natural = whirl_frequencies(body, 0.0, 1)[0][0]
    np.testing.assert_allclose(first_critical(body, order), natural / abs(order), rtol=1e-6)
    speed = 0.4 * natural / abs(order)
    moved = speed**2 * (order**2 * body.mass - order * body.spin)
    force = np.zeros(len(body.mass))
    force[0] = 1.0
    still = body.give @ force
    answer = np.linalg.solve(np.eye(len(force)) - body.give * moved, still)
    np.testing.assert_allclose(answer[0] / still[0], 1 / (1 - 0.4**2), rtol=1e-6)


@pytest.mark.parametrize("seed", [0, 7, 11])
def test_slow_running_needs_no_vibration_and_quick_running_does(seed: int):
    """Standing nearly still the ratio is one; just below the first critical speed of an order it soars."""
    carried = carried_of(random_engine(seed))
    assert vibrating(swinging(carried), 0.5).off < 1e-3
    bodies = rotors(carried)
    side, order, speed = min(resonances(carried, 1e9, bodies), key=lambda each: each[2])
    near = vibrating(swinging(carried, bodies), 0.999 * speed)
    place = order + ORDERS
    name = next(iter(carried.loads[0].pins))
    assert abs(near.quick[side, name][place]) > 20 * abs(near.slow[side, name][place])


@pytest.mark.parametrize("seed", range(8))
def test_several_speeds_together_are_each_what_they_are_alone(seed: int):
    """One speed is solved for, several are summed over modes; far below, near and far above the critical speeds."""
    swings = swinging(carried_of(random_engine(seed)))
    speeds = np.array([0.0, 0.1, 0.9, 1.1, 3.0]) * min(each.critical for each in swings)
    together = vibrating(swings, speeds)
    for place, speed in enumerate(speeds):
        alone = vibrating(swings, speed)
        for key, quick in alone.quick.items():
            np.testing.assert_allclose(together.slow[key][place], alone.slow[key], rtol=1e-12)
            np.testing.assert_allclose(together.quick[key][place], quick, rtol=0, atol=1e-8 * np.abs(quick).max())


@pytest.mark.parametrize("still", [False, True])
def test_the_root_of_a_give_gives_it_back(still: bool):
    """Two stations at one place, and perhaps one that cannot move: neither has a root of full rank."""
    arms = np.array([[1.0, 0.2], [1.0, 0.2], [0.5, 1e3], [0.0, 0.0 if still else 1.0]])
    give = arms @ arms.T
    body = Rotor(give, np.ones(4), np.zeros(4))
    np.testing.assert_allclose(body.root @ body.root.T, give, rtol=1e-9, atol=1e-12)
    assert np.all(np.isfinite(critical_speeds(body))[:2])
    assert not np.any(np.isfinite(critical_speeds(body))[2:])


def test_orders_are_looked_at_up_to_the_eighth_both_ways():
    found = vibrating(swinging(carried_of(random_engine(0))), 100.0)
    np.testing.assert_array_equal(found.orders, [-8, -7, -6, -5, -4, -3, -2, -1, 0, 1, 2, 3, 4, 5, 6, 7, 8])


@pytest.mark.parametrize("seed", range(8))
def test_slow_orders_add_up_to_the_deflection_by_influence(seed: int):
    carried = carried_of(random_engine(seed))
    found = vibrating(swinging(carried), 100.0)
    turn = np.exp(1j * carried.motion.theta[:, None] * found.orders)
    for side, sign, state in zip(("right", "left"), (1, -1), carried.states, strict=True):
        for name, pin in state.pins.items():
            x, y = (one + two for one, two in zip(pin.at(100.0), state.seats[name].at(100.0), strict=True))
            kept = np.fft.fft(y + 1j * sign * x) / x.size
            np.testing.assert_allclose(found.slow[side, name], kept[found.orders], atol=1e-9 * np.abs(kept).max())
            extra_x, extra_y = found.extra(side, name, carried.motion.theta)
            total_x, total_y = found.deflection(side, name, carried.motion.theta)
            slow = turn @ found.slow[side, name]
            np.testing.assert_allclose(total_y - extra_y, slow.real, atol=1e-9 * np.abs(slow).max())
            np.testing.assert_allclose(total_x - extra_x, sign * slow.imag, atol=1e-9 * np.abs(slow).max())


def test_a_soft_mesh_lowers_the_torsional_frequency_toward_that_of_shafts_apart():
    engine = random_engine(2)
    gears = engine.cranks.gears
    assert gears is not None
    rigid = torsional_frequencies(twist_systems(engine)[0])[0]
    found = []
    for stiffness in (1e12, 1e6, 1e3, 1.0):
        cranks = replace(engine.cranks, gears=replace(gears, mesh_stiffness=stiffness))
        found.append(torsional_frequencies(twist_systems(replace(engine, cranks=cranks))[0])[0])
    np.testing.assert_allclose(found[0], rigid, rtol=1e-3)
    assert all(one > other for one, other in pairwise(found))
    assert found[-1] < 0.05 * rigid
    apart = twist_systems(replace(engine, cranks=replace(engine.cranks, gears=None)))
    assert len(apart) == 2


@pytest.mark.parametrize("seed", range(4))
def test_wind_up_is_torque_times_twist_per_torque(seed: int):
    """The derivative of the wind-up along the shaft is the torque there over GJ: summed piece by piece."""
    engine = random_engine(seed)
    found = run(engine)
    carried = load_shafts(engine, found.moved, found.forces, found.torques)
    for shaft, loads in zip(engine.shafts.pair, carried.loads, strict=True):
        twisting = torques_along(engine, carried.motion, loads, found.torques)
        start, end = float(shaft.starts_at), float(shaft.ends_at)
        cuts = np.linspace(start, end, 4001)
        middles, total = (cuts[1:] + cuts[:-1]) / 2, 0.0
        ends = np.cumsum([start] + [each.length for each in shaft.segments])
        for middle, length in zip(middles, np.diff(cuts), strict=True):
            segment = shaft.segments[int(np.clip(np.searchsorted(ends, middle) - 1, 0, len(shaft.segments) - 1))]
            torque = sum(each.torque.at(100.0) for each in twisting if float(each.at) < middle)
            polar = np.pi / 32 * (segment.diameter**4 - segment.bore**4)
            total = total + torque * length / (shaft.material.shear * polar)
        ahead = wind_up(shaft, twisting, [start], end).at(100.0)[0]
        np.testing.assert_allclose(ahead, total, atol=3e-3 * np.max(np.abs(total)))


def test_many_options_at_once_are_each_what_they_are_alone():
    diameters = np.array([0.005, 0.006, 0.008])
    engine = random_engine(1)

    def with_diameter(diameter):
        segments = tuple(replace(each, diameter=diameter, bore=0.0) for each in engine.shafts.segments)
        return replace(engine, shafts=replace(engine.shafts, left=None, segments=segments, notches=()))

    several = carried_of(with_diameter(diameters))
    together = [critical_speeds(each)[..., :2] for each in rotors(several)]
    twisting = torsional_frequencies(twist_systems(with_diameter(diameters))[0])[..., 0]
    for option, diameter in enumerate(diameters):
        single = carried_of(with_diameter(float(diameter)))
        for one, other in zip(together, rotors(single), strict=True):
            np.testing.assert_allclose(one[option], critical_speeds(other)[:2], rtol=1e-7)
        alone = torsional_frequencies(twist_systems(with_diameter(float(diameter)))[0])[0]
        np.testing.assert_allclose(twisting[option], alone, rtol=1e-7)


def test_a_disc_beyond_the_end_hangs_on_a_rigid_arm():
    """A point mass on an arm of length a beyond a massless cantilever: give l^3/3 + l^2 a + l a^2, over EI."""
    length, arm, diameter, young = 0.2, 0.05, 0.002, 200e9
    body = rotor(cantilever(length, diameter, light(young)), [Disc("disc", length + arm, 0.3, 0.0, 0.0)], [0.0, 0.0])
    give = (length**3 / 3 + length**2 * arm + length * arm**2) / (young * np.pi / 64 * diameter**4)
    np.testing.assert_allclose(first_critical(body), 1 / np.sqrt(0.3 * give), rtol=1e-3)


@pytest.mark.parametrize("hand_of_wheel", ["right", "left", "both"])
def test_on_very_soft_teeth_two_rigid_shafts_swing_against_each_other(hand_of_wheel: str):
    """w^2 = k r_b^2 (1/J + 1/J'), r_b = r cos(20 deg), each J from the sizes of all that turns."""
    engine = random_engine(2, "B")
    wheel = Flywheel(on=hand_of_wheel, inertia=3e-4, at=0.0, mass=0.2)
    gears = Gears(module=engine.cranks.centre_distance / 40, teeth=40, at=0.01, mesh_stiffness=1.0, mass=0.05)
    engine = replace(engine, flywheel=wheel, cranks=replace(engine.cranks, gears=gears))
    inertias = []
    for hand, shaft in zip(("right", "left"), engine.shafts.pair, strict=True):
        total = 0.05 * gears.pitch_radius**2 / 2 + (3e-4 if hand_of_wheel in (hand, "both") else 0.0)
        total += sum(
            web.mass * (web.cg[0] ** 2 + web.cg[1] ** 2) for web in engine.cranks.webs if web.on in (hand, "both")
        )
        total += sum(carried_mass(yoke, hand) * engine.throw_of(yoke).radius ** 2 for yoke in engine.yokes.values())
        total += sum(
            shaft.material.density * each.length * np.pi / 32 * (each.diameter**4 - each.bore**4)
            for each in shaft.segments
        )
        inertias.append(total)
    expected = np.sqrt((gears.pitch_radius * np.cos(np.deg2rad(20.0))) ** 2 * sum(1 / each for each in inertias))
    np.testing.assert_allclose(torsional_frequencies(twist_systems(engine)[0])[0], expected, rtol=1e-4)


@pytest.mark.parametrize("damping", [0.01, 0.02, 0.3])
@pytest.mark.parametrize("share", [0.3, 0.5, 1.0, 1.7])
def test_stations_on_springs_of_their_own_answer_as_damped_single_masses(damping: float, share: float):
    """Quick over slow: 1/(1 - r^2 + 2 i zeta r), r = n W/w (Den Hartog, Mechanical Vibrations, 2.9; recalled)."""
    carried = carried_of(random_engine(2))
    bodies = []
    for loads in carried.loads:
        count = len(loads.pins) + len(loads.turning) + (loads.mesh is not None)
        bodies.append(Rotor(2e-7 * np.eye(count), np.full(count, 0.3), np.zeros(count)))
    natural = 1 / np.sqrt(2e-7 * 0.3)
    found = vibrating(swinging(carried, (bodies[0], bodies[1])), share * natural, damping)
    ratio = found.orders * share
    expected = 1 / (1 - ratio**2 + 2j * damping * ratio)
    for key, slow in found.slow.items():
        np.testing.assert_allclose(found.quick[key], expected * slow, rtol=0, atol=1e-9 * np.abs(slow).max() / damping)
        counts = found.counts(*key)
        np.testing.assert_allclose(found.ratio(*key)[counts], np.abs(expected)[counts], rtol=1e-7)
    off = np.abs(expected - 1)
    strong = np.any([found.counts(*key) for key in found.slow], axis=0)
    np.testing.assert_allclose(found.off, off[strong].max(), rtol=1e-7)


def test_orders_count_from_a_hundredth_of_the_strongest():
    orders = np.arange(-ORDERS, ORDERS + 1)
    slow, quick = np.zeros(orders.size, dtype=complex), np.zeros(orders.size, dtype=complex)
    slow[[ORDERS, ORDERS + 1, ORDERS - 2, ORDERS + 5]] = 1.005e-6, -1e-4j, 1.01e-6, 0.99e-6
    quick[[ORDERS + 1, ORDERS - 2, ORDERS + 5]] = -1.1e-4j, 1.5e-6, 9e-6
    none = 0 * slow
    found = Vibrating(orders, {("right", "a"): slow, ("left", "a"): none}, {("right", "a"): quick, ("left", "a"): none})
    assert sorted(orders[found.counts("right", "a")]) == [-2, 0, 1]
    assert not np.any(found.counts("left", "a"))
    np.testing.assert_allclose(found.ratio("right", "a")[[ORDERS + 1, ORDERS - 2]], [1.1, 1.5 / 1.01])
    assert np.isnan(found.ratio("right", "a")[ORDERS + 5])
    assert found.off == pytest.approx(1.0)  # the mean, which did not come back at all


def test_frequencies_of_options_are_each_what_they_are_alone():
    engine = random_engine(3)
    thick = np.array([1.0, 1.2, 1.5])

    def body(factor):
        segments = tuple(replace(each, diameter=each.diameter * factor) for each in engine.shafts.segments)
        return rotors(carried_of(replace(engine, shafts=replace(engine.shafts, left=None, segments=segments))))[0]

    together = whirl_frequencies(body(thick), np.full(3, 300.0))
    for option, factor in enumerate(thick):
        alone = whirl_frequencies(body(float(factor)), 300.0)
        for one, other in zip(together, alone, strict=True):
            np.testing.assert_allclose(one[option], other, rtol=1e-6)


def test_what_vibration_adds_is_a_share_of_the_slow_peak():
    """A circle of 100 um that grows by 10 um at order 1 of one throw; a throw that does not move adds nothing."""
    orders, theta = np.arange(-ORDERS, ORDERS + 1), np.arange(72) * (2 * np.pi / 72)
    slow = np.where(orders == 1, 1e-4 * np.exp(0.3j), 0.0)
    still = 0 * slow
    keys = ("right", "a"), ("left", "a")
    found = Vibrating(
        orders, dict(zip(keys, (slow, still), strict=True)), dict(zip(keys, (1.1 * slow, still), strict=True))
    )
    assert found.added(theta) == pytest.approx(0.1)


def test_the_highest_order_that_counts_has_a_twentieth_of_the_strongest():
    theta = np.arange(72) * (2 * np.pi / 72)
    wave = sum(size * np.cos(order * theta + order) for order, size in ((2, 1.0), (5, 0.3), (7, 0.051), (9, 0.049)))
    quiet = Load(gas=0.5 * np.cos(3 * theta))
    for torques in (Torques(Load(gas=wave), quiet, quiet), Torques(quiet, Load(gas=wave), quiet)):
        assert highest_strong_order(torques, 100.0) == 7
    two = Torques(Load(gas=np.stack([wave, np.cos(theta)])), Load(gas=np.zeros((2, 72))), quiet)
    np.testing.assert_array_equal(highest_strong_order(two, np.array([100.0, 50.0])), [7, 1])


def test_a_mass_that_a_rigid_bearing_holds_in_one_option_swings_in_the_others():
    """On a light shaft between rigid bearings: give a^2 b^2/(3 E I l) at a + b = l, and a little by shear.

    Shigley, table A-9 (recalled).
    """
    length, diameter, young, places = 0.1, 0.004, 200e9, np.array([0.1, 0.05, 0.03])
    shaft = simple_shaft(length, diameter, light(young))
    together = rotor(shaft, [PointMass(places, 0.3)], [0.0, 0.0])
    forward, _ = whirl_frequencies(together, np.zeros(3), 1)
    give = (places * (length - places)) ** 2 / (3 * young * np.pi / 64 * diameter**4 * length)
    np.testing.assert_allclose(forward[1:, 0], 1 / np.sqrt(0.3 * give[1:]), rtol=5e-3)
    assert forward[0, 0] > 100 * forward[1, 0]


@pytest.mark.parametrize("bore", [0.0, 0.004])
def test_a_bare_shaft_twists_as_a_chain_of_four_discs(bore: float):
    """Free at both ends: 2 sqrt(k/J) sin(i pi/8), k and J of a quarter of its length (any textbook on vibration).

    The bar itself has pi/l sqrt(G/rho), 2.6 percent more in its first mode.
    """
    engine = random_engine(2, "one")
    light_rod = {
        name: replace(yoke, parts={"all": Part(mass=0.0)}, rod=yoke.rod and Rod(length=yoke.rod.length))
        for name, yoke in engine.yokes.items()
    }
    length, material = 0.12, engine.shafts.material
    bearings = tuple(replace(each, at=at) for each, at in zip(engine.shafts.bearings[:2], (0.01, 0.1), strict=True))
    shafts = replace(
        engine.shafts,
        segments=(Segment(length=length, diameter=0.008, bore=bore),),
        left=None,
        notches=(),
        starts_at=0.0,
        bearings=bearings,
    )
    cranks = replace(engine.cranks, gears=None, webs=())
    bare = replace(engine, cranks=cranks, flywheel=None, yokes=light_rod, shafts=shafts)
    polar = np.pi / 32 * (0.008**4 - bore**4)
    root = np.sqrt(material.shear * polar / (length / 4) / (material.density * polar * length / 4))
    for side in twist_systems(bare):
        found = torsional_frequencies(side)[:3]
        np.testing.assert_allclose(found, 2 * root * np.sin(np.arange(1, 4) * np.pi / 8), rtol=1e-9)
        assert found[0] == pytest.approx(np.pi / length * np.sqrt(material.shear / material.density), rel=0.03)


def test_wind_up_of_options_is_that_of_each():
    """A torque of 2 N m at 0, 30 and 60 mm from where twist is measured, and twist at 40 mm: T l/(G J) of each."""
    shaft = simple_shaft(0.1, 0.004, light(200e9, 80e9))
    torque = TorqueAt("turning", np.array([0.0, 0.03, 0.06]), Load(gas=np.full(12, 2.0)))
    found = wind_up(shaft, [torque], [0.04], 0.0).at(50.0)[0]
    expected = 2.0 * np.array([0.0, 0.03, 0.04]) / (80e9 * np.pi / 32 * 0.004**4)
    np.testing.assert_allclose(found, np.broadcast_to(expected[:, None], (3, 12)), rtol=1e-12)
