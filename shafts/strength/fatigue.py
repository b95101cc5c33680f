"""Safety of a shaft against fatigue and yielding, in every section.

Distortion energy with Goodman's line (DE-Goodman; Shigley's Mechanical Engineering Design, 9th ed.,
section 7-4), fibre by fibre round the shaft: for each, half the range of its bending stress over the
cycle alternates and the middle of the range is steady; so for the torque, whatever their phase. Notch
factors weigh the mean stress too. The other criteria of that section serve as a cross-check.
"""

import numpy as np

from balance.cycle.extremes import largest
from balance.quantities import Number, Scalar, over_angle, result, side_by_side
from shafts.shaft import Shaft
from shafts.strength.concentration import SHARP, StressRaiser, raiser, sensitivity, shoulder
from shafts.strength.endurance import is_steel, reliability_factor, size_factor, specimen_limit, surface_factor
from shafts.strength.sections import SAME, Sections
from shafts.strength.stress import InternalLoads

FIBRES = (
    16  # over half a turn; between two of them the width of any loop of moments is missed by half a percent at most
)
PIECE = 6  # speeds at which stresses are worked out together


@result
class Strength:
    """What each section of a shaft bears; arrays (options..., sections).

    bending, torsion : stress at the notch, Pa, per unit moment and torque, N m, notch sensitivity counted.
    shear : largest mean shear stress across the section per unit force, 1/m^2.
    notch, notch_torsion : fatigue notch factors.   endurance : limit with all of Marin's factors, Pa.
    tensile, yielding : strengths, Pa, (options...).
    """

    bending: np.ndarray
    torsion: np.ndarray
    shear: np.ndarray
    notch: np.ndarray
    notch_torsion: np.ndarray
    endurance: np.ndarray
    tensile: Number
    yielding: Number


@result
class Cycle:
    """Equivalent (von Mises) alternating and mean stress, Pa, (options..., sections, fibres)."""

    alternating: np.ndarray
    steady: np.ndarray


def strength(shaft: Shaft, cuts: Sections) -> Strength | None:
    """Return what the sections of a shaft bear; None if its material has no yield or tensile strength."""
    tensile, yielding = shaft.material.tensile_strength, shaft.material.yield_strength
    if tensile is None or yielding is None:
        return None
    bending, torsion, diameter, radius = raisers(shaft, cuts)
    felt, felt_torsion = sensitivity(radius, _beside(tensile), _beside(is_steel(shaft.material)))
    notch, notch_torsion = 1 + felt * (bending - 1), 1 + felt_torsion * (torsion - 1)
    solid = diameter**4 - cuts.bore**4
    modulus = np.pi / 32 * solid / diameter
    limit = (
        specimen_limit(shaft.material) * surface_factor(shaft.finish, tensile) * reliability_factor(shaft.reliability)
    )
    return Strength(
        notch / modulus,
        notch_torsion / (2 * modulus),
        _shear_peak(diameter, cuts.bore),
        notch,
        notch_torsion,
        _beside(limit) * size_factor(diameter),
        tensile,
        yielding,
    )


def _beside(value: Scalar) -> np.ndarray:
    """Return a number of a shaft (options...) as (options..., 1), to meet the axis of sections."""
    return np.asarray(value)[..., None]


def _shear_peak(diameter: np.ndarray, bore: np.ndarray) -> np.ndarray:
    """Return the largest shear stress per unit force across a round section, at its neutral axis: V Q / (I b)."""
    return 16 / (3 * np.pi) * (diameter**2 + diameter * bore + bore**2) / (diameter**4 - bore**4)


def raisers(shaft: Shaft, cuts: Sections) -> list[np.ndarray]:
    """Return bending and torsion factor, their diameter and root radius, each (options..., sections).

    A step that has no given shoulder counts as one with a sharp fillet of 0.02 of the smaller diameter.
    """
    count = len(cuts.places)
    plain = StressRaiser(1.0, 1.0, 0.0, np.inf)
    columns = [plain] * (2 * count)
    for index, what in enumerate(cuts.places):
        if what.kind == "load":
            continue
        sides = [cuts.diameter[..., index], cuts.diameter[..., index + count]]
        for side in (0, 1):
            columns[index + side * count] = _raiser(shaft, cuts, index, sides[side], sides[1 - side])
    rows = [[getattr(each, name) for each in columns] for name in ("bending", "torsion", "diameter", "radius")]
    bending, torsion, diameter, radius = (side_by_side(row) for row in rows)
    return [bending, torsion, np.where(diameter > 0, diameter, cuts.diameter), radius]


def _raiser(shaft: Shaft, cuts: Sections, index: int, diameter: np.ndarray, other: np.ndarray) -> StressRaiser:
    what = cuts.places[index]
    if what.notch is not None:
        assert shaft.material.tensile_strength is not None
        return raiser(what.notch, diameter, other, shaft.material.tensile_strength)
    small = np.minimum(diameter, other)
    sharp = shoulder(np.maximum(diameter, other), small, SHARP * small)
    given = [np.abs(np.asarray(each.at) - what.at) < SAME for each in shaft.notches if each.kind == "shoulder"]
    counts = (diameter < other) & ~np.any(given, axis=0) if given else diameter < other
    return StressRaiser(
        np.where(counts, sharp.bending, 1.0), np.where(counts, sharp.torsion, 1.0), diameter, SHARP * small
    )


def cycle(loads: InternalLoads, capacity: Strength, speed: Number) -> Cycle:
    """Return the equivalent stresses in every fibre of every section at a speed, rad/s.

    speed : one for each option, (options...), or several of them, (speeds, options...), which then stand first.
    """
    sides = 2 if np.any(loads.sections.behind) else 1  # both sides of a place carry the same moment
    places = loads.sections.at.shape[-1] // sides
    both = [_bending_range(loads.moment.at(speed)[..., :places, :])] * sides
    highest, lowest = (np.concatenate(each, axis=-2) for each in zip(*both, strict=True))
    torque = loads.torque_at(speed)
    most, least = np.max(torque, axis=-1)[..., None], np.min(torque, axis=-1)[..., None]
    bending, torsion = capacity.bending[..., None] / 2, capacity.torsion[..., None] / 2
    return Cycle(
        np.hypot(bending * (highest - lowest), np.sqrt(3) * torsion * (most - least)),
        np.hypot(bending * (highest + lowest), np.sqrt(3) * torsion * (most + least)),
    )


def _bending_range(moment: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    """Return the highest and lowest moment that pulls on each fibre, N m, (options..., sections, fibres)."""
    # A loop, so that thousands of designs do not need the memory of all fibres at once.
    pulls = (moment.real * np.cos(angle) + moment.imag * np.sin(angle)
             for angle in np.arange(FIBRES) * (np.pi / FIBRES))  # fmt: skip
    ranges = [(np.max(pull, axis=-1), np.min(pull, axis=-1)) for pull in pulls]
    high, low = (np.stack(each, axis=-1) for each in zip(*ranges, strict=True))
    return high, low


def goodman(stress: Cycle, endurance: Scalar, tensile: Scalar) -> np.ndarray:
    """Return the safety by the modified Goodman line: 1/n = s_a/S_e + s_m/S_ut; arrays that broadcast, Pa."""
    return _inverse(stress.alternating / endurance + stress.steady / tensile)


def gerber(stress: Cycle, endurance: Scalar, tensile: Scalar) -> np.ndarray:
    """Return the safety by Gerber's parabola: n s_a/S_e + (n s_m/S_ut)^2 = 1."""
    first, second = stress.alternating / endurance, stress.steady / tensile
    return 2 * _inverse(first + np.hypot(first, 2 * second))


def elliptic(stress: Cycle, endurance: Scalar, yielding: Scalar) -> np.ndarray:
    """Return the safety by the ASME ellipse: (n s_a/S_e)^2 + (n s_m/S_y)^2 = 1."""
    return _inverse(np.hypot(stress.alternating / endurance, stress.steady / yielding))


def soderberg(stress: Cycle, endurance: Scalar, yielding: Scalar) -> np.ndarray:
    """Return the safety by Soderberg's line: 1/n = s_a/S_e + s_m/S_y."""
    return goodman(stress, endurance, yielding)


def _inverse(used: np.ndarray) -> np.ndarray:
    # What is left of loads that cancel to rounding is no stress.
    return np.where(used > 1e-9, 1 / np.where(used > 1e-9, used, 1.0), np.inf)


def safeties(loads: InternalLoads, capacity: Strength, speeds: np.ndarray) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """Return `yield_safety`, its angle, and `fatigue_safety`, each (speeds, options..., sections).

    speeds : rad/s, (speeds, options...).   A few speeds at a time: stresses of all would be most of the memory.
    """
    pieces = [speeds[start : start + PIECE] for start in range(0, len(speeds), PIECE)]
    results = [(*yield_safety(loads, capacity, each), fatigue_safety(loads, capacity, each)) for each in pieces]
    yielding, angle, fatigue = (np.concatenate(each) for each in zip(*results, strict=True))
    return yielding, angle, fatigue


def fatigue_safety(loads: InternalLoads, capacity: Strength, speed: Number) -> np.ndarray:
    """Return the DE-Goodman safety of each section in its worst fibre, (options..., sections); speed as in `cycle`."""
    tensile = np.asarray(capacity.tensile)[..., None, None]
    return np.min(goodman(cycle(loads, capacity, speed), capacity.endurance[..., None], tensile), axis=-1)


def yield_safety(loads: InternalLoads, capacity: Strength, speed: Number) -> tuple[np.ndarray, np.ndarray]:
    """Return the least safety of each section against yielding, and its crank angle, rad; both (options..., sections).

    Yield strength over the von Mises stress, notch factors counted (Shigley, 9th ed., equation 7-16):
    of bending and torsion at the surface, or of shear and torsion at the neutral axis where that is more.
    speed : as in `cycle`.
    """
    twist = over_angle(capacity.torsion) * np.abs(loads.torque_at(speed))
    bend = over_angle(capacity.bending) * np.abs(loads.moment.at(speed))
    across = over_angle(capacity.shear) * np.abs(loads.shear.at(speed))
    surface, axis = np.hypot(bend, np.sqrt(3) * twist), np.sqrt(3) * (twist + across)
    used, angle = largest(np.maximum(surface, axis) / np.asarray(capacity.yielding)[..., None, None])
    return _inverse(used), angle
