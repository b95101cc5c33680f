"""How many of many builds would touch, with every dimension somewhere in its tolerance."""

import numpy as np

from balance.quantities import Number
from designs.evaluate import Evaluation
from designs.table import Column, Table
from shafts.gap.builds import Builds, Draw, builds
from shafts.gap.pair import YokePair


def tables(evaluation: Evaluation) -> list[Table]:
    """Return the share of builds that touch at the rated and the fastest speed, for each pair of yokes."""
    columns = (
        Column("pair", "pair"),
        Column("speed", "speed", "rad/s"),
        Column("touch", "builds that touch", "share"),
        Column("low", "at least", "share"),
        Column("high", "at most", "share"),
        Column("median", "median gap", "m"),
        Column("tightest", "1 build in 100 has less than", "m"),
        Column("builds", "builds drawn"),
        Column("seed", "seed"),
    )
    speed = evaluation.design.speed
    rows = [
        _row(pair, omega, drawn(pair, omega))
        for pair in evaluation.pairs
        for omega in (speed.rated, speed.most)
        if pair.deviations
    ]
    if not rows:
        return []
    note = (
        "Builds: this design made again and again, each dimension within its making tolerance and all else as in its "
        "middle; the shares of `check` are of machines that this one may be, with all that is not known drawn too. "
        "Each dimension follows a normal law with its tolerance as three standard deviations, cut off there; each "
        "bearing's clearance is as likely anywhere in its group. `at least` and `at most` bound the share with 95 "
        "percent confidence (Wilson's score)."
    )
    return [Table("builds", "Builds that touch", columns, rows, note)]


def drawn(pair: YokePair, speed: Number, draw: Draw | None = None) -> Builds:
    """Draw builds of one design's pair of yokes at a speed."""
    return builds(pair, speed, draw or Draw())


def _row(pair: YokePair, speed: Number, result: Builds) -> tuple:
    draw = Draw()
    low = np.quantile(result.least, (0.5, 0.01))
    name = f"{pair.upper} over {pair.lower}"
    return (name, speed, result.touch, result.low, result.high, low[0], low[1], draw.count, draw.seed)
