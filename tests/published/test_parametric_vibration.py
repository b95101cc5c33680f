"""Systems whose stiffness returns each turn: Mathieu's equation, asymmetric shafts, and what harmonic balance hides.

Abramowitz and Stegun, Handbook of Mathematical Functions, table 20.1 (DLMF 28.6); Den Hartog, Mechanical Vibrations,
and Tondl, Some Problems of Rotor Dynamics, for the shaft of two stiffnesses (all from memory); the forced answer of a
Mathieu oscillator computed to twelve digits by time integration.
"""

import numpy as np
import pytest
from scipy.integrate import solve_ivp
from whirling import one_freedom

from shafts.whirl.floquet import growth, over_a_turn
from shafts.whirl.periodic import PeriodicSystem, derivatives

TURN = np.array([[0.0, -1.0], [1.0, 0.0]])


def mathieu(a: float, q: float, angles: int = 41):
    """Of y'' + (a - 2 q cos 2 theta) y = 0: at speed 1 a characteristic value a has a motion that returns each turn."""
    return one_freedom(lambda theta: a - 2 * q * np.cos(2 * theta), angles=angles)


@pytest.mark.parametrize(
    ("a", "q", "digits"),
    [(4.37130098, 1, 1e-8), (3.91702477, 1, 1e-8), (100.12636922, 5, 1e-9)],  # a2, b2; a10
)
def test_mathieu_characteristic_values_are_critical_speeds(a: float, q: float, digits: float):
    """Where K stays above zero over the turn the eigenproblem itself has them."""
    speeds, _ = mathieu(a, q).critical_speeds
    assert np.min(np.abs(speeds - 1)) < digits / a * 2


@pytest.mark.parametrize(
    ("a", "q"),
    [(-0.45513860, 1), (1.85910807, 1), (-0.11024882, 1), (4.37130098, 1), (3.91702477, 1),
     (-5.80004602, 5), (1.85818754, 5), (-5.79008060, 5), (7.44910974, 5), (2.09946045, 5), (100.12636922, 5)],
)  # fmt: skip
def test_mathieu_characteristic_values_are_edges_of_stability(a: float, q: float):
    """a0, a1, b1, a2, b2 of q = 1 and 5, and a10: both factors of a turn of 2 pi are one, and add up to two."""
    turn = over_a_turn(mathieu(a, q, 161), 1.0)
    assert np.trace(turn) == pytest.approx(2.0, abs=2e-4)
    assert np.linalg.det(turn) == pytest.approx(1.0, abs=1e-9)


@pytest.mark.parametrize("inside", [0.96, 1.0, 1.04])
@pytest.mark.parametrize("outside", [0.9, 0.94, 1.06, 1.2])
def test_a_shaft_of_two_stiffnesses_is_unstable_between_its_critical_speeds(inside: float, outside: float):
    """k1 0.9, k2 1.1, m 1: unstable for sqrt(k1/m) < W < sqrt(k2/m) without damping."""
    system = two_stiffnesses()
    assert growth(system, inside) > 1.01
    assert growth(system, outside) == pytest.approx(1.0, abs=1e-6)


def two_stiffnesses() -> PeriodicSystem:
    stiffness = np.broadcast_to(np.diag([0.9, 1.1]), (9, 2, 2))
    none = np.zeros((2, 2))
    return PeriodicSystem(stiffness, none, none, np.eye(2), 2 * TURN, -np.eye(2))


def test_its_weight_excites_it_just_below_half_the_critical_speed():
    """W^2 = k1 k2/(2 m (k1 + k2)): 0.4974937; an unbalance at sqrt(k/m): 0.948683 and 1.048809."""
    speeds, _ = two_stiffnesses().critical_speeds
    for expected in (0.4974937, 0.948683, 1.048809):
        assert np.min(np.abs(speeds - expected)) < 5e-7


def swung(share: float, damping: float, speed: float):
    """Of x'' + 2 z x' + (1 + e cos W t) x = 0 with theta = W t: growth in one period of the stiffness."""
    return growth(one_freedom(lambda theta: 1 + share * np.cos(theta), 2 * damping), speed)


def test_damped_parametric_resonance():
    """Near W = 2 it grows from e = 4 z on (from memory); for z = 0.05 from 0.199969 on at W = 1.99627."""
    below, above = ((0.1995, 1.99627, False), (0.1998, 2.0, False)), ((0.2004, 1.99627, True), (0.2004, 2.0, True))
    for share, speed, grows in (*below, *above):
        assert (swung(share, 0.05, speed) > 1) == grows
    assert swung(0.2, 0.05, 1.8) < 1


def forced(speed: float) -> tuple[PeriodicSystem, np.ndarray]:
    """Of x'' + 0.1 x' + (1 + 0.3 cos 2Wt) x = cos Wt, and its answer by harmonic balance, (angles,)."""
    system = one_freedom(lambda theta: 1 + 0.3 * np.cos(2 * theta), 0.1)
    theta = 2 * np.pi / system.angles * np.arange(system.angles)
    return system, system.answer(np.cos(theta)[None, :, None], np.array([speed]))[0, :, 0]


def orders(values: np.ndarray) -> np.ndarray:
    return 2 * np.fft.rfft(values) / len(values)


def test_harmonic_balance_of_a_mathieu_oscillator():
    """W 0.8: order 1 1.9598692 at -20.49034 degrees, order 3 0.0617016, order 5 0.00061683, peak 2.0080110."""
    system, found = forced(0.8)
    finely = np.fft.irfft(np.fft.rfft(found), 4001) * 4001 / len(found)
    assert np.max(finely) == pytest.approx(2.0080110, abs=2e-6)
    first = orders(found)
    np.testing.assert_allclose(np.abs(first[[1, 3, 5]]), [1.9598692, 0.0617016, 0.00061683], rtol=1e-5)
    assert np.rad2deg(np.angle(first[1])) == pytest.approx(-20.49034, abs=1e-4)
    assert growth(system, 0.8) < 1


def test_balance_answers_where_the_motion_is_unstable_and_stability_says_so():
    """W 1.0: 14.2736006 and 0.2674733 by the balance, but e = 0.3 is beyond 4 z = 0.2: a disturbance grows."""
    system, found = forced(1.0)
    np.testing.assert_allclose(np.abs(orders(found)[[1, 3]]), [14.2736006, 0.2674733], rtol=1e-5)
    assert growth(system, 1.0) > 1.05


def test_the_balance_is_what_time_integration_settles_to():
    system, found = forced(0.8)

    def rates(theta: float, state: np.ndarray) -> list[float]:
        place, rate = state
        pull = np.cos(theta) - (1 + 0.3 * np.cos(2 * theta)) * place - 0.1 * 0.8 * rate
        return [rate, pull / 0.8**2]

    start = [found[0], (derivatives(system.angles)[0] @ found)[0]]
    theta = 2 * np.pi / system.angles * np.arange(system.angles)
    settled = solve_ivp(rates, (0, 4 * np.pi), start, rtol=1e-11, atol=1e-12, t_eval=2 * np.pi + theta)
    np.testing.assert_allclose(settled.y[0], found, atol=1e-8)
