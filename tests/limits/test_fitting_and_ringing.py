"""Small laws by hand: bearings and their fits, webs that hold a throw, critical speeds, a case that rings.

Four feet of a case: see published/test_feet_and_rubber.
"""

from dataclasses import replace
from types import SimpleNamespace

import numpy as np
import pytest
from limits.test_crank_layout import engine
from published.test_feet_and_rubber import HARRIS, UPRIGHT, four

from balance.case.ringing import ringing, stiffness_by_ringing
from balance.errors import BadDesign
from balance.evidence.estimate import Estimate
from balance.machine.crank import Pin, Throw, Web
from balance.machine.mount import Feet, Mount
from balance.many import unchecked
from shafts.bearings.ball import BALL_STOCK, Ball
from shafts.bearings.bearing import Bearing
from shafts.bearings.bush import Bush
from shafts.bearings.fit import in_seat, on_shaft
from shafts.bearings.needle import NEEDLE_STOCK, Needle
from shafts.crank.layout import layout, order
from shafts.whirl import crossings
from shafts.whirl.crossings import Crossing, matters
from shafts.whirl.vibration import Resonances

MM = 1e-3


def test_a_size_is_known_where_every_option_is() -> None:
    ball = Ball(bore=8 * MM, outside=22 * MM, width=7 * MM)
    assert ball.known
    assert not unchecked(ball, {"width": np.array([7.0, 7.5]) * MM}).known


def test_a_ball_bearing_of_its_own_size_is_itself_with_the_ratings_that_it_was_given() -> None:
    """1/4 x 5/8 x 0.196 in; half a hundredth of an inch wider it is another one, which comes as it is sold."""
    own = Ball(bore=6.35 * MM, outside=15.875 * MM, width=4.9784 * MM, dynamic_rating=1480.0)
    assert own.refit(Ball(bore=6.35 * MM, outside=15.875 * MM, width=4.9785 * MM)) is own
    wider = Ball(bore=6.35 * MM, outside=15.875 * MM, width=5.1 * MM, static_rating=700.0)
    assert own.refit(wider) is wider


def test_a_ball_bearing_in_numbers_works_as_it_did() -> None:
    """What is given of one and not of another stands in one array; what is known of neither stays unknown."""
    given = Ball(bore=8 * MM, outside=22 * MM, width=7 * MM, dynamic_rating=3000.0, balls=7, ball_diameter=4 * MM)
    for ball in (BALL_STOCK["608"], given, Ball(bore=8 * MM, outside=23 * MM, width=7 * MM)):
        found, same = ball.in_numbers(), {"equal_nan": True, "rtol": 1e-12}
        for each in ("dynamic", "static", "speed", "factor"):
            assert np.allclose(getattr(found.ratings(), each), getattr(ball.ratings(), each), **same), each
        assert found.compliance(100.0) == pytest.approx(ball.compliance(100.0))


def test_needles_for_another_shaft_are_the_smallest_that_are_sold() -> None:
    """HK0607, HK0608 and HK0609 run on 6 mm; none is known for 6.3 mm. The shaft stays as hard as it is."""
    stock = replace(NEEDLE_STOCK["HK0810"], hardness=60.0)
    found = stock.refit(Ball(bore=6 * MM, outside=19 * MM, width=6 * MM))
    assert (found.shaft, found.outside, found.width, found.hardness) == pytest.approx((6 * MM, 10 * MM, 7 * MM, 60.0))
    with pytest.raises(BadDesign, match=r"6\.3 mm"):
        stock.refit(Ball(bore=6.3 * MM, outside=19 * MM, width=6 * MM))


@pytest.mark.parametrize(
    ("said", "what"),
    [
        ({"outside": 6 * MM}, "no more than the shaft"),
        ({"rollers": 10}, "some of rollers"),
        ({"rollers": 15, "roller_diameter": 1.6 * MM, "roller_length": 5 * MM}, "do not fit on their circle"),
        ({"rollers": 10, "roller_diameter": 1.5 * MM, "roller_length": 8.1 * MM}, "more than the width"),
        ({"rollers": 9, "roller_diameter": 2.0 * MM, "roller_length": 5 * MM}, "fill the ring"),
    ],
)
def test_needles_that_cannot_be_are_refused(said: dict, what: str) -> None:
    """On 6 mm, 10 mm outside, 8 mm wide: 14 rollers of 1.6 mm make 22.4 of the 23.9 mm round their circle."""
    sizes = {"shaft": 6 * MM, "outside": 10 * MM, "width": 8 * MM}
    with pytest.raises(BadDesign, match=what):
        Needle(**(sizes | said))
    Needle(**sizes, rollers=14, roller_diameter=1.6 * MM, roller_length=8 * MM)


def test_a_soft_shaft_bears_less_of_a_needle_bearing() -> None:
    """(52/58)^3.6 = 0.675 (Harris, from memory); harder than 58 HRC is no better."""
    soft, full, hard = (replace(NEEDLE_STOCK["HK0608"], hardness=each).ratings() for each in (52.0, 58.0, 62.0))
    np.testing.assert_allclose([soft.dynamic / full.dynamic, soft.static / full.static], 0.675, rtol=1e-3)
    assert hard.dynamic == full.dynamic


def test_rollers_that_are_not_given_are_of_a_usual_size() -> None:
    """In HK0608, 6 x 10 x 8 mm: 1.5 mm, three eighths of 10 - 6, on a circle of 7.5 mm, 4.8 mm of 8 in contact."""
    found = NEEDLE_STOCK["HK0608"].internals()
    assert (found.diameter, found.length, found.pitch) == pytest.approx((1.5 * MM, 4.8 * MM, 7.5 * MM))


def test_one_rating_as_stated_is_said_to_be_that_one_alone() -> None:
    ball = Ball(bore=8 * MM, outside=22 * MM, width=7 * MM)
    one, both = (replace(ball, dynamic_rating=3.3e3, static_rating=each).ratings() for each in (None, 1.37e3))
    assert (ball.ratings().source, both.source) == ("low end of catalogues", "as stated")
    assert one.source == "one as stated, the other low end of catalogues"
    assert (one.dynamic, one.static) == (3.3e3, ball.ratings().static)


@pytest.mark.parametrize(("fit", "loose", "tight"), [("H7", 30, False), ("N7", 2, True), ("P7", -5, True)])
def test_a_seat_by_its_class(fit: str, loose: float, tight: bool) -> None:
    """Ring 0 to -9 um of 22 mm; H7 0 to 21, N7 -28 to -7, P7 -35 to -14 um: 22 um may be too tight."""
    found = in_seat(Bearing(at=0.0, ball=Ball(bore=8 * MM, outside=22 * MM, width=7 * MM), seat_fit=fit))
    assert float(found.most) == pytest.approx(loose * 1e-6, abs=1e-12)
    assert found.may_be_too_tight == tight
    assert float(found.loose) == pytest.approx(30e-6)  # H7 on the smallest ring
    assert float(found.sure) == pytest.approx(-loose * 1e-6, abs=1e-12)


def test_a_bush_is_too_tight_as_soon_as_it_has_no_play() -> None:
    bush = Bearing(at=0.0, bush=Bush(bore=8 * MM, length=8 * MM, tolerance="H7"))
    assert not on_shaft(replace(bush, fit="h6"), 8 * MM, 8 * MM).may_be_too_tight
    assert on_shaft(replace(bush, fit="k6"), 8 * MM, 8 * MM).may_be_too_tight
    assert float(on_shaft(bush, 8 * MM, 8 * MM).loose) == pytest.approx((36 + 28) * 1e-6)  # H9 on f7


def row_of(found) -> list[str | None]:
    return [axis.throw for axis in found.axes]


def test_the_web_nearest_to_its_crankpin_holds_it() -> None:
    """Overhung, webs at -21 and -10 mm before the first bearing at 0: the one 9 mm from the pin joins."""
    built = engine()
    webs = tuple(Web(at=at * MM, mass=0.0, thickness=8 * MM, width=15 * MM) for at in (-10, -21))
    found = layout(built.shafts, unchecked(built.cranks, {"webs": webs}), "right")
    assert row_of(found) == ["pin", None]
    (joint,) = found.joints
    assert (joint.web, joint.low, joint.high) == pytest.approx((1, -25 * MM, -17 * MM))
    assert (found.axes[0].low, found.axes[0].high) == pytest.approx((-35 * MM, -25 * MM))
    assert (found.axes[1].low, found.axes[1].high) == pytest.approx((-17 * MM, 45 * MM))


def test_a_web_of_the_other_crank_or_beyond_the_first_bearing_holds_nothing() -> None:
    built = engine()
    web = Web(at=-20 * MM, mass=0.0, thickness=10 * MM, width=15 * MM)
    for change in ({"on": "left"}, {"at": 20 * MM}, {"width": None, "thickness": None}):
        cranks = unchecked(built.cranks, {"webs": (replace(web, **change),)})
        assert layout(built.shafts, cranks, "right").joints[0].web is None
    assert (
        layout(built.shafts, unchecked(built.cranks, {"webs": (replace(web, on="left"),)}), "left").joints[0].web == 0
    )


@pytest.mark.parametrize(
    ("webs", "row"),
    [((2, 15, 30), [None, "a", "b", None]), ((2, 12, 18, 30), [None, "a", None, "b", None])],
)
def test_two_throws_along_a_shaft_share_one_web_or_have_shaft_between(webs, row) -> None:
    built = engine(at=0.020)
    pin = Pin(diameter=5 * MM, length=6 * MM)
    throws = {"b": Throw(radius=0.01, at=22 * MM, pin=pin), "a": Throw(radius=0.01, at=8 * MM, pin=pin)}
    webs = tuple(Web(at=at * MM, mass=0.0, thickness=4 * MM, width=15 * MM) for at in webs)
    found = layout(built.shafts, unchecked(built.cranks, {"webs": webs, "throws": throws}), "right")
    assert row_of(found) == row
    assert [joint.web for joint in found.joints] == list(range(len(webs)))


def test_options_whose_webs_pass_a_throw_have_layouts_of_their_own() -> None:
    built = engine()
    web = unchecked(built.cranks.webs[0], {"at": np.array([-20.0, -21.0, -32.0]) * MM})
    found = order(built.shafts, unchecked(built.cranks, {"webs": (web,)}))
    assert np.array_equal(found[0], found[1])
    assert not np.array_equal(found[0], found[2])


@pytest.mark.parametrize(
    ("driven", "added", "keeps_away"),
    [(0.5, 0.0, True), (0.49, 4.9e-6, False), (0.05, 5e-6, True), (0.049, 1e-3, False), (0.2, 4.9e-6, False)],
)
def test_a_critical_speed_matters_by_a_twentieth_or_by_half(driven: float, added: float, keeps_away: bool) -> None:
    """Of a gap of 0.1 mm, 5 um; a crossing that doubles half the deflection matters whatever the gap."""
    assert matters(Crossing(100.0, 1, "forward", "right", "gear", driven, added), 1e-4) == keeps_away
    # As well where a wheel shakes far from the crankpins, and bearings or teeth carry half as much again.
    assert matters(Crossing(100.0, 1, "forward", "right", "flywheel", driven, added, felt=0.5), 1e-4)


def test_twins_within_three_percent_are_told_once(monkeypatch: pytest.MonkeyPatch) -> None:
    """Of 100 and 102.9 rad/s the one that is driven more; 106.2 is another; weak, still and too fast ones are none."""
    speeds = np.array([85.0, 90.0, 95.0, 100.0, 102.9, 106.2, 150.0])
    orders = [3, 1, 0, 2, 2, 2, 2]
    shares = np.array([2e-4, 4e-4, 0.3, 0.1, 0.2, 0.15, 0.9])  # the strongest in reach is 0.3
    ways = ("forward", "right", "gear")
    monkeypatch.setattr(crossings, "named", lambda _, shapes: [(int(each), *ways) for each in shapes])
    vibration = SimpleNamespace(
        critical=(speeds, np.array(orders)), pair=None,
        resonances=lambda which: Resonances(shares[which], shares[which] * 2e-6, shares[which]),
    )  # fmt: skip
    found = crossings.crossings(vibration, 120.0)
    assert [(each.speed, each.driven) for each in found] == [(90.0, 4e-4), (102.9, 0.2), (106.2, 0.15)]
    assert found[1].added == pytest.approx(0.4e-6)
    assert found[1].name == "order 2 forward, gear of the right crank"


def test_a_tap_rings_the_mode_that_goes_along_it() -> None:
    """Up and down alone, sqrt(4 k/m): 26.9021 Hz; sideways the case shifts and rocks in both modes."""
    damped = replace(HARRIS, feet=four(12e3, 30e3, (0.08, 0.06), 0.05, damping_ratio=0.07))
    frequency, damping = ringing(damped, UPRIGHT, "y")
    assert frequency == pytest.approx(26.9021, abs=5e-5)
    assert damping == pytest.approx(0.07, rel=1e-9)
    # 4 k/m = 11,429 and (4 k_y a^2 + 4 k h^2)/I = 11,733: shift and rocking have half of both modes each.
    narrow = replace(HARRIS, feet=four(12e3, 30e3, (0.04, 0.06), 0.02))
    assert ringing(narrow, UPRIGHT, "x") is None
    flat = replace(HARRIS, feet=four(12e3, 30e3, (0.08, 0.06), 0.0))
    assert ringing(flat, UPRIGHT, "x")[0] == pytest.approx(np.sqrt(48e3 / 4.2) / (2 * np.pi), rel=2e-3)
    point = Mount(mass=4.2, feet=Feet(stiffness=48e3))
    assert ringing(point, UPRIGHT, "y")[0] == pytest.approx(np.sqrt(48e3 / 4.2) / (2 * np.pi), rel=1e-9)


def test_stiffness_by_a_tap_goes_with_the_square_of_the_tone() -> None:
    """K = m (2 pi f)^2, and so twice the relative doubt; None where no stiffness within a thousand would ring so."""
    mount = Mount(mass=4.2, feet=Feet(stiffness=30e3))
    found = stiffness_by_ringing(mount, UPRIGHT, "y", Estimate(20.0, 0.1))
    stiff = 4.2 * (2 * np.pi * 20.0) ** 2
    assert found.value == pytest.approx(stiff, rel=1e-9)
    assert found.sd == pytest.approx(2 * 0.1 / 20 * stiff, rel=1e-4)
    # 900 and 1,500 times as stiff as drawn.
    assert stiffness_by_ringing(mount, UPRIGHT, "y", Estimate(404.0, 0.1)).value == pytest.approx(27.06e6, rel=1e-3)
    assert stiffness_by_ringing(mount, UPRIGHT, "y", Estimate(521.0, 0.1)) is None
