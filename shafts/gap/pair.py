"""The gap between two yokes over the cycle, and every item that eats into it.

What decides is how the two yokes move against each other at each angle, so every item is a relative
shift of the upper yoke against the lower one. What is linear in the loads is projected onto that shift
once and serves every speed; only play and backlash, which follow a load's direction, are worked out
speed by speed.
"""

from collections.abc import Callable
from dataclasses import dataclass
from functools import cached_property, partial

import numpy as np

from balance.extremes import Spot, spot_of_least
from balance.motion import Motion
from balance.outlines import facing, ranges_meet
from balance.quantities import Number
from balance.turning import HANDS
from shafts.carried import Carried, Case
from shafts.gap.crank_give import GIVES, given
from shafts.gap.pressed import BearingPlay, RodPlay, bearing_play, pressed_shift, rod_play
from shafts.gap.shift import STILL, LinearShift, Shift, lean_of, turn_of
from shafts.gap.timing import Timing, timing_of
from shafts.gap.tolerances import Deviations, against, deviations, worst_sum
from shafts.gap.warming import thicker_faces, warm_shift
from shafts.gap.yoke_give import Bow, rod_stretch, yoke_bow
from shafts.whirl.rotor import rotors
from shafts.whirl.vibrating import Vibrating, vibrating


@dataclass(frozen=True, eq=False)
class YokePair:
    """Two yokes that face each other; every item shifts the upper one against the lower one.

    upper, lower : their names.   x : places at which they can touch first, m, (options..., places).
    nominal : gap there with rigid parts and no play, m, (options..., places, angles).
    linear : all items in proportion to the loads together.   bows : of the yokes' arms.
    bearings, rods : play taken up along loads.   timing : cranks out of step.
    warm : growth by heat, m, (options..., places, angles).
    vibration : what vibration of the shafts adds at a speed; None where they bend as if the loads changed slowly.
    """

    carried: Carried
    upper: str
    lower: str
    x: np.ndarray
    nominal: np.ndarray
    linear: LinearShift
    bows: list[Bow]
    bearings: list[BearingPlay]
    rods: list[RodPlay]
    timing: Timing
    warm: np.ndarray
    vibration: Callable[[Number], Shift] | None = None

    def items(self, speed: Number, case: Case = "expected") -> dict[str, np.ndarray]:
        """Return what each item of the budget adds to the gap at a speed, m, (options..., places, angles).

        In the worst case the gears' play may stand on either side, whichever is the tighter; so may every deviation.
        """
        shifts: dict[str, np.ndarray | float] = {
            item: (of(self.carried, self.upper) - of(self.carried, self.lower)).at(speed).at(self.x)
            for item, of in LINEAR.items()
        }
        if self.vibration is not None:
            shifts["shaft vibration"] = self.vibration(speed).at(self.x)
        shifts["yoke arm bending"] = self._bowed(speed)
        shifts["bearing clearance"] = pressed_shift(self.bearings, speed, case).at(self.x)
        shifts["rod pin play"] = self._pinned(speed).at(self.x)
        timing = self.timing.at(speed, case).at(self.x)
        shifts["timing and backlash"] = timing if case == "expected" else -np.abs(timing)
        shifts["growth by heat"] = self.warm
        shifts["making tolerances"] = self._made(case)
        return {
            name: np.broadcast_to(each, np.broadcast_shapes(np.shape(each), self.nominal.shape))
            for name, each in shifts.items()
        }

    def gap(self, speed: Number, case: Case = "expected") -> np.ndarray:
        """Return the gap over the cycle at a speed, m, (options..., angles); negative where they overlap."""
        return np.min(self.rooms(speed, case), axis=-2)

    def rooms(self, speed: Number, case: Case = "expected") -> np.ndarray:
        """Return the gap at each place x after all items, m, (options..., places, angles)."""
        moved = self.linear.at(speed) + pressed_shift(self.bearings, speed, case) + self._pinned(speed)
        if self.vibration is not None:
            moved = moved + self.vibration(speed)
        timing = self.timing.at(speed, case)
        if case == "expected":
            return self.nominal + self.warm + (moved + timing).at(self.x) + self._bowed(speed)
        steady = self.nominal + self.warm + self._made(case) + self._bowed(speed)
        return steady + moved.at(self.x) - np.abs(timing.at(self.x))

    @cached_property
    def deviations(self) -> Deviations:
        """What every making tolerance does to the gap."""
        return against(*(deviations(self.carried, name) for name in (self.upper, self.lower)))

    @cached_property
    def _worst_made(self) -> np.ndarray | float:
        return worst_sum(self.deviations, self.x)

    def _made(self, case: Case) -> np.ndarray | float:
        return -self._worst_made if case == "worst" else 0.0

    def _bowed(self, speed: Number) -> np.ndarray | float:
        return sum((bow.at(speed) for bow in self.bows), 0.0)

    def _pinned(self, speed: Number) -> Shift:
        return sum((rod.at(speed) for rod in self.rods), STILL)


def tightest(pair: YokePair, speed: Number) -> tuple[int, Spot]:
    """Return the place, as an index, and the angle at which one design's expected gap is least at a speed."""
    rooms = pair.rooms(speed)
    place = int(np.unravel_index(np.argmin(rooms), rooms.shape)[0])
    return place, spot_of_least(rooms[place])


def budget(pair: YokePair, speed: Number, case: Case = "expected") -> tuple[float, dict[str, float]]:
    """Return the nominal gap and what each item adds to it, m, where one design's expected gap is least at a speed."""
    place, spot = tightest(pair, speed)
    return spot.of(pair.nominal[place]), {name: spot.of(each[place]) for name, each in pair.items(speed, case).items()}


def yoke_pairs(carried: Carried, vibrates: bool = False) -> list[YokePair]:
    """Return every pair of yokes with outlines whose ranges along the shafts meet, the higher one first.

    vibrates : whether vibration of the shafts is to be counted; for a single design.
    """
    engine, motion = carried.engine, carried.motion
    names = [name for name, yoke in engine.yokes.items() if yoke.outline is not None]
    names.sort(key=lambda name: -float(np.mean(motion.yokes[name].height)))
    pairs = [(one, other) for place, one in enumerate(names) for other in names[place + 1 :]]
    # Among many options one yoke may be the higher one in some and the lower one in others: then both ways are pairs.
    both_ways = [pair for one, other in pairs for pair in ((one, other), (other, one))]
    return [found for pair in both_ways if (found := _pair(carried, *pair, vibrates)) is not None]


def _is_above(motion: Motion, upper: str, lower: str) -> np.ndarray:
    """Return whether a yoke is the higher one, on the mean, (options...); of two at one height, the first is."""
    height, other = (np.mean(motion.yokes[name].height, axis=-1) for name in (upper, lower))
    names = list(motion.yokes)
    return (height >= other) if names.index(upper) < names.index(lower) else (height > other)


def _pair(carried: Carried, upper: str, lower: str, vibrates: bool) -> YokePair | None:
    above, below = (carried.engine.yokes[name].outline for name in (upper, lower))
    assert above is not None and below is not None
    meet = ranges_meet(above.z, below.z, carried.engine.fits.axial_play) & _is_above(carried.motion, upper, lower)
    x, room = facing(above, below)
    room = np.where(np.asarray(meet)[..., None], room, np.inf)
    if not np.any(np.isfinite(room)):
        return None
    height = carried.motion.yokes[upper].height - carried.motion.yokes[lower].height
    warm = warm_shift(carried, upper) - warm_shift(carried, lower)
    return YokePair(
        carried,
        upper,
        lower,
        x,
        nominal=height[..., None, :] + room[..., None],
        linear=all_linear(carried, upper) - all_linear(carried, lower),
        bows=_bows(carried, upper, lower, x),
        bearings=[
            one - other for one, other in zip(bearing_play(carried, upper), bearing_play(carried, lower), strict=True)
        ],
        rods=rod_play(carried, upper) + [each.seen_from_below() for each in rod_play(carried, lower)],
        timing=timing_of(carried, upper) - timing_of(carried, lower),
        warm=warm.at(x) + thicker_faces(carried, upper, lower, x)[..., None],
        vibration=_vibration(carried, upper, lower) if vibrates else None,
    )


def _vibration(carried: Carried, upper: str, lower: str) -> Callable[[Number], Shift]:
    bodies = rotors(carried)

    def at(speed: Number) -> Shift:
        if np.ndim(speed):
            each = [at(one) for one in np.asarray(speed)]
            return Shift(np.stack([shift.rise for shift in each]), np.stack([shift.tilt for shift in each]))
        found = vibrating(carried, float(speed), bodies)
        return _vibrated(carried, upper, found) - _vibrated(carried, lower, found)

    return at


def _vibrated(carried: Carried, name: str, found: Vibrating) -> Shift:
    yoke, moved, theta = carried.engine.yokes[name], carried.motion.yokes[name], carried.motion.theta
    extra = {hand: found.extra(hand, name, theta) for hand in HANDS}
    rises = [y + HANDS[hand] * lean_of(moved) * x for hand, (x, y) in extra.items()]
    return Shift((rises[0] + rises[1]) / 2, (rises[0] - rises[1]) / 2 * turn_of(yoke, moved))


LINEAR: dict[str, Callable[[Carried, str], LinearShift]] = {
    **{kind: partial(given, kinds=(kind,)) for kind in GIVES},
    "rod stretch": rod_stretch,
}
"""The items in proportion to the loads, each as a shift of one yoke."""


def all_linear(carried: Carried, name: str) -> LinearShift:
    """Return the shift of one yoke by all of LINEAR together."""
    return given(carried, name, GIVES) + rod_stretch(carried, name)


def _bows(carried: Carried, upper: str, lower: str, x: np.ndarray) -> list[Bow]:
    above, below = yoke_bow(carried, upper, x), yoke_bow(carried, lower, x)
    return [bow for bow in (above, None if below is None else -below) if bow is not None]
