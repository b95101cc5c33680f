"""A shaft that bears one crankpin and perhaps gear teeth: what is worked out by hand of it is short."""

import numpy as np
from balance.shaft_loads import Mesh, ShaftLoads
from shafts.superposition import Superposition

from balance.cycle.load import Load, PlanarForce

SPREAD = 1e6
LEVER = np.array([[1.0, -1 / SPREAD]])
"""Weights of a response to what `pushed` returns: the pin's pull, less the size of the tooth force, both along x."""


def pushed(x: Load, tooth: Load) -> Superposition:
    """Return a pin pulled along x and teeth that push apart far more than they push along.

    With `LEVER` their push along y, a millionth of that along x, is too small to see.
    """
    return _alone(PlanarForce(x=x), Mesh(0.0, tooth, SPREAD))


def pulled(pull: PlanarForce) -> Superposition:
    """Return a pin alone."""
    return _alone(pull, None)


def _alone(pull: PlanarForce, mesh: Mesh | None) -> Superposition:
    parts = [part for growth in (pull.x, pull.y) for part in growth.parts if np.ndim(part)]
    count = max(np.shape(part)[-1] for part in parts)
    loads = ShaftLoads("right", {"only": (0.0, pull)}, [], (0.0, 0.0), mesh)
    return Superposition(loads, np.arange(count) * (2 * np.pi / count))
