"""What could strike something else, as outlines over the turn; for a single design.

Round parts are kept as their middle (a point, or the line of a rod or web) and a radius, so that their distance
is exact; everything else is a polygon. A web is taken to be an arm with round ends from what is next inward of it
to the crankpin next outward.
"""

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from functools import cached_property
from typing import Any

import numpy as np

from balance.machine.crank import joined_by, outward, place_in_frame
from balance.machine.machine import Machine
from balance.machine.yoke import Outline, Yoke
from balance.motion import Motion, YokeMotion
from balance.outlines import corner_arrays
from balance.turning import HANDS, on_bench

ShaftPiece = tuple[float, float, float]
"""From where to where along the shafts, and the radius there, m."""


@dataclass(frozen=True, eq=False)
class Obstacle:
    """A part over the turn.

    name : in words.   hand : the side that carries it, or "both".
    z : from where to where along the shafts, m.
    drawn : shapely geometries, (angles,) or one; or a function that draws them, for a part that need not be drawn as
    long as nothing comes near the circle that it never leaves.
    radius : by which the part reaches beyond its shape all round, m.
    follows : kind of part ("shaft", "web", "pin", "rod", "yoke", "weight" or "case"), and the yoke by whose name its
    displacement is known.   joins : the throws at the ends of a web.
    """

    name: str
    hand: str
    z: tuple[float, float]
    drawn: Any | Callable[[], Any]
    radius: float = 0.0
    follows: tuple[str, str] = ("case", "")
    joins: tuple[str, ...] = ()
    circle: tuple[float, float, float] | None = None
    """Middle, x and y, and radius, m."""

    @cached_property
    def shapes(self) -> Any:
        """Shapely geometries, (angles,) or one."""
        return self.drawn() if callable(self.drawn) else self.drawn

    @cached_property
    def hull(self) -> tuple[np.ndarray, float]:
        """Boxes, least x and y then largest, m, (angles, 4) or (4,), and by how much the part reaches beyond them."""
        import shapely

        if self.circle is not None:
            x, y, radius = self.circle
            return np.array([x, y, x, y]), radius
        return shapely.bounds(self.shapes), self.radius


def obstacles(machine: Machine, motion: Motion, shafts: dict[str, list[ShaftPiece]]) -> list[Obstacle]:
    """Return every part that has an outline, but for the counterweights.

    shafts : the pieces of the right and the left shaft.
    """
    import shapely  # a tenth of a second to import, and only a proof of fit needs it

    found = []
    half = float(machine.cranks.centre_distance) / 2
    for hand, sign in HANDS.items():
        for start, end, radius in shafts.get(hand, []):
            found.append(
                Obstacle(f"{hand} shaft", hand, (start, end), shapely.points(sign * half, 0.0), radius, ("shaft", ""))
            )
        if shafts.get(hand):
            found += _webs(machine, motion, hand, shafts[hand])
    for name, yoke in machine.yokes.items():
        found += _of_yoke(machine, name, yoke, motion.yokes[name])
    found += [Obstacle(name, "both", _range(wall), _still(wall)) for name, wall in machine.walls.items()]
    return found


def without_outline(machine: Machine) -> list[str]:
    """Return what has no outline and so was not looked at, with what to state."""
    found = [f"crank webs (cranks.webs.{place}.width and .thickness)" for place, web in enumerate(machine.cranks.webs)
             if web.width is None or web.thickness is None]  # fmt: skip
    for name, yoke in machine.yokes.items():
        throw = machine.throw_of(yoke)
        if yoke.outline is None:
            found.append(f"yoke {name} (yokes.{name}.outline)")
        if yoke.rod is not None and (yoke.rod.width is None or yoke.rod.thickness is None):
            found.append(f"rods of {name} (yokes.{name}.rod.width and .thickness)")
        if throw.pin is None:
            found.append(f"crankpin {yoke.throw} (cranks.throws.{yoke.throw}.pin)")
    return found + ["case (walls)"] * (not machine.walls)


def _webs(machine: Machine, motion: Motion, hand: str, pieces: list[ShaftPiece]) -> Iterator[Obstacle]:
    import shapely

    throws, sign = machine.cranks.throws, HANDS[hand]
    ends = min(start for start, _, _ in pieces), max(end for _, end, _ in pieces)
    for number, web in enumerate(machine.cranks.webs, start=1):
        inner, outer = joined_by(web, throws, ends, float(outward(web.at, ends)))
        if web.on not in (hand, "both") or web.width is None or web.thickness is None or outer is None:
            continue
        line = []
        for throw in (None if inner is None else throws[inner], throws[outer]):
            x, y = on_bench(*place_in_frame(throw), motion.theta, sign)
            line.append(np.stack([sign * float(machine.cranks.centre_distance) / 2 + x, y], axis=-1))
        joins = tuple(name for name in (inner, outer) if name is not None)
        yield Obstacle(
            f"{hand} web {number}",
            hand,
            _about(web.at, web.thickness),
            shapely.linestrings(np.stack(line, axis=-2)),
            float(web.width) / 2,
            ("web", ""),
            joins,
        )


def _of_yoke(machine: Machine, name: str, yoke: Yoke, moved: YokeMotion) -> Iterator[Obstacle]:
    import shapely

    throw = machine.throw_of(yoke)
    for hand, sign in HANDS.items():
        pins = np.stack([sign * moved.pin.x, moved.pin.along], axis=-1)
        if throw.pin is not None:
            z = _about(throw.at, throw.pin.length)
            yield Obstacle(
                f"{hand} crankpin {yoke.throw}",
                hand,
                z,
                shapely.points(pins),
                float(throw.pin.diameter) / 2,
                ("pin", name),
            )
        if yoke.rod is not None and yoke.rod.width is not None and yoke.rod.thickness is not None:
            pivots = np.stack(np.broadcast_arrays(sign * yoke.half_span, moved.height), axis=-1)
            lines = shapely.linestrings(np.stack([pins, pivots], axis=-2))
            z = _about(throw.at, yoke.rod.thickness)
            yield Obstacle(f"{hand} rod of {name}", hand, z, lines, float(yoke.rod.width) / 2, ("rod", name))
    for what, outline in (
        (f"yoke {name}", yoke.outline),
        (f"what {name} carries", getattr(yoke.carries, "outline", None)),
    ):
        if outline is not None:
            yield Obstacle(what, "both", _range(outline), _moving(outline, moved.height), 0.0, ("yoke", name))


def _about(at: Any, length: Any) -> tuple[float, float]:
    return float(at) - float(length) / 2, float(at) + float(length) / 2


def _range(outline: Outline) -> tuple[float, float]:
    return float(outline.z[0]), float(outline.z[1])


def _moving(outline: Outline, height: np.ndarray) -> Any:
    import shapely

    x, y = corner_arrays(outline)
    return shapely.polygons(np.stack(np.broadcast_arrays(x, y + height[:, None]), axis=-1))


def _still(outline: Outline) -> Any:
    import shapely

    return shapely.polygons(np.stack(corner_arrays(outline), axis=-1))
