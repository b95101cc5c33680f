"""The mass that weights and trims add, and how little is left for how much of it; for a single design."""

from dataclasses import dataclass, replace

import numpy as np

from balance.weights.balancing import Effects


@dataclass(frozen=True, eq=False)
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


@dataclass(frozen=True, eq=False)
class TradeOff:
    """Added mass against what is left; arrays of shape (steps,).

    mass : kg, rising.   left : in the unit of the aim.   unknowns : (steps, unknowns), see Effects.
    """

    mass: np.ndarray
    left: np.ndarray
    unknowns: np.ndarray


def trade_off(effects: Effects, radius: np.ndarray, peak: bool = False, steps: int = 11) -> TradeOff:
    """Return the least that can be left for added masses from none to what the aim takes by itself.

    radius : distance of the mass centre of each plane's weight from its shaft, m, (planes,), taken as fixed.
    peak : whether the peak is to be small, else the root mean square.
    """
    from balance.weights.aims import least_peak, least_rms  # these two import scipy, and a budget is part of them

    search, size = (least_peak, effects.peak) if peak else (least_rms, effects.rms)
    best = search(effects)
    whole = MassBudget(radius, np.inf)
    budgets = np.linspace(0.0, 1.0, steps)[1:-1] * whole.mass(best)
    between = [search(effects, replace(whole, most=float(most))) for most in budgets]
    unknowns = np.array([np.zeros_like(best), *between, best])
    return TradeOff(whole.mass(unknowns), size(unknowns), unknowns)
