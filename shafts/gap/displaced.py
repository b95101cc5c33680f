"""How far every part is moved by all that gives way or has play: pins, rods, webs and yokes."""

from dataclasses import dataclass
from functools import cached_property

import numpy as np

from balance.obstacles import Obstacle
from balance.quantities import Number
from balance.turning import HANDS
from shafts.bearings.play import clearance_range, taken_up
from shafts.carried import Case, LoadedShafts
from shafts.deflection import ShaftResponse
from shafts.gap.linear_items import all_linear
from shafts.gap.pressed import bearing_play, pressed_shift, rod_play
from shafts.gap.shift import STILL, LinearShift, Shift
from shafts.gap.timing import timing_of
from shafts.shaft import Shaft

Vector = tuple[np.ndarray, np.ndarray]
"""x and y, each (angles,)."""


@dataclass(frozen=True, eq=False)
class Displaced:
    """All parts of a machine as they are moved by all that gives way or has play; for a single design."""

    carried: LoadedShafts

    @cached_property
    def linear(self) -> dict[str, LinearShift]:
        """Of each yoke, how it shifts in proportion to the loads."""
        names = tuple(self.carried.engine.yokes)
        return dict(zip(names, all_linear(self.carried, names), strict=True))

    def of(self, part: Obstacle, near: Vector, speed: Number, case: Case) -> Vector:
        """Return how far a point of a part is moved at a speed, x and y in m, (angles,)."""
        kind, name = part.follows
        if kind == "yoke":
            shift = self.yoke(name, speed, case)
            return np.zeros_like(near[0]), shift.rise + near[0] * shift.tilt
        if kind == "pin":
            return self.pin(name, part.hand, speed, case)
        if kind == "rod":
            return self._rod(part, near, speed, case)
        if kind == "web":
            return self._web(part, near, speed, case)
        return np.zeros_like(near[0]), np.zeros_like(near[0])

    def pin(self, name: str, hand: str, speed: Number, case: Case) -> Vector:
        """Return how far a yoke's crankpin is moved by its shaft, seats and bearing play, x and y in m, (angles,)."""
        place = list(HANDS).index(hand)
        shaft, state = self.carried.engine.shafts.pair[place], self.carried.states[place]
        bent, seated = state.pins[name].at(speed), state.seats[name].at(speed)
        played = play_at(shaft, state, name, speed, case)
        return bent[0] + seated[0] + played[0], bent[1] + seated[1] + played[1]

    def _web(self, part: Obstacle, near: Vector, speed: Number, case: Case) -> Vector:
        """Between its ends a web moves as the crankpins there do, in proportion; on the shaft, as the next pin."""
        import shapely

        on = {yoke.throw: name for name, yoke in self.carried.engine.yokes.items()}
        pins = [self.pin(on[throw], part.hand, speed, case) for throw in part.joins if throw in on]
        if not pins:
            return np.zeros_like(near[0]), np.zeros_like(near[0])
        inner, outer = np.moveaxis(shapely.get_coordinates(part.shapes).reshape(-1, 2, 2), 0, -1)
        arm = outer - inner
        share = np.clip(
            ((near[0] - inner[0]) * arm[0] + (near[1] - inner[1]) * arm[1]) / np.sum(arm**2, axis=0), 0.0, 1.0
        )
        (x, y), (end_x, end_y) = pins[0], pins[-1]
        return (1 - share) * x + share * end_x, (1 - share) * y + share * end_y

    def _rod(self, part: Obstacle, near: Vector, speed: Number, case: Case) -> Vector:
        """Between its ends a rod moves as they do, in proportion."""
        yoke, moved = self.carried.engine.yokes[part.follows[1]], self.carried.motion.yokes[part.follows[1]]
        assert yoke.rod is not None
        assert moved.rod is not None
        sign = HANDS[part.hand]
        pin = self.pin(part.follows[1], part.hand, speed, case)
        shift = self.yoke(part.follows[1], speed, case)
        along = (near[0] - sign * moved.pin.x) * sign * moved.rod.x + (near[1] - moved.pin.along) * moved.rod.y
        share = np.clip(along / float(yoke.rod.length), 0.0, 1.0)
        pivot_rise = shift.rise + sign * float(yoke.half_span) * shift.tilt
        return (1 - share) * pin[0], (1 - share) * pin[1] + share * pivot_rise

    def yoke(self, name: str, speed: Number, case: Case) -> Shift:
        """Return how one yoke is shifted by everything that gives way or has play, at a speed."""
        linear = self.linear[name].at(speed)
        played = pressed_shift(bearing_play(self.carried, name), speed, case)
        pinned = sum((rod.at(speed) for rod in rod_play(self.carried, name)), STILL)
        return linear + played + pinned + timing_of(self.carried, name).at(speed, case)


def play_at(shaft: Shaft, state: ShaftResponse, name: str, speed: Number, case: Case) -> Vector:
    """Return how far bearing play, taken up along each bearing's load, moves a throw plane, x and y in m."""
    x, y = np.zeros(1), np.zeros(1)
    for place, bearing in enumerate(shaft.bearings):
        least_play, most = clearance_range(bearing)
        moved = taken_up(state.bearings[place].at(speed), most if case == "worst" else (least_play + most) / 2)
        share = state.shares[name][..., place]
        x, y = x + share * moved[0], y + share * moved[1]
    return x, y
