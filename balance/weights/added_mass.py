"""The mass that weights and trims add, and how little is left for how much of it; for a single design."""

from dataclasses import replace

import numpy as np

from balance.quantities import result
from balance.weights.balancing import Effects
from balance.weights.mass_budget import MassBudget


@result
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
    from balance.weights.aims import least_peak, least_rms  # these two import scipy.optimize

    search, size = (least_peak, effects.peak) if peak else (least_rms, effects.rms)
    best = search(effects)
    whole = MassBudget(radius, np.inf)
    budgets = np.linspace(0.0, 1.0, steps)[1:-1] * whole.mass(best)
    between = [search(effects, replace(whole, most=float(most))) for most in budgets]
    unknowns = np.array([np.zeros_like(best), *between, best])
    return TradeOff(whole.mass(unknowns), size(unknowns), unknowns)
