"""Loaded shafts: Bhandari, Design of Machine Elements, ex. 5.20; Wentzell, Machine Design, chapters 5 and 17.

The inputs as printed; figures recomputed unrounded.
"""

import numpy as np
import pytest
from bare_shafts import under
from shaft_samples import BUSH, THETA, bearing_up, one_section

from balance.cycle.load import Load, PlanarForce
from balance.machine.materials import MATERIALS
from shafts.bearings.bearing import Bearing
from shafts.crank.loads import CrankLoad
from shafts.shaft import Segment, Shaft
from shafts.strength.fatigue import cycle, goodman, soderberg
from shafts.strength.stress import inside_shaft

INCH, PSI, POUND, POUND_INCH = 0.0254, 6894.757293168, 4.4482216152605, 0.1129848290276


def test_bhandari_example_5_20():
    """M 600 to 200, T 200 to 70 N m, 540/400/200 N/mm^2, safety 2: 33.29 mm by Goodman's line."""
    diameter = 33.2877e-3
    loads = one_section(diameter, (400.0, 200.0), (135.0, 65.0))
    capacity = bearing_up(diameter, (1.0, 1.0), (200e6, 540e6, 400e6))
    safety = goodman(cycle(loads, capacity, np.asarray(0.0)), 200e6, 540e6)
    np.testing.assert_allclose(safety.min(), 2.0, rtol=1e-4)


@pytest.mark.parametrize(("line", "strength", "diameter"), [(soderberg, 37e3, 1.8198), (goodman, 90e3, 1.6473)])
def test_wentzell_examples_5_2_and_5_3(line, strength: float, diameter: float):
    """1000 lb on and off at 12 in, 90/37 ksi, S_n 0.85 x 34 ksi, safety 1.6: 1.82 in (Soderberg), 1.65 in (Goodman)."""
    half = 6000 * POUND_INCH
    loads = one_section(diameter * INCH, (half, half), (0.0, 0.0))
    capacity = bearing_up(diameter * INCH, (1.0, 1.0), (0.85 * 34e3 * PSI, 90e3 * PSI, 37e3 * PSI))
    safety = line(cycle(loads, capacity, np.asarray(0.0)), 0.85 * 34e3 * PSI, strength * PSI)
    np.testing.assert_allclose(safety.min(), 1.6, rtol=2e-4)


def test_wentzell_example_17_1():
    """5 hp at 1750 rpm through a gear of 4 in in the middle of 15 in of 0.75 in shaft.

    Torsion 2173 psi, 90 lb on the teeth, 95.78 lb in all, 359.2 lb in of bending, 8672 psi (the book rounds the section
    modulus and prints 8760). The bending stands in space, so all of it alternates; the torque is steady.
    """
    torque = 5 * 33000 * 12 / (2 * np.pi * 1750) * POUND_INCH
    tangential = Load(steady=torque / (2 * INCH) + 0 * THETA)
    shaft = Shaft(
        material=MATERIALS["steel"],
        segments=(Segment(length=15 * INCH, diameter=0.75 * INCH),),
        starts_at=0.0,
        bearings=(Bearing(at=0.0, bush=BUSH), Bearing(at=15 * INCH, bush=BUSH)),
    )
    steady = Load(steady=torque + 0 * THETA)
    spread = np.tan(np.deg2rad(20))
    teeth = CrankLoad("gear teeth", "teeth", 7.5 * INCH, force=PlanarForce(y=tangential), torque=steady, apart=spread)
    inside = inside_shaft(under(shaft, [teeth, CrankLoad("load", "torque", 15 * INCH, torque=-steady)], THETA))
    gear = [place.name for place in inside.sections.places].index("gear teeth")
    moment = inside.moment.at(np.asarray(0.0))[gear]
    np.testing.assert_allclose(np.abs(moment) / POUND_INCH, 359.2, rtol=5e-4)
    np.testing.assert_allclose(np.abs(np.mean(moment)), 0.0, atol=1e-12)
    capacity = bearing_up(0.75 * INCH, (1.0, 1.0), (1.0, 1.0, 1.0))
    np.testing.assert_allclose(np.abs(moment).max() * capacity.bending[0] / PSI, 8672, rtol=5e-4)
    behind = inside.torque.at(np.zeros(1))[gear + len(inside.sections.places)]
    np.testing.assert_allclose(behind * capacity.torsion[0] / PSI, 2173, rtol=5e-4)
    np.testing.assert_allclose(inside.torque.at(np.zeros(1))[gear], 0.0, atol=1e-12)
