"""What a ball bearing can bear: from the design, from its balls, or from the table of standard sizes.

ISO 281:2007, 5.1 and ISO 76:2006, 5.1, for single-row deep-groove bearings (contact angle zero). What a
design states overrides what follows from the balls it states, and that overrides the table.
"""

from dataclasses import dataclass

import numpy as np

from balance.quantities import Number, Scalar
from shafts.bearings.standard_sizes import AXIAL, LIFE_FACTOR, STATIC_FACTOR, row_of
from shafts.shaft import Ball

GROOVE_FACTOR = 1.3  # b_m of ISO 281 for deep-groove bearings of today's steel
LARGEST_RATIO = 0.4  # where the factors' tables end
TYPICAL_STATIC_FACTOR = 13.0  # f_0 where the balls are not known; it lies between 12 and 15 for these sizes


@dataclass(frozen=True, eq=False)
class Internals:
    """The balls of a bearing, (options...): how many, their diameter and that of their circle, m; NaN if not known."""

    balls: Number
    diameter: Number
    pitch: Number


@dataclass(frozen=True, eq=False)
class Ratings:
    """What a bearing bears, (options...); NaN where it is not known.

    dynamic, static : basic radial load ratings, N.   speed : limiting speed, rad/s.
    factor : f_0 of ISO 76, for axial loads.   source : where the load ratings come from, in words.
    """

    dynamic: Number
    static: Number
    speed: Number
    factor: Number
    source: str


def internals(ball: Ball, row: np.ndarray | None = None) -> Internals:
    """Return the balls as the design or else the table of standard sizes has them.

    row : the table's row of this size, if it has been looked up already.
    """
    pitch = (
        (np.asarray(ball.bore) + ball.outside) / 2 if ball.pitch_diameter is None else np.asarray(ball.pitch_diameter)
    )
    if ball.balls is not None and ball.ball_diameter is not None:
        return Internals(np.asarray(ball.balls, dtype=float), np.asarray(ball.ball_diameter), pitch)
    row = row_of(ball.bore, ball.outside, ball.width) if row is None else row
    return Internals(row[..., 6], row[..., 7], pitch)


def ratings(ball: Ball) -> Ratings:
    """Return load ratings and limiting speed of a bearing."""
    row = row_of(ball.bore, ball.outside, ball.width)
    inside = internals(ball, row)
    source = "typical for its size"
    dynamic: Number = row[..., 3]
    static: Number = row[..., 4]
    if ball.balls is not None and ball.ball_diameter is not None:
        source, dynamic, static = "from its balls (ISO 281, ISO 76)", dynamic_rating(inside), static_rating(inside)
    if ball.dynamic_rating is not None and ball.static_rating is not None:
        source = "as stated"
    elif ball.dynamic_rating is not None or ball.static_rating is not None:
        source = f"one as stated, the other {source}"
    factor = static_factor(inside)
    return Ratings(
        dynamic if ball.dynamic_rating is None else np.asarray(ball.dynamic_rating),
        static if ball.static_rating is None else np.asarray(ball.static_rating),
        row[..., 5] if ball.speed_limit is None else np.asarray(ball.speed_limit),
        np.where(np.isnan(factor), TYPICAL_STATIC_FACTOR, factor),
        source,
    )


def dynamic_rating(inside: Internals) -> Number:
    """Return the basic dynamic radial load rating, N: ISO 281:2007, 5.1, b_m f_c Z^(2/3) D_w^1.8 with D_w in mm.

    For balls up to 25.4 mm, and ball over pitch diameter from 0.01 to 0.4; NaN outside of that.
    """
    size = np.asarray(inside.diameter) * 1e3
    factor = _tabled(inside.diameter / inside.pitch, 0.01 * np.arange(1, 41), LIFE_FACTOR)
    return np.where(size <= 25.4, GROOVE_FACTOR * factor * inside.balls ** (2 / 3) * size**1.8, np.nan)


def static_factor(inside: Internals) -> Number:
    """Return f_0 of ISO 76:2006, table 1; NaN where ball over pitch diameter is beyond 0.4, or unknown."""
    return _tabled(inside.diameter / inside.pitch, 0.01 * np.arange(41), STATIC_FACTOR)


def static_rating(inside: Internals) -> Number:
    """Return the basic static radial load rating, N: ISO 76:2006, 5.1, f_0 Z D_w^2 with D_w in mm."""
    return static_factor(inside) * inside.balls * (np.asarray(inside.diameter) * 1e3) ** 2


def equivalent_load(radial: np.ndarray, axial: Scalar, rating: Ratings) -> np.ndarray:
    """Return the dynamic equivalent radial load, N, (options..., angles): ISO 281:2007, table 3.

    radial : (options..., angles), N.   axial : (options...), N.
    P = F_r up to F_a / F_r = e, then 0.56 F_r + Y F_a.
    """
    if not np.any(np.asarray(axial)):
        return radial
    relative = rating.factor * np.asarray(axial) / rating.static
    grip, grow = (np.interp(relative, AXIAL[0], column)[..., None] for column in AXIAL[1:])
    thrust = np.broadcast_to(np.asarray(axial, dtype=float), relative.shape)[..., None]
    return np.where(thrust <= grip * radial, radial, np.maximum(0.56 * radial + grow * thrust, radial))


def static_equivalent_load(radial: Scalar, axial: Scalar) -> Number:
    """Return the static equivalent radial load, N: ISO 76:2006, table 2, the larger of 0.6 F_r + 0.5 F_a and F_r."""
    return np.maximum(0.6 * np.asarray(radial) + 0.5 * np.asarray(axial), radial)


def cubic_mean(load: np.ndarray) -> np.ndarray:
    """Return the steady load that wears as a varying one does, (options...): the cubic mean over the cycle."""
    return np.mean(load**3, axis=-1) ** (1 / 3)


def life_revolutions(dynamic: Scalar, load: Scalar) -> Number:
    """Return the basic rating life L10 of a ball bearing in revolutions: ISO 281:2007, 5.3, 10^6 (C/P)^3."""
    with np.errstate(divide="ignore"):
        return 1e6 * (np.asarray(dynamic, dtype=float) / load) ** 3


def _tabled(ratio: Scalar, at: np.ndarray, values: np.ndarray) -> np.ndarray:
    ratio = np.asarray(ratio)
    return np.where((ratio >= at[0]) & (ratio <= LARGEST_RATIO), np.interp(ratio, at, values), np.nan)
