"""How the shafts bend, and what their bearings carry."""

import numpy as np

from balance.cycle.extremes import largest
from balance.machine.crank import outward
from designs.evaluate import Evaluation
from designs.tables.table import Column, Table

SIDES = ("right", "left")


def tables(evaluation: Evaluation) -> list[Table]:
    """Return deflections at the throws, bearing loads, and slopes."""
    return [_throws(evaluation), _bearings(evaluation)]


def _throws(evaluation: Evaluation) -> Table:
    columns = (
        Column("yoke", "throw of yoke"),
        Column("throw", "throw"),
        Column("side", "side"),
        Column("speed", "speed", "rad/s"),
        Column("bending", "shaft bending, peak", "m", small=True),
        Column("angle", "at crank angle", "rad"),
        Column("bending_x", "across, peak", "m", small=True),
        Column("bending_y", "along, peak", "m", small=True),
        Column("seats", "bearing and seat give, peak", "m", small=True),
    )
    rows = []
    for side, state in zip(SIDES, evaluation.loaded_shafts.states, strict=True):
        for name, bending in state.pins.items():
            for omega in (evaluation.design.speed.rated, evaluation.design.speed.most):
                x, y = bending.at(omega)
                peak, angle = largest(np.hypot(x, y))
                give = largest(state.seats[name].size(omega))[0]
                parts = largest(np.abs(x))[0], largest(np.abs(y))[0]
                throw = evaluation.design.yokes[name].throw
                rows.append((name, throw, side, omega, peak, angle, *parts, give))
    note = "At each throw plane, on rigid bearings; webs and pins rigid; the shaft's own weight left out."
    if any(outward(throw.at, shaft.ends) == 0 for shaft in evaluation.design.shafts.pair
           for throw in evaluation.design.cranks.throws.values()):  # fmt: skip
        note += " A crank held on both sides is bent as if the shaft ran straight through; a built-up one gives more."
    return Table("throws", "Deflection at the throws", columns, rows, note)


def _bearings(evaluation: Evaluation) -> Table:
    columns = (
        Column("bearing", "bearing"),
        Column("speed", "speed", "rad/s"),
        Column("load", "load, peak", "N"),
        Column("angle", "at crank angle", "rad"),
        Column("mean_load", "load, mean", "N"),
        Column("slope", "slope, peak", "rad", small=True),
    )
    rows = []
    for side, state in zip(SIDES, evaluation.loaded_shafts.states, strict=True):
        for place, (load, slope) in enumerate(zip(state.bearings, state.slopes, strict=True)):
            for omega in (evaluation.design.speed.rated, evaluation.design.speed.most):
                size = load.size(omega)
                peak, angle = largest(size)
                rows.append((f"{side} {place + 1}", omega, peak, angle, size.mean(), largest(slope.size(omega))[0]))
    note = (
        "Bearings in the order of the design file; loads with gear teeth and weights, their plain mean (life uses "
        "the cubic one). Slopes are of the shaft on its bearings as they give way."
    )
    return Table("bearings", "Main bearings", columns, rows, note)
