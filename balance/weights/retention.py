"""Whether a counterweight's screws hold it: its pull at speed against what they bear.

In tension (radial screws through the weight into the hub) each bears its proof load, ISO 898-1. In shear
(screws along the shaft, the pull slides the weight across them) each bears 0.577 of its yield stress over
the thread's stress area, by the distortion-energy criterion; the friction under the heads, which ought to
carry the pull by itself, is left out. All screws are taken to share alike.
"""

from dataclasses import dataclass

import numpy as np

from balance.machine.counterweights import Screws
from balance.quantities import Number, Scalar

THREADS = {
    "M2": (2.0, 0.4),
    "M2.5": (2.5, 0.45),
    "M3": (3.0, 0.5),
    "M4": (4.0, 0.7),
    "M5": (5.0, 0.8),
    "M6": (6.0, 1.0),
    "M8": (8.0, 1.25),
    "M10": (10.0, 1.5),
    "M12": (12.0, 1.75),
}
"""Nominal diameter and coarse pitch, mm, ISO 261."""

STRENGTHS = {
    "4.6": (225.0, 240.0),
    "4.8": (310.0, 340.0),
    "5.6": (280.0, 300.0),
    "5.8": (380.0, 420.0),
    "6.8": (440.0, 480.0),
    "8.8": (580.0, 640.0),
    "9.8": (650.0, 720.0),
    "10.9": (830.0, 940.0),
    "12.9": (970.0, 1100.0),
}
"""Proof stress and least yield stress, MPa, ISO 898-1 table 3, sizes up to M16; recalled."""

SHEAR_SHARE = 1 / np.sqrt(3)  # of the yield stress in pull, by the distortion-energy criterion


@dataclass(frozen=True, eq=False)
class Hold:
    """How the screws of one weight hold it.

    pull : of the weight on all its screws, N, (options...).   each : what one screw bears, N.   number : of screws.
    """

    pull: Number
    each: float
    number: int

    @property
    def safety(self) -> Number:
        """What all screws bear over the pull, (options...); infinite for a weight that does not pull."""
        pull = np.asarray(self.pull, dtype=float)
        return np.where(pull > 0, self.number * self.each / np.where(pull > 0, pull, 1.0), np.inf)

    def needed(self, safety: Scalar) -> np.ndarray:
        """Return how many such screws give a wanted safety, a whole number, (options...)."""
        return np.ceil(np.asarray(safety) * self.pull / self.each - 1e-9)


def stress_area(size: str) -> float:
    """Return the stress area of a coarse thread, m^2: pi/4 (d - 0.9382 P)^2 (ISO 898-1, 9.1.6.1)."""
    diameter, pitch = THREADS[size]
    return float(np.pi / 4 * ((diameter - 0.9382 * pitch) * 1e-3) ** 2)


def bears(screws: Screws) -> float:
    """Return what one screw bears in its arrangement, N."""
    proof, yields = STRENGTHS[screws.property_class]
    stress = proof if screws.arrangement == "tension" else yields * SHEAR_SHARE
    return stress_area(screws.size) * stress * 1e6


def pull(moment: Scalar, speed: Scalar) -> Number:
    """Return the centrifugal pull of a mass times radius, kg m, at a speed, rad/s: N."""
    return np.asarray(moment) * np.asarray(speed) ** 2


def hold(screws: Screws, moment: Scalar, speed: Scalar) -> Hold:
    """Return how screws hold a weight of a mass times radius, kg m, at a speed, rad/s."""
    return Hold(pull(moment, speed), bears(screws), screws.number)


def size_for(screws: Screws, load: Scalar, safety: Scalar) -> str | None:
    """Return the smallest size that holds a pull, N, with as many screws of the same class; None if none does."""
    needed = float(np.max(np.asarray(load) * safety)) / screws.number
    share = bears(screws) / stress_area(screws.size)
    return next((size for size in THREADS if stress_area(size) * share >= needed), None)
