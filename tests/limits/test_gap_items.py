"""Every item of the gap budget by hand, on small engines whose answer fits on a line."""

from dataclasses import replace

import numpy as np
import pytest
from limits.gaps import carried, lead_angle, rise, tilt
from random_engines import BUSH, random_engine

from balance.cycle.load import Load, PlanarForce
from balance.machine.crank import Belt, Cranks, Gears, Pin, Throw, Web
from balance.machine.machine import Flywheel, Gravity, SpeedRange
from balance.machine.materials import MATERIALS
from balance.machine.yoke import Arm, Part, Piston, Rod, Section, Slot, Yoke
from shafts.bearings.ball import Ball
from shafts.bearings.bearing import Bearing
from shafts.crank.loads import leaves_at
from shafts.crank.members import shear_coefficient, web_section
from shafts.crank.supports import support_parts
from shafts.engine import Engine
from shafts.gap.items import (
    bearing_clearance,
    bearing_deflection,
    crank_web_bending,
    crankpin_bending,
    rod_pin_play,
    rod_stretch,
    shaft_bending,
    shaft_twist,
    support_deflection,
    support_tilt,
    tooth_mesh,
    yoke_arm_bending,
)
from shafts.gap.items.making_tolerances import deviations
from shafts.gap.items.rod_pin_play import pin_rows, rod_thrust
from shafts.gap.items.timing_and_backlash import lead_shift, tilt_allowed
from shafts.shaft import Fits, Plate, Segment, Shaft, Shafts, Tolerances

STEEL = MATERIALS["steel"]
SEEDS = [seed for seed in range(40) if all(y.rod is not None for y in random_engine(seed, 2).yokes.values())][:8]
SPEED = 90.0


def simple(hung=None, cranks=None, shaft=None, gravity=-9.81, mass=0.4, **fixed):
    """Return one yoke of 0.4 kg on a slot or rods, thrown 10 mm at z = -30 mm; bearings stand at 0 and 40 mm."""
    throws = {"pin": Throw(radius=0.01, at=-0.03)}
    yokes = {"only": Yoke(throw="pin", half_span=0.02, parts={"all": Part(mass=mass)}, **(hung or {"slot": Slot()}))}
    return Engine(
        speed=SpeedRange(least=0.0, rated=50.0, most=100.0),
        cranks=Cranks(**({"centre_distance": 0.05, "throws": throws} | (cranks or {}))),
        yokes=yokes,
        gravity=Gravity(y=gravity),
        shafts=Shafts(**({
            "material": STEEL,
            "segments": (Segment(length=0.06, diameter=0.008),),
            "starts_at": -0.01,
            "bearings": bushes(0.0, 0.04),
        } | (shaft or {}))),
        **fixed,
    )  # fmt: skip


def bushes(*places, play=0.0):
    return tuple(Bearing(at=at, bush=replace(BUSH, play=play)) for at in places)


@pytest.mark.parametrize(("hung", "lean"), [({"slot": Slot()}, 1.0), ({"rod": Rod(length=0.05)}, None)])
def test_bearing_clearance_is_taken_up_along_the_load_and_magnified_by_the_overhang(hung, lean):
    """The weight presses the near bearing down and the far one up: (c/2)(1 + 2 a/L) at the pin, a 30, L 40 mm.

    A rod without mass pulls along itself, by 1/ey more than the yoke's weight, and lifts the yoke by 1/ey of its shift.
    """
    engine = simple(hung, shaft={"bearings": bushes(0.0, 0.04, play=20e-6)})
    found = carried(engine, 24)
    along = 1.0 if lean else found.motion.yokes["only"].rod.y
    np.testing.assert_allclose(rise(found, bearing_clearance, "only"), -10e-6 * (1 + 2 * 30 / 40) / along, rtol=1e-12)
    np.testing.assert_allclose(tilt(found, bearing_clearance, "only"), 0.0, atol=1e-16)


def test_clearance_on_one_side_tilts_the_yoke():
    """Only the right shaft's near bearing has play: its side sinks by (c/2)(1 + a/L), the yoke by half of that."""
    right = (*bushes(0.0, play=20e-6), *bushes(0.04))
    left = Shaft(
        material=STEEL, segments=(Segment(length=0.06, diameter=0.008),), starts_at=-0.01, bearings=bushes(0.0, 0.04)
    )
    engine = simple({"rod": Rod(length=0.05)}, shaft={"bearings": right, "left": left})
    found = carried(engine, 24)
    sink = 10e-6 * (1 + 30 / 40) / found.motion.yokes["only"].rod.y
    np.testing.assert_allclose(rise(found, bearing_clearance, "only"), -sink / 2, rtol=1e-11)
    np.testing.assert_allclose(tilt(found, bearing_clearance, "only"), -sink / (2 * 0.02), rtol=1e-11)


def test_clearance_group_counts_by_its_middle_and_at_worst_by_its_largest():
    ball = Ball(bore=0.008, outside=0.022, width=0.007)
    places = (0.0, 0.04)
    engine = simple(shaft={"bearings": tuple(Bearing(at=at, ball=ball, clearance="C3") for at in places)})
    found = carried(engine, 24)
    expected, worst = (rise(found, bearing_clearance, "only", case=case) for case in ("expected", "worst"))
    np.testing.assert_allclose(expected, -(8e-6 + 23e-6) / 4 * 2.5, rtol=1e-12)
    np.testing.assert_allclose(worst, -23e-6 / 2 * 2.5, rtol=1e-12)


@pytest.mark.parametrize(("gravity", "sense"), [(-9.81, -1.0), (9.81, 1.0)])
def test_rod_play(gravity, sense):
    """Both pins of a pressed rod come nearer by half their play each: the yoke sinks by the play over ey."""
    found = carried(simple({"rod": Rod(length=0.05, play=10e-6)}, gravity=gravity), 24)
    shift = rise(found, rod_pin_play, "only")
    np.testing.assert_allclose(shift, sense * 10e-6 / found.motion.yokes["only"].rod.y, rtol=1e-12)


def test_each_pin_of_a_rod_is_pressed_by_its_own_load():
    """Where a yoke is about to lift off but its heavy rod is not, both pins' plays cancel; elsewhere they add up."""
    rod = Rod(length=0.05, play=10e-6, mass=0.3, cg=0.025, inertia=6e-5)
    found, speed = carried(simple({"rod": rod}, gravity=-9.81), 360), 34.0
    ends = {end: np.sign(rod_thrust(found, "only", "right", end).at(speed)) for end in ("pivot", "pin")}
    against = ends["pivot"] != ends["pin"]
    assert 0 < np.sum(against) < 180
    shift = rise(found, rod_pin_play, "only", speed)
    along = found.motion.yokes["only"].rod.y
    np.testing.assert_allclose(shift[against], 0.0, atol=1e-18)
    np.testing.assert_allclose(shift[~against], (-ends["pivot"] * 10e-6 / along)[~against], rtol=1e-12)


def test_the_thrust_of_a_rod_at_its_crankpin_is_what_newton_says():
    """From pivot to crankpin it changes by the rod's weight and mass times acceleration along it."""
    rod = Rod(length=0.05, play=10e-6, mass=0.3, cg=0.02, inertia=6e-5)
    found, speed = carried(simple({"rod": rod}, gravity=-9.81), 360), 40.0
    moved = found.motion.yokes["only"]
    share = 0.02 / 0.05
    x = (1 - share) * moved.pin.x + share * float(found.engine.yokes["only"].half_span)
    y = (1 - share) * moved.pin.along + share * moved.height
    fast = [np.fft.ifft(-(np.fft.fftfreq(360, 1 / 360) ** 2) * np.fft.fft(each)).real * speed**2 for each in (x, y)]
    needed = 0.3 * (fast[0] * moved.rod.x + (fast[1] + 9.81) * moved.rod.y)
    at_pivot, at_pin = (rod_thrust(found, "only", "right", end).at(speed) for end in ("pivot", "pin"))
    # What the crankpin pushes into the rod less what the rod pushes into the yoke moves the rod.
    np.testing.assert_allclose(at_pin - at_pivot, needed, rtol=0, atol=1e-9 * np.abs(needed).max())


def test_slot_play_is_half_as_much():
    found = carried(simple({"slot": Slot(play=10e-6)}), 24)
    np.testing.assert_allclose(rise(found, rod_pin_play, "only"), -5e-6, rtol=1e-12)


def test_rod_stretch():
    """N l/(E A) along the rod, over ey upward; each rod carries half the weight, over ey."""
    rod = Rod(length=0.05, section=1e-5, material=STEEL)
    found = carried(simple({"rod": rod}), 24)
    along = found.motion.yokes["only"].rod.y
    thrust = 0.4 * 9.81 / 2 / along
    np.testing.assert_allclose(rod_thrust(found, "only", "right").at(0.0), thrust, rtol=1e-12)
    np.testing.assert_allclose(rise(found, rod_stretch, "only"), -thrust * 0.05 / (207e9 * 1e-5) / along, rtol=1e-12)
    np.testing.assert_allclose(tilt(found, rod_stretch, "only"), 0.0, atol=1e-18)


def test_yoke_arms_bend_as_cantilevers():
    """Roark: cantilever L long, end load W: W L^3/(3 E I) there, W x^2 (3 L - x)/(6 E I) before; then straight."""
    arm = Arm(section=Section(width=0.006, height=0.008), material=STEEL)
    found = carried(simple({"rod": Rod(length=0.05), "arm": arm}), 24)
    x = np.array([0.0, -0.01, 0.02, 0.03])
    lifted = np.array([rise(found, yoke_arm_bending, "only", x=place) for place in x])
    stiffness = 207e9 * 0.006 * 0.008**3 / 12
    load, span = 0.4 * 9.81 / 2, 0.02
    sink = load * span**3 / (3 * stiffness)
    slope = load * span**2 / (2 * stiffness)
    bent = load * 0.01**2 * (3 * span - 0.01) / (6 * stiffness)
    expected = np.array([-sink, bent - sink, 0.0, slope * 0.01])
    np.testing.assert_allclose(lifted, np.repeat(expected[:, None], 24, axis=1), rtol=1e-12, atol=1e-20)


def test_backlash_and_timing_error():
    """Half the backlash each side of true, j/(2 R) at the pitch radius; teeth that drive the right gear let it lag."""
    gears = Gears(module=0.001, teeth=50, backlash=1e-4, at=0.02)
    error = 0.003
    for load_on, sign in (("right", -1.0), ("left", 1.0)):
        engine = simple(cranks={"gears": gears, "load_on": load_on}, fits=Fits(timing_error=error))
        found = carried(engine, 24)
        tooth = found.tooth.at(0.0)
        ahead = lead_angle(found, 0.0, "expected")
        crossing = np.abs(tooth) > 1e-9
        np.testing.assert_allclose(ahead[crossing], -error - np.sign(tooth[crossing]) * 1e-4 / (2 * 0.025), rtol=1e-12)
        lifted = found.motion.yokes["only"].velocity < 0  # sinking yoke: its weight drives both cranks
        np.testing.assert_array_equal(np.sign(tooth[crossing]), -sign * np.where(lifted, 1.0, -1.0)[crossing])
        np.testing.assert_allclose(lead_angle(found, 0.0, "worst"), error + 1e-4 / (2 * 0.025), rtol=1e-12)


def test_a_guide_limits_the_tilt():
    """Play over guided length; no limit where the length is not stated."""
    yoke = Yoke(throw="pin", slot=Slot(), parts={"all": Part(mass=0.1)}, carries=Piston(bore=0.02, length=0.05))
    engine = simple(fits=Fits(guide_play=3e-5))
    np.testing.assert_allclose(tilt_allowed(engine, yoke), 6e-4)
    assert tilt_allowed(engine, replace(yoke, carries=Piston(bore=0.02))) == np.inf


@pytest.mark.parametrize("seed", SEEDS[:4])
def test_guides_cut_the_tilt_of_cranks_out_of_step(seed):
    engine, name = random_engine(seed, 2), "power"
    yoke = engine.yokes[name]

    def guided(length):
        held = replace(yoke, carries=Piston(bore=0.02, length=length))
        return carried(replace(engine, yokes=engine.yokes | {name: held}, fits=Fits(guide_play=1e-5)))

    free, held = guided(None), guided(0.1)
    ahead = lead_angle(free, SPEED, "expected") + 0.02
    tilted = lead_shift(free, name, ahead).tilt
    assert np.abs(tilted).max() > 1e-4
    expected = np.sign(tilted) * np.minimum(np.abs(tilted), 1e-4)
    np.testing.assert_allclose(lead_shift(held, name, ahead).tilt, expected, rtol=1e-12, atol=1e-18)


def test_wind_up_is_torque_times_length_over_gj():
    """T L/(G J) from the shaft's begin at -10 mm to the gear at 12: 10 mm of 8 mm, then 12 mm of 6 mm bored 2 mm.

    The weight F/2 on each pin, r sin(theta) from the shaft, turns it by F r sin(theta)/2; the throw leads by the
    twist and moves its yoke by dy/dtheta = -r sin(theta) for each radian.
    """
    gears = Gears(module=0.001, teeth=50, at=0.012)
    segments = (Segment(length=0.01, diameter=0.008), Segment(length=0.06, diameter=0.006, bore=0.002))
    found = carried(simple(cranks={"gears": gears}, shaft={"segments": segments}), 24)
    twist = 0.01 / (80e9 * np.pi / 32 * 0.008**4) + 0.012 / (80e9 * np.pi / 32 * (0.006**4 - 0.002**4))
    sine = np.sin(found.motion.theta)
    torque = 0.4 * 9.81 / 2 * 0.01 * sine
    np.testing.assert_allclose(rise(found, shaft_twist, "only"), -torque * twist * 0.01 * sine, rtol=1e-9, atol=1e-18)


def two_throws(inner=0.010, **outer_pin):
    """Two slot yokes of 0.2 and 0.3 kg on overhung throws, 10 mm up and 12 mm across, pins 5 x 10 and 4 x 8 mm."""
    pins = {
        "inner": Pin(diameter=0.005, length=inner),
        "outer": Pin(**({"diameter": 0.004, "length": 0.008} | outer_pin)),
    }
    throws = {
        "inner": Throw(radius=0.01, phase=0.0, at=-0.02, pin=pins["inner"]),
        "outer": Throw(radius=0.012, phase=np.pi / 2, at=-0.035, pin=pins["outer"]),
    }
    yokes = {
        name: Yoke(throw=throw, slot=Slot(offset=height), parts={"all": Part(mass=mass)})
        for name, throw, mass, height in (("low", "inner", 0.2, 0.0), ("high", "outer", 0.3, 0.1))
    }
    engine = simple()
    return replace(engine, yokes=yokes, cranks=replace(engine.cranks, throws=throws))


def cantilever(lever_one, lever_two, length, diameter):
    """Displacement at one lever per newton at the other of a pin bent over its length, by numerical integration."""
    s = np.linspace(0.0, min(length, lever_one, lever_two), 20001)
    young, shear = STEEL.young, STEEL.shear
    area, second = np.pi / 4 * diameter**2, np.pi / 64 * diameter**4
    kappa = shear_coefficient(0.0, young / (2 * shear) - 1)
    bent = np.trapezoid((lever_one - s) * (lever_two - s), s) / (young * second)
    return bent + s[-1] / (kappa * shear * area)


def test_pins_bend_as_cantilevers_and_the_outer_throw_hangs_on_the_inner_pin():
    """Inner pin from z -15 to -25, outer from -31 to -39 mm; loads at -20 and -35.

    The outer load, beside the inner pin's axis, twists that pin as well, by F a L/(G J), and hangs a lower for it.
    """
    found = carried(two_throws(), 24)
    low, high = 0.2 * 9.81 / 2, 0.3 * 9.81 / 2
    inner = {"length": 0.010, "diameter": 0.005}
    at_low = -low * cantilever(0.005, 0.005, **inner) - high * cantilever(0.005, 0.020, **inner)
    at_high = -low * cantilever(0.020, 0.005, **inner) - high * cantilever(0.020, 0.020, **inner)
    at_high -= high * cantilever(0.004, 0.004, length=0.008, diameter=0.004)
    beside = 0.012 * np.cos(found.motion.theta) - 0.010 * np.sin(found.motion.theta)
    at_high = at_high - high * beside**2 * 0.010 / (STEEL.shear * np.pi / 32 * 0.005**4)
    np.testing.assert_allclose(rise(found, crankpin_bending, "low"), at_low, rtol=1e-7)
    np.testing.assert_allclose(rise(found, crankpin_bending, "high"), at_high, rtol=1e-7)


def test_a_pin_along_the_shaft_bends_as_part_of_it_and_is_twisted_by_the_bearings_beside_its_axis():
    """Bearings at 0 and 40 mm, pin from 15 to 25, load F at 20: M = F z/2, V = F/2, T = F/2 r sin(theta)."""
    throws = {"pin": Throw(radius=0.01, at=0.02, pin=Pin(diameter=0.005, length=0.01))}
    found = carried(simple(cranks={"throws": throws}), 24)
    area, second = np.pi / 4 * 0.005**2, np.pi / 64 * 0.005**4
    kappa = shear_coefficient(0.0, STEEL.young / (2 * STEEL.shear) - 1)
    bent = 2 * (0.02**3 - 0.015**3) / 12 / (STEEL.young * second) + 0.01 / (4 * kappa * STEEL.shear * area)
    twisted = (0.01 * np.sin(found.motion.theta) / 2) ** 2 * 0.01 / (STEEL.shear * 2 * second)
    np.testing.assert_allclose(rise(found, crankpin_bending, "only"), -0.4 * 9.81 / 2 * (bent + twisted), rtol=1e-9)


def web_by_hand(arm, lever):
    """Displacement along and across an arm per newton, a lever beyond a web of 4 x 9 mm: E and G of steel."""
    twist, out, across, stretch, shear = web_section(0.004, 0.009, STEEL)
    along = lever**2 * arm * out + arm * stretch
    return along, lever**2 * arm * twist + arm**3 / 3 * across + arm * shear


def test_the_section_of_a_web():
    """I = b h^3/12, kappa = 10 (1 + nu)/(12 + 11 nu), Saint-Venant's series for torsion (Timoshenko, Goodier)."""
    twist, out, across, stretch, shear = web_section(0.004, 0.009, STEEL)
    odd = np.arange(1, 201, 2)
    series = 1 - 192 / np.pi**5 * 4 / 9 * np.sum(np.tanh(odd * np.pi * 9 / 8) / odd**5)
    np.testing.assert_allclose(1 / twist, STEEL.shear * 0.009 * 0.004**3 / 3 * series, rtol=2e-3)
    np.testing.assert_allclose(1 / out, STEEL.young * 0.009 * 0.004**3 / 12, rtol=1e-12)
    np.testing.assert_allclose(1 / across, STEEL.young * 0.004 * 0.009**3 / 12, rtol=1e-12)
    np.testing.assert_allclose(1 / stretch, STEEL.young * 0.004 * 0.009, rtol=1e-12)
    nu = STEEL.young / (2 * STEEL.shear) - 1
    np.testing.assert_allclose(1 / shear, 10 * (1 + nu) / (12 + 11 * nu) * STEEL.shear * 0.004 * 0.009, rtol=1e-12)


def test_webs_bend_out_of_their_plane_twist_and_bend_across():
    """A 10 mm arm from shaft to pin, 4 thick and 9 wide, 18 mm inward of the load.

    Up the arm F bends it by F e over its length, F e^2 L/(E I), and stretches it. Across the arm it twists it by F e,
    and bends and shears it in its plane: F e^2 L/(G K) + F L^3/(3 E I') + F L/(k G A). Between, its angle decides.
    """
    throws = {"pin": Throw(radius=0.01, phase=0.4, at=-0.03)}
    web = Web(at=-0.012, mass=0.0, thickness=0.004, width=0.009)
    found = carried(simple(cranks={"throws": throws, "webs": (web,)}), 24)
    load = 0.4 * 9.81 / 2
    bend, twist = web_by_hand(0.01, 0.018)
    angle = found.motion.theta + 0.4
    expected = -load * (bend * np.cos(angle) ** 2 + twist * np.sin(angle) ** 2)
    np.testing.assert_allclose(rise(found, crank_web_bending, "only"), expected, rtol=1e-10)


def test_a_web_between_two_pins_is_an_arm_from_one_to_the_other():
    engine = two_throws(inner=0.012, length=0.010)  # pins that reach the web
    web = Web(at=-0.028, mass=0.0, thickness=0.004, width=0.009)
    found = carried(replace(engine, cranks=replace(engine.cranks, webs=(web,))), 24)
    load = 0.3 * 9.81 / 2
    bend, twist = web_by_hand(np.hypot(0.01, 0.012), 0.007)
    angle = found.motion.theta + np.arctan2(0.012, -0.01)
    expected = -load * (bend * np.cos(angle) ** 2 + twist * np.sin(angle) ** 2)
    np.testing.assert_allclose(rise(found, crank_web_bending, "high"), expected, rtol=1e-10)
    np.testing.assert_allclose(rise(found, crank_web_bending, "low"), 0.0, atol=1e-20)


def test_a_single_force_bends_the_shaft_at_its_pin_by_the_influence():
    """The pin of an overhung shaft sinks by F a^2 (L + a)/(3 E I) and shear; a rigid arm carries it beyond the end."""
    found = carried(simple(shaft={"starts_at": -0.03, "segments": (Segment(length=0.08, diameter=0.008),)}), 24)
    second, area = np.pi / 64 * 0.008**4, np.pi / 4 * 0.008**2
    kappa = shear_coefficient(0.0, STEEL.young / (2 * STEEL.shear) - 1)
    give = 0.03**2 * 0.07 / (3 * STEEL.young * second) + (0.03 + 0.03**2 / 0.04) / (kappa * STEEL.shear * area)
    np.testing.assert_allclose(rise(found, shaft_bending, "only"), -0.4 * 9.81 / 2 * give, rtol=1e-10)


def test_growth_and_pull_keep_their_parts():
    load = PlanarForce(Load(3.0, 3.0, gravity=2.0), Load(steady=4.0))
    moved = load + load * 2.0
    assert (moved.x.at(2.0), moved.y.at(2.0)) == (3 * (3 + 4 * 3.0), 12.0)


def test_a_web_inward_of_both_throws_reaches_to_the_nearer_one():
    """Shaft to inner pin: 10 mm up, whatever hangs beyond; both loads bend it, the outer one at a longer lever."""
    engine = two_throws(inner=0.012)  # a pin that reaches the web
    web = Web(at=-0.012, mass=0.0, thickness=0.004, width=0.009)
    found = carried(replace(engine, cranks=replace(engine.cranks, webs=(web,))), 24)
    arm, near, far = 0.01, 0.008, 0.023
    twist, out, across, stretch, shear = web_section(0.004, 0.009, STEEL)
    cosine, sine = np.cos(found.motion.theta), np.sin(found.motion.theta)
    low, high = 0.2 * 9.81 / 2, 0.3 * 9.81 / 2
    expected = 0.0
    for load, lever in ((low, near), (high, far)):
        expected -= load * (near * lever * arm * (out * cosine**2 + twist * sine**2) + arm * stretch * cosine**2)
        expected -= load * (arm**3 / 3 * across + arm * shear) * sine**2
    # The outer load stands to the side of the inner pin and bends the arm in its plane by its moment about that.
    beside = 0.012 * cosine - 0.010 * sine
    expected -= high * beside * arm**2 / 2 * across * sine
    np.testing.assert_allclose(rise(found, crank_web_bending, "low"), expected, rtol=1e-9, atol=1e-14)


def on_soft_seats(belt=None, **fixed):
    """Return a rigid shaft on seats of 10 N/um with gears at z = 20 mm: it only tips as the lever law says."""
    rigid = replace(STEEL, young=STEEL.young * 1e9, shear=STEEL.shear * 1e9)
    seats = tuple(replace(each, seat_stiffness=1e7) for each in bushes(0.0, 0.04))
    gears = Gears(module=0.001, teeth=50, at=0.02)
    return simple(cranks={"gears": gears, "belt": belt}, shaft={"material": rigid, "bearings": seats}, **fixed)


def test_soft_seats_tip_a_rigid_shaft_and_slope_its_bearings_and_gear():
    """The slope is the difference of both seats' deflections over the 40 mm between them, wherever one looks."""
    found = carried(on_soft_seats(), 24)
    crank = found.cranks[0]
    near, far = (each.on_bench(0.0)[1] for each in crank.bearings)
    slope = (far - near) / 1e7 / 0.04
    gear, gear_slope = (crank.vectors(crank.weights[kind])[0] for kind in ("gear", "gear slope"))
    for each in (*crank.slopes, gear_slope):
        np.testing.assert_allclose(each.on_bench(0.0)[1], slope, rtol=0, atol=1e-7 * np.abs(slope).max())
    middle = (near + far) / 2 / 1e7
    np.testing.assert_allclose(gear.on_bench(0.0)[1], middle, rtol=0, atol=1e-7 * np.abs(middle).max())
    # The load leaves on the right: the left shaft's loads differ, and the yoke takes the mean of both pins.
    pins = []
    for each in found.cranks:
        one, other = (load.on_bench(0.0)[1] for load in each.bearings)
        pins.append((one + (one - other) * 30 / 40) / 1e7)
    pin = (pins[0] + pins[1]) / 2
    np.testing.assert_allclose(rise(found, support_deflection, "only"), pin, rtol=0, atol=1e-7 * np.abs(pin).max())
    assert np.abs(slope).max() > 1e-6


def test_without_gears_only_the_timing_error_tilts():
    found = carried(simple(fits=Fits(timing_error=0.002)), 24)
    for case, ahead in (("expected", -0.002), ("worst", 0.002)):  # at worst on whichever side
        np.testing.assert_array_equal(lead_angle(found, 50.0, case), np.full(24, ahead))


def test_a_plate_that_holds_both_bearings_tilts_with_them():
    """A moment M bends an upright plate like a cantilever's end: M h/(E I), I = w t^3/12 (Roark).

    Bearings 20 mm to either side of the plate; the pin, 50 mm out, follows the shaft: F 50^2 h/(E I). Tied, or in two
    plates of their own, they do not tilt.
    """
    aluminium = MATERIALS["aluminium"]
    plate = Plate(at=0.02, thickness=0.008, width=0.06, height=0.045, material=aluminium)
    tilted = 0.05**2 * 0.045 * 12 / (aluminium.young * 0.06 * 0.008**3)
    found = carried(simple(shaft={"plates": (plate,)}), 24)
    np.testing.assert_allclose(rise(found, support_tilt, "only"), -0.4 * 9.81 / 2 * tilted, rtol=1e-9)
    apart = (replace(plate, at=0.0), replace(plate, at=0.04))
    for plates in ((replace(plate, tied=True),), apart):
        found = carried(simple(shaft={"plates": plates}), 24)
        np.testing.assert_allclose(rise(found, support_tilt, "only"), 0.0, atol=1e-20)
    stiffness = aluminium.young * 0.06 * 0.008**3 / (12 * 0.045)
    found = carried(simple(shaft={"tilt_stiffness": stiffness}), 24)
    np.testing.assert_allclose(rise(found, support_tilt, "only"), -0.4 * 9.81 / 2 * tilted, rtol=1e-9)


def test_a_belt_bends_its_shaft_one_way_at_every_angle():
    """Pulled down by 30 N at 60 mm, 20 beyond the far bearing: that seat sinks by 1.5 F/k, the near one rises F/2k."""
    belt = Belt(on="right", at=0.06, pull=30.0, direction=np.pi)
    plain, pulled = (carried(on_soft_seats(belt=each), 24) for each in (None, belt))
    for place, factor in ((0, -0.5), (1, 1.5)):
        x, y = (
            np.asarray(one) - other
            for one, other in zip(
                pulled.cranks[0].bearings[place].on_bench(50.0),
                plain.cranks[0].bearings[place].on_bench(50.0),
                strict=True,
            )
        )
        np.testing.assert_allclose(y, -30.0 * factor, rtol=1e-9)
        np.testing.assert_allclose(x, 0.0, atol=1e-9)
    sunk = (rise(pulled, support_deflection, "only") - rise(plain, support_deflection, "only")).mean()
    assert sunk == pytest.approx((0.5 + 2.0 * 30 / 40) * 30.0 / 1e7 / 2, rel=1e-6)  # only the right side of the yoke


def test_teeth_that_yield_put_the_cranks_out_of_step():
    """M/(k (R cos a)^2), half on each crank: a yoke tilts by that, halved, times its velocity over its half-span."""
    gears = Gears(module=0.001, teeth=50, at=0.02, mesh_stiffness=2e7)
    found = carried(simple({"rod": Rod(length=0.05)}, cranks={"gears": gears}), 24)
    crossing = found.tooth.at(0.0) * 0.025
    lag = crossing / (2e7 * (0.025 * np.cos(np.deg2rad(20))) ** 2)
    expected = -lag * found.motion.yokes["only"].velocity / (2 * 0.02)
    np.testing.assert_allclose(tilt(found, tooth_mesh, "only"), expected, rtol=1e-9, atol=1e-16)
    assert np.abs(expected).max() > 1e-9


def test_balls_are_rigid_themselves_where_no_load_is_known():
    ball = Ball(bore=0.008, outside=0.022, width=0.007, balls=7, ball_diameter=0.004)
    bearings = tuple(Bearing(at=at, ball=ball, seat_stiffness=1e7) for at in (0.0, 0.04))
    shaft = simple(shaft={"bearings": bearings}).shafts
    rigid, loaded = (support_parts(shaft, loads)["bearing deflection"] for loads in (None, [20.0, 30.0]))
    np.testing.assert_array_equal(rigid, np.zeros((2, 2)))
    assert np.all(np.diag(loaded) > 1e-8)
    found = carried(simple(shaft={"bearings": bearings}), 24)
    assert np.all(rise(found, bearing_deflection, "only") < -1e-8)


def test_contact_theory_serves_those_of_many_options_whose_balls_are_known():
    """Sizes 608 and one that no table has: each yields as it does alone, the second by few small balls."""
    shaft = simple().shafts

    def compliance(bore, outside):
        ball = Ball(bore=bore, outside=outside, width=0.007)
        bearings = tuple(Bearing(at=at, ball=ball) for at in (0.0, 0.04))
        return support_parts(replace(shaft, bearings=bearings), [20.0, 30.0])["bearing deflection"]

    both = compliance(np.array([0.008, 0.0055]), np.array([0.022, 0.017]))
    alone = [compliance(*size) for size in ((0.008, 0.022), (0.0055, 0.017))]
    np.testing.assert_allclose(both, np.stack(alone), rtol=1e-12)
    assert np.all(np.diag(both[0]) > 0)
    assert np.all(np.diag(both[1]) > 0)


@pytest.mark.parametrize("seed", SEEDS[:4])
def test_a_rod_with_play_shifts_its_yoke_as_a_longer_or_shorter_rod_does(seed):
    """Rods of uneven thrust tilt the yoke: the one with its pins nearer lets its own side down."""
    found = carried(random_engine(seed, 2))
    for name, yoke in found.engine.yokes.items():
        x = np.array([0.0, 0.013])
        rows = pin_rows(found, name, x, 1.0)
        for (_, slack), hand in zip(rows, ("right", "right", "left", "left"), strict=True):
            longer = deviations(found, name)[f"rod length of {name}, {hand}"][1]
            np.testing.assert_allclose(slack, longer.at(x) * yoke.rod.play / 2, rtol=1e-11, atol=1e-18)


def test_a_tolerance_that_only_some_options_have_counts_for_those():
    engine = random_engine(SEEDS[0], 2)
    some = Fits(tolerances=Tolerances(rod_length=np.array([0.0, 1e-5])))
    found = deviations(carried(replace(engine, fits=some)), next(iter(engine.yokes)))
    assert len(found) == 2
    for half_width, _ in found.values():
        np.testing.assert_array_equal(half_width, [0.0, 1e-5])


def test_power_leaves_where_it_is_stated_else_at_the_flywheel_else_at_the_end_far_from_the_throws():
    """The shaft reaches from -10 to 50 mm; of throws at both ends, where they are on the mean decides."""
    places = {(-0.03,): 0.05, (0.045,): -0.01, (-0.03, 0.06): 0.05, (-0.03, 0.2): -0.01}
    for at, end in places.items():
        throws = {f"throw {each}": Throw(radius=0.01, at=each) for each in at}
        engine = simple()
        yokes = {"only": replace(engine.yokes["only"], throw=next(iter(throws)))}
        engine = replace(engine, yokes=yokes, cranks=replace(engine.cranks, throws=throws))
        assert leaves_at(engine, "right") == pytest.approx(end)
    wheel = Flywheel(on="left", inertia=1e-4, at=0.033)
    assert leaves_at(simple(flywheel=wheel), "left") == 0.033
    assert leaves_at(simple(flywheel=wheel), "right") == pytest.approx(0.05)
    assert leaves_at(simple(cranks={"load_at": 0.021}, flywheel=wheel), "left") == 0.021


def test_arms_of_a_slotted_yoke_reach_to_where_its_pins_are_on_the_mean():
    """Half the centre distance of 50 mm."""
    arm = Arm(section=Section(width=0.006, height=0.008), material=STEEL)
    found = carried(simple({"slot": Slot(), "arm": arm}), 24)
    sink = 0.4 * 9.81 / 2 * 0.025**3 / (3 * STEEL.young * 0.006 * 0.008**3 / 12)
    np.testing.assert_allclose(rise(found, yoke_arm_bending, "only"), -sink, rtol=1e-12)


@pytest.mark.parametrize("turn", [0.4, -1.1])
def test_a_web_between_two_pins_turns_with_them(turn):
    """Both throws turned on by an angle bend their web as before, so much earlier in the turn."""
    engine = two_throws(inner=0.012, length=0.010)  # pins that reach the web
    web = Web(at=-0.028, mass=0.0, thickness=0.004, width=0.009)
    throws = {name: replace(each, phase=each.phase + turn) for name, each in engine.cranks.throws.items()}
    found = carried(replace(engine, cranks=replace(engine.cranks, throws=throws, webs=(web,))), 24)
    load = 0.3 * 9.81 / 2
    bend, twist = web_by_hand(np.hypot(0.01, 0.012), 0.007)
    angle = found.motion.theta + turn + np.arctan2(0.012, -0.01)
    expected = -load * (bend * np.cos(angle) ** 2 + twist * np.sin(angle) ** 2)
    np.testing.assert_allclose(rise(found, crank_web_bending, "high"), expected, rtol=1e-10)
