"""A part as something that could strike something else: its outline over the turn; for a single design.

Round parts are kept as their middle (a point, or the line of a rod or web) and a radius, so that their distance
is exact; everything else is a polygon.
"""

from collections.abc import Callable
from dataclasses import dataclass
from functools import cached_property
from typing import Any

import numpy as np

from balance.quantities import result

ANGLES = 360
"""Crank angles at which parts are looked at that are drawn only where they are."""
ShaftPiece = tuple[float, float, float]
"""From where to where along the shafts, and the radius there, m."""

KINDS = (
    "shaft", "web", "pin", "rod", "yoke", "carried", "stem", "post", "weight", "gear", "wheel", "bearing",
    "cylinder", "case",
)  # fmt: skip


@result
class Obstacle:
    """A part over the turn.

    name : in words.   hand : the side that carries it, or "both".
    z : from where to where along the shafts, m.
    drawn : shapely geometries, (angles,) or one; or a function that draws them at the angles of a mask, for a part that
    need not be drawn as long as nothing comes near the circle that it never leaves.   angles : how many there are.
    radius : by which the part reaches beyond its shape all round, m.
    follows : what it moves with ("shaft", "web", "pin", "rod", "yoke", "weight" or "case"), and the yoke by whose name
    its displacement is known.   joins : the throws at the ends of a web.
    kind : of part, one of KINDS.   taken : the keys that would give its size, where a usual one is taken.
    """

    name: str
    hand: str
    z: tuple[float, float]
    drawn: Any | Callable[[np.ndarray], Any]
    radius: float = 0.0
    follows: tuple[str, str] = ("case", "")
    joins: tuple[str, ...] = ()
    circle: tuple[float, float, float] | None = None
    """Middle, x and y, and radius, m."""
    kind: str = "case"
    taken: str = ""
    angles: int = ANGLES

    @cached_property
    def shapes(self) -> Any:
        """Shapely geometries, (angles,) or one."""
        return self.at(np.ones(self.angles, dtype=bool)) if callable(self.drawn) else self.drawn

    def at(self, mask: np.ndarray) -> Any:
        """Return the geometries at the crank angles of a mask; what is drawn only there is drawn once."""
        import shapely

        if not callable(self.drawn):
            return np.broadcast_to(self.drawn, mask.shape)[mask]
        missing = mask & shapely.is_missing(self._drawn)
        self._drawn[missing] = self.drawn(missing)
        return self._drawn[mask]

    @cached_property
    def _drawn(self) -> np.ndarray:
        return np.full(self.angles, None, dtype=object)

    @cached_property
    def hull(self) -> tuple[np.ndarray, float]:
        """Boxes, least x and y then largest, m, (angles, 4) or (4,), and by how much the part reaches beyond them."""
        import shapely

        if self.circle is not None:
            x, y, radius = self.circle
            return np.array([x, y, x, y]), radius
        return shapely.bounds(self.shapes), self.radius


@dataclass(frozen=True)
class Missing:
    """A part without a body.   words : with what to give.   z : from where to where along the shafts it may lie, m."""

    words: str
    z: tuple[float, float] = (-np.inf, np.inf)


def about(at: Any, length: Any) -> tuple[float, float]:
    """Return from where to where a part reaches along the shafts, m, by its middle and length."""
    return float(at) - float(length) / 2, float(at) + float(length) / 2
