"""How hard each bearing works: the loads that the shafts put on it, and what its kind makes of them (`bearings`)."""

from collections.abc import Sequence
from functools import partial
from typing import Any

from balance.quantities import Scalar
from shafts.bearings.bearing import Bearing
from shafts.bearings.bush import BushDuty
from shafts.bearings.kind import AtWork
from shafts.bearings.rolling import RollingDuty
from shafts.crank.loaded import LoadedCrank
from shafts.loaded_shafts import LoadedShafts
from shafts.peaks import Peak


def duties(
    loaded: LoadedShafts, rated: Scalar, speeds: Sequence[Any], worst: Sequence[dict[str, list[Peak]]]
) -> list[RollingDuty | BushDuty]:
    """Return the duty of every bearing, right shaft first.

    rated : speed at which life is counted, rad/s.   speeds : where the worst is looked for.
    worst : peaks of the right and the left shaft at these speeds (see `shaft_peaks`).
    """
    peaks = [peak for side in worst for peak in side["bearings"]]
    return [
        bearing.inside.duty(
            AtWork(name, bearing, rated, partial(_sizes, crank, place), crank.bearings[place], speeds, peak)
        )
        for (name, crank, place, bearing), peak in zip(bearings_of(loaded), peaks, strict=True)
    ]


def _sizes(crank: LoadedCrank, place: int) -> Any:
    return crank.bearing_sizes[place]


def bearings_of(loaded: LoadedShafts) -> list[tuple[str, LoadedCrank, int, Bearing]]:
    """Return every bearing with its name, after its crank and its number on it, right one first."""
    return [
        (f"{crank.hand} bearing {place + 1}", crank, place, bearing)
        for crank in loaded.cranks
        for place, bearing in enumerate(crank.shaft.bearings)
    ]
