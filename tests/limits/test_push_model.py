"""What a dial ought to read under a push, in cases that a formula gives."""

import numpy as np
import pytest

from balance.machine.materials import MATERIALS
from shafts.bearings.ratings import internals
from shafts.bearings.stiffness import contact_approach
from shafts.evidence.pushes import push_slope
from shafts.shaft import Ball, Bearing, Segment, Shaft

STEEL = MATERIALS["steel"]
LENGTH, DIAMETER = 0.2, 0.005


def shaft(*bearings: Bearing) -> Shaft:
    return Shaft(
        material=STEEL, segments=(Segment(length=LENGTH, diameter=DIAMETER),), starts_at=0.0, bearings=bearings
    )


def on_seats(stiffness: float | None) -> tuple[Bearing, Bearing]:
    ball = Ball(bore=5e-3, outside=16e-3, width=5e-3)
    places = (0.0, LENGTH)
    return tuple(Bearing(at=at, ball=ball, stiffness=1e15, seat_stiffness=stiffness) for at in places)  # type: ignore[return-value]


def test_middle_of_a_shaft_on_rigid_bearings() -> None:
    """F l^3/(48 E I) and F l/(4 k G A): Shigley, table A-9 (from memory), and the shear of both halves."""
    second, area = np.pi / 64 * DIAMETER**4, np.pi / 4 * DIAMETER**2
    bending = LENGTH**3 / (48 * STEEL.young * second)
    found = push_slope(shaft(*on_seats(1e15)), LENGTH / 2, (5.0, 20.0))
    shear = LENGTH / (4 * STEEL.shear * area)
    assert bending < found < bending + 1.3 * shear


def test_at_a_bearing_its_seat_alone_gives_way() -> None:
    found = push_slope(shaft(*on_seats(8e6)), 0.0, (5.0, 20.0))
    assert found == pytest.approx(1 / 8e6, rel=1e-6)


def test_in_the_middle_of_a_stiff_shaft_half_of_one_seat() -> None:
    stiff = Shaft(
        material=STEEL, segments=(Segment(length=LENGTH, diameter=0.2),), starts_at=0.0, bearings=on_seats(8e6)
    )
    assert push_slope(stiff, LENGTH / 2, (5.0, 20.0)) == pytest.approx(1 / 16e6, rel=0.01)


def test_balls_give_less_the_harder_they_are_pressed() -> None:
    """Between two pushes on the bearing itself: the law of contact at both, over their difference."""
    ball = Ball(bore=5e-3, outside=16e-3, width=5e-3, balls=7, ball_diameter=3.175e-3)
    bearings = tuple(Bearing(at=at, ball=ball, seat_stiffness=8e6) for at in (0.0, LENGTH))
    inside = internals(ball)
    for low, high in ((5.0, 20.0), (20.0, 40.0)):
        contact = (contact_approach(inside, high) - contact_approach(inside, low)) / (high - low)
        found = push_slope(shaft(*bearings), 0.0, (low, high))
        assert found == pytest.approx(1 / 8e6 + contact, rel=1e-6)


def test_many_options_at_once_are_each_as_alone() -> None:
    many = np.array([4e6, 8e6, 2e7])
    found = push_slope(shaft(*on_seats(many)), 0.05, (5.0, 20.0))
    alone = [push_slope(shaft(*on_seats(float(each))), 0.05, (5.0, 20.0)) for each in many]
    assert found == pytest.approx(alone, rel=1e-12)
