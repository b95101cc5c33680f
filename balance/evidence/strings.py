"""A part hung level on two or three strings and let turn about the upright: radius of gyration and inertia."""

from dataclasses import dataclass

import numpy as np

from balance.evidence.estimate import Estimate, propagated
from balance.machine.machine import STANDARD_GRAVITY as G


def gyration_by_two_strings(swing: Estimate, strings: Estimate, left: Estimate, right: Estimate) -> Estimate:
    """Return the radius of gyration, m: k = (T/2 pi) sqrt(g x y/l) (bifilar suspension).

    swing : period T, s.   strings : their length l, m.   left, right : x and y from the mass centre, m.
    u(k)/k takes the whole of u(T)/T and half of each other share. For l much longer than x and y, upright strings and
    small turns. Khurmi and Gupta, Theory of Machines, ch. 4.
    """
    k = swing.value / (2 * np.pi) * np.sqrt(G * left.value * right.value / strings.value)
    halves = (each.times(k / 2 / each.value) for each in (strings, left, right))
    return propagated(k, swing.times(k / swing.value), *halves)


def inertia_of(mass: Estimate, gyration: Estimate) -> Estimate:
    """Return a moment of inertia, kg m^2: I = m k^2."""
    k = gyration.value
    return propagated(mass.value * k**2, mass.times(k**2), gyration.times(2 * mass.value * k))


@dataclass(frozen=True)
class ThreeStrings:
    """A plate on three strings.   length : of each, m.   radius : from the plate's middle to where each is tied, m."""

    length: Estimate
    radius: Estimate

    def inertia(self, mass: Estimate, swing: Estimate) -> Estimate:
        """Return the inertia of all that hangs, kg m^2: I = m g r^2 T^2/(4 pi^2 l) (trifilar suspension).

        mass : of all that hangs, kg.   swing : period T, s. The axis must pass through the mass centre: off by e it
        adds m e^2 and tilts. Khurmi and Gupta, Theory of Machines, ch. 4.
        """
        inertia = self._factor * mass.value * swing.value**2
        return propagated(inertia, *self._shares(inertia), mass.times(inertia / mass.value),
                          swing.times(2 * inertia / swing.value))  # fmt: skip

    def on_plate(self, part: Estimate, swing: Estimate, plate: Estimate, empty: Estimate) -> Estimate:
        """Return the inertia of a part alone, kg m^2, from the swing with it and of the empty plate.

        I = g r^2/(4 pi^2 l) ((m + p) T^2 - p T0^2). Length and radius act on the difference, not on each term.
        """
        factor, both = self._factor, part.value + plate.value
        inertia = factor * (both * swing.value**2 - plate.value * empty.value**2)
        return propagated(
            inertia,
            *self._shares(inertia),
            part.times(factor * swing.value**2),
            plate.times(factor * (swing.value**2 - empty.value**2)),
            swing.times(2 * factor * both * swing.value),
            empty.times(2 * factor * plate.value * empty.value),
        )

    @property
    def _factor(self) -> float:
        return G * self.radius.value**2 / (4 * np.pi**2 * self.length.value)

    def _shares(self, inertia: float) -> tuple[Estimate, Estimate]:
        return self.radius.times(2 * inertia / self.radius.value), self.length.times(inertia / self.length.value)
