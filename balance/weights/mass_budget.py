"""How much mass weights and trims may add, as a bound of the search for the best balance."""

import numpy as np

from balance.quantities import result


@result
class MassBudget:
    """How much mass may be added to a machine.

    radius : distance of each plane's mass centre from its shaft, m, (planes,).   most : kg.
    """

    radius: np.ndarray
    most: float

    def mass(self, unknowns: np.ndarray) -> np.ndarray:
        """Return the mass that unknowns add, kg: on both shafts |moment| / radius in each plane, and the trims."""
        planes = 2 * len(self.radius)
        sizes = np.hypot(unknowns[..., 0:planes:2], unknowns[..., 1:planes:2])
        return 2 * np.sum(sizes / self.radius, axis=-1) + np.sum(unknowns[..., planes:], axis=-1)

    def slope(self, unknowns: np.ndarray) -> np.ndarray:
        """Return the derivative of the mass by each unknown; zero by a moment of no size, where it has none."""
        planes = 2 * len(self.radius)
        sizes = np.repeat(np.hypot(unknowns[0:planes:2], unknowns[1:planes:2]), 2)
        direction = np.where(sizes > 0, unknowns[:planes] / np.where(sizes > 0, sizes, 1.0), 0.0)
        return np.concatenate([2 * direction / np.repeat(self.radius, 2), np.ones(len(unknowns) - planes)])

    def kept(self, unknowns: np.ndarray) -> np.ndarray:
        """Return the unknowns, drawn in together as far as the budget asks."""
        mass = float(self.mass(unknowns))
        return unknowns if mass <= self.most else unknowns * (self.most / mass)
