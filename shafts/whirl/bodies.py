"""The masses on a crank as bodies that move, tilt and twist with it.

A web counts as it is described: its moment of inertia if given, else that of its mass at its mass centre and, if
width, thickness and material are known, of a bar of that mass. A gear is a disc of its pitch circle, of its given mass
or, that left out, of its face and material. A wheel, flywheel or pulley, is thin unless its thickness is given.
 A rod's share at the crankpin turns with it; its other share goes with the yoke (see `guided`).
"""

from collections.abc import Iterator
from functools import cache
from math import ceil

import numpy as np

from balance.machine.crank import place_in_frame
from balance.machine.yoke import Rod, RodMasses, Yoke
from balance.quantities import Number, result
from shafts.crank.layout import layout
from shafts.engine import Engine
from shafts.shaft import Shaft

FEW = 12
"""Gauss points along a shaft at least: with them the lowest three critical speeds are right to 0.1 percent."""


@result
class Body:
    """A body on a crank, in the crank's frame; fields of shape (options...).

    at : place of its mass centre along the shaft, m.   x, y : its mass centre from the shaft's axis, m.   mass : kg.
    polar, diametral : moments of inertia about lines through its mass centre along the shaft, and across it, the mean
    of all, kg m^2.
    """

    name: str
    at: Number
    mass: Number
    polar: Number = 0.0
    diametral: Number = 0.0
    x: Number = 0.0
    y: Number = 0.0


def bodies(engine: Engine, hand: str, points: int = FEW) -> list[Body]:
    """Return all that turns with one crank, what it carries first, then its shaft's own mass."""
    return [*carried_bodies(engine, hand), *shaft_bodies(engine, hand, points)]


def carried_bodies(engine: Engine, hand: str) -> Iterator[Body]:
    """Yield the bodies that a crank carries: rods' big ends, webs and weights, gear, wheels."""
    cranks = engine.cranks
    for name, yoke in engine.yokes.items():
        if yoke.rod is not None:
            throw = engine.throw_of(yoke)
            x, y = place_in_frame(throw)
            yield Body(f"rod of {name}", throw.at, big_end(yoke, hand), x=x, y=y)
    for number, web in enumerate(cranks.webs):
        if web.on in (hand, "both"):
            thickness = 0.0 if web.thickness is None else web.thickness
            own = np.maximum(web.polar_inertia - web.mass * (web.cg[0] ** 2 + web.cg[1] ** 2), 0.0)
            across = own / 2 + web.mass * thickness**2 / 12
            yield Body(f"web {number + 1}", web.at, web.mass, own, across, *web.cg)
    if cranks.gears is not None:
        gears, face = cranks.gears, 0.0 if cranks.gears.face is None else cranks.gears.face
        mass, polar = gears.mass_of(hand), gears.polar_inertia_of(hand)
        yield Body("gear", gears.at, mass, polar, polar / 2 + mass * face**2 / 12, *gears.cg)
    for name, wheel in engine.wheels(hand).items():
        thick = 0.0 if wheel.thickness is None else wheel.wheel_mass * np.asarray(wheel.thickness) ** 2 / 12
        yield Body(name, wheel.z(hand), wheel.wheel_mass, wheel.polar_inertia, wheel.polar_inertia / 2 + thick)


def rod_of(yoke: Yoke, hand: str) -> tuple[Rod | RodMasses, Number]:
    """Return what the rod on one side weighs, and the share of its mass that goes with the yoke."""
    assert yoke.rod is not None
    rod = yoke.rod.masses_of(hand)
    return rod, rod.cg / yoke.rod.length


def big_end(yoke: Yoke, hand: str) -> Number:
    """Return the share of a rod's mass that turns with the crankpin, kg."""
    rod, share = rod_of(yoke, hand)
    return rod.mass * (1 - share)


def shaft_bodies(engine: Engine, hand: str, points: int = FEW) -> Iterator[Body]:
    """Yield a shaft's own mass as discs at the Gauss points of each length of one diameter that is there."""
    shaft = engine.shafts.pair[hand == "left"]
    for axis in layout(shaft, engine.cranks, hand).axes:
        if axis.throw is None:
            yield from own_mass(shaft, float(axis.low), float(axis.high), points)


def own_mass(shaft: Shaft, low: float, high: float, points: int) -> Iterator[Body]:
    """Yield the mass of a length of shaft at Gauss points, so many on all of it, at least three on a long diameter.

    One or two stand for a diameter shorter than such a share, one with the inertia across of its own length: mass, mass
    centre and moments of inertia are right.
    """
    whole, start = float(shaft.ends_at) - float(shaft.starts_at), float(shaft.starts_at)
    for each in shaft.segments:
        first, last = max(start, low), min(start + float(each.length), high)
        start += float(each.length)
        if last <= first:
            continue
        share = points * (last - first) / whole
        spots, weights = _gauss(max(min(3, ceil(share)), round(share)))
        area = np.pi / 4 * (each.diameter**2 - each.bore**2)
        second = np.pi / 64 * (each.diameter**4 - each.bore**4)
        long = area * (last - first) ** 2 / 12 if len(spots) == 1 else 0.0
        for spot, weight in zip(spots, weights, strict=True):
            part = shaft.material.density * (last - first) * weight / 2
            at = (first + last) / 2 + spot * (last - first) / 2
            yield Body("shaft", at, area * part, 2 * second * part, (second + long) * part)


@cache
def _gauss(count: int) -> tuple[np.ndarray, np.ndarray]:
    return np.polynomial.legendre.leggauss(count)
