"""The needle roller bearing without an inner ring: the hardened shaft itself is what the rollers run on."""

from collections.abc import Iterator
from typing import Annotated, ClassVar, Literal, Self

import numpy as np

from balance.errors import BadDesign, Complaint
from balance.quantities import Bound, Force, Length, NotNegative, Number, Positive, Scalar, Speed, definition
from shafts.bearings.ball import Ball, ring_outside
from shafts.bearings.contact import contact_compliance
from shafts.bearings.kind import ClearanceGroup, Wide
from shafts.bearings.ratings import (
    ROLLER_EXPONENT,
    ROLLER_MATERIAL,
    Ratings,
    Rollers,
    roller_dynamic_rating,
    roller_static_rating,
)
from shafts.bearings.rolling import BySize
from shafts.bearings.standard_sizes import NEEDLE_NAMES, NEEDLES
from shafts.iso_286 import HoleClass, Range, ShaftClass, limits, play

# Class of the circle inside the rollers once it is in its seat: ISO 3245 (drawn cup) and ISO 1206, from memory, check
# against the standard.
INSIDE = {"drawn cup": "F8", "machined": "F6"}
FULL_HARDNESS = 58.0  # HRC: from here up a raceway bears all that the rating says
HARDNESS_EXPONENT = 3.6  # Harris, Rolling Bearing Analysis, from memory, check against the book
ROLLER_SHARE = 0.375  # of outside less inside: a roller's diameter where it is not given; common practice, no source
LENGTH_SHARE = 0.6  # of the width: a roller's length in contact, likewise


@definition
class Needle(BySize):
    """A needle roller bearing that runs on the shaft itself; ratings are typical unless given."""

    title = "needle bearing"
    entry = "needle"
    in_order: ClassVar[tuple[str, ...]] = ("shaft", "outside", "width")  # what a list of three says
    table = NEEDLES
    inner_ring = False
    closes_in = False  # the class of its inside is that in its seat
    exponent = ROLLER_EXPONENT

    shaft: Annotated[Length, Positive, "diameter of the shaft, which is that inside the rollers"]
    outside: Annotated[Length, Positive, "outside diameter"]
    width: Annotated[Length, Wide, "width"]
    kind: Annotated[Literal["drawn cup", "machined"], "how its outer ring is made"] = "drawn cup"
    dynamic_rating: Annotated[Force | None, Positive, "basic dynamic radial load rating"] = None
    static_rating: Annotated[Force | None, Positive, "basic static radial load rating"] = None
    rollers: Annotated[int | None, Positive, "number of rollers"] = None
    roller_diameter: Annotated[Length | None, Positive, "roller diameter"] = None
    roller_length: Annotated[Length | None, Positive, "length of a roller that is in contact"] = None
    play: Annotated[Length | None, NotNegative, "diametral play on the shaft; by ISO 286 and `fit` if left out"] = None
    hardness: Annotated[
        Number | None, Bound(20.0, 70.0), "Rockwell hardness (HRC) of the shaft where the rollers run"
    ] = None
    speed_limit: Annotated[Speed | None, Positive, "limiting speed"] = None

    def disagreements(self) -> Iterator[Complaint]:
        """Yield what does not fit together: an outside within the shaft, rollers half said, or too many of them."""
        if np.any(np.asarray(self.outside) <= self.shaft):
            yield Complaint(("outside",), "no more than the shaft", "more than the shaft")
        said = [each is not None for each in (self.rollers, self.roller_diameter, self.roller_length)]
        if any(said) != all(said):
            yield Complaint(("rollers",), "some of rollers, roller_diameter and roller_length", "all or none")
        if self.rollers is not None and self.roller_diameter is not None and self.roller_length is not None:
            circle = np.pi * (np.asarray(self.shaft) + self.roller_diameter)
            if np.any(np.asarray(self.rollers) * np.asarray(self.roller_diameter) > circle):
                read = f"{self.rollers} rollers that do not fit on their circle"
                yield Complaint(("rollers",), read, "fewer or thinner rollers")
            if np.any(np.asarray(self.roller_length) > self.width):
                yield Complaint(("roller_length",), "more than the width", "at most the width")
            if np.any(2 * np.asarray(self.roller_diameter) >= np.asarray(self.outside) - self.shaft):
                yield Complaint(("roller_diameter",), "rollers that fill the ring", "less than half outside less shaft")

    @property
    def bore(self) -> Number:
        """Diameter of the shaft, m."""
        return self.shaft

    @property
    def bore_limits(self) -> Range:
        """Deviations of the circle inside the rollers, m."""
        return limits(INSIDE[self.kind], self.shaft)

    @property
    def outside_limits(self) -> Range | None:
        """Deviations of the outside: ISO 492 of a machined ring; a thin cup takes the shape of its seat, so none."""
        return ring_outside(self.outside) if self.kind == "machined" else None

    @property
    def seat_class(self) -> HoleClass | None:
        """Loosest class of the seat that catalogues name for what is held by its seat alone; None for other rings.

        A drawn cup: N6 or N7 in iron and steel, R6 or R7 in light alloy (a maker's catalogue, table of bearing fits).
        """
        return "N7" if self.kind == "drawn cup" else None

    @property
    def loosest(self) -> Number:
        """Most play of a fit, m: with a shaft g6."""
        return play(self.bore_limits, limits("g6", self.shaft))[1]

    @property
    def tightest(self) -> Number:
        """None: the rollers would jam."""
        return np.zeros(np.shape(self.shaft))

    def clearance(self, group: ClearanceGroup | None, fit: ShaftClass | None) -> Range:
        """Return its play on the shaft, m: as given, or by the class of the shaft, all from h5 to h7 if not given."""
        del group
        if self.play is not None:
            return self.play, self.play
        return play(self.bore_limits, limits(fit or "h7", self.shaft))

    @property
    def by_contact(self) -> bool:
        """Whether its rollers are known or follow from its rating, of any option."""
        return bool(np.any(np.isfinite(self.internals().number)))

    def compliance(self, load: Scalar) -> Number:
        """Return displacement over load by contact theory, m/N; zero where nothing is known of its rollers."""
        return contact_compliance(self.internals(), load)

    def internals(self) -> Rollers:
        """Return its rollers as given, or so many of a usual size as its static rating asks for by ISO 76."""
        if self.rollers is not None and self.roller_diameter is not None and self.roller_length is not None:
            diameter, length = np.asarray(self.roller_diameter), np.asarray(self.roller_length)
            return Rollers(np.asarray(self.rollers, dtype=float), diameter, length, np.asarray(self.shaft) + diameter)
        diameter = ROLLER_SHARE * (np.asarray(self.outside) - self.shaft)
        one = Rollers(1.0, diameter, LENGTH_SHARE * np.asarray(self.width), np.asarray(self.shaft) + diameter)
        static = self._row()[..., 5] if self.static_rating is None else np.asarray(self.static_rating)
        return Rollers(static / roller_static_rating(one), one.diameter, one.length, one.pitch)

    def ratings(self) -> Ratings:
        """Return load ratings and limiting speed: as given, or from its rollers, or the low end of catalogues.

        A shaft softer than 58 HRC bears less, by the power 3.6 of its hardness; static ratings fall alike.
        """
        row = self._row()
        source = "low end of catalogues"
        dynamic: Number = row[..., 3]
        static: Number = row[..., 5]
        if self.rollers is not None:
            inside, source = self.internals(), "from its rollers (ISO 281, ISO 76)"
            dynamic = roller_dynamic_rating(inside, ROLLER_MATERIAL[self.kind])
            static = roller_static_rating(inside)
        dynamic, static, source = self._given(dynamic, static, source)
        soft = np.minimum(np.asarray(FULL_HARDNESS if self.hardness is None else self.hardness) / FULL_HARDNESS, 1.0)
        speed = np.full(np.shape(dynamic), np.nan) if self.speed_limit is None else np.asarray(self.speed_limit)
        share = soft**HARDNESS_EXPONENT
        return Ratings(
            share * dynamic,
            share * static,
            speed,
            np.nan,
            source,
        )

    @property
    def unlooked(self) -> str:
        """What to give so that its ratings can be relied on."""
        return "" if self.hardness is not None else "give its needle.hardness: it is rated on a shaft of 58 HRC"

    def equivalent_load(self, radial: np.ndarray, axial: Scalar, rating: Ratings) -> np.ndarray:
        """Return the radial load: it bears no other."""
        del axial, rating
        return radial

    def static_equivalent_load(self, radial: Scalar, axial: Scalar) -> Number:
        """Return the radial load: it bears no other."""
        del axial
        return np.asarray(radial)

    def refit(self, ball: Ball) -> Self:
        """Return the smallest known needle bearing for the shaft of a ball bearing; raises BadDesign if none is."""
        shaft = float(ball.bore)
        known = [row for row in NEEDLES if np.isclose(row[0], shaft)]
        if not known:
            raise BadDesign(Complaint(("needle",), f"a shaft of {shaft * 1e3:g} mm", "one of a known needle bearing"))
        return type(self)(shaft=shaft, outside=float(known[0][1]), width=float(known[0][2]), hardness=self.hardness)

    @property
    def words(self) -> str:
        """Designation and size, mm."""
        return super().words if self.kind == "drawn cup" else self.size


NEEDLE_STOCK = {
    name: Needle(shaft=float(row[0]), outside=float(row[1]), width=float(row[2]))
    for name, row in zip(NEEDLE_NAMES, NEEDLES, strict=True)
}
