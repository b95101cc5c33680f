"""Play that is taken up along a load: in the main bearings, and in the pins of the rods."""

from dataclasses import dataclass
from typing import Literal

import numpy as np

from balance.cycle.load import Load
from balance.quantities import Number, Scalar, over_angle
from balance.turning import HANDS
from shafts.bearings.play import clearance_range, taken_up
from shafts.carried import Case, LoadedShafts
from shafts.gap.shift import STILL, Shift, lean_of, turn_of
from shafts.gap.yoke_give import rod_thrust
from shafts.superposition import Response


@dataclass(frozen=True, eq=False)
class BearingPlay:
    """How clearance in one bearing shifts a yoke.

    load : on the bearing.   clearance : least and most, m.
    rise_x, rise_y, tilt_x, tilt_y : shift per metre that the shaft moves there along x or y, (options..., angles).
    """

    load: Response
    clearance: tuple[Number, Number]
    rise_x: Scalar
    rise_y: Scalar
    tilt_x: Scalar
    tilt_y: Scalar

    def at(self, speed: Number, clearance: Number) -> Shift:
        """Return the shift with the shaft pressed along its load into a bearing of this clearance, m."""
        x, y = taken_up(self.load.at(speed), clearance)
        return Shift(self.rise_x * x + self.rise_y * y, self.tilt_x * x + self.tilt_y * y)

    def off_centre(self, case: Case) -> Number:
        """Return how far the shaft stands off the bearing's centre, m, (options...)."""
        least, most = self.clearance
        return most / 2 if case == "worst" else (least + most) / 4

    @property
    def across(self) -> Shift:
        """The shift per metre that the shaft moves there along x."""
        return Shift(self.rise_x, self.tilt_x)

    @property
    def along(self) -> Shift:
        """The shift per metre that it moves along y."""
        return Shift(self.rise_y, self.tilt_y)

    def __sub__(self, other: "BearingPlay") -> "BearingPlay":
        return BearingPlay(
            self.load,
            self.clearance,
            self.rise_x - other.rise_x,
            self.rise_y - other.rise_y,
            self.tilt_x - other.tilt_x,
            self.tilt_y - other.tilt_y,
        )


def bearing_play(carried: LoadedShafts, name: str) -> list[BearingPlay]:
    """Return how clearance in every bearing of both shafts shifts a yoke."""
    yoke, moved = carried.engine.yokes[name], carried.motion.yokes[name]
    lean, turn = lean_of(moved), turn_of(yoke, moved)
    found = []
    for hand, shaft, state in zip(HANDS, carried.engine.shafts.pair, carried.states, strict=True):
        for place, bearing in enumerate(shaft.bearings):
            share = over_angle(state.shares[name][..., place]) / 2
            across, tilting = share * HANDS[hand] * lean, turn * HANDS[hand]
            load, clearance = state.bearings[place], clearance_range(bearing)
            found.append(BearingPlay(load, clearance, across, share, across * tilting, share * tilting))
    return found


def pressed_shift(bearings: list[BearingPlay], speed: Number, case: Case) -> Shift:
    """Return the shift by all bearings at the middle of their clearance, or in the worst case at its largest."""

    def clearance(bearing: BearingPlay) -> Number:
        least, most = bearing.clearance
        return most if case == "worst" else (least + most) / 2

    return sum((bearing.at(speed, clearance(bearing)) for bearing in bearings), STILL)


@dataclass(frozen=True, eq=False)
class RodPlay:
    """How the play of one of a rod's two pins shifts a yoke.

    thrust : along the rod at that pin, N, positive where it is pressed.   play : half of the pin's, m: to either side.
    rise, tilt : shift per metre by which pin and pivot come nearer, (options..., angles).
    """

    thrust: Load
    play: Number
    rise: Scalar
    tilt: Scalar

    def at(self, speed: Number) -> Shift:
        """Return the shift with the pin pressed against one side of its hole."""
        nearer = -np.sign(self.thrust.at(speed)) * over_angle(self.play)
        return Shift(self.rise * nearer, self.tilt * nearer)

    @property
    def pulled(self) -> Shift:
        """The shift less the play that a rod which is pulled takes up."""
        play = over_angle(self.play)
        return Shift(self.rise * play, self.tilt * play)

    def seen_from_below(self) -> "RodPlay":
        """Return the same play as it shifts another yoke against this one."""
        return RodPlay(self.thrust, self.play, -self.rise, -self.tilt)


def rod_play(carried: LoadedShafts, name: str) -> list[RodPlay]:
    """Return how each pin of a yoke's rods (or in its slot) shifts it; half the play of each pin on each side."""
    yoke, moved = carried.engine.yokes[name], carried.motion.yokes[name]
    turn = turn_of(yoke, moved)
    joint = yoke.rod if yoke.rod is not None else yoke.slot
    assert joint is not None
    play = joint.play / 2
    if not np.any(np.asarray(play)):
        return []
    along = 1.0 if moved.rod is None else moved.rod.y
    ends: tuple[Literal["pivot", "pin"], ...] = ("pivot",) if moved.rod is None else ("pivot", "pin")
    return [
        RodPlay(rod_thrust(carried, name, hand, end), play, 0.5 / along, 0.5 * HANDS[hand] * turn / along)
        for hand in HANDS
        for end in ends
    ]
