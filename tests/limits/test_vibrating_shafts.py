"""Laws of cranks that vibrate: what vibration adds to every load, and to all that follows from loads."""

from dataclasses import replace
from functools import cache

import numpy as np
import pytest
from limits.one_throw import loaded
from random_engines import random_engine

from balance.machine.machine import Flywheel
from balance.turning import on_bench
from designs.command.inputs import SHIPPED
from designs.evaluate import Evaluation
from designs.reading import read
from designs.verdict.whirl import critical
from shafts.gap.pair import VIBRATION, yoke_pairs
from shafts.loaded_shafts import LoadedShafts
from shafts.peaks import shaft_peaks
from shafts.strength.stress import section_loads
from shafts.whirl import peaks, vibration
from shafts.whirl.pair import pair, rotors
from shafts.whirl.vibrating import vibrating
from shafts.whirl.vibration import ShaftVibration


@cache
def vibration_of(seed: int, damping: float = 0.02, orders: int = 8, wheel: float | None = 2e-4) -> ShaftVibration:
    """Of a random engine with teeth that yield; with a wheel of so much inertia on its right shaft, or none."""
    engine = random_engine(seed)
    gears = replace(engine.cranks.gears, mesh_stiffness=2e7)
    spun = wheel and Flywheel(on="right", inertia=wheel, at=engine.shafts.ends_at, mass=0.2)
    carried = loaded(replace(engine, cranks=replace(engine.cranks, gears=gears), flywheel=spun))
    return ShaftVibration(carried, pair(carried, rotors(carried), orders, damping))


def fastest(vibration: ShaftVibration) -> float:
    return float(vibration.loaded.engine.speed.most)


def answers(shafts: LoadedShafts, speed: float) -> dict[str, list[np.ndarray]]:
    """All that is asked of cranks: x and y of pins, bearings and slopes, section loads, teeth and joints."""
    found: dict[str, list[np.ndarray]] = {"tooth": [shafts.tooth.at(speed)]}
    for crank in shafts.cranks:
        for kind, vectors in (
            ("pins", [crank.pin(name) for name in shafts.engine.yokes]),
            ("bearings", crank.bearings),
            ("slopes", crank.slopes),
        ):
            found.setdefault(kind, []).extend(each for vector in vectors for each in vector.at(speed))
        middle = np.array([np.mean([float(end) for end in crank.shaft.ends])])
        for kind, inside in zip(("moment", "shear", "torque"), section_loads(crank, middle), strict=True):
            found.setdefault(kind, []).append(inside.at(speed)[0])
    for each in shafts.forces.values():
        for side in (each.pin, each.pivot):
            found.setdefault("joints", []).extend(one.at(speed) for one in (side.right.x, side.right.y, side.left.y))
    return found


def largest(values: list[np.ndarray]) -> float:
    return max(float(np.max(np.abs(each))) for each in values)


def apart(one: list[np.ndarray], other: list[np.ndarray]) -> float:
    return largest([a - b for a, b in zip(one, other, strict=True)]) / largest(one)


@pytest.mark.parametrize("seed", [0, 3])
def test_far_below_resonance_nothing_vibrates(seed: int):
    """Of gears that turn evenly: what vibration adds falls with the square of speed, in all that is asked."""
    vibration = vibration_of(seed, wheel=None)
    moving, speed = vibrating(vibration), 0.01 * vibration.critical[0][0]
    for kind, still in answers(vibration.loaded, speed).items():
        assert apart(still, answers(moving, speed)[kind]) < 0.03, kind
        slow = answers(vibration.loaded, speed / 10)[kind]
        assert apart(slow, answers(moving, speed / 10)[kind]) < 1e-3, kind


def test_what_turns_takes_the_torque_by_its_inertia():
    """However slowly: what goes round with the crank takes its share of the ripple; a wheel that is all of it, all."""
    tooth = []
    for wheel in (2e-4, 1e3):
        vibration = vibration_of(3, wheel=wheel)
        speed = 0.001 * vibration.critical[0][0]
        tooth.append(apart([vibration.loaded.tooth.at(speed)], [vibrating(vibration).tooth.at(speed)]))
    assert tooth[0] > 0.1
    assert tooth[1] < 1e-3


@pytest.mark.parametrize("seed", [0, 3])
def test_near_resonance_everything_does(seed: int):
    vibration = vibration_of(seed)
    inside = vibration.critical[0] < 3 * fastest(vibration)
    speed = float(vibration.critical[0][inside][np.argmax(vibration.resonances(inside).driven)])
    moving = answers(vibrating(vibration), speed)
    for kind, still in answers(vibration.loaded, speed).items():
        assert apart(still, moving[kind]) > 0.02, kind


@pytest.mark.parametrize("seed", [1, 4])
def test_what_it_adds_to_the_bearings_is_what_it_adds_to_the_loads(seed: int):
    """The sum over all bearings is the sum of all further loads, the teeth's with what pushes them apart."""
    vibration = vibration_of(seed)
    speed, moving = np.array([fastest(vibration)]), vibrating(vibration)
    for number, (still, crank) in enumerate(zip(vibration.loaded.cranks, moving.cranks, strict=True)):
        columns = vibration.pair.sides[number].rotor.columns
        ways = np.array([[sum(getattr(unit, way) for unit in column) for column in columns] for way in ("fx", "fy")])
        further = ways.astype(float) @ vibration.further(number, speed)[0] @ crank.vibration.onto
        push = np.abs(crank.tooth.at(float(speed[0]))) - np.abs(still.tooth.at(float(speed[0])))
        push = push * crank.named("gear teeth").apart
        x, y = on_bench(*further, crank.theta, crank.sign)
        sums = [sum(each.on_bench(float(speed[0]))[axis] for each in crank.bearings) for axis in (0, 1)]
        before = [sum(each.on_bench(float(speed[0]))[axis] for each in still.bearings) for axis in (0, 1)]
        scale = largest(sums)
        np.testing.assert_allclose(sums[0] - before[0], x + push, rtol=0, atol=1e-8 * scale)
        np.testing.assert_allclose(sums[1] - before[1], y, rtol=0, atol=1e-8 * scale)
        assert largest([x, y]) > 1e-3 * scale


@pytest.mark.parametrize("seed", [1, 4])
def test_what_it_adds_inside_the_shaft_ends_with_the_shaft(seed: int):
    """Beyond everything no moment is left, nor torque."""
    vibration = vibration_of(seed)
    engine, speed = vibration.loaded.engine, 0.8 * fastest(vibration)
    ends = [float(each) for each in engine.shafts.ends]
    beyond = max(ends[1], *(float(each.at) for each in engine.cranks.throws.values())) + 1.0
    for crank in vibrating(vibration).cranks:
        for inside in section_loads(crank, np.array([sum(ends) / 2, beyond])):
            middle, last = inside.at(speed)
            np.testing.assert_allclose(last, 0.0, atol=1e-7 * max(np.max(np.abs(middle)), 1e-9))


@pytest.mark.parametrize("seed", [0, 2])
def test_teeth_press_as_far_as_they_yield(seed: int):
    """Their force by the balance of torques is that of the spring between them, along the line of action."""
    vibration = vibration_of(seed, damping=1e-6)
    speeds = np.array([0.7, 1.0]) * fastest(vibration)
    along = np.cos(float(vibration.pair.engine.cranks.working_pressure_angle))
    pressed = vibration._spread(vibration._pressed(vibration.motion(speeds)) * along)
    added = vibrating(vibration).tooth.at(speeds) - vibration.loaded.tooth.at(speeds)
    assert np.max(np.abs(added)) > 0
    np.testing.assert_allclose(added, pressed, rtol=0, atol=0.05 * np.max(np.abs(pressed)))


@pytest.mark.parametrize("seed", [0, 1, 2])
def test_joints_pass_on_what_the_pins_must_move(seed: int):
    """By Newton and Euler, body by body, and by masses along the rods' directions: the same force on each crankpin.

    Without damping all that vibration adds at a pin is the inertia of the rod and of half the yoke.
    """
    vibration = vibration_of(seed, damping=0.0, orders=14)
    speed = 0.6 * fastest(vibration)
    moving, sides = vibrating(vibration), vibration.pair.sides
    for number, hand in enumerate(("right", "left")):
        further = vibration.further(number, np.array([speed]))[0] @ moving.cranks[number].vibration.onto
        for name, forces in moving.forces.items():
            pin, still = (getattr(each, hand) for each in (forces.pin, vibration.loaded.forces[name].pin))
            joint = [way.at(speed) - before.at(speed) for way, before in ((pin.x, still.x), (pin.y, still.y))]
            x, y = further[sides[number].columns(f"rod of {name}")]
            mass = on_bench(x, y, moving.motion.theta, sides[number].sign)
            for one, other in zip(mass, joint, strict=True):
                orders = [np.fft.rfft(each + np.zeros(72))[:12] / 72 for each in (one, other)]  # the balance has 14
                np.testing.assert_allclose(*orders, rtol=0, atol=5e-3 * largest(joint))
            assert largest(joint) > 0


@pytest.mark.parametrize("seed", [0, 1, 2])
def test_motions_are_measured_by_the_pin_that_bends_most(seed: int):
    """By the shafts that do not vibrate, looked at at every angle; the balance looks at 29 of the turn."""
    vibration = vibration_of(seed, orders=14)
    speeds = np.array([0.3, 1.0]) * fastest(vibration)
    bent = [crank.pin(name) for crank in vibration.loaded.cranks for name in vibration.loaded.engine.yokes]
    for speed, said in zip(speeds, vibration.peaks_at_rest(speeds), strict=True):
        sizes = [float(np.max(np.hypot(*each.at(speed)))) for each in bent]
        assert said == pytest.approx(max(sizes), rel=0.02)
        assert min(sizes) < 0.9 * max(sizes)


@pytest.mark.parametrize("seed", [0, 2])
def test_a_yoke_takes_what_lifts_it(seed: int):
    """Both pivots together pull with the yoke's mass times the acceleration of its middle, by differences in time."""
    vibration = vibration_of(seed)
    speed, shafts = 0.6 * fastest(vibration), vibrating(vibration)
    engine, theta = shafts.engine, shafts.motion.theta
    for name, forces in shafts.forces.items():
        yoke, still, lifts = engine.yokes[name], vibration.loaded.forces[name], []
        for number, way in ((0, 1.0), (1, -1.0)):
            x, y = (each[0] for each in vibration.displaced(number, name, np.array([speed])))
            moved = shafts.motion.yokes[name]
            lean = 0.0 if moved.rod is None else way * moved.rod.x / moved.rod.y
            lifts.append(y + x * lean)
        rise = np.fft.rfft((lifts[0] + lifts[1]) / 2)
        bend = np.fft.irfft(-(np.arange(rise.size) ** 2) * rise, theta.size)
        pulled = sum(
            getattr(forces.pivot, hand).y.at(speed) - getattr(still.pivot, hand).y.at(speed)
            for hand in ("right", "left")
        )
        np.testing.assert_allclose(pulled, float(yoke.mass) * bend * speed**2, rtol=0,
                                   atol=1e-9 * np.max(np.abs(pulled)))  # fmt: skip


@pytest.mark.parametrize("seed", [0, 3])
def test_several_speeds_together_are_each_what_they_are_alone(seed: int):
    vibration = vibration_of(seed)
    speeds = np.array([0.2, 0.7, 1.05]) * fastest(vibration)
    moving = vibrating(vibration)
    together = moving.tooth.at(speeds), *moving.cranks[0].bearings[0].at(speeds)
    fresh = vibrating(replace(vibration))
    for place, speed in enumerate(float(each) for each in speeds):
        alone = fresh.tooth.at(speed), *fresh.cranks[0].bearings[0].at(speed)
        for every, one in zip(together, alone, strict=True):
            np.testing.assert_allclose(every[place], one, rtol=0, atol=1e-9 * np.max(np.abs(one)))
    middle = np.array([0.0, 0.01])
    moment = section_loads(moving.cranks[0], middle)[0]
    every = moment.at(speeds)
    for place, speed in enumerate(float(each) for each in speeds):
        np.testing.assert_allclose(every[place], moment.at(speed), rtol=0, atol=1e-9 * np.max(np.abs(every)))


def test_peaks_stand_where_it_vibrates_most():
    """Between two speeds that are looked at, where no end of the range would tell."""
    vibration = vibration_of(0)
    top = 2 * fastest(vibration)
    worst = vibration.worst_speeds(0.1 * top, top)
    crank = vibrating(vibration).cranks[0]
    speeds = [np.asarray(each) for each in sorted([0.1 * top, top, *worst])]
    tried = np.linspace(0.1 * top, top, 400)
    for kind, weights in (("bearings", crank.pushes), ("slopes", crank.weights["slopes"])):
        course = np.max(np.sqrt([list(crank.squares(weights, [float(each)])) for each in tried]), axis=-1)
        for place, found in enumerate(shaft_peaks(crank, speeds)[kind]):
            assert float(found.size) >= 0.97 * np.max(course[:, place])


def test_a_peak_is_where_the_inverse_square_of_the_amplitude_is_least():
    """Of one resonance alone, 1/sqrt((W - 100)^2 + 0.5^2), any three speeds about it tell, up to half way."""
    speeds = np.array([[98.0, 99.5, 102.0], [99.9, 100.3, 101.0], [96.0, 97.0, 98.0]])
    found = peaks._summit(speeds, ((speeds - 100) ** 2 + 0.25) ** -0.5)
    np.testing.assert_allclose(found, [100.0, 100.1, 97.5], rtol=1e-12)  # 100.1: half way from 99.9 to 100.3


@pytest.mark.parametrize("beside", [0.3, 0.6, -0.5, 0.3 + 0.4j])
def test_a_peak_is_found_within_a_percent_beside_what_other_motions_do(beside: complex):
    """|d/(W - Wc + i d) + b|: one resonance of half width d = ζ Wc, and the rest as large as six tenths of its peak."""

    def size(speeds: np.ndarray) -> np.ndarray:
        return np.abs(0.5 / (speeds - 100 + 0.5j) + beside)

    near, low, high = np.array([[100.0], [99.0], [101.0]])
    found = peaks._about(size, near, low, high)
    assert size(found)[0] > 0.993 * np.max(size(np.linspace(99, 101, 2001)))


def test_a_further_speed_takes_its_place_among_three():
    speeds, sizes = np.array([[1.0, 2.0, 3.0]] * 5), np.array([[5.0, 8.0, 6.0]] * 5)
    further, tried = np.array([2.4, 2.4, 1.5, 1.5, 2.0]), np.array([9.0, 7.0, 9.0, 7.0, 8.0])
    found, at = peaks._closer(speeds, sizes, further, tried)
    wanted = [2.0, 2.4, 3.0], [1.0, 2.0, 2.4], [1.0, 1.5, 2.0], [1.5, 2.0, 3.0], [1.0, 2.0, 3.0]
    np.testing.assert_array_equal(found, wanted)
    np.testing.assert_array_equal(
        at, [[8.0, 9.0, 6.0], [5.0, 8.0, 7.0], [5.0, 9.0, 8.0], [7.0, 8.0, 6.0], [5.0, 8.0, 6.0]]
    )


def test_a_resonance_is_driven_alike_alone_and_among_all():
    vibration, alone = vibration_of(3), vibration_of(3)
    few, many = vibration.critical[0] < fastest(vibration), vibration.critical[0] < 3 * fastest(vibration)
    first = alone.resonances(many)
    vibration.resonances(few)
    every = vibration.resonances(many)
    for name in ("driven", "added", "felt"):
        np.testing.assert_allclose(getattr(every, name), getattr(first, name), rtol=1e-9)
    assert np.all(every.felt >= every.driven)
    assert np.any(every.felt > 1.01 * every.driven)
    pins = vibration.peaks_at_rest(vibration.critical[0][many])
    np.testing.assert_allclose(every.added, every.driven * pins, rtol=1e-12)


def test_a_resonance_is_felt_as_far_as_it_presses_the_teeth():
    """Teeth are a spring: of a motion that is driven so far they carry their stiffness times what it closes them by."""
    vibration = vibration_of(3)
    which = vibration.critical[0] < 3 * fastest(vibration)
    found, (speeds, shapes) = vibration.resonances(which), (each[which] for each in vibration.critical)
    far = found.added / vibration._pins_of(shapes)
    closed = np.max(np.abs(np.sum(shapes * vibration.pair.pressing[:, : shapes.shape[-1]], axis=-1)), axis=-1)
    _, at_rest = vibration._pressed_at_rest(speeds)
    by_teeth = far * vibration.pair.mesh * closed / at_rest
    assert np.all(found.felt >= by_teeth * (1 - 1e-9))
    assert np.any(np.isclose(found.felt, by_teeth, rtol=1e-9) & (found.felt > 1.01 * found.driven))


def test_of_resonances_side_by_side_the_strongest_is_kept():
    speeds, felt = np.array([100.0, 101.0, 102.5, 105.0]), np.array([1.0, 3.0, 2.0, 0.5])
    np.testing.assert_array_equal(peaks._strongest(speeds, felt, 0.02), [101.0, 105.0])


@pytest.mark.parametrize("name", ["as-built", "counterweighted"])
def test_where_resonances_crowd_the_strongest_stand_for_those_beside_them(name: str, monkeypatch: pytest.MonkeyPatch):
    """As they stand they show what peaks closed in on show, and every such peak has one of them within its width."""
    single = Evaluation(read(SHIPPED / f"{name}.yaml")).shaft_vibration
    closed_in = np.array(single.worst_speeds(20.0, 190.0))
    monkeypatch.setattr(peaks, "CROWDED", 0)
    crowded = Evaluation(read(SHIPPED / f"{name}.yaml")).shaft_vibration
    found = np.array(crowded.worst_speeds(20.0, 190.0))
    damping = crowded.pair.damping
    assert np.all(np.diff(found) > damping * found[:-1])
    assert np.all(np.min(np.abs(found[:, None] / closed_in - 1), axis=0) < damping)
    assert np.max(crowded.share(found)) > 0.95 * np.max(single.share(closed_in))


@pytest.mark.parametrize("seed", range(4))
def test_it_moves_the_yokes_as_the_pins_move_them(seed: int):
    """The true height of both rods' ends with the pins shifted, rods as long as they are, and a line through both."""
    carried = loaded(random_engine(seed))
    vibration = ShaftVibration(carried, pair(carried, rotors(carried), 8, 0.02))
    moving = vibrating(vibration)
    pairs = yoke_pairs(moving)
    if not pairs:
        pytest.skip("no yokes that face each other")
    (found,) = pairs
    speed, engine = float(carried.engine.speed.most), carried.engine
    expected = 0.0
    for name, sign in ((found.upper, 1.0), (found.lower, -1.0)):
        yoke, moved = engine.yokes[name], carried.motion.yokes[name]
        side, ends, share = 1.0 if yoke.side == "above" else -1.0, [], 1e-3  # to first order, whatever resonates
        for hand, way in (("right", 1.0), ("left", -1.0)):
            x, y = (share * each for each in added(vibration, moving, hand, name, speed))
            if yoke.rod is None:
                ends.append(moved.height + y)
                continue
            lean = moved.pin.x - yoke.half_span + way * x
            ends.append(moved.pin.along + y + side * np.sqrt(yoke.rod.length**2 - lean**2))
        rise = (np.array(ends) - moved.height) / share
        span = moved.pin.x if yoke.rod is None else yoke.half_span + 0 * moved.pin.x
        at = np.asarray(found.facing.x)[:, None]
        tilt = np.where(span > 0, (rise[0] - rise[1]) / np.where(span > 0, 2 * span, 1.0), 0.0)
        expected = expected + sign * ((rise[0] + rise[1]) / 2 + at * tilt)
    size = np.max(np.abs(expected))
    np.testing.assert_allclose(found.items(speed)[VIBRATION], expected, rtol=0, atol=1e-2 * size)
    total = found.facing.nominal + sum(found.items(speed).values())
    np.testing.assert_allclose(found.clearances(speed), total, rtol=0, atol=1e-12)


def added(vibration: ShaftVibration, moving: LoadedShafts, hand: str, name: str, speed: float) -> list[np.ndarray]:
    """What vibration adds to a crankpin by further loads: without what the teeth push apart more."""
    crank = moving.of(hand)
    (pin,) = crank.vectors(crank.influence([crank.stations.rods[name]]))
    x, y = (part.vibration.at(speed) for part in (pin.x, pin.y))
    return list(on_bench(x, y, crank.theta, crank.sign))


def test_the_gap_at_several_speeds_is_what_it_is_at_each():
    carried = loaded(random_engine(0))
    vibration = ShaftVibration(carried, pair(carried, rotors(carried), 8, 0.02))
    (found,) = yoke_pairs(vibrating(vibration))
    speeds = np.array([0.5, 0.8, 1.0]) * float(carried.engine.speed.most)
    every = found.gap(speeds)
    for place, speed in enumerate(speeds):
        np.testing.assert_allclose(every[place], found.gap(float(speed)), rtol=0, atol=1e-12)


def test_vibration_of_more_orders_than_are_looked_at_is_said_and_never_passes(monkeypatch):
    """The rebuilt engine, were no order to pass for small: nothing else of it is wrong."""
    design = read(SHIPPED / "redesign.yaml")
    assert critical(Evaluation(design)).state == "pass"
    monkeypatch.setattr(vibration, "SETTLED", 1e-9)
    monkeypatch.setattr(vibration, "MOST_ORDERS", 8)
    evaluation = Evaluation(design)
    shafts = evaluation.shaft_vibration
    assert shafts.unsettled == shafts.tail(np.unique([float(each) for each in evaluation.speeds])) > 1e-9
    row = critical(evaluation)
    assert row.state == "not checked"
    assert "more orders than the 8 that are looked at" in row.words
