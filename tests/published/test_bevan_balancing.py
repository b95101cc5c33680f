"""Thomas Bevan, The Theory of Machines, chapter 14: balancing of rotating and reciprocating masses.

Masses in lb and lengths in inches cancel out of the answers, so the books' numbers are used as they stand.
"""

import numpy as np
import pytest

from balance import motion, shaking
from balance.machine.crank import Cranks, Throw, Web
from balance.machine.machine import Machine, SpeedRange
from balance.machine.yoke import Part, Slot, Yoke
from balance.weights import balancing

SPEED = SpeedRange(least=1.0, rated=2.0, most=300 * np.pi / 30)


def crank(webs: tuple[Web, ...], mass: float = 0.0, radius: float = 1.0) -> Machine:
    """Return turning masses, with a yoke in a slot that moves as r cos(theta) alone."""
    yoke = Yoke(throw="pin", slot=Slot(), parts={"all": Part(mass=mass)})
    cranks = Cranks(centre_distance=10.0, throws={"pin": Throw(radius=radius, at=0.0)}, webs=webs)
    return Machine(speed=SPEED, cranks=cranks, yokes={"only": yoke})


def at(mass: float, radius: float, degrees: float, z: float = 0.0, on: str = "both") -> Web:
    """Return a mass at a radius and an angle, counted in the sense in which the right crank turns."""
    angle = np.deg2rad(degrees)
    return Web(at=z, mass=mass, cg=(radius * np.sin(angle), radius * np.cos(angle)), on=on)


def needed(machine: Machine, planes: tuple[float, ...] = (0.0,)) -> list[tuple[float, float]]:
    """Return the mass x radius and the angle, degrees, that cancel the first order in each plane."""
    moments = balancing.cancelling(planes, shaking.shaking(machine, motion.move(machine)))
    return [(float(np.abs(each)), float(np.rad2deg(np.angle(each)) % 360)) for each in moments]


def test_four_masses_in_one_plane():
    """Example 2 (p. 491): 200 lb at 9, 300 at 7, 240 at 10, 260 at 12 in, 45, 75, 135 degrees apart.

    57.9 lb at 24 in; the resultant lies at 23.28 degrees, so the weight stands opposite.
    """
    masses = (at(200, 9, 0), at(300, 7, 45), at(240, 10, 120), at(260, 12, 255))
    ((moment, angle),) = needed(crank(masses))
    assert moment / 24 == pytest.approx(57.9, abs=0.05)
    assert angle - 180 == pytest.approx(23.28, abs=0.005)


def test_half_of_the_reciprocating_mass():
    """Example 5 (p. 500): 180 lb revolving, 150 reciprocating, half balanced, crank 7.5 in, weight at 6 in, 300 rpm.

    Balance weight 318.8 lb; the force that is left has the same size all round, 1436 lb (p. 500 cuts 1436.8).
    """
    # Each of two mirrored shafts carries the crank; a yoke of twice half the mass asks each for its half.
    ((moment, angle),) = needed(crank((at(180, 7.5, 0),), mass=2 * 0.5 * 150, radius=7.5))
    weight = moment / 6
    assert weight == pytest.approx(318.8, abs=0.06)
    assert angle == pytest.approx(180)
    one_crank = crank((at(180, 7.5, 0, on="right"), at(weight, 6, 180, on="right")), mass=150, radius=7.5)
    left = shaking.shaking(one_crank, motion.move(one_crank)).size * float(SPEED.most) ** 2 / (32.2 * 12)
    np.testing.assert_allclose(left, left[0], rtol=1e-12)
    assert left[0] == pytest.approx(1436, abs=1)
