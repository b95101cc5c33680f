"""A machine that turns the other way passes through the same positions in reverse: what follows time changes, no more.

A rhombic drive with its pivots between the shafts is one with its pivots outside, each half mirrored about its own
shaft: there pins that move inward at the top are pins that move outward, so the two must agree exactly.
"""

from dataclasses import replace

import numpy as np
import pytest
from limits.evaluated import run
from random_designs import random_machine

from balance.case.body import case
from balance.case.loads import CaseLoads
from balance.case.vibration import vibration
from balance.cycle.load import Load
from balance.machine.yoke import Displacer, FlowLoss
from balance.shaking import Shaking
from balance.torque import mean
from designs.command.inputs import SHIPPED
from designs.counsel.advised import judge
from designs.evaluate import Evaluation
from designs.reading import read
from designs.tables.counterweights import counted
from shafts.whirl.floquet import growth

RHOMBIC = read(SHIPPED / "rhombic.yaml")
LOSS = FlowLoss(pressure=400.0, speed=90.0)


def turning(design, way):
    return replace(design, cranks=replace(design.cranks, turning=way))


def with_loss(design):
    name, yoke = next(pair for pair in design.yokes.items() if isinstance(pair[1].carries, Displacer))
    carries = replace(yoke.carries, flow_loss=LOSS)
    return replace(design, yokes={**design.yokes, name: replace(yoke, carries=carries)})


def between(design):
    """Return a rhombic drive with its pivots as far inside of the shafts as they were outside."""
    distance = design.cranks.centre_distance
    yokes = {name: replace(yoke, half_span=distance - yoke.half_span) for name, yoke in design.yokes.items()}
    return replace(design, yokes=yokes)


def backwards(values):
    """Return a course over crank angle read from its end: at -theta."""
    return np.roll(np.asarray(values)[..., ::-1], 1, axis=-1)


@pytest.mark.parametrize("seed", range(6))
def test_without_losses_forces_are_the_same_and_power_changes_its_sign(seed):
    machine = random_machine(seed)
    yokes = {name: yoke if not isinstance(yoke.carries, Displacer)
             else replace(yoke, carries=replace(yoke.carries, flow_loss=None))
             for name, yoke in machine.yokes.items()}  # fmt: skip
    one, other = (run(turning(replace(machine, yokes=yokes), way)) for way in ("outward", "inward"))
    for name, forces in one.forces.items():
        for hand in ("right", "left"):
            here, there = getattr(forces.pin, hand), getattr(other.forces[name].pin, hand)
            np.testing.assert_array_equal(here.y.at(80.0), there.y.at(80.0))
    work, back = (each.gas.indicated_work(each.moved).at(80.0) for each in (one, other))
    np.testing.assert_array_equal(work, -back)


def test_with_its_pivots_between_the_shafts_a_rhombic_drive_runs_inward_at_the_top():
    """Power, heights and forces along the cylinder of both drives, flow losses included: the same at -theta."""
    usual, other = (Evaluation(with_loss(each)) for each in (RHOMBIC, turning(between(RHOMBIC), "inward")))
    for name, moved in usual.motion.yokes.items():
        np.testing.assert_allclose(other.motion.yokes[name].height, backwards(moved.height), rtol=1e-12)
        for joint in ("pin", "pivot"):
            here, there = (getattr(each.forces[name], joint).right for each in (usual, other))
            for axis, sign in (("x", -1.0), ("y", 1.0)):
                expected = sign * backwards(getattr(here, axis).at(90.0))
                scale = np.max(np.abs(here.y.at(90.0)))
                np.testing.assert_allclose(getattr(there, axis).at(90.0), expected, rtol=0, atol=1e-10 * scale)
    powers = [mean(each.crank_torques.total).at(90.0)[0] for each in (usual, other)]
    assert powers[1] == pytest.approx(powers[0], rel=1e-10)
    assert powers[0] > 0
    wrong = Evaluation(with_loss(between(RHOMBIC)))
    without = (Evaluation(each) for each in (RHOMBIC, between(RHOMBIC)))
    loss = [mean(each.crank_torques.total).at(90.0)[0] - lossy for each, lossy in
            zip(without, (powers[0], mean(wrong.crank_torques.total).at(90.0)[0]), strict=True)]  # fmt: skip
    assert min(loss) > 0  # a flow loss costs power whichever way it turns


def test_the_verdict_on_such_a_drive_finds_its_power():
    rows = {row.key: row for row in judge(Evaluation(turning(between(RHOMBIC), "inward")))}
    expected = {row.key: row for row in judge(Evaluation(RHOMBIC))}
    assert float(rows["power"].value) == pytest.approx(float(expected["power"].value), rel=1e-10)
    for key in ("shaking_force", "speed_fluctuation"):
        assert float(rows[key].value) == pytest.approx(float(expected[key].value), rel=1e-8, abs=1e-9)


def test_whatever_follows_a_motion_knows_which_way_it_goes():
    evaluation = Evaluation(turning(RHOMBIC, "inward"))
    assert evaluation.motion.sense == evaluation.case_loads.sense == evaluation.vibration.sense == -1.0
    assert evaluation.still_shafts.at_angles(np.arange(5)[None]).motion.sense == -1.0
    assert Evaluation(RHOMBIC).vibration.sense == 1.0


def test_damping_follows_time():
    """The same positions in reverse, told by the angle -theta, are those of a machine that turns the usual way."""
    generator, count = np.random.default_rng(5), 48
    courses = [generator.normal(size=count) for _ in range(6)]
    mount = read(SHIPPED / "redesign.yaml").mount  # a case that rocks, so that orders meet in every mode
    body, speeds = case(mount), np.array([20.0, 60.0, 140.0])

    def loads(change, sense):
        x, y, pitch, yaw, roll, gas = (change(each) for each in courses)
        return CaseLoads(Shaking(x, y, pitch, yaw, roll), Load(steady=gas, inertia=roll), sense)

    other = vibration(body, loads(lambda each: each, -1.0), speeds)
    told = vibration(body, loads(backwards, 1.0), speeds)
    np.testing.assert_allclose(other.modal, np.conj(told.modal), rtol=1e-9, atol=1e-15)
    for one, two in zip(other.foot_forces(), told.foot_forces(), strict=True):
        for axis, force in one.items():
            np.testing.assert_allclose(force, np.conj(two[axis]), rtol=1e-9, atol=1e-9)
    assert np.max(np.abs(other.modal.imag)) > 1e-9


@pytest.mark.parametrize("way", ["outward", "inward"])
def test_cranks_are_damped_the_other_way_too(way):
    """A disturbance dies out as time goes on, whichever way crank angle does."""
    evaluation = Evaluation(turning(RHOMBIC, way))
    vibration = evaluation.shaft_vibration
    speed, sense = float(RHOMBIC.speed.most), evaluation.motion.sense
    assert growth(vibration.pair.slow, speed, sense) < 1
    assert growth(vibration.pair.slow, speed, -sense) > 1


@pytest.mark.parametrize(("way", "word"), [("outward", "in"), ("inward", "against")])
def test_a_weight_is_told_to_stand_on_the_right_side_of_the_crank(way, word):
    """Crank angle is counted clockwise on the right shaft whichever way that turns."""
    assert counted(turning(RHOMBIC, way)) == word
