"""Bearing loads and a bending moment of a vibrating crank against finite elements marched through time.

`marched_crank` knows no modes, no harmonic balance and no unit loads. `test_bearing_levers` has teeth too.
"""

from dataclasses import replace

import numpy as np
import pytest
from engines.marched_crank import STEPS, THETA, Crankpin, MarchedCrank
from limits.one_throw import LENGTH, YOUNG, loaded, one_throw

from balance.machine.crank import Web
from balance.machine.machine import SpeedRange
from balance.machine.materials import Material
from balance.machine.yoke import Rod
from balance.turning import on_bench
from shafts.engine import Engine
from shafts.shaft import Segment
from shafts.strength.stress import section_loads
from shafts.whirl.bodies import bodies
from shafts.whirl.pair import pair, rotors
from shafts.whirl.vibrating import vibrating
from shafts.whirl.vibration import ShaftVibration

RADIUS, TURNING, YOKE, SPREAD, STIFFNESS, DAMPING = 0.006, 0.06, 0.25, 0.05, 4e6, 0.04
ROD = Rod(length=0.04, mass=0.03, cg=0.012, inertia=9e-6)
DISC = Web(at=0.6 * LENGTH, mass=0.15, inertia=6e-5, thickness=0.004)
SECTION = 0.3 * LENGTH  # between the bearing next to the crank and the disc


def engine() -> Engine:
    """An overhung crank with a disc on a shaft of steel that does not twist, on bearings that yield."""
    one = one_throw(TURNING, YOKE, RADIUS, ROD).engine
    bearings = tuple(replace(each, at=at, stiffness=STIFFNESS, seat_stiffness=None)
                     for each, at in zip(one.shafts.bearings, (-SPREAD, 0.0), strict=True))  # fmt: skip
    shafts = replace(one.shafts, material=Material(density=7850.0, young=YOUNG, shear=1e15), starts_at=-SPREAD,
                     segments=(Segment(length=SPREAD + LENGTH, diameter=0.012),), bearings=bearings)  # fmt: skip
    return replace(one, shafts=shafts, cranks=replace(one.cranks, webs=(*one.cranks.webs, DISC)),
                   speed=SpeedRange(least=30.0, rated=100.0, most=400.0))  # fmt: skip


@pytest.fixture(scope="module")
def crank() -> tuple[ShaftVibration, MarchedCrank]:
    whole = engine()
    carried = loaded(whole, STEPS)
    share, across = ROD.cg / ROD.length, DISC.inertia / 2 + DISC.mass * DISC.thickness**2 / 12
    pin = Crankpin(RADIUS, TURNING + ROD.mass * (1 - share), ROD.length, YOKE / 2 + ROD.mass * share,
                   ROD.inertia - ROD.mass * share * (1 - share) * ROD.length**2,
                   whole.yokes["only"].half_span - whole.cranks.centre_distance / 2)  # fmt: skip
    (disc,) = (each for each in bodies(whole, "right") if each.name == "web 2")
    assert (disc.polar, disc.diametral) == pytest.approx((DISC.inertia, across))
    marched = MarchedCrank(whole.shafts.pair[0], [disc], pin, 1 / STIFFNESS, SECTION)
    return ShaftVibration(carried, pair(carried, rotors(carried), 12, DAMPING)), marched


@pytest.mark.parametrize("share", [0.5, 0.8])
def test_bearing_loads_and_moment_in_time(crank, share: float):
    """Where order 2 meets the first natural frequency, and in the flank of order 1."""
    vibration, marched = crank
    natural = marched.natural
    assert vibration.pair.system.first_frequency == pytest.approx(natural, rel=1e-3)
    speed = share * natural
    moved = marched.settled(speed, 2 * DAMPING / natural, 30)
    moving, still = vibrating(vibration).of("right"), vibration.loaded.of("right")
    for expected, vector, before in zip(marched.loads(moved), moving.bearings, still.bearings, strict=True):
        close(np.stack(vector.on_bench(speed)), expected, np.stack(before.on_bench(speed)))
    inside, before = (section_loads(each, np.array([SECTION]))[0].at(speed)[0] for each in (moving, still))
    close(bend(inside), marched.moment(moved), bend(before))


def bend(moment: np.ndarray) -> np.ndarray:
    return np.stack(on_bench(moment.imag, moment.real, THETA, 1.0))


def close(found: np.ndarray, expected: np.ndarray, still: np.ndarray) -> None:
    """Within a share of what vibration adds."""
    added = expected - still
    assert np.max(np.abs(added)) > 0.1 * np.max(np.abs(still))
    np.testing.assert_allclose(found, expected, rtol=0, atol=4e-3 * np.max(np.abs(added)))
