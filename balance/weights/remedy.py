"""What would make a counterweight fit that does not: more thickness, denser metal, more radius, a second plane."""

from dataclasses import dataclass, replace

import numpy as np

from balance.machine.counterweights import Counterweights, OutlineShape
from balance.machine.materials import MATERIALS
from balance.quantities import Number, Scalar
from balance.weights.plate_choice import largest_moment

HALVINGS = 50


@dataclass(frozen=True, eq=False)
class Remedy:
    """Each of these by itself gives the wanted mass times radius; fields (options...).

    ratio : wanted over what the plate can have; one or less means that it fits as it is.
    thickness : m.   density : kg/m^3.   radius : largest radius, m, infinite where none does or the outline is fixed.
    second_plane : whether the same plates in two planes instead of one would do.
    """

    ratio: Number
    thickness: Number
    density: Number
    radius: Number
    second_plane: np.ndarray

    @property
    def materials(self) -> list[str]:
        """Known materials that are dense enough for every option, lightest first."""
        least = float(np.max(self.density))
        fitting = [name for name, material in MATERIALS.items() if float(np.max(material.density)) >= least]
        return sorted(fitting, key=lambda name: float(np.max(MATERIALS[name].density)))


def remedy(counterweights: Counterweights, wanted: Scalar) -> Remedy:
    """Return what would give a plate the wanted mass times radius, kg m, (options...).

    Moment grows with thickness and with density in proportion, holes included.
    """
    ratio = np.asarray(wanted) / largest_moment(counterweights)
    one_plane = len(counterweights.planes) == 1
    return Remedy(
        ratio,
        counterweights.thickness * ratio,
        counterweights.material.density * ratio,
        _radius(counterweights, np.asarray(wanted, dtype=float)),
        np.asarray(one_plane & (ratio <= 2.0)),
    )


def _radius(counterweights: Counterweights, wanted: np.ndarray) -> Number:
    """Return the largest radius that is just enough, by bisection: the moment rises with it."""
    if isinstance(counterweights.shape, OutlineShape):
        return np.full(wanted.shape, np.inf)
    low = np.asarray(counterweights.largest_radius, dtype=float) + np.zeros_like(wanted)
    high = low * np.maximum(1.0, 2.0 * np.sqrt(wanted / largest_moment(counterweights)))
    short = largest_moment(replace(counterweights, largest_radius=high)) < wanted
    for _ in range(HALVINGS):
        middle = (low + high) / 2
        enough = largest_moment(replace(counterweights, largest_radius=middle)) >= wanted
        low, high = np.where(enough, low, middle), np.where(enough, middle, high)
    return np.where(short, np.inf, high)
