"""How far a ball bearing gives way under its load, from contact theory.

The most loaded ball of a radially loaded bearing without clearance carries 4.37 F / Z (Stribeck;
Harris, Rolling Bearing Analysis, chapter on load distribution) and both its contacts together approach by
4.365e-4 mm (Q^2 / D_w)^(1/3), Q in N and D_w in mm: Hertz's law for steel balls in usual grooves, in
Palmgren's numbers (0.002 in mm and kgf; Palmgren, Ball and Roller Bearing Engineering). The give falls as
the load rises; the mean load at rated speed stands for the whole range. Clearance is counted apart.
"""

import numpy as np

from balance.quantities import Number, Scalar
from shafts.bearings.ratings import Internals

SHARE = 4.37  # most loaded ball's load over the mean one's, without clearance
APPROACH = 4.365e-8  # m^(4/3) / N^(2/3): the constant above in SI
SMALLEST_LOAD = 1.0  # N; below that contact theory's give grows without bound, and moves nothing


def contact_approach(inside: Internals, load: Scalar) -> Number:
    """Return how far the inner ring moves against the outer one under a radial load (N), m, (options...)."""
    ball = SHARE * np.asarray(load) / inside.balls
    return APPROACH * (ball**2 / inside.diameter) ** (1 / 3)


def contact_give(inside: Internals, load: Scalar) -> Number:
    """Return displacement over load, m/N, (options...); zero, that is rigid, where the balls are not known."""
    load = np.maximum(load, SMALLEST_LOAD)
    give = contact_approach(inside, load) / load
    return np.where(np.isfinite(give), give, 0.0)
