"""What a dial ought to read under a push, in cases that a formula gives."""

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from designs.reading import read
from shafts.bearings.ball import Ball
from shafts.bearings.bearing import Bearing
from shafts.bearings.contact import contact_approach
from shafts.evidence.pushes import PushAt, counted_as_rigid, push_slope

ENGINE = read(Path(__file__).parents[2] / "designs" / "redesign.yaml")
FORCES = (5.0, 20.0)


def on(*bearings: Bearing):
    return replace(ENGINE, shafts=replace(ENGINE.shafts, bearings=bearings, plates=(), tilt_stiffness=None))


def seats(seat, **more):
    ball = Ball(bore=8e-3, outside=22e-3, width=7e-3)
    return [Bearing(at=each.at, ball=ball, seat_stiffness=seat, **more) for each in ENGINE.shafts.bearings]


def at_bearing(number=0, along="y", forces=FORCES):
    return PushAt("right", None, number, along, 0.3, forces)


def at_pin(along="y", angle=0.0, hand="right"):
    return PushAt(hand, next(iter(ENGINE.cranks.throws)), 0, along, angle, FORCES)


def test_at_a_bearing_its_seat_alone_yields() -> None:
    for along in "xy":
        assert push_slope(on(*seats(8e6, stiffness=1e15)), at_bearing(1, along)) == pytest.approx(1 / 8e6, rel=1e-6)


def test_balls_yield_less_the_harder_they_are_pressed() -> None:
    """Between two pushes on the bearing itself: the law of contact at both, over their difference."""
    bearings = seats(8e6)
    inside = bearings[0].ball.internals()
    for low, high in ((5.0, 20.0), (20.0, 40.0)):
        contact = (contact_approach(inside, high) - contact_approach(inside, low)) / (high - low)
        assert push_slope(on(*bearings), at_bearing(forces=(low, high))) == pytest.approx(1 / 8e6 + contact, rel=1e-6)


def test_at_a_pin_seats_add_by_the_lever() -> None:
    """What seats add beyond rigid ones: (1 + a/b)^2/k1 + (a/b)^2/k2, a the overhang, b between the bearings."""
    first, last = (float(each.at) for each in ENGINE.shafts.bearings)
    overhang = first - float(ENGINE.cranks.throws[at_pin().throw].at)
    share = overhang / (last - first)
    soft, hard = (push_slope(on(*seats(each, stiffness=1e15)), at_pin()) for each in (8e6, 1e15))
    assert soft - hard == pytest.approx(((1 + share) ** 2 + share**2) / 8e6, rel=1e-6)


def test_the_left_crank_is_the_mirror_image_and_a_quarter_turn_swaps_the_axes() -> None:
    engine = on(*seats(8e6))
    for angle in (0.0, 0.7):
        assert push_slope(engine, at_pin("y", angle)) == pytest.approx(push_slope(engine, at_pin("y", angle, "left")))
        quarter = push_slope(engine, at_pin("x", angle + np.pi / 2))
        assert push_slope(engine, at_pin("y", angle)) == pytest.approx(quarter)


def test_many_options_at_once_are_each_as_alone() -> None:
    many = np.array([4e6, 8e6, 2e7])
    for push in (at_bearing(), at_pin()):
        found = push_slope(on(*seats(many)), push)
        alone = [float(push_slope(on(*seats(float(each))), push)) for each in many]
        assert found == pytest.approx(alone, rel=1e-9)


def test_what_counts_as_rigid_is_named() -> None:
    assert counted_as_rigid(ENGINE, at_bearing()) == []
    throw = at_pin().throw
    bare = replace(ENGINE.cranks.throws[throw], pin=None)
    engine = replace(ENGINE, cranks=replace(ENGINE.cranks, throws={**ENGINE.cranks.throws, throw: bare}))
    assert any(throw in each for each in counted_as_rigid(engine, at_pin()))
