"""A shaft with all its masses as a vibrating body, by its flexibility.

The influence of `shafts.beam`, exact for a stepped Timoshenko shaft on its bearings, meets the masses
and inertias at its stations: those of what it carries at their places, tilting and gyroscopic inertia
included, and its own at Gauss points along each segment. (An integral equation solved by quadrature;
Nystrom's method.) Bearings give alike in all directions, so that both planes are one complex plane.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache, cached_property

import numpy as np

from balance.quantities import Number, side_by_side
from balance.turning import HANDS
from shafts.crank.build import bare_shaft
from shafts.crank.compliance import Unit, respond
from shafts.loaded_shafts import LoadedShafts
from shafts.shaft import Shaft
from shafts.whirl.discs import Disc, carried_mass, discs

FEW, MANY = 16, 64
"""Gauss points on a shaft at least: for a quick look at its lowest critical speed, and for the rest."""
HAIR = 1e-14  # share of its own give that a station gives more: stations that only move together stay apart


@dataclass(frozen=True, eq=False)
class Rotor:
    """A shaft with its masses; n stations: first forces and deflections, then couples and slopes.

    give : deflections and slopes per unit force and couple, (options..., n, n).
    mass : mass or diametral inertia at each, (options..., n).
    spin : polar inertia at each, zero for deflections, (options..., n).
    """

    give: np.ndarray
    mass: np.ndarray
    spin: np.ndarray

    @cached_property
    def root(self) -> np.ndarray:
        """A matrix C with give = C C^T, (options..., n, n)."""
        size = np.sqrt(np.diagonal(self.give, axis1=-2, axis2=-1))
        scale = np.where(size > 0, size, 1.0)[..., None]  # slopes and deflections differ by orders of magnitude
        alike = self.give / scale / np.swapaxes(scale, -1, -2)
        try:
            return scale * np.linalg.cholesky(alike + np.where(size > 0, HAIR, 0.0)[..., None] * np.eye(size.shape[-1]))
        except np.linalg.LinAlgError:  # a station that cannot move at all
            values, vectors = np.linalg.eigh(alike)
            return scale * vectors * np.sqrt(np.maximum(values, 0.0))[..., None, :]


@dataclass(frozen=True, eq=False)
class PointMass:
    """A mass that only pulls, or a station without mass: place, m, and kg; (options...)."""

    at: Number
    mass: Number = 0.0


def rotors(carried: LoadedShafts, points: int = FEW) -> tuple[Rotor, Rotor]:
    """Return the right and the left shaft as rotors, with at least so many Gauss points on each.

    Their first stations are those of the loads: pins, turning masses, then the gear teeth if there are gears.
    """
    right, left = (_engine_rotor(carried, place, points) for place in range(len(HANDS)))
    return right, left


def _engine_rotor(carried: LoadedShafts, place: int, points: int) -> Rotor:
    engine, crank = carried.engine, carried.cranks[place]
    carries: list[Disc | PointMass] = [
        PointMass(load.at, carried_mass(engine.yokes[load.name], crank.hand))
        for load in crank.loads
        if load.kind == "rod"
    ]
    carries += discs(engine, crank.hand)
    if engine.cranks.gears is not None:
        carries.append(PointMass(engine.cranks.gears.at))
    return rotor(engine.shafts.pair[place], carries, crank.compliance, points)


def rotor(shaft: Shaft, carries: Sequence[Disc | PointMass], supports: np.ndarray, points: int = FEW) -> Rotor:
    """Return a shaft with what it carries on bearings of given give, m/N; what it carries has the first stations.

    points : Gauss points on the shaft at least. With FEW the lowest critical speed is right to 0.1 percent,
    with MANY the lowest three are.
    """
    bodies = [*carries, *_own_mass(shaft, points)]
    tilting = [each for each in bodies if isinstance(each, Disc)]
    columns = [(Unit(each.at, fy=1.0),) for each in bodies] + [(Unit(each.at, cx=-1.0),) for each in tilting]
    places = [bearing.at for bearing in shaft.bearings]
    chain = bare_shaft(shaft, [*places, *(each.at for each in bodies)])
    found = respond(chain, columns, places, places[0], supports)
    return Rotor(
        found.by_members(range(len(columns))) + found.by_supports(range(len(columns)), supports),
        side_by_side([*(each.mass for each in bodies), *(each.diametral for each in tilting)]),
        side_by_side([*(0.0 for _ in bodies), *(each.polar for each in tilting)]),
    )


def _own_mass(shaft: Shaft, points: int) -> list[Disc]:
    """Return the shaft's own mass as discs at the Gauss points of each segment."""
    spots, weights = _gauss(max(3, -(-points // len(shaft.segments))))
    found, start = [], shaft.starts_at
    for each in shaft.segments:
        area = np.pi / 4 * (each.diameter**2 - each.bore**2)
        second = np.pi / 64 * (each.diameter**4 - each.bore**4)
        for spot, weight in zip((spots + 1) / 2, weights / 2, strict=True):
            part = shaft.material.density * each.length * weight
            found.append(Disc("shaft", start + spot * each.length, area * part, 2 * second * part, second * part))
        start = start + each.length
    return found


@cache
def _gauss(count: int) -> tuple[np.ndarray, np.ndarray]:
    return np.polynomial.legendre.leggauss(count)
