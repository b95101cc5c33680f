"""Yoke arm bending: each arm is a cantilever from the yoke's middle, loaded at its pivot.

The rods hold the pivots, so the middle yields by Q b^3/(3 E I), and a place x beyond or within follows the cantilever's
line (Roark, cantilever with end load). Yokes without a given arm count as rigid.
"""

import numpy as np

from balance.cycle.load import Load
from balance.machine.yoke import Yoke
from balance.quantities import Number, Scalar, result
from shafts.gap.curve import GapCurve
from shafts.gap.facing import Facing
from shafts.gap.shift import spread
from shafts.loaded_shafts import Case, LoadedShafts

NAME = "yoke arm bending"


def line(loaded: LoadedShafts, facing: Facing, case: Case) -> GapCurve:
    """Return what the bending of the yokes' arms adds to the gap."""
    plain = Load()
    for name, sign in facing.yokes:
        bow = arm_bow(loaded, name, facing.x)
        if bow is not None:
            plain = plain + spread(bow.load, sign * bow.shape[..., :, None])
    return GapCurve(plain)


@result
class Bow:
    """A yoke's arms bent by the forces at its pivots.

    load : vertical force at each pivot, N, the mean of both.
    shape : rise per newton at each place x, m/N, (options..., places).
    """

    load: Load
    shape: np.ndarray


def arm_bow(loaded: LoadedShafts, name: str, x: np.ndarray) -> Bow | None:
    """Return how a yoke's arms bend, seen at places x, m, (options..., places); None if they count as rigid."""
    yoke = loaded.engine.yokes[name]
    if yoke.arm is None:
        return None
    arm, span = yoke.arm, np.asarray(_span(loaded, yoke))[..., None]
    inertia = np.asarray(arm.section.width * arm.section.height**3 / 12 * arm.material.young)[..., None]
    pivot = loaded.forces[name].pivot
    shape = (_cantilever(np.abs(x), span) - _cantilever(span, span)) / inertia
    return Bow((pivot.right.y + pivot.left.y) * 0.5, shape)


def _cantilever(x: Scalar, span: Scalar) -> np.ndarray:
    """Return E I times the deflection at x per unit load at `span`: straight beyond it."""
    inner = np.minimum(x, span)
    return inner**2 * (3 * span - inner) / 6 + np.maximum(x - span, 0.0) * span**2 / 2


def _span(loaded: LoadedShafts, yoke: Yoke) -> Number:
    """A slot's pins travel along it; half the centre distance is where they are on the mean."""
    return yoke.half_span if yoke.rod is not None else loaded.engine.cranks.centre_distance / 2
