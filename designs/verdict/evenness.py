"""How evenly the machine turns and how well it is balanced, where the design asks for it."""

import numpy as np

from balance.flywheel import fluctuation
from balance.quality import grade_reached
from balance.quantities import Scalar
from balance.sensitivity import residual_unbalance, turning_mass
from designs.evaluate import Evaluation
from designs.verdict.row import Row, not_checked, worst_of

KEYS = ("speed_fluctuation", "balance_grade")


def rows(evaluation: Evaluation) -> list[Row]:
    """Return the rows of speed fluctuation and balance quality."""
    return [_fluctuation(evaluation), _grade(evaluation)]


def _fluctuation(evaluation: Evaluation) -> Row:
    limit, what = evaluation.design.limits.speed_fluctuation, "fluctuation of speed over a turn"
    if limit is None:
        missing = "give limits.speed_fluctuation, e.g. 0.05 for a fan"
        return not_checked("speed_fluctuation", what, missing, asked=False)
    torque, inertia = evaluation.torques.total, evaluation.turning_inertia
    speeds = [np.maximum(each, evaluation.design.speed.slowest) for each in evaluation.speeds]
    ways: list[tuple[Scalar, np.ndarray, np.ndarray]] = []
    for each in speeds:
        speed, value, angle = np.broadcast_arrays(each, fluctuation(torque, inertia, each), 0.0)
        ways.append((speed, value, angle))
    value, speed, _ = worst_of(ways, "at most")
    return Row("speed_fluctuation", what, value, limit, "", "at most", speed=speed)


def _grade(evaluation: Evaluation) -> Row:
    limit, what = evaluation.design.limits.balance_grade, "balance quality of the cranks, order 1"
    if limit is None:
        missing = "give limits.balance_grade, e.g. 40 mm/s for G 40 (ISO 21940-11)"
        return not_checked("balance_grade", what, missing, asked=False)
    mass = np.asarray(turning_mass(evaluation.machine))
    if np.any(mass <= 0):
        return not_checked("balance_grade", what, "give the masses of cranks.webs, gears or the flywheel")
    speed = np.asarray(evaluation.design.speed.most)
    reached = grade_reached(residual_unbalance(evaluation.shaking), mass, speed)
    return Row("balance_grade", what, reached, limit, "m/s", "at most", speed=speed)
