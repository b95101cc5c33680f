"""Transmissibility of a spring with a dashpot: Den Hartog, Mechanical Vibrations, section 2.12 (from memory).

The numbers follow from its formula by hand; that every curve passes 1 at sqrt(2) is read off its figure.
"""

import numpy as np
import pytest
from limits.evaluated import one_yoke, run

from balance.case.body import case
from balance.case.loads import case_loads
from balance.case.vibration import vibration
from balance.machine.mount import Feet, Mount
from balance.machine.yoke import Slot

CASES = [(0.0, 3.0, 0.1250, 5e-5), (0.1, 3.0, 0.14537, 5e-6), (0.05, 5.0, 0.04657, 5e-6), (0.2, 1.0, 2.69258, 5e-6)]
CASES += [(damping, np.sqrt(2), 1.0, 1e-9) for damping in (0.0, 0.05, 0.3, 1.0)]


@pytest.mark.parametrize(("damping", "ratio", "expected", "digits"), CASES)
def test_mounted_case_passes_on_the_same(damping: float, ratio: float, expected: float, digits: float) -> None:
    """A slot yoke shakes in order 1 alone, along the cylinder alone: the mount is one spring and one mass."""
    found = run(one_yoke({"slot": Slot()}))
    body = case(Mount(mass=2.5, feet=Feet(stiffness=2.5 * 100.0**2, damping_ratio=damping)))
    loads = case_loads(found.moved, found.machine, found.forces, found.torques, found.shaking)
    passed = vibration(body, loads, np.array([100.0 * ratio])).passed_on()
    assert passed[0] == pytest.approx(expected, abs=max(digits, 1e-6))  # peaks are found to 1e-6
