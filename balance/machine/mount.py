"""The case on its feet: what a design may say of it.

Places [x, y, z] are counted from the middle between the shafts, z = 0: x across, y along the cylinder,
z along the shafts.
"""

from collections.abc import Iterator
from dataclasses import field, replace
from typing import Annotated

import numpy as np

from balance.errors import Complaint
from balance.machine.rubber import LOSS_FACTOR, Rubber
from balance.quantities import (
    Bound,
    Inertia,
    Length,
    Mass,
    Most,
    NotNegative,
    Number,
    Positive,
    Stiffness,
    Typical,
    definition,
)

Carrying = Bound(least=1.0)  # N/m; a rubber band has more, and what hangs free is said by leaving the feet out
Place = tuple[Length, Length, Length]


@definition
class Feet:
    """What the case stands on, all feet alike; one lumped foot below the mass centre if no places are given.

    Stiffness is that of quick motion (a tap, not a push); what the weight alone presses on is softer by the ratio.
    """

    stiffness: Annotated[Stiffness | None, Carrying, "of all feet together, along the cylinder, as they vibrate"] = None
    across: Annotated[
        Stiffness | None, Carrying, "of all feet together, across the shafts; as along the cylinder if left out"
    ] = None
    along_shafts: Annotated[
        Stiffness | None, Carrying, "of all feet together, along the shafts; as across them if left out"
    ] = None
    rubber: Annotated[Rubber | None, "rubber buffers by size and hardness, in place of stiffness"] = None
    dynamic_ratio: Annotated[
        Number | None,
        Bound(least=1.0),
        "dynamic over static stiffness; of rubber by its hardness, else 1 as for steel springs, if left out",
    ] = None
    damping_ratio: Annotated[
        Number | None,
        NotNegative,
        Typical(
            0.02,
            0.05,
            0.10,
            "damping ratio of the feet",
            "rubber, after Adams and Askenazi, Building Better Products with Finite Element Analysis",
            "tap the case and count the swings until they are half as large: 0.11 over that count",
        ),
        "share of critical damping of straight motion along the cylinder; 0.05 if no loss factor is known either",
    ] = None
    loss_factor: Annotated[
        Number | None, NotNegative, "loss factor of the feet, the same at every frequency; 0.1 for rubber if left out"
    ] = None
    held_down: Annotated[bool, "whether the feet are bolted to the case and to a heavy bench: no foot lifts"] = False
    places: Annotated[tuple[Place, ...], Most(12), "where each foot holds the case, [x, y, z]"] = ()

    def disagreements(self) -> Iterator[Complaint]:
        """Yield what does not fit together: stiffness given twice or not at all, places in line, buffers miscounted."""
        if self.places and (len(self.places) < 3 or np.any(_widest_triangle(self.places) <= 0)):
            yield Complaint(
                ("places",), f"{len(self.places)} on one line", "three or more that are not on one line, or none"
            )
        if (self.stiffness is None) == (self.rubber is None):
            read = "neither stiffness nor rubber" if self.stiffness is None else "both stiffness and rubber"
            yield Complaint((), read, "one of them")
        elif self.rubber is not None:
            yield from self._buffers(self.rubber)

    def _buffers(self, rubber: Rubber) -> Iterator[Complaint]:
        for name in ("across", "along_shafts"):
            if getattr(self, name) is not None:
                yield Complaint((name,), "a stiffness beside rubber", "none: it follows from the buffers' size")
        if rubber.number is None and not self.places:
            yield Complaint(("rubber",), "buffers without number or places", "number, or places of the feet")
        if rubber.number is not None and self.places and rubber.number != len(self.places):
            allowed = f"{len(self.places)}, as many as there are places, or none"
            yield Complaint(("rubber", "number"), str(rubber.number), allowed)

    @property
    def stiffnesses(self) -> tuple[Number, Number, Number]:
        """Stiffness of all feet together along x, y and z as they vibrate, N/m."""
        if self.rubber is not None:
            count = (self.rubber.number or len(self.places)) * np.asarray(self.stiffening)
            pressed, sheared = (each * count for each in self.rubber.static)
            return sheared, pressed, sheared
        assert self.stiffness is not None
        across = self.stiffness if self.across is None else self.across
        return across, self.stiffness, across if self.along_shafts is None else self.along_shafts

    @property
    def stiffening(self) -> Number:
        """Dynamic over static stiffness."""
        if self.dynamic_ratio is not None:
            return self.dynamic_ratio
        return 1.0 if self.rubber is None else self.rubber.dynamic_ratio

    @property
    def loss(self) -> Number:
        """Loss factor that counts."""
        if self.loss_factor is not None:
            return self.loss_factor
        return LOSS_FACTOR if self.rubber is not None and self.damping_ratio is None else 0.0

    @property
    def viscous(self) -> Number:
        """Share of critical damping of the dashpots beside the springs."""
        if self.damping_ratio is not None:
            return self.damping_ratio
        return 0.0 if self.loss_factor is not None or self.rubber is not None else 0.05

    @property
    def as_springs(self) -> "Feet":
        """The same feet given by their stiffness and damping."""
        across, along, along_shafts = self.stiffnesses
        return replace(
            self,
            rubber=None,
            stiffness=along,
            across=across,
            along_shafts=along_shafts,
            dynamic_ratio=self.stiffening,
            damping_ratio=self.viscous,
            loss_factor=self.loss,
        )


@definition
class Mount:
    """The case as a body."""

    mass: Annotated[Mass, Positive, "mass of the whole engine as it stands"]
    cg: Annotated[Place, "its mass centre [x, y, z]"] = (0.0, 0.0, 0.0)
    inertia: Annotated[
        tuple[Inertia, Inertia, Inertia] | None, Positive, "moments of inertia about x, y and z through its mass centre"
    ] = None
    size: Annotated[
        Place | None, Positive, "box [x, y, z] that it fills evenly, to estimate the moments of inertia"
    ] = None
    feet: Annotated[Feet | None, "what it stands on; hung free if left out"] = None
    points: Annotated[dict[str, Place], Most(12), "places [x, y, z] whose vibration is wanted, by name"] = field(
        default_factory=dict
    )

    def disagreements(self) -> Iterator[Complaint]:
        """Yield what does not fit together: moments of inertia given twice, or such as no body has."""
        if self.inertia is not None and self.size is not None:
            yield Complaint((), "both inertia and size", "one of them")
        if self.inertia is not None:
            ordered = np.sort(np.stack(np.broadcast_arrays(*self.inertia)), axis=0)
            # No body has one moment of inertia above the sum of the other two; a flat one just reaches it.
            if np.any(ordered[2] > (ordered[0] + ordered[1]) * (1 + 1e-9)):
                yield Complaint(("inertia",), "one above the sum of the other two", "moments that a body can have")

    @property
    def inertias(self) -> tuple[Number, Number, Number] | None:
        """Moments of inertia about x, y and z through the mass centre, kg m^2; None if not given nor estimated."""
        if self.size is None:
            return self.inertia
        x, y, z = (np.asarray(side) ** 2 for side in self.size)
        return tuple(self.mass / 12 * both for both in (y + z, z + x, x + y))

    @property
    def turns(self) -> bool:
        """Whether enough is given to let the case turn as well as shift."""
        return (self.size or self.inertia) is not None and (self.feet is None or bool(self.feet.places))


def _widest_triangle(places: tuple[Place, ...]) -> np.ndarray:
    """Return the largest area that three feet span less a rounding's worth, as twice the area, m^2, (options...)."""
    arms = [[np.asarray(there) - here for there, here in zip(foot, places[0], strict=True)] for foot in places[1:]]
    crosses = [
        np.sqrt((u[1] * v[2] - u[2] * v[1]) ** 2 + (u[2] * v[0] - u[0] * v[2]) ** 2 + (u[0] * v[1] - u[1] * v[0]) ** 2)
        for foot, u in enumerate(arms)
        for v in arms[foot + 1 :]
    ]
    reach = sum(part**2 for arm in arms for part in arm)
    return np.max(np.broadcast_arrays(*crosses), axis=0) - 1e-9 * reach
