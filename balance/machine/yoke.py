"""The parts that go up and down: a yoke, what hangs it on the cranks, and what it carries.

The yoke's height is that of its rod pivots; its outline is drawn about the middle of the pivot line.
"""

from collections.abc import Iterator
from typing import Annotated, ClassVar, Literal

import numpy as np

from balance.errors import Complaint
from balance.machine.joint import Guide, Stem, YokePin
from balance.machine.materials import Material
from balance.quantities import (
    Area,
    Inertia,
    Length,
    Mass,
    NotNegative,
    Number,
    Positive,
    Pressure,
    Speed,
    Stiffness,
    Temperature,
    definition,
)


@definition
class RodMasses:
    """What a left-hand rod weighs where it differs from the right-hand one."""

    mass: Annotated[Mass, NotNegative, "mass of the rod"]
    cg: Annotated[Length, "mass centre, from the crankpin"]
    inertia: Annotated[Inertia, NotNegative, "moment of inertia about the mass centre"] = 0.0


@definition
class Rod:
    """One connecting rod; its mirror image hangs on the other crank."""

    length: Annotated[Length, Positive, "crankpin centre to yoke pivot centre"]
    mass: Annotated[Mass, NotNegative, "mass of each rod"] = 0.0
    cg: Annotated[Length, "mass centre, from the crankpin"] = 0.0
    inertia: Annotated[Inertia, NotNegative, "moment of inertia of each rod about its mass centre"] = 0.0
    play: Annotated[Length, NotNegative, "diametral play of each of its two pins"] = 0.0
    section: Annotated[Area | None, Positive, "cross-section of the shank, for its stretch"] = None
    material: Annotated[Material | None, "what the rod is made of, for its stretch"] = None
    width: Annotated[Length | None, Positive, "widest across, for its clearance; its ends count as round"] = None
    thickness: Annotated[Length | None, Positive, "along the shafts, about the throw's plane, for its clearance"] = None
    left: Annotated[RodMasses | None, "the left-hand rod, where it differs"] = None
    yoke_pin: Annotated[YokePin | None, "the pin on which it hangs at the yoke"] = None


@definition
class Slot:
    """A slot across the yoke in which the crankpins slide (Scotch yoke), in place of rods."""

    offset: Annotated[Length, "height of the yoke above the slot's middle"] = 0.0
    play: Annotated[Length, NotNegative, "play of the pin in the slot"] = 0.0


@definition
class Part:
    """A mass that moves with a yoke; a file may give the mass alone."""

    shorthand: ClassVar[str] = "mass"

    mass: Annotated[Mass, NotNegative, "mass"]
    at: Annotated[Length | None, "place along the shafts of its mass centre; the throw's plane if left out"] = None


@definition
class Outline:
    """What a part looks like from along the shafts, and from where to where it reaches along them."""

    rectangle: Annotated[tuple[Length, Length] | None, Positive, "width and height"] = None
    polygon: Annotated[tuple[tuple[Length, Length], ...] | None, "corners [x, y], in order"] = None
    offset: Annotated[tuple[Length, Length], "where its origin stands"] = (0.0, 0.0)
    z: Annotated[tuple[Length, Length], "from where to where along the shafts"]

    def disagreements(self) -> Iterator[Complaint]:
        """Yield what does not fit together: not exactly one shape, too few corners, z turned round."""
        if (self.rectangle is None) == (self.polygon is None):
            yield Complaint((), "both or neither of rectangle and polygon", "one of them")
        if self.polygon is not None and len(self.polygon) < 3:
            yield Complaint(("polygon",), f"{len(self.polygon)} corners", "three or more")
        wrong = np.asarray(self.z[0]) >= np.asarray(self.z[1])
        if np.any(wrong):
            yield Complaint(("z",), "a range that ends before it starts", "[least, most]", wrong)

    @property
    def corners(self) -> tuple[tuple[Number, Number], ...]:
        """Corners (x, y) in order, about the part's own origin, m."""
        dx, dy = self.offset
        if self.polygon is not None:
            return tuple((x + dx, y + dy) for x, y in self.polygon)
        assert self.rectangle is not None
        half_width, half_height = self.rectangle[0] / 2, self.rectangle[1] / 2
        signs = ((-1, -1), (1, -1), (1, 1), (-1, 1))
        return tuple((i * half_width + dx, j * half_height + dy) for i, j in signs)


@definition
class Section:
    """A rectangular cross-section."""

    width: Annotated[Length, Positive, "along the shafts"]
    height: Annotated[Length, Positive, "along the cylinder"]


@definition
class Arm:
    """The cross-bar between the middle of the yoke and its pivots, for its bending."""

    section: Annotated[Section, "its cross-section"]
    material: Annotated[Material, "what it is made of"]


@definition
class Piston:
    """A power piston on the yoke."""

    kind: Literal["piston"] = "piston"
    bore: Annotated[Length, Positive, "cylinder bore"]
    length: Annotated[Length | None, Positive, "guided length, which limits the yoke's tilt"] = None
    outline: Annotated[Outline | None, "for its clearance, about the yoke's origin"] = None


@definition
class Diaphragm:
    """A diaphragm in place of a piston; its effective area falls and its spring rises with stroke."""

    kind: Literal["diaphragm"] = "diaphragm"
    area: Annotated[Area, Positive, "effective area at mid stroke, less that of any stem through it"]
    area_at_ends: Annotated[Area, Positive, "effective area at both ends of the stroke"]
    spring: Annotated[Stiffness, NotNegative, "its own spring stiffness about mid stroke"] = 0.0
    outline: Annotated[Outline | None, "for its clearance, about the yoke's origin"] = None


@definition
class FlowLoss:
    """The pressure that drives gas past the displacer; it grows with the square of the flow."""

    pressure: Annotated[Pressure, NotNegative, "largest pressure drop over the cycle"]
    speed: Annotated[Speed, Positive, "crank speed at which it was found"]


@definition
class Displacer:
    """A displacer on the yoke."""

    kind: Literal["displacer"] = "displacer"
    bore: Annotated[Length, Positive, "cylinder bore"]
    stem_diameter: Annotated[Length, NotNegative, "diameter of its rod"] = 0.0
    stem_through_piston: Annotated[bool, "whether the stem passes through the power piston"] = True
    flow_loss: Annotated[FlowLoss | None, "pressure drop across it"] = None
    length: Annotated[Length | None, Positive, "guided length, which limits the yoke's tilt"] = None
    outline: Annotated[Outline | None, "for its clearance, about the yoke's origin"] = None


Carried = Piston | Diaphragm | Displacer


@definition
class Yoke:
    """A cross-bar that moves along the cylinder, hung on one throw of each crank."""

    throw: Annotated[str, "name of the throw that drives it"]
    side: Annotated[Literal["above", "below"], "on which side of the cranks it stands"] = "above"
    half_span: Annotated[Length, NotNegative, "middle of the yoke to each rod pivot"] = 0.0
    rod: Annotated[Rod | None, "the rods that hang it on the crankpins"] = None
    slot: Annotated[Slot | None, "a slot in place of rods"] = None
    parts: Annotated[dict[str, Part], "everything that moves with it, by name"]
    outline: Annotated[Outline | None, "for its clearance"] = None
    arm: Annotated[Arm | None, "its cross-bar, for bending"] = None
    carries: Annotated[Carried | None, "what the gas pushes on"] = None
    stem: Annotated[Stem | None, "the displacer's stem, for its strength"] = None
    guide: Annotated[Guide | None, "what guides it, where piston or displacer give no guided length"] = None
    material: Annotated[Material | None, "what it is made of, for its growth with heat"] = None
    temperature: Annotated[Temperature | None, Positive, "of the yoke and its rods when running"] = None

    @property
    def mass(self) -> Number:
        """Mass of the yoke and all it carries, kg, shape (options...)."""
        return sum(part.mass for part in self.parts.values())

    @property
    def guided_length(self) -> Number | None:
        """Length over which it is guided, m: its guide's, else that of the piston or displacer; None if not given."""
        if self.guide is not None and self.guide.length is not None:
            return self.guide.length
        return getattr(self.carries, "length", None)

    def disagreements(self) -> Iterator[Complaint]:
        """Yield what does not fit together: not exactly one of rod and slot, or rods with no span to tilt on."""
        if (self.rod is None) == (self.slot is None):
            yield Complaint((), "both or neither of rod and slot", "one of them")
        if self.rod is not None and np.any(wrong := np.asarray(self.rod.cg) > np.asarray(self.rod.length)):
            yield Complaint(("rod", "cg"), "a mass centre beyond the rod's end", "0 to the rod's length", wrong)
