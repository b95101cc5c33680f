"""Extremes between the angles at which a curve is known, and how far rods reach."""

from dataclasses import replace

import numpy as np
import pytest
from limits.evaluated import one_yoke
from random_designs import random_machine

from balance.cycle.extremes import highest, largest, least, least_of_smooth, spot_of_least
from balance.errors import BadDesign
from balance.machine.reach import ANGLES, angles_needed, reach_ratio
from balance.machine.yoke import Rod, Slot
from balance.motion import angle_count, crank_angles, move, stroke

THETA = crank_angles(72)


@pytest.mark.parametrize("shift", [0.0, 0.017, 0.04, 1.3, 6.27])
def test_extremes_of_a_wave(shift):
    """Of 5 + 2 cos(theta - shift): 3 half a turn after, 7 at the shift; a parabola over 5 degrees errs by 3e-6."""
    curve = 5 + 2 * np.cos(THETA - shift)
    low, low_at = least(curve)
    high, high_at = largest(curve)
    np.testing.assert_allclose([low, high], [3.0, 7.0], rtol=0, atol=3e-6)
    np.testing.assert_allclose(np.exp(1j * low_at), -np.exp(1j * shift), rtol=0, atol=1e-4)
    np.testing.assert_allclose(np.exp(1j * high_at), np.exp(1j * shift), rtol=0, atol=1e-4)
    assert 0 <= low_at < 2 * np.pi
    spot = spot_of_least(curve)
    np.testing.assert_allclose(spot.of(curve), low, rtol=1e-14)
    np.testing.assert_allclose((spot.index + spot.shift) * (2 * np.pi / 72) % (2 * np.pi), low_at, atol=1e-9)


def test_another_curve_is_read_at_the_same_spot():
    curve, other = np.cos(THETA - 0.41), np.sin(2 * THETA) - 0.3
    spot = spot_of_least(curve)
    assert abs(spot.shift) <= 0.5
    angle = np.pi + 0.41
    np.testing.assert_allclose(spot.of(other), np.sin(2 * angle) - 0.3, rtol=0, atol=2e-4)
    np.testing.assert_allclose(spot.of(curve + other), spot.of(curve) + spot.of(other), rtol=1e-14)


def test_a_flat_curve_is_least_where_it_is_looked_at_first():
    assert least(np.full(8, 3.0)) == (3.0, 0.0)
    assert largest(np.full(8, 3.0)) == (3.0, 0.0)


def test_many_curves_at_once():
    shifts = np.array([[0.1, 2.0], [3.0, 5.5]])
    low, at = least(-np.cos(THETA - shifts[..., None]))
    np.testing.assert_allclose(low, -1.0, atol=2e-6)
    np.testing.assert_allclose(at, shifts, atol=1e-4)


@pytest.mark.parametrize("shift", [0.0, 0.017, 0.0436, 1.3, 6.27])
def test_the_least_of_a_smooth_curve_is_exact(shift):
    """Where the orders have died out, rounding is all that is left between the angles."""
    curve = 5 + 2 * np.cos(THETA - shift) + 0.3 * np.cos(2 * (THETA - shift) + 2 * np.pi)
    # 2 cos u + 0.3 cos 2u is least at u = pi: -2 + 0.3.
    np.testing.assert_allclose(least_of_smooth(curve), 5 - 2 + 0.3, rtol=1e-14)
    both = least_of_smooth(np.stack([curve, -curve]))
    np.testing.assert_allclose(both, [3.3, -7.3], rtol=1e-14)


@pytest.mark.parametrize("order", [2, 23, 24, 30])
@pytest.mark.parametrize("shift", [0.0, 0.01, 2.2])
def test_every_order_that_the_angles_can_hold_counts(order, shift):
    """-2 cos u - 0.3 cos(n u) is least at u = 0, where both are: every order that 72 angles can hold well."""
    curve = 5 - 2 * np.cos(THETA - shift) - 0.3 * np.cos(order * (THETA - shift))
    np.testing.assert_allclose(least_of_smooth(curve), 2.7, rtol=1e-13)


def test_the_least_of_a_smooth_curve_between_the_angles_of_many_orders():
    """Against a scan of 200 000 angles, whose own step costs 1.5e-9; a parabola through 72 errs by more than 1e-6."""
    fine = np.arange(200_000) * (2 * np.pi / 200_000)

    def of(angle):
        return np.exp(np.sin(angle - 0.4)) + 0.4 * np.sin(5 * angle + 1.0) + 0.1 * np.cos(9 * angle)

    np.testing.assert_allclose(least_of_smooth(of(THETA)), of(fine).min(), rtol=0, atol=2e-9)
    assert abs(float(least(of(THETA))[0]) - of(fine).min()) > 1e-6


def test_a_smooth_curve_that_is_flat():
    np.testing.assert_allclose(least_of_smooth(np.full((2, 72), 3.0)), 3.0, rtol=1e-15)


def test_a_spot_knows_its_angle():
    spot = spot_of_least(-np.cos(THETA - 0.41))
    np.testing.assert_allclose(spot.angle(72), 0.41, atol=1e-4)
    before = spot_of_least(-np.cos(THETA + 0.03))
    np.testing.assert_allclose(before.angle(72), 2 * np.pi - 0.03, atol=1e-4)


@pytest.mark.parametrize("phase", [0.01, -0.01, 2.0])
def test_dead_centres_stand_within_the_turn_where_the_crankpin_does(phase):
    """A slot rides with its pin: highest where the pin points up, at minus its phase, lowest half a turn on."""
    machine = one_yoke({"slot": Slot(offset=0.004)})
    throws = {"pin": replace(machine.cranks.throws["pin"], phase=phase)}
    machine = replace(machine, cranks=replace(machine.cranks, throws=throws))
    found = stroke(machine, "only", move(machine))
    np.testing.assert_allclose(found.highest_angle, -phase % (2 * np.pi), rtol=0, atol=1e-12)
    np.testing.assert_allclose(found.lowest_angle, (np.pi - phase) % (2 * np.pi), rtol=0, atol=1e-12)
    np.testing.assert_allclose(found.length, 0.020, rtol=1e-14)


# Reach: the pivot stands 8 mm inside the shaft (c/2 - b), the throw is 10 mm


@pytest.mark.parametrize(("half_span", "offset"), [(0.014, 8), (0.030, 8), (0.022, 0)])
def test_reach_is_what_the_throw_leaves_of_the_rod(half_span, offset):
    """A rod of 32 mm spans 32 - |c/2 - b| beyond the offset: so many throw radii."""
    yoke = one_yoke({"rod": Rod(length=0.032)}, half_span).yokes["only"]
    throw = one_yoke({"slot": Slot()}).cranks.throws["pin"]
    np.testing.assert_allclose(reach_ratio(yoke, throw, 0.044), (32 - offset) / 10, rtol=1e-12)
    assert reach_ratio(one_yoke({"slot": Slot()}).yokes["only"], throw, 0.044) == np.inf


@pytest.mark.parametrize(("half_span", "angle"), [(0.014, "90"), (0.030, "270")])
def test_a_rod_that_does_not_reach_is_refused_with_angle_and_missing_length(half_span, angle):
    """18 mm from the pivot at the farthest: with the pin outward (90 degrees) or inward (270) of its shaft."""
    with pytest.raises(BadDesign) as refusal:
        one_yoke({"rod": Rod(length=0.0175)}, half_span)
    [complaint] = refusal.value.complaints
    assert complaint.where == ("yokes", "only", "rod", "length")
    assert f"crank angle {angle} deg by 0.5 mm" in complaint.read
    assert complaint.allowed.startswith("19.16 mm or more")  # 18 mm / sin 70 deg = 19.155 mm
    one_yoke({"rod": Rod(length=0.01916)}, half_span)


@pytest.mark.parametrize(
    ("length", "lean"), [(0.018, "90"), (0.018 * (1 + 1e-11), "90"), (0.0185, "76.6"), (0.0191, "70.5")]
)
def test_a_rod_that_reaches_but_leans_so_far_that_it_may_lock_is_refused_too(length, lean):
    """18 mm across the stroke: asin(18 / 18.5) = 76.6 degrees."""
    with pytest.raises(BadDesign, match=f"leaning by {lean} deg at crank angle 90 deg, where it may lock"):
        one_yoke({"rod": Rod(length=length)}, 0.014)


def test_a_rod_that_leans_by_just_70_degrees_is_fine_to_rounding():
    for half_span in np.random.default_rng(7).uniform(0.005, 0.021, 100):
        one_yoke({"rod": Rod(length=(0.010 + 0.022 - half_span) / np.sin(np.deg2rad(70)))}, half_span)


def test_a_published_rhombic_drive_is_not_refused():
    """Rods of 46 mm on cranks of 13.8 mm, 20.8 mm aside: 49 degrees (an engine of public research, from memory)."""
    scale = 10 / 13.8  # to the throw of 10 mm
    one_yoke({"rod": Rod(length=0.046 * scale)}, 0.022 + 0.0208 * scale)


def test_of_many_options_those_that_do_not_reach_are_marked():
    with pytest.raises(BadDesign) as refusal:
        one_yoke({"rod": Rod(length=np.array([0.02, 0.0175, 0.0191, 0.03]))}, 0.014)
    [complaint] = refusal.value.complaints
    np.testing.assert_array_equal(complaint.wrong, [False, True, True, False])
    assert "by 0.5 mm" in complaint.read


def test_phase_turns_the_angle_at_which_a_rod_does_not_reach():
    machine = one_yoke({"rod": Rod(length=0.02)}, 0.014)
    throws = {"pin": replace(machine.cranks.throws["pin"], phase=np.deg2rad(30))}
    with pytest.raises(BadDesign, match="crank angle 60 deg"):
        replace(
            machine,
            cranks=replace(machine.cranks, throws=throws),
            yokes={"only": replace(machine.yokes["only"], rod=Rod(length=0.0175))},
        )


def test_more_angles_where_the_rod_barely_reaches():
    counts = angles_needed(np.array([np.inf, 5.0, 2.0, 1.3, 1.1, 1.0643]))
    assert list(counts) == sorted(counts)
    assert counts[0] == ANGLES[0]
    # An order falls by exp(-arccosh(ratio)) from the one before it; the 36th of 72 angles is 1e-10 at this ratio.
    assert list(angles_needed(np.cosh(np.log(1e10) / 36) * np.array([1.001, 0.999]))) == [72, 144]
    assert angles_needed(0.9) == ANGLES[-1]  # of an option that will be refused
    assert counts[-1] == ANGLES[-1]
    assert set(counts) <= set(ANGLES)


@pytest.mark.parametrize("ratio", [1.0643, 1.2, 1.5, 3.0])
def test_the_angles_make_every_order_exact(ratio):
    """Half as many would not do: the acceleration's spectrum still holds more than the promised 1e-10 there."""
    machine = one_yoke({"rod": Rod(length=0.01 * ratio)})
    count = int(angles_needed(ratio))
    height = np.abs(np.fft.rfft(move(machine, crank_angles(8 * count)).yokes["only"].height)) / (8 * count * 0.01)
    assert height[count // 2 :].max() < 1e-10
    if count > ANGLES[0]:
        assert height[count // 8 : count // 2].max() > 1e-10


@pytest.mark.parametrize("seed", range(20))
def test_the_usual_count_is_that_of_the_shortest_rod(seed):
    machine = random_machine(seed)
    ratios = [
        float(reach_ratio(yoke, machine.throw_of(yoke), machine.cranks.centre_distance))
        for yoke in machine.yokes.values()
    ]
    assert len(move(machine).theta) == angles_needed(min(ratios))


def test_the_shortest_rod_of_all_yokes_and_options_decides():
    machine = one_yoke({"rod": Rod(length=0.03)})
    short = Rod(length=0.0107)
    yokes = machine.yokes | {"short": replace(machine.yokes["only"], rod=short)}
    both = replace(machine, yokes=yokes)
    assert angles_needed(1.07) > angles_needed(3.0) == len(move(machine).theta)
    assert len(move(both).theta) == angles_needed(1.07)
    options = replace(machine, yokes={"only": replace(machine.yokes["only"], rod=Rod(length=np.array([0.03, 0.0107])))})
    np.testing.assert_array_equal(angle_count(options), [angles_needed(3.0), angles_needed(1.07)])
    assert len(move(options).theta) == angles_needed(1.07)


def test_the_highest_of_each_row_is_its_own():
    """No parabola: the largest of the numbers, in rows of one, two and three axes."""
    values = np.array([[3.0, 1.0, 2.0], [4.0, 6.0, 5.0], [7.0, 8.0, 9.0], [0.0, -1.0, -2.0]])
    np.testing.assert_array_equal(highest(values), [3.0, 6.0, 9.0, 0.0])
    np.testing.assert_array_equal(highest(values.reshape(2, 2, 3)), [[3.0, 6.0], [9.0, 0.0]])
    assert highest(values[1]) == 6.0
