"""How the case vibrates on its mount, against what it may."""

import numpy as np

from balance.case.isolation import watched
from balance.case.vibration import Vibration, steady_roll
from designs.evaluate import Evaluation
from designs.verdict.row import Row, not_checked

KEYS = ("vibration", "uplift")

WHAT = "vibration velocity of the case, rms"
LIFT = "load that vibration lifts off a foot, of its standing load"


def rows(evaluation: Evaluation) -> list[Row]:
    """Return the worst vibration velocity and the worst lift of a foot over the speed range."""
    response = evaluation.vibration
    if response is None:
        missing = "state mount.mass, and mount.feet if it does not hang free"
        return [not_checked("vibration", WHAT, missing), not_checked("uplift", LIFT, missing)]
    return [_velocity(evaluation, response), _uplift(evaluation, response)]


def _velocity(evaluation: Evaluation, response: Vibration) -> Row:
    mount = response.case.mount
    places = watched(mount)
    found = np.stack(np.broadcast_arrays(*(response.severity(place) for place in places.values())))
    velocity, speed = _worst(np.max(found, axis=0), response.speed)
    where = list(places)[int(np.argmax(np.max(found, axis=tuple(range(1, found.ndim)))))]
    what = f"{WHAT}, at {where}"
    if not mount.turns:
        what += " (turning of the case left out)"
    return Row(
        "vibration",
        what,
        velocity,
        evaluation.design.limits.vibration,
        "m/s",
        "at most",
        speed=speed,
    )


def _uplift(evaluation: Evaluation, response: Vibration) -> Row:
    gravity = evaluation.design.gravity
    if response.case.mount.feet is None:
        return not_checked("uplift", LIFT, "state mount.feet; the case is taken to hang free")
    if np.all(np.asarray(gravity.y) >= 0):
        return not_checked("uplift", LIFT, "the weight does not press on the feet: gravity.y must be less than zero")
    share, speed = _worst(response.uplift(gravity, steady_roll(evaluation.case_loads)), response.speed)
    return Row("uplift", LIFT, share, evaluation.design.limits.uplift, "", "at most", speed=speed)


def _worst(found: np.ndarray, speed: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    """Return the largest over the speed axis and the speed at which it stands, each (options...)."""
    speed = np.broadcast_to(speed, np.broadcast_shapes(found.shape, speed.shape))
    place = np.argmax(found, axis=-1)[..., None]
    return np.max(found, axis=-1), np.take_along_axis(speed, place, axis=-1)[..., 0]
