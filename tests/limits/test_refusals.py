"""What a definition refuses, and only just accepts: at its edge, and in one of several options."""

from dataclasses import replace
from typing import Any

import numpy as np
import pytest

from balance.errors import BadDesign
from balance.machine.counterweights import (
    BoltCircle,
    Counterweights,
    FlatDrawing,
    OutlineShape,
    SectorShape,
    SegmentShape,
)
from balance.machine.machine import Gravity, PressureTable, SpeedRange
from balance.machine.materials import MATERIALS
from balance.machine.yoke import Outline, Part, Rod, Slot, Yoke
from balance.quantities import Bound
from shafts.bearings.ball import Ball
from shafts.bearings.bearing import Bearing
from shafts.bearings.bush import Bush
from shafts.shaft import Fits, Notch, Segment, Shaft

PARTS = {"all": Part(mass=0.1)}
BUSH = Bush(bore=0.006, length=0.008)
SPEED = {"least": 20.0, "rated": 90.0, "most": 150.0}
OUTLINE = {"rectangle": (0.05, 0.01), "z": (-0.01, 0.01)}
BALL = {"bore": 0.006, "outside": 0.019, "width": 0.006}
TRIANGLE = ((0.0, 0.0), (0.02, 0.0), (0.01, 0.02))
SQUARE, NONE = 0.01 * np.array([[0, 0], [1, 0], [1, 1], [0, 1]]), np.zeros((0, 3))
SHAFT = Shaft(
    material=MATERIALS["steel"],
    segments=(Segment(length=0.03, diameter=0.006), Segment(length=0.05, diameter=0.010)),
    starts_at=-0.02,
    bearings=(Bearing(at=-0.02, bush=BUSH), Bearing(at=0.06, bush=BUSH)),
)


def table(*angles: float, pressures: tuple = (1e5, 2e5, 1e5, 9e4)) -> PressureTable:
    return PressureTable(angle=np.array(angles), pressure=np.array(pressures))


def yoke(cg: Any, length: Any) -> Yoke:
    return Yoke(throw="pin", parts=PARTS, rod=Rod(length=length, mass=0.01, cg=cg))


def stock(**changes: Any) -> Counterweights:
    return Counterweights(**{"thickness": 0.006, "smallest_radius": 0.005, "largest_radius": 0.02, "at": 0.0} | changes)


def drilled(**changes: Any) -> Counterweights:
    """Return weights with three holes of 4 mm on a circle of 12 mm, 30 degrees or 6.2 mm apart."""
    bolts = {"number": 3, "diameter": 0.004, "radius": 0.012, "pitch": np.deg2rad(30.0)}
    return stock(shape=SectorShape(bolts=BoltCircle(**bolts | changes)))


def notched(kind: Any, at: float, **size: float) -> Shaft:
    return replace(SHAFT, notches=(Notch(kind=kind, at=at, **size),))


JUST_WRONG = {
    "slow above usual": lambda: SpeedRange(**SPEED | {"least": 90.1}),
    "usual above fast": lambda: SpeedRange(**SPEED | {"rated": 150.1}),
    "overspeed below one": lambda: SpeedRange(**SPEED, overspeed=0.999),
    "three angles": lambda: table(0.0, 1.0, 2.0, pressures=(1e5, 2e5, 1e5)),
    "fewer pressures than angles": lambda: table(0.0, 1.0, 2.0, 3.0, pressures=(1e5, 2e5, 1e5)),
    "two at one angle": lambda: table(0.0, 1.0, 1.0, 3.0),
    "angles that fall": lambda: table(0.0, 2.0, 1.0, 3.0),
    "first and last the same place": lambda: table(0.0, 1.0, 2.0, 2 * np.pi),
    "an angle that is no number": lambda: table(0.0, np.nan, 2.0, 3.0),
    "a pressure without end": lambda: table(0.0, 1.0, 2.0, 3.0, pressures=(1e5, np.inf, 1e5, 9e4)),
    "outline of two shapes": lambda: Outline(**OUTLINE, polygon=((0, 0), (1, 0), (0, 1))),
    "outline of no shape": lambda: Outline(z=(0.0, 0.1)),
    "outline of two corners": lambda: Outline(polygon=((0.0, 0.0), (1.0, 0.0)), z=(0.0, 0.1)),
    "outline of no depth": lambda: Outline(**OUTLINE | {"z": (0.01, 0.01)}),
    "rod and slot": lambda: Yoke(throw="pin", parts=PARTS, rod=Rod(length=0.05), slot=Slot()),
    "neither rod nor slot": lambda: Yoke(throw="pin", parts=PARTS),
    "mass centre beyond the rod": lambda: yoke(0.0501, 0.05),
    "as wide a bore as the shaft": lambda: Segment(length=0.1, diameter=0.01, bore=0.01),
    "a place that is no number": lambda: Bearing(at=np.nan, bush=BUSH),
    "a length of zero": lambda: Segment(length=0.0, diameter=0.01),
    "a bore below zero": lambda: Segment(length=0.1, diameter=0.01, bore=-1e-9),
    "a reliability of one": lambda: replace(SHAFT, reliability=1.0),
    "no ring round the bore": lambda: Ball(**BALL | {"outside": 0.006}),
    "balls of no size": lambda: Ball(**BALL, balls=6),
    "size of no balls": lambda: Ball(**BALL, ball_diameter=0.0035),
    # The circle of the centres is that half-way between bore and outside, 12.5 mm: 39.27 mm round.
    "too many balls": lambda: Ball(**BALL, balls=12, ball_diameter=0.0033),
    "too many balls on a small circle": lambda: Ball(**BALL, balls=10, ball_diameter=0.0033, pitch_diameter=0.0105),
    "ball and bush": lambda: Bearing(at=0.0, ball=Ball(**BALL), bush=BUSH),
    "neither ball nor bush": lambda: Bearing(at=0.0),
    "cross hole of no size": lambda: Notch(kind="cross hole", at=0.0),
    "one bearing": lambda: replace(SHAFT, bearings=SHAFT.bearings[:1]),
    "bearing before the shaft": lambda: replace(SHAFT, starts_at=-0.0199),
    "bearing beyond the shaft": lambda: replace(SHAFT, starts_at=-0.0201),
    "two bearings in one place": lambda: replace(SHAFT, bearings=(*SHAFT.bearings, SHAFT.bearings[1])),
    "groove through the thin part": lambda: notched("groove", 0.0, depth=0.003),
    "keyway through the thin part": lambda: notched("keyway", 0.0, depth=0.006),
    "hole through the thick part": lambda: notched("cross hole", 0.03, diameter=0.010),
    "groove through the thin side of a shoulder": lambda: replace(
        notched("groove", 0.03, depth=0.003),
        starts_at=0.0,
        bearings=(replace(SHAFT.bearings[0], at=0.0), SHAFT.bearings[1]),
    ),
    "hub as large as the rim": lambda: stock(smallest_radius=0.02),
    "planes nearer than the plate is thick": lambda: stock(at=(0.0, -0.0059)),
    "more than half a ring": lambda: SectorShape(angle=np.pi * (1 + 1e-9)),
    "outline and drawing": lambda: OutlineShape(polygon=TRIANGLE, drawing=FlatDrawing(corners=SQUARE, holes=NONE)),
    "neither outline nor drawing": lambda: OutlineShape(),
    "weight of two corners": lambda: OutlineShape(polygon=TRIANGLE[:2]),
    "weight of no area": lambda: OutlineShape(polygon=((0.0, 0.0), (0.01, 0.01), (0.02, 0.02))),
    "weight that crosses itself": lambda: OutlineShape(polygon=((0.0, 0.0), (0.03, 0.01), (0.01, 0.0), (0.0, 0.01))),
    "holes over the rim": lambda: drilled(radius=0.0181),
    "holes over the hub": lambda: drilled(radius=0.0069, pitch=np.deg2rad(40.0)),
    "holes in one another": lambda: drilled(pitch=np.deg2rad(19.1)),  # 2 x 12 x sin(9.55 deg) = 3.98 mm
    "cut beyond the rim": lambda: stock(shape=SegmentShape(chord=0.02)),
}
JUST_RIGHT = {
    "planes as far apart as the plate is thick": lambda: stock(at=(0.0, 0.006)),
    "half a ring": lambda: SectorShape(angle=np.pi),
    "three corners of a weight": lambda: OutlineShape(polygon=TRIANGLE),
    "holes to the rim": lambda: drilled(radius=0.0179),
    "holes to the hub": lambda: drilled(radius=0.0071, pitch=np.deg2rad(40.0)),
    "holes side by side": lambda: drilled(pitch=np.deg2rad(19.3)),  # 4.02 mm
    "one hole has no neighbour": lambda: drilled(number=1, pitch=0.0),
    "a cut within the rim": lambda: stock(shape=SegmentShape(chord=0.0199)),
    "one speed": lambda: SpeedRange(least=90.0, rated=90.0, most=90.0, overspeed=1.0),
    "a turn less a little": lambda: table(0.5, 1.0, 2.0, 0.5 + 2 * np.pi - 1e-6),
    "three corners": lambda: Outline(polygon=((0.0, 0.0), (1.0, 0.0), (0.0, 1.0)), z=(0.0, 0.1)),
    "mass centre at the end": lambda: yoke(0.05, 0.05),
    "eleven balls": lambda: Ball(**BALL, balls=11, ball_diameter=0.0035),
    "groove in the thin part": lambda: notched("groove", 0.0, depth=0.0029),
    "groove in the thick part": lambda: notched("groove", 0.02, depth=0.0049),
    "keyway in the thin part": lambda: notched("keyway", 0.0, depth=0.0029),
    "hole of the thin part's size in the thick part": lambda: notched("cross hole", 0.03, diameter=0.006),
    "a shoulder is no cut": lambda: notched("shoulder", 0.0, depth=0.02),
}
ONE_OF_THREE = {
    "speeds": lambda: SpeedRange(**SPEED | {"least": np.array([20.0, 91.0, 20.0])}),
    "fast": lambda: SpeedRange(**SPEED | {"most": np.array([150.0, 89.0, 150.0])}),
    "outline": lambda: Outline(rectangle=(0.05, 0.01), z=(np.array([-0.01, 0.02, 0.0]), 0.01)),
    "mass centre": lambda: yoke(np.array([0.01, 0.06, 0.02]), 0.05),
    "bore": lambda: Segment(length=0.1, diameter=0.01, bore=np.array([0.002, 0.011, 0.0])),
    "off the shaft": lambda: replace(SHAFT, starts_at=np.array([-0.02, -0.01, -0.02])),
    "one place": lambda: replace(
        SHAFT, bearings=(*SHAFT.bearings, Bearing(at=np.array([0.02, -0.02, 0.05]), bush=BUSH))
    ),
    "hub": lambda: stock(smallest_radius=np.array([0.005, 0.021, 0.006])),
    "cut through": lambda: notched("groove", 0.0, depth=np.array([0.001, 0.003, 0.002])),
}
ONE_OF_THREE_UNMARKED = {
    "overspeed": lambda: SpeedRange(**SPEED, overspeed=np.array([1.2, 0.9, 1.0])),
    "ring": lambda: Ball(**BALL | {"outside": np.array([0.019, 0.005, 0.019])}),
    "balls": lambda: Ball(**BALL, balls=8, ball_diameter=np.array([0.003, 0.006, 0.002])),
    "below zero": lambda: Segment(length=np.array([0.1, -0.1, 0.1]), diameter=0.01),
    "not finite": lambda: Segment(length=np.array([0.1, np.inf, 0.1]), diameter=0.01),
    "planes": lambda: stock(thickness=np.array([0.004, 0.008, 0.004]), at=(0.0, 0.006)),
    "holes": lambda: drilled(radius=np.array([0.012, 0.019, 0.012])),
    "holes in one another": lambda: drilled(diameter=np.array([0.004, 0.007, 0.004])),
    "cut": lambda: stock(shape=SegmentShape(chord=np.array([0.004, 0.03, 0.004]))),
    "half a ring": lambda: SectorShape(angle=np.array([3.0, 3.2, 3.0])),
    "outline": lambda: OutlineShape(polygon=((0.0, 0.0), (0.01, 0.0), (0.02, np.array([0.01, 0.0, 0.01])))),
}


@pytest.mark.parametrize("made", JUST_WRONG.values(), ids=JUST_WRONG)
def test_what_is_just_wrong_is_refused(made):
    with pytest.raises(BadDesign) as refusal:
        made()
    assert len(refusal.value.complaints) == 1


@pytest.mark.parametrize("made", JUST_RIGHT.values(), ids=JUST_RIGHT)
def test_what_is_just_right_is_not(made):
    made()


@pytest.mark.parametrize("made", ONE_OF_THREE.values(), ids=ONE_OF_THREE)
def test_of_three_options_the_wrong_one_is_marked(made):
    with pytest.raises(BadDesign) as refusal:
        made()
    (complaint,) = refusal.value.complaints
    np.testing.assert_array_equal(complaint.wrong, [False, True, False])


@pytest.mark.parametrize("made", ONE_OF_THREE_UNMARKED.values(), ids=ONE_OF_THREE_UNMARKED)
def test_one_wrong_option_of_three_is_enough(made):
    with pytest.raises(BadDesign):
        made()


def test_the_first_wrong_option_is_named():
    with pytest.raises(BadDesign, match=r"-3 \(option 2\) m; allowed: more than 0 m"):
        Segment(length=np.array([1.0, 2.0, -3.0, -4.0]), diameter=0.01)


def test_a_cut_that_goes_through_is_told_in_millimetres():
    with pytest.raises(BadDesign, match=r"read 6.5 mm in a shaft of 6 mm"):
        notched("keyway", 0.0, depth=0.0065)
    with pytest.raises(BadDesign, match=r"bearings.0.at: read -20 mm, which is off the shaft; allowed: -19 to 61 mm"):
        replace(SHAFT, starts_at=-0.019)


def test_lengths_are_those_at_the_standard_temperature_unless_said_otherwise():
    """ISO 1: 20 degrees Celsius."""
    assert Fits().set_up_at == 20.0 + 273.15


def test_things_fall_away_from_the_hot_end_unless_said_otherwise():
    """Standard acceleration of free fall, ISO 80000-3: the cylinder stands upright, its hot end up."""
    assert (Gravity().x, Gravity().y) == (0.0, -9.80665)


def test_bounds_hold_their_ends_unless_they_are_open():
    ends = np.array([-0.1, 0.0, 0.5, 1.0, 1.1])
    np.testing.assert_array_equal(Bound(least=0.0, most=1.0).holds(ends), [False, True, True, True, False])
    np.testing.assert_array_equal(Bound(least=0.0, most=1.0, open=True).holds(ends), [False, False, True, False, False])


def test_a_range_that_starts_from_rest_runs_steadily_from_a_fiftieth():
    """A fiftieth of the fastest, as its docstring and the report say; a slowest speed above that is kept."""
    assert SpeedRange(**SPEED | {"least": 0.0}).slowest == pytest.approx(3.0)
    assert SpeedRange(**SPEED).slowest == 20.0
    assert SpeedRange(**SPEED | {"least": 2.0}).slowest == pytest.approx(3.0)
