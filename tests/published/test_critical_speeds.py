"""Critical speeds of shafts in print.

Shigley's Mechanical Engineering Design, 9th ed., ex. 7-5; Sarkar, Design of Machine Elements, ch. 11; Bevan, Theory of
Machines, ch. 15; Khurmi and Gupta, Theory of Machines, ch. 23; Den Hartog, Mechanical Vibrations, ch. 6 (recalled).
They bend shafts without shear (Euler); ours gives in shear too, by up to a few parts in a thousand here.
"""

import numpy as np
import pytest
from shaft_samples import cantilever, light, simple_shaft

from balance.machine.materials import Material
from shafts.whirl.critical import critical_speeds, whirl_frequencies
from shafts.whirl.discs import Disc
from shafts.whirl.rotor import MANY, PointMass, rotor

INCH, POUND, PSI = 0.0254, 4.4482216152605, 6894.757293168
GRAVITY = 386.1 * INCH
RIGID = [0.0, 0.0]
SHIGLEY_LOADS = {7 * INCH: 35 * POUND, 20 * INCH: 55 * POUND}


def shigley_rotor():
    shaft = simple_shaft(31 * INCH, INCH, light(30e6 * PSI))
    return rotor(shaft, [PointMass(at, weight / GRAVITY) for at, weight in SHIGLEY_LOADS.items()], RIGID)


def test_shigley_example_7_5_influence():
    """delta_11 2.061e-4, delta_22 3.534e-4, delta_12 2.224e-4 in/lbf."""
    give = shigley_rotor().give[:2, :2] * POUND / INCH
    np.testing.assert_allclose(give, [[2.061e-4, 2.224e-4], [2.224e-4, 3.534e-4]], rtol=7e-3)


def test_shigley_example_7_5_speeds():
    """Rayleigh 124.8 rad/s lies above the exact 124.68, Dunkerley 120.4 below it; the second is 461.55."""
    body = shigley_rotor()
    first, second = critical_speeds(body)[:2]
    np.testing.assert_allclose([first, second], [124.68, 461.55], rtol=5e-3)
    weights = np.array(list(SHIGLEY_LOADS.values()))
    sag = body.give[:2, :2] @ weights
    rayleigh = np.sqrt(GRAVITY * np.sum(weights * sag) / np.sum(weights * sag**2))
    dunkerley = 1 / np.sqrt(np.sum(np.diag(body.give)[:2] * weights / GRAVITY))
    np.testing.assert_allclose([rayleigh, dunkerley], [124.8, 120.36], rtol=5e-3)
    assert dunkerley < first < rayleigh


def test_shigley_example_7_5_bare_shaft():
    """The shaft alone, 0.282 lbf/in^3: 520.4 rad/s; with the loads by Dunkerley 117.3, a lower bound."""
    material = Material(density=0.282 * POUND / GRAVITY / INCH**3, young=30e6 * PSI, shear=11.5e6 * PSI)
    shaft = simple_shaft(31 * INCH, INCH, material)
    np.testing.assert_allclose(critical_speeds(rotor(shaft, [], RIGID, MANY))[0], 520.4, rtol=5e-3)
    loads = [PointMass(at, weight / GRAVITY) for at, weight in SHIGLEY_LOADS.items()]
    assert 117.27 * 0.997 < critical_speeds(rotor(shaft, loads, RIGID))[0] < 124.8


def test_sarkar_illustrations():
    """450 N on 1.10 m of 100 mm cantilever: 34.96 Hz; 100 kg at a third of 0.9 m of 60 mm: 51.83 Hz."""
    hung = cantilever(1.1, 0.1, light(200e9))
    found = critical_speeds(rotor(hung, [PointMass(1.1, 450 / 9.81)], RIGID))[0]
    np.testing.assert_allclose(found / (2 * np.pi), 34.96, rtol=5e-3)
    borne = simple_shaft(0.9, 0.06, light(200e9))
    found = critical_speeds(rotor(borne, [PointMass(0.3, 100.0)], RIGID))[0]
    np.testing.assert_allclose(found / (2 * np.pi), 51.83, rtol=1.5e-2)  # thick for its span: shear counts


def test_bevan_example_1():
    """0.3 ton overhung by 36 in of 3 in shaft, E 30e6: 634.5 a minute."""
    shaft = cantilever(36 * INCH, 3 * INCH, light(30e6 * PSI))
    found = critical_speeds(rotor(shaft, [PointMass(36 * INCH, 0.3 * 2240 * POUND / (32.2 * 12 * INCH))], RIGID))[0]
    np.testing.assert_allclose(found * 30 / np.pi, 634.5, rtol=5e-3)


def test_khurmi_three_loads():
    """1000, 1500, 750 N at 1, 2, 2.5 m of 3 m of 50 mm: exact 3.634 Hz, Dunkerley 3.505 below it."""
    shaft = simple_shaft(3.0, 0.05, light(200e9))
    loads = [PointMass(at, weight / 9.81) for at, weight in ((1.0, 1000.0), (2.0, 1500.0), (2.5, 750.0))]
    body = rotor(shaft, loads, RIGID)
    np.testing.assert_allclose(critical_speeds(body)[0] / (2 * np.pi), 3.634, rtol=2e-3)
    dunkerley = 1 / np.sqrt(sum(body.give[place, place] * body.mass[place] for place in range(3)))
    np.testing.assert_allclose(dunkerley / (2 * np.pi), 3.505, rtol=2e-3)


@pytest.mark.parametrize("share", [0.001, 0.1, 1 / 3, 1.0, 3.0, 1000.0])
def test_den_hartog_overhung_disc(share: float):
    """Thin disc, D = I_d/(m l^2), whirling with the turning: K^2 = m w^2 l^3/EI = 6 - 2/D + sqrt((6 - 2/D)^2 + 12/D).

    3.00676, 3.77639, 6, 9.29150, 11.02934, 11.99700. Shear on 200 diameters of shaft is 1e-4 of bending.
    """
    length, diameter, mass, young = 1.0, 0.005, 2.0, 200e9
    tilt = share * mass * length**2
    body = rotor(cantilever(length, diameter, light(young)), [Disc("disc", length, mass, 2 * tilt, tilt)], RIGID)
    found = critical_speeds(body)[0] ** 2 * mass * length**3 / (young * np.pi / 64 * diameter**4)
    expected = 6 - 2 / share + np.sqrt((6 - 2 / share) ** 2 + 12 / share)
    np.testing.assert_allclose(found, expected, rtol=5e-4)
    speed = critical_speeds(body)[0]
    np.testing.assert_allclose(whirl_frequencies(body, speed, 2)[0][0], speed, rtol=1e-7)
