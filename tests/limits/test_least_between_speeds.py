"""The least that a gap can come to between two speeds: no less often than what a close look at that range shows."""

from dataclasses import replace

import numpy as np
import pytest

from balance.cycle.at_speed import AtSpeed
from balance.cycle.load import Load
from shafts.gap.between import NO_PEAKS, Peaks, _of_bearings, lowest_between, peaks_of
from shafts.gap.curve import BearingRows, GapCurve, Leads, RodRows

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


def flat(vibration=None, **more) -> GapCurve:
    """Return a gap of 10 at every one of twelve angles; vibration : by speed, alike at all of them."""

    def at(speeds: np.ndarray) -> np.ndarray:
        return np.asarray(vibration(speeds))[:, None, None] + np.zeros((1, 12))

    waiting = 0.0 if vibration is None else AtSpeed(at, (1, 12))
    return GapCurve(Load(np.full((1, 12), 10.0), vibration=waiting), **more)


ENDS = np.array([0.0, 1.0])


def test_what_vibrates_strays_by_half_of_what_it_differs() -> None:
    """From -1 at rest to 1: it may come to -2 anywhere, and to 2.

    A parabola through three angles falls below the middle one, if that is the lowest, by an eighth at the most of what
    both sides together rise above it: here by (4 + 4)/8.
    """
    assert lowest_between(flat(lambda speeds: 2 * speeds - 1), ENDS) == pytest.approx(10 - 2 - (4 + 4) / 8)


@pytest.mark.parametrize("sizes", [(3.0, 2.0), (2.0, 3.0)])
def test_at_a_peak_it_vibrates_as_far_as_the_largest_one_there(sizes: tuple[float, float]) -> None:
    """Both ways, by 3 at any of two peaks between rest and 1; a third peak lies beyond, and counts there alone."""
    peaks = Peaks(np.array([0.3, 0.6, 1.5]), np.array([*sizes, 4.0])[:, None, None] + np.zeros((1, 12)))
    said = lowest_between(flat(lambda speeds: 0 * speeds), np.array([0.0, 1.0, 2.0, 3.0]), peaks)
    assert said == pytest.approx([10 - 3 - (6 + 6) / 8, 10 - 4 - (8 + 8) / 8, 10.0])


def test_a_peak_at_an_end_is_what_vibrates_there() -> None:
    """9 at a speed of 2 and nothing elsewhere: between 1 and 2, and 2 and 3, from -4.5 to 13.5, by half of 9 beyond."""
    peaks = Peaks(np.array([2.0]), np.full((1, 1, 12), 9.0))
    said = lowest_between(flat(lambda speeds: 9.0 * (speeds == 2.0)), np.array([0.0, 1.0, 2.0, 3.0]), peaks)
    assert said == pytest.approx([10.0, 10 - 4.5 - (18 + 18) / 8, 10 - 4.5 - (18 + 18) / 8])


@pytest.mark.parametrize("finely", [False, True])
@pytest.mark.parametrize("grows", [0.0, -2.0, 2.0])
@pytest.mark.parametrize(("lowest", "beside"), [(6, 5), (11, 0)])
def test_play_that_reverses_beside_an_angle_counts_only_where_it_is_asked_for(lowest, beside, grows, finely) -> None:
    """Rods pressed over half a turn and pulled over the other: the gap is 9.5 or 10.5, and 8.5 at one angle pulled.

    At the angle beside it they are pressed, or only at rest, or only at speed. Taken up the other way the lowest is
    7.5. Through 9.5 or 10.5, that and 10.5 a parabola dips by d^2/(8 b), with d what one side is above the other, 1,
    and b what both rise above the middle, 3 together.
    """
    thrust, more = np.where(np.arange(12) < 6, 1.0, -1.0), np.zeros(12)
    more[beside] = grows
    thrust[beside] -= max(grows, 0.0)
    curve = flat(rods=RodRows(Load(thrust[None], more[None]), np.full((1, 1, 12), 0.5)))
    steady = np.where(np.arange(12) == lowest, 8.0, 10.0)[None]
    said = lowest_between(replace(curve, plain=Load(steady)), ENDS, finely=finely)
    assert said == pytest.approx((7.5 if finely else 8.5) - 1 / 24)


@pytest.mark.parametrize(
    ("first", "last", "least", "most"),
    [(1.0, 3.0, 7.0, 9.0), (3.0, 1.0, 7.0, 9.0), (-1.0, -3.0, 7.0, 9.0), (-1.0, 3.0, 7.0, 10.0)],
)
@pytest.mark.parametrize("leads", [False, True])
def test_teeth_push_as_far_as_at_the_worse_end(first, last, least, most, leads) -> None:
    """By 1 for each newton, and by nothing where their force goes through zero; cranks out of step by its sign."""
    tooth = Load(np.full((1, 12), first), np.full((1, 12), last - first))
    out = Leads(*(np.full((1, 12), each) for each in (0.5, -0.25, 0.0))) if leads else None
    curve = flat(tooth=tooth, apart=-np.ones((1, 12)), leads=out)
    shifts = {True: (0.5,), False: (-0.25,)}[last > 0] if first * last > 0 else (0.5, -0.25, 0.0)
    low, high = (least + min(shifts), most + max(shifts)) if leads else (least, most)
    assert lowest_between(curve, ENDS) == pytest.approx(low - 2 * (high - low) / 8)


def test_what_does_not_vibrate_has_no_peaks() -> None:
    assert peaks_of(flat(), ENDS) is NO_PEAKS
    assert peaks_of(flat(lambda speeds: speeds), np.zeros(0)) is NO_PEAKS
    sizes = peaks_of(flat(lambda speeds: -3 * speeds), np.array([2.0])).sizes
    np.testing.assert_allclose(sizes, np.full((1, 1, 12), 6.0))


@pytest.mark.parametrize("middle", [5.3, 4.9, 5.5])
def test_a_parabola_is_followed_to_its_lowest_point(middle: float) -> None:
    """(k - m)^2 at twelve angles k, at every speed: none of them is on m, where it is 0."""
    curve = GapCurve(Load(((np.arange(12) - middle) ** 2)[None]))
    assert lowest_between(curve, ENDS) == pytest.approx(0.0, abs=1e-12)
