"""Wheels by their size: mass and inertia of rims, where they stand, and how near they come, all by hand."""

from dataclasses import replace

import numpy as np
import pytest

from balance.bodies.usual import least_radius, wheel_size
from balance.errors import BadDesign
from balance.flywheel import turning_inertias
from balance.machine.materials import MATERIALS
from balance.machine.wheels import Flywheel, Wheel
from balance.turning import turning_masses
from designs.command.inputs import SHIPPED
from designs.evaluate import Evaluation
from designs.reading import read
from shafts.crank.loads import leaves_at
from shafts.whirl.bodies import carried_bodies

STEEL = MATERIALS["steel"]
RIM = {"diameter": 0.08, "inside": 0.06, "thickness": 0.01, "material": STEEL}


def test_mass_and_inertia_of_a_rim():
    """Mass m = pi (R^2 - r^2) t rho, inertia J = m (R^2 + r^2)/2."""
    wheel = Flywheel(at=0.0, **RIM)
    mass = np.pi * (0.04**2 - 0.03**2) * 0.01 * 7850
    assert wheel.wheel_mass == pytest.approx(mass, rel=1e-12)
    assert wheel.polar_inertia == pytest.approx(mass * (0.04**2 + 0.03**2) / 2, rel=1e-12)
    told = Flywheel(at=0.0, inertia=1e-4, mass=0.3, **RIM)
    assert (told.polar_inertia, told.wheel_mass) == (1e-4, 0.3)


@pytest.mark.parametrize(
    ("given", "where"),
    [({"diameter": 0.08, "thickness": 0.01}, ()), ({**RIM, "inside": 0.08}, ("inside",)), ({}, ())],
)
def test_a_wheel_that_is_none_is_refused(given, where):
    with pytest.raises(BadDesign) as caught:
        Wheel(at=0.0, **given)
    assert caught.value.complaints[0].where == where


def test_sizes_that_are_taken():
    """No smaller than its radius of gyration; usually a steel rim with r = 0.6 R, of the mass that is given."""
    wheel = Flywheel(at=0.0, inertia=8e-4, mass=0.5)
    assert least_radius(wheel) == pytest.approx(0.04)
    radius, thickness = wheel_size(wheel)
    assert radius == pytest.approx(0.04 / np.sqrt(0.68))
    assert np.pi * radius**2 * (1 - 0.36) * thickness * 7850 == pytest.approx(0.5)
    radius, thickness = wheel_size(Flywheel(at=0.0, inertia=8e-4))  # a third as thick as its radius
    by_size = Wheel(at=0.0, diameter=2 * radius, inside=1.2 * radius, thickness=thickness, material=STEEL)
    assert thickness == pytest.approx(radius / 3)
    assert by_size.polar_inertia == pytest.approx(8e-4)
    assert wheel_size(Flywheel(at=0.0, inertia=0.0)) is None


def test_a_pulley_turns_and_weighs_and_takes_the_load_where_it_stands():
    engine = read(SHIPPED / "redesign.yaml")
    pulley = Wheel(on="right", at=0.081, **RIM)
    found = replace(engine, pulley=pulley)
    right, left = (turning_masses(found, hand) for hand in ("right", "left"))
    assert (right[-1].at, float(right[-1].mass)) == (0.081, pytest.approx(float(pulley.wheel_mass)))
    assert right[-2].at == 0.052
    assert left[-1].at == 0.072  # the left flywheel, in a plane of its own
    assert [each.name for each in carried_bodies(found, "right")][-2:] == ["flywheel", "pulley"]
    assert turning_inertias(found)["pulley"] == pytest.approx(float(pulley.polar_inertia))
    assert leaves_at(found, "right") == 0.081
    assert leaves_at(engine, "left") == 0.072


def test_round_parts_about_the_shafts_by_hand():
    """52 mm apart: tips of 27 mm to a floor 34 mm below, rims of 45 mm, a ring of 13 mm, and shafts of 5 mm."""
    found = {each.names: each for each in Evaluation(read(SHIPPED / "redesign.yaml")).clearances}
    for names, room in (
        ("right gear and floor", 34 - 27),
        ("right gear and left shaft", 52 - 27 - 5),
        ("right flywheel and left shaft", 52 - 45 - 5),
        ("right shaft and left flywheel", 52 - 45 - 5),
        ("right shaft and left bearing 1", 52 - 13 - 5),
    ):
        pair = found.get(names) or found[" and ".join(reversed(names.split(" and ")))]
        assert np.min(pair.distance) == pytest.approx(room * 1e-3, abs=1e-12)
    assert not any("right gear" in names and "left gear" in names for names in found)
