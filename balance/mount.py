"""The case on its feet: what a design may say of it."""

from typing import Annotated

from balance.quantities import Mass, NotNegative, Number, Positive, Stiffness, definition


@definition
class Feet:
    """What the case stands on, all feet alike."""

    stiffness: Annotated[Stiffness, Positive, "of all feet together, along the cylinder"]
    damping_ratio: Annotated[Number, NotNegative, "share of critical damping"] = 0.05


@definition
class Mount:
    """The case as a body."""

    mass: Annotated[Mass, Positive, "mass of the whole engine as it stands"]
    feet: Annotated[Feet | None, "what it stands on; hung free if left out"] = None
