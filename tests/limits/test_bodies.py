"""Moments of inertia of what turns with a shaft, against integrals over its volume; and what a crankpin carries."""

from dataclasses import replace

import numpy as np
import pytest
from random_designs import random_machine
from random_engines import random_engine
from scipy.integrate import tplquad
from shaft_samples import simple_shaft

from balance.machine.crank import Gears, Web
from balance.machine.machine import Flywheel
from balance.machine.materials import MATERIALS
from balance.machine.yoke import Part, Rod, Slot, Yoke
from balance.turning import turning_masses
from shafts.shaft import Segment
from shafts.whirl.bodies import FEW, big_end, carried_bodies, own_mass
from shafts.whirl.guided import guided
from shafts.whirl.torsion import twist_systems

STEEL = MATERIALS["steel"]


def only(machine, **fixed):
    """Return a machine with nothing on its shafts but what is stated."""
    bare = {"webs": (), "gears": None} | {key: each for key, each in fixed.items() if key != "flywheel"}
    return replace(machine, cranks=replace(machine.cranks, **bare), flywheel=fixed.get("flywheel"))


def discs(machine, hand: str) -> list:
    """What turns with one crank, without its rods."""
    return [each for each in carried_bodies(machine, hand) if not each.name.startswith("rod of")]


def test_a_gear_is_a_solid_disc():
    distance = random_machine(0).cranks.centre_distance
    gears = Gears(module=distance / 40, teeth=40, face=0.012, at=0.01, material=STEEL)
    (found,) = discs(only(random_machine(0), gears=gears), "right")
    radius, density = distance / 2, STEEL.density
    mass = np.pi * radius**2 * 0.012 * density

    def about(what) -> float:
        """Integrate over the disc in polar coordinates (z, turn, r)."""
        return density * tplquad(lambda z, turn, r: what(r, turn, z) * r, 0, radius, 0, 2 * np.pi, -0.006, 0.006)[0]

    np.testing.assert_allclose(found.mass, mass, rtol=1e-12)
    np.testing.assert_allclose(found.polar, about(lambda r, turn, z: r**2), rtol=1e-9)
    np.testing.assert_allclose(found.diametral, about(lambda r, turn, z: (r * np.sin(turn)) ** 2 + z**2), rtol=1e-9)
    stated = replace(gears, mass=0.5)
    (found,) = discs(only(random_machine(0), gears=stated), "left")
    np.testing.assert_allclose(found.mass, 0.5)


@pytest.mark.parametrize("known", [{"face": 0.012}, {"material": STEEL}, {}])
def test_a_gear_whose_size_is_not_known_weighs_what_is_stated(known):
    """A face without a material, or the reverse, makes no solid disc."""
    gears = Gears(module=1e-3, teeth=44, at=0.01, mass=0.07, **known)
    assert float(gears.mass_of("right")) == 0.07
    np.testing.assert_allclose(float(gears.polar_inertia_of("right")), 0.07 * 0.022**2 / 2, rtol=1e-12)
    assert float(replace(gears, mass=0.0).mass_of("left")) == 0.0


def test_a_web_is_a_bar_about_the_shaft():
    """A bar of given thickness and width whose length follows from its mass, its middle off the shaft by 5 mm."""
    web = Web(at=0.0, mass=0.04, cg=(0.003, 0.004), thickness=0.006, width=0.012, material=STEEL)
    (found,) = discs(only(random_machine(0), webs=(web,)), "right")
    length = 0.04 / (STEEL.density * 0.006 * 0.012)
    along = np.linspace(-0.5, 0.5, 20001) * length
    own = 0.04 * (np.mean(along**2) + 0.012**2 / 12)
    np.testing.assert_allclose(found.polar, own, rtol=1e-3)
    np.testing.assert_allclose(found.diametral, found.polar / 2 + 0.04 * 0.006**2 / 12, rtol=1e-12)
    assert (found.x, found.y) == (0.003, 0.004)
    (point,) = discs(only(random_machine(0), webs=(replace(web, material=None),)), "right")
    np.testing.assert_allclose(point.polar, 0.0, atol=1e-12)
    (stated,) = discs(only(random_machine(0), webs=(replace(web, inertia=7e-6),)), "right")
    np.testing.assert_allclose(stated.polar, 7e-6 - 0.04 * 0.005**2)


@pytest.mark.parametrize("seed", range(3))
def test_webs_twist_with_all_their_inertia_about_the_shaft(seed: int):
    engine = random_engine(seed)
    (system,) = twist_systems(engine)
    known = dict(zip(system.names, system.inertia, strict=True))
    for number, web in enumerate(engine.cranks.webs):
        for hand in ("right", "left"):
            if web.on in (hand, "both"):
                expected = max(web.polar_inertia, web.mass * (web.cg[0] ** 2 + web.cg[1] ** 2))
                assert known[f"{hand} web {number + 1}"] == pytest.approx(expected)


def test_a_flywheel_is_thin():
    """Half of its moment of inertia about a diameter (perpendicular axes)."""
    wheel = Flywheel(on="left", inertia=4e-4, at=0.03, mass=0.3)
    (found,) = discs(only(random_machine(0), flywheel=wheel), "left")
    np.testing.assert_allclose([found.polar, found.diametral], [4e-4, 2e-4])
    assert not discs(only(random_machine(0), flywheel=wheel), "right")


@pytest.mark.parametrize("seed", range(12))
@pytest.mark.parametrize("hand", ["right", "left"])
def test_the_discs_are_the_turning_masses_in_their_order(seed: int, hand: str):
    machine = random_machine(seed)
    masses = turning_masses(machine, hand)
    found = discs(machine, hand)
    assert [float(each.at) for each in found] == [float(each.at) for each in masses]
    assert all(one.mass == other.mass or other.mass == 0 for one, other in zip(found, masses, strict=True))


def test_what_a_crankpin_carries():
    """The rod's share turns with it; half the yoke and the rod's other share follow it along the guide alone."""
    machine = random_machine(0)
    parts = {"yoke": Part(mass=0.08)}
    name = next(iter(machine.yokes))
    throw = machine.yokes[name].throw
    rod = Yoke(throw=throw, rod=Rod(length=0.2, mass=0.01, cg=0.08, inertia=1e-4), half_span=0.01, parts=parts)
    np.testing.assert_allclose(big_end(rod, "left"), 0.01 * 0.6)
    theta = np.linspace(0, 2 * np.pi, 12, endpoint=False)
    beyond, along = guided(replace(machine, yokes={"one": rod}), "left", theta)
    np.testing.assert_allclose(along.mass, 0.04 + 0.01 * 0.4)
    np.testing.assert_allclose(beyond.mass, 1e-4 - 0.01 * 0.08 * 0.12)
    slot = Yoke(throw=throw, slot=Slot(), parts=parts)
    (only,) = guided(replace(machine, yokes={"one": slot}), "left", theta)
    assert only.mass == 0.04
    np.testing.assert_allclose([only.x, only.y], [-np.sin(theta), np.cos(theta)], atol=1e-15)


@pytest.mark.parametrize("lengths", [[0.06], [0.004, 0.05, 0.006], [0.0025] * 24, [0.001, 0.009] * 6])
def test_points_stand_for_a_shaft_of_any_number_of_diameters(lengths: list[float]):
    """Mass, mass centre and moments of inertia are those of its cylinders, with no more points than it takes."""
    pieces = [Segment(length=length, diameter=0.01 + 0.001 * (n % 3)) for n, length in enumerate(lengths)]
    shaft = replace(simple_shaft(sum(lengths) - 0.02, 0.01, STEEL), segments=tuple(pieces), starts_at=-0.01)
    found = list(own_mass(shaft, -0.01, float(shaft.ends_at), FEW))
    ends = -0.01 + np.cumsum([0.0, *lengths])
    middles, radii = (ends[1:] + ends[:-1]) / 2, np.array([each.diameter for each in pieces]) / 2
    masses = shaft.material.density * np.pi * radii**2 * lengths
    across = masses * (radii**2 / 4 + np.array(lengths) ** 2 / 12 + middles**2)
    np.testing.assert_allclose(sum(each.mass for each in found), sum(masses), rtol=1e-12)
    np.testing.assert_allclose(sum(each.mass * each.at for each in found), sum(masses * middles), rtol=1e-12)
    np.testing.assert_allclose(sum(each.polar for each in found), sum(masses * radii**2 / 2), rtol=1e-12)
    np.testing.assert_allclose(sum(each.diametral + each.mass * each.at**2 for each in found), sum(across), rtol=1e-12)
    assert len(found) <= len(lengths) + FEW
