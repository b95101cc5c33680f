"""Laws of the shaking force: what balances in every order, and the series of rods, slots and slider-cranks."""

from collections.abc import Callable
from dataclasses import replace

import numpy as np
import pytest
from limits.evaluated import SPEED, close, one_yoke, run, size
from random_designs import random_machine

from balance import motion
from balance.cycle.harmonics import orders
from balance.cycle.load import Load, PlanarForce, combined, weight
from balance.machine.crank import Cranks, Throw, Web
from balance.machine.machine import Machine
from balance.machine.yoke import Part, Rod, Slot, Yoke


def rhombic(mass: float, other: float, counterweight: float = 0.0, phase: float = 0.3) -> Machine:
    """Two yokes on one crankpin, one above and one below, with equal rods."""
    rod = Rod(length=0.034, mass=0.009, cg=0.013, inertia=1.5e-6)
    up, down = (
        Yoke(throw="pin", side=side, half_span=0.0, rod=rod, parts={"all": Part(mass=value)})
        for side, value in (("above", mass), ("below", other))
    )
    along = (-counterweight * np.sin(phase), -counterweight * np.cos(phase))
    cranks = Cranks(
        centre_distance=0.03,
        throws={"pin": Throw(radius=0.01, phase=phase, at=-0.02)},
        webs=(Web(at=-0.02, mass=1.0, cg=along),),
    )
    return Machine(speed=SPEED, cranks=cranks, yokes={"up": up, "down": down})


def test_equal_yokes_on_one_pin_shake_in_first_order_only() -> None:
    force = run(rhombic(0.3, 0.3)).shaking.orders()["y"]
    assert force.shape == (9,)
    close(force[2:], 0.0, abs(force[1]), 1e-9)


def test_unequal_yokes_on_one_pin_shake_in_higher_orders() -> None:
    """By order 1 to 4 as D2S/D2theta of S = sqrt(l^2 - (c/2 + r sin)^2), c/2 = 15, r = 10, l = 34 mm.

    S = 29.44359 + 5.192158 cos t - 1.086940 cos 2t + 0.0975755 cos 3t - 0.0189614 cos 4t (mm, t from -x);
    per kg of difference at 1500 rpm 128.111, 107.277, 21.668 and 7.486 N: own fine integration, no source.
    """
    with_difference, without = run(rhombic(0.3, 0.2, phase=0.0)), run(rhombic(0.25, 0.25, phase=0.0))
    force = np.abs(orders(with_difference.shaking.y - without.shaking.y)[1:5]) * (1500 * np.pi / 30) ** 2 / 0.1
    np.testing.assert_allclose(force, [128.111, 107.277, 21.668, 7.486], atol=6e-4)


def test_one_counterweight_on_each_crank_cancels_every_order() -> None:
    """Mass x radius of the closed form: (M + m_c) r with rods split into masses at yoke (a/l) and pin (1 - a/l)."""
    at_yoke, at_pin = 2 * 0.009 * 0.013 / 0.034, 2 * 0.009 * (1 - 0.013 / 0.034)
    moment = (0.3 + at_yoke + at_pin) * 0.01
    plain, balanced = run(rhombic(0.3, 0.3)), run(rhombic(0.3, 0.3, moment))
    for way in ("x", "y"):
        close(getattr(balanced.shaking, way), 0.0, size(plain.shaking.y), 1e-12)


def test_orders_are_the_amplitudes_and_places_of_what_waves_are_added_up() -> None:
    """3 + 2 cos(t - 0.4) + 0.5 cos(8 (t - 0.1)) + 0.7 cos(9 t): up to order 8 unless more are asked for."""
    theta = motion.crank_angles(72)
    wave = 3 + 2 * np.cos(theta - 0.4) + 0.5 * np.cos(8 * (theta - 0.1)) + 0.7 * np.cos(9 * theta)
    expected = np.array([3, 2 * np.exp(-0.4j), *(0,) * 6, 0.5 * np.exp(-0.8j)])
    np.testing.assert_allclose(orders(wave), expected, rtol=0, atol=1e-14)
    np.testing.assert_allclose(orders(wave, 9)[9], 0.7, rtol=1e-14)


def test_loads_add_part_by_part_whether_they_vary_or_not() -> None:
    """Plain numbers and curves, present or absent: value(w) = steady + w^2 inertia of the sum is the sum's."""
    wave = np.cos(motion.crank_angles(12))
    assert (Load(2.0, 1e-3) + weight(1.0)).at(30.0) == pytest.approx(2 + 1 + 0.9)
    close((Load(2.0, -1e-3 * wave) + weight(wave)).at(30.0), 2 + 0.1 * wave, 1.0, 1e-14)
    loads = [Load(2.0, 1e-3), Load(2.0, gravity=-1.0), Load(wave + 4, wave, gravity=4.0), weight(wave), Load()]
    for one in loads:
        for other in loads:
            for speed in (0.0, 30.0):
                close((one + other).at(speed), one.at(speed) + other.at(speed), 3e3, 1e-15)
                close((one - other).at(speed), one.at(speed) - other.at(speed), 3e3, 1e-15)
                close((PlanarForce(one, other) * 3.0).x.at(speed), 3 * one.at(speed), 3e3, 1e-15)
                close((PlanarForce(one, other) * wave).y.at(speed), wave * other.at(speed), 3e3, 1e-15)
                close((-PlanarForce(one, other)).y.at(speed), -other.at(speed), 3e3, 1e-15)
            close((one + other).gas, one.gas + other.gas, 10.0, 1e-15)
            close((one - other).gravity, one.gravity - other.gravity, 10.0, 1e-15)


@pytest.mark.parametrize("mixed", [
    lambda load, told: load + told, lambda load, told: told - load, lambda load, told: -load,
    lambda load, told: combined((told, 2.0), (load, 1.0)), lambda load, told: load * 2.0,
    lambda load, told: told.untold,
])  # fmt: skip
def test_what_gravity_brings_is_never_told_wrongly_of_many_options(mixed: Callable[[Load, Load], Load]) -> None:
    """It is told of a single design alone; a sum with what does not tell it does not tell it either."""
    load, told = weight(np.ones((2, 3))) + Load(np.ones((2, 3))), weight(np.ones(3)) + Load(2.0)
    close(told.gas, 2.0, 1.0, 1e-15)
    assert mixed(load, told).gravity is None
    with pytest.raises(ValueError, match="not told"):
        assert mixed(load, told).gas


def test_slot_moves_in_first_order_only() -> None:
    height = orders(run(one_yoke({"slot": Slot(offset=0.004)})).moved.yokes["only"].height)
    close(height[:3], [0.004, 0.01, 0.0], 0.01, 1e-14)
    close(height[2:], 0.0, 0.01, 1e-14)


def test_long_rods_tend_to_the_slot() -> None:
    """The first neglected term is r^2 / (4 l) cos 2 theta: it halves as the rod doubles."""
    second = [
        orders(run(one_yoke({"rod": Rod(length=length)})).moved.yokes["only"].height)[2].real for length in (10, 20)
    ]
    close(second[0], 0.01**2 / 40, 0.01**2 / 40, 1e-5)
    close(second[0] / second[1], 2.0, 1.0, 1e-5)


HANDBOOK = {  # l/r: A2, A4, A6
    3.0: (0.3431, -0.0101, 0.0003),
    3.5: (0.2918, -0.0062, 0.0001),
    4.0: (0.2540, -0.0041, 0.0001),
    4.5: (0.2250, -0.0028, 0.0000),
    5.0: (0.2020, -0.0021, 0.0000),
    6.0: (0.1678, -0.0012, 0.0000),
}


@pytest.mark.parametrize("ratio", HANDBOOK)
def test_slider_crank_series(ratio: float) -> None:
    """Acceleration r w^2 (cos t + A2 cos 2t + A4 cos 4t + A6 cos 6t): table of the handbooks.

    As in C. F. Taylor, The Internal-Combustion Engine in Theory and Practice, vol. 2, and in Dubbel (both from memory);
    tolerance: one in the last printed digit, since the tables cut off digits as often as they round.
    """
    moved = run(one_yoke({"rod": Rod(length=0.01 * ratio)})).moved.yokes["only"]
    series = -orders(moved.acceleration) / 0.01
    close(series[1], 1.0, 1.0, 1e-12)
    close(series[[2, 4, 6]], HANDBOOK[ratio], 1.0, 1e-4)
    close(series[[0, 3, 5, 7]], 0.0, 1.0, 1e-9)


@pytest.mark.parametrize("ratio", [6.0, 12.0])
def test_slider_crank_closed_form(ratio: float) -> None:
    """Binomial series in L = r/l: A2 = L + L^3/4 + 15 L^5/128, A4 = -(L^3/4 + 3 L^5/16), A6 = 9 L^5/128."""
    small = 1 / ratio
    moved = run(one_yoke({"rod": Rod(length=0.01 * ratio)})).moved.yokes["only"]
    series = -orders(moved.acceleration)[[2, 4, 6]].real / 0.01
    closed = (small + small**3 / 4 + 15 * small**5 / 128, -(small**3 / 4 + 3 * small**5 / 16), 9 * small**5 / 128)
    np.testing.assert_allclose(series, closed, rtol=0, atol=0.3 * small**7)


def test_rod_of_two_point_masses_is_a_web_and_a_yoke_mass() -> None:
    """A rod with I = m a (l - a) moves as m (1 - a/l) at the crankpin and m a/l at the pivot."""
    mass, length, cg = 0.02, 0.05, 0.019
    rod = Rod(length=length, mass=mass, cg=cg, inertia=mass * cg * (length - cg))
    plain = one_yoke({"rod": rod}, half_span=0.015)
    light = one_yoke({"rod": Rod(length=length)}, half_span=0.015)
    only = light.yokes["only"]
    parts = only.parts | {"of both rods": Part(mass=2 * mass * cg / length)}
    web = Web(at=-0.02, mass=mass * (1 - cg / length), cg=(0.0, 0.01))
    split = replace(light, cranks=replace(light.cranks, webs=(web,)), yokes={"only": replace(only, parts=parts)})
    one, two = run(plain), run(split)
    for way in ("x", "y", "pitch", "yaw", "roll"):
        close(getattr(one.shaking, way), getattr(two.shaking, way), size(one.shaking.y))
    for part in ("gravity", "inertia"):
        values = [getattr(each.torques.right, part) for each in (one, two)]
        close(*values, size(values[0]))


@pytest.mark.parametrize("seed", range(40))
def test_stroke_and_dead_centres(seed: int) -> None:
    """Rod and crank stand in line at the dead centres: stroke = sqrt((l + r)^2 - e^2) - sqrt((l - r)^2 - e^2).

    e = c/2 - b across, so that sin(theta + a) = -e / (l + r) at one and e / (l - r) at the other. Plain geometry;
    the slot's stroke is 2 r.
    """
    machine = random_machine(seed)
    for name, yoke in machine.yokes.items():
        throw, found = machine.throw_of(yoke), motion.stroke(machine, name, motion.move(machine))
        near = np.array([found.highest_angle, found.lowest_angle]) + throw.phase
        if yoke.rod is None:
            close(found.length, 2 * throw.radius, throw.radius, 1e-12)
            close(np.cos(near), [1, -1], 1.0)
            continue
        aside, length, radius = machine.cranks.centre_distance / 2 - yoke.half_span, yoke.rod.length, throw.radius
        ends = np.sqrt(np.array([length + radius, length - radius]) ** 2 - aside**2)
        heights, sines = (ends, [-1, 1]) if yoke.side == "above" else (-ends[::-1], [1, -1])
        reach = [length + radius, length - radius] if yoke.side == "above" else [length - radius, length + radius]
        close([found.highest, found.lowest], heights, radius, 1e-11)
        close(found.length, ends[0] - ends[1], radius, 1e-11)
        close(np.sin(near), np.array(sines) * aside / np.array(reach), 1.0, 1e-7)
        assert np.all((near - throw.phase >= 0) & (near - throw.phase < 2 * np.pi))
