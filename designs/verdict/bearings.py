"""Whether the bearings last, stand their worst load, and bear their speed."""

from collections.abc import Callable, Sequence

import numpy as np

from balance.quantities import Scalar
from designs.evaluate import Evaluation
from designs.verdict.row import Row, not_checked, of_worst, worst_of
from shafts.bearings.bush import BushDuty
from shafts.bearings.rolling import RollingDuty

KEYS = ("bearing_life", "static_safety", "bearing_speed", "bush_pv")


def rows(evaluation: Evaluation) -> list[Row]:
    """Return life, static safety and speed of the worst rolling bearing, and pressure times speed of the worst bush.

    A bearing of another kind, which no law here judges, is not checked.
    """
    rolling = [duty for duty in evaluation.bearings if isinstance(duty, RollingDuty)]
    bushes = [duty for duty in evaluation.bearings if isinstance(duty, BushDuty)]
    others = ", ".join(duty.name for duty in evaluation.bearings if not isinstance(duty, RollingDuty | BushDuty))
    return [
        *(_rolling_rows(evaluation, rolling) if rolling else []),
        *(_bush_rows(bushes, evaluation.still) if bushes else []),
        *([not_checked("bearing_life", f"duty of {others}", "take a kind whose duty is judged")] if others else []),
    ]


def _rolling_rows(evaluation: Evaluation, rolling: list[RollingDuty]) -> list[Row]:
    limits = evaluation.design.limits
    return [
        *_life_rows(rolling, limits.bearing_life, evaluation.still),
        *_static_rows(rolling, limits.static_safety, evaluation.still),
        *_speed_rows(rolling, evaluation.design.speed.most),
    ]


def _life_rows(rolling: list[RollingDuty], limit: Scalar, still: str) -> list[Row]:
    what = "L10 life of {}"
    known, judged = _known(rolling, "bearing_life", what, "dynamic_rating", lambda duty: duty.life)
    if not known:
        return judged
    lives = [np.asarray(duty.life) for duty in known]
    life = np.min(np.stack(np.broadcast_arrays(*lives)), axis=0)
    unlooked, name = _unlooked(known, still), _least(known, lives)
    return [
        Row("bearing_life", what.format(name), life, limit, "s", "at least", unlooked=unlooked, where=name),
        *judged,
    ]


def _static_rows(rolling: list[RollingDuty], limit: Scalar, still: str) -> list[Row]:
    what = "static safety of {}"
    known, judged = _known(rolling, "static_safety", what, "static_rating", lambda duty: duty.static_safety)
    if not known:
        return judged
    value, speed, angle = worst_of(
        [(duty.peak_speed, np.asarray(duty.static_safety), np.asarray(duty.peak_angle)) for duty in known], "at least"
    )
    name = _least(known, [duty.static_safety for duty in known])
    unlooked = _unlooked(known, still)
    return [
        Row(
            "static_safety",
            what.format(name),
            value,
            limit,
            "",
            "at least",
            speed=speed,
            angle=angle,
            unlooked=unlooked,
            where=name,
        ),
        *judged,
    ]


def _speed_rows(rolling: list[RollingDuty], most: Scalar) -> list[Row]:
    what = "fastest speed of {}"
    known, judged = _known(rolling, "bearing_speed", what, "speed_limit", lambda duty: duty.rating.speed)
    if not known:
        return judged
    limits = [np.asarray(duty.rating.speed) for duty in known]
    limit = np.min(np.stack(np.broadcast_arrays(*limits)), axis=0)
    name = _least(known, limits)
    return [
        Row("bearing_speed", what.format(name), np.asarray(most), limit, "rad/s", "at most", speed=most, where=name),
        *judged,
    ]


def _known(
    rolling: list[RollingDuty], key: str, what: str, entry: str, read: Callable[[RollingDuty], Scalar]
) -> tuple[list[RollingDuty], list[Row]]:
    """Return the bearings of which something is known, and a row that says what to state of the others."""
    nothing = [bool(np.all(np.isnan(read(duty)))) for duty in rolling]
    known, unknown = (
        [duty for duty, none in zip(rolling, nothing, strict=True) if none == kind] for kind in (False, True)
    )
    return known, [_unknown(key, what, unknown, entry)] if unknown else []


def _unlooked(rolling: list[RollingDuty], still: str) -> str:
    """Return what to give so that ratings can be relied on, for the first bearing that lacks it, and loads too."""
    ratings = next((f"{duty.kind.unlooked}, for {duty.name}" for duty in rolling if duty.kind.unlooked), "")
    return "; ".join(filter(None, (ratings, still)))


def _least(rolling: list[RollingDuty], values: Sequence[Scalar]) -> str:
    return rolling[int(np.argmin([np.min(value) for value in values]))].name


def _unknown(key: str, what: str, unknown: list[RollingDuty], entry: str) -> Row:
    """Name the bearings of unknown size, what to state of them, and the nearest sizes that are known."""
    kind = unknown[0].kind
    names = ", ".join(duty.name for duty in unknown)
    known = "" if kind.known else f": {kind.size} mm is no known size; the nearest are {', '.join(kind.nearest())}"
    return not_checked(key, what.format(names), f"give its {kind.entry}.{entry}{known}")


def _bush_rows(bushes: list[BushDuty], still: str) -> list[Row]:
    known = [(duty, duty.limit) for duty in bushes if duty.limit is not None]
    unknown = ", ".join(duty.name for duty in bushes if duty.limit is None)
    what = "pressure times rubbing speed of {}"
    judged = [not_checked("bush_pv", what.format(unknown), "give its material or its pv_limit")] if unknown else []
    if not known:
        return judged
    shares = [np.asarray(duty.pv / limit) for duty, limit in known]
    name = known[int(np.argmax([np.max(share) for share in shares]))][0].name
    limit, pv, speed = of_worst(shares, [[limit, duty.pv, duty.speed] for duty, limit in known])
    return [
        Row("bush_pv", what.format(name), pv, limit, "Pa m/s", "at most", speed=speed, unlooked=still, where=name),
        *judged,
    ]
