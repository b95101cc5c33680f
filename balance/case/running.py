"""Where a computed vibration cannot be real: from where on a foot lifts, and what the gas has no power to pass."""

import numpy as np

from balance.case.body import Case
from balance.case.loads import CaseLoads
from balance.case.vibration import Vibration, speeds_to_try, steady_roll, vibration
from balance.cycle.load import Load
from balance.machine.machine import Gravity, SpeedRange

STEPS = 400  # speeds at which lift-off is looked for, beside those at which the case resonates


def lift_off(case: Case, loads: CaseLoads, speed: SpeedRange, gravity: Gravity) -> float | None:
    """Return the lowest speed at which a foot of a single design no longer presses on the bench, rad/s; None if none.

    Looked for from the slowest to the fastest speed, then closed in on.
    """
    even = np.linspace(float(speed.slowest), float(speed.most), STEPS)
    tried = np.unique([*even, *np.ravel(speeds_to_try(case, speed))])
    couple = steady_roll(loads)
    lifted = np.flatnonzero(vibration(case, loads, tried).uplift(gravity, couple) >= 1)
    if not lifted.size:
        return None
    if lifted[0] == 0:
        return float(tried[0])
    from scipy.optimize.elementwise import find_root  # a quarter of a second to import, for feet that lift alone

    def lifts(speed: np.ndarray) -> np.ndarray:
        return vibration(case, loads, np.ravel(speed)).uplift(gravity, couple).reshape(np.shape(speed)) - 1

    root = find_root(lifts, (tried[lifted[0] - 1], tried[lifted[0]]))
    return float(np.max(root.bracket))


def gas_power(torque: Load, speed: np.ndarray) -> np.ndarray:
    """Return the power of a torque over the cycle, N m, at speeds (options..., speeds), W."""
    gas, grown = (np.mean(np.atleast_1d(part), axis=-1)[..., None] for part in (torque.steady, torque.inertia))
    return (gas + grown * speed**2) * speed


def unreal(response: Vibration, lifts: np.ndarray, power: np.ndarray | None) -> dict[str, np.ndarray]:
    """Return at which speeds a velocity is not what the case will do, by reason, each (options..., speeds).

    lifts : load lifted off a foot, share of its static foot load.   power : of the gas, W; None where a motor may help.
    """
    reasons = {"a foot leaves the bench": lifts >= 1}
    if power is not None:
        reasons["the feet would take more power than the gas has"] = response.power() > power
    return reasons
