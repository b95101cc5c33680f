"""How hard each bearing works: life, static safety, speed, and pressure times rubbing speed of bushes.

The computed loads hold gas, weight and inertia; a load factor on them stands for the knocks that play
and gear errors add. Life is the basic rating life L10 of ISO 281 at rated speed, with the cubic mean of
the load over the cycle: clean grease and a straight seat are taken for granted.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np

from balance.quantities import Number, Scalar, over_angle
from shafts.bearings.ratings import (
    Ratings,
    cubic_mean,
    equivalent_load,
    life_revolutions,
    ratings,
    static_equivalent_load,
)
from shafts.crank.loaded import LoadedCrank
from shafts.crank.vectors import CrankVector
from shafts.loaded_shafts import LoadedShafts
from shafts.peaks import Peak
from shafts.shaft import Ball, Bearing, Bush

# Largest pressure times rubbing speed, Pa m/s, dry or with the oil that is in it: Mott, Machine Elements in
# Mechanical Design, table 16-1 (porous bronze, babbitt, lined, nylon); turned bronze by a maker's data.
BUSH_LIMITS = {
    "sintered bronze": 1.75e6,
    "turned bronze": 1.75e6,
    "babbitt": 1.05e6,
    "lined with PTFE": 1.80e6,
    "nylon": 0.105e6,
}


@dataclass(frozen=True, eq=False)
class BallDuty:
    """A ball bearing at work, (options...); NaN where its ratings are not known.

    equivalent : load that wears as the real one does at rated speed, N.
    revolutions, life : L10 in revolutions, and in seconds at rated speed.
    peak, peak_speed, peak_angle : largest load over the cycle and the speeds, N, rad/s, rad; without the load factor.
    static_safety : static rating over the static equivalent of that peak, load factor included.
    """

    name: str
    ball: Ball
    rating: Ratings
    equivalent: Number
    revolutions: Number
    life: Number
    peak: Number
    peak_speed: Number
    peak_angle: Number
    static_safety: Number


@dataclass(frozen=True, eq=False)
class BushDuty:
    """A plain bush at work, (options...), at the speed where pressure times rubbing speed is largest.

    load : mean load over the cycle, N.   pressure : on its projected area, Pa.   rubbing : m/s.
    pv, limit : pressure times rubbing speed and what it bears, Pa m/s; the limit is None if not known.
    """

    name: str
    bush: Bush
    speed: Number
    load: Number
    pressure: Number
    rubbing: Number
    pv: Number
    limit: Scalar | None


def duties(
    loaded: LoadedShafts, rated: Scalar, speeds: Sequence[Any], worst: Sequence[dict[str, list[Peak]]]
) -> list[BallDuty | BushDuty]:
    """Return the duty of every bearing, right shaft first.

    rated : speed at which life is counted, rad/s.   speeds : where the worst is looked for.
    worst : peaks of the right and the left shaft at these speeds (see `shaft_peaks`).
    """
    found: list[BallDuty | BushDuty] = []
    for (name, crank, place, bearing), peak in zip(
        bearings_of(loaded), (peak for side in worst for peak in side["bearings"]), strict=True
    ):
        if bearing.ball is not None:
            found.append(ball_duty(name, bearing, crank.bearing_sizes[place], rated, peak))
        else:
            found.append(bush_duty(name, bearing, crank.bearings[place], speeds))
    return found


def bearings_of(loaded: LoadedShafts) -> list[tuple[str, LoadedCrank, int, Bearing]]:
    """Return every bearing with its name, after its crank and its number on it, right one first."""
    return [
        (f"{crank.hand} bearing {place + 1}", crank, place, bearing)
        for crank in loaded.cranks
        for place, bearing in enumerate(crank.shaft.bearings)
    ]


def ball_duty(name: str, bearing: Bearing, radial: np.ndarray, rated: Scalar, worst: Peak) -> BallDuty:
    """Return the life and static safety of a ball bearing.

    radial : its load over the cycle at rated speed, N, (options..., angles).   worst : its peak at any speed.
    """
    assert bearing.ball is not None
    rating, factor = ratings(bearing.ball), np.asarray(bearing.load_factor)
    equivalent = cubic_mean(equivalent_load(radial * over_angle(factor), bearing.axial_load, rating))
    revolutions = life_revolutions(rating.dynamic, equivalent)
    with np.errstate(divide="ignore"):
        safety = rating.static / static_equivalent_load(worst.size * factor, bearing.axial_load)
    return BallDuty(
        name,
        bearing.ball,
        rating,
        equivalent,
        revolutions,
        life=revolutions * 2 * np.pi / rated,
        peak=worst.size,
        peak_speed=worst.speed,
        peak_angle=worst.angle,
        static_safety=safety,
    )


def bush_duty(name: str, bearing: Bearing, load: CrankVector, speeds: Sequence[Any]) -> BushDuty:
    """Return the pressure times rubbing speed of a bush: mean load over length and bore, times speed over the shaft."""
    bush = bearing.bush
    assert bush is not None
    means = [np.mean(load.size(each), axis=-1) * np.asarray(bearing.load_factor) for each in speeds]
    mean, speed = _at_largest([mean * at for mean, at in zip(means, speeds, strict=True)], means, speeds)
    pressure, rubbing = bush_pressure(bush, mean), np.asarray(bush.bore) / 2 * speed
    return BushDuty(name, bush, speed, mean, pressure, rubbing, pressure * rubbing, bush_limit(bush))


def bush_pressure(bush: Bush, load: Scalar) -> Number:
    """Return load over projected area (bore times length), Pa."""
    return load / (np.asarray(bush.bore) * bush.length)


def bush_limit(bush: Bush) -> Scalar | None:
    """Return the largest pressure times rubbing speed a bush bears, Pa m/s: as stated, or by what it is made of."""
    if bush.pv_limit is not None:
        return bush.pv_limit
    return None if bush.material is None else BUSH_LIMITS[bush.material]


def _at_largest(values: Sequence[Any], *others: Sequence[Any]) -> tuple[np.ndarray, ...]:
    """Return from each of the other lists, for each option, the entry that stands where the value is largest."""
    place = np.argmax(np.stack(np.broadcast_arrays(*values)), axis=0)[None]
    shape = np.broadcast_shapes(*(np.shape(one) for each in others for one in each), place.shape[1:])
    chosen = (np.stack([np.broadcast_to(one, shape) for one in each]) for each in others)
    return tuple(np.take_along_axis(each, np.broadcast_to(place, (1, *shape)), axis=0)[0] for each in chosen)
