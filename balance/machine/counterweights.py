"""The counterweights that are to be cut: what a design may say of them.

They come in mirrored pairs, one on each shaft, in one or two planes along the shafts. A shape is drawn
about the shaft's centre with the weight's direction pointing to +y; holes stand in the same frame.
"""

import re
from collections.abc import Iterator
from dataclasses import field
from typing import Annotated, ClassVar, Literal

import numpy as np

from balance.errors import Complaint
from balance.machine.joint import Hub
from balance.machine.materials import MATERIALS, Material
from balance.machine.threads import Thread
from balance.plates.polygon import Polygon, crosses_itself
from balance.quantities import Angle, Bound, Length, Mass, Most, NotNegative, Number, Positive, Scalar, definition

Aim = Literal["cancel order 1", "least rms", "least peak", "least bearing load"]


@definition
class BoltCircle:
    """Holes on a circle about the shaft, evenly spread about the weight's middle line."""

    number: Annotated[int, Bound(1, 24), "how many holes"]
    diameter: Annotated[Length, Positive, "diameter of each hole"]
    radius: Annotated[Length, Positive, "shaft centre to hole centre"]
    pitch: Annotated[Angle, NotNegative, "angle from one hole to the next"] = np.deg2rad(45.0)

    @property
    def places(self) -> tuple[tuple[Number, Number], ...]:
        """Centres (x, y) of the holes, m."""
        angles = [(index - (self.number - 1) / 2) * self.pitch for index in range(self.number)]
        return tuple((self.radius * np.sin(angle), self.radius * np.cos(angle)) for angle in angles)


@definition
class Hole:
    """A round hole."""

    at: Annotated[tuple[Length, Length], "its centre [x, y]"]
    diameter: Annotated[Length, Positive, "its diameter"]


@definition
class SectorShape:
    """A piece of ring, from the hub to the largest radius."""

    kind: Literal["sector"] = "sector"
    angle: Annotated[Angle, Positive, "angle that it fills, where thickness or radius is solved for"] = np.pi
    bolts: Annotated[BoltCircle | None, "bolt circle that is drilled in it"] = None

    def disagreements(self) -> Iterator[Complaint]:
        """Yield what does not fit together: more than half a ring, which only takes moment away again."""
        if np.any(np.asarray(self.angle) > np.pi * (1 + 1e-12)):
            yield Complaint(("angle",), "more than half a turn", "at most 180 deg")


@definition
class SegmentShape:
    """What a straight cut leaves of a disc."""

    kind: Literal["segment"] = "segment"
    chord: Annotated[Length | None, NotNegative, "shaft centre to the cut; the hub's radius if left out"] = None
    bolts: Annotated[BoltCircle | None, "bolt circle that is drilled in it"] = None


@definition
class FlatDrawing:
    """An outline taken from a drawing file beside the design file."""

    corners: Annotated[np.ndarray, "corners of the outline, m, shape (corners, 2)"]
    holes: Annotated[np.ndarray, "centre x, centre y and diameter of each round hole, m, shape (holes, 3)"]


@definition
class OutlineShape:
    """An outline of the user's own; its thickness is solved for."""

    kind: Literal["outline"] = "outline"
    polygon: Annotated[
        tuple[tuple[Length, Length], ...] | None, Most(500), "corners [x, y] about the shaft's centre, in order"
    ] = None
    drawing: Annotated[FlatDrawing | None, "a DXF file with one closed outline about the shaft's centre"] = None
    holes: Annotated[tuple[Hole, ...], Most(40), "round holes, the bore among them"] = ()

    def disagreements(self) -> Iterator[Complaint]:
        """Yield what does not fit together: not exactly one outline, too few corners."""
        if (self.polygon is None) == (self.drawing is None):
            yield Complaint((), "both or neither of polygon and drawing", "one of them")
        if self.polygon is not None and len(self.polygon) < 3:
            yield Complaint(("polygon",), f"{len(self.polygon)} corners", "three or more")
        elif self.polygon is not None:
            x, y = (np.stack(np.broadcast_arrays(*each), axis=-1) for each in zip(*self.polygon, strict=True))
            if np.any(crosses_itself(x, y) | (Polygon(x, y).measures.area <= 0)):
                yield Complaint(("polygon",), "an outline that crosses itself or has no area", "corners in order")


WeightShape = SectorShape | SegmentShape | OutlineShape


@definition
class Trim:
    """Mass that may be added to a yoke; a file may give the largest mass alone."""

    shorthand: ClassVar[str] = "at_most"

    at_most: Annotated[Mass, NotNegative, "largest mass that may be added"]
    at: Annotated[Length | None, "place along the shafts; the throw's plane if left out"] = None


@definition
class Screws:
    """The screws that hold each weight."""

    size: Annotated[Thread, "coarse metric thread"]
    property_class: Annotated[
        Literal["4.6", "4.8", "5.6", "5.8", "6.8", "8.8", "9.8", "10.9", "12.9"],
        "by ISO 898-1, as on the head",
    ] = "8.8"
    number: Annotated[int, Positive, "how many hold each weight"] = 2
    arrangement: Annotated[
        Literal["shear", "tension"], "shear: along the shaft, the pull slides the weight across them; tension: radial"
    ] = "shear"
    engagement: Annotated[Length | None, Positive, "length of thread that they have in what they hold to"] = None
    into: Annotated[Material | None, "what they are screwed into; the shaft's material if left out"] = None


@definition
class Counterweights:
    """The mirrored weights that are to be cut for both cranks."""

    fitted: Annotated[bool, "whether the machine runs with them; if not, they are only proposed"] = False
    material: Annotated[Material, "plate material"] = MATERIALS["steel"]
    thickness: Annotated[Length, Positive, "plate thickness; the most of it, where thickness is solved for"]
    smallest_radius: Annotated[Length, NotNegative, "where the weight begins: the hub that holds it"] = 0.0
    largest_radius: Annotated[Length, Positive, "how far out it may reach"]
    at: Annotated[Length | tuple[Length, Length], "place along the shafts of the plate's middle; a list for two planes"]
    on: Annotated[
        str | tuple[str, str] | None,
        "what carries them: shaft, pin (the outer crankpin's end) or web 1, web 2 ...; found from `at` if left out; "
        "a list for two planes",
    ] = None
    aim: Annotated[Aim, "what they are to achieve"] = "cancel order 1"
    trims: Annotated[dict[str, Trim], "mass that may be added, by the yoke's name"] = field(default_factory=dict)
    shape: Annotated[WeightShape, "what is cut from the plate"] = SectorShape()
    solve_for: Annotated[
        Literal["extent", "thickness", "radius"],
        "what is made to fit: angle or chord, thickness, or outer radius",
    ] = "extent"
    choose: Annotated[
        Literal["stated", "lightest", "least inertia"],
        "the stated shape, or the best among sectors and segments; on a crankpin always the stated shape",
    ] = "stated"
    screws: Annotated[Screws | None, "what holds each weight"] = None
    hub: Annotated[Hub | None, "how a weight that the shaft carries is held on it"] = None

    @property
    def planes(self) -> tuple[Scalar, ...]:
        """Places of the weights along the shafts, m: one or two."""
        return self.at if isinstance(self.at, tuple) else (self.at,)

    @property
    def carriers(self) -> tuple[str | None, ...]:
        """What the design says carries the counterweights of each plane; None where that is to be found."""
        return self.on if isinstance(self.on, tuple) else (self.on,) * len(self.planes)

    def disagreements(self) -> Iterator[Complaint]:
        """Yield what does not fit together: radii out of order, two planes in one, holes off the plate."""
        if isinstance(self.on, tuple) and len(self.planes) == 1:
            yield Complaint(("on",), "two carriers for one plane", "one of them, or a list of two planes under `at`")
        for each in self.carriers:
            if each is not None and each not in ("shaft", "pin") and not re.fullmatch(r"web [1-9]\d*", each):
                yield Complaint(("on",), repr(each), "shaft, pin, or web 1, web 2 ... as counted under cranks.webs")
        wrong = np.asarray(self.smallest_radius) >= self.largest_radius
        if np.any(wrong):
            yield Complaint(("smallest_radius",), "more than the largest radius", "less than the largest radius", wrong)
        if len(self.planes) == 2 and np.any(np.abs(np.subtract(*self.planes)) < self.thickness):
            yield Complaint(("at",), "two planes nearer than the plate is thick", "two planes apart, or one")
        bolts = getattr(self.shape, "bolts", None)
        if bolts is not None:
            yield from self._bolts_off_the_plate(bolts)
        chord = getattr(self.shape, "chord", None)
        if chord is not None and np.any(np.asarray(chord) >= self.largest_radius):
            yield Complaint(("shape", "chord"), "a cut beyond the largest radius", "less than the largest radius")

    def _bolts_off_the_plate(self, bolts: BoltCircle) -> Iterator[Complaint]:
        half = np.asarray(bolts.diameter) / 2
        inside = (bolts.radius - half > self.smallest_radius) & (bolts.radius + half < self.largest_radius)
        if not np.all(inside):
            yield Complaint(("shape", "bolts", "radius"), "holes that reach over the plate's edge",
                            "holes wholly between the smallest and the largest radius")  # fmt: skip
        apart = 2 * np.asarray(bolts.radius) * np.sin(np.minimum(np.asarray(bolts.pitch), np.pi) / 2)
        if bolts.number > 1 and np.any(apart <= bolts.diameter):
            yield Complaint(("shape", "bolts", "pitch"), "holes that run into each other", "a larger angle")
