"""The ball bearing: a single-row deep-groove one, by its boundary size."""

from collections.abc import Iterator
from typing import Annotated, ClassVar, Self

import numpy as np

from balance.errors import Complaint
from balance.many import unchecked
from balance.quantities import Force, Length, Number, Positive, Scalar, Speed, definition
from shafts.bearings import ratings as iso
from shafts.bearings.contact import contact_compliance
from shafts.bearings.kind import ClearanceGroup, Wide
from shafts.bearings.ratings import BALL_EXPONENT, Internals, Ratings
from shafts.bearings.rolling import BySize
from shafts.bearings.standard_sizes import BALL_NAMES, BALLS
from shafts.iso_286 import Range, ShaftClass, limits

# Radial internal clearance of deep-groove ball bearings in micrometres by bore: ISO 5753-1:2009, table 1
# (from memory). Each row: bore over .. up to, mm; then least and most for C2, CN, C3, C4, C5.
CLEARANCE = (
    (2.5, 6, (0, 7), (2, 13), (8, 23), (14, 29), (20, 37)),
    (6, 10, (0, 7), (2, 13), (8, 23), (14, 29), (20, 37)),
    (10, 18, (0, 9), (3, 18), (11, 25), (18, 33), (25, 45)),
    (18, 24, (0, 10), (5, 20), (13, 28), (20, 36), (28, 48)),
    (24, 30, (1, 11), (5, 20), (13, 28), (23, 41), (30, 53)),
    (30, 40, (1, 11), (6, 20), (15, 33), (28, 46), (40, 64)),
    (40, 50, (1, 11), (6, 23), (18, 36), (30, 51), (45, 73)),
)
GROUPS = ("C2", "CN", "C3", "C4", "C5")
NORMAL = "CN"
# ISO 492, normal class, from memory, check against the standard: how far the mean bore and outside may lie below the
# nominal size; up to and including, mm; um.
BORE_BELOW = ((18, 8), (30, 10), (50, 12))
OUTSIDE_BELOW = ((18, 8), (30, 9), (50, 11), (80, 13))
FEWEST, SMALLEST = 6, 0.22
"""Balls, and their diameter over outside less bore, where they are not known: softer than every size whose are."""
TYPICAL_STATIC_FACTOR = 13.0  # f_0 where the balls are not known; it lies between 12 and 15 for these sizes
SAME_SIZE = 1e-6  # m by which sizes of one bearing may be told apart, as those in inches are
LARGEST_INTERFERENCE = 1e-3  # of the bore: common practice, so that the ring neither bursts nor loses all its clearance


def ring_outside(size: Scalar) -> Range:
    """Return the deviations of a ring's outside of some size, m: ISO 492, normal class."""
    return _below(OUTSIDE_BELOW, size), 0.0


@definition
class Ball(BySize):
    """A deep-groove ball bearing by its boundary size; ratings are typical unless given."""

    title = "ball bearing"
    entry = "ball"
    in_order: ClassVar[tuple[str, ...]] = ("bore", "outside", "width")  # what a list of three says
    table = BALLS
    inner_ring = True
    closes_in = True
    exponent = BALL_EXPONENT
    unlooked = ""

    bore: Annotated[Length, Positive, "bore diameter"]
    outside: Annotated[Length, Positive, "outside diameter"]
    width: Annotated[Length, Wide, "width"]
    dynamic_rating: Annotated[Force | None, Positive, "basic dynamic radial load rating"] = None
    static_rating: Annotated[Force | None, Positive, "basic static radial load rating"] = None
    balls: Annotated[int | None, Positive, "number of balls"] = None
    ball_diameter: Annotated[Length | None, Positive, "ball diameter"] = None
    pitch_diameter: Annotated[Length | None, Positive, "diameter of the circle of ball centres"] = None
    speed_limit: Annotated[Speed | None, Positive, "limiting speed"] = None

    def disagreements(self) -> Iterator[Complaint]:
        """Yield what does not fit together: an outside within the bore, balls without a size, or too many of them."""
        if np.any(np.asarray(self.outside) <= self.bore):
            yield Complaint(("outside",), "no more than the bore", "more than the bore")
        if (self.balls is None) != (self.ball_diameter is None):
            yield Complaint(("balls",), "one of balls and ball_diameter", "both or neither")
        elif self.balls is not None and self.ball_diameter is not None:
            side_by_side = np.asarray(self.balls) * np.asarray(self.ball_diameter)
            if np.any(side_by_side >= np.pi * np.asarray(self._circle)):
                read = f"{self.balls} balls that do not fit on their circle"
                yield Complaint(("balls",), read, "fewer or smaller balls")

    @property
    def bore_limits(self) -> Range:
        """Deviations of the bore, m: ISO 492."""
        return _below(BORE_BELOW, self.bore), 0.0

    @property
    def outside_limits(self) -> Range:
        """Deviations of the outside, m: ISO 492."""
        return ring_outside(self.outside)

    @property
    def loosest(self) -> Number:
        """Most play of a fit, m: a shaft g6 in the widest bore, the loosest that catalogues name for an inner ring."""
        return -limits("g6", self.bore)[0]

    @property
    def tightest(self) -> Number:
        """Most interference, m."""
        return LARGEST_INTERFERENCE * np.asarray(self.bore)

    def clearance(self, group: ClearanceGroup | None, fit: ShaftClass | None) -> Range:
        """Return its radial internal clearance as bought, m: ISO 5753-1, by group (CN if None) and bore."""
        del fit  # a ring's fit changes it afterwards
        bores = np.array([row[1] for row in CLEARANCE]) * 1e-3
        # A nominal bore belongs to the row that ends with it, whatever its last binary digit.
        row = np.minimum(np.searchsorted(bores, np.asarray(self.bore) - 1e-9), len(CLEARANCE) - 1)
        ranges = np.array([line[2 + GROUPS.index(group or NORMAL)] for line in CLEARANCE]) * 1e-6
        return ranges[row, 0], ranges[row, 1]

    @property
    def by_contact(self) -> bool:
        """Contact theory always tells how far it yields: by its balls, else by few and small ones."""
        return True

    @property
    def balls_known(self) -> bool:
        """Whether its balls are known, of every option."""
        return bool(np.all(np.isfinite(self.internals().diameter)))

    def compliance(self, load: Scalar) -> Number:
        """Return displacement over load by contact theory, m/N; where its balls are not known rather too much."""
        inside = self.internals()
        known = np.isfinite(inside.diameter)
        number = np.where(known, inside.balls, FEWEST)
        diameter = np.where(known, inside.diameter, SMALLEST * (np.asarray(self.outside) - self.bore))
        return contact_compliance(Internals(number, diameter, inside.pitch), load)

    @property
    def _circle(self) -> Number:
        return (np.asarray(self.bore) + self.outside) / 2 if self.pitch_diameter is None else self.pitch_diameter

    def internals(self) -> Internals:
        """Return the balls as the design or else the table of standard sizes has them."""
        pitch = np.asarray(self._circle)
        if self.balls is not None and self.ball_diameter is not None:
            return Internals(np.asarray(self.balls, dtype=float), np.asarray(self.ball_diameter), pitch)
        row = self._row()
        return Internals(row[..., 8], row[..., 9], pitch)

    def ratings(self) -> Ratings:
        """Return load ratings and limiting speed: as given, or from given balls, or the low end of catalogues."""
        row, inside = self._row(), self.internals()
        source = "low end of catalogues"
        dynamic: Number = row[..., 3]
        static: Number = row[..., 5]
        if self.balls is not None:
            source = "from its balls (ISO 281, ISO 76)"
            dynamic, static = iso.dynamic_rating(inside), iso.static_rating(inside)
        dynamic, static, source = self._given(dynamic, static, source)
        factor = iso.static_factor(inside)
        return Ratings(
            dynamic,
            static,
            row[..., 7] if self.speed_limit is None else np.asarray(self.speed_limit),
            np.where(np.isnan(factor), TYPICAL_STATIC_FACTOR, factor),
            source,
        )

    def equivalent_load(self, radial: np.ndarray, axial: Scalar, rating: Ratings) -> np.ndarray:
        """Return the dynamic equivalent radial load, N, (options..., angles): ISO 281."""
        return iso.equivalent_load(radial, axial, rating)

    def static_equivalent_load(self, radial: Scalar, axial: Scalar) -> Number:
        """Return the static equivalent radial load, N: ISO 76."""
        return iso.static_equivalent_load(radial, axial)

    def refit(self, ball: Self) -> Self:
        """Return another ball bearing as it is; itself, with all that was given of it, where it is of the same size."""
        sizes = ((getattr(self, each), getattr(ball, each)) for each in self.in_order)
        same = all(np.all(np.abs(np.subtract(*each)) < SAME_SIZE) for each in sizes)
        return self if same else ball

    def in_numbers(self) -> Self:
        """Return the same with all that is known of it written out, NaN where nothing is: fit for arrays of options."""
        rated, inside = self.ratings(), self.internals()
        return unchecked(self, {
            "dynamic_rating": float(rated.dynamic), "static_rating": float(rated.static),
            "speed_limit": float(rated.speed), "balls": float(inside.balls),
            "ball_diameter": float(inside.diameter), "pitch_diameter": float(inside.pitch),
        })  # fmt: skip


def _below(table: tuple[tuple[int, int], ...], size: Scalar) -> np.ndarray:
    """Return the lower deviation of a ring, m; NaN beyond the table."""
    row = np.searchsorted(np.array([each[0] for each in table]) * 1e-3, np.asarray(size) - 1e-9)
    return -np.array([*(each[1] for each in table), np.nan])[row] * 1e-6


BALL_STOCK = {
    name: Ball(bore=float(row[0]), outside=float(row[1]), width=float(row[2]))
    for name, row in zip(BALL_NAMES, BALLS, strict=True)
    if name
}
