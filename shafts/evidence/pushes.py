"""How far a shaft gives way at a place under a steady push there."""

import numpy as np

from balance.quantities import Number
from shafts.beam import influence
from shafts.bearings.ratings import internals
from shafts.bearings.stiffness import contact_approach
from shafts.deflection import bearing_give, gives_by_contact
from shafts.shaft import Bearing, Shaft


def push_slope(shaft: Shaft, at: Number, forces: tuple[float, float]) -> np.ndarray:
    """Return deflection over force, m/N, (options...), at a place along the shaft under a push there.

    at : m.   forces : sizes of the least and the largest push, N, unlike: balls give less the harder they are pressed,
    and their give is taken between the two. Play is not in it. Between its ends the shaft bends as a beam; beyond them
    the arm to the place counts as rigid, so at an overhung throw webs and crankpins must still be added.
    """
    seats = [bearing_give(bearing) for bearing in shaft.bearings]
    share = np.abs(influence(shaft, [at], [], seats).share[..., 0])
    gives = [give + _contact(bearing, share[..., place], forces)
             for place, (bearing, give) in enumerate(zip(shaft.bearings, seats, strict=True))]  # fmt: skip
    found = influence(shaft, [at], [], gives)
    return (found.bending + found.seating)[..., 0, 0]


def _contact(bearing: Bearing, share: np.ndarray, forces: tuple[float, float]) -> Number:
    """Return the give of a bearing's balls between two pushes of which it carries a share, m/N."""
    if not gives_by_contact(bearing) or bearing.ball is None:
        return 0.0
    low, high = (np.maximum(share, 1e-9) * force for force in forces)
    inside = internals(bearing.ball)
    give = (contact_approach(inside, high) - contact_approach(inside, low)) / (high - low)
    return np.where(np.isfinite(give), give, 0.0)
