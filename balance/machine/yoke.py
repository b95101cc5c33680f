"""The parts that go up and down: a yoke, what hangs it on the cranks, and what it carries.

The yoke's height is that of its rod pivots; its outline is drawn about the middle of the pivot line.
"""

from collections.abc import Iterator
from typing import Annotated, ClassVar, Literal

import numpy as np

from balance.errors import Complaint
from balance.machine.carried import Diaphragm, Displacer, FlowLoss, Piston
from balance.machine.crank import unlike_sides
from balance.machine.joint import Guide, YokePin
from balance.machine.materials import Material
from balance.machine.outline import Outline
from balance.quantities import (
    Area,
    Inertia,
    Length,
    Mass,
    Most,
    NotNegative,
    Number,
    Positive,
    Temperature,
    Typical,
    definition,
)

__all__ = ["Arm", "Carried", "Diaphragm", "Displacer", "FlowLoss", "Outline", "Part", "Piston", "Rod", "RodMasses",
           "Section", "Slot", "Yoke"]  # fmt: skip


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
    cg: Annotated[
        Length,
        Typical(
            0.38,
            0.44,
            0.50,
            "mass centre of a rod",
            "shares of its length; common practice, no source",
            "each end on a scale: length times the small end's share of the mass",
            of=("length",),
        ),
        "mass centre, from the crankpin",
    ] = 0.0
    inertia: Annotated[
        Inertia,
        NotNegative,
        Typical(
            0.084,
            0.116,
            0.2025,
            "moment of inertia of a rod",
            "shares of mass times length squared: an even bar has 0.083, two lumps at its ends 0.25, computed",
            "swing it on a knife edge and time it: mass g d (period / 2 pi)^2 less mass d^2, d to the mass centre",
            of=("mass", "length", "length"),
        ),
        "moment of inertia of each rod about its mass centre",
    ] = 0.0
    play: Annotated[
        Length,
        NotNegative,
        Typical(
            5e-6,
            20e-6,
            60e-6,
            "play of rod pins",
            "common practice, no source: reamed by hand; drilled holes have up to 250 um, worn ones 300",
            "rock the rod on its pin, dial gauge 20 mm out",
        ),
        "diametral play of each of its two pins",
    ] = 0.0
    section: Annotated[Area | None, Positive, "cross-section of the shank, for its stretch"] = None
    material: Annotated[Material | None, "what the rod is made of, for its stretch"] = None
    width: Annotated[Length | None, Positive, "widest across, for its clearance; its ends count as round"] = None
    thickness: Annotated[Length | None, Positive, "along the shafts, about the throw's plane, for its clearance"] = None
    left_length: Annotated[Length | None, Positive, "of the left-hand rod, where it differs; for the gap alone"] = None
    left: Annotated[RodMasses | None, "the left-hand rod, where it differs"] = None
    yoke_pin: Annotated[YokePin | None, "the pin on which it hangs at the yoke"] = None

    def masses_of(self, hand: str) -> "Rod | RodMasses":
        """Return what tells the mass, mass centre and inertia of the "right" or the "left" rod."""
        return self.left if hand == "left" and self.left is not None else self

    def disagreements(self) -> Iterator[Complaint]:
        """Yield what does not fit together: a left rod of quite another length."""
        yield from unlike_sides("left_length", self.left_length, self.length)


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
class Section:
    """A rectangular cross-section."""

    width: Annotated[Length, Positive, "along the shafts"]
    height: Annotated[Length, Positive, "along the cylinder"]


@definition
class Arm:
    """The cross-bar between the middle of the yoke and its pivots, for its bending."""

    section: Annotated[Section, "its cross-section"]
    material: Annotated[Material, "what it is made of"]


Carried = Piston | Diaphragm | Displacer


@definition
class Yoke:
    """A cross-bar that moves along the cylinder, hung on one throw of each crank."""

    throw: Annotated[str, "name of the throw that drives it"]
    side: Annotated[Literal["above", "below"], "on which side of the cranks it stands"] = "above"
    half_span: Annotated[Length, NotNegative, "middle of the yoke to each rod pivot"] = 0.0
    left_half_span: Annotated[
        Length | None, NotNegative, "middle to the left-hand pivot, where it differs; for the gap alone"
    ] = None
    rod: Annotated[Rod | None, "the rods that hang it on the crankpins"] = None
    slot: Annotated[Slot | None, "a slot in place of rods"] = None
    parts: Annotated[dict[str, Part], Most(24), "everything that moves with it, by name"]
    outline: Annotated[Outline | None, "for its clearance"] = None
    arm: Annotated[Arm | None, "its cross-bar, for bending"] = None
    carries: Annotated[Carried | None, "what the gas pushes on"] = None
    guide: Annotated[
        Guide | None, "the bush or the like that guides it; if left out, the piston or displacer by its length"
    ] = None
    hole: Annotated[Length | None, Positive, "hole through its middle in which another yoke's stem runs"] = None
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
        """Yield what does not fit together: not exactly one of rod and slot, unlike sides, a cg beyond its rod."""
        yield from unlike_sides("left_half_span", self.left_half_span, self.half_span)
        if (self.rod is None) == (self.slot is None):
            yield Complaint((), "both or neither of rod and slot", "one of them")
        if self.rod is not None and np.any(wrong := np.asarray(self.rod.cg) > np.asarray(self.rod.length)):
            yield Complaint(("rod", "cg"), "a mass centre beyond the rod's end", "0 to the rod's length", wrong)
