"""Whether the gas gives power at all: a machine that turns the wrong way round for its phase pumps heat instead."""

import numpy as np

from balance.machine.machine import NoGas
from balance.torque import mean
from designs.evaluate import Evaluation
from designs.verdict.row import Row, not_checked

KEYS = ("power",)
WHAT = "power of the gas at rated speed, before friction"


def rows(evaluation: Evaluation) -> list[Row]:
    """Return the row of the mean power that reaches the cranks at rated speed."""
    if isinstance(evaluation.design.gas, NoGas):
        return [not_checked("power", WHAT, "state gas: without it only weight and inertia turn the cranks")]
    rated = np.asarray(evaluation.design.speed.rated)
    power = mean(evaluation.crank_torques.total).at(rated)[..., 0] * rated
    return [Row("power", WHAT, power, evaluation.design.limits.power, "W", "at least", speed=rated)]
