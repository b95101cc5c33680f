"""The largest size of a deflection, slope or bearing load over the cycle and over a range of speeds.

The size of what is in proportion to speed squared is convex in it, so it is largest at an end of the range. Only
the teeth's separating force breaks that: as the tooth force changes sign between two speeds, what it pushes
dips. The depth of that dip bounds what can lie between the ends, and tells whether one must look there.
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import Any

import numpy as np

from balance.extremes import highest, largest_roots
from balance.quantities import Number
from balance.shaft_loads import Mesh
from shafts.superposition import Response

CLEAR = 1 - 1e-9  # share of the larger end below which rounding cannot decide


@dataclass(frozen=True, eq=False)
class Peak:
    """The largest size, in its own unit, with the speed, rad/s, and the crank angle, rad; each (options...)."""

    size: np.ndarray
    speed: np.ndarray
    angle: np.ndarray


@dataclass(frozen=True, eq=False)
class Sweep:
    """Speeds, rad/s, from the slowest to the fastest, with what gear teeth do at them: the same for every response."""

    speeds: Sequence[Any]

    def square(self, response: Response, place: int) -> np.ndarray:
        """Return the square of a response's size at one of the speeds, (options..., angles)."""
        speed, mesh = self.speeds[place], response.mesh
        apart = None if mesh is None else self._once(mesh, place, lambda: mesh.separating(speed))
        return response.square(speed, apart)

    def dip(self, response: Response) -> Number:
        """Return the root of |push at one end times push at the other| where the tooth force turns, at its largest.

        With a and b its sizes at the ends, the chord at a share p lies above the size by 2 min((1 - p) a, p b), which
        is at most 2 sqrt(p (1 - p) a b).
        """
        mesh = response.mesh
        if mesh is None:
            return 0.0
        return np.abs(response.per_push) * self._once(mesh, -1, lambda: _turning(mesh, self.speeds[0], self.speeds[-1]))

    def _once(self, mesh: Mesh, place: int, work: Callable[[], np.ndarray]) -> np.ndarray:
        """Return what was worked out before for a mesh, which is kept so that no other can take its identity."""
        if (id(mesh), place) not in self._known:
            self._known[id(mesh), place] = mesh, work()
        return self._known[id(mesh), place][1]

    @cached_property
    def _known(self) -> dict[tuple[int, int], tuple[Mesh, np.ndarray]]:
        return {}


def peak(response: Response, sweep: Sweep) -> Peak:
    """Return the largest size of a response over the cycle at any of the speeds."""
    last, dip = len(sweep.speeds) - 1, sweep.dip(response)
    sizes, angles = largest_roots(sweep.square(response, place) for place in (0, last))
    ends = [sweep.speeds[0], sweep.speeds[last]]
    between = [place for place in range(1, last) if np.any(~_surely_less(sweep.speeds[place], ends, sizes, dip))]
    if between:
        more = largest_roots(sweep.square(response, place) for place in between)
        sizes, angles = (np.concatenate(each) for each in ((sizes, more[0]), (angles, more[1])))
    tried = np.stack(np.broadcast_arrays(*ends, *(sweep.speeds[place] for place in between), sizes[0])[:-1])
    place = np.argmax(sizes, axis=0)[None]
    return Peak(*(np.take_along_axis(each, place, axis=0)[0] for each in (sizes, tried, angles)))


def largest_of(peaks: dict[str, Peak]) -> tuple[str, Peak]:
    """Return the largest of several peaks for each option, and the name of the largest of all."""
    every = [np.stack(np.broadcast_arrays(*column)) for column in zip(*map(_columns, peaks.values()), strict=True)]
    place = np.argmax(every[0], axis=0)[None]
    name = max(peaks, key=lambda each: float(np.max(peaks[each].size)))
    return name, Peak(*(np.take_along_axis(each, place, axis=0)[0] for each in every))


def _columns(one: Peak) -> tuple[np.ndarray, ...]:
    return tuple(np.broadcast_arrays(one.size, one.speed, one.angle))


def _surely_less(speed: Number, ends: list[Any], sizes: np.ndarray, dip: Number) -> np.ndarray:
    """Return whether the size at a speed is surely less than at one of the ends, (options...)."""
    low, middle, high = (np.square(each) for each in (ends[0], speed, ends[1]))
    with np.errstate(divide="ignore", invalid="ignore"):  # a range of no width leaves it open
        share = (middle - low) / (high - low)
        most = (1 - share) * sizes[0] + share * sizes[1] + 2 * dip * np.sqrt(share * (1 - share))
        return most < np.max(sizes, axis=0) * CLEAR


def _turning(mesh: Mesh, slowest: Number, fastest: Number) -> np.ndarray:
    """Return the root of the product of tooth forces at two speeds where their signs differ, N, (options...)."""
    product = np.multiply(*(np.atleast_1d(mesh.tangential.at(speed)) for speed in (slowest, fastest)))
    return np.sqrt(np.maximum(highest(-product), 0.0))
