"""Which small change opens the gap the most."""

from designs.evaluate import Evaluation
from designs.gap_sensitivities import gap_steps
from designs.table import Column, Table

SHOWN_ROWS = 15


def tables(evaluation: Evaluation) -> list[Table]:
    """Return the entries whose step opens the least gap at the fastest speed the most, best first."""
    bought = [each for each in gap_steps(evaluation.design) if each.gained > 0][:SHOWN_ROWS]
    if not bought:
        return []
    columns = (Column("entry", "entry"), Column("step", "step"), Column("gained", "gap gained", "m"))
    note = (
        "Each entry alone, all else as designed; nominal lengths move the gap directly, the others by bending less. "
        "Vibration of the shafts is left out."
    )
    return [
        Table("gains", "What opens the gap", columns, [(each.entry, each.step, each.gained) for each in bought], note)
    ]
