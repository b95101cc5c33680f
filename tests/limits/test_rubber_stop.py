"""A rubber stop between two yokes: the spring that it is, and where its force goes."""

from dataclasses import replace

import numpy as np
import pytest

from balance.errors import BadDesign
from balance.gas import gas_state
from balance.joints import joint_forces
from balance.machine.stop import Stop, disc_stiffness
from balance.motion import crank_angles, move
from balance.stop import pressed
from balance.torque import torques
from designs.command.inputs import SHIPPED
from designs.evaluate import Evaluation
from designs.reading import read
from designs.verdict import stop as verdict

BETWEEN = ("displacer", "piston")


def engine(**changes):
    stop = Stop(**({"between": BETWEEN, "thickness": 1.5e-3, "x": 0.01, "stiffness": 2e4} | changes))
    return replace(read(SHIPPED / "redesign.yaml"), stop=stop)


@pytest.mark.parametrize(("hardness", "diameter", "thickness", "stiffness"), [(50.0, 0.02, 0.01, 94.342e3)])
def test_stiffness_of_a_bonded_disc(hardness, diameter, thickness, stiffness):
    """Lindley, Engineering Design with Natural Rubber (from memory): E0 2.20 MPa, k 0.73 at 50 IRHD; S = 0.5."""
    assert disc_stiffness(hardness, diameter, thickness) == pytest.approx(stiffness, rel=1e-5)


@pytest.mark.parametrize(("hardness", "ring"), [(65.0, 5.7227e6), (75.0, 9.2390e6)])
def test_moduli_as_quoted(hardness, ring):
    """Designing with Rubber: E0 830 and 1340 lbf/in^2 at Shore 65 and 75; of a slender piece nothing else is left."""
    slender = disc_stiffness(hardness, 1e-3, 1.0) / (np.pi / 4 * 1e-6)
    assert slender == pytest.approx(ring, rel=2e-3)


def test_it_pushes_by_how_far_the_gap_falls_below_its_thickness():
    design = engine()
    motion = move(design, crank_angles(360))
    gap = motion.yokes["displacer"].height - motion.yokes["piston"].height - 8e-3  # both bars 8 mm high
    found = pressed(design, motion)
    np.testing.assert_allclose(found.compression, np.maximum(1.5e-3 - gap, 0.0), atol=1e-15)
    np.testing.assert_allclose(found.force, 2 * 2e4 * found.compression)  # two of them
    assert 0 < np.mean(found.force > 0) < 0.2
    alone = pressed(engine(x=0.0), motion)
    np.testing.assert_allclose(alone.force, found.force / 2)
    assert not np.any(pressed(engine(thickness=0.5e-3), motion).force)


def test_its_force_is_carried_by_the_rods_of_both_yokes():
    """Each pivot takes half: the upper yoke is pushed up, the lower one down, whatever the speed."""
    design = engine()
    motion = move(design, crank_angles(360))
    gas = gas_state(design, motion)
    found, bare = (joint_forces(each, motion, gas) for each in (design, replace(design, stop=None)))
    push = pressed(design, motion).force
    for name, sign in (("displacer", 1.0), ("piston", -1.0)):
        for speed in (40.0, 150.0):
            more = found[name].pivot.right.y.at(speed) - bare[name].pivot.right.y.at(speed)
            np.testing.assert_allclose(more, -sign * push / 2, atol=1e-9)


def test_a_spring_gives_back_what_it_takes():
    """The torque of the stop over a turn does no work (energy balance), though it is large."""
    design = engine()
    motion = move(design, crank_angles(2304))
    gas = gas_state(design, motion)
    with_stop, bare = (torques(each, motion, joint_forces(each, motion, gas)).total.at(100.0)
                       for each in (design, replace(design, stop=None)))  # fmt: skip
    change = with_stop - bare
    assert np.max(np.abs(change)) > 0.05
    assert abs(np.mean(change)) < 1e-5 * np.max(np.abs(change))


def test_heat_is_pi_times_loss_factor_times_the_largest_energy():
    design = engine(loss_factor=0.1)
    found = pressed(design, move(design, crank_angles(720)))
    deepest = np.max(found.compression)
    assert found.heat(0.1) == pytest.approx(np.pi * 0.1 * 2 * 2e4 * deepest**2 / 2, rel=1e-3)


def test_one_that_is_pressed_too_hard_fails():
    (row,) = verdict.rows(Evaluation(engine(thickness=3e-3)))
    assert row.state == "FAIL"
    (row,) = verdict.rows(Evaluation(engine(thickness=0.8e-3)))
    assert row.state == "pass"
    assert verdict.rows(Evaluation(read(SHIPPED / "redesign.yaml"))) == []


@pytest.mark.parametrize(
    ("changes", "where"),
    [
        ({"stiffness": None}, ()),
        ({"between": ("piston", "piston")}, ("between",)),
        ({"between": ("piston", "pump")}, ("stop", "between", "1")),
        ({"x": 0.05}, ("stop", "x")),
        ({"hardness": 95.0}, ("hardness",)),
    ],
)
def test_a_stop_that_cannot_be_is_refused(changes, where):
    with pytest.raises(BadDesign) as caught:
        engine(**changes)
    assert caught.value.complaints[0].where == where
