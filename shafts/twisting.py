"""The torque inside a shaft: where it comes in, where it leaves, and what twists each length between.

Throws and eccentric weights drive the shaft, the gear takes or brings what crosses the mesh, the load
takes the mean torque, and the flywheel (without one, the load) the ripple: at constant speed nothing
else turns the shaft, so all of it adds up to nothing.
"""

from dataclasses import dataclass

import numpy as np

from balance.cycle.load import Load
from balance.motion import Motion
from balance.quantities import Number
from balance.shaft_loads import ShaftLoads
from balance.torque import Torques, mean, pin_torque, share_of
from shafts.shaft import Engine


@dataclass(frozen=True, eq=False)
class TorqueAt:
    """A torque on a shaft, N m in its own sense of turning, and the place along it, m."""

    name: str
    at: Number
    torque: Load


def torques_along(engine: Engine, motion: Motion, loads: ShaftLoads, torques: Torques) -> list[TorqueAt]:
    """Return every torque on one shaft; each (options..., angles), and together zero at every angle."""
    found = [
        TorqueAt(f"throw of {name}", at, pin_torque(motion.yokes[name].pin, pull, loads.sign))
        for name, (at, pull) in loads.pins.items()
    ]
    found += [
        TorqueAt("weight", mass.at, mass.torque(motion.theta, loads.sign, loads.gravity))
        for mass in loads.turning
        if np.any(mass.across) or np.any(mass.along)
    ]
    gears, crossing = engine.cranks.gears, torques.mesh * loads.sign
    # Without described gears what they carry is taken to cross where the load is.
    found.append(TorqueAt("gear", leaves_at(engine, loads.hand) if gears is None else gears.at, crossing))
    return found + _leaving(engine, loads.hand, torques.total)


def _leaving(engine: Engine, hand: str, total: Load) -> list[TorqueAt]:
    steady, wheel = mean(total), engine.flywheel
    ripple, share = total - steady, share_of(engine.cranks.load_on, hand)
    found = []
    if share:
        found.append(TorqueAt("load", leaves_at(engine, hand), -(steady if wheel is not None else total) * share))
    if wheel is not None and wheel.on in (hand, "both"):
        found.append(TorqueAt("flywheel", wheel.along(hand), -ripple * share_of(wheel.on, hand)))
    return found


def leaves_at(engine: Engine, hand: str) -> Number:
    """Return where the power leaves a shaft, m, (options...).

    As given, else at its pulley, else at its flywheel, else at its far end.
    """
    if engine.cranks.load_at is not None:
        return engine.cranks.load_at
    wheels = list(engine.wheels(hand).values())
    if wheels:
        return wheels[-1].along(hand)
    shaft = engine.shafts.pair[hand == "left"]
    throws = [throw.at for throw in engine.cranks.throws.values()]
    middle = (shaft.starts_at + shaft.ends_at) / 2
    return np.where(sum(throws) / len(throws) < middle, shaft.ends_at, shaft.starts_at)
