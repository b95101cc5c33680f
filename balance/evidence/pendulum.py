"""A part hung on a knife edge: moment of inertia, and mass centre, from the time of its swings.

T = 2 pi sqrt((k^2 + h^2)/(g h)) for a body of radius of gyration k whose mass centre hangs h below the edge: the
compound pendulum, Khurmi and Gupta, Theory of Machines, ch. 4. Small swings, no drag.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from balance.evidence.estimate import Estimate, mean, propagated
from balance.machine.machine import STANDARD_GRAVITY as G

REACTION = 0.1
"""Seconds, two sd, by which a stopwatch in the hand is off over one run of swings; common practice, no source."""


def period(times: Sequence[float], number: int, amplitude: float = 0.0, reaction: float = REACTION) -> Estimate:
    """Return the period of small swings, s, from the times of several runs of `number` full swings.

    T = mean(times)/number/(1 + a^2/16), a the amplitude to each side, rad: next term of the pendulum's period, below
    0.1 % at 20 degrees more (from memory). The hand on the watch is the least doubt of every run.
    """
    run = mean(times, reaction / 2 / np.sqrt(len(times)))
    return run.times(1 / (number * (1 + amplitude**2 / 16)))


def inertia_by_one_edge(mass: Estimate, arm: Estimate, swing: Estimate) -> Estimate:
    """Return the moment of inertia about the mass centre, kg m^2: I = m h (L - h), L = g T^2/(4 pi^2).

    mass : kg.   arm : h from the line of contact to the mass centre, m.   swing : period T, s.
    dI/dT = 2 m g h T/(4 pi^2), dI/dh = m (L - 2 h), dI/dm = I/m. Where h = k, which gives the shortest period,
    dI/dh = 0 and the arm hardly matters. Valid for L > h; see `shortest_period`.
    """
    length = G * swing.value**2 / (4 * np.pi**2)
    inertia = mass.value * arm.value * (length - arm.value)
    return propagated(
        inertia,
        swing.times(2 * mass.value * arm.value * length / swing.value),
        arm.times(mass.value * (length - 2 * arm.value)),
        mass.times(inertia / mass.value),
    )


def shortest_period(arm: float) -> float:
    """Return the period of a point mass at this arm, s: 2 pi sqrt(h/g); every body hung so swings more slowly."""
    return float(2 * np.pi * np.sqrt(arm / G))


def longest_period(arm: float, gyration: float) -> float:
    """Return the period of a body whose radius of gyration is no more than `gyration`, m, hung at an arm, s."""
    return float(2 * np.pi * np.sqrt((arm**2 + gyration**2) / (G * arm)))


@dataclass(frozen=True)
class TwoEdges:
    """What two knife edges tell.

    arm : from the first edge to the mass centre, m.   gyration : radius of gyration, m.
    condition : by how much more than a good choice of edges this one enlarges an error of the periods, 1 and up.
    """

    arm: Estimate
    gyration: Estimate
    condition: float

    def inertia(self, mass: Estimate) -> Estimate:
        """Return the moment of inertia about the mass centre, kg m^2: m k^2."""
        k = self.gyration
        return propagated(mass.value * k.value**2, mass.times(k.value**2), k.times(2 * mass.value * k.value))


def two_edges(first: Estimate, second: Estimate, apart: Estimate) -> TwoEdges:
    """Return mass centre and radius of gyration from the periods about two edges with the mass centre between them.

    first, second : periods, s.   apart : D between the lines of contact, m.
    With L_i = g T_i^2/(4 pi^2): h1 = D (L2 - D)/(L1 + L2 - 2 D), k^2 = h1 (L1 - h1). Where h1 h2 = k^2 both L are D and
    any h1 fits (Kater's pendulum): the scale finds the mass centre better. Khurmi and Gupta, ch. 4.
    """
    length_1, length_2, span = _length(first.value), _length(second.value), apart.value
    below = length_1 + length_2 - 2 * span
    arm = span * (length_2 - span) / below
    squared = arm * (length_1 - arm)
    by_length_1, by_length_2 = -arm / below, (span - arm) / below
    by_span = (length_2 - 2 * span + 2 * arm) / below
    steps = (
        (first.times(2 * length_1 / first.value), by_length_1, arm + (length_1 - 2 * arm) * by_length_1),
        (second.times(2 * length_2 / second.value), by_length_2, (length_1 - 2 * arm) * by_length_2),
        (apart, by_span, (length_1 - 2 * arm) * by_span),
    )
    gyration = np.sqrt(max(squared, 0.0))
    halved = 1 / (2 * gyration) if gyration else np.inf
    return TwoEdges(
        propagated(arm, *(length.times(each) for length, each, _ in steps)),
        propagated(gyration, *(length.times(each * halved) for length, _, each in steps)),
        max(1.0, float((length_1 + length_2) / abs(below))) if below else np.inf,
    )


def _length(period: float) -> float:
    """Return the length of the simple pendulum of this period, m."""
    return G * period**2 / (4 * np.pi**2)
