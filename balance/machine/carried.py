"""What a yoke carries into the gas: piston, diaphragm or displacer, as a design may say it.

Heights are counted from the yoke's pivot line, positive toward the hot end.
"""

from collections.abc import Iterator
from typing import Annotated, Literal

import numpy as np

from balance.errors import Complaint
from balance.machine.materials import Material
from balance.machine.membrane import cone_share, plate_share, plate_stiffness
from balance.machine.outline import Outline
from balance.quantities import Area, Length, NotNegative, Number, Positive, Pressure, Speed, Stiffness, definition


@definition
class Posts:
    """Upright posts that carry a piston or diaphragm plate past another yoke, mirrored left and right."""

    diameter: Annotated[Length, Positive, "diameter of each post"]
    x: Annotated[Length, NotNegative, "middle of the yoke to each post"] = 0.0
    z: Annotated[Length, "place along the shafts"]
    material: Annotated[Material | None, "what they are made of; that of the yoke's arm if left out"] = None


@definition
class Piston:
    """A power piston on the yoke."""

    kind: Literal["piston"] = "piston"
    bore: Annotated[Length, Positive, "cylinder bore"]
    diameter: Annotated[Length | None, Positive, "its own diameter; that of the bore if left out"] = None
    length: Annotated[Length | None, Positive, "guided length, which limits the yoke's tilt"] = None
    crown: Annotated[Length | None, "height of its crown above the yoke's pivot line"] = None
    posts: Annotated[Posts | None, "what carries it past a yoke that lies between"] = None
    outline: Annotated[Outline | None, "for its clearance, about the yoke's origin"] = None


@definition
class Diaphragm:
    """A diaphragm in place of a piston; its effective area falls and its spring rises with stroke.

    Either its effective area is given, or what a maker can measure: free and clamped diameter, and for its spring the
    sheet's thickness and material.
    """

    kind: Literal["diaphragm"] = "diaphragm"
    area: Annotated[Area | None, Positive, "effective area at mid stroke, less that of any stem through it"] = None
    area_at_ends: Annotated[
        Area | None, Positive, "effective area at both ends of the stroke; as at mid stroke if left out"
    ] = None
    spring: Annotated[
        Stiffness | None,
        NotNegative,
        "its own spring stiffness about mid stroke; by its sheet if left out",
    ] = None
    free_diameter: Annotated[Length | None, Positive, "inside the outer clamp, where the sheet is free to move"] = None
    clamp_diameter: Annotated[Length | None, Positive, "of the plates that clamp its middle"] = None
    sheet: Annotated[
        Literal["slack", "stretched"],
        "slack: cloth, or moulded with a fold; stretched: an elastic plate",
    ] = "slack"
    thickness: Annotated[Length | None, Positive, "of the sheet"] = None
    material: Annotated[Material | None, "what the sheet is made of"] = None
    stem: Annotated[Length, NotNegative, "diameter of a stem through it, taken off an area by diameters"] = 0.0
    crown: Annotated[Length | None, "height of the upper clamp plate's face above the yoke's pivot line"] = None
    plate: Annotated[Length | None, Positive, "thickness of clamp plates and sheet together"] = None
    posts: Annotated[Posts | None, "what carries it past a yoke that lies between"] = None
    outline: Annotated[Outline | None, "for its clearance, about the yoke's origin"] = None

    @property
    def working_area(self) -> Number:
        """Effective area at mid stroke, m^2, (options...): as given, else by the diameters."""
        if self.area is not None:
            return self.area
        assert self.free_diameter is not None and self.clamp_diameter is not None
        ratio = np.asarray(self.clamp_diameter) / self.free_diameter
        share = plate_share(ratio) if self.sheet == "stretched" else cone_share(ratio)
        return np.pi / 4 * (share * np.asarray(self.free_diameter) ** 2 - np.asarray(self.stem) ** 2)

    @property
    def working_area_at_ends(self) -> Number:
        """Effective area at both ends of the stroke, m^2, (options...)."""
        return self.working_area if self.area_at_ends is None else self.area_at_ends

    @property
    def stiffness(self) -> Number:
        """Spring stiffness about mid stroke, N/m, (options...): as given, else of a stretched sheet; else zero."""
        if self.spring is not None:
            return self.spring
        if self.sheet == "slack" or self.thickness is None or self.material is None or self.free_diameter is None:
            return 0.0
        assert self.clamp_diameter is not None
        ratio = np.asarray(self.clamp_diameter) / self.free_diameter
        return plate_stiffness(ratio, self.free_diameter, self.thickness, self.material.young)

    def disagreements(self) -> Iterator[Complaint]:
        """Yield what does not fit together: no area and no diameters, or plates as wide as the sheet."""
        measured = self.free_diameter is not None and self.clamp_diameter is not None
        if self.area is None and not measured:
            yield Complaint((), "no area, nor free_diameter and clamp_diameter", "the area, or both diameters")
        if self.free_diameter is None or self.clamp_diameter is None:
            return
        wrong = np.asarray(self.clamp_diameter) >= self.free_diameter
        if np.any(wrong):
            yield Complaint(("clamp_diameter",), "plates as wide as the free sheet", "less than free_diameter", wrong)
        elif self.area is None and np.any(np.asarray(self.stem) >= self.clamp_diameter):
            yield Complaint(("stem",), "a stem as wide as the clamp plates", "less than clamp_diameter")


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
    diameter: Annotated[Length | None, Positive, "its own diameter; that of the bore if left out"] = None
    stem_diameter: Annotated[Length, NotNegative, "diameter of its rod"] = 0.0
    stem_through_piston: Annotated[bool, "whether the stem passes through the power piston"] = True
    stem_length: Annotated[Length | None, Positive, "from the yoke's pivot line to the displacer's lower end"] = None
    stem_bore: Annotated[Length, NotNegative, "diameter of the hole through a stem of tube"] = 0.0
    stem_material: Annotated[Material | None, "what the stem is made of, for its strength"] = None
    flow_loss: Annotated[FlowLoss | None, "pressure drop across it"] = None
    length: Annotated[Length | None, Positive, "guided length, which limits the yoke's tilt; without its dome"] = None
    dome: Annotated[Length, NotNegative, "how far a domed end rises above its length"] = 0.0
    outline: Annotated[Outline | None, "for its clearance, about the yoke's origin"] = None

    @property
    def stem_area(self) -> Number:
        """Cross-section of the stem, m^2, (options...)."""
        return np.pi / 4 * (np.asarray(self.stem_diameter) ** 2 - np.asarray(self.stem_bore) ** 2)

    @property
    def stem_inertia(self) -> Number:
        """Second moment of area of the stem, m^4, (options...)."""
        return np.pi / 64 * (np.asarray(self.stem_diameter) ** 4 - np.asarray(self.stem_bore) ** 4)

    def disagreements(self) -> Iterator[Complaint]:
        """Yield what does not fit together: a stem's bore as wide as the stem, a stem of a metal but of no diameter."""
        if self.stem_material is not None and np.any(none := np.asarray(self.stem_diameter) == 0):
            yield Complaint(("stem_diameter",), "stem_material, but no diameter of the stem", "above 0 mm", none)
        if np.any(wrong := (np.asarray(self.stem_bore) > 0) & (np.asarray(self.stem_bore) >= self.stem_diameter)):
            yield Complaint(("stem_bore",), "a bore as wide as the stem", "less than stem_diameter", wrong)
