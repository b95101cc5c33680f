"""Where play is crossed and heard."""

from designs.evaluate import Evaluation
from designs.table import Column, Table
from shafts.knock import STEPS, joints, knocks, reversing_speeds

NOTE = (
    "A pin's load is taken along its rod. A bearing's load counts as reversed where it swings by more than a "
    "right angle within 20 degrees of crank angle; one that turns with the shaft does not. "
)
VIBRATING = "The loads are those of cranks that vibrate, with play taken up: a knock itself sets off more. "


def tables(evaluation: Evaluation) -> list[Table]:
    """Return where loads reverse at rated speed, and the speeds at which they do at all."""
    return [_changes(evaluation), _speeds(evaluation)]


def _changes(evaluation: Evaluation) -> Table:
    columns = (
        Column("joint", "joint"),
        Column("angle", "crank angle", "rad"),
        Column("play", "play", "m", small=True),
        Column("rate", "load changes by", "N/s"),
        Column("strength", "play x rate", "W"),
    )
    reversals = knocks(evaluation.loaded_shafts, float(evaluation.design.speed.rated))
    rows = [(each.joint.name, each.angle, each.joint.play, each.rate, each.strength) for each in reversals]
    note = _note(evaluation) + (
        "The first line is the joint that will be heard most: play times rate of the load ranks them (common "
        "practice, no source)."
    )
    return Table("knock", "Where loads reverse direction at rated speed", columns, rows, note)


def _speeds(evaluation: Evaluation) -> Table:
    columns = (Column("joint", "joint"), Column("from_speed", "from", "rad/s"), Column("to_speed", "to", "rad/s"))
    rows: list[tuple[str, float | None, float | None]] = []
    for joint in joints(evaluation.loaded_shafts):
        ranges = reversing_speeds(evaluation.loaded_shafts, joint)
        rows += [(joint.name, low, high) for low, high in ranges] or [(joint.name, None, None)]
    note = _note(evaluation) + "Within the speed range; a dash where the load keeps its direction throughout."
    if evaluation.vibrates:
        note += f" Tried at {STEPS} equal steps of the range and where vibration peaks: an end lies within half a step."
    return Table("reversing_speeds", "Speeds at which loads reverse direction within the turn", columns, rows, note)


def _note(evaluation: Evaluation) -> str:
    if evaluation.vibrates:
        return NOTE + VIBRATING
    return NOTE + "Vibration changes no load by 1 percent, and is left out. "
