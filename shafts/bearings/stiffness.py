"""How far a bearing in its seat gives way: the two in series."""

import numpy as np

from balance.quantities import Number
from shafts.bearings.bearing import Bearing


def compliance(bearing: Bearing, load: Number | None = None) -> Number:
    """Return the radial compliance of a bearing in its seat, m/N, (options...): the two in series.

    load : its mean load, N. With it, a bearing whose balls or rollers are known and whose stiffness is not given
    gives way as contact theory says; without it, or with them unknown, it is rigid itself.
    """
    parts = [1 / stiffness for stiffness in (bearing.stiffness, bearing.seat_stiffness) if stiffness is not None]
    if load is not None and by_contact(bearing):
        parts.append(bearing.inside.compliance(load))
    return sum(parts, np.float64(0.0))


def by_contact(bearing: Bearing) -> bool:
    """Return whether contact theory decides: no stiffness given, and balls or rollers known of some option."""
    return bearing.stiffness is None and bearing.inside.by_contact
