"""Plain shafts and load histories for tests: cantilevers, one section under a stated moment and torque."""

import numpy as np

from balance.cycle.load import Load
from balance.machine.materials import MATERIALS, Material
from shafts.bearings.bearing import Bearing
from shafts.bearings.bush import Bush
from shafts.shaft import Segment, Shaft
from shafts.strength.fatigue import Strength
from shafts.strength.sections import Sections
from shafts.strength.stress import Inside, InternalLoads

THETA = np.arange(72) * (2 * np.pi / 72)
BUSH = Bush(bore=0.01, length=0.01)


def light(young: float, shear: float | None = None) -> Material:
    """Return a material without mass to speak of."""
    return Material(density=1e-9, young=young, shear=young / 2.6 if shear is None else shear)


def simple_shaft(length: float, diameter: float, material: Material) -> Shaft:
    """Return a uniform shaft on rigid bearings at its ends."""
    bearings = (Bearing(at=0.0, bush=BUSH), Bearing(at=length, bush=BUSH))
    segments = (Segment(length=length, diameter=diameter),)
    return Shaft(material=material, segments=segments, starts_at=0.0, bearings=bearings)


def cantilever(length: float, diameter: float, material: Material) -> Shaft:
    """Return a shaft that is as good as built in at zero: a stub of fifty times its diameter on two rigid bearings."""
    stub = Segment(length=20 * diameter, diameter=50 * diameter)
    bearings = (Bearing(at=-20 * diameter, bush=BUSH), Bearing(at=0.0, bush=BUSH))
    segments = (stub, Segment(length=length, diameter=diameter))
    return Shaft(material=material, segments=segments, starts_at=-20 * diameter, bearings=bearings)


def one_section(diameter: float, moment: tuple[float, float], torque: tuple[float, float]) -> InternalLoads:
    """Return a section under a moment (part that turns, part that stands) and a torque (mean, amplitude), N m."""
    at = np.zeros(2)
    found = Sections([], at, at + diameter, at, np.array([False, True]))
    bending = np.stack([moment[0] + moment[1] * np.exp(-1j * THETA)] * 2)
    twist = np.stack([torque[0] + torque[1] * np.cos(THETA)] * 2)
    shaft = simple_shaft(1.0, diameter, MATERIALS["steel"])
    inside = Inside(Load(steady=bending), np.zeros(1), None)
    return InternalLoads(shaft, found, inside, Inside(Load(steady=0 * bending), np.zeros(1), None), Load(steady=twist))


def bearing_up(diameter: float, factors: tuple[float, float], strengths: tuple[float, float, float]) -> Strength:
    """Return a round section of notch factors (bending, torsion) and strengths (endurance, tensile, yield), Pa."""
    both = np.ones(2)
    modulus = np.pi / 32 * diameter**3
    endurance, tensile, yielding = strengths
    bending, torsion = factors
    return Strength(
        bending / modulus * both,
        torsion / (2 * modulus) * both,
        0 * both,
        bending * both,
        torsion * both,
        endurance * both,
        tensile,
        yielding,
    )
