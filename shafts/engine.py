"""The machine on its shafts: what a design may say of both together."""

from collections.abc import Iterator
from typing import Annotated

from balance.errors import Complaint
from balance.machine.machine import Machine
from balance.quantities import definition
from shafts.crank.layout import misfits
from shafts.shaft import Fits, Shafts


@definition
class Engine(Machine):
    """The moving machine on its shafts."""

    shafts: Annotated[Shafts, "the shafts and their bearings"]
    fits: Annotated[Fits, "plays and errors"] = Fits()

    def disagreements(self) -> Iterator[Complaint]:
        """Yield what does not fit together: what a machine has of that, and cranks whose members do not join."""
        yield from super().disagreements()
        for hand, shaft in zip(("right", "left"), self.shafts.pair, strict=True):
            if hand == "right" or shaft is not self.shafts:
                yield from misfits(shaft, self.cranks, hand)
