"""Yoke tilt along the shafts: a yoke leans about the line across them, out of the plane in which its rods pull.

The rods hold it at their plane z_r, and a face at z rises by tilt (z - z_r). A couple leans it: weight and inertia of
each part whose mass centre lies beside that plane, and the gas if the cylinder's axis does. It takes up the guide's
play, diametral play over guided length, to the side of the couple, and bends a displacer's stem, as long as given,
like a cantilever by C l/(E I). Faces meet first at an end of the range of z that both yokes share: whichever end
closes the gap, for each yoke by itself, which is safe; for the stem by the couple's sign at the fastest speed.
Without a known couple nobody knows which way a yoke leans in its guide: then, and in the worst case, it is the way
that closes the gap. A guide of unknown length holds its yoke upright here; the verdict says so.
"""

import numpy as np

from balance.bodies.yokes import axis_of
from balance.cycle.load import Load
from balance.machine.yoke import Displacer
from balance.quantities import Number, over_angle
from shafts.engine import Engine
from shafts.gap.curve import GapCurve, RodRows, in_rows, rows_of
from shafts.gap.facing import Facing
from shafts.gap.shift import spread
from shafts.loaded_shafts import Case, LoadedShafts

NAME = "yoke tilt along the shafts"


def line(loaded: LoadedShafts, facing: Facing, case: Case) -> GapCurve:
    """Return what yokes that lean along the shafts add to the gap."""
    bent = [_by_stem(loaded, facing, name, sign) for name, sign in facing.yokes]
    return GapCurve(sum(bent, Load())) + by_play(loaded, facing, case)


def by_play(loaded: LoadedShafts, facing: Facing, case: Case) -> GapCurve:
    """Return what yokes add that lean within the play of their guides alone."""
    plain, couples, slack = Load(), [], []
    flat = np.zeros(facing.nominal.shape)
    for name, sign in facing.yokes:
        play = play_tilt(loaded.engine, name)
        if not np.any(np.asarray(play)):
            continue
        ends = np.broadcast_arrays(*(sign * np.asarray(each) for each in reaches(loaded, facing, name)))
        # What a lean to either side closes the gap by most, at either end; negative if it does.
        up, down = np.min(ends, axis=0) * play, -np.max(ends, axis=0) * play
        turns = couple(loaded, name)
        if case == "worst" or turns.nothing:
            plain = plain + Load(steady=flat + _over_places_and_angles(np.minimum(up, down)))
            continue
        plain = plain + Load(steady=flat + _over_places_and_angles((up + down) / 2))
        couples.append(turns)
        slack.append(flat + _over_places_and_angles((down - up) / 2))
    return GapCurve(plain, rods=RodRows(in_rows(couples), rows_of(slack)) if couples else None)


def couple(loaded: LoadedShafts, name: str) -> Load:
    """Return the couple that leans a yoke, N m, (options..., angles), positive where it lifts what has larger z."""
    yoke, moved = loaded.engine.yokes[name], loaded.motion.yokes[name]
    gravity, plane = loaded.engine.gravity, loaded.engine.throw_of(yoke).at
    beside = sum((part.mass * (part.at - plane) for part in yoke.parts.values() if part.at is not None), 0.0)
    total = Load()
    if np.any(np.asarray(beside)):
        total = Load(over_angle(beside * gravity.y), -over_angle(beside) * moved.acceleration, gravity=None)
    lever = np.asarray(axis_of(loaded.engine)) - plane
    if yoke.carries is not None and np.any(lever):
        total = total + _push(loaded, name) * over_angle(lever)
    return total


def _push(loaded: LoadedShafts, name: str) -> Load:
    """Return what the gas pushes a yoke with, N: what it needs less what its rods pull."""
    mass, moved = over_angle(loaded.engine.yokes[name].mass), loaded.motion.yokes[name]
    pivot = loaded.forces[name].pivot
    needed = Load(-mass * over_angle(loaded.engine.gravity.y), mass * moved.acceleration, gravity=None)
    return needed - (pivot.right.y + pivot.left.y)


def play_tilt(engine: Engine, name: str) -> Number:
    """Return how far a yoke can lean in its guide to either side, rad; zero if the guided length is not known."""
    length = engine.yokes[name].guided_length
    return 0.0 if length is None else engine.fits.guide_play / length


def stem_tilt(loaded: LoadedShafts, name: str) -> Load | None:
    """Return how far a yoke leans as its stem bends, rad; None for one without a described stem or a couple."""
    yoke = loaded.engine.yokes[name]
    stem = yoke.carries
    if not isinstance(stem, Displacer) or stem.stem_material is None or stem.stem_length is None:
        return None
    turns = couple(loaded, name)
    if turns.nothing:
        return None
    return turns * over_angle(stem.stem_length / (stem.stem_material.young * stem.stem_inertia))


def tilts(loaded: LoadedShafts, name: str, speed: Number, case: Case) -> tuple[np.ndarray, np.ndarray]:
    """Return the least and the most by which one design's yoke leans at a speed, rad, (angles,).

    They are one where a known couple says to which side of its guide it leans.
    """
    play, stem = play_tilt(loaded.engine, name), stem_tilt(loaded, name)
    bent = np.zeros(1) if stem is None else stem.at(speed)
    side = np.sign(couple(loaded, name).at(speed)) if case == "expected" else np.zeros(1)
    low, high = (np.where(side == 0, either, side) for either in (-1.0, 1.0))
    return bent + play * low, bent + play * high


def reaches(loaded: LoadedShafts, facing: Facing, name: str) -> tuple[Number, Number]:
    """Return how far both ends of what the yokes share along z lie from a yoke's rods' plane, m; (options...)."""
    outlines = [loaded.engine.yokes[each].outline for each, _ in facing.yokes]
    ranges = [outline.z for outline in outlines if outline is not None]
    plane, play = loaded.engine.throw_of(loaded.engine.yokes[name]).at, loaded.engine.fits.axial_play
    if not ranges:
        return 0.0, 0.0
    low = np.max(np.broadcast_arrays(*(each[0] for each in ranges)), axis=0) - play
    high = np.min(np.broadcast_arrays(*(each[1] for each in ranges)), axis=0) + play
    return low - plane, high - plane


def _by_stem(loaded: LoadedShafts, facing: Facing, name: str, sign: float) -> Load:
    tilt = stem_tilt(loaded, name)
    if tilt is None:
        return Load()
    tilt_sign = np.sign(tilt.at(loaded.engine.speed.most)) * sign
    low, high = (over_angle(each) for each in reaches(loaded, facing, name))
    end = np.where(tilt_sign * low < tilt_sign * high, low, high)
    return spread(tilt * (sign * end), 1.0 + np.zeros((*np.shape(facing.x)[:-1], np.shape(facing.x)[-1], 1)))


def _over_places_and_angles(value: Number) -> np.ndarray:
    """Return a number (options...) as (options..., 1, 1), for places and angles."""
    return np.asarray(value, dtype=float)[..., None, None]
