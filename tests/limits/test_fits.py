"""Laws that fits keep: of shaft and bore, of rings in their seats, and of what they do to internal clearance."""

from dataclasses import replace

import numpy as np
import pytest

from balance.errors import BadDesign
from balance.machine.materials import MATERIALS
from shafts.bearings.ball import Ball
from shafts.bearings.bearing import Bearing
from shafts.bearings.bush import Bush
from shafts.bearings.fit import fitted, in_seat, on_shaft
from shafts.bearings.needle import NEEDLE_STOCK
from shafts.bearings.play import bought, clearance_range
from shafts.bearings.stiffness import by_contact, own_compliance
from shafts.pieces import diameters_in, height_beside
from shafts.shaft import Notch, Segment, Shaft

STEEL = MATERIALS["silver-steel"]
SMALL = Bearing(at=0.0, ball=Ball(bore=8e-3, outside=22e-3, width=7e-3))  # CN: 2 to 13 um
UM = 1e-6


def micrometres(found) -> list[float]:
    return [float(each) / UM for each in found]


def test_without_a_fit_the_clearance_is_as_bought():
    assert clearance_range(SMALL) == bought(SMALL)


def test_a_loose_ring_adds_its_play():
    loose = replace(SMALL, fit=4 * UM, seat_fit=6 * UM)
    np.testing.assert_allclose(micrometres(clearance_range(loose)), [2 + 10, 13 + 10], rtol=1e-9)


def test_glue_takes_that_play_up_again():
    glued = replace(SMALL, fit=4 * UM, seat_fit=6 * UM, held_by="glue")
    np.testing.assert_allclose(micrometres(clearance_range(glued)), [2, 13], rtol=1e-9)


def test_interference_takes_nine_tenths_of_the_least_and_seven_of_the_most():
    tight = replace(SMALL, clearance="C3", fit=-5 * UM)  # C3: 8 to 23 um
    np.testing.assert_allclose(micrometres(clearance_range(tight)), [8 - 4.5, 23 - 3.5], rtol=1e-9)
    both = replace(tight, seat_fit=-2 * UM)
    np.testing.assert_allclose(micrometres(clearance_range(both)), [8 - 4.5 - 1.8, 23 - 3.5 - 1.4], rtol=1e-9)


def test_a_class_widens_the_range_both_ways():
    """h6 of 8 mm: 0 to -9 um, the bore 0 to -8 um: 8 um tight to 9 um loose."""
    found = replace(SMALL, fit="h6")
    np.testing.assert_allclose(micrometres(fitted(found, bought(found))), [2 - 7.2, 13 + 9], rtol=1e-9)
    assert clearance_range(found)[0] == 0  # a preloaded bearing has no clearance, and no less than none


def test_a_seat_class_counts_against_the_outer_ring():
    """H7 of 22 mm: 0 to 21 um, the ring 0 to -9 um; N7: -28 to -7 um."""
    np.testing.assert_allclose(micrometres(clearance_range(replace(SMALL, seat_fit="H7"))), [2, 13 + 30], rtol=1e-9)
    tight = replace(SMALL, seat_fit="N7")
    np.testing.assert_allclose(micrometres(fitted(tight, bought(tight))), [2 - 0.9 * 28, 13 + 2], rtol=1e-9)


def test_a_measured_clearance_is_changed_by_the_fit_like_any_other():
    np.testing.assert_allclose(
        micrometres(clearance_range(replace(SMALL, clearance=5e-6, fit=3e-6))), [8, 8], rtol=1e-9
    )


def test_options_at_once_are_each_what_they_are_alone():
    plays = np.array([-6.0, 0.0, 7.0]) * UM
    least, most = clearance_range(replace(SMALL, fit=plays))
    for number, play in enumerate(plays):
        alone = clearance_range(replace(SMALL, fit=float(play)))
        np.testing.assert_allclose([least[number], most[number]], alone, rtol=1e-12)


def test_play_of_a_bush_by_its_classes():
    """H7 on f7 at 8 mm: 13 to 43 um."""
    bush = Bearing(at=0.0, bush=Bush(bore=8e-3, length=8e-3, tolerance="H7"), fit="f7")
    np.testing.assert_allclose(micrometres(clearance_range(bush)), [13, 43], rtol=1e-9)
    assert clearance_range(replace(bush, fit=None)) == (0.0, 0.0)


def test_play_of_needles_by_the_class_of_the_shaft():
    """F8 inside the rollers at 6 mm: 10 to 28 um; h5 down to -5, any of h5 to h7 down to -12 um."""
    cup = Bearing(at=0.0, needle=NEEDLE_STOCK["HK0608"])
    np.testing.assert_allclose(micrometres(clearance_range(cup)), [10, 40], rtol=1e-9)
    np.testing.assert_allclose(micrometres(clearance_range(replace(cup, fit="h5"))), [10, 33], rtol=1e-9)
    measured = replace(cup, needle=replace(cup.needle, play=15 * UM), seat_fit=-20 * UM)
    np.testing.assert_allclose(micrometres(clearance_range(measured)), [15, 15], rtol=1e-9)


@pytest.mark.parametrize(
    ("shaft", "said", "value", "limit"),
    [
        (8.0, {}, 0, 14),  # g6 of 8 mm: -14 um
        (5.94, {}, 2060, 14),
        (7.98, {}, 20, 14),
        (8.0, {"fit": 10e-6}, 10, 14),
        (8.0, {"fit": "f7"}, 28, 14),
        (8.0, {"fit": "h6"}, 9, 14),
        (7.95, {"held_by": "glue", "fit": 50e-6}, 50, 100),
        (8.05, {}, 50, 8),  # a thousandth of the bore
        (8.0, {"fit": "s6"}, 23, 8),  # 23 um at its loosest
    ],
)
def test_shaft_and_bore_are_one_fit(shaft, said, value, limit):
    found = on_shaft(replace(SMALL, **said), shaft * 1e-3, shaft * 1e-3)
    np.testing.assert_allclose(micrometres(found.misfit), [value, limit], atol=1e-6)


def test_what_is_not_given_is_not_known_to_fit():
    assert not on_shaft(SMALL, 8e-3, 8e-3).given
    assert on_shaft(replace(SMALL, fit="h6"), 8e-3, 8e-3).given
    assert not on_shaft(replace(SMALL, fit=5e-6), 7.99e-3, 7.99e-3).given  # 10 um that the fit does not tell of
    assert on_shaft(replace(SMALL, fit=10e-6), 7.99e-3, 7.99e-3).given
    bush = Bearing(at=0.0, bush=Bush(bore=8e-3, length=8e-3))
    assert not on_shaft(bush, 8e-3, 8e-3).given
    assert on_shaft(replace(bush, clearance=2e-5), 8e-3, 8e-3).given


def test_what_is_pressed_in_must_be_tight():
    loose, tight = (on_shaft(replace(SMALL, held_by="press", fit=play), 8e-3, 8e-3) for play in (1e-6, -3e-6))
    value, limit = loose.misfit
    assert value > limit
    value, limit = tight.misfit
    assert value <= limit


def test_a_class_that_may_be_too_tight_says_so():
    assert on_shaft(replace(SMALL, fit="k6"), 8e-3, 8e-3).may_be_too_tight  # up to 18 um of 8
    assert not on_shaft(replace(SMALL, fit="h6"), 8e-3, 8e-3).may_be_too_tight
    assert in_seat(replace(SMALL, seat_fit="N7")).may_be_too_tight
    assert in_seat(SMALL) is None


@pytest.mark.parametrize(("micrometre", "fits"), [(5, True), (38, True), (40, False)])
def test_a_bush_is_pressed_in_as_tightly_as_s6_in_h7_and_no_tighter(micrometre: int, fits: bool) -> None:
    """Of 14 mm s6 is 28 to 39 um above the nominal size, which H7 reaches (ISO 286-2, from memory)."""
    bush = Bearing(at=0.0, bush=Bush(bore=10e-3, length=12e-3, outside=14e-3), seat_fit=-micrometre * UM)
    value, limit = in_seat(bush).misfit
    assert float(limit) == pytest.approx(39 * UM)
    assert bool(value <= limit) is fits
    assert in_seat(replace(bush, seat_fit="H7")) is None  # its own size has no class


def test_a_step_under_a_bearing_counts_with_both_its_diameters():
    segments = (Segment(length=20e-3, diameter=8e-3), Segment(length=20e-3, diameter=10e-3))
    others = tuple(replace(SMALL, at=at) for at in (5e-3, 16.5e-3, 18e-3))
    shaft = Shaft(material=STEEL, segments=segments, starts_at=0.0, bearings=(others[0], others[2]))
    beside, touching, over = (diameters_in(shaft, bearing) for bearing in others)
    assert (beside, touching, over) == ((8e-3, 8e-3), (8e-3, 8e-3), (8e-3, 10e-3))
    np.testing.assert_allclose([height_beside(shaft, each) for each in others], [0, 1e-3, 1e-3], atol=1e-12)
    grooved = replace(shaft, notches=(Notch(at=9.5e-3, kind="groove", depth=0.3e-3),))
    np.testing.assert_allclose(
        [height_beside(grooved, each, groove=True) for each in others[:2]], [3e-4, 0], atol=1e-12
    )


@pytest.mark.parametrize(
    ("said", "where"),
    [
        ({"ball": None, "needle": NEEDLE_STOCK["HK0608"], "axial_load": 3.0}, "axial_load"),
        ({"ball": None, "needle": NEEDLE_STOCK["HK0608"], "clearance": "C3"}, "clearance"),
        ({"ball": None, "needle": NEEDLE_STOCK["HK0608"], "fit": 1e-5}, "fit"),
        ({"ball": Ball(bore=60e-3, outside=90e-3, width=7e-3), "fit": "h6"}, "fit"),
        ({"needle": NEEDLE_STOCK["HK0608"]}, "one of"),
    ],
)
def test_what_does_not_go_together_is_refused(said, where):
    with pytest.raises(BadDesign, match=where):
        replace(SMALL, **said)


@pytest.mark.parametrize(
    ("said", "where"),
    [
        ({"outside": 6e-3}, "outside"),
        ({"rollers": 8}, "rollers"),
        ({"rollers": 30, "roller_diameter": 1.5e-3, "roller_length": 5e-3}, "rollers"),
        ({"rollers": 8, "roller_diameter": 1.5e-3, "roller_length": 9e-3}, "roller_length"),
        ({"rollers": 8, "roller_diameter": 2.1e-3, "roller_length": 5e-3}, "roller_diameter"),
        ({"hardness": 700.0}, "hardness"),
    ],
)
def test_needles_that_cannot_be_are_refused(said, where):
    with pytest.raises(BadDesign, match=where):
        replace(NEEDLE_STOCK["HK0608"], **said)


def test_needles_give_by_contact_with_rollers_given_or_from_their_rating():
    """Rollers that make up the static rating stand for those not given; more or longer rollers give less."""
    cup = Bearing(at=0.0, needle=NEEDLE_STOCK["HK0608"], seat_stiffness=5e7)
    assert by_contact(cup)
    assert own_compliance(cup, 100.0) > 0.0 == own_compliance(cup)
    rollers = {"rollers": 12, "roller_diameter": 1.5e-3, "roller_length": 5e-3}
    given, fewer = (replace(cup, needle=replace(cup.needle, **(rollers | more))) for more in ({}, {"rollers": 8}))
    assert own_compliance(given, 100.0) < own_compliance(fewer, 100.0)
    odd = replace(cup, needle=replace(cup.needle, width=8.5e-3))
    assert not by_contact(odd)
