"""How the shafts bend, and what their bearings carry."""

import numpy as np

from balance.cycle.extremes import largest
from designs.evaluate import Evaluation
from designs.table import Column, Table
from shafts.crank.loaded import LoadedCrank
from shafts.crank.vectors import CrankVector


def tables(evaluation: Evaluation) -> list[Table]:
    """Return deflections at the throws, bearing loads, and slopes."""
    return [_throws(evaluation), _bearings(evaluation)]


def _throws(evaluation: Evaluation) -> Table:
    columns = (
        Column("yoke", "throw of yoke"),
        Column("throw", "throw"),
        Column("side", "side"),
        Column("speed", "speed", "rad/s"),
        Column("bending", "deflection, peak", "m", small=True),
        Column("angle", "at crank angle", "rad"),
        Column("bending_x", "across, peak", "m", small=True),
        Column("bending_y", "along, peak", "m", small=True),
        Column("shaft", "by shaft alone", "m", small=True),
        Column("seats", "by bearings and supports", "m", small=True),
    )
    rows = []
    for crank in evaluation.loaded_shafts.cranks:
        for name in crank.stations.rods:
            whole, shaft, supports = _at_pin(crank, name)
            throw = evaluation.design.yokes[name].throw
            for omega in (evaluation.design.speed.rated, evaluation.design.speed.most):
                x, y = whole.on_bench(omega)
                peak, angle = largest(np.hypot(x, y))
                parts = [largest(np.abs(x))[0], largest(np.abs(y))[0]]
                parts += [largest(each.size(omega))[0] for each in (shaft, supports)]
                rows.append((name, throw, crank.hand, omega, peak, angle, *parts))
    note = (
        "Of each crankpin where its rod pulls, by all that yields: shaft, webs, pins, bearings, supports. "
        "The shaft's own weight is left out."
    )
    return Table("throws", "Deflection at the throws", columns, rows, note)


def _at_pin(crank: LoadedCrank, name: str) -> list[CrankVector]:
    """Return how far a crankpin is displaced by all that yields, by the shaft alone, and by its supports alone."""
    rows = [crank.stations.rods[name]]
    of_shaft = crank.influence_of(crank.chain.flexibility_of("shaft"), None, rows)
    of_supports = crank.influence_of(None, crank.compliance, rows)
    return crank.vectors(np.concatenate([crank.influence(rows), of_shaft, of_supports], axis=-2))


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
    for crank in evaluation.loaded_shafts.cranks:
        for index, (load, slope) in enumerate(zip(crank.bearings, crank.slopes, strict=True)):
            for omega in (evaluation.design.speed.rated, evaluation.design.speed.most):
                size = load.size(omega)
                peak, angle = largest(size)
                rows.append(
                    (f"{crank.hand} {index + 1}", omega, peak, angle, size.mean(), largest(slope.size(omega))[0])
                )
    note = (
        "Bearings in the order of the design file; loads with gear teeth and weights, their plain mean (life uses "
        "the cubic one). Slopes are of the shaft on its bearings as they yield."
    )
    return Table("bearings", "Main bearings", columns, rows, note)
