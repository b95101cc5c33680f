"""The plate of a web: an arm with round ends between what it joins, its holes, and what it weighs with what it holds.

Holes: of the shaft and the crankpins, unless these are of one piece with it, and the threads of counterweights that are
screwed to its face. Metal between two holes and from a hole to the edge is what their circles leave.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from itertools import combinations

import numpy as np

from balance.machine.crank import Pin, Throw, Web, joined_by, outward, place_in_frame
from balance.machine.materials import Material
from balance.weights.balancing import Weight
from shafts.engine import Engine
from shafts.pieces import HAIR, widest_between
from shafts.shaft import Shaft

Point = tuple[float, float]


@dataclass(frozen=True)
class WebHole:
    """A hole of a web.   what : it is for, in words.   at : its centre, crank frame, m.

    diameter : m, zero if unknown.
    cut : whether it is; what is of one piece with the web has none.   screw : whether a thread stands in it.
    """

    what: str
    at: Point
    diameter: float
    cut: bool = True
    screw: bool = False


@dataclass(frozen=True)
class Metal:
    """What is left beside a hole.   between : what, in words.

    width : m, negative where they run into each other.
    diameter : of the hole that asks for it, m: the screw's, or else the larger one's.   screw : whether one is.
    """

    between: str
    width: float
    diameter: float
    screw: bool


@dataclass(frozen=True)
class Solid:
    """Mass, kg, mass times mass centre, kg m, and moment of inertia about the shaft, kg m^2; crank frame."""

    mass: float
    moment: Point
    inertia: float

    @property
    def centre(self) -> Point:
        """Its mass centre, m."""
        return self.moment[0] / self.mass, self.moment[1] / self.mass

    def with_disc(self, mass: float, at: Point, diameter: float) -> "Solid":
        """Return it with a round disc or pin more, or less where its mass is negative."""
        x, y = at
        moment = self.moment[0] + mass * x, self.moment[1] + mass * y
        return Solid(self.mass + mass, moment, self.inertia + mass * (x**2 + y**2 + diameter**2 / 8))


@dataclass(frozen=True)
class WebPlate:
    """A web as a plate, for a single design.

    one, other : what it joins, the inner one first, crank frame, m.   half : of its width, m.   pins : what it holds of
    each crankpin beside its own metal: mass, kg, centre and diameter.
    """

    number: int
    web: Web
    material: Material
    one: Point
    other: Point
    half: float
    thickness: float
    holes: tuple[WebHole, ...]
    pins: tuple[tuple[float, Point, float], ...]

    def inside(self, at: Point) -> float:
        """Return how deep within the outline a point lies, m; negative beyond it."""
        return self.half - off_line(at, self.one, self.other)

    def metal(self) -> Iterator["Metal"]:
        """Yield the metal beside every hole: to the edge, and to every other hole."""
        cut = [hole for hole in self.holes if hole.cut and hole.diameter > 0]
        for hole in cut:
            yield Metal(
                f"{hole.what} and its edge", self.inside(hole.at) - hole.diameter / 2, hole.diameter, hole.screw
            )
        for hole, other in combinations(cut, 2):
            apart = float(np.hypot(hole.at[0] - other.at[0], hole.at[1] - other.at[1]))
            screws = [each.diameter for each in (hole, other) if each.screw]
            counts = max(screws or (hole.diameter, other.diameter))
            width = apart - (hole.diameter + other.diameter) / 2
            yield Metal(f"{hole.what} and {other.what}", width, counts, bool(screws))

    @property
    def unsized(self) -> list[str]:
        """Entries without which a hole has no size."""
        return [f"cranks.throws.{hole.what.removeprefix('crankpin ')}.pin" for hole in self.holes if not hole.diameter]

    @property
    def plate(self) -> Solid:
        """The plate alone, its holes taken off: a rectangle 2 R by a, and a half disc of radius R at either end.

        Polar moment about its middle: 2 R a (a^2 + 4 R^2)/12 of the rectangle, pi R^4/2 + pi R^2 a^2/4 + 4 R^3 a/3 of
        both half discs (their integrals, shifted by a/2).
        """
        apart, radius = float(np.hypot(self.other[0] - self.one[0], self.other[1] - self.one[1])), self.half
        per_area = self.material.density * self.thickness
        area = 2 * radius * apart + np.pi * radius**2
        polar = 2 * radius * apart * (apart**2 + 4 * radius**2) / 12
        polar += np.pi * radius**4 / 2 + np.pi * radius**2 * apart**2 / 4 + 4 / 3 * radius**3 * apart
        x, y = (self.one[0] + self.other[0]) / 2, (self.one[1] + self.other[1]) / 2
        mass = float(per_area * area)
        solid = Solid(mass, (mass * x, mass * y), float(per_area * polar) + mass * (x**2 + y**2))
        for hole in self.holes:
            if hole.cut and not hole.screw:  # its screw fills a thread
                solid = solid.with_disc(-float(per_area) * np.pi / 4 * hole.diameter**2, hole.at, hole.diameter)
        return solid

    @property
    def whole(self) -> Solid:
        """The plate with what it holds of its crankpins; the shaft in it is the shaft's."""
        solid = self.plate
        for mass, at, diameter in self.pins:
            solid = solid.with_disc(mass, at, diameter)
        return solid


def off_line(at: Point, one: Point, other: Point) -> float:
    """Return how far a point lies from the line between two centres, m."""
    along, there = np.subtract(other, one), np.subtract(at, one)
    share = np.clip(there @ along / max(float(along @ along), 1e-30), 0.0, 1.0)
    return float(np.hypot(*(there - share * along)))


def web_plate(engine: Engine, number: int, shaft: Shaft, threads: tuple[WebHole, ...] = ()) -> WebPlate | None:
    """Return a web, counted from 0, as a plate on a shaft; None where it has no size, or holds no crankpin.

    threads : of the counterweights that are screwed to its face.
    """
    web, throws = engine.cranks.webs[number], engine.cranks.throws
    names = joined_by(web, throws, shaft.ends, float(outward(web.at, shaft.ends)))
    if web.width is None or web.thickness is None or names[1] is None:
        return None
    joined = tuple(None if name is None else throws[name] for name in names)
    (x, y), (to_x, to_y) = (place_in_frame(throw) for throw in joined)
    holes = tuple(_hole(web, name, throw, shaft) for name, throw in zip(names, joined, strict=True))
    pins = tuple(_pin_share(engine, web, throw, shaft) for throw in joined if throw is not None and throw.pin)
    return WebPlate(number, web, web.material or shaft.material, (float(x), float(y)), (float(to_x), float(to_y)),
                    float(web.width) / 2, float(web.thickness), holes + threads, pins)  # fmt: skip


def _hole(web: Web, name: str | None, throw: Throw | None, shaft: Shaft) -> WebHole:
    x, y = place_in_frame(throw)
    at, pin = (float(x), float(y)), None if throw is None else throw.pin
    joint = web.joint if throw is None else None if pin is None else pin.joint
    if throw is None:
        assert web.thickness is not None
        half = web.thickness / 2 - HAIR
        size = 2 * float(widest_between(shaft, web.at - half, web.at + half))
    else:
        size = 0.0 if pin is None else float(pin.diameter)
    cut = joint is None or joint.kind != "one piece"
    return WebHole("the shaft" if name is None else f"crankpin {name}", at, size, cut)


def _pin_share(engine: Engine, web: Web, throw: Throw, shaft: Shaft) -> tuple[float, Point, float]:
    """Return mass, centre and diameter of what a web holds of a crankpin: its seat, and half of what is free.

    A pin that ends free hangs wholly on its only web. What is of one piece with the web has its seat in its metal.
    """
    pin = throw.pin
    assert pin is not None and web.thickness is not None
    seat = 0.0 if pin.joint is not None and pin.joint.kind == "one piece" else _seat(pin, float(web.thickness))
    free = float(pin.length) * (0.5 if _webs_of(engine, throw, shaft) > 1 else 1.0)
    mass = float((pin.material or shaft.material).density) * np.pi / 4 * float(pin.diameter) ** 2 * (seat + free)
    x, y = place_in_frame(throw)
    return float(mass), (float(x), float(y)), float(pin.diameter)


def _seat(pin: Pin, thickness: float) -> float:
    given = None if pin.joint is None else pin.joint.length
    return thickness if given is None else min(float(given), thickness)


def _webs_of(engine: Engine, throw: Throw, shaft: Shaft) -> int:
    """Return how many webs of known size hold a crankpin."""
    throws = engine.cranks.throws
    name = next(each for each in throws if throws[each] is throw)
    held = (joined_by(web, throws, shaft.ends, float(outward(web.at, shaft.ends)))
            for web in engine.cranks.webs if web.width is not None and web.thickness is not None)  # fmt: skip
    return sum(name in each for each in held)


def turned(weight: Weight, x: float, y: float) -> Point:
    """Return a point of a counterweight's own frame in the crank frame, m."""
    sine, cosine = np.sin(float(weight.angle)), np.cos(float(weight.angle))
    return float(x * cosine + y * sine), float(y * cosine - x * sine)
