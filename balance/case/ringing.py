"""How a tapped case rings along an axis, and the stiffness of its feet at which it would ring as it was heard to."""

from collections.abc import Callable

import numpy as np

from balance.case.body import AXES, FREEDOMS, case
from balance.evidence.estimate import Estimate
from balance.machine.machine import Gravity
from balance.machine.mount import Mount
from balance.many import unchecked

BESIDE = 0.3
"""Share of a mode's energy from which on it is heard beside the one that is meant; common practice, no source."""
STIFFNESS = {"x": "across", "y": "stiffness", "z": "along_shafts"}
WIDEST = 1e3  # ratio to the stiffness that is drawn


def ringing(mount: Mount, gravity: Gravity, axis: str) -> tuple[float, float] | None:
    """Return the undamped frequency, Hz, and the damping of the mode that a tap along an axis makes ring.

    The mode most of whose energy is motion along the axis; None where another has a good share of it too (a case on
    feet far below it shifts and rocks in both), so that nobody knows which was heard. For a single design.
    """
    body = case(mount, gravity)
    shares = body.shares()[FREEDOMS[AXES.index(axis)]]
    order = np.argsort(-shares)
    if len(order) > 1 and shares[order[1]] > BESIDE:
        return None
    return float(body.frequency[order[0]]) / (2 * np.pi), float(body.damping[order[0]])


def stiffness_by_ringing(mount: Mount, gravity: Gravity, axis: str, heard: Estimate) -> Estimate | None:
    """Return the stiffness of all feet along an axis at which the case rings at an undamped frequency, N/m.

    By the ratio to the stiffness that is drawn; None where none within a factor of a thousand does, or where
    two modes ring. u(k) = u(f) dk/df, the derivative from the stiffnesses at the ends of the doubt.
    """
    feet = mount.feet
    assert feet is not None
    drawn = float(feet.stiffnesses[AXES.index(axis)])
    springs = feet.as_springs  # each direction given by itself, so that no other follows this one

    def rings(stiffness: float) -> float | None:
        other = unchecked(mount, {"feet": unchecked(springs, {STIFFNESS[axis]: stiffness})})
        mode = ringing(other, gravity, axis)
        return None if mode is None else mode[0]

    at = [_where(rings, drawn, heard.value + side * heard.sd) for side in (0.0, -1.0, 1.0)]
    middle, low, high = at
    if middle is None or low is None or high is None:
        return None
    return Estimate(middle, (high - low) / 2)


def _where(rings: Callable[[float], float | None], drawn: float, wanted: float) -> float | None:
    from scipy.optimize.elementwise import find_root  # a quarter of a second to import, for a case that was tapped

    def beyond(ratios: np.ndarray) -> np.ndarray:
        frequencies = [rings(drawn * float(np.exp(each))) for each in np.ravel(ratios)]
        return np.reshape([np.nan if each is None else each - wanted for each in frequencies], np.shape(ratios))

    root = find_root(beyond, (-np.log(WIDEST), np.log(WIDEST)))
    return drawn * float(np.exp(root.x)) if root.success else None
