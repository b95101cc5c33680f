"""Critical speeds of shafts in print.

Shigley's Mechanical Engineering Design, 9th ed., ex. 7-5; Sarkar, Design of Machine Elements, ch. 11; Bevan, Theory of
Machines, ch. 15; Khurmi and Gupta, Theory of Machines, ch. 23; Den Hartog, Mechanical Vibrations, ch. 6 (from memory).
They bend shafts without shear (Euler); ours gives in shear too, by up to a few parts in a thousand here.
"""

import numpy as np
import pytest
from shaft_samples import cantilever, light, simple_shaft
from whirling import plain_rotor, whirls

from balance.machine.materials import Material
from shafts.whirl.bodies import Body
from shafts.whirl.periodic import PeriodicSystem

INCH, POUND, PSI = 0.0254, 4.4482216152605, 6894.757293168
GRAVITY = 386.1 * INCH
SHIGLEY_LOADS = {7 * INCH: 35 * POUND, 20 * INCH: 55 * POUND}


def shigley_rotor():
    shaft = simple_shaft(31 * INCH, INCH, light(30e6 * PSI))
    return plain_rotor(shaft, [Body("load", at, weight / GRAVITY) for at, weight in SHIGLEY_LOADS.items()])


def test_shigley_example_7_5_influence():
    """delta_11 2.061e-4, delta_22 3.534e-4, delta_12 2.224e-4 in/lbf."""
    give = shigley_rotor().flexibility[:4:2, :4:2] * POUND / INCH
    np.testing.assert_allclose(give, [[2.061e-4, 2.224e-4], [2.224e-4, 3.534e-4]], rtol=7e-3)


def test_shigley_example_7_5_speeds():
    """Rayleigh 124.8 rad/s lies above the exact 124.68, Dunkerley 120.4 below it; the second is 461.55."""
    body = shigley_rotor()
    first, second = whirls(body, 1)[:2]
    np.testing.assert_allclose([first, second], [124.68, 461.55], rtol=5e-3)
    weights = np.array(list(SHIGLEY_LOADS.values()))
    sag = body.flexibility[:4:2, :4:2] @ weights
    rayleigh = np.sqrt(GRAVITY * np.sum(weights * sag) / np.sum(weights * sag**2))
    dunkerley = 1 / np.sqrt(np.sum(np.diag(body.flexibility)[:4:2] * weights / GRAVITY))
    np.testing.assert_allclose([rayleigh, dunkerley], [124.8, 120.36], rtol=5e-3)
    assert dunkerley < first < rayleigh


def test_shigley_example_7_5_bare_shaft():
    """The shaft alone, 0.282 lbf/in^3: 520.4 rad/s; with the loads by Dunkerley 117.3, a lower bound."""
    material = Material(density=0.282 * POUND / GRAVITY / INCH**3, young=30e6 * PSI, shear=11.5e6 * PSI)
    shaft = simple_shaft(31 * INCH, INCH, material)
    np.testing.assert_allclose(whirls(plain_rotor(shaft, []), 1)[0], 520.4, rtol=5e-3)
    loads = [Body("load", at, weight / GRAVITY) for at, weight in SHIGLEY_LOADS.items()]
    assert 117.27 * 0.997 < whirls(plain_rotor(shaft, loads), 1)[0] < 124.8


def test_sarkar_illustrations():
    """450 N on 1.10 m of 100 mm cantilever: 34.96 Hz; 100 kg at a third of 0.9 m of 60 mm: 51.83 Hz."""
    hung = cantilever(1.1, 0.1, light(200e9))
    found = whirls(plain_rotor(hung, [Body("load", 1.1, 450 / 9.81)]), 1)[0]
    np.testing.assert_allclose(found / (2 * np.pi), 34.96, rtol=5e-3)
    borne = simple_shaft(0.9, 0.06, light(200e9))
    found = whirls(plain_rotor(borne, [Body("load", 0.3, 100.0)]), 1)[0]
    np.testing.assert_allclose(found / (2 * np.pi), 51.83, rtol=1.5e-2)  # thick for its span: shear counts


def test_bevan_example_1():
    """0.3 ton overhung by 36 in of 3 in shaft, E 30e6: 634.5 a minute."""
    shaft = cantilever(36 * INCH, 3 * INCH, light(30e6 * PSI))
    found = whirls(plain_rotor(shaft, [Body("load", 36 * INCH, 0.3 * 2240 * POUND / (32.2 * 12 * INCH))]), 1)[0]
    np.testing.assert_allclose(found * 30 / np.pi, 634.5, rtol=5e-3)


def test_khurmi_three_loads():
    """1000, 1500, 750 N at 1, 2, 2.5 m of 3 m of 50 mm: exact 3.634 Hz, Dunkerley 3.505 below it."""
    shaft = simple_shaft(3.0, 0.05, light(200e9))
    loads = [Body("load", at, weight / 9.81) for at, weight in ((1.0, 1000.0), (2.0, 1500.0), (2.5, 750.0))]
    body = plain_rotor(shaft, loads)
    np.testing.assert_allclose(whirls(body, 1)[0] / (2 * np.pi), 3.634, rtol=2e-3)
    dunkerley = 1 / np.sqrt(sum(body.flexibility[place, place] * body.mass[place, place] for place in (0, 2, 4)))
    np.testing.assert_allclose(dunkerley / (2 * np.pi), 3.505, rtol=2e-3)


def overhung(share: float) -> tuple:
    length, diameter, mass, young = 1.0, 0.005, 2.0, 200e9
    tilt = share * mass * length**2
    disc = Body("disc", length, mass, 2 * tilt, tilt)
    unit = young * np.pi / 64 * diameter**4 / (mass * length**3)
    return plain_rotor(cantilever(length, diameter, light(young)), [disc], own=3), unit


@pytest.mark.parametrize("share", [0.001, 0.1, 1 / 3, 1.0, 3.0, 1000.0])
def test_den_hartog_overhung_disc(share: float):
    """Thin disc, D = I_d/(m l^2), whirling with the turning: K^2 = m w^2 l^3/EI = 6 - 2/D + sqrt((6 - 2/D)^2 + 12/D).

    3.00676, 3.77639, 6, 9.29150, 11.02934, 11.99700, and no second one. Shear on 200 diameters of shaft is 1e-4 of
    bending.
    """
    body, unit = overhung(share)
    found = whirls(body, 1, modes=6)
    expected = 6 - 2 / share + np.sqrt((6 - 2 / share) ** 2 + 12 / share)
    np.testing.assert_allclose(found**2 / unit, [expected], rtol=5e-4)


@pytest.mark.parametrize(("share", "expected"), [(0.1, [1.69195, 23.64139]), (1 / 3, [0.788897, 15.21110])])
def test_den_hartog_overhung_disc_against_the_turning(share: float, expected: list[float]):
    """Against the turning once a turn there are two (computed from the same equation with -D replaced by 3 D)."""
    body, unit = overhung(share)
    np.testing.assert_allclose(whirls(body, -1, modes=6) ** 2 / unit, expected, rtol=5e-4)


def test_lalanne_and_ferraris_monorotor():
    """Rotordynamics Prediction in Engineering, ch. 2 (from memory; the inputs give the printed outputs).

    Shaft 0.4 m of 20 mm, disc 150/10 mm radius of 30 mm at a third, 7800 kg/m^3, 200 GPa, its shape taken as a half
    wave: 46.02 Hz at rest, 2520 rpm backward and 3089 forward. That shape is stiffer than the true one, and the
    shaft here has shear: one mode of the exact solution must lie below, by less than a tenth.
    """
    rest, density = 46.02, 7800.0
    outer, inner, thick = 0.15, 0.01, 0.03
    mass = density * np.pi * (outer**2 - inner**2) * thick
    across = mass * (3 * (outer**2 + inner**2) + thick**2) / 12
    disc = Body("disc", 0.4 / 3, mass, mass * (outer**2 + inner**2) / 2, across)
    np.testing.assert_allclose([mass, across, disc.polar], [16.467, 0.094273, 0.186077], rtol=1e-5)
    steel = Material(density=density, young=2e11, shear=2e11 / 2.6)
    body = plain_rotor(simple_shaft(0.4, 0.02, steel), [disc])
    backward, forward = (whirls(body, way)[0] * 30 / np.pi for way in (-1, 1))
    for found, printed in ((backward, 2520), (forward, 3089)):
        assert 0.9 * printed < found < printed
    assert backward < forward
    # With the book's shape alone as the only mode, its own numbers come out.
    m, a, k = 14.2949, 2.87105, 1195389.0
    system = PeriodicSystem(
        np.broadcast_to(k * np.eye(2), (5, 2, 2)), np.zeros((2, 2)), np.zeros((2, 2)), m * np.eye(2),
        (2 * m - a) * np.array([[0.0, -1.0], [1.0, 0.0]]), (a - m) * np.eye(2),
    )  # fmt: skip
    speeds = system.critical_speeds[0] * 30 / np.pi
    assert np.sqrt(k / m) / (2 * np.pi) == pytest.approx(rest, rel=1e-4)
    for printed in (2519.9, 3089.2):
        assert np.min(np.abs(speeds / printed - 1)) < 1e-4


def test_lalanne_and_ferraris_with_a_spring_in_one_plane():
    """5e5 N/m at two thirds, of which that shape takes sin^2 120: 46.02 and 52.75 Hz at rest, 2641.8 and 3377.5 rpm.

    Computed from (k1 - m X)(k2 - m X) = a^2 X^2, X the square of the speed. The spring stands on the bench: it goes
    round the shaft once a turn, against it.
    """
    m, a, k, more = 14.2949, 2.87105, 1195389.0, 5e5 * np.sin(2 * np.pi / 3) ** 2
    theta = 2 * np.pi / 13 * np.arange(13)
    way = np.stack([np.cos(theta), np.sin(theta)], axis=-1)
    system = PeriodicSystem(
        k * np.eye(2) + more * way[:, :, None] * way[:, None, :], np.zeros((2, 2)), np.zeros((2, 2)), m * np.eye(2),
        (2 * m - a) * np.array([[0.0, -1.0], [1.0, 0.0]]), (a - m) * np.eye(2),
    )  # fmt: skip
    assert system.first_frequency / (2 * np.pi) == pytest.approx(46.02, abs=5e-3)
    assert np.sqrt((k + more) / m) / (2 * np.pi) == pytest.approx(52.75, abs=5e-3)
    speeds = system.critical_speeds[0] * 30 / np.pi
    squares = np.roots([m**2 - a**2, -m * (2 * k + more), k * (k + more)])
    for exact, told in zip(np.sort(np.sqrt(squares)) * 30 / np.pi, (2641.8, 3377.5), strict=True):
        assert exact == pytest.approx(told, rel=1e-4)  # of rounded inputs
        assert np.min(np.abs(speeds / exact - 1)) < 1e-9


def test_bearings_that_yield_lower_the_critical_speed():
    """A mass midway, each bearing as stiff as the shaft: lower by 1/sqrt(1.5) = 0.816497 (from memory)."""
    shaft = simple_shaft(1.0, 0.01, light(200e9))
    load = [Body("load", 0.5, 3.0)]
    stiff = plain_rotor(shaft, load, own=3)
    soft = plain_rotor(shaft, load, stiffness=1 / stiff.flexibility[0, 0], own=3)
    assert whirls(soft, 1)[0] / whirls(stiff, 1)[0] == pytest.approx(0.816497, rel=1e-5)


def test_sarkar_illustration_11():
    """180 mm by 2.5 m, 25, 50 and 20 kg at 0.6, 1.5 and 2.0 m with its own mass: 3111.6 rpm by Dunkerley, exact 3129.9.

    Sarkar, ch. 11, p. 297; the exact value, without shear, computed. Shear in so thick a shaft takes 3 percent.
    """
    mass = 1962 / 9.81
    material = Material(density=mass / (np.pi / 4 * 0.18**2), young=210e9, shear=1e17)
    loads = [Body("load", at, each) for at, each in ((0.6, 25.0), (1.5, 50.0), (2.0, 20.0))]
    body = plain_rotor(simple_shaft(2.5, 0.18, material), loads)
    found = whirls(body, 1)[0] * 30 / np.pi
    assert found > 3108.9
    assert found == pytest.approx(3129.9, rel=6e-3)  # discs of the shaft's own mass tilt and turn: forward is quicker
