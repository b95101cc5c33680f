"""The gap between two yokes over the cycle, and every item that eats into it.

What decides is how the two yokes move against each other at each angle, so every item is a relative
shift: a rise of the upper yoke against the lower one, and a tilt. What is linear in the loads is
projected onto that shift once; only bearing play and backlash, which follow a load's direction, are
worked out speed by speed.
"""

from dataclasses import dataclass

import numpy as np

from balance.outlines import facing, ranges_meet
from balance.quantities import Number
from shafts.carried import Carried, Case
from shafts.shift import LinearShift, Play, Shift, Timing, linear_shift, play_of, timing_of

@dataclass(frozen=True, eq=False)
class YokePair:
    """Two yokes that face each other.

    upper, lower : their names.   x : places at which they can touch first, m, (options..., places).
    nominal : gap there with rigid parts and no play, m, (options..., places, angles).
    linear, play, timing : the items of the budget, as shifts of the upper yoke against the lower one.
    """

    carried: Carried
    upper: str
    lower: str
    x: np.ndarray
    nominal: np.ndarray
    linear: dict[str, LinearShift]
    play: Play
    timing: Timing

    def items(self, speed: Number, case: Case = "expected") -> dict[str, Shift]:
        """Return each item of the gap budget at a speed (see Growth.at)."""
        shifts = {name: each.at(speed) for name, each in self.linear.items()}
        shifts["bearing clearance"] = self.play.at(speed, case)
        shifts["timing and backlash"] = self.timing.at(speed, case)
        return shifts

    def gap(self, speed: Number, case: Case = "expected") -> np.ndarray:
        """Return the gap over the cycle at a speed, m, (options..., angles); negative where they overlap.

        In the worst case the play in the gears may stand on either side, whichever is the tighter.
        """
        return np.min(self.rooms(self.items(speed, case), case), axis=-2)

    def rooms(self, items: dict[str, Shift], case: Case = "expected") -> np.ndarray:
        """Return the gap at each place x after the items, m, (options..., places, angles)."""
        timing = items["timing and backlash"].at(self.x)
        others = [shift for name, shift in items.items() if name != "timing and backlash"]
        room = self.nominal + sum(others, Shift(0.0, 0.0)).at(self.x)
        return room + timing if case == "expected" else room - np.abs(timing)


def yoke_pairs(carried: Carried) -> list[YokePair]:
    """Return every pair of yokes with outlines whose ranges along the shafts meet, the higher one first."""
    engine, motion = carried.engine, carried.motion
    names = [name for name, yoke in engine.yokes.items() if yoke.outline is not None]
    names.sort(key=lambda name: -float(np.mean(motion.yokes[name].height)))
    pairs = [(upper, lower) for place, upper in enumerate(names) for lower in names[place + 1 :]]
    return [found for pair in pairs if (found := _pair(carried, *pair)) is not None]


def _pair(carried: Carried, upper: str, lower: str) -> YokePair | None:
    above, below = (carried.engine.yokes[name].outline for name in (upper, lower))
    assert above is not None and below is not None
    meet = ranges_meet(above.z, below.z, carried.engine.fits.axial_play)
    x, room = facing(above, below)
    room = np.where(np.asarray(meet)[..., None], room, np.inf)
    if not np.any(np.isfinite(room)):
        return None
    height = carried.motion.yokes[upper].height - carried.motion.yokes[lower].height
    return YokePair(
        carried,
        upper,
        lower,
        x,
        height[..., None, :] + room[..., None],
        _linear_items(carried, upper, lower),
        play_of(carried, upper) - play_of(carried, lower),
        timing_of(carried, upper) - timing_of(carried, lower),
    )


def _linear_items(carried: Carried, upper: str, lower: str) -> dict[str, LinearShift]:
    def relative(kind: str) -> LinearShift:
        each = (
            linear_shift(carried, name, *(getattr(state, kind)[name] for state in carried.states))
            for name in (upper, lower)
        )
        return next(each) - next(each)

    return {"shaft bending": relative("pins"), "bearing and seat give": relative("seats")}
