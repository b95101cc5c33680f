"""A rubber stop between two yokes: what a design may say of it."""

from collections.abc import Iterator
from typing import Annotated

import numpy as np

from balance.errors import Complaint
from balance.machine.rubber import pressed_stiffness
from balance.quantities import Bound, Length, NotNegative, Number, Positive, Scalar, Stiffness, definition

HARDNESS = (40.0, 50.0, 60.0, 65.0, 70.0, 75.0)  # IRHD, much the same as Shore A
YOUNG = (1.50e6, 2.20e6, 4.45e6, 5.72e6, 7.35e6, 9.24e6)  # Pa
SHAPE = (0.85, 0.73, 0.57, 0.54, 0.53, 0.52)
"""Young's modulus and shape coefficient of rubber by hardness.

Lindley, Engineering Design with Natural Rubber (from memory; at 65 and 75 as quoted in Designing with Rubber).
"""
Known = Bound(least=HARDNESS[0], most=HARDNESS[-1])


@definition
class Stop:
    """Rubber on one yoke, which touches the other as soon as they are nearer than it is thick."""

    between: Annotated[tuple[str, str], "names of the upper and the lower yoke"]
    thickness: Annotated[Length, Positive, "of the rubber, not compressed"]
    x: Annotated[Length, NotNegative, "middle of the yokes to the stop; two, mirrored, unless zero"] = 0.0
    stiffness: Annotated[Stiffness | None, Positive, "of each stop; by hardness and diameter if left out"] = None
    hardness: Annotated[Number | None, Known, "of the rubber, IRHD or Shore A"] = None
    diameter: Annotated[Length | None, Positive, "of each stop, a disc"] = None
    loss_factor: Annotated[Number | None, NotNegative, "of the rubber, for its heat"] = None

    @property
    def spring(self) -> Number:
        """Stiffness of each stop, N/m, (options...): as given, else that of a bonded disc of its hardness."""
        if self.stiffness is not None:
            return self.stiffness
        assert self.hardness is not None and self.diameter is not None
        return disc_stiffness(self.hardness, self.diameter, self.thickness)

    @property
    def number(self) -> np.ndarray:
        """How many there are, (options...): one in the middle, else two."""
        return np.where(np.asarray(self.x) > 0, 2.0, 1.0)

    def disagreements(self) -> Iterator[Complaint]:
        """Yield what does not fit together: no stiffness and nothing that it follows from, or one yoke twice."""
        if self.stiffness is None and (self.hardness is None or self.diameter is None):
            yield Complaint((), "no stiffness, nor hardness and diameter", "the stiffness, or both of them")
        if self.between[0] == self.between[1]:
            yield Complaint(("between",), f"{self.between[0]} twice", "the upper and the lower yoke")


def disc_stiffness(hardness: Scalar, diameter: Scalar, thickness: Scalar) -> Number:
    """Return the stiffness of a rubber disc bonded on both faces, N/m, (options...), for small compressions.

    K = E0 (1 + 2 k S^2) A/t with the shape factor S = D/(4 t), loaded over free area (Lindley; Gent and Lindley).
    Not bonded it is softer; beyond a fifth of its thickness it is stiffer. hardness : 40 to 75; NaN outside of that.
    """
    young, shape = (np.interp(hardness, HARDNESS, each, np.nan, np.nan) for each in (YOUNG, SHAPE))
    return pressed_stiffness(young, shape, diameter, thickness)
