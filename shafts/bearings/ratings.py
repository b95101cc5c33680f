"""What a rolling bearing bears and how long it lasts: ISO 281 and ISO 76, for what they say of balls and of rollers.

ISO 281:2007, 5.1 and ISO 76:2006, 5.1, for single-row deep-groove bearings (contact angle zero); ISO 281:2007, 7 and
ISO 76:2006, 7 for radial roller bearings of one row.
"""

import numpy as np

from balance.quantities import Number, Scalar, result

GROOVE_FACTOR = 1.3  # b_m of ISO 281 for deep-groove bearings of today's steel
BALL_EXPONENT, ROLLER_EXPONENT = 3.0, 10 / 3  # p of ISO 281: life falls with this power of the load

# ISO 281:2007, table 2, single-row radial contact: f_c at ball diameter over pitch diameter 0.01, 0.02 ... 0.40
LIFE_FACTOR = np.array([
    29.1, 35.8, 40.3, 43.8, 46.7, 49.1, 51.1, 52.8, 54.3, 55.5,
    56.6, 57.5, 58.2, 58.8, 59.3, 59.6, 59.8, 59.9, 60.0, 59.9,
    59.8, 59.6, 59.3, 59.0, 58.6, 58.2, 57.7, 57.1, 56.6, 56.0,
    55.3, 54.6, 53.9, 53.2, 52.4, 51.7, 50.9, 50.0, 49.2, 48.4,
])  # fmt: skip
# ISO 76:2006, table 1, radial ball bearings: f_0 at 0.00, 0.01 ... 0.40
STATIC_FACTOR = np.array([
    14.7, 14.9, 15.1, 15.3, 15.5, 15.7, 15.9, 16.1, 16.3, 16.5,
    16.4, 16.1, 15.9, 15.6, 15.4, 15.2, 14.9, 14.7, 14.4, 14.2,
    14.0, 13.7, 13.5, 13.2, 13.0, 12.8, 12.5, 12.3, 12.1, 11.8,
    11.6, 11.4, 11.2, 10.9, 10.7, 10.5, 10.3, 10.0, 9.8, 9.6,
    9.4,
])  # fmt: skip
# ISO 281:2007, table 3, deep-groove bearings: f_0 F_a / C_0r, and e and Y there (X is 0.56)
AXIAL = (
    np.array([0.172, 0.345, 0.689, 1.03, 1.38, 2.07, 3.45, 5.17, 6.89]),
    np.array([0.19, 0.22, 0.26, 0.28, 0.30, 0.34, 0.38, 0.42, 0.44]),
    np.array([2.30, 1.99, 1.71, 1.55, 1.45, 1.31, 1.15, 1.04, 1.00]),
)
# ISO 281:2007, table 7, radial roller bearings: f_c at roller diameter over pitch diameter 0.01, 0.02 ... 0.30
ROLLER_FACTOR = np.array([
    52.1, 60.8, 66.5, 70.7, 74.1, 76.9, 79.2, 81.2, 82.8, 84.2,
    85.4, 86.4, 87.1, 87.7, 88.2, 88.5, 88.7, 88.8, 88.8, 88.7,
    88.5, 88.2, 87.9, 87.5, 87.0, 86.4, 85.8, 85.2, 84.5, 83.8,
])  # fmt: skip
# ISO 281:2007, table 6: b_m
ROLLER_MATERIAL = {"drawn cup": 1.0, "machined": 1.1}


@result
class Internals:
    """The balls of a bearing, (options...): how many, their diameter and that of their circle, m; NaN if not known."""

    balls: Number
    diameter: Number
    pitch: Number


@result
class Rollers:
    """The rollers of a bearing, (options...): how many; diameter, length in contact and diameter of their circle, m."""

    number: Number
    diameter: Number
    length: Number
    pitch: Number


@result
class Ratings:
    """What a bearing bears, (options...); NaN where it is not known.

    dynamic, static : basic radial load ratings, N.   speed : limiting speed, rad/s.
    factor : f_0 of ISO 76, for axial loads on balls.   source : where the load ratings come from, in words.
    """

    dynamic: Number
    static: Number
    speed: Number
    factor: Number
    source: str


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


def mean_load(load: np.ndarray, exponent: float = BALL_EXPONENT) -> np.ndarray:
    """Return the steady load that wears as a varying one does, (options...): of balls the cubic mean over the cycle."""
    load = np.asarray(load)
    # Products take a fraction of the time of a power.
    powers = load * load * load if exponent == BALL_EXPONENT else load**exponent
    return np.mean(powers, axis=-1) ** (1 / exponent)


def life_revolutions(dynamic: Scalar, load: Scalar, exponent: float = BALL_EXPONENT) -> Number:
    """Return the basic rating life L10 in revolutions: ISO 281:2007, 5.3 and 7.3, 10^6 (C/P)^p.

    dynamic : C, N.   load : P, N, zero or more.
    """
    with np.errstate(divide="ignore"):
        return 1e6 * (np.asarray(dynamic, dtype=float) / load) ** exponent


def roller_dynamic_rating(inside: Rollers, material: float) -> Number:
    """Return the basic dynamic radial load rating of one row of rollers, N: ISO 281:2007, 7.1.

    b_m f_c L^(7/9) Z^(3/4) D^(29/27), lengths in mm; material: b_m.   NaN where D / D_pw is beyond 0.3.
    """
    factor = _tabled(np.asarray(inside.diameter) / inside.pitch, 0.01 * np.arange(1, 31), ROLLER_FACTOR)
    length, diameter = np.asarray(inside.length) * 1e3, np.asarray(inside.diameter) * 1e3
    number = np.asarray(inside.number, dtype=float)
    return material * factor * length ** (7 / 9) * number**0.75 * diameter ** (29 / 27)


def roller_static_rating(inside: Rollers) -> Number:
    """Return the basic static radial load rating of one row of rollers, N: ISO 76:2006, 7.1.

    44 (1 - D / D_pw) Z L D, lengths in mm.
    """
    projected = np.asarray(inside.length) * np.asarray(inside.diameter) * 1e6
    return 44 * (1 - np.asarray(inside.diameter) / inside.pitch) * np.asarray(inside.number) * projected


def _tabled(ratio: Scalar, at: np.ndarray, values: np.ndarray) -> np.ndarray:
    ratio = np.asarray(ratio)
    return np.where((ratio >= at[0]) & (ratio <= at[-1]), np.interp(ratio, at, values), np.nan)
