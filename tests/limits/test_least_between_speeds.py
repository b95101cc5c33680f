"""The least that a gap can come to between two speeds: no less often than what a close look at that range shows."""

import numpy as np
import pytest

from balance.cycle.load import Load
from shafts.gap.between import _of_bearings, lowest_between
from shafts.gap.curve import BearingRows, GapCurve, RodRows

CLOSE = np.linspace(0.0, 1.0, 4001)


def one_bearing(x: Load, y: Load, across: float, along: float) -> GapCurve:
    """Return a gap of 10 without play, and one bearing's play on it, alike at three angles."""
    none = np.zeros((1, 3))
    over = np.ones((1, 1, 3))
    rows = BearingRows(x.each(lambda part: part + none), y.each(lambda part: part + none), none, none,
                       across * over, along * over)  # fmt: skip
    return GapCurve(Load(steady=np.full((1, 3), 10.0)), bearings=rows)


def added(curve: GapCurve) -> tuple[float, float]:
    """Return the least and the most that is said of the bearing's play between rest and a speed of 1."""
    low, high = _of_bearings(curve, np.array([[0.0], [1.0]]), None, np.ones((1, 1, 1), dtype=bool))
    return float(np.min(low)), float(np.max(high))


@pytest.mark.parametrize("half", [10.0, 30.0, 44.0, 46.0, 80.0])
def test_a_load_that_turns_through_the_worst_direction_is_told_by_it(half: float) -> None:
    """From as far before the worst direction as behind it: there the shaft takes up all of its play, which is 1.

    By more than a right angle the load may pass through zero, and the shaft may lie anywhere.
    """
    least, most = 9.0, 1 - 2 * np.cos(np.radians(half)) if half < 45 else 1.0
    cosine, sine = np.cos(np.radians(half)), np.sin(np.radians(half))
    curve = one_bearing(Load(steady=-cosine), Load(steady=-sine, inertia=2 * sine), 1.0, 0.0)
    assert float(np.min(curve.clearances(np.sqrt(CLOSE)))) == pytest.approx(least)
    assert added(curve) == (pytest.approx(least - 10.0), pytest.approx(most))


def test_a_load_that_hardly_turns_costs_hardly_more_than_at_its_ends() -> None:
    """By 10 degrees, from 85 to 95 beside the worst direction: at the ends -+ sin 5, beyond by 1 - cos 5 at most."""
    sine, cosine = np.sin(np.radians(5.0)), np.cos(np.radians(5.0))
    curve = one_bearing(Load(steady=sine, inertia=-2 * sine), Load(steady=cosine), 1.0, 0.0)
    assert added(curve) == (pytest.approx(-sine - (1 - cosine)), pytest.approx(sine + (1 - cosine)))


def test_teeth_that_change_sides_leave_a_bearing_anywhere() -> None:
    """What they push apart is as much at both ends and nothing in between: the load turns round and back."""
    none = np.zeros((1, 3))
    rows = BearingRows(Load(none - 0.5), Load(none + 0.1), none + 1.0, none, np.ones((1, 1, 3)), np.zeros((1, 1, 3)))
    tooth = Load(none - 1.0, none + 2.0)
    curve = GapCurve(Load(none + 10.0), tooth=tooth, bearings=rows)
    in_between = np.min(curve.clearances(np.sqrt(CLOSE)))
    assert in_between < 9.1 < np.min(curve.clearances(np.array([0.0, 1.0])))
    assert lowest_between(curve, np.array([0.0, 1.0])) <= in_between


@pytest.mark.parametrize("seed", range(40))
def test_nothing_between_two_speeds_is_less_than_said(seed: int) -> None:
    """Random loads on bearings and rods, some of which reverse, against 4,000 speeds in between."""
    generator = np.random.default_rng(seed)
    angles, rows, places = 12, 3, 2

    def load() -> Load:
        return Load(generator.normal(size=(rows, angles)), generator.normal(size=(rows, angles)))

    across, along, slack = generator.normal(size=(3, places, rows, angles))
    tooth = Load(generator.normal(size=(1, angles)), generator.normal(size=(1, angles)))
    apart = 3 * generator.normal(size=(2, rows, angles))
    curve = GapCurve(Load(10.0 + generator.normal(size=(places, angles)), generator.normal(size=(places, angles))),
                     0.2, tooth, bearings=BearingRows(load(), load(), *apart, across, along),
                     rods=RodRows(load(), slack))  # fmt: skip
    speeds = np.sqrt(np.array([0.0, 0.1, 0.2, 0.5, 0.9, 1.0]))
    said = lowest_between(curve, speeds)
    for low, high, least in zip(speeds, speeds[1:], said, strict=False):
        close = curve.clearances(np.sqrt(low**2 + CLOSE * (high**2 - low**2)))
        assert least <= np.min(close) + 1e-12
