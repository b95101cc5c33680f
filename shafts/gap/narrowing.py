"""The gap of many options at only those angles and places where it can be least: the same answer for less work.

Bounds that hold at every speed are put on each item of the gap budget. An angle whose gap cannot fall below
the largest that another angle's can be is never the tightest, so it is left out; its neighbours stay, since
the parabola through the lowest three angles needs them.
"""

from collections.abc import Callable
from dataclasses import dataclass, fields, is_dataclass, replace
from types import SimpleNamespace
from typing import Any

import numpy as np

from balance.extremes import least
from balance.motion import Motion
from balance.quantities import Number, over_angle
from shafts.gap.contact import SCAN, close_in
from shafts.gap.pair import YokePair
from shafts.gap.shift import LinearShift, Shift
from shafts.shaft import Engine

FEWEST = 16  # options; fewer are not worth it
AT_ONCE = 6  # speeds tried together
ROUNDING = 1e-6  # of a step between the speeds tried, by which bounds must be clear of it


@dataclass(frozen=True, eq=False)
class Narrow:
    """A pair of yokes at few angles and places; for the expected case.

    pair : with arrays of (options, kept angles).   kept : which angles these are, of `count`.
    """

    pair: YokePair
    kept: np.ndarray
    count: int

    def least(self, speed: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
        """Return least gap, m, and crank angle, rad, at speeds (speeds, options) or (options,)."""
        values = self.pair.gap(speed)
        place = np.argmin(values, axis=-1)[..., None]
        value, angle = least(values)
        turn = values.shape[-1] / (2 * np.pi)
        shift = (angle * turn - place[..., 0] + 1) % values.shape[-1] - 1
        kept = np.take_along_axis(np.broadcast_to(self.kept, values.shape), place, axis=-1)[..., 0]
        return value, ((kept + shift) * (2 * np.pi / self.count)) % (2 * np.pi)

    def of(self, options: np.ndarray) -> "Narrow":
        """Return some of the options."""
        size = len(self.kept)
        pair = _changed(self.pair, lambda each: each[options] if each.ndim and each.shape[0] == size else each)
        return Narrow(pair, self.kept[options], self.count)


def narrow(pair: YokePair, top: Number) -> Narrow | None:
    """Return a pair at the angles where it can be tightest at any speed up to `top`, rad/s; None if that is no help."""
    if pair.nominal.ndim != 3:
        return None
    pair = _apart(pair)
    options, count = pair.nominal.shape[0], pair.nominal.shape[-1]
    if options < FEWEST or options == count:
        return None  # arrays over options could not be told from those over places or angles
    envelope = _envelope(pair, top)
    low, high = envelope.least, envelope.most
    matters = low <= np.min(high, axis=-2, keepdims=True)
    lowest, ceiling = np.min(low, axis=-2), np.min(np.min(high, axis=-2), axis=-1, keepdims=True)
    tight = (lowest <= ceiling) & np.isfinite(lowest)
    wanted = tight | np.roll(tight, 1, axis=-1) | np.roll(tight, -1, axis=-1)
    most = int(np.max(np.sum(wanted, axis=-1)))
    if most >= count // 2:
        return None
    kept = np.sort(np.argsort(~wanted, axis=-1, kind="stable")[..., :most], axis=-1)
    at_kept = np.take_along_axis(matters, kept[..., None, :], axis=-1)
    return Narrow(_at(pair, kept, np.any(at_kept, axis=(0, -1))), kept, count)


def first_contact(pair: Narrow, top: np.ndarray) -> np.ndarray:
    """Return the lowest speed, rad/s, (options,), at which the yokes touch, as `contact` does for a whole pair.

    Of the speeds that are tried, only those are worked out at which bounds leave it open whether they touch.
    """
    top = np.broadcast_to(top, (len(pair.kept),))
    clear, touch = _settled(_envelope(pair.pair, top))
    first = _first_that_touches(pair, top, clear, touch)
    found = np.where(first == 0, 0.0, np.full(top.shape, np.inf))
    which = np.flatnonzero((first > 0) & (first <= SCAN))
    if len(which):
        low, high = (np.sqrt(step / SCAN) * top[which] for step in (first[which] - 1, first[which]))
        part = pair.of(which)
        found[which] = close_in(lambda speed: part.least(speed)[0], low, high, together=True)
    return found


def _first_that_touches(pair: Narrow, top: np.ndarray, clear: np.ndarray, touch: np.ndarray) -> np.ndarray:
    """Return the first of the speeds tried at which the yokes touch, (options,), 0 to SCAN; more if there is none."""
    first, which, begin = np.full(top.shape, SCAN + 1), np.flatnonzero(clear < SCAN), clear
    while len(which):
        tried = np.minimum(begin[which] + np.arange(AT_ONCE)[:, None], touch[which])
        touches = pair.of(which).least(np.sqrt(tried / SCAN) * top[which])[0] <= 0
        some = np.any(touches, axis=0)
        first[which[some]] = np.take_along_axis(tried, np.argmax(touches, axis=0)[None], axis=0)[0][some]
        begin = begin + AT_ONCE
        which = which[~some & (begin[which] <= touch[which])]
    return first


def _settled(envelope: "Envelope") -> tuple[np.ndarray, np.ndarray]:
    """Return up to which of the speeds tried the yokes are surely clear, and from which they surely touch.

    Both (options,), 0 to SCAN; SCAN also where they are clear, or do not surely touch, up to the top speed.
    """
    shares = []
    with np.errstate(divide="ignore", invalid="ignore"):  # where yokes are not face to face there is no end of room
        fall = np.maximum(envelope.rest - envelope.top, 0.0)
        for room in (envelope.rest - envelope.loose - envelope.dip, envelope.rest + envelope.loose):
            share = np.where(room <= 0, 0.0, np.where(fall > 0, room / fall, np.inf))
            shares.append(np.min(share, axis=(-2, -1)))
    clear = np.maximum(np.floor(np.minimum(shares[0], 1.0) * SCAN - ROUNDING), 0)
    touch = np.ceil(np.minimum(shares[1] * SCAN + ROUNDING, SCAN))
    return np.where(shares[0] > 1, SCAN, clear).astype(int), touch.astype(int)


def _apart(pair: YokePair) -> YokePair:
    """Return the pair without places that say what others say already, and with option axes everywhere."""
    x = np.broadcast_to(pair.x, pair.nominal.shape[:-1])
    kept: list[int] = []
    for place in range(x.shape[-1]):
        room = pair.nominal[..., place, :]
        if np.any(np.isfinite(room)) and not any(
            np.array_equal(x[..., other], x[..., place]) and np.array_equal(pair.nominal[..., other, :], room)
            for other in kept
        ):
            kept.append(place)
    return _placed(replace(pair, x=x), np.array(kept))


def _placed(pair: YokePair, kept: np.ndarray) -> YokePair:
    bows = [replace(bow, shape=bow.shape[..., kept]) for bow in pair.bows]
    return replace(
        pair, x=pair.x[..., kept], nominal=pair.nominal[..., kept, :], warm=_rows(pair.warm, kept), bows=bows
    )


def _rows(warm: np.ndarray, kept: np.ndarray) -> np.ndarray:
    return warm[..., kept, :] if np.ndim(warm) > 1 and warm.shape[-2] > 1 else warm


@dataclass(frozen=True, eq=False)
class Envelope:
    """Between what the gap surely is: in proportion to speed squared from `rest` to `top`, give or take `loose`, m.

    Each (options, places, angles).
    """

    rest: np.ndarray
    top: np.ndarray
    loose: np.ndarray

    @property
    def least(self) -> np.ndarray:
        """The least that the gap can be at any speed."""
        return np.minimum(self.rest, self.top) - self.loose

    @property
    def most(self) -> np.ndarray:
        """The most that the gap can be at any speed."""
        return np.maximum(self.rest, self.top) + self.loose

    @property
    def dip(self) -> np.ndarray:
        """The most by which a parabola through each angle and its neighbours can fall below it, if it is the lowest."""
        beside = np.min(self.most, axis=-2, keepdims=True)
        bend = np.roll(beside, 1, axis=-1) + np.roll(beside, -1, axis=-1) - 2 * self.least
        return np.maximum(bend, 0.0) / 8  # as much as where a neighbour is as low


def _envelope(pair: YokePair, top: Number) -> Envelope:
    """Return bounds of the expected gap at speeds from 0 to `top`, rad/s."""
    x, linear = pair.x, LinearShift(pair.linear.rise, pair.linear.tilt)
    ends = [pair.nominal + pair.warm + linear.at(speed).at(x) for speed in (np.zeros_like(top), top)]
    for bow in pair.bows:
        ends = [end + bow.at(speed) for end, speed in zip(ends, (np.zeros_like(top), top), strict=True)]
    loose = sum((_loose(each, x) for each in pair.bearings), 0.0)
    loose = loose + sum(
        (np.abs(Shift(rod.rise, rod.tilt).at(x)) * over_angle(over_angle(rod.play)) for rod in pair.rods), 0.0
    )
    loose = loose + np.abs(x)[..., None] * _tilting(pair)[..., None, :]
    return Envelope(*ends, loose + _pushed(pair.linear, top, x))


def _pushed(linear: LinearShift, top: Number, x: np.ndarray) -> np.ndarray | float:
    """Return the most that the teeth's separating force, which is convex in speed squared, can shift the yokes."""
    if linear.mesh is None:
        return 0.0
    push = np.maximum(*(np.abs(linear.mesh.separating(speed)) for speed in (np.zeros_like(top), top)))
    return np.abs(Shift(linear.rise_spread, linear.tilt_spread).at(x)) * push[..., None, :]


def _loose(bearing: Any, x: np.ndarray) -> np.ndarray:
    """Return the shift by half the clearance, whichever way the load points."""
    across = Shift(bearing.rise_x, bearing.tilt_x).at(x)
    along = Shift(bearing.rise_y, bearing.tilt_y).at(x)
    size = np.sqrt(across**2 + along**2)
    return size * over_angle(over_angle(sum(bearing.clearance) / 4))


def _tilting(pair: YokePair) -> np.ndarray:
    """Return the most that cranks out of step can tilt the yokes, (options..., angles)."""
    carried = pair.timing.carried
    gears = carried.engine.cranks.gears
    ahead = np.abs(over_angle(carried.engine.fits.timing_error))
    if gears is not None:
        ahead = ahead + over_angle(gears.backlash) / (2 * over_angle(gears.pitch_radius))
    return sum(np.minimum(ahead * np.abs(tilt), over_angle(most)) for _, tilt, most in pair.timing.tilts)


def _at(pair: YokePair, kept: np.ndarray, places: np.ndarray) -> YokePair:
    """Return the pair at some angles, (options, kept angles), and places, (places,) of booleans."""
    count = pair.nominal.shape[-1]

    def pick(values: np.ndarray) -> np.ndarray:
        if values.ndim == 0 or values.shape[-1] != count:
            return values
        if values.ndim == 1:
            return values[kept]
        at = kept[:, None, :] if values.ndim == 3 else kept
        return np.take_along_axis(np.broadcast_to(values, (len(kept), *values.shape[1:])), at, axis=-1)

    carried = pair.timing.carried
    mesh = carried.loads[0].mesh
    # What nothing asks for at a speed is left out, so that it is not cut to the kept angles for nothing.
    loads: Any = tuple(replace(each, pins={}, turning=[], mesh=mesh) for each in carried.loads)
    nothing: Any = ()
    motion = Motion(carried.motion.theta, {})
    bare = replace(
        carried, engine=_play_of_gears(carried.engine), motion=motion, forces={}, loads=loads, states=nothing
    )
    pair = replace(pair, timing=replace(pair.timing, carried=bare), carried=bare)
    return _changed(_placed(pair, np.flatnonzero(places)), pick)


def _play_of_gears(engine: Engine) -> Any:
    """Return what the timing asks of an engine, and nothing else."""
    gears = engine.cranks.gears
    play = None if gears is None else SimpleNamespace(backlash=gears.backlash, pitch_radius=gears.pitch_radius)
    fits = SimpleNamespace(timing_error=engine.fits.timing_error)
    return SimpleNamespace(cranks=SimpleNamespace(gears=play), fits=fits)


def _changed(thing: Any, change: Callable[[np.ndarray], np.ndarray]) -> Any:
    """Return a result with every array in it changed; what is met twice is changed once."""
    done: dict[int, Any] = {}

    def walk(part: Any) -> Any:
        if isinstance(part, np.ndarray):
            if id(part) not in done:
                done[id(part)] = (change(part), part)
            return done[id(part)][0]
        if isinstance(part, list | tuple):
            return type(part)(walk(each) for each in part)
        if isinstance(part, dict):
            return {name: walk(each) for name, each in part.items()}
        if isinstance(part, SimpleNamespace):
            return SimpleNamespace(**{name: walk(each) for name, each in vars(part).items()})
        if not is_dataclass(part) or isinstance(part, type):
            return part
        if id(part) not in done:
            done[id(part)] = (
                replace(part, **{each.name: walk(getattr(part, each.name)) for each in fields(part)}),
                part,
            )
        return done[id(part)][0]

    return walk(thing)
