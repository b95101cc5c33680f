"""Laws that vibration of the cranks must keep."""

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from limits.one_throw import loaded, one_throw
from random_engines import random_engine
from scipy.integrate import solve_ivp
from shaft_samples import cantilever, light
from whirling import plain_rotor, whirls

from balance.machine.machine import Flywheel
from balance.machine.yoke import Rod
from shafts.whirl.bodies import Body, bodies
from shafts.whirl.crossings import crossings
from shafts.whirl.floquet import growth, over_a_turn
from shafts.whirl.pair import pair, ridden, rotors
from shafts.whirl.periodic import PeriodicSystem, _coupled
from shafts.whirl.vibrating import vibrating
from shafts.whirl.vibration import ShaftVibration, shaft_vibration


def vibration_of(engine, orders: int = 8, damping: float = 0.02) -> ShaftVibration:
    carried = loaded(engine)
    return ShaftVibration(carried, pair(carried, rotors(carried), orders, damping))


def added(vibration: ShaftVibration, speed) -> dict:
    """What vibration adds to the displacement of each crankpin on the bench, m, by side and yoke."""
    found = {}
    for still, moving in zip(vibration.loaded.cranks, vibrating(vibration).cranks, strict=True):
        for name in vibration.loaded.engine.yokes:
            both = (each.pin(name).on_bench(speed) for each in (moving, still))
            found[still.hand, name] = tuple(whole - part for whole, part in zip(*both, strict=True))
    return found


def softer(engine, factor: float):
    """The engine with every modulus and stiffness softened."""
    shafts, cranks = engine.shafts, engine.cranks
    bearings = tuple(replace(each, stiffness=5e7 * factor, seat_stiffness=2e7 * factor) for each in shafts.bearings)
    webs = tuple(replace(each, material=_softened(each.material or shafts.material, factor)) for each in cranks.webs)
    throws = {
        name: replace(
            each, pin=each.pin and replace(each.pin, material=_softened(each.pin.material or shafts.material, factor))
        )
        for name, each in cranks.throws.items()
    }
    gears = cranks.gears and replace(cranks.gears, mesh_stiffness=3e7 * factor)
    shafts = replace(shafts, left=None, plates=(), material=_softened(shafts.material, factor), bearings=bearings)
    return replace(engine, cranks=replace(cranks, webs=webs, throws=throws, gears=gears), shafts=shafts)


def _softened(material, factor: float):
    return replace(material, young=material.young * factor, shear=material.shear * factor)


@pytest.mark.parametrize("seed", range(4))
def test_half_of_every_stiffness_lowers_every_critical_speed_by_the_root_of_two(seed: int):
    engine = random_engine(seed)
    stiff, soft = (vibration_of(softer(engine, factor)).critical[0] for factor in (1.0, 0.5))
    # The lowest: modes are kept up to a multiple of one speed.
    count = max(8, int(np.sum(stiff < 2 * engine.speed.most)))
    np.testing.assert_allclose(soft[:count], stiff[:count] / np.sqrt(2), rtol=2e-2)


def test_each_order_meets_each_natural_frequency_of_a_round_shaft():
    """Across its guide a pin carries its turning mass alone, along it half the yoke too: w/n for every order n."""
    one = one_throw()
    speeds, _ = vibration_of(one.engine).critical
    for natural in (one.across, one.along):
        for order in range(1, 5):
            assert np.min(np.abs(speeds / (natural / order) - 1)) < 2e-4


def test_its_crossings_are_named():
    one = one_throw()
    found = crossings(vibration_of(one.engine), 1.5 * one.across)
    first = [each for each in found if each.order == 1]
    assert [each.way for each in first] == ["to and fro"] * len(first)
    np.testing.assert_allclose(sorted({round(each.speed, 1) for each in first})[0], one.along, rtol=1e-3)


@pytest.mark.parametrize("share", [0.3, 0.7, 1.4])
def test_a_yoke_on_a_slot_vibrates_as_a_single_mass_along_its_guide(share: float):
    """With x = W^2/w^2: what pulls grows by x/(1 - x), along by half the yoke too, across by what turns."""
    one = one_throw()
    vibration, speed = vibration_of(one.engine, damping=1e-6), share * one.along
    radius, theta = 2e-4, vibration.loaded.motion.theta
    along, across = ((speed / each) ** 2 for each in (one.along, one.across))
    x, y = added(vibration, speed)["right", "only"]
    still_y = (one.turning + one.yoke / 2) * radius * speed**2 / one.stiffness
    still_x = one.turning * radius * speed**2 / one.stiffness
    np.testing.assert_allclose(y, still_y * along / (1 - along) * np.cos(theta), rtol=0, atol=2e-3 * still_y)
    np.testing.assert_allclose(x, still_x * across / (1 - across) * np.sin(theta), rtol=0, atol=2e-3 * still_x)


@pytest.mark.parametrize("share", [0.5, 1.0, 1.02])
def test_the_loads_put_in_what_damping_takes_out(share: float):
    """Over a turn, on the bench: the work of what turns and of half the yoke's inertia on the whole motion of the pin.

    The drag is 2 z/w times the stiffness, w the lowest natural frequency. At resonance and beside it.
    """
    one, radius, damping = one_throw(), 2e-4, 0.02
    vibration, speed = vibration_of(one.engine, damping=damping), share * one.along
    theta = vibration.loaded.motion.theta
    pull = radius * speed**2 * np.stack([one.turning * np.sin(theta), (one.turning + one.yoke / 2) * np.cos(theta)])
    moved = np.stack(vibrating(vibration).of("right").pin("only").on_bench(speed))
    orders = 1j * speed * np.arange(theta.size // 2 + 1)
    velocity = np.fft.irfft(orders * np.fft.rfft(moved, axis=-1), theta.size, axis=-1)
    given = np.mean(np.sum(pull * velocity, axis=0))
    taken = 2 * damping / one.along * one.stiffness * np.mean(np.sum(velocity**2, axis=0))
    assert given > 0
    assert given == pytest.approx(taken, rel=1e-3)


def test_at_resonance_a_single_mass_is_bounded_by_its_damping():
    """1/(2 z) times the static deflection."""
    one = one_throw()
    vibration = vibration_of(one.engine, damping=0.02)
    _, y = added(vibration, one.along)["right", "only"]
    still = (one.turning + one.yoke / 2) * 2e-4 * one.along**2 / one.stiffness
    assert np.max(np.abs(y)) == pytest.approx(still / 0.04, rel=5e-3)


@pytest.mark.parametrize("speed", [60.0, 95.0, 130.0])
def test_a_yoke_on_rods_moves_as_the_nonlinear_equations_say(speed: float):
    """Pin, rod without mass and guided yoke by Lagrange's equations, integrated until steady: static and vibration."""
    radius, length, half, mass, turning, damping = 0.004, 0.05, 0.015, 0.3, 0.05, 0.03
    one = one_throw(turning, mass, radius, Rod(length=length))
    vibration = vibration_of(one.engine, damping=damping)
    theta, distance = vibration.loaded.motion.theta, 0.05
    stiffness = one.stiffness
    drag = 2 * damping / vibration.pair.system.first_frequency * stiffness  # in proportion to the stiffness

    def rates(time: float, state: np.ndarray) -> list[float]:
        ux, uy, vx, vy = state
        sine, cosine = radius * np.sin(speed * time), radius * np.cos(speed * time)
        lean = distance / 2 + sine + ux - half
        rise = np.sqrt(length**2 - lean**2)
        slope, bend = -lean / rise, -(length**2) / rise**3  # of the yoke's height by the pin's place across
        pin_x = speed * cosine + vx
        swing = pin_x**2 * bend
        # Half a yoke rides on each side: m/2 (Y'') with Y'' = ay + slope ax + bend vx^2.
        pushed_x, pushed_y = -stiffness * ux - drag * vx, -stiffness * uy - drag * vy
        ax0, ay0 = -(speed**2) * sine, -(speed**2) * cosine
        half_mass = mass / 2
        matrix = np.array(
            [[turning + half_mass * slope**2, half_mass * slope], [half_mass * slope, turning + half_mass]]
        )
        carried = half_mass * (ay0 + slope * ax0 + swing)
        ax, ay = np.linalg.solve(
            matrix, [pushed_x - turning * ax0 - carried * slope, pushed_y - turning * ay0 - carried]
        )
        return [vx, vy, ax, ay]

    turns = 60
    settled = solve_ivp(rates, (0, 2 * np.pi * (turns + 1) / speed), [0.0] * 4, rtol=1e-8, atol=1e-13,
                        t_eval=2 * np.pi * turns / speed + theta / speed)  # fmt: skip
    added_x, added_y = added(vibration, speed)["right", "only"]
    static_x, static_y = vibration.loaded.of("right").pin("only").on_bench(speed)
    size = np.max(np.hypot(settled.y[0], settled.y[1]))
    np.testing.assert_allclose(static_x + added_x, settled.y[0], rtol=0, atol=0.02 * size)
    np.testing.assert_allclose(static_y + added_y, settled.y[1], rtol=0, atol=0.02 * size)
    assert speed < 90 or np.max(np.abs(added_y)) > 0.05 * size


@pytest.mark.parametrize("seed", [0, 3])
def test_several_speeds_together_are_each_what_they_are_alone(seed: int):
    vibration = vibration_of(random_engine(seed))
    speeds = np.array([0.2, 0.7, 1.0, 1.05]) * float(vibration.loaded.engine.speed.most)
    together = added(vibration, speeds)
    for place, speed in enumerate(speeds):
        for key, (x, y) in added(vibration, float(speed)).items():
            np.testing.assert_allclose(together[key][0][place], x, rtol=0, atol=1e-9 * np.max(np.abs(x)))
            np.testing.assert_allclose(together[key][1][place], y, rtol=0, atol=1e-9 * np.max(np.abs(y)))


def mirrored(seed: int):
    """A random engine alike on both sides, wheels and load included."""
    engine = random_engine(seed)
    webs = tuple(replace(each, on="both") for each in engine.cranks.webs)
    yokes = {name: replace(each, rod=each.rod and replace(each.rod, left=None)) for name, each in engine.yokes.items()}
    cranks = replace(
        engine.cranks,
        webs=webs,
        load_on="both",
        gears=engine.cranks.gears and replace(engine.cranks.gears, left_material=None),
    )
    return replace(engine, cranks=cranks, yokes=yokes, shafts=replace(engine.shafts, left=None),
                   gravity=replace(engine.gravity, x=0.0),
                   flywheel=Flywheel(on="both", inertia=2e-4, at=engine.shafts.ends_at, mass=0.2))  # fmt: skip


@pytest.mark.parametrize("seed", [0, 2])
def test_a_mirrored_machine_vibrates_as_its_mirror_image(seed: int):
    vibration = vibration_of(mirrored(seed))
    found = added(vibration, 0.9 * float(vibration.loaded.engine.speed.most))
    for name in vibration.loaded.engine.yokes:
        (x, y), (other_x, other_y) = found["right", name], found["left", name]
        np.testing.assert_allclose(other_x, -x, rtol=0, atol=1e-6 * np.max(np.abs(x)))
        np.testing.assert_allclose(other_y, y, rtol=0, atol=1e-6 * np.max(np.abs(y)))


@pytest.mark.parametrize("turning", ["outward", "inward"])
def test_damping_takes_energy_whichever_way_it_turns(turning: str):
    one = one_throw(turning=0.05)
    engine = replace(one.engine, cranks=replace(one.engine.cranks, turning=turning))
    vibration = vibration_of(engine)
    assert growth(vibration.pair.slow, 50.0, engine.cranks.sense) < 1
    assert growth(vibration.pair.slow, 50.0, -engine.cranks.sense) > 1
    assert growth(vibration.pair.slow, 0.01, engine.cranks.sense) < 1e-9  # in one turn that takes minutes
    assert growth(vibration.pair.slow, 0.01, -engine.cranks.sense) == np.inf


def test_more_orders_change_little_once_it_stands_still():
    carried = loaded(random_engine(0), 144)
    speeds = [float(carried.engine.speed.most)]
    found = shaft_vibration(carried, speeds, 0.02)
    more = ShaftVibration(carried, pair(carried, rotors(carried), 20, 0.02))
    (few, still), (many, _) = (each.peaks(np.array(speeds)) for each in (found, more))
    np.testing.assert_allclose(few / still, many / still, atol=0.01)


def test_damping_goes_with_the_rate_at_which_a_whirl_goes_round():
    """Of a mass on alike springs k and dampers c all round, order n of the bench loses n c a turn, n c/k by its scale.

    Each whirl has a twin a quarter of a period behind, and damping pushes that alone.
    """
    turn, springs, damping = np.array([[0.0, -1.0], [1.0, 0.0]]), 4e4, 3.0
    system = PeriodicSystem(
        np.broadcast_to(springs * np.eye(2), (11, 2, 2)), damping * np.eye(2), turn, np.eye(2), 2 * turn, -np.eye(2)
    )
    speeds, _ = system.critical_speeds
    orders = np.sqrt(springs) / speeds
    np.testing.assert_allclose(orders, np.round(orders), rtol=1e-9)
    every = system.slowed(np.ones(len(speeds), dtype=bool))
    np.testing.assert_allclose(every, np.round(orders) * damping / springs, rtol=1e-9)
    np.testing.assert_allclose(system.slowed(speeds < 90), every[speeds < 90], rtol=1e-12)


def test_a_resonance_between_the_speeds_looked_at_is_found():
    """Of a round shaft with rods: where order 2 meets the yoke's own frequency, at half of that."""
    one = one_throw(rod=Rod(length=0.03), radius=0.006)
    engine = replace(one.engine, speed=replace(one.engine.speed, most=0.7 * one.along))
    vibration = vibration_of(engine)
    found = vibration.worst_speeds(0.3 * one.along, 0.7 * one.along)
    tried = np.linspace(0.45, 0.55, 201) * one.along
    peak = tried[np.argmax(np.max(vibration.peaks(tried)[0], axis=0))]
    assert min(abs(each / peak - 1) for each in found) < 2e-3


def test_four_masses_about_an_axis_are_a_disc():
    """At (+-a, 0) and (0, +-a): mass 4 m, moment of inertia 4 m a^2 about the shaft and 2 m a^2 across it."""
    shaft, mass, away = cantilever(0.1, 0.005, light(200e9)), 0.03, 0.05
    corners = [(away, 0.0), (-away, 0.0), (0.0, away), (0.0, -away)]
    points = [Body("corner", 0.1, mass, x=x, y=y) for x, y in corners]
    disc = Body("disc", 0.1, 4 * mass, 4 * mass * away**2, 2 * mass * away**2)
    for order in (1, -1, 2):
        found, expected = (whirls(plain_rotor(shaft, each, own=3), order, modes=6) for each in (points, [disc]))
        for speed in expected:  # the points also move as they twist
            assert np.min(np.abs(found / speed - 1)) < 1e-6


@pytest.mark.parametrize("seed", range(3))
def test_turning_as_a_whole_costs_no_force(seed: int):
    """Whatever speed it turns at; and all moments of inertia add up in it."""
    carried = loaded(random_engine(seed))
    for body, crank in zip(rotors(carried), carried.cranks, strict=True):
        everything = bodies(carried.engine, crank.hand)
        whole = sum(each.polar + each.mass * (each.x**2 + each.y**2) for each in everything)
        assert body.rigid @ body.mass @ body.rigid == pytest.approx(float(whole), rel=1e-9)
        assert abs(body.rigid @ body.spin @ body.rigid) < 1e-9 * float(whole)


def with_wheel(seed: int):
    """A random engine with gears of known stiffness and a wheel on its right shaft."""
    engine = random_engine(seed)
    gears = replace(engine.cranks.gears, mesh_stiffness=2e7)
    wheel = Flywheel(on="right", inertia=2e-4, at=engine.shafts.ends_at, mass=0.2)
    return replace(engine, cranks=replace(engine.cranks, gears=gears), flywheel=wheel)


@pytest.mark.parametrize("seed", [0, 2])
def test_both_cranks_turn_freely_as_one(seed: int):
    """All that vibration adds on both has no torque left, whatever swings the wheel: teeth only hand it across."""
    vibration = vibration_of(with_wheel(seed))
    speeds = np.array([0.4, 0.9]) * float(vibration.loaded.engine.speed.most)
    each = [vibration._weighed(number, side.rotor.rigid[None], speeds)[:, 0]
            for number, side in enumerate(vibration.pair.sides)]  # fmt: skip
    left = sum(each) - np.mean(sum(each), axis=-1, keepdims=True)
    np.testing.assert_allclose(left, 0.0, atol=1e-6 * np.max(np.abs(each)))


@pytest.mark.parametrize("seed", [0, 2])
def test_teeth_that_yield_stand_as_far_apart_as_they_are_pressed(seed: int):
    """The static turning of one gear against the other brings the force of the teeth with it."""
    vibration = vibration_of(with_wheel(seed))
    both, speeds = vibration.pair, np.array([float(vibration.loaded.engine.speed.most)])
    along = np.cos(float(both.engine.cranks.working_pressure_angle))
    place = sum(len(side.frequencies) for side in both.sides)
    pressed = both.pressing[:, place] * vibration._turned(speeds)[0]
    for number, (side, rows) in enumerate(zip(both.sides, both.closing, strict=True)):
        moved = side.rotor.flexibility[:, vibration._acting(side)] @ vibration._static(number, speeds)[0]
        pressed = pressed + np.sum(rows.T * moved, axis=0)
    tooth = vibration._onto_balance(vibration.loaded.tooth.at(float(speeds[0])))
    np.testing.assert_allclose(both.mesh * pressed, tooth / along, rtol=0, atol=1e-9 * np.max(np.abs(tooth)))


def test_without_damping_nothing_grows_or_dies_out():
    """What rides on rods changes the mass that a pin feels over the turn, and keeps its energy."""
    one = one_throw(0.05, 0.3, 0.004, Rod(length=0.03))
    for share in (0.23, 0.37):
        slow = vibration_of(one.engine, damping=0.0).pair.slow
        assert slow.held
        assert growth(slow, share * one.along) == pytest.approx(1.0, abs=1e-5)
        assert np.linalg.det(over_a_turn(slow, share * one.along)) == pytest.approx(1.0, abs=1e-6)


def test_two_free_masses_swing_against_each_other():
    """By w^2 = k (m1 + m2)/(m1 m2), n times a turn; pushed, their middle moves as one mass.

    One moves by x, the other by x + d: the spring knows d alone, and x has none.
    """
    one, other, spring = 2.0, 0.5, 300.0
    none = np.zeros((2, 2))
    stiffness = np.broadcast_to(np.diag([spring, 0.0]), (9, 2, 2))
    mass = np.array([[other, other], [other, one + other]])
    system = PeriodicSystem(stiffness, none, none, mass, none, none, free=1)
    natural = np.sqrt(spring * (one + other) / (one * other))
    speeds, _ = system.critical_speeds
    np.testing.assert_allclose(np.unique(np.round(speeds, 6)), natural / np.array([4, 3, 2, 1]), rtol=1e-6)
    assert system.first_frequency == pytest.approx(natural)
    speed, theta = 0.7 * natural, 2 * np.pi / 9 * np.arange(9)
    on_one, on_other = 3.0 * np.cos(theta), -1.0 * np.cos(theta)
    force = np.stack([on_other, on_one + on_other], axis=-1)
    (found,) = system.answer(force[None], np.array([speed]))
    apart = (on_other / other - on_one / one) / (natural**2 - speed**2)
    middle = -(on_one + on_other) / (one + other) / speed**2
    np.testing.assert_allclose(found[:, 0], apart, rtol=0, atol=1e-9 * np.max(np.abs(apart)))
    np.testing.assert_allclose(found[:, 1] + other / (one + other) * apart, middle, rtol=0, atol=1e-9)


@pytest.mark.parametrize("seed", [3, 11, 24])
def test_what_is_kept_of_a_crank_yields_at_its_points_as_the_whole_and_weighs_one(seed: int) -> None:
    """A load on a crankpin or the teeth at rest: no matter how few modes are kept, what yields beside them is kept."""
    carried = loaded(random_engine(np.random.default_rng(seed)))
    for side in pair(carried, rotors(carried), 8, 0.02).sides:
        body, points = side.rotor, [column for each in side.rotor.points.values() for column in each]
        rides = ridden(body, side.guided)
        modes = body.modes(rides, 0.0, 4, 4 + len(points))
        at = modes.shapes[points]
        whole = body.flexibility[np.ix_(points, points)]
        assert (at / modes.frequencies**2) @ at.T == pytest.approx(whole, rel=1e-7, abs=1e-7 * np.max(np.abs(whole)))
        heavy = modes.shapes.T @ (body.mass + rides) @ modes.shapes
        assert heavy == pytest.approx(np.eye(len(heavy)), abs=1e-7)
        held = modes.shapes.T @ modes.loads
        assert held == pytest.approx(np.eye(len(held)), abs=1e-7)


@given(st.integers(0, 10_000), st.floats(-3, 2))
@settings(max_examples=60, deadline=None)
def test_motions_that_damping_couples_however_strongly_are_those_of_their_equations(seed: int, strong: float) -> None:
    """Some speeds with hardly any damping, some near a critical speed, some with far more than springs."""
    rng = np.random.default_rng(seed)
    count, modes = 7, int(rng.integers(1, 12))
    speeds = rng.uniform(0.0, 1.0, (count, 1))
    share = 1 - np.concatenate([speeds**2 * rng.uniform(0, 3, modes)[None, :-1], 0 * speeds], axis=1)
    damped = 10**strong * rng.normal(size=(modes, modes))
    damped = damped @ damped.T + (damped - damped.T)  # it takes energy, and turns about
    pushed = rng.normal(size=(count, modes))
    found = _coupled(pushed, share, speeds, damped)
    for n in range(count):
        expected = np.linalg.solve(speeds[n] * damped + np.diag(share[n]), pushed[n])
        assert found[n] == pytest.approx(expected, rel=1e-6, abs=1e-7 * np.max(np.abs(expected)))
