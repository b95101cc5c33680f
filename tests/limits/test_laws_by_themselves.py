"""Laws called by themselves, as in a notebook: lists as arrays, and what has no answer is refused or is NaN."""

import numpy as np
import pytest

from balance.doubt.shares import wilson
from balance.flywheel import evenness
from balance.gas import circle
from balance.machine.crank import Cranks, Throw
from balance.machine.disc import disc_inertia, disc_mass
from balance.machine.machine import Machine, SpeedRange
from balance.machine.rubber import buffer_stiffness
from balance.machine.stop import disc_stiffness
from balance.machine.threads import stress_area
from balance.machine.yoke import Rod, Yoke
from balance.motion import crank_angles, move, stroke
from balance.quality import named_grade
from shafts.bearings.ratings import mean_load
from shafts.iso_286 import limits
from shafts.strength.teeth import velocity_factor

MACHINE = Machine(
    speed=SpeedRange(least=50.0, rated=100.0, most=150.0),
    cranks=Cranks(centre_distance=40e-3, throws={"outer": Throw(radius=9e-3, at=0.0)}),
    yokes={"piston": Yoke(throw="outer", half_span=20e-3, rod=Rod(length=60e-3), parts={"piston": 40e-3})},
)


@pytest.mark.parametrize(
    ("law", "said"),
    [
        (lambda: crank_angles(0), "allowed: 1 or more"),
        (lambda: move(MACHINE, [0.0, np.nan]), "not finite"),
        (lambda: stroke(MACHINE, "displacer", move(MACHINE)), "read 'displacer'; allowed: piston"),
        (lambda: named_grade(float("nan")), "read nan"),
        (lambda: wilson(0, 0), "0 of 0"),
        (lambda: stress_area("M7"), "read 'M7'; allowed: M2"),
        (lambda: limits("x6", 8e-3), "read 'x'"),
        (lambda: limits("", 8e-3), "read ''"),
        (lambda: velocity_factor(2.0, "forged"), "read 'forged'"),
    ],
)
def test_what_has_no_answer_is_refused_in_words(law, said):
    with pytest.raises(ValueError, match=said):
        law()


def test_rubber_of_a_hardness_beyond_the_table_has_no_stiffness():
    """It had that of the nearest hardness in the table."""
    assert np.isnan(buffer_stiffness(0.02, 0.02, [39.0, 71.0])).all()
    assert np.isfinite(buffer_stiffness(0.02, 0.02, [40.0, 70.0])).all()
    assert np.isnan(disc_stiffness(76.0, 0.02, 0.005)) and np.isfinite(disc_stiffness(75.0, 0.02, 0.005))


@pytest.mark.parametrize(
    ("law", "values"),
    [
        (circle, [0.01, 0.02]),
        (lambda thickness: disc_inertia(0.1, thickness, 7850.0), [0.01, 0.02]),
        (lambda thickness: disc_mass(0.1, thickness, 7850.0), [0.01, 0.02]),
        (lambda load: mean_load(load), [1.0, 2.0, 3.0]),
        (lambda torque: evenness(torque).energy, [1.0, 2.0, 3.0, 2.0]),
        (lambda theta: move(MACHINE, theta).yokes["piston"].height, [0.0, 1.0]),
    ],
)
def test_a_list_is_what_its_array_is(law, values):
    np.testing.assert_array_equal(law(values), law(np.array(values)))
