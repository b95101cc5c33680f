"""What moves, and what the gas makes of it."""

import numpy as np

from balance.cycle.extremes import least_of_smooth
from balance.cycle.load import Load
from designs.evaluate import Evaluation
from designs.table import Column, Table


def tables(evaluation: Evaluation) -> list[Table]:
    """Return strokes and, with gas, pressures and power."""
    listed = [_strokes(evaluation)]
    if evaluation.gas.pressure is not None:
        listed.append(_gas(evaluation))
    return listed


def _strokes(evaluation: Evaluation) -> Table:
    columns = (
        Column("yoke", "yoke"),
        Column("stroke", "stroke", "m"),
        Column("lowest", "lowest", "m"),
        Column("highest", "highest", "m"),
        Column("lowest_angle", "at crank angle", "rad"),
        Column("highest_angle", "at crank angle", "rad"),
        Column("phase", "phase of order 1", "rad"),
        Column("mass", "moving mass", "kg"),
    )
    rows = []
    for name, stroke in evaluation.strokes.items():
        height = evaluation.motion.yokes[name].height
        phase = np.angle(np.fft.rfft(height)[1])
        mass = evaluation.design.yokes[name].mass
        rows.append(
            (name, stroke.length, stroke.lowest, stroke.highest, stroke.lowest_angle, stroke.highest_angle, phase, mass)
        )
    note = (
        "Heights are of the rod pivots above the line between the shafts. The phase is the crank angle by which the "
        "height's order 1 leads a yoke that is highest at crank angle zero."
    )
    if evaluation.motion.sense < 0:
        note += " The cranks turn inward at the top: crank angle falls as time goes on, and what leads comes later."
    return Table("strokes", "Strokes", columns, rows, note)


def _gas(evaluation: Evaluation) -> Table:
    columns = (
        Column("least_pressure", "least pressure", "Pa"),
        Column("largest_pressure", "largest pressure", "Pa"),
        Column("indicated_work", "work per turn", "J"),
        Column("power", "indicated power at rated speed", "W"),
        Column("swept_volume", "swept volume", "m^3"),
        Column("dead_hot", "least hot volume", "m^3"),
        Column("dead_cold", "least cold volume", "m^3"),
    )
    gas, speed = evaluation.gas, evaluation.design.speed.rated
    assert gas.pressure is not None
    work: Load = gas.indicated_work(evaluation.motion)
    each = np.squeeze(work.at(speed))
    volumes = gas.volumes
    spaces = (least_of_smooth(volumes.hot), least_of_smooth(volumes.cold)) if volumes else (None, None)
    swept = (volumes.swept if volumes else None, *spaces)
    rows = [(least_of_smooth(gas.pressure), -least_of_smooth(-gas.pressure), each, each * speed / (2 * np.pi), *swept)]
    note = "Isothermal spaces, regenerator at the log-mean temperature, no leaks; a real engine gives less."
    if volumes is None:
        note = "Pressure as measured, by a periodic cubic spline through the table."
    return Table("gas", "Gas", columns, rows, note)
