"""Whirl of random stepped shafts with discs against finite elements of scikit-fem (engines/finite_rotor.py)."""

from functools import cache

import numpy as np
import pytest
from engines.finite_rotor import Matrices, critical, frequencies, matrices, response
from random_designs import Seeded, shaft
from shafts.deflection import bearing_give

from shafts.whirl.critical import critical_speeds, whirl_frequencies
from shafts.whirl.discs import Disc
from shafts.whirl.rotor import FEW, MANY, PointMass, Rotor, rotor

SEEDS = range(300, 310)
TOLERANCE = 1e-3


@cache
def both(seed: int, points: int = MANY) -> tuple[Rotor, Matrices]:
    """Return one random shaft twice over; every other one is bare but for the mass of its own."""
    pick = Seeded(seed)
    turned = shaft(pick)
    start, end = float(turned.starts_at), float(turned.ends_at)
    bodies: list[Disc | PointMass] = []
    for _ in range(3 * (seed % 2)):
        tilt = pick.number(0.0, 5e-6)
        at = start + pick.number(-0.3, 1.2) * (end - start)
        bodies.append(Disc("disc", at, pick.number(0.005, 0.1), tilt * pick.number(0.5, 2.0), tilt))
    bodies.append(PointMass(start - 0.01, pick.number(0.0, 0.03) * (seed % 2)))
    gives = [float(bearing_give(bearing)) for bearing in turned.bearings]
    return rotor(turned, bodies, gives, points), matrices(turned, bodies, gives)


@pytest.mark.parametrize("seed", SEEDS)
@pytest.mark.parametrize("order", [1, -1, 3])
def test_critical_speeds(seed: int, order: int):
    """The lowest three of each order."""
    ours, theirs = both(seed)
    expected = critical(theirs, order)
    np.testing.assert_allclose(critical_speeds(ours, order)[: len(expected)], expected, rtol=TOLERANCE)


@pytest.mark.parametrize("seed", SEEDS)
def test_the_quick_look_at_the_first_one(seed: int):
    quick, theirs = both(seed, FEW)
    np.testing.assert_allclose(critical_speeds(quick)[0], critical(theirs, 1)[0], rtol=TOLERANCE)


@pytest.mark.parametrize("seed", [301, 303, 304])
def test_frequencies_while_turning(seed: int):
    ours, theirs = both(seed)
    speed = 0.5 * critical(theirs, 1)[0]
    for mine, expected in zip(whirl_frequencies(ours, speed, 2), frequencies(theirs, speed), strict=True):
        np.testing.assert_allclose(mine, expected, rtol=TOLERANCE)


@pytest.mark.parametrize("seed", [301, 305, 307])
@pytest.mark.parametrize("order", [2, -3])
def test_response_to_a_swinging_force(seed: int, order: int):
    """The deflection at every body to a force on the first, at 0.6 of the critical speed of the order."""
    ours, theirs = both(seed)
    speed = 0.6 * critical(theirs, order)[0]
    moved = speed**2 * (order**2 * ours.mass - order * ours.spin)
    answer = np.linalg.solve(np.eye(len(moved)) - ours.give * moved, ours.give[:, 0])
    expected = response(theirs, speed, order, 0)
    found = answer[: len(expected)]
    np.testing.assert_allclose(found, expected, atol=3 * TOLERANCE * np.abs(expected).max())
