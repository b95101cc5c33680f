"""How far a rolling bearing yields under its load, from contact theory.

Balls: the most loaded one of a radially loaded bearing without clearance carries 4.37 F / Z (Stribeck;
Harris, Rolling Bearing Analysis, chapter on load distribution) and both its contacts together approach by
4.365e-4 mm (Q^2 / D_w)^(1/3), Q in N and D_w in mm: Hertz's law for steel balls in usual grooves, in
Palmgren's numbers (0.002 in mm and kgf; Palmgren, Ball and Roller Bearing Engineering).
Rollers: the most loaded one carries 4.08 F / Z, and both its line contacts together approach by
7.68e-5 mm Q^0.9 / L^0.8 (Palmgren, 0.0006 in mm and kgf; Harris, twice 3.84e-5; both from memory, check against the
books). Compliance falls as the load rises; the mean load at rated speed stands for the whole range. Clearance is
counted apart.
"""

import numpy as np

from balance.quantities import Number, Scalar
from shafts.bearings.ratings import Internals, Rollers

SHARE = 4.37  # most loaded ball's load over the mean one's, without clearance
APPROACH = 4.365e-8  # m^(4/3) / N^(2/3): the constant above in SI
ROLLER_SHARE = 4.08  # the same of rollers
ROLLER_APPROACH = 7.68e-8 * 1e-3**0.8  # m^1.8 / N^0.9
SMALLEST_LOAD = 1.0  # N; below that contact theory's compliance grows without bound, and moves nothing


def contact_approach(inside: Internals, load: Scalar) -> Number:
    """Return how far the inner ring moves against the outer one under a radial load (N), m, (options...)."""
    ball = SHARE * np.asarray(load) / inside.balls
    return APPROACH * (ball**2 / inside.diameter) ** (1 / 3)


def roller_approach(inside: Rollers, load: Scalar) -> Number:
    """Return the same of a bearing with rollers, m, (options...)."""
    roller = ROLLER_SHARE * np.asarray(load) / inside.number
    return ROLLER_APPROACH * roller**0.9 / np.asarray(inside.length) ** 0.8


def contact_compliance(inside: Internals | Rollers, load: Scalar) -> Number:
    """Return displacement over load, m/N, (options...); zero, that is rigid, where there are none."""
    load = np.maximum(load, SMALLEST_LOAD)
    approach = contact_approach(inside, load) if isinstance(inside, Internals) else roller_approach(inside, load)
    compliance = approach / load
    return np.where(np.isfinite(compliance), compliance, 0.0)
