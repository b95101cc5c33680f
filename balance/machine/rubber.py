"""Rubber buffers as feet: what a maker reads off them, and what springs they are.

Stiffness of a round buffer whose faces are bonded to plates: compression E0 (1 + 2 k S^2) A/h, shear G A/h, with the
shape factor S = diameter / (4 height), loaded over free area (Gent and Lindley; E0, G and k by hardness after
Lindley, Engineering Design with Natural Rubber, from memory, check against the book). Makers' tables give up to
2.5 times as much for short buffers: the sag under the engine's own weight tells the truth.
"""

from collections.abc import Iterator
from typing import Annotated

import numpy as np

from balance.errors import Complaint
from balance.quantities import Bound, Length, Number, Positive, Scalar, definition

HARDNESS = (40.0, 50.0, 60.0, 70.0)
YOUNG = (1.50e6, 2.20e6, 4.45e6, 7.35e6)
SHEAR = (0.45e6, 0.64e6, 1.06e6, 1.73e6)
SHAPE = (0.85, 0.73, 0.57, 0.53)
"""Young's modulus, shear modulus, Pa, and factor k of the shape, by hardness, IRHD (near Shore A)."""

STIFFENING = (1.15, 1.3, 1.5, 1.8)
"""Dynamic over static stiffness by hardness, black filled natural rubber, small motion; common practice, no source.
A mount maker's general statement is 1.2 to 1.4; neoprene and nitrile stiffen a fifth to a half more."""

LOSS_FACTOR = 0.1
"""Tangent of the loss angle of natural rubber: twice a damping ratio of 0.05, from 0.05 to 0.15 in collections."""

Moderate = Bound(least=HARDNESS[0], most=HARDNESS[-1])


@definition
class Rubber:
    """One of several equal round rubber buffers, upright along the cylinder."""

    diameter: Annotated[Length, Positive, "diameter of each buffer"]
    height: Annotated[Length, Positive, "height of the rubber, plates left out"]
    hardness: Annotated[Number, Moderate, "hardness, Shore A or IRHD"]
    number: Annotated[int | None, Positive, "how many; as many as places of feet if left out"] = None

    def disagreements(self) -> Iterator[Complaint]:
        """Yield what does not fit together: a buffer so slender that it buckles, or flatter than the formula holds."""
        share = np.asarray(self.height) / self.diameter
        wrong = (share > 1.5) | (share < 0.1)
        if np.any(wrong):
            allowed = "a tenth to one and a half times the diameter, where the formula holds"
            yield Complaint(("height",), f"{float(np.max(share)):.3g} times the diameter", allowed, wrong)

    @property
    def static(self) -> tuple[Number, Number]:
        """Static stiffness of one buffer in compression and in shear, N/m."""
        return buffer_stiffness(self.diameter, self.height, self.hardness)

    @property
    def dynamic_ratio(self) -> Number:
        """Dynamic over static stiffness, typical of its hardness."""
        return np.interp(self.hardness, HARDNESS, STIFFENING)


def buffer_stiffness(diameter: Scalar, height: Scalar, hardness: Scalar) -> tuple[Number, Number]:
    """Return the static stiffness of a round buffer in compression and in shear, N/m, (options...).

    hardness : 40 to 70; NaN outside of that.
    The rubber's bulk is taken as incompressible, which is 1 percent off where it is as wide as four times its height.
    """
    young, shear, shape = (np.interp(hardness, HARDNESS, each, np.nan, np.nan) for each in (YOUNG, SHEAR, SHAPE))
    return pressed_stiffness(young, shape, diameter, height), shear * np.pi / 4 * np.asarray(diameter) ** 2 / height


def pressed_stiffness(young: Scalar, shape: Scalar, diameter: Scalar, height: Scalar) -> Number:
    """Return the stiffness of a round rubber bonded on both faces in compression, E0 (1 + 2 k S^2) A/h, N/m."""
    factor = np.asarray(diameter) / (4 * np.asarray(height))
    return young * (1 + 2 * shape * factor**2) * np.pi / 4 * np.asarray(diameter) ** 2 / np.asarray(height)
