"""Laws that bearings keep: of life, of ratings and their order of precedence, of give, and of many options at once."""

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from limits.evaluated import close, size
from limits.one_pin import PIN, pulled, turns

from balance.cycle.load import Load, PlanarForce
from balance.errors import BadDesign
from balance.turning import HANDS
from designs.design import Design
from designs.evaluate import Evaluation
from designs.reading import read
from shafts.bearing_duty import bearings_of
from shafts.bearings.ball import Ball
from shafts.bearings.bearing import Bearing
from shafts.bearings.bush import Bush, bush_duty
from shafts.bearings.kind import AtWork
from shafts.bearings.ratings import Internals, Ratings, dynamic_rating, equivalent_load
from shafts.bearings.rolling import RollingDuty, rolling_duty
from shafts.bearings.standard_sizes import BALLS, nearest_sizes, row_of
from shafts.bearings.stiffness import by_contact
from shafts.bent_line import bent_line
from shafts.crank.supports import left_out, support_parts
from shafts.peaks import peaks

FAN = read(Path(__file__).parents[1] / "use" / "greenhouse-fan.yaml")
SMALL = Ball(bore=8e-3, outside=22e-3, width=7e-3)
ODD = Ball(bore=5.5e-3, outside=17e-3, width=5e-3)
ANGLES = np.arange(24) * (2 * np.pi / 24)


def duty(load: float, ball: Ball = SMALL, rated: float = 100.0, **said: float) -> RollingDuty:
    """Return the duty under a load that turns with the shaft and is of the same size all round."""
    steady = PlanarForce(Load(steady=load * np.sin(ANGLES)), Load(steady=load * np.cos(ANGLES)))
    return duty_under(steady, Bearing(at=0.0, ball=ball, **said), rated, [np.asarray(rated)])


def duty_under(load: PlanarForce, bearing: Bearing, rated, speeds) -> RollingDuty:
    (worst,) = peaks(pulled(load), PIN, speeds)
    turned = turns(load)
    work = AtWork(
        "bearing",
        bearing.load_factor,
        bearing.axial_load,
        rated,
        lambda: turned.size(rated),
        lambda: turned,
        speeds,
        worst,
    )
    return rolling_duty(bearing.ball, work)


def with_bearings(design: Design, **said) -> Design:
    """Return a design with ball bearings in both places, each with what is said of it."""
    bearings = tuple(Bearing(at=each.at, clearance="CN", **({"ball": SMALL} | said)) for each in design.shafts.bearings)
    return replace(design, shafts=replace(design.shafts, bearings=bearings))


def test_life_of_a_steady_load_is_the_standards():
    """ISO 281: 10^6 (C / P)^3 turns, here of 2 pi / 100 s each, with the default load factor of 1.2."""
    found = duty(110.0)
    np.testing.assert_allclose(found.life, 1e6 * (3300 / (1.2 * 110)) ** 3 * 2 * np.pi / 100, rtol=1e-12)
    np.testing.assert_allclose(found.static_safety, 1370 / (1.2 * 110), rtol=1e-12)
    np.testing.assert_allclose(found.peak, 110, rtol=1e-12)


def test_twice_the_load_lasts_an_eighth_as_long():
    np.testing.assert_allclose(duty(100.0).life, 8 * duty(200.0).life, rtol=1e-12)
    np.testing.assert_allclose(duty(100.0).static_safety, 2 * duty(200.0).static_safety, rtol=1e-12)


def test_twice_the_speed_lasts_half_as_long_and_as_many_turns():
    slow, fast = duty(100.0, rated=50.0), duty(100.0, rated=100.0)
    np.testing.assert_allclose(slow.life, 2 * fast.life, rtol=1e-12)
    np.testing.assert_allclose(slow.revolutions, fast.revolutions, rtol=1e-12)


def test_load_factor_counts_as_load():
    np.testing.assert_allclose(duty(100.0, load_factor=2.0).life, duty(200.0, load_factor=1.0).life, rtol=1e-12)


def test_no_load_lasts_for_ever():
    assert duty(0.0).life == np.inf
    assert duty(0.0).static_safety == np.inf


def test_varying_load_wears_more_than_its_mean_and_less_than_its_peak():
    wave = PlanarForce(y=Load(steady=100 + 80 * np.cos(ANGLES)))
    found = duty_under(wave, Bearing(at=0.0, ball=SMALL, load_factor=1.0), 100.0, [np.asarray(100.0)])
    # The mean of (100 + 80 cos)^3 is 100^3 + 3/2 * 100 * 80^2.
    np.testing.assert_allclose(found.equivalent, (100**3 + 1.5 * 100 * 80**2) ** (1 / 3), rtol=1e-12)
    np.testing.assert_allclose(found.peak, 180, rtol=1e-6)
    np.testing.assert_allclose(found.peak_angle % (2 * np.pi), 0, atol=1e-9)


def test_worst_speed_is_found_for_each_option():
    """One option's load grows with speed, the other's gas load outweighs it where the engine is slow."""
    load = PlanarForce(y=Load(steady=np.array([[0.0], [-100.0]]) + 0 * ANGLES, inertia=np.full((2, 24), 0.01)))
    speeds = [np.array([10.0, 10.0]), np.array([50.0, 50.0]), np.array([100.0, 100.0])]
    found = duty_under(load, Bearing(at=0.0, ball=SMALL), np.array([50.0, 50.0]), speeds)
    np.testing.assert_allclose(found.peak, [100, 99], rtol=1e-12)
    np.testing.assert_allclose(found.peak_speed, [100, 10], rtol=1e-12)


def test_axial_load_never_helps_and_counts_once_it_is_large():
    small, large = duty(100.0, axial_load=5.0), duty(100.0, axial_load=300.0)
    np.testing.assert_allclose(small.life, duty(100.0).life, rtol=1e-12)
    assert large.life < 0.2 * duty(100.0).life
    np.testing.assert_allclose(large.static_safety, 1370 / (0.6 * 120 + 0.5 * 300), rtol=1e-12)


@pytest.mark.parametrize("axial", np.geomspace(1.0, 1000.0, 9))
def test_equivalent_load_hardly_jumps_where_the_axial_load_begins_to_count(axial):
    """X + Y e is one to 1 percent in the standard's table; between its rows interpolation keeps it to 3 percent."""
    rating = Ratings(3300.0, 1370.0, np.nan, 13.0, "")
    radial = np.geomspace(axial, 10 * axial, 4000)
    steps = np.diff(np.log(equivalent_load(radial, axial, rating))) - np.diff(np.log(radial))
    assert np.max(steps) < 0.03


def test_what_is_stated_overrides_the_balls_and_they_override_the_table():
    balls = {"balls": 7, "ball_diameter": 3.5e-3}
    by_balls = replace(SMALL, **balls).ratings()
    stated = replace(SMALL, dynamic_rating=2000.0, static_rating=900.0, speed_limit=500.0, **balls).ratings()
    assert SMALL.ratings().dynamic == 3300
    np.testing.assert_allclose(by_balls.dynamic, dynamic_rating(Internals(7, 3.5e-3, 15e-3)), rtol=1e-12)
    assert by_balls.dynamic < 3300
    assert (stated.dynamic, stated.static, stated.speed) == (2000, 900, 500)
    assert ("catalogues" in SMALL.ratings().source, "balls" in by_balls.source, stated.source) == (
        True,
        True,
        "as stated",
    )


def test_one_rating_stated_leaves_the_other_typical():
    found = replace(SMALL, dynamic_rating=2000.0).ratings()
    assert (found.dynamic, found.static) == (2000, 1370)
    assert "catalogues" in found.source


def test_unknown_size_has_no_rating_but_neighbours():
    found = ODD.ratings()
    assert np.isnan([found.dynamic, found.static, found.speed]).all()
    assert nearest_sizes(5.5e-3, 17e-3, 5e-3)[0] in ("5 x 16 x 5 mm", "6 x 17 x 6 mm", "6 x 15 x 5 mm")
    assert nearest_sizes(8e-3, 22e-3, 7e-3)[0] == "8 x 22 x 7 mm"


def test_every_size_is_found_and_is_one_of_its_kind():
    rows = row_of(BALLS, BALLS[:, 0], BALLS[:, 1], BALLS[:, 2])
    np.testing.assert_array_equal(rows, BALLS)


def test_larger_outside_on_the_same_bore_bears_more():
    """A check on the table's typing: at one bore, ratings rise with the outside diameter; in inches to 6 percent.

    R2 and R2-6, of 1/8 x 3/8 in, are two bearings, and R2A, of 1/2 in outside, has the balls of one of them.
    """
    for bore in np.unique(BALLS[:, 0]):
        rows = BALLS[BALLS[:, 0] == bore]
        rows = rows[np.argsort(rows[:, 1], kind="stable")]
        less = 0.0 if np.isclose(bore * 1e3, round(bore * 1e3)) else 0.06
        for column in (4, 6):
            assert np.all(np.diff(rows[:, column]) >= -less * rows[:-1, column]), bore
        assert np.all(np.diff(rows[:, 7]) <= less * rows[:-1, 7]), bore


def test_known_and_unknown_sizes_side_by_side():
    mixed = Ball(bore=np.array([8e-3, 5.5e-3]), outside=np.array([22e-3, 17e-3]), width=np.array([7e-3, 5e-3]))
    found = mixed.ratings()
    assert found.dynamic[0] == 3300
    assert np.isnan(found.dynamic[1])


def compliance(bearing: Bearing, load: float | None = 100.0) -> float:
    """Return how far the first of two like bearings and its seat yield per newton of its own load, m/N."""
    shaft = replace(FAN.shafts, bearings=(replace(bearing, at=0.0), replace(bearing, at=0.02)))
    parts = support_parts(shaft, None if load is None else [load, load])
    return float(sum(parts.values())[0, 0])


def test_stated_stiffness_is_what_counts():
    stated = Bearing(at=0.0, ball=SMALL, stiffness=2e7, seat_stiffness=5e7)
    np.testing.assert_allclose(compliance(stated, 100.0), 1 / 2e7 + 1 / 5e7, rtol=1e-12)
    assert not by_contact(stated)


def test_contact_and_seat_yield_in_series():
    alone, seated = (Bearing(at=0.0, ball=SMALL, seat_stiffness=each) for each in (None, 5e7))
    assert compliance(alone, 100.0) > 0
    np.testing.assert_allclose(compliance(seated, 100.0), compliance(alone, 100.0) + 1 / 5e7, rtol=1e-12)


def test_balls_that_are_not_known_yield_more_than_any_that_are():
    """Of no size that is sold twice as much and a little; and one of no known size is no rigid one."""
    for row in BALLS:
        size = dict(zip(("bore", "outside", "width"), row[:3], strict=True))
        ball, own = Ball(**size), row[8:10]
        taken = compliance(Bearing(at=0.0, ball=Ball(**size | {"width": size["width"] + 1e-4})))
        if np.all(np.isfinite(own)):
            assert ball.balls_known
            assert 1.0 < taken / compliance(Bearing(at=0.0, ball=ball)) < 2.2, row
        else:
            assert compliance(Bearing(at=0.0, ball=ball)) == pytest.approx(taken)
            assert not ball.balls_known
    assert compliance(Bearing(at=0.0, ball=ODD)) > 0


@pytest.mark.parametrize("inside", [{"ball": SMALL}, {"bush": Bush(bore=6e-3, length=8e-3)}])
def test_a_seat_that_is_not_known_is_named(inside):
    bearing = Bearing(at=0.0, **inside)
    assert (compliance(bearing) == 0) == ("bush" in inside)
    shaft = replace(FAN.shafts, bearings=(bearing, replace(bearing, at=0.01)))
    assert left_out(shaft) == [*(f"shafts.bearings.{place}.seat_stiffness" for place in (0, 1)), "shafts.plates"]


def test_contact_is_taken_at_the_load_that_the_bearing_bears():
    """On two bearings the load does not depend on what they yield: the mean load that went in comes out."""
    for design in (with_bearings(FAN), FAN):  # two ball bearings, and one beside a bush
        for crank in Evaluation(design).still_shafts.cranks:
            own = np.diag(crank.supports["bearing deflection"])
            assert own[0] > 0
            means = [np.mean(load.size(design.speed.rated)) for load in crank.bearings]
            expected = np.diag(support_parts(crank.shaft, means)["bearing deflection"])
            np.testing.assert_allclose(own, expected, rtol=1e-9)
            # Without loads, bearings of which nothing is stated do not yield.
            np.testing.assert_array_equal(support_parts(crank.shaft)["bearing deflection"], np.zeros((2, 2)))


def test_three_bearings_are_worked_out_too():
    design = with_bearings(FAN)
    spare = replace(design.shafts.bearings[0], at=0.01)
    first, last = design.shafts.bearings
    design = replace(design, shafts=replace(design.shafts, bearings=(first, spare, last)))
    for crank in Evaluation(design).still_shafts.cranks:
        own = np.diag(crank.supports["bearing deflection"])
        assert own.shape == (3,)
        assert np.all((own > 0) & (own < 1e-6))


def test_design_with_stated_stiffness_is_untouched_by_contact_theory():
    for crank in Evaluation(with_bearings(FAN, stiffness=3e7)).still_shafts.cranks:
        own = crank.supports["bearing deflection"]
        np.testing.assert_array_equal(own, support_parts(crank.shaft)["bearing deflection"])
        np.testing.assert_allclose(np.diag(own), 1 / 3e7, rtol=1e-12)


def test_softer_bearings_let_the_throws_move_more():
    """On two bearings, whose loads are the same however they yield: by just what the bearings yield."""
    hard = {"stiffness": 1e20}
    contact, rigid = (Evaluation(with_bearings(FAN, **said)).still_shafts.cranks[0] for said in ({}, hard))
    for name, station in contact.stations.rods.items():
        by_bearings = [crank.influence_of(None, crank.supports["bearing deflection"], [station])
                       for crank in (contact, rigid)]  # fmt: skip
        moved = [crank.pin(name).on_bench(100.0) for crank in (contact, rigid)]
        (seat,) = contact.vectors(by_bearings[0])
        assert np.max(seat.size(100.0)) > 1e-7
        for way, more in enumerate(seat.on_bench(100.0)):
            np.testing.assert_allclose(moved[0][way] - moved[1][way], more, rtol=0, atol=1e-9 * size(moved[0][way]))


@pytest.mark.parametrize("place", [0, 1])
def test_the_bent_line_passes_through_throws_and_bearings(place):
    """At a bearing it is its load times what it yields; at a throw, the pin's displacement but for a turn about z.

    A turn moves a pin at right angles to its radius, so along that radius both are alike.
    """
    design = with_bearings(FAN, stiffness=3e6)
    loaded, speed = Evaluation(design).loaded_shafts, 120.0
    throws = [design.cranks.throws[yoke.throw] for yoke in design.yokes.values()]
    crank = loaded.cranks[place]
    at = np.array([*(throw.at for throw in throws), *(each.at for each in design.shafts.bearings)])
    line = bent_line(loaded, place, at)
    for throw, name, vector in zip(throws, design.yokes, line.vectors, strict=False):
        along = np.sin(throw.phase), np.cos(throw.phase)
        pin, axis = (each.at(speed) for each in (crank.pin(name), vector))
        assert size(pin[1]) > 1e-7
        close(*(along[0] * x + along[1] * y for x, y in (pin, axis)), size(pin[1]), 1e-9)
    x, y = line.deflections(speed)
    for row, load in enumerate(crank.bearings, len(throws)):
        across, up = load.on_bench(speed)
        supports = crank.compliance[row - len(throws), row - len(throws)]
        np.testing.assert_allclose(supports, 1 / 3e6, rtol=1e-12)
        close(x[row], across * supports, size(y))
        close(y[row], up * supports, size(y))


def test_bearings_of_many_options_are_each_what_they_are_alone():
    sizes = [(6e-3, 19e-3, 6e-3), (8e-3, 22e-3, 7e-3), (10e-3, 26e-3, 8e-3)]
    bore, outside, width = (np.array(each) for each in zip(*sizes, strict=True))
    together = Evaluation(with_bearings(FAN, ball=Ball(bore=bore, outside=outside, width=width))).bearings
    for option, (one_bore, one_outside, one_width) in enumerate(sizes):
        ball = Ball(bore=one_bore, outside=one_outside, width=one_width)
        alone = Evaluation(with_bearings(FAN, ball=ball), without_vibration=True).bearings
        for many, one in zip(together, alone, strict=True):
            assert isinstance(many, RollingDuty)
            assert isinstance(one, RollingDuty)
            assert many.name == one.name
            for field in ("life", "static_safety", "equivalent", "peak", "peak_angle"):
                values = np.broadcast_to(getattr(many, field), 3)
                np.testing.assert_allclose(values[option], getattr(one, field), rtol=1e-9, err_msg=field)


def test_every_bearing_of_both_shafts_is_named():
    names = [name for name, *_ in bearings_of(Evaluation(FAN).loaded_shafts)]
    assert names == [f"{hand} bearing {place}" for hand in HANDS for place in (1, 2)]


def test_pressure_times_speed_of_a_bush():
    """Mean load over bore times length, times the speed of the shaft's surface, at the worst of the speeds."""
    load = turns(PlanarForce(y=Load(inertia=0.01 * np.ones(24))))
    bush = Bush(bore=6e-3, length=8e-3, material="nylon")
    found = bush_duty("", bush, 1.0, load, [np.asarray(50.0), np.asarray(100.0)])
    np.testing.assert_allclose(found.speed, 100)
    np.testing.assert_allclose(found.pv, 0.01 * 100**2 / (6e-3 * 8e-3) * 100 * 3e-3, rtol=1e-12)
    assert found.limit == 0.105e6


def test_knocks_press_a_bush_as_hard_as_a_ball_bearing():
    load, bush = turns(PlanarForce(y=Load(inertia=0.01 * np.ones(24)))), Bush(bore=6e-3, length=8e-3)
    smooth, rough = (bush_duty("", bush, factor, load, [np.asarray(50.0)]) for factor in (1.0, 2.5))
    np.testing.assert_allclose([rough.load, rough.pv], [2.5 * smooth.load, 2.5 * smooth.pv], rtol=1e-12)


def test_worst_speed_of_a_bush_is_that_of_load_times_speed_and_not_of_load():
    load = turns(PlanarForce(y=Load(steady=100 * np.ones(24), inertia=-2e-3 * np.ones(24))))
    bush = Bush(bore=6e-3, length=8e-3)
    found = bush_duty("", bush, 1.0, load, [np.asarray(50.0), np.asarray(100.0)])
    np.testing.assert_allclose([found.speed, found.load], [100, 80], rtol=1e-12)


def test_limit_of_a_bush_is_stated_or_by_material_or_none():
    bush = Bush(bore=6e-3, length=8e-3)
    assert bush.limit is None
    assert replace(bush, material="babbitt", pv_limit=2e5).limit == 2e5


def test_bush_of_a_design_has_a_duty():
    found = Evaluation(FAN).bearings
    assert [type(each).__name__ for each in found] == ["RollingDuty", "BushDuty"] * 2


@pytest.mark.parametrize(
    ("said", "where"),
    [
        ({"outside": 8e-3}, "outside"),
        ({"balls": 7}, "balls"),
        ({"ball_diameter": 3e-3}, "balls"),
        ({"balls": 20, "ball_diameter": 3e-3}, "balls"),
    ],
)
def test_bearings_that_cannot_be_are_refused(said, where):
    with pytest.raises(BadDesign, match=where):
        replace(SMALL, **said)
