"""A bearing in its place: of which kind it is, how it is fitted, and what a design may say of both."""

from collections.abc import Iterator, Mapping
from typing import Annotated, Literal, cast

import numpy as np

from balance.errors import Complaint
from balance.quantities import (
    Bound,
    Force,
    Length,
    NotNegative,
    Number,
    Positive,
    Stiffness,
    Typical,
    definition,
)
from shafts.bearings.ball import BALL_STOCK, Ball
from shafts.bearings.bush import Bush
from shafts.bearings.kind import ClearanceGroup, Kind
from shafts.bearings.needle import NEEDLE_STOCK, Needle
from shafts.iso_286 import LARGEST, HoleClass, ShaftClass

STOCK: dict[type, Mapping[str, Ball | Needle]] = {Ball: BALL_STOCK, Needle: NEEDLE_STOCK}
"""What may be named by its designation, by kind; the others come by their own entries alone."""
KINDS = ("ball", "bush", "needle")  # fields of Bearing, one of which is given


Holding = Bound(least=1e3)  # N/m; on anything softer a shaft's own weight hangs by millimetres, and it is no bearing


@definition
class Bearing:
    """A bearing in its seat."""

    at: Annotated[Length, "place along the shaft of its middle"]
    ball: Annotated[Ball | None, "a ball bearing"] = None
    bush: Annotated[Bush | None, "a plain bushing"] = None
    needle: Annotated[Needle | None, "a needle roller bearing that runs on the shaft itself"] = None
    clearance: Annotated[
        ClearanceGroup | Length | None,
        NotNegative,
        "radial internal clearance before it is fitted: group (CN if left out) or value; else the play on its shaft",
    ] = None
    left_clearance: Annotated[
        Length | None, NotNegative, "the same of this bearing on the left shaft, where it differs"
    ] = None
    fit: Annotated[
        ShaftClass | Length | None,
        "shaft in bore: ISO 286 class of the shaft, as h6, or diametral play as measured, negative for interference",
    ] = None
    seat_fit: Annotated[
        HoleClass | Length | None,
        "outside in seat: ISO 286 class of the seat, as H7, or diametral play as measured, negative for interference",
    ] = None
    held_by: Annotated[
        Literal["shoulder", "circlip", "glue", "press"] | None,
        "what holds it along the shaft; glue also takes up the play of its rings on shaft and seat",
    ] = None
    stiffness: Annotated[
        Stiffness | None, Holding, "radial stiffness of the bearing itself; from contact theory if left out"
    ] = None
    seat_stiffness: Annotated[
        Stiffness | None,
        Holding,
        Typical(
            5e6,
            40e6,
            120e6,
            "support stiffness",
            "a screwed aluminium plate of 5 to 8 mm has 20 to 120 N/um and a thick printed housing about 5: plates "
            "computed, less a share for screws and ring that is common practice, no source",
            "dial gauge on the shaft at the bearing, hang 2 kg and then 5 kg: take the slope between the readings",
        ),
        "radial stiffness of its seat in the case",
    ] = None
    axial_load: Annotated[Force, NotNegative, "steady load along the shaft, as from a preload"] = 0.0
    load_factor: Annotated[
        Number, Positive, "on computed loads, for knocks: 1 to 1.2 smooth, 1.2 to 1.5 usual, 1.5 to 3 rough"
    ] = 1.2

    @property
    def inside(self) -> Kind:
        """The ball bearing, bush or whatever it is."""
        return cast(Kind, next(given for name in KINDS if (given := getattr(self, name)) is not None))

    def disagreements(self) -> Iterator[Complaint]:
        """Yield what does not fit together: not exactly one kind of bearing, or play that is said twice or in vain."""
        given = [name for name in KINDS if getattr(self, name) is not None]
        if len(given) != 1:
            yield Complaint((), f"{' and '.join(given) or 'none'} of {', '.join(KINDS)}", "one of them")
            return
        if self.needle is not None and np.any(np.asarray(self.axial_load)):
            yield Complaint(("axial_load",), "a load along the shaft on needles", "none: they bear radial load alone")
        yield from self._beyond_classes()
        if not self.inside.inner_ring:
            yield from self._play_twice(given[0])

    def _beyond_classes(self) -> Iterator[Complaint]:
        for key, size in (("fit", self.inside.bore), ("seat_fit", self.inside.outside)):
            if isinstance(given := getattr(self, key), str) and size is not None:
                wrong = np.asarray(size) > LARGEST
                if np.any(wrong):
                    read = f"class {given} of more than {LARGEST * 1e3:g} mm"
                    yield Complaint((key,), read, "the play as measured, for sizes that large", wrong)

    def _play_twice(self, kind: str) -> Iterator[Complaint]:
        """Yield complaints of what runs on the shaft itself: its play is given once, and has no group."""
        if isinstance(self.clearance, str):
            read = f"group {self.clearance} of a {self.inside.title}"
            yield Complaint(("clearance",), read, "a length (a group is for balls)")
        elif self.clearance is not None and np.any(np.asarray(getattr(self.inside, "play", None) or 0.0)):
            yield Complaint(("clearance",), f"a clearance beside the {kind}'s own play", "one of them")
        if self.fit is not None and not isinstance(self.fit, str):
            yield Complaint(
                ("fit",), f"a play of a {self.inside.title} on its shaft", f"a class, as h6; or {kind}.play"
            )
