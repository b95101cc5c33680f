"""Rod pin play: each pin of a rod is pressed to one side of its hole, as the rod is pressed or pulled there.

Half the play of each pin to each side. In the worst case each is on whichever side closes the gap.
"""

from typing import Literal

import numpy as np

from balance.cycle.load import Load, combined
from balance.quantities import over_angle
from balance.turning import HANDS
from shafts.gap.curve import GapCurve, RodRows, in_rows, rows_of
from shafts.gap.facing import Facing
from shafts.gap.shift import at_places
from shafts.loaded_shafts import Case, LoadedShafts

NAME = "rod pin play"
End = Literal["pivot", "pin"]


def line(loaded: LoadedShafts, facing: Facing, case: Case) -> GapCurve:
    """Return what the play of rods' pins adds to the gap."""
    rows = [row for name, sign in facing.yokes
            for row in pin_rows(loaded, name, facing.x, sign)]  # fmt: skip
    if not rows:
        return GapCurve()
    slack = rows_of([shift for _, shift in rows])
    if case == "worst":
        return GapCurve(Load(steady=-np.sum(np.abs(slack), axis=-2)))
    return GapCurve(rods=RodRows(in_rows([thrust for thrust, _ in rows]), slack))


def pin_rows(loaded: LoadedShafts, name: str, x: np.ndarray, sign: float) -> list[tuple[Load, np.ndarray]]:
    """Return the thrust at each pin of a yoke's rods, or in its slot, and how far its play lifts places x if pulled.

    The second of shape (options..., places, angles), m.   sign : +1 for the upper yoke, -1 for the lower one.
    """
    yoke, moved = loaded.engine.yokes[name], loaded.motion.yokes[name]
    joint = yoke.rod if yoke.rod is not None else yoke.slot
    assert joint is not None
    if not np.any(np.asarray(joint.play)):
        return []
    up = 1.0 if moved.rod is None else moved.rod.y
    ends: tuple[End, ...] = ("pivot",) if moved.rod is None else ("pivot", "pin")
    lift = over_angle(joint.play) / 2 / up * sign
    return [
        (rod_thrust(loaded, name, hand, end), np.atleast_1d(lift)[..., None, :] * at_places(yoke, moved, x, side))
        for hand, side in HANDS.items()
        for end in ends
    ]


def rod_thrust(loaded: LoadedShafts, name: str, hand: str, end: End = "pivot") -> Load:
    """Return the force along a rod at its yoke end or at its crankpin, N, positive where the rod is pressed.

    Between the two lies what the rod itself weighs and what it takes to swing it, so they may differ in sign.
    """
    forces, rod = loaded.forces[name], loaded.motion.yokes[name].rod
    force, away = getattr(getattr(forces, end), hand), 1.0 if end == "pivot" else -1.0
    if rod is None:
        return force.y * away
    return combined((force.x, away * HANDS[hand] * rod.x), (force.y, away * rod.y))
