"""The gap between two yokes over the cycle, and every item that eats into it.

What decides is how the two yokes move against each other at each angle, so every item is a relative
shift of the upper yoke against the lower one. What is linear in the loads is projected onto that shift
once and serves every speed; only play and backlash, which follow a load's direction, are worked out
speed by speed.
"""

from collections.abc import Callable
from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np

from balance.cycle.extremes import Spot, least, spot_of_least
from balance.cycle.load import Load
from balance.quantities import Number, over_angle
from balance.turning import HANDS
from shafts.carried import Case, LoadedShafts
from shafts.gap.course import GapCurve, at_rows, in_rows, rows_of
from shafts.gap.facing import Facing, facing_yokes
from shafts.gap.give import Give
from shafts.gap.linear_items import all_linear, linear_items
from shafts.gap.pressed import BearingPlay, RodPlay, bearing_play, pressed_shift, rod_play
from shafts.gap.shift import STILL, LinearShift, Shift, lean_of, turn_of
from shafts.gap.sides import with_leaps
from shafts.gap.timing import Timing, timing_of
from shafts.gap.tolerances import Deviations, against, deviations, worst_sum
from shafts.gap.warming import thicker_faces, warm_shift
from shafts.gap.yoke_give import Bow, yoke_bow
from shafts.whirl.vibrating import ShaftOrders, Vibrating, vibrating


@dataclass(frozen=True, eq=False)
class YokePair:
    """Two yokes that face each other; every item shifts the upper one against the lower one.

    upper, lower : their names.   x : places at which they can touch first, m, (options..., places).
    nominal : gap there with rigid parts and no play, m, (options..., places, angles).
    linear : all that is in proportion to the loads, as one.   bows : of the yokes' arms.
    bearings, rods : play taken up along loads.   timing : cranks out of step.
    warm : growth by heat, m, (options..., places, angles).
    vibration : what vibration of the shafts adds at a speed; None where they bend as if the loads changed slowly.
    closely : whether it is looked at between the angles too, where play changes sides (see `sides`); for one design.
    """

    carried: LoadedShafts
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
    closely: bool = False

    def items(self, speed: Number, case: Case = "expected") -> dict[str, np.ndarray]:
        """Return what each item of the budget adds to the gap at a speed, m, (options..., places, angles).

        In the worst case the gears' play may stand on either side, whichever is the tighter; so may every deviation.
        """
        shifts: dict[str, np.ndarray | float] = {
            item: shift.at(speed).at(self.x) for item, shift in self.linear_items.items()
        }
        if self.vibration is not None:
            shifts["shaft vibration"] = self.vibration(speed).at(self.x)
        shifts["yoke arm bending"] = self._bowed(speed)
        shifts["bearing clearance"] = pressed_shift(self.bearings, speed, case).at(self.x)
        shifts["rod pin play"] = self._pinned(speed).at(self.x)
        timing = self.timing.at(speed, case).at(self.x)
        shifts["timing and backlash"] = timing if case == "expected" else -np.abs(timing)
        shifts["growth by heat"] = self.warm
        shifts["making tolerances"] = self.made(case)
        if self.closely:
            plain, rooms = self._looked(speed, case)
            shifts["play changing sides"] = rooms - plain
        return {
            name: np.broadcast_to(each, np.broadcast_shapes(np.shape(each), self.nominal.shape))
            for name, each in shifts.items()
        }

    @cached_property
    def linear_items(self) -> dict[str, LinearShift]:
        """The items in proportion to the loads, apart."""
        upper, lower = (linear_items(self.carried, name) for name in (self.upper, self.lower))
        return {item: shift - lower[item] for item, shift in upper.items()}

    def gap(self, speed: Number, case: Case = "expected") -> np.ndarray:
        """Return the gap over the cycle at a speed, m, (options..., angles); negative where they overlap."""
        return np.min(self.rooms(speed, case), axis=-2)

    def rooms(self, speed: Number, case: Case = "expected") -> np.ndarray:
        """Return the gap at each place x after all items, m, (options..., places, angles)."""
        return self._looked(speed, case)[1]

    def least(self, speed: Number, case: Case = "expected") -> tuple[np.ndarray, np.ndarray]:
        """Return the least gap over the cycle at a speed, m, and its crank angle, rad, (options...)."""
        plain, rooms = self._looked(speed, case)
        values = np.min(rooms, axis=-2)
        value, angle = least(values)
        if rooms is plain:
            return value, angle
        place = np.argmin(values, axis=-1)[..., None]
        lowest, before = (np.take_along_axis(each, place, axis=-1)[..., 0] for each in (values, np.min(plain, axis=-2)))
        leap = lowest < before  # to which no parabola through its neighbours leads
        at = place[..., 0] * (2 * np.pi / values.shape[-1])
        return np.where(leap, lowest, value), np.where(leap, at, angle)

    def tightest(self, speed: Number) -> tuple[int, Spot]:
        """Return the place, as an index, and the angle at which one design's expected gap is least at a speed."""
        plain, rooms = self._looked(speed, "expected")
        place, angle = (int(each) for each in np.unravel_index(np.argmin(rooms), rooms.shape))
        leap = rooms[place, angle] < plain[place, angle]
        return place, Spot(angle, 0.0) if leap else spot_of_least(rooms[place])

    def _looked(self, speed: Number, case: Case) -> tuple[np.ndarray, np.ndarray]:
        """Return the rooms at the angles, and those with leaps beside them: the very same if there are none."""
        course = self._course if case == "expected" else self._worst_course
        plain = course.rooms(speed)
        if self.vibration is not None:
            plain = plain + self.vibration(speed).at(self.x)
        return plain, with_leaps(course, speed, plain) if self.closely else plain

    @cached_property
    def _course(self) -> GapCurve:
        return course_of(self, "expected")

    @cached_property
    def _worst_course(self) -> GapCurve:
        return course_of(self, "worst")

    @cached_property
    def deviations(self) -> Deviations:
        """What every making tolerance does to the gap."""
        return against(*(deviations(self.carried, name) for name in (self.upper, self.lower)))

    @cached_property
    def _worst_made(self) -> np.ndarray | float:
        return worst_sum(self.deviations, self.x)

    def made(self, case: Case) -> np.ndarray | float:
        """Return what the making tolerances take, m, (options..., places, angles)."""
        return -self._worst_made if case == "worst" else 0.0

    def _bowed(self, speed: Number) -> np.ndarray | float:
        return sum((bow.at(speed) for bow in self.bows), 0.0)

    def _pinned(self, speed: Number) -> Shift:
        return sum((rod.at(speed) for rod in self.rods), STILL)


def course_of(pair: YokePair, case: Case) -> GapCurve:
    """Return the gap of a pair as arrays that wait for a speed; vibration is left out."""
    x, linear = pair.x, pair.linear
    mesh = linear.mesh
    plain = Load(gas=pair.nominal + pair.warm + pair.made(case))
    for each in (linear.at_places(x), *(bow.at_places() for bow in pair.bows)):
        plain = plain + each
    return GapCurve(
        plain,
        tooth=in_rows([] if mesh is None else [mesh.tangential]),
        apart=Shift(linear.rise_spread, linear.tilt_spread).at(x) * (0.0 if mesh is None else at_rows(mesh.spread)),
        leads=pair.timing.at_places(x, case),
        x=in_rows([each.load.pull.x for each in pair.bearings]),
        y=in_rows([each.load.pull.y for each in pair.bearings]),
        x_apart=rows_of([over_angle(each.load.per_push) for each in pair.bearings]),
        across=rows_of([each.across.at(x) * at_rows(each.off_centre(case)) for each in pair.bearings]),
        along=rows_of([each.along.at(x) * at_rows(each.off_centre(case)) for each in pair.bearings]),
        thrust=in_rows([each.thrust for each in pair.rods]),
        slack=rows_of([each.pulled.at(x) for each in pair.rods] or [np.zeros((*x.shape, 1))]),
    )


def budget(pair: YokePair, speed: Number, case: Case = "expected") -> tuple[float, dict[str, float]]:
    """Return the nominal gap and what each item adds to it, m, where one design's expected gap is least at a speed."""
    place, spot = pair.tightest(speed)
    return spot.of(pair.nominal[place]), {name: spot.of(each[place]) for name, each in pair.items(speed, case).items()}


def yoke_pairs(carried: LoadedShafts, swings: list[ShaftOrders] | None = None, closely: bool = False) -> list[YokePair]:
    """Return every pair of yokes with outlines whose ranges along the shafts meet, the higher one first.

    swings : of both shafts, where their vibration is to be counted; for a single design.   closely : see YokePair.
    """
    pairs = [pair_of(carried, each, swings) for each in facing_yokes(carried.engine, carried.motion)]
    return [replace(pair, closely=True) for pair in pairs] if closely else pairs


def pair_of(
    carried: LoadedShafts, facing: Facing, swings: list[ShaftOrders] | None = None, gives: list[Give] | None = None
) -> YokePair:
    """Return two yokes that face each other with everything that shifts them, at the angles of `carried`.

    gives : of both yokes' throws, right and left, where they are known already.
    """
    upper, lower, x = facing.upper, facing.lower, facing.x
    warm = warm_shift(carried, upper) - warm_shift(carried, lower)
    above, below = all_linear(carried, (upper, lower), gives)
    return YokePair(
        carried,
        upper,
        lower,
        x,
        nominal=facing.nominal,
        linear=above - below,
        bows=_bows(carried, upper, lower, x),
        bearings=[
            one - other for one, other in zip(bearing_play(carried, upper), bearing_play(carried, lower), strict=True)
        ],
        rods=rod_play(carried, upper) + [each.seen_from_below() for each in rod_play(carried, lower)],
        timing=timing_of(carried, upper) - timing_of(carried, lower),
        warm=warm.at(x) + thicker_faces(carried, upper, lower, x)[..., None],
        vibration=None if swings is None else _vibration(carried, swings, upper, lower),
    )


def _vibration(carried: LoadedShafts, swings: list[ShaftOrders], upper: str, lower: str) -> Callable[[Number], Shift]:
    def at(speed: Number) -> Shift:
        # Asked again and again: several speeds share what is worked out once.
        found = vibrating(swings, np.atleast_1d(speed))
        shift = _vibrated(carried, upper, found) - _vibrated(carried, lower, found)
        return shift if np.ndim(speed) else Shift(np.asarray(shift.rise)[0], np.asarray(shift.tilt)[0])

    return at


def _vibrated(carried: LoadedShafts, name: str, found: Vibrating) -> Shift:
    yoke, moved, theta = carried.engine.yokes[name], carried.motion.yokes[name], carried.motion.theta
    extra = {hand: found.extra(hand, name, theta) for hand in HANDS}
    rises = [y + HANDS[hand] * lean_of(moved) * x for hand, (x, y) in extra.items()]
    return Shift((rises[0] + rises[1]) / 2, (rises[0] - rises[1]) / 2 * turn_of(yoke, moved))


def _bows(carried: LoadedShafts, upper: str, lower: str, x: np.ndarray) -> list[Bow]:
    above, below = yoke_bow(carried, upper, x), yoke_bow(carried, lower, x)
    return [bow for bow in (above, None if below is None else -below) if bow is not None]
