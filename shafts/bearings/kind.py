"""What every kind of bearing answers, whatever it is: the one thing that the rest of the program asks.

A new kind is a file beside ball.py, a field of Bearing (bearing.py), and its sizes if it comes by designation.
"""

from collections.abc import Callable, Sequence
from typing import Any, Literal, Protocol, Self

import numpy as np

from balance.quantities import Bound, Number, Scalar, result
from shafts.crank.vectors import CrankVector, Peak
from shafts.iso_286 import Range, ShaftClass

ClearanceGroup = Literal["C2", "CN", "C3", "C4", "C5"]
Wide = Bound(least=1e-4)  # m; narrower than any that is made: two of a hair side by side would hold no shaft upright


@result
class AtWork:
    """One bearing of an engine and what it goes through.

    factor : on all these loads, for knocks.   axial : steady load along the shaft, N.
    rated : speed at which life is counted, rad/s.   sizes : its load over the cycle at that speed, N, once asked.
    load : its load at any speed, once asked.   speeds : where the worst is looked for.   peak : the largest load at any
    of them.
    """

    name: str
    factor: Scalar
    axial: Scalar
    rated: Scalar
    sizes: Callable[[], np.ndarray]
    load: Callable[[], CrankVector]
    speeds: Sequence[Any]
    peak: Peak


@result
class Duty:
    """How hard one bearing works; each kind says so in terms of its own."""

    name: str


class Kind(Protocol):
    """A kind of bearing; its definition says what a design may say of it, and this is what it answers."""

    @property
    def title(self) -> str:
        """What it is called in tables."""

    @property
    def inner_ring(self) -> bool:
        """Whether it has a ring of its own on the shaft; else the shaft itself runs in it."""

    @property
    def closes_in(self) -> bool:
        """Whether a tight seat narrows it."""

    @property
    def bore(self) -> Number:
        """Diameter of the shaft that goes into it, m."""

    @property
    def outside(self) -> Number | None:
        """Outside diameter, m; None if not given."""

    @property
    def width(self) -> Number:
        """Along the shaft, m."""

    @property
    def bore_limits(self) -> Range | None:
        """Deviations of the bore from its nominal size, m; None if not known."""

    @property
    def outside_limits(self) -> Range | None:
        """Deviations of the outside from its nominal size, m; None if not known."""

    @property
    def loosest(self) -> Number:
        """Most diametral play of the shaft in its bore that still is a fit, m."""

    @property
    def tightest(self) -> Number:
        """Most interference of the shaft in its bore that it stands, m."""

    def clearance(self, group: ClearanceGroup | None, fit: ShaftClass | None) -> Range | None:
        """Return least and most of its internal clearance or play before it is fitted, m; None if not known."""

    @property
    def by_contact(self) -> bool:
        """Whether contact theory knows how far it yields."""

    def compliance(self, load: Scalar) -> Number:
        """Return displacement over load by contact theory under a load, N, m/N; zero where it is not known."""

    def duty(self, work: AtWork) -> Duty:
        """Return how hard it works."""

    def refit(self, ball: Any) -> Self:
        """Return one of this kind on the shaft of a `Ball` bearing; raises BadDesign if none is known."""

    @property
    def words(self) -> str:
        """What to order, in words; of one design."""


def millimetres(*sizes: Scalar) -> str:
    """Return sizes (m) of one design as text like "8 x 22 x 7"."""
    return " x ".join(f"{round(float(np.ravel(each)[0]) * 1e3, 3):g}" for each in sizes)
