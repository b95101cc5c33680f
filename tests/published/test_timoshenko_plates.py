"""Diaphragms: clamped plates with a rigid middle, and the effective area of cloth and plate.

Timoshenko and Woinowsky-Krieger, Theory of Plates and Shells, table 3 (clamped plate, rigid middle, force at it;
nu 0.3), from memory; the table's digits. Effective areas of clamped elastic plates by reciprocity, worked out by hand
and by numerical integration here; of cloth, pi (D^2 + D d + d^2)/12 (the volume of a truncated cone).
"""

import numpy as np
import pytest
from scipy.integrate import quad

from balance.machine.carried import Diaphragm
from balance.machine.materials import MATERIALS
from balance.machine.membrane import POISSON, cone_share, plate_share, plate_stiffness


@pytest.mark.parametrize(("over", "factor", "digits"), [(1.25, 0.00129, 5e-6), (2, 0.0237, 1e-4), (3, 0.062, 5e-4),
                                                        (5, 0.114, 1e-3)])  # fmt: skip
def test_deflection_of_a_plate_with_a_rigid_middle(over, factor, digits):
    """W = k1 P a^2/(E h^3), the table's k1 by a/b."""
    assert 1 / plate_stiffness(1 / over, 2.0, 1.0, 1.0) == pytest.approx(factor, abs=digits)


def test_without_a_middle_it_is_the_plate_under_a_point_load():
    """W = P a^2/(16 pi D)."""
    rigidity = 2e11 * 1e-9 / (12 * (1 - POISSON**2))
    assert plate_stiffness(1e-6, 0.1, 1e-3, 2e11) == pytest.approx(16 * np.pi * rigidity / 0.05**2, rel=1e-9)


@pytest.mark.parametrize(("ratio", "plate", "cloth"), [(0.2, 0.350611, 0.4133), (0.4, 0.484209, 0.52),
                                                       (0.5, 0.558414, 0.5833), (0.8, 0.809335, 0.8133)])  # fmt: skip
def test_effective_areas(ratio, plate, cloth):
    assert plate_share(ratio) == pytest.approx(plate, abs=1e-6)
    assert cone_share(ratio) == pytest.approx(cloth, abs=1e-4)


@pytest.mark.parametrize("ratio", [0.15, 0.62, 0.9])
def test_effective_area_of_a_plate_is_the_volume_it_sweeps(ratio):
    """The bent shape from the four conditions at its edges, integrated numerically."""

    def terms(x):
        return np.array([1.0, np.log(x), x**2, x**2 * np.log(x)])

    def slopes(x):
        return np.array([0.0, 1 / x, 2 * x, x * (2 * np.log(x) + 1)])

    shape = np.linalg.solve([terms(1.0), slopes(1.0), slopes(ratio), terms(ratio)], [0, 0, 0, 1])
    swept = quad(lambda x: 2 * x * (terms(x) @ shape), ratio, 1, epsabs=1e-13)[0]
    assert plate_share(ratio) == pytest.approx(ratio**2 + swept, rel=1e-9)


def test_a_diaphragm_by_what_can_be_measured():
    """Cloth of 46 mm free and 30 mm clamped: pi (46^2 + 46 30 + 30^2)/12 = 1150.9 mm^2, less a 6 mm stem."""
    cloth = Diaphragm(free_diameter=0.046, clamp_diameter=0.030, stem=0.006)
    assert cloth.working_area == pytest.approx((4396 * np.pi / 12 - 9 * np.pi) * 1e-6, rel=1e-12)
    assert cloth.working_area_at_ends == cloth.working_area
    assert cloth.stiffness == 0.0
    steel = Diaphragm(free_diameter=0.06, clamp_diameter=0.03, sheet="stretched", thickness=2e-4,
                      material=MATERIALS["steel"])  # fmt: skip
    by_table = MATERIALS["steel"].young * 2e-4**3 / (0.0237664 * 0.03**2)
    assert steel.stiffness == pytest.approx(by_table, rel=1e-4)
    assert steel.working_area == pytest.approx(0.558414 * np.pi * 0.03**2, rel=1e-5)


def test_what_is_given_goes_before_what_follows_from_sizes():
    told = Diaphragm(area=1e-3, area_at_ends=8e-4, spring=500.0, free_diameter=0.05, clamp_diameter=0.03)
    assert (told.working_area, told.working_area_at_ends, told.stiffness) == (1e-3, 8e-4, 500.0)
