"""The cylinder: what a design may say of it.

Heights are counted along the cylinder from the line between the shafts, positive toward the hot end.
"""

from typing import Annotated

from balance.quantities import Length, NotNegative, Number, Positive, definition

WALL = 0.06  # of the bore: a usual wall of a small machined cylinder (common practice, no source)


@definition
class Cylinder:
    """The cylinder in which displacer and piston move, closed at the hot end."""

    bore: Annotated[Length, Positive, "inside diameter"]
    starts_at: Annotated[Length, "height of its open end above the line between the shafts"]
    length: Annotated[Length | None, Positive, "from its open end to the inside of the hot end, at the rim"] = None
    dome: Annotated[Length, NotNegative, "how much deeper the hot end is in the middle than at the rim"] = 0.0
    wall: Annotated[Length | None, Positive, "thickness of its wall; 6 percent of the bore is taken if left out"] = None
    z: Annotated[Length | None, "place of its axis along the shafts; midway between the throws if left out"] = None

    @property
    def outside(self) -> Number:
        """Outside radius, m, (options...); by a wall of usual thickness if none is given."""
        return self.bore / 2 + (WALL * self.bore if self.wall is None else self.wall)
