"""What the gear teeth bear, and what their backlash does to the cranks."""

import numpy as np

from balance.machine.crank import COMPOSITE, FULL_DEPTH, STEEP
from designs.evaluate import Evaluation
from designs.table import Column, Table
from shafts.strength.teeth import backlash_angle, least_backlash


def tables(evaluation: Evaluation) -> list[Table]:
    """Return stresses in the teeth, if the gears are described for that, and the backlash."""
    if evaluation.design.cranks.gears is None:
        return []
    return [*([_stresses(evaluation)] if evaluation.teeth is not None else []), _backlash(evaluation)]


def _stresses(evaluation: Evaluation) -> Table:
    columns = (
        Column("gear", "gear"),
        Column("speed", "worst speed", "rad/s"),
        Column("angle", "at crank angle", "rad"),
        Column("force", "tooth force x velocity factor", "N"),
        Column("bending", "bending at the root", "stress"),
        Column("bending_strength", "allowable", "stress"),
        Column("bending_safety", "safety", "1"),
        Column("contact", "contact stress", "stress"),
        Column("contact_strength", "allowable", "stress"),
        Column("pitting_safety", "safety in load", "1"),
        Column("reverses", "changes flank"),
    )
    assert evaluation.teeth is not None
    rows = [
        (
            side,
            duty.speed,
            duty.angle,
            duty.force,
            duty.bending,
            duty.bending_strength,
            duty.bending_safety,
            duty.contact,
            duty.contact_strength,
            duty.pitting_safety,
            bool(duty.reverses),
        )
        for side, duty in zip(("right", "left"), evaluation.teeth, strict=True)
    ]
    note = (
        f"Lewis's equation with the velocity factor {_factor_of(evaluation)}, endurance of the root and Hertz's "
        "stress at the pitch point after Shigley, Mechanical Engineering Design, 9th ed., chapter 14: one tooth "
        f"carries all. Form of the teeth: {_form_of(evaluation)}. "
        "Strengths are for endless running. Equal gears bring the same teeth together "
        "at the same crank angle every turn, so that wear gathers where the force peaks."
    )
    return Table("teeth", "Gear teeth", columns, rows, note)


def _factor_of(evaluation: Evaluation) -> str:
    gears = evaluation.design.cranks.gears
    assert gears is not None
    if gears.quality is not None:
        return f"of AGMA quality {gears.quality}"
    return f"for {gears.made} teeth" if gears.made else "for cut or for hobbed teeth, whichever is larger"


def _form_of(evaluation: Evaluation) -> str:
    gears = evaluation.design.cranks.gears
    assert gears is not None
    return FULL_DEPTH if np.asarray(gears.pressure_angle) >= STEEP else COMPOSITE


def _backlash(evaluation: Evaluation) -> Table:
    gears = evaluation.design.cranks.gears
    assert gears is not None
    columns = (
        Column("backlash", "backlash"),
        Column("length", "along the pitch circle", "m"),
        Column("phase", "one crank against the other", "rad", small=True),
    )
    rows = [
        (name, length, backlash_angle(gears, length))
        for name, length in (("as stated", gears.backlash), ("usual least", least_backlash(gears)))
    ]
    note = (
        "Usual least backlash of metal gears in a metal case by ISO/TR 10064-2:1996 (from memory): with less, gears "
        "that run out of true or grow warm may jam. Half of the play lies on either side of true."
    )
    return Table("backlash", "Backlash", columns, rows, note)
