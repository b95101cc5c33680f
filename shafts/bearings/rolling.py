"""How hard a rolling bearing works, whatever rolls in it: life, static safety, and its largest load."""

from typing import TYPE_CHECKING, ClassVar, Protocol

import numpy as np

from balance.quantities import Number, Scalar, over_angle, result
from shafts.bearings.kind import AtWork, Duty, Kind, millimetres
from shafts.bearings.ratings import Ratings, life_revolutions, mean_load
from shafts.bearings.standard_sizes import designation, nearest_sizes, row_of, span


class Rolling(Kind, Protocol):
    """A kind of bearing that ISO 281 and ISO 76 rate."""

    @property
    def exponent(self) -> float:
        """Of the load in the life of ISO 281."""

    @property
    def entry(self) -> str:
        """The key it stands under in a design file."""

    @property
    def unlooked(self) -> str:
        """What to give so that its ratings can be relied on; "" if nothing is missing."""

    def ratings(self) -> Ratings:
        """Return load ratings and limiting speed."""

    def equivalent_load(self, radial: np.ndarray, axial: Scalar, rating: Ratings) -> np.ndarray:
        """Return the dynamic equivalent radial load over the cycle, N, (options..., angles)."""

    def static_equivalent_load(self, radial: Scalar, axial: Scalar) -> Number:
        """Return the static equivalent radial load, N."""

    @property
    def size(self) -> str:
        """Bore, outside and width, mm."""

    @property
    def span(self) -> str:
        """What catalogues give of its size, in words; of one design."""

    @property
    def known(self) -> bool:
        """Whether its size is one of those known, of every option."""

    def nearest(self) -> list[str]:
        """Return the known sizes nearest to this one, as text."""


class BySize:
    """What a rolling bearing of a known size answers, by its bore, outside and width.   table : sizes of its kind."""

    table: ClassVar[np.ndarray]
    if TYPE_CHECKING:  # fields of the kind itself
        outside: Number
        width: Number
        dynamic_rating: Scalar | None
        static_rating: Scalar | None

        @property
        def bore(self) -> Number:
            """Diameter of the shaft that goes into it, m."""

    def _row(self) -> np.ndarray:
        return row_of(self.table, self.bore, self.outside, self.width)

    def _given(self, dynamic: Number, static: Number, source: str) -> tuple[Number, Number, str]:
        """Return both ratings and where they come from; those that the design gives in place of these."""
        known = [each is not None for each in (self.dynamic_rating, self.static_rating)]
        if any(known):
            source = "as stated" if all(known) else f"one as stated, the other {source}"
        return (
            dynamic if self.dynamic_rating is None else np.asarray(self.dynamic_rating),
            static if self.static_rating is None else np.asarray(self.static_rating),
            source,
        )

    def duty(self: "Rolling", work: AtWork) -> "RollingDuty":
        """Return how hard it works."""
        return rolling_duty(self, work)

    @property
    def span(self) -> str:
        """What catalogues give of its size, in words; of one design."""
        return span(self._row())

    @property
    def known(self) -> bool:
        """Whether its size is one of those known, of every option."""
        return bool(np.all(np.isfinite(self._row()[..., 3])))

    def nearest(self) -> list[str]:
        """Return the known sizes nearest to this one, as text."""
        return nearest_sizes(*self.sizes, table=self.table)

    @property
    def size(self) -> str:
        """Bore, outside and width, mm."""
        return millimetres(self.bore, self.outside, self.width)

    @property
    def words(self) -> str:
        """Designation and size, mm."""
        return f"{self.designation} ({self.size})" if self.designation else self.size

    @property
    def designation(self) -> str:
        """Basic designation, as 608; "" where there is none or it is not known."""
        return designation(*self.sizes, self.table)

    @property
    def sizes(self) -> tuple[float, float, float]:
        """Bore, outside and width of one design, m."""
        bore, outside, width = (float(np.ravel(each)[0]) for each in (self.bore, self.outside, self.width))
        return bore, outside, width


@result
class RollingDuty(Duty):
    """A rolling bearing at work, (options...); NaN where its ratings are not known.

    equivalent : load that wears as the real one does at rated speed, N.
    revolutions, life : L10 in revolutions, and in seconds at rated speed.
    peak, peak_speed, peak_angle : largest load over the cycle and the speeds, N, rad/s, rad; without the load factor.
    static_safety : static rating over the static equivalent of that peak, load factor included.
    """

    kind: Rolling
    rating: Ratings
    equivalent: Number
    revolutions: Number
    life: Number
    peak: Number
    peak_speed: Number
    peak_angle: Number
    static_safety: Number


def rolling_duty(kind: Rolling, work: AtWork) -> RollingDuty:
    """Return the life and static safety of a rolling bearing.

    Life is the basic rating life L10 of ISO 281 at rated speed, with the mean of the load over the cycle that its
    exponent asks for.
    """
    rating, factor = kind.ratings(), np.asarray(work.factor)
    load = kind.equivalent_load(work.sizes() * over_angle(factor), work.axial, rating)
    equivalent = mean_load(load, kind.exponent)
    revolutions = life_revolutions(rating.dynamic, equivalent, kind.exponent)
    with np.errstate(divide="ignore"):
        safety = rating.static / kind.static_equivalent_load(work.peak.size * factor, work.axial)
    return RollingDuty(
        work.name,
        kind,
        rating,
        equivalent,
        revolutions,
        life=revolutions * 2 * np.pi / work.rated,
        peak=work.peak.size,
        peak_speed=work.peak.speed,
        peak_angle=work.peak.angle,
        static_safety=safety,
    )
