"""Whether the gas gives power at all: a machine that turns the wrong way round for its phase pumps heat instead."""

import numpy as np

from balance.machine.machine import NoGas
from balance.torque import mean
from designs.evaluate import Evaluation
from designs.verdict.row import Row, not_checked

KEYS = ("power",)
WHAT = "power of the gas at rated speed, before friction"
ROUNDING = 1e-12  # of the largest torque times the speed; less power than that is none, in any unit


def rows(evaluation: Evaluation) -> list[Row]:
    """Return the row of the mean power that reaches the cranks at rated speed."""
    if isinstance(evaluation.design.gas, NoGas):
        return [not_checked("power", WHAT, "give gas: without it only weight and inertia turn the cranks")]
    rated = np.asarray(evaluation.design.speed.rated)
    total = evaluation.crank_torques.total
    power = mean(total).at(rated)[..., 0] * rated
    scale = np.max(np.abs(total.at(rated)), axis=-1) * rated
    power = np.where(np.abs(power) <= ROUNDING * scale, 0.0, power)
    return [Row("power", WHAT, power, evaluation.design.limits.power, "W", "at least", speed=rated)]
