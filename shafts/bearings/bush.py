"""The plain bush: the shaft itself runs in it, on its play."""

from collections.abc import Sequence
from dataclasses import replace
from typing import Annotated, Any, Literal, Self

import numpy as np

from balance.quantities import (
    Length,
    NotNegative,
    Number,
    Positive,
    PressureVelocity,
    Scalar,
    Typical,
    definition,
    result,
)
from shafts.bearings.ball import Ball
from shafts.bearings.kind import AtWork, ClearanceGroup, Duty, Wide, millimetres
from shafts.crank.vectors import CrankVector
from shafts.iso_286 import HoleClass, Range, ShaftClass, limits, play

BushMaterial = Literal["sintered bronze", "turned bronze", "babbitt", "lined with PTFE", "nylon"]
# Largest pressure times rubbing speed, Pa m/s, dry or with the oil that is in it: Mott, Machine Elements in
# Mechanical Design, table 16-1 (porous bronze, babbitt, lined, nylon); turned bronze by a maker's data.
BUSH_LIMITS: dict[BushMaterial, float] = {
    "sintered bronze": 1.75e6,
    "turned bronze": 1.75e6,
    "babbitt": 1.05e6,
    "lined with PTFE": 1.80e6,
    "nylon": 0.105e6,
}


@definition
class Bush:
    """A plain bushing."""

    title = "bush"
    inner_ring = False
    closes_in = True
    by_contact = False

    bore: Annotated[Length, Positive, "bore diameter"]
    length: Annotated[Length, Wide, "length"]
    outside: Annotated[Length | None, Positive, "outside diameter"] = None
    material: Annotated[BushMaterial | None, "what it is made of, for what it bears"] = None
    pv_limit: Annotated[
        PressureVelocity | None, Positive, "largest pressure times rubbing speed; by its material if left out"
    ] = None
    play: Annotated[
        Length | None,
        NotNegative,
        Typical(
            6e-6,
            16e-6,
            35e-6,
            "play of a bush",
            "sintered bush pressed in, on an h6 shaft: bore G7 of ISO 2795, computed",
            "rock the shaft in the bush and read a dial gauge; take off what bends",
        ),
        "diametral play on the shaft; by tolerance and fit, or without play, if left out",
    ] = None
    tolerance: Annotated[HoleClass | None, "ISO 286 class of its bore, as H7; with `fit` it gives the play"] = None

    @property
    def width(self) -> Number:
        """Along the shaft, m."""
        return self.length

    @property
    def bore_limits(self) -> Range | None:
        """Deviations of the bore, m; None if no class is given."""
        return None if self.tolerance is None else limits(self.tolerance, self.bore)

    @property
    def outside_limits(self) -> None:
        """Deviations of the outside: not known."""
        return

    @property
    def loosest(self) -> Number:
        """Most play of a loose running fit, m: H9 on f7."""
        return play(limits("H9", self.bore), limits("f7", self.bore))[1]

    @property
    def tightest(self) -> Number:
        """None: it would seize."""
        return np.zeros(np.shape(self.bore))

    def clearance(self, group: ClearanceGroup | None, fit: ShaftClass | None) -> Range | None:
        """Return its play on the shaft, m: as given, or by the classes of both."""
        del group
        if self.play is not None:
            return self.play, self.play
        bore = self.bore_limits
        return None if bore is None or fit is None else play(bore, limits(fit, self.bore))

    def compliance(self, load: Scalar) -> Number:
        """Return zero: contact theory does not know it."""
        del load
        return np.float64(0.0)

    def duty(self, work: AtWork) -> "BushDuty":
        """Return how hard it works."""
        return bush_duty(work.name, self, work.factor, work.load(), work.speeds)

    def refit(self, ball: Ball) -> Self:
        """Return the same bush with the bore of a ball bearing."""
        return replace(self, bore=ball.bore)

    @property
    def words(self) -> str:
        """Bore and length, mm; with the outside between them if given."""
        return millimetres(self.bore, *(() if self.outside is None else (self.outside,)), self.length)

    @property
    def limit(self) -> Scalar | None:
        """Largest pressure times rubbing speed it bears, Pa m/s: as given, or by what it is made of."""
        if self.pv_limit is not None:
            return self.pv_limit
        return None if self.material is None else BUSH_LIMITS[self.material]


@result
class BushDuty(Duty):
    """A plain bush at work, (options...), at the speed where pressure times rubbing speed is largest.

    load : mean load over the cycle, N.   pressure : on its projected area, Pa.   rubbing : m/s.
    pv, limit : pressure times rubbing speed and what it bears, Pa m/s; the limit is None if not known.
    """

    bush: Bush
    speed: Number
    load: Number
    pressure: Number
    rubbing: Number
    pv: Number
    limit: Scalar | None


def bush_duty(name: str, bush: Bush, factor: Scalar, load: CrankVector, speeds: Sequence[Any]) -> BushDuty:
    """Return the pressure times rubbing speed of a bush: mean load over length and bore, times speed over the shaft.

    factor : on its load, for knocks.
    """
    means = [np.mean(load.size(each), axis=-1) * np.asarray(factor) for each in speeds]
    mean, speed = _at_largest([mean * at for mean, at in zip(means, speeds, strict=True)], means, speeds)
    pressure, rubbing = mean / (np.asarray(bush.bore) * bush.length), np.asarray(bush.bore) / 2 * speed
    return BushDuty(name, bush, speed, mean, pressure, rubbing, pressure * rubbing, bush.limit)


def _at_largest(values: Sequence[Any], *others: Sequence[Any]) -> tuple[np.ndarray, ...]:
    """Return from each of the other lists, for each option, the entry that stands where the value is largest."""
    index = np.argmax(np.stack(np.broadcast_arrays(*values)), axis=0)[None]
    shape = np.broadcast_shapes(*(np.shape(one) for each in others for one in each), index.shape[1:])
    chosen = (np.stack([np.broadcast_to(one, shape) for one in each]) for each in others)
    return tuple(np.take_along_axis(each, np.broadcast_to(index, (1, *shape)), axis=0)[0] for each in chosen)
