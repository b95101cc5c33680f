"""A crank with one crankpin and perhaps gear teeth: what is worked out by hand of it is short."""

from types import SimpleNamespace
from typing import cast

import numpy as np

from balance.cycle.load import Load, PlanarForce
from shafts.crank.compliance import UnitResponse
from shafts.crank.loaded import LoadedCrank
from shafts.crank.loads import CrankLoad
from shafts.crank.stations import Stations
from shafts.crank.vectors import CrankVector
from shafts.shaft import Shaft

SPREAD = 1e6
LEVER = np.array([[1.0, 0.0, -1 / SPREAD, 0.0], [0.0, 1.0, 0.0, -1 / SPREAD]])
"""Weights of a response to what `pushed` returns: the pin's pull, less the size of the tooth force, both along x."""
PIN = np.eye(2)
"""Weights of a response to what `pulled` returns: the pin's pull."""


def pushed(x: Load, tooth: Load) -> LoadedCrank:
    """Return a pin pulled along x and teeth that push apart far more than they push along.

    With `LEVER` their push along y, a millionth of that along x, is too small to see.
    """
    return _alone(PlanarForce(x=x), CrankLoad("gear teeth", "teeth", 0.0, force=PlanarForce(y=tooth), apart=SPREAD))


def pulled(pull: PlanarForce) -> LoadedCrank:
    """Return a pin alone."""
    return _alone(pull, None)


def turns(pull: PlanarForce) -> CrankVector:
    """Return a vector that is known in the crank frame: its size is all that matters."""
    return CrankVector(pull.x, pull.y, None, (0.0, 0.0), np.zeros(1), 1.0)


def _alone(pull: PlanarForce, teeth: CrankLoad | None) -> LoadedCrank:
    parts = [part for load in (pull.x, pull.y) for part in load.parts if np.ndim(part)]
    count = max(np.shape(part)[-1] for part in parts)
    loads = [CrankLoad("only", "rod", 0.0, force=pull), *([] if teeth is None else [teeth])]
    others = {} if teeth is None else {"gear teeth": ((2, 3), None)}
    stations = Stations([], 2 * len(loads), {"only": (0, 1)}, None, others, [], None)
    theta = np.arange(count) * (2 * np.pi / count)
    unused = cast(Shaft, SimpleNamespace()), cast(UnitResponse, SimpleNamespace())
    return LoadedCrank(unused[0], "right", loads, (0.0, 0.0), theta, None, stations, unused[1], np.arange(0), {})
