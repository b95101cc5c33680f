"""The gap between the yokes: its budget, its course over speed, and where they touch."""

import numpy as np

from balance.cycle.extremes import least
from designs.evaluate import Evaluation
from designs.table import Column, Table
from shafts.gap.pair import YokePair, budget


def tables(evaluation: Evaluation) -> list[Table]:
    """Return contact speed and gap over speed of each pair, and the budget at its tightest angle."""
    if not evaluation.pairs:
        return []
    return [_contact(evaluation), _over_speed(evaluation), _budget(evaluation)]


def _contact(evaluation: Evaluation) -> Table:
    columns = (
        Column("pair", "pair"),
        Column("nominal", "nominal gap", "m"),
        Column("contact", "first contact", "rad/s"),
        Column("contact_worst", "first contact, worst case", "rad/s"),
        Column("looked_up_to", "looked up to", "rad/s"),
    )
    top = evaluation.top_speed
    rows = [
        (
            _name(pair),
            least(np.min(pair.facing.nominal, axis=-2))[0],
            evaluation.contact(pair),
            evaluation.contact(pair, "worst"),
            top,
        )
        for pair in evaluation.pairs
    ]
    note = (
        "Worst case: every play, backlash, timing error and tolerance on the side that closes the gap. "
        "A speed of zero: they touch at rest; none: not up to the last column."
    )
    return Table("contact", "First contact of the yokes", columns, rows, note)


def _over_speed(evaluation: Evaluation) -> Table:
    columns = (
        Column("pair", "pair"),
        Column("speed", "speed", "rad/s"),
        Column("gap", "least gap", "m"),
        Column("angle", "at crank angle", "rad"),
        Column("gap_worst", "least gap, worst case", "m"),
    )
    rows = []
    for pair in evaluation.pairs:
        for speed in evaluation.every_speed:
            gap, angle = pair.least(speed)
            rows.append((_name(pair), speed, gap, angle, pair.least(speed, "worst")[0]))
    note = (
        "Measured up and down between the faces, at the crank angle where it is least; negative where they overlap. "
        "Looked at every degree, and where a rod's pin or the teeth cross their play in between."
    )
    return Table("gap", "Least gap over speed", columns, rows, note)


def _budget(evaluation: Evaluation) -> Table:
    columns = (
        Column("pair", "pair"),
        Column("item", "item"),
        Column("gap", "adds to the gap", "m"),
        Column("worst", "worst case", "m"),
        Column("speed", "at speed", "rad/s"),
        Column("angle", "crank angle", "rad"),
    )
    rows = []
    for pair in evaluation.pairs:
        rows += budget_rows(pair, evaluation.tightest_speed(pair))
    note = (
        "At the speed and crank angle at which the gap is least; a minus sign means that the line takes gap away. "
        "Shaft, webs and pins of each crank are one elastic chain; what lies inside a web counts as stiff. Pins, "
        "webs, rods and arms whose size is not given count as rigid, parts without a temperature as cold. On more "
        "than two bearings each is pressed along its own load, found without play. Each pin of a rod takes up its "
        "play along its own load; rods stretch by the load at the yoke's end; a guide holds back backlash and timing "
        "error alone, and lets its yoke lean along the shafts by its play: to the side of the couple of masses and "
        "gas beside the rods' plane, or to the side that closes the gap where none is given. Play reversal: what is "
        "less within half a degree, where a pin or the teeth cross their play. Shaft vibration: what the cranks "
        "deflect more as they vibrate; rods, arms, teeth and play take their loads with it too. Worst case: every play "
        "and deviation on the side that closes the gap."
    )
    return Table("budget", "Gap budget", columns, rows, note)


def budget_rows(pair: YokePair, speed: float) -> list[tuple]:
    """Return (pair, item, change of gap, change in the worst case, speed, crank angle) at the tightest place."""
    nominal, items = budget(pair, speed)
    worst = budget(pair, speed, "worst")[1]
    at = speed, pair.tightest(speed)[1].angle(pair.facing.nominal.shape[-1])
    rows = [(_name(pair), "nominal gap", nominal, nominal, *at)]
    rows += [(_name(pair), name, each, worst[name], *at) for name, each in items.items()]
    return [*rows, (_name(pair), "what is left", sum(row[2] for row in rows), sum(row[3] for row in rows), *at)]


def _name(pair: YokePair) -> str:
    return f"{pair.upper} over {pair.lower}"
