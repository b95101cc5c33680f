"""At which speeds a single design's case should not be run: an order meets a resonance, and it shakes too much."""

from dataclasses import dataclass, replace

import numpy as np

from balance.case.body import Case
from balance.case.isolation import watched
from balance.case.loads import CaseLoads
from balance.case.vibration import NUMBERS, Vibration, vibration
from balance.machine.machine import SpeedRange

SPEEDS = 9  # in each band, its ends and the resonance among them


@dataclass(frozen=True)
class Band:
    """A range of speed to avoid, rad/s: `order` times the speed meets mode `mode`, counted from 0.

    velocity : largest rms velocity of any watched place in it, m/s, all orders together.
    """

    least: float
    most: float
    order: int
    mode: int
    velocity: float


def bands(case: Case, loads: CaseLoads, speed: SpeedRange, limit: float) -> list[Band]:
    """Return the half-power bands within the speed range in which that order in that mode exceeds a limit, m/s rms.

    The half-power band of a mode reaches from sqrt(1 - 2 z) to sqrt(1 + 2 z) times its frequency (e.g. Den Hartog,
    Mechanical Vibrations, section 2.13; from memory, check against the book).
    """
    exceeding = []
    for mode, (natural, damping) in enumerate(zip(case.frequency, case.damping, strict=True)):
        ends = natural * np.sqrt(np.maximum(1 + 2 * damping * np.array([-1.0, 1.0]), 0.0))
        for order in NUMBERS:
            least, most = np.clip(ends / order, float(speed.slowest), float(speed.most))
            if natural > 0 and ends[0] / order < speed.most and ends[1] / order > speed.slowest and least < most:
                response = vibration(case, loads, np.linspace(least, most, SPEEDS))
                if _worst(_by_itself(response, int(order), mode)) > limit:
                    exceeding.append(Band(float(least), float(most), int(order), mode, _worst(response)))
    return sorted(exceeding, key=lambda band: band.least)


def merged(rising: list[Band]) -> list[list[Band]]:
    """Return the bands in groups of those that overlap."""
    groups: list[list[Band]] = []
    for band in rising:
        if groups and band.least <= max(each.most for each in groups[-1]):
            groups[-1].append(band)
        else:
            groups.append([band])
    return groups


def _by_itself(response: Vibration, order: int, mode: int) -> Vibration:
    """Return what an order alone does in a mode alone."""
    modal = np.zeros_like(response.modal)
    modal[..., order - 1, mode] = response.modal[..., order - 1, mode]
    return replace(response, modal=modal)


def _worst(response: Vibration) -> float:
    return float(max(np.max(response.severity(point)) for point in watched(response.case.mount).values()))
