"""Whether the bearings last, stand their worst load, and bear their speed."""

from collections.abc import Callable, Sequence

import numpy as np

from balance.quantities import Scalar
from balance.turning import HANDS
from designs.evaluate import Evaluation
from designs.verdict.row import Row, not_checked, worst_of
from shafts.bearing_duty import BallDuty, BushDuty
from shafts.bearings.standard_sizes import nearest_sizes
from shafts.pieces import bore_room

KEYS = ("bearing_fit", "bearing_life", "static_safety", "bearing_speed", "bush_pv")


def rows(evaluation: Evaluation) -> list[Row]:
    """Return life, static safety and speed of the worst ball bearing, and pressure times speed of the worst bush."""
    balls = [duty for duty in evaluation.bearings if isinstance(duty, BallDuty)]
    bushes = [duty for duty in evaluation.bearings if isinstance(duty, BushDuty)]
    return [
        _fit_row(evaluation),
        *(_ball_rows(evaluation, balls) if balls else []),
        *(_bush_rows(bushes) if bushes else []),
    ]


def _fit_row(evaluation: Evaluation) -> Row:
    """Return the row of the bearing whose bore the shaft exceeds the most."""
    what = "bore less the shaft in {}"
    rooms = {f"{side} bearing {place + 1}": bore_room(shaft, bearing)
             for side, shaft in zip(HANDS, evaluation.design.shafts.pair, strict=True)
             for place, bearing in enumerate(shaft.bearings)}  # fmt: skip
    room = np.min(np.stack(np.broadcast_arrays(*rooms.values())), axis=0)
    name = min(rooms, key=lambda each: float(np.min(rooms[each])))
    return Row("bearing_fit", what.format(name), room, 0.0, "m", "at least")


def _ball_rows(evaluation: Evaluation, balls: list[BallDuty]) -> list[Row]:
    limits = evaluation.design.limits
    return [
        *_life_rows(balls, limits.bearing_life),
        *_static_rows(balls, limits.static_safety),
        *_speed_rows(balls, evaluation.design.speed.most),
    ]


def _life_rows(balls: list[BallDuty], limit: Scalar) -> list[Row]:
    what = "L10 life of {}"
    known, found = _known(balls, "bearing_life", what, "dynamic_rating", lambda duty: duty.life)
    if not known:
        return found
    lives = [np.asarray(duty.life) for duty in known]
    life = np.min(np.stack(np.broadcast_arrays(*lives)), axis=0)
    return [Row("bearing_life", what.format(_least(known, lives)), life, limit, "s", "at least"), *found]


def _static_rows(balls: list[BallDuty], limit: Scalar) -> list[Row]:
    what = "static safety of {}"
    known, found = _known(balls, "static_safety", what, "static_rating", lambda duty: duty.static_safety)
    if not known:
        return found
    value, speed, angle = worst_of(
        [(duty.peak_speed, np.asarray(duty.static_safety), np.asarray(duty.peak_angle)) for duty in known], "at least"
    )
    name = _least(known, [duty.static_safety for duty in known])
    return [Row("static_safety", what.format(name), value, limit, "", "at least", speed=speed, angle=angle), *found]


def _speed_rows(balls: list[BallDuty], most: Scalar) -> list[Row]:
    what = "fastest speed of {}"
    known, found = _known(balls, "bearing_speed", what, "speed_limit", lambda duty: duty.rating.speed)
    if not known:
        return found
    limits = [np.asarray(duty.rating.speed) for duty in known]
    limit = np.min(np.stack(np.broadcast_arrays(*limits)), axis=0)
    name = _least(known, limits)
    return [
        Row("bearing_speed", what.format(name), np.asarray(most), limit, "rad/s", "at most", speed=most),
        *found,
    ]


def _known(
    balls: list[BallDuty], key: str, what: str, entry: str, read: Callable[[BallDuty], Scalar]
) -> tuple[list[BallDuty], list[Row]]:
    """Return the bearings of which something is known, and a row that says what to state of the others."""
    nothing = [bool(np.all(np.isnan(read(duty)))) for duty in balls]
    known, unknown = (
        [duty for duty, none in zip(balls, nothing, strict=True) if none == kind] for kind in (False, True)
    )
    return known, [_unknown(key, what, unknown, entry)] if unknown else []


def _least(balls: list[BallDuty], values: Sequence[Scalar]) -> str:
    return balls[int(np.argmin([np.min(value) for value in values]))].name


def _unknown(key: str, what: str, unknown: list[BallDuty], entry: str) -> Row:
    """Name the bearings of unknown size, what to state of them, and the nearest sizes that are known."""
    ball = unknown[0].ball
    bore, outside, width = (float(np.ravel(each)[0]) for each in (ball.bore, ball.outside, ball.width))
    near = ", ".join(nearest_sizes(bore, outside, width))
    names = ", ".join(duty.name for duty in unknown)
    written = " x ".join(f"{each * 1e3:g}" for each in (bore, outside, width))
    words = f"state its ball.{entry}: {written} mm is no known size; the nearest are {near}"
    return not_checked(key, what.format(names), words)


def _bush_rows(bushes: list[BushDuty]) -> list[Row]:
    known = [(duty, duty.limit) for duty in bushes if duty.limit is not None]
    unknown = ", ".join(duty.name for duty in bushes if duty.limit is None)
    what = "pressure times rubbing speed of {}"
    found = [not_checked("bush_pv", what.format(unknown), "state its material or its pv_limit")] if unknown else []
    if not known:
        return found
    shares = [np.asarray(duty.pv / limit) for duty, limit in known]
    name = known[int(np.argmax([np.max(share) for share in shares]))][0].name
    limit, pv, speed = _at_worst(shares, [[limit, duty.pv, duty.speed] for duty, limit in known])
    return [Row("bush_pv", what.format(name), pv, limit, "Pa m/s", "at most", speed=speed), *found]


def _at_worst(shares: list[np.ndarray], values: list[list[Scalar]]) -> list[np.ndarray]:
    """Return, for each option, the values of the bush with the largest share of its limit."""
    place = np.argmax(np.stack(np.broadcast_arrays(*shares)), axis=0)[None]
    stacks = [np.stack(np.broadcast_arrays(*each, place[0]))[:-1] for each in zip(*values, strict=True)]
    return [np.take_along_axis(each, place, axis=0)[0] for each in stacks]
