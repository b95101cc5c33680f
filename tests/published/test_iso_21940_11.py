"""ISO 21940-11:2016 (ISO 1940-1:2003): permissible residual unbalance.

The example of a turbine rotor stands in ISO 1940-1:2003, 7.2 and annex; from memory.
"""

import numpy as np
import pytest

from balance.quality import (
    GRADES,
    grade_reached,
    named_grade,
    permissible_eccentricity,
    permissible_unbalance,
)

MASS, SPEED, GRADE = 3600.0, 3000 * np.pi / 30, 2.5e-3


def test_turbine_rotor() -> None:
    """3600 kg at 3000 r/min, G 2.5: 8 um, 28.6e3 g mm."""
    assert permissible_eccentricity(GRADE, SPEED) == pytest.approx(8e-6, abs=0.05e-6)
    unbalance = permissible_unbalance(GRADE, MASS, SPEED)
    assert unbalance * 1e6 == pytest.approx(28.6e3, abs=0.05e3)


def test_formula_of_the_trade() -> None:
    """U = 9549 G m/n in g mm, with G in mm/s, m in kg, n in r/min (ISO 1940-1, 6.2)."""
    assert permissible_unbalance(6.3e-3, 0.43, 1500 * np.pi / 30) * 1e6 == pytest.approx(
        9549 * 6.3 * 0.43 / 1500, rel=1e-4
    )


@pytest.mark.parametrize(("mass", "speed", "grade"), [(3600.0, 314.16, 2.5e-3), (0.4, 157.0, 16e-3)])
def test_what_is_permitted_just_reaches_its_grade(mass: float, speed: float, grade: float) -> None:
    assert grade_reached(permissible_unbalance(grade, mass, speed), mass, speed) == pytest.approx(grade)


@pytest.mark.parametrize(
    ("reached", "name"),
    [(6.3e-3, "G 6.3"), (6.31e-3, "G 16"), (0.0, "G 0.4"), (3.9, "G 4000"), (4.1, "coarser than G 4000")],
)
def test_finest_grade_that_is_met(reached: float, name: str) -> None:
    assert named_grade(reached).split(":")[0] == name


def test_grades_of_the_table() -> None:
    """ISO 21940-11, table 1 (from memory): each grade is 2.5 times the one below, rounded as preferred numbers are."""
    assert sorted(GRADES) == [0.4, 1, 2.5, 6.3, 16, 40, 100, 250, 630, 1600, 4000]
    np.testing.assert_allclose(sorted(GRADES), 10 ** (0.4 * np.arange(-1, 10)), rtol=0.013)
