"""The speed of first contact: the gap is zero there, and positive at every speed below."""

from dataclasses import replace

import numpy as np
import pytest
from limits.gaps import pair
from random_engines import random_engine

from shafts.gap.contact import first_contact, first_root

TOP = 300.0
CLOSING = [seed for seed in range(20) if pair(random_engine(seed, 2), 36).least(TOP)[0]
           < pair(random_engine(seed, 2), 36).least(0.0)[0] - 1e-6][:8]  # fmt: skip


def near_contact(seed, room):
    """Return a pair whose nominal gap is `room` times what its shafts give up to the top speed."""
    found = pair(random_engine(seed, 2))
    still, fast = (float(found.least(speed)[0]) for speed in (0.0, TOP))
    return nearer(found, still - room * (still - fast)), still - fast


def nearer(found, by):
    """Return a pair with its faces so much nearer, m."""
    return replace(found, facing=replace(found.facing, nominal=found.facing.nominal - by))


@pytest.mark.parametrize("room", [0.05, 0.4, 0.9])
@pytest.mark.parametrize("seed", CLOSING)
def test_the_gap_is_nought_at_first_contact_and_positive_before(seed, room):
    found, given = near_contact(seed, room)
    assert given > 1e-7
    speed = first_contact(found, TOP)
    assert 0.0 < speed < TOP
    if speed < 1e-9:  # what bears no load at rest leaves the middle of its play as soon as the engine turns
        assert found.least(0.0)[0] > 0 >= found.least(1e-6)[0]
        return
    # Where the teeth change flank the gap jumps, and no speed has a gap of zero: then it has both signs there.
    at, before = (float(found.least(each)[0]) for each in (speed, speed * (1 - 1e-9)))
    assert at <= 1e-12
    assert before >= -1e-12
    assert abs(at) < 1e-9 or before > 0 > at
    # Only a graze narrower than the finest of the pieces that are looked at is missed, as the code says.
    slower = np.linspace(0.0, speed * (1 - 1e-6), 300)
    assert min(float(found.least(each)[0]) for each in slower) > -1e-9


@pytest.mark.parametrize("seed", [0, 1, 5, 6, 7])
def test_a_touch_that_comes_and_goes_is_found(seed):
    """A gap that dips between two speeds and opens again, faces so near that it touches in the dip alone."""
    found = pair(random_engine(seed, 2), 36)
    speeds = np.sqrt(np.linspace(0.0, 1.0, 1001)) * TOP
    course = np.array([float(found.least(each)[0]) for each in speeds])
    dips = [n for n in range(1, 1000) if course[n] < min(course[n - 1], course[n + 1]) - 1e-8]
    tried = 0
    for dip in dips:
        level = course[dip] + 0.3 * (min(course[dip - 1], course[dip + 1]) - course[dip])
        if np.min(course[:dip]) <= level:
            continue
        tried += 1
        contact = float(first_contact(nearer(found, level), TOP))
        assert speeds[dip - 1] < contact <= speeds[dip] * (1 + 1e-9)
    assert tried


@pytest.mark.parametrize("seed", CLOSING[:4])
def test_no_contact_and_contact_at_rest(seed):
    found, _ = near_contact(seed, 1.5)
    assert first_contact(found, TOP) == np.inf
    assert first_contact(nearer(found, 0.1), TOP) == 0.0


@pytest.mark.parametrize("seed", CLOSING[:4])
def test_the_worst_case_touches_no_later(seed):
    found, _ = near_contact(seed, 0.7)
    assert first_contact(found, TOP, "worst") <= first_contact(found, TOP)


def test_roots_of_known_functions_for_many_options_at_once():
    """1 - (x/a)^4 crosses at a; the cubic (x - 2)(x - 5)(x - 6) turned over crosses first at 2."""
    a = np.array([0.5, 3.0, 7.0, 40.0])
    found = first_root(lambda x: 1 - (x / a) ** 4, 10.0)
    np.testing.assert_allclose(found, [0.5, 3.0, 7.0, np.inf], rtol=1e-11)
    cubic = first_root(lambda x: -(x - 2) * (x - 5) * (x - 6) / 60, np.array([8.0]))
    np.testing.assert_allclose(cubic, 2.0, rtol=1e-11)


@pytest.mark.parametrize("power", [0.3, 1.0, 9.0])
def test_stiff_roots_are_closed_in_on(power):
    found = first_root(lambda x: np.sign(3.3 - x) * np.abs(3.3 - x) ** power, np.array(10.0))
    np.testing.assert_allclose(found, 3.3, rtol=1e-3 if power > 1 else 1e-11)


def test_a_jump_is_found_and_a_root_at_the_very_end():
    np.testing.assert_allclose(first_root(lambda x: np.where(x < 4.2, 1.0, -3.0), np.array(10.0)), 4.2, rtol=1e-11)
    assert first_root(lambda x: 10.0 - x, np.array(10.0)) == 10.0
    assert first_root(lambda x: 0.0 * x, np.array(10.0)) == 0.0
    np.testing.assert_array_equal(first_root(lambda x: x - np.array([1.0, -1.0]), np.full(2, 10.0)), [0.0, np.inf])


def test_many_options_at_once_touch_when_they_do_alone():
    found, _ = near_contact(1, 0.5)
    tops = np.array([0.6, 1.0]) * TOP
    both = first_root(lambda speed: np.array([float(found.least(each)[0]) for each in speed]), tops)
    alone = [float(first_contact(found, top)) for top in tops]
    np.testing.assert_allclose(both, alone, rtol=1e-9)
