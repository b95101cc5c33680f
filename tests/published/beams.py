"""A shaft as the books' beams are: of a stated E I, so slender that shear, which they leave out, counts for nothing."""

import numpy as np

from balance.machine.materials import Material
from shafts.bearings.bearing import Bearing
from shafts.bearings.bush import Bush
from shafts.shaft import Segment, Shaft

BUSH = Bush(bore=0.01, length=0.01)


def slender(stiffness, lengths, at, starts_at=0.0):
    """Return a shaft with segments of E I, N m^2, and lengths, m, on bearings at places, m.

    A round bar of a thousandth of its length in diameter: shear adds about 1e-6 of its deflection.
    """
    thick = sum(lengths) / 1000
    young = max(stiffness) * 64 / (np.pi * thick**4)
    material = Material(density=1.0, young=young, shear=young / 2.6)
    segments = tuple(
        Segment(length=length, diameter=thick * (each / max(stiffness)) ** 0.25)
        for each, length in zip(stiffness, lengths, strict=True)
    )
    return Shaft(
        material=material,
        segments=segments,
        starts_at=starts_at,
        bearings=tuple(Bearing(at=place, bush=BUSH) for place in at),
    )
