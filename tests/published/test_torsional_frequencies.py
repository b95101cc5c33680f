"""Torsional vibration in print: Khurmi and Gupta, Theory of Machines, ex. 24.2 (recalled); Bevan, ch. 15, ex. 1."""

import numpy as np
from shaft_samples import BUSH, light

from shafts.bearings.bearing import Bearing
from shafts.shaft import Segment, Shaft
from shafts.whirl.torsion import TorsionalSystem, torsional_frequencies, twist_give, twists

INCH, POUND, PSI = 0.0254, 4.4482216152605, 6894.757293168


def stepped(sizes: list[tuple[float, float]], shear: float) -> Shaft:
    """Return a shaft of segments (diameter, length) from zero on."""
    segments = tuple(Segment(diameter=diameter, length=length) for diameter, length in sizes)
    bearings = (Bearing(at=0.0, bush=BUSH), Bearing(at=sizes[0][1], bush=BUSH))
    return Shaft(material=light(2.6 * shear, shear), segments=segments, starts_at=0.0, bearings=bearings)


def test_khurmi_example_24_2():
    """95 mm x 0.6, 60 x 0.5, 50 x 0.4 m; 900 kg k 0.85 m and 700 kg k 0.55 m, 80 GN/m^2: 8.955 m, 3.3657 Hz."""
    shaft = stepped([(0.095, 0.6), (0.06, 0.5), (0.05, 0.4)], 80e9)
    polar = np.pi / 32 * 0.095**4
    np.testing.assert_allclose(twists(shaft, 0.0, [1.5])[0] * 80e9 * polar, 8.955, rtol=1e-4)
    inertia = np.array([900 * 0.85**2, 700 * 0.55**2])
    for origin in (0.0, 0.7, 1.5):  # whatever the twist is measured from
        system = TorsionalSystem(["one", "other"], twist_give(shaft, [0.0, 1.5], [0.0, 1.5], origin), inertia)
        np.testing.assert_allclose(torsional_frequencies(system)[0] / (2 * np.pi), 3.3657, rtol=1e-4)


def test_bevan_example_1():
    """0.3 ton with k 15 in on 36 in of 3 in shaft that is built in, G 12e6: 785.95 a minute."""
    shaft = stepped([(3 * INCH, 36 * INCH)], 12e6 * PSI)
    inertia = 0.3 * 2240 * POUND / (32.2 * 12 * INCH) * (15 * INCH) ** 2
    system = TorsionalSystem(
        ["wall", "wheel"], twist_give(shaft, [0.0, 36 * INCH], [0.0, 36 * INCH], 0.0), np.array([1e9, inertia])
    )
    np.testing.assert_allclose(torsional_frequencies(system)[0] * 30 / np.pi, 785.95, rtol=1e-4)
