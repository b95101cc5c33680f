"""Whirl of random stepped shafts with discs against finite elements of scikit-fem (engines/finite_rotor.py)."""

from functools import cache

import numpy as np
import pytest
from engines.finite_rotor import Matrices, critical, matrices, response
from random_designs import Seeded, shaft
from whirling import alone, plain_rotor, whirls

from shafts.whirl.bodies import Body
from shafts.whirl.rotor import Rotor

SEEDS = range(300, 310)
TOLERANCE = 1e-3
STIFFNESS = 3e7  # N/m, of every bearing


@cache
def both(seed: int) -> tuple[Rotor, Matrices, int]:
    """Return one random shaft twice over, and how many bodies it carries; every other one is bare."""
    pick = Seeded(seed)
    turned = shaft(pick)
    start, end = float(turned.starts_at), float(turned.ends_at)
    bodies: list[Body] = []
    for _ in range(3 * (seed % 2)):
        tilt = pick.number(0.0, 5e-6)
        at = start + pick.number(0.0, 1.0) * (end - start)
        bodies.append(Body("disc", at, pick.number(0.005, 0.1), tilt * pick.number(0.5, 2.0), tilt))
    gives = [1 / STIFFNESS] * len(turned.bearings)
    return plain_rotor(turned, bodies, STIFFNESS), matrices(turned, bodies, gives), len(bodies)


@pytest.mark.parametrize("seed", SEEDS)
@pytest.mark.parametrize("order", [1, -1, 3])
def test_critical_speeds(seed: int, order: int):
    """The lowest two of each order."""
    ours, theirs, _ = both(seed)
    expected = critical(theirs, order)[:2]
    found = whirls(ours, order, orders=4, modes=24)
    for speed in expected:
        assert np.min(np.abs(found / speed - 1)) < TOLERANCE


@pytest.mark.parametrize("seed", [301, 305, 307])
@pytest.mark.parametrize("order", [2, -3])
def test_answer_to_a_whirling_force(seed: int, order: int):
    """The displacement at every body to a force on the first that goes round so, at 0.6 of its critical speed."""
    ours, theirs, count = both(seed)
    speed = 0.6 * critical(theirs, order)[0]
    system = alone(ours, orders=4, modes=60)
    shapes = ours.modes(np.zeros_like(ours.mass), np.inf, 1, 60).shapes
    theta = 2 * np.pi / system.angles * np.arange(system.angles)
    # The crank turns clockwise: in its frame what goes round clockwise n times a turn does so n - 1 times.
    pull = np.exp(-1j * (order - 1) * theta)
    push = pull.real[:, None] * shapes[0] + pull.imag[:, None] * shapes[1]
    moved = system.answer(push[None], np.array([speed]))[0] @ shapes.T
    places = [5 * number for number in range(count)]  # x, y, two tilts and twist of each
    found = np.array([np.mean((moved[:, place] + 1j * moved[:, place + 1]) * np.conj(pull)) for place in places])
    expected = response(theirs, speed, order, 0)[:count]
    np.testing.assert_allclose(found.imag, 0.0, atol=1e-6 * np.abs(expected).max())
    np.testing.assert_allclose(found.real, expected, atol=5 * TOLERANCE * np.abs(expected).max())
