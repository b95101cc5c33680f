"""How the case stands and vibrates on its feet, against what it may."""

from functools import partial

import numpy as np

from balance.case.causes import has_couples
from balance.case.isolation import watched
from balance.case.running import gas_power, unreal
from balance.case.taken import missing
from balance.case.vibration import Vibration, steady_roll
from balance.masses import mass_left
from balance.quantities import Scalar
from designs.evaluate import Evaluation
from designs.shown import number, said
from designs.verdict.case_causes import why_it_lifts, why_it_vibrates
from designs.verdict.row import Row, not_checked

KEYS = ("stands", "vibration", "uplift", "engine_mass")

STANDS = "weight at which the case would fall over on its feet, over its own"
WHAT = "vibration velocity of the case, rms"
LIFT = "foot uplift by vibration over static foot load"
UNPRESSED = "the weight does not press on the feet: gravity.y must be less than zero"
MASS = "mass of the engine beyond all that moves and turns in it"
HANGS = "give mount.feet; the case is taken to hang free"


def rows(evaluation: Evaluation) -> list[Row]:
    """Return whether the case stands, its worst vibration velocity and its worst uplift over the speed range."""
    if evaluation.mount is None:
        needed = "give mount.mass, and mount.feet if it does not hang free"
        return [not_checked(key, what, needed) for key, what in zip(KEYS, (STANDS, WHAT, LIFT), strict=False)]
    return [_stands(evaluation), _velocity(evaluation), _uplift(evaluation), _mass(evaluation)]


def _mass(evaluation: Evaluation) -> Row:
    """Of an engine that weighs less than what moves in it nothing can be said: a unit or a part is wrong."""
    mount = evaluation.design.mount
    assert mount is not None
    left = mass_left(evaluation.machine, mount.mass)
    return Row("engine_mass", MASS, left, 0.0, "heavy", "at least",
               "mount.mass is that of all that stands on the feet: weigh it, and see the units")  # fmt: skip


def _stands(evaluation: Evaluation) -> Row:
    mount, body = evaluation.design.mount, evaluation.case
    assert mount is not None
    assert body is not None
    if mount.feet is None:
        return not_checked("stands", STANDS, HANGS, asked=False)
    if not mount.feet.places:
        return not_checked("stands", STANDS, "give mount.feet.places, and mount.cg, so that one can see what tips it")
    if np.all(np.asarray(evaluation.design.gravity.y) >= 0):
        return not_checked("stands", STANDS, UNPRESSED)
    return Row("stands", STANDS, body.standing, evaluation.design.limits.standing, "", "at least")


def _velocity(evaluation: Evaluation) -> Row:
    unlooked, limit = _size_left_out(evaluation), evaluation.design.limits.vibration
    if unlooked:
        (velocity, speed), rocking = _bound(evaluation)
        unlooked += rocking
    else:
        velocity, speed, _ = _fastest(_whole(evaluation))
    if evaluation.options is not None:
        return Row("vibration", WHAT, velocity, limit, "m/s", "at most", speed=speed, unlooked=unlooked)
    response = _whole(evaluation)
    where = list(watched(response.case.mount))[_fastest(response)[2]]
    what = f"{WHAT}, at {where}"
    what += " (size of the case taken)" * bool(unlooked)
    reasons = _reasons(evaluation, response)
    what += f"; not real: {reasons[0]}" if reasons else ""
    if any("bench" in reason for reason in reasons) and not unlooked:
        unlooked = "a foot that leaves the bench moves otherwise than said; keep it down: see foot uplift"
    change = partial(why_it_vibrates, evaluation)
    return Row("vibration", what, velocity, limit, "m/s", "at most", change, speed, unlooked=unlooked, where=where)


def _whole(evaluation: Evaluation) -> Vibration:
    assert evaluation.vibration is not None
    return evaluation.vibration


def _size_left_out(evaluation: Evaluation) -> str:
    """Return what to give for rocking; nothing where it is known, or nothing could rock the case."""
    mount = evaluation.design.mount
    assert mount is not None
    if not missing(mount) or not np.any(has_couples(evaluation.case_loads)):
        return ""
    return f"give {' and '.join(missing(mount))}: rocking can be far more than shifting"


def _bound(evaluation: Evaluation) -> tuple[tuple[np.ndarray, np.ndarray], str]:
    """Return the least that must be expected, with its speed: shifting alone, or the best of the boxes if that is more.

    And in words what the boxes do. So a limit fails only where every box fails, or shifting alone does.
    """
    straight, boxes = evaluation.bounding_vibrations
    shifts, rocks = _fastest(straight)[:2], [_fastest(box)[:2] for box in boxes]
    sizes = np.stack(np.broadcast_arrays(*(velocity for velocity, _ in rocks)))
    speeds = np.stack(np.broadcast_arrays(*(np.broadcast_to(speed, sizes.shape[1:]) for _, speed in rocks)))
    best = np.argmin(sizes, axis=0)[None]
    least, at = (np.take_along_axis(each, best, axis=0)[0] for each in (sizes, speeds))
    more = least > shifts[0]
    bound = np.where(more, least, shifts[0]), np.where(more, at, shifts[1])
    if evaluation.options is not None:
        return bound, ""
    low, high = number(float(np.min(sizes)), "m/s"), said(float(np.max(sizes)), "m/s")
    return bound, f" ({said(float(shifts[0]), 'm/s')} as it shifts; {low} to {high} or more as taken boxes rock)"


def _fastest(response: Vibration) -> tuple[np.ndarray, np.ndarray, int]:
    """Return the largest velocity of any watched place, its speed, and which place, counted from 0."""
    places = watched(response.case.mount)
    severities = np.stack(np.broadcast_arrays(*(response.severity(point) for point in places.values())))
    velocity, speed = _worst(np.max(severities, axis=0), response.speed)
    # Of places that move alike but for rounding, the first.
    return velocity, speed, int(np.argmax(np.max(severities, axis=tuple(range(1, severities.ndim))).round(9)))


def _reasons(evaluation: Evaluation, response: Vibration) -> list[str]:
    """Return why the velocity at some speed of the range is not what the case would do."""
    if response.case.mount.feet is None:
        return []
    torque = evaluation.gas_torque
    power = None if torque is None else gas_power(torque, response.speed)
    return [reason for reason, there in unreal(response, _lifts(evaluation, response), power).items() if np.any(there)]


def _lifts(evaluation: Evaluation, response: Vibration) -> np.ndarray:
    feet, gravity = response.case.mount.feet, evaluation.design.gravity
    if feet is None or feet.held_down or np.all(np.asarray(gravity.y) >= 0):
        return np.zeros(response.speed.shape)
    return response.uplift(gravity, steady_roll(evaluation.case_loads))


def _uplift(evaluation: Evaluation) -> Row:
    design = evaluation.design
    assert design.mount is not None
    if design.mount.feet is None:
        return not_checked("uplift", LIFT, HANGS)
    if design.mount.feet.held_down:
        return not_checked("uplift", LIFT, "nothing: the feet are held down", asked=False)
    if np.all(np.asarray(design.gravity.y) >= 0):
        return not_checked("uplift", LIFT, UNPRESSED)
    unlooked = _size_left_out(evaluation)
    if unlooked:
        straight, boxes = evaluation.bounding_vibrations
        shares = np.stack(np.broadcast_arrays(*(_worst(_lifts(evaluation, one), one.speed)[0] for one in boxes)))
        shifts, speed = _worst(_lifts(evaluation, straight), straight.speed)
        share = np.maximum(np.min(shares, axis=0), shifts)
        if evaluation.options is None:
            unlooked += f" ({float(shifts):.3g} as it shifts; {np.max(shares):.3g} or more as taken boxes rock)"
    else:
        share, speed = _worst(_lifts(evaluation, _whole(evaluation)), _whole(evaluation).speed)
    change = partial(why_it_lifts, evaluation) if evaluation.options is None else ""
    return Row("uplift", LIFT, share, design.limits.uplift, "", "at most", change, speed, unlooked=unlooked)


def _worst(severities: np.ndarray, speed: Scalar) -> tuple[np.ndarray, np.ndarray]:
    """Return the largest over the speed axis and the speed at which it stands, each (options...)."""
    speed = np.broadcast_to(speed, np.broadcast_shapes(severities.shape, np.shape(speed)))
    severities = np.broadcast_to(severities, speed.shape)
    index = np.argmax(severities.round(9), axis=-1)[..., None]  # of what is the same but for rounding, the slowest
    return np.max(severities, axis=-1), np.take_along_axis(speed, index, axis=-1)[..., 0]
