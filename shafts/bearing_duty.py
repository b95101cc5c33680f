"""How hard each bearing works: life, static safety, speed, and pressure times rubbing speed of bushes.

The computed loads hold gas, weight and inertia; a load factor on them stands for the knocks that play
and gear errors add. Clean grease and a straight seat are taken for granted. What is asked of each kind stands in its
own file in `bearings`.
"""

from collections.abc import Sequence
from functools import partial
from typing import Any

from balance.quantities import Scalar
from shafts.bearings.bearing import Bearing
from shafts.bearings.bush import BushDuty
from shafts.bearings.kind import AtWork
from shafts.bearings.rolling import RollingDuty
from shafts.carried import LoadedShafts
from shafts.deflection import ShaftResponse
from shafts.peaks import Peak


def duties(
    carried: LoadedShafts, rated: Scalar, speeds: Sequence[Any], worst: Sequence[dict[str, list[Peak]]]
) -> list[RollingDuty | BushDuty]:
    """Return the duty of every bearing, right shaft first.

    rated : speed at which life is counted, rad/s.   speeds : where the worst is looked for.
    worst : peaks of the right and the left shaft at these speeds (see `shaft_peaks`).
    """
    peaks = [peak for side in worst for peak in side["bearings"]]
    return [
        bearing.inside.duty(
            AtWork(name, bearing, rated, partial(_sizes, state, place), state.bearings[place], speeds, peak)
        )
        for (name, state, place, bearing), peak in zip(bearings_of(carried), peaks, strict=True)
    ]


def _sizes(state: ShaftResponse, place: int) -> Any:
    return state.bearing_sizes[place]


def bearings_of(carried: LoadedShafts) -> list[tuple[str, ShaftResponse, int, Bearing]]:
    """Return every bearing with its name, after its shaft and its number on it, right shaft first."""
    sides = zip(("right", "left"), carried.engine.shafts.pair, carried.states, strict=True)
    return [
        (f"{side} bearing {place + 1}", state, place, bearing)
        for side, shaft, state in sides
        for place, bearing in enumerate(shaft.bearings)
    ]
