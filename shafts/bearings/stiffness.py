"""How far a bearing yields under its load, apart from its seat."""

from balance.quantities import Number
from shafts.bearings.bearing import Bearing


def own_compliance(bearing: Bearing, load: Number | None = None) -> Number:
    """Return how far a bearing itself yields per newton, m/N, (options...): as given, else by contact theory.

    load : its mean load, N. Without it a rolling bearing is rigid, and a bush always is.
    """
    if bearing.stiffness is not None:
        return 1 / bearing.stiffness
    return bearing.inside.compliance(load) if load is not None and by_contact(bearing) else 0.0


def by_contact(bearing: Bearing) -> bool:
    """Return whether contact theory decides: no stiffness given, and balls or rollers known of some option."""
    return bearing.stiffness is None and bearing.inside.by_contact
