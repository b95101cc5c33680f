"""Crank throws: S. Timoshenko, Torsion of crankshafts, Trans. ASME 1923; also Timoshenko and Young, Vibration Problems.

The closed forms are from memory and confirmed, the numbers are own ones: nothing printed is compared. The books write
a + h for the length of the pin, h the thickness of a web, and add shear; with the length between the webs' middle
planes and without shear the form is exact for a frame.
"""

import numpy as np
import pytest
from engines.space_frame import roark_torsion
from published.crank_throws import OVERHUNG, THROW, TORSION, constrained_form, free_form, rigidities, sections
from published.frames import ALL, chain, moved


def crank(throw, held):
    """Return journal, web, pin, web, journal with the throw along y; `held`: {point: ways} besides the clamp."""
    metal, journal, pin, web = sections(throw)
    r, first = throw["radius"], throw["side"]
    last = first + throw["pin_length"]
    points = [(0, 0, 0), (0, 0, first), (0, r, first), (0, r, last), (0, 0, last), (0, 0, last + first)]
    return chain(points, [journal, web, pin, web, journal], metal, {0: ALL, **held})


def test_torsion_constant_of_the_web():
    assert roark_torsion(THROW["width"], THROW["thickness"]) == pytest.approx(270261e-12, rel=2e-6)


def test_throw_in_free_bearings():
    found = moved(crank(THROW, {}), 5, couple=(0, 0, 1))[5]
    np.testing.assert_allclose(found, free_form(THROW), rtol=1e-12)
    np.testing.assert_allclose(found, TORSION["free"], rtol=3e-7)
    np.testing.assert_allclose(found * rigidities(THROW)[0], TORSION["free_length"], rtol=3e-7)


def test_throw_in_constrained_bearings():
    """The journals can neither shift nor tilt; one of them may slide along its axis."""
    guide = (0, 1, 3, 4)
    found = moved(crank(THROW, {1: guide, 4: guide, 5: guide}), 5, couple=(0, 0, 1))[5]
    expected, k = constrained_form(THROW)
    np.testing.assert_allclose(found, expected, rtol=1e-12)
    np.testing.assert_allclose(found, TORSION["constrained"], rtol=4e-7)
    np.testing.assert_allclose(k, TORSION["k"], rtol=4e-6)
    np.testing.assert_allclose(found * rigidities(THROW)[0], TORSION["constrained_length"], rtol=4e-7)


def overhung(throw):
    """Return a web that is clamped on the axis, with a pin from its middle plane on."""
    metal, _, pin, web = sections(throw)
    r, a = throw["radius"], throw["pin_length"]
    return chain([(0, 0, 0), (0, r, 0), (0, r, a)], [web, pin], metal, {0: ALL})


def test_overhung_pin():
    """Own numbers: a^3/(3 E I) of the pin; r^3/(3 B) and a^2 r/(G J) of the web, or its bending by F a and stretch."""
    frame, force = overhung(THROW), OVERHUNG["force"]
    found = [moved(frame, 2, tuple(force * way))[number] for number, way in enumerate(np.eye(3))]
    np.testing.assert_allclose(found, [OVERHUNG[each] for each in ("tangential", "radial", "axial")], rtol=2e-6)
    _, _, c3, b, b1 = rigidities(THROW)
    r, a, metal = THROW["radius"], THROW["pin_length"], sections(THROW)[0]
    area, flat = THROW["width"] * THROW["thickness"], THROW["width"] * THROW["thickness"] ** 3 / 12
    tangential = a**3 / (3 * b1) + r**3 / (3 * b) + a**2 * r / c3
    radial = a**3 / (3 * b1) + a**2 * r / (metal.young * flat) + r / (metal.young * area)
    np.testing.assert_allclose(found[:2], [force * tangential, force * radial], rtol=1e-11)
