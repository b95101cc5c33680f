"""What a straight cut leaves of a disc, as a counterweight."""

import numpy as np

from balance.plates.plate import Bend, Measures
from balance.quantities import Number, Scalar, result


@result
class Segment:
    """The part of a disc beyond a chord.   outer : radius, m.   chord : shaft centre to the cut, m."""

    outer: Number
    chord: Number

    @property
    def half_chord(self) -> Number:
        """Half the length of the cut, m."""
        return np.sqrt(np.maximum(np.asarray(self.outer) ** 2 - np.asarray(self.chord) ** 2, 0.0))

    @property
    def measures(self) -> Measures:
        """Integrals of 1, y and r^2: the sector to the chord's ends, less its triangle."""
        half, chord = self.half_chord, np.asarray(self.chord)
        angle = np.arctan2(half, chord)
        triangle = half * chord * (chord**2 / 2 + half**2 / 6)
        return Measures(angle * self.outer**2 - half * chord, 2 / 3 * half**3, angle * self.outer**4 / 2 - triangle)

    @property
    def reach(self) -> Number:
        """The radius of the disc, m."""
        return self.outer

    def edge_distance(self, x: Scalar, y: Scalar) -> Number:
        """Return how far a point lies inside: from the rim and from the cut, m."""
        return np.minimum(self.outer - np.hypot(x, y), np.asarray(y) - self.chord)

    def path(self) -> list[Bend]:
        """Return its corners, counter-clockwise from the right end of the cut."""
        half, chord = float(self.half_chord), float(self.chord)
        bulge = float(np.tan(np.arctan2(half, chord) / 2))
        return [(half, chord, bulge), (-half, chord, 0.0)]


def segment_of_first(first: Scalar, outer: Scalar, least_chord: Scalar) -> Segment:
    """Return the smallest segment with a wanted integral of y, m^3; the largest one where that is not enough.

    The integral is (2/3) (R^2 - h^2)^(3/2), h from the shaft's centre to the cut.
    """
    chord = np.sqrt(np.maximum(np.asarray(outer) ** 2 - _half_chord(first) ** 2, np.asarray(least_chord) ** 2))
    return Segment(outer, chord)


def segment_radius(first: Scalar, chord: Scalar) -> Number:
    """Return the radius that gives a segment beyond this cut a wanted integral of y, m."""
    return np.hypot(chord, _half_chord(first))


def _half_chord(first: Scalar) -> Number:
    return np.cbrt(1.5 * np.maximum(np.asarray(first), 0.0))
