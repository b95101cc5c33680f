"""Gear forces and plain bushes: Wentzell, Machine Design."""

from dataclasses import replace

import numpy as np
import pytest
from limits.evaluated import on_shafts, one_yoke, teeth
from limits.one_pin import turns

from balance.cycle.load import Load, PlanarForce
from balance.machine.crank import Gears
from balance.machine.yoke import Slot
from balance.torque import Torques
from shafts.bearings.bush import BUSH_LIMITS, Bush, bush_duty
from shafts.crank.loads import crank_loads

INCH, LBF, PSI, FOOT = 0.0254, 4.4482216152605, 6894.757293168, 0.3048
FLAT = np.ones(8)


def test_example_12_1_forces_of_a_spur_gear():
    """Page 254: 5 hp at 1725 rpm, 20 teeth, P 8, 20 degrees: F_t 146.09, F_r 53.17, together 155.46 lb.

    The book rounds the horsepower: torque 63 000 hp / rpm.
    """
    torque = 63000 * 5 / 1725 * LBF * INCH
    gears = Gears(module=INCH / 8, teeth=20, at=0.0)
    machine = one_yoke({"slot": Slot()})
    machine = replace(machine, cranks=replace(machine.cranks, centre_distance=2.5 * INCH, gears=gears))
    mesh = teeth(crank_loads(on_shafts(machine), {}, Torques(Load(), Load(), Load(steady=torque * FLAT)), "right"))
    tangential = mesh.force.y.at(1.0)
    apart = mesh.apart * np.abs(tangential)
    np.testing.assert_allclose(tangential / LBF, 146.09, rtol=1e-4)
    np.testing.assert_allclose(apart / LBF, 53.17, rtol=1e-4)
    np.testing.assert_allclose(np.hypot(tangential, apart) / LBF, 155.46, rtol=1e-4)


def test_example_19_1_pressure_times_speed_of_a_bush():
    """Page 417: 20 lb, 500 rpm, 0.75 in shaft, pV 3000 psi ft/min: 0.873, made 0.875 in; 30.48 psi, 98.17 ft/min."""
    load = turns(PlanarForce(y=Load(steady=-20 * LBF * FLAT)))
    bush = Bush(bore=0.75 * INCH, length=0.875 * INCH, pv_limit=3000 * PSI * FOOT / 60)
    duty = bush_duty("bush", bush, 1.0, load, [np.asarray(500 * np.pi / 30)])
    np.testing.assert_allclose(duty.pressure / PSI, 30.48, atol=0.005)
    np.testing.assert_allclose(duty.rubbing / FOOT * 60, 98.17, rtol=1e-4)
    np.testing.assert_allclose(duty.pv / duty.limit, 0.873 / 0.875, rtol=1e-3)


@pytest.mark.parametrize(
    ("material", "psi_feet_per_minute"),
    [
        ("sintered bronze", 50_000),
        ("turned bronze", 50_000),
        ("lined with PTFE", 51_400),
        ("babbitt", 30_000),
        ("nylon", 3_000),
    ],
)
def test_limits_of_bush_materials(material, psi_feet_per_minute):
    """Mott, Machine Elements in Mechanical Design, table 16-1: 1.75 MPa m/s (50 000 psi ft/min), 1.05 and 0.105.

    Lined bushes have 1.80 there; turned bronze is taken to bear what porous bronze does (common practice, no source).
    """
    np.testing.assert_allclose(BUSH_LIMITS[material], psi_feet_per_minute * PSI * FOOT / 60, rtol=2e-3)
