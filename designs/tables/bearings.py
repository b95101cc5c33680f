"""What to order, how hard each bearing works, how it is fitted, and how far it yields."""

import numpy as np

from balance.quantities import Scalar
from designs.evaluate import Evaluation
from designs.table import Column, Table
from shafts.bearing_duty import bearings_of
from shafts.bearings.ball import FEWEST
from shafts.bearings.bearing import Bearing
from shafts.bearings.bush import BushDuty
from shafts.bearings.fit import fitted, seat_play, shaft_play
from shafts.bearings.play import bought
from shafts.bearings.rolling import RollingDuty
from shafts.bearings.stiffness import by_contact
from shafts.iso_286 import Range


def tables(evaluation: Evaluation) -> list[Table]:
    """Return ratings and life of what rolls, load of the bushes, and fits and stiffness of all bearings."""
    rolling = [duty for duty in evaluation.bearings if isinstance(duty, RollingDuty)]
    bushes = [duty for duty in evaluation.bearings if isinstance(duty, BushDuty)]
    listed = [_rolling(rolling)] if rolling else []
    return [*listed, *([_bushes(bushes)] if bushes else []), _fits(evaluation), _compliances(evaluation)]


def _rolling(rolling: list[RollingDuty]) -> Table:
    columns = (
        Column("bearing", "bearing"),
        Column("size", "designation and size (mm)"),
        Column("dynamic_rating", "dynamic rating", "N"),
        Column("static_rating", "static rating", "N"),
        Column("source", "ratings"),
        Column("equivalent_load", "equivalent load", "N"),
        Column("revolutions", "L10 life", "turns"),
        Column("life", "L10 life", "s"),
        Column("static_safety", "static safety", "1"),
        Column("speed_limit", "limiting speed", "rad/s"),
    )
    rows = [
        (
            duty.name,
            duty.kind.words,
            duty.rating.dynamic,
            duty.rating.static,
            _source(duty),
            duty.equivalent,
            duty.revolutions,
            duty.life,
            duty.static_safety,
            duty.rating.speed,
        )
        for duty in rolling
    ]
    note = (
        "Basic rating life of ISO 281 at rated speed from the mean of the load over the cycle (cubic for balls, power "
        "10/3 for rollers), static safety of ISO 76 at the largest load over the speed range; each bearing's "
        "load_factor is on both. Ratings not given are the low end of what catalogues give: below 10 mm bore they "
        "differ by up to a factor of two. Limiting speeds are for grease. Needles are rated on a shaft of "
        "58 HRC or more; a given hardness below that lowers both ratings. Clean grease and straight seats are taken "
        "for granted."
    )
    return Table("bearing_life", "Life of the rolling bearings", columns, rows, note)


def _source(duty: RollingDuty) -> str:
    if not np.isfinite(duty.rating.dynamic):
        return "not known"
    known = duty.kind.span if "catalogues" in duty.rating.source else ""
    return f"{duty.rating.source} ({known})" if known else duty.rating.source


def _bushes(bushes: list[BushDuty]) -> Table:
    columns = (
        Column("bearing", "bush"),
        Column("speed", "worst speed", "rad/s"),
        Column("load", "load, mean", "N"),
        Column("pressure", "pressure", "stress"),
        Column("rubbing", "rubbing speed", "m/s"),
        Column("pv", "pressure x speed", "pv"),
        Column("limit", "allowable", "pv"),
        Column("play", "play on diameter", "m", small=True),
        Column("play_share", "play over bore", "share"),
    )
    rows = [
        (
            duty.name,
            duty.speed,
            duty.load,
            duty.pressure,
            duty.rubbing,
            duty.pv,
            duty.limit,
            *_of_bore(duty.bush.play, duty.bush.bore),
        )
        for duty in bushes
    ]
    note = (
        "Mean load over the cycle on bore times length; limits by material after Mott, Machine Elements in "
        "Mechanical Design, table 16-1. A running play of 0.1 to 0.2 percent of the bore is common practice."
    )
    return Table("bushes", "Plain bushes", columns, rows, note)


def _of_bore(play: Scalar | None, bore: Scalar) -> tuple[Scalar | None, Scalar | None]:
    return (None, None) if play is None else (play, play / bore)


def _fits(evaluation: Evaluation) -> Table:
    columns = (
        Column("bearing", "bearing"),
        Column("kind", "kind"),
        Column("held_by", "held by"),
        *_range("shaft_play", "shaft in bore"),
        *_range("seat_play", "outside in seat"),
        *_range("bought", "internal clearance before fitting"),
        *_range("fitted", "and as fitted"),
    )
    rows = [
        (
            name,
            f"{bearing.inside.title} {bearing.inside.words}",
            bearing.held_by,
            *_ends(shaft_play(bearing)),
            *_ends(seat_play(bearing)),
            *_ends(bought(bearing)),
            *_ends(fitted(bearing, bought(bearing))),
        )
        for name, _, _, bearing in bearings_of(evaluation.loaded_shafts)
    ]
    note = (
        "Least and most play on the diameter; negative is interference. ISO 286 classes against the bearing's own "
        "tolerances (ISO 492 normal; needles F8 or F6 in their seat), from memory, check against the standards. Of "
        "interference 0.7 to 0.9 comes off the internal clearance, whichever is worse at each end; a loose ring adds "
        "its play unless it is glued. A blank fit is not given and counts as exact. Fits are those at the temperature "
        "of setting up: a warm aluminium case loosens its seats."
    )
    return Table("bearing_fits", "Fits of the bearings", columns, rows, note)


def _range(key: str, what: str) -> tuple[Column, Column]:
    return (
        Column(f"{key}_least", f"{what}, least", "m", small=True),
        Column(f"{key}_most", "most", "m", small=True),
    )


def _ends(limits: Range | None) -> tuple[float | None, float | None]:
    return (None, None) if limits is None else (float(limits[0]), float(limits[1]))


def _compliances(evaluation: Evaluation) -> Table:
    columns = (
        Column("bearing", "bearing"),
        Column("stiffness", "stiffness in its seat", "N/m"),
        Column("itself", "the bearing itself"),
        Column("seat", "its seat"),
    )
    rows = []
    for name, crank, index, bearing in bearings_of(evaluation.loaded_shafts):
        compliance = float(crank.compliance[index, index])
        seat = "rigid" if bearing.seat_stiffness is None else "as given"
        rows.append((name, 1 / compliance if compliance else None, _itself(bearing), seat))
    note = (
        "Contact theory (Palmgren's numbers for balls and rollers, no clearance) at the mean load at rated speed; "
        "it is stiffer under more load. A bush whose stiffness is not stated, and what is called rigid here, yields "
        "nothing, which makes gaps look wider than they are: give stiffness and seat_stiffness."
    )
    return Table("bearing_stiffness", "Stiffness of the bearings", columns, rows, note)


def _itself(bearing: Bearing) -> str:
    if bearing.stiffness is not None:
        return "as given"
    if not by_contact(bearing):
        return "rigid"
    if bearing.needle is not None and bearing.needle.rollers is None:
        return "by contact theory, rollers from its rating"
    taken = bearing.ball is not None and not bearing.ball.balls_known
    return f"by contact theory, {TAKEN}" if taken else "by contact theory"


TAKEN = f"balls not known: {FEWEST} small ones taken, softer than any"
