"""How hard each bearing works, and how far it gives way."""

import numpy as np

from designs.evaluate import Evaluation
from designs.tables.table import Column, Table
from shafts.bearing_duty import BallDuty, BushDuty, bearings_of
from shafts.crank.supports import own_compliance
from shafts.shaft import Bearing


def tables(evaluation: Evaluation) -> list[Table]:
    """Return ratings and life of the ball bearings, load of the bushes, and the give of all bearings."""
    balls = [duty for duty in evaluation.bearings if isinstance(duty, BallDuty)]
    bushes = [duty for duty in evaluation.bearings if isinstance(duty, BushDuty)]
    found = [_balls(balls)] if balls else []
    return [*found, *([_bushes(bushes)] if bushes else []), _gives(evaluation)]


def _balls(balls: list[BallDuty]) -> Table:
    columns = (
        Column("bearing", "ball bearing"),
        Column("size", "size (mm)"),
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
            " x ".join(f"{float(each) * 1e3:g}" for each in (duty.ball.bore, duty.ball.outside, duty.ball.width)),
            duty.rating.dynamic,
            duty.rating.static,
            duty.rating.source if np.isfinite(duty.rating.dynamic) else "not known",
            duty.equivalent,
            duty.revolutions,
            duty.life,
            duty.static_safety,
            duty.rating.speed,
        )
        for duty in balls
    ]
    note = (
        "Basic rating life of ISO 281 at rated speed from the cubic mean of the load over the cycle, static safety "
        "of ISO 76 at the largest load over the speed range; each bearing's load_factor is on both. Typical ratings "
        "differ by a few percent from maker to maker, and limiting speeds are for grease. Clean grease and straight "
        "seats are taken for granted."
    )
    return Table("bearing_life", "Life of the ball bearings", columns, rows, note)


def _bushes(bushes: list[BushDuty]) -> Table:
    columns = (
        Column("bearing", "bush"),
        Column("speed", "worst speed", "rad/s"),
        Column("load", "load, mean", "N"),
        Column("pressure", "pressure", "stress"),
        Column("rubbing", "rubbing speed", "m/s"),
        Column("pv", "pressure x speed", "pv"),
        Column("limit", "it bears", "pv"),
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
            duty.bush.play,
            duty.bush.play / duty.bush.bore,
        )
        for duty in bushes
    ]
    note = (
        "Mean load over the cycle on bore times length; limits by material after Mott, Machine Elements in "
        "Mechanical Design, table 16-1. A running play of 0.1 to 0.2 percent of the bore is common practice."
    )
    return Table("bushes", "Plain bushes", columns, rows, note)


def _gives(evaluation: Evaluation) -> Table:
    columns = (
        Column("bearing", "bearing"),
        Column("stiffness", "stiffness in its seat", "N/m"),
        Column("itself", "the bearing itself"),
        Column("seat", "its seat"),
    )
    rows = []
    for name, crank, place, bearing in bearings_of(evaluation.loaded_shafts):
        compliance = float(crank.compliance[place, place])
        seat = "rigid" if bearing.seat_stiffness is None else "as given"
        rows.append((name, 1 / compliance if compliance else None, _itself(bearing), seat))
    note = (
        "Contact theory (Hertz in Palmgren's numbers, no clearance) at the mean load at rated speed; it is stiffer "
        "under more load. What is neither stated nor known counts as rigid, which makes gaps look wider than they "
        "are: state stiffness and seat_stiffness."
    )
    return Table("bearing_stiffness", "Stiffness of the bearings", columns, rows, note)


def _itself(bearing: Bearing) -> str:
    if bearing.stiffness is not None:
        return "as given"
    return "by contact theory" if np.any(own_compliance(bearing, 1.0)) else "rigid"
