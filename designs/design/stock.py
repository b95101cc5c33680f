"""What can be bought, and in which steps a part can be made: what a stock file or a design's `stock:` may say."""

from collections.abc import Iterator
from typing import Annotated

import numpy as np

from balance.errors import Complaint
from balance.machine.rubber import Rubber
from balance.quantities import Angle, Force, Length, NotNegative, Number, Positive, Speed, Stiffness, definition
from shafts.bearings.ball import Ball
from shafts.bearings.needle import Needle


@definition
class BushSizes:
    """A plain bush in its lengths."""

    bore: Annotated[Length, Positive, "bore diameter"]
    outside: Annotated[Length, Positive, "outside diameter"]
    lengths: Annotated[tuple[Length, ...], Positive, "lengths"]


@definition
class NeedleSizes:
    """Needle roller bearings without an inner ring, and the shaft that they run on."""

    sizes: Annotated[tuple[Needle, ...] | None, "of these sizes; of all whose ratings are known if left out"] = None
    shaft: Annotated[str, "material of the shaft that they run on"] = "hardened-steel"
    hardness: Annotated[Number, Positive, "Rockwell hardness (HRC) of that shaft, at least"]
    speed_limit: Annotated[Speed, Positive, "limiting speed of the largest"]


@definition
class ScrewHoles:
    """The holes that a screw wants."""

    tap: Annotated[Length, Positive, "drill for its thread"]
    close: Annotated[Length, Positive, "close clearance hole"]
    normal: Annotated[Length, Positive, "normal clearance hole"]
    loose: Annotated[Length, Positive, "loose clearance hole"]
    head: Annotated[Length, Positive, "diameter of its head"]


@definition
class GearSizes:
    """Spur gears of one module."""

    module: Annotated[Length, Positive, "pitch diameter per tooth"]
    faces: Annotated[tuple[Length, ...], Positive, "face widths"]
    teeth: Annotated[tuple[int, ...], Positive, "numbers of teeth"]


@definition
class Foot:
    """One foot."""

    stiffness: Annotated[Stiffness | None, Positive, "along the cylinder, as it vibrates"] = None
    damping_ratio: Annotated[Number | None, NotNegative, "share of critical damping; its rubber's if left out"] = None
    rubber: Annotated[Rubber | None, "a rubber buffer by size and hardness, in place of stiffness"] = None
    load: Annotated[Force, Positive, "most that it carries"]

    def disagreements(self) -> Iterator[Complaint]:
        """Yield what does not fit together: a stiffness given twice or not at all, damping left out beside one."""
        if (self.stiffness is None) == (self.rubber is None):
            read = "neither stiffness nor rubber" if self.stiffness is None else "both stiffness and rubber"
            yield Complaint((), read, "one of them")
        elif self.rubber is None and self.damping_ratio is None:
            yield Complaint((), "a stiffness without damping_ratio", "both, or rubber")
        elif self.rubber is not None and self.rubber.number is not None:
            yield Complaint(("rubber", "number"), str(self.rubber.number), "none: it says one foot")

    @property
    def springs(self) -> float:
        """Stiffness along the cylinder as it vibrates, N/m."""
        if self.rubber is not None:
            return float(self.rubber.static[0]) * float(self.rubber.dynamic_ratio)
        assert self.stiffness is not None
        return float(self.stiffness)


@definition
class Seat:
    """A bearing's seat in a plate."""

    thickness: Annotated[Length, Positive, "of the plate"]
    stiffness: Annotated[Stiffness, Positive, "radial"]


@definition
class Drills:
    """Drills by their diameters."""

    least: Annotated[Length, Positive, "thinnest"]
    most: Annotated[Length, Positive, "thickest"]
    step: Annotated[Length, Positive, "from one to the next"]
    others: Annotated[tuple[Length, ...], Positive, "between them"] = ()

    def disagreements(self) -> Iterator[Complaint]:
        """Yield what does not fit together: a thickest drill that is the thinner one."""
        if np.any(np.asarray(self.most) < self.least):
            yield Complaint(("most",), "less than the least", "at least the least")


@definition
class Steps:
    """How finely a length can be set."""

    rod: Annotated[Length, Positive, "length of a rod"]
    radius: Annotated[Length, Positive, "radius of a throw"]
    place: Annotated[Length, Positive, "place along a shaft"]
    phase: Annotated[Angle, Positive, "phase of a throw"]


@definition
class Stock:
    """What a maker can buy or has at hand; what is left out is as usual, a list given replaces the usual one."""

    shafts: Annotated[tuple[Length, ...] | None, Positive, "diameters of ground shaft"] = None
    shaft_materials: Annotated[tuple[str, ...] | None, "materials of ground shaft"] = None
    bearings: Annotated[tuple[Ball, ...] | None, "ball bearings; all whose ratings are known if left out"] = None
    pins: Annotated[tuple[Length, ...] | None, Positive, "diameters of crankpins"] = None
    bushes: Annotated[tuple[BushSizes, ...] | None, "plain bushes"] = None
    plates: Annotated[dict[str, tuple[Length, ...]] | None, Positive, "thicknesses of plate by material"] = None
    bars: Annotated[tuple[tuple[Length, Length], ...] | None, Positive, "flat bar for rods [width, thickness]"] = None
    needles: Annotated[NeedleSizes | None, "needle roller bearings that run on a hardened shaft"] = None
    flats: Annotated[tuple[Length, ...] | None, Positive, "widths of flat bar"] = None
    discs: Annotated[tuple[Length, ...] | None, Positive, "diameters of discs for flywheels"] = None
    screws: Annotated[dict[str, ScrewHoles] | None, "screws by thread"] = None
    gears: Annotated[tuple[GearSizes, ...] | None, "spur gears"] = None
    feet: Annotated[dict[str, Foot] | None, "feet by name"] = None
    largest_sag: Annotated[Length | None, Positive, "most that the case may sag on its feet"] = None
    seats: Annotated[dict[str, Seat] | None, "bearing seats by the plate that they are in"] = None
    drills: Annotated[Drills | None, "drills"] = None
    reamers: Annotated[tuple[Length, ...] | None, Positive, "reamers"] = None
    steps: Annotated[Steps | None, "how finely lengths can be set"] = None
