"""How hard each bearing works: the loads that the shafts put on it, and what its kind makes of them (`bearings`)."""

from collections.abc import Sequence
from functools import partial
from typing import Any

from balance.quantities import Scalar
from shafts.bearings.bearing import Bearing
from shafts.bearings.kind import AtWork, Duty
from shafts.crank.loaded import LoadedCrank
from shafts.crank.vectors import CrankVector, Peak
from shafts.loaded_shafts import LoadedShafts


def duties(
    loaded: LoadedShafts, rated: Scalar, speeds: Sequence[Any], worst: Sequence[dict[str, list[Peak]]]
) -> list[Duty]:
    """Return the duty of every bearing, right shaft first.

    rated : speed at which life is counted, rad/s.   speeds : where the worst is looked for.
    worst : peaks of the right and the left shaft at these speeds (see `shaft_peaks`).
    """
    peaks = [peak for side in worst for peak in side["bearings"]]
    return [
        bearing.inside.duty(
            AtWork(
                name,
                bearing.load_factor,
                bearing.axial_load,
                rated,
                partial(_sizes, crank, index),
                partial(_load, crank, index),
                speeds,
                peak,
            )
        )
        for (name, crank, index, bearing), peak in zip(bearings_of(loaded), peaks, strict=True)
    ]


def _sizes(crank: LoadedCrank, index: int) -> Any:
    return crank.bearing_sizes[index]


def _load(crank: LoadedCrank, index: int) -> CrankVector:
    return crank.bearings[index]


def bearings_of(loaded: LoadedShafts) -> list[tuple[str, LoadedCrank, int, Bearing]]:
    """Return every bearing with its name, after its crank and its number on it, right one first."""
    return [
        (f"{crank.hand} bearing {index + 1}", crank, index, bearing)
        for crank in loaded.cranks
        for index, bearing in enumerate(crank.shaft.bearings)
    ]
