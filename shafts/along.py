"""What sits side by side on one shaft, and the clearance between it: for what can be seen without any outline."""

from collections.abc import Sequence
from itertools import combinations

import numpy as np

from balance.machine.joint import with_hub
from balance.outlines import ranges_meet
from balance.quantities import Number, result
from balance.turning import HANDS
from balance.weights.balancing import Weight, counterweight_name
from shafts.bearings.bearing import Bearing
from shafts.engine import Engine

HAIR = 1e-7  # m; less than this is rounding, of places that come from sums


@result
class Sitting:
    """A part on a shaft: its middle along it, and its length, m; each (options...).

    of_crank : whether it is a web, or a weight that may well be of one piece with one: these may stand in one place.
    case : "bearing" or "plate" for what stands still: a bearing stands in its plate.
    """

    name: str
    at: Number
    length: Number
    of_crank: bool = False
    case: str = ""


def sitting(engine: Engine, hand: str, weights: Sequence[Weight] = ()) -> list[Sitting]:
    """Return what sits on the right or left shaft: bearings, plates, gear, wheels, webs and given weights."""
    parts, shaft = [], engine.shafts.pair[list(HANDS).index(hand)]
    for index, bearing in enumerate(shaft.bearings):
        parts.append(Sitting(f"{hand} bearing {index + 1}", bearing.at, bearing.inside.width, case="bearing"))
    for index, plate in enumerate(shaft.plates):
        parts.append(Sitting(f"{hand} plate {index + 1}", plate.at, plate.thickness, case="plate"))
    gears = engine.cranks.gears
    if gears is not None and (length := with_hub(gears.face, gears.hub)) is not None:
        parts.append(Sitting(f"{hand} gear", gears.at, length))
    for name, wheel in engine.wheels(hand).items():
        if (length := with_hub(wheel.thickness, wheel.hub)) is not None:
            parts.append(Sitting(f"{hand} {name}", wheel.z(hand), length))
    for number, web in enumerate(engine.cranks.webs):
        if web.on in (hand, "both") and web.thickness is not None:
            parts.append(Sitting(f"{hand} web {number + 1}", web.at, web.thickness, True))
    for index, weight in enumerate(weights):
        # A weight of no mass is none, and in no one's way.
        length = np.where(np.asarray(weight.shape.mass) > 0, weight.shape.thickness, -np.inf)
        parts.append(Sitting(counterweight_name(hand, index, len(weights)), weight.at, length, True))
    return parts


@result
class Beside:
    """Two parts on one shaft.

    names : of both.   clearance : along the shaft, m, (options...); negative where they overlap.
    floats : whether the end float of the shaft is taken off it.
    """

    names: tuple[str, str]
    clearance: Number
    floats: bool


def axial_clearances(parts: Sequence[Sitting], end_float: Number) -> list[Beside]:
    """Return the clearance along the shaft between every two parts.

    end_float : of the shafts, m, (options...), by which what turns may come nearer to a plate. What sits at a bearing
        leans on its inner ring.
    """
    clearances = list[Beside]()
    for one, other in combinations(parts, 2):
        if (one.of_crank and other.of_crank) or {one.case, other.case} in ({"plate"}, {"plate", "bearing"}):
            continue
        clearance = np.abs(np.asarray(one.at) - other.at) - (np.asarray(one.length) + other.length) / 2
        if floats := "plate" in (one.case, other.case):
            clearance = clearance - end_float
        clearance = np.where(np.abs(clearance) < HAIR, 0.0, clearance)
        clearances.append(Beside((one.name, other.name), clearance, floats))
    return clearances


def ring_clearance(engine: Engine) -> np.ndarray:
    """Return the least clearance between a bearing of the right shaft and one of the left beside it, m, (options...).

    c - (D + D')/2 where their widths meet along the shafts, infinite where none do; negative where rings overlap.
    """
    right, left = ([each for each in shaft.bearings if each.inside.outside is not None] for shaft in engine.shafts.pair)
    clearances = [
        np.where(ranges_meet(_range(one), _range(other)), _between_rings(engine, one, other), np.inf)
        for one in right
        for other in left
    ]
    return np.min(np.broadcast_arrays(*clearances), axis=0) if clearances else np.asarray(np.inf)


def _between_rings(engine: Engine, one: Bearing, other: Bearing) -> Number:
    outside, its = one.inside.outside, other.inside.outside
    assert outside is not None and its is not None
    clearance = engine.cranks.centre_distance - (np.asarray(outside) + its) / 2
    return np.where(np.abs(clearance) < HAIR, 0.0, clearance)


def _range(bearing: Bearing) -> tuple[Number, Number]:
    half = np.asarray(bearing.inside.width) / 2
    return bearing.at - half, bearing.at + half
