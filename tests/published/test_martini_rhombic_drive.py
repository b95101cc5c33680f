"""The rhombic drive's closed forms: Martini, Stirling Engine Design Manual, NASA CR-135382 (1978); Meijer (1959).

The geometry is theirs; the closed forms were derived from it independently, and the numbers of the reference
case (r 10, l 34, e 15 mm) found by a fine scan outside the project. There the angle t runs from +x of a crank
whose pin stands e - r cos t from the engine's axis: t = crank angle + 90 degrees, t = 90 degrees with the pin on top.
"""

import numpy as np
import pytest

from balance import motion, shaking
from balance.machine.crank import Cranks, Throw, Web
from balance.machine.machine import Machine, SpeedRange
from balance.machine.yoke import Part, Rod, Yoke

R, L, E = 0.010, 0.034, 0.015
SPEED = SpeedRange(least=10.0, rated=100.0, most=1500 * np.pi / 30)


def drive(above=0.3, below=0.3, webs=(), r=R, l=L, e=E, lower=None):  # noqa: E741, the field's own symbols
    """Return a drive; `lower` are length and half-span of the lower yoke's rods, and its throw's radius."""
    length, half_span, radius = lower or (l, 0.0, r)
    yokes = {
        "up": Yoke(throw="up", half_span=0.0, rod=Rod(length=l), parts={"all": Part(mass=above)}),
        "down": Yoke(
            throw="down", side="below", half_span=half_span, rod=Rod(length=length), parts={"all": Part(mass=below)}
        ),
    }
    throws = {"up": Throw(radius=r, at=0.0), "down": Throw(radius=radius, at=0.0)}
    return Machine(speed=SPEED, cranks=Cranks(centre_distance=2 * e, throws=throws, webs=webs), yokes=yokes)


@pytest.mark.parametrize("yoke", ["up", "down"])
def test_stroke(yoke):
    """sqrt((l + r)^2 - e^2) - sqrt((l - r)^2 - e^2): 22.6292 mm for both yokes."""
    machine = drive()
    found = motion.stroke(machine, yoke, motion.move(machine))
    closed = np.sqrt((L + R) ** 2 - E**2) - np.sqrt((L - R) ** 2 - E**2)
    np.testing.assert_allclose(found.length, closed, rtol=1e-14)
    np.testing.assert_allclose(found.length * 1e3, 22.6292, atol=5e-5)


def test_dead_centres():
    """Upper yoke: cos t = e/(l + r) on top, t = 180 deg + acos(e/(l - r)) at the bottom: 70.068 and 231.318 degrees."""
    machine = drive()
    found = motion.stroke(machine, "up", motion.move(machine))
    # In the code the right crank turns from +y toward +x; its pin stands at e + r sin(theta), so -sin(theta) = cos t.
    top, bottom = ((90 - np.rad2deg(each)) % 360 for each in (found.highest_angle, found.lowest_angle))
    np.testing.assert_allclose((180 - top) % 360, 70.068, atol=5e-4)
    np.testing.assert_allclose((180 - bottom) % 360, 231.318, atol=5e-4)
    np.testing.assert_allclose(np.cos(np.deg2rad(180 - top)), E / (L + R), rtol=1e-12)


def test_sum_of_both_heights_is_first_order_alone_and_the_gap_is_twice_the_rods_rise():
    """y_u + y_l = 2 r sin t exactly; gap 2 S from 46.0869 to 67.2607 mm."""
    moved = motion.move(drive())
    up, down = moved.yokes["up"].height, moved.yokes["down"].height
    np.testing.assert_allclose(up + down, 2 * R * np.cos(moved.theta), atol=1e-16)
    turned = motion.move(drive(), np.deg2rad(np.arange(0.0, 360.0, 0.5)))
    gap = (turned.yokes["up"].height - turned.yokes["down"].height) * 1e3
    np.testing.assert_allclose([gap.max(), gap.min()], [67.2607, 46.0869], atol=5e-5)
    np.testing.assert_allclose(gap.max(), 2e3 * np.sqrt(L**2 - (E - R) ** 2), rtol=1e-12)


def test_acceleration_at_both_ends():
    """At 1500 rpm the upper yoke's acceleration runs from -351.83 to +300.10 m/s2."""
    moved = motion.move(drive(), np.deg2rad(np.arange(0.0, 360.0, 0.05)))
    acceleration = moved.yokes["up"].acceleration * float(SPEED.most) ** 2
    np.testing.assert_allclose([acceleration.max(), acceleration.min()], [300.10, -351.83], atol=0.01)


def test_first_order_before_and_after_counterweights():
    """With 0.30 kg on each yoke 148.044 N at 1500 rpm; 3.0 kg mm on each shaft leave nothing."""
    bare, weight = drive(), Web(at=0.0, mass=0.2, cg=(0.0, -0.015))
    before = shaking.shaking(bare, motion.move(bare)).y * float(SPEED.most) ** 2
    np.testing.assert_allclose(before.max(), 148.044, atol=5e-4)
    balanced = drive(webs=(weight,))
    after = shaking.shaking(balanced, motion.move(balanced))
    np.testing.assert_allclose(after.y * float(SPEED.most) ** 2, 0.0, atol=1e-11)
    np.testing.assert_allclose(after.x, 0.0, atol=1e-18)


@pytest.mark.parametrize("scale", [0.5, 0.8])
def test_similar_linkages_also_balance(scale):
    """r_p/l_p = r_d/l_d, e_p/l_p = e_d/l_d and M_p r_p = M_d r_d leave first order alone, and weights cancel it."""
    lower = (scale * L, E - scale * E, scale * R)
    for share in (1.0, 1.1):
        machine = drive(0.3, share * 0.3 / scale, lower=lower)
        found = shaking.shaking(machine, motion.move(machine)).orders()["y"]
        higher = np.abs(found[2:]).max() / np.abs(found[1])
        assert (higher < 1e-10) == (share == 1.0)
