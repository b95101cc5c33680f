"""Whether what is joined really is: on the shafts, on the crankpins, in holes and in bores."""

from collections.abc import Iterable

import numpy as np

from designs.evaluate import Evaluation
from designs.shown import file_words
from designs.verdict.row import Row, not_checked
from shafts.clearance.held import (
    eye_joints,
    guide_joints,
    plate_joints,
    ring_joints,
    seat_joints,
    tooth_joints,
    yoke_joints,
)
from shafts.clearance.joined import Joint, fit_joints, rod_joints, sitting_joints, stem_joints
from shafts.clearance.wheel_inertia import wheel_joints

HAIR = 1e-7  # m; less than this is rounding, of places that come from sums
HELD = {
    "in_plates": ("plate beyond the least that must hold", plate_joints),
    "on_yokes": ("hold beyond the least that is needed, of", yoke_joints),
    "pin_seats": ("length beyond the seat as given, of", seat_joints),
    "pushed_on": ("bore beyond the shaft over which it is pushed, of", ring_joints),
    "rod_eyes": ("wall or play to spare of the eyes, of", eye_joints),
    "gear_mesh": ("what the gears have to spare of", tooth_joints),
    "guided_length": ("length beyond the least that guides", guide_joints),
}
"""Rows of what holds what, by their keys: what they say, and the joints that they look at."""


def rows(evaluation: Evaluation) -> list[Row]:
    """Return the rows of what is joined; one that there is nothing to say of is left out."""
    machine = evaluation.design
    weights = evaluation.weights if evaluation.fitted else None
    judged = [
        _row(
            "on_shaft",
            "hold of the shaft or a web, beyond the least that is needed, on",
            sitting_joints(machine, weights),
        ),
        _row("rods_on_pins", "length beyond what its rods need, of", rod_joints(machine)),
        _row("stem_holes", "play of", stem_joints(machine)),
        _row("running_fit", "play of", fit_joints(machine)),
        _row("wheel_body", "radius beyond the radius of gyration, of", wheel_joints(machine)),
        *(_row(key, what, joints(machine)) for key, (what, joints) in HELD.items()),
    ]
    return [row for row in judged if row is not None]


def _row(key: str, what: str, joints: Iterable[Joint]) -> Row | None:
    every = list(joints)
    if not every:
        return None
    unknown = "; ".join(dict.fromkeys(each.unknown for each in every if each.unknown))
    unlooked = f"give {unknown}" if unknown else ""
    worst = max(every, key=lambda each: round(each.short / HAIR) if np.isfinite(each.short) else each.short)
    words = f"{what} {worst.what}"
    if not np.isfinite(worst.short):
        return not_checked(key, words, unlooked)
    spare = 0.0 if abs(worst.short) < HAIR else -worst.short
    return Row(key, words, spare, 0.0, "m", "at least", file_words(worst.why), unlooked=unlooked, where=worst.what)
