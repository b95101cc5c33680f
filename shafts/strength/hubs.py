"""Whether gears, wheels and counterweights slip on their shafts.

What passes from the shaft into each is the step of torque, force and moment inside the shaft from one side of it to the
other: of the gear the load of its teeth, of a wheel what it evens out or takes away, of each its weight and pull.
"""

import numpy as np

from balance.quantities import result
from shafts.crank.loaded import LoadedCrank
from shafts.engine import Engine
from shafts.strength.on_shaft import Hubbed, hubbed
from shafts.strength.seats import PartSafety
from shafts.strength.sections import SAME
from shafts.strength.stress import section_loads


@result
class Passing:
    """What passes from a shaft into a part on it: torque and moment, N m, and force, N.

    Each (speeds, options..., angles).
    """

    torque: np.ndarray
    moment: np.ndarray
    force: np.ndarray


def passing(crank: LoadedCrank, part: Hubbed, speeds: np.ndarray) -> Passing:
    """Return the sizes of what passes into a part at some speeds, rad/s, (speeds, options...)."""
    at = np.asarray(part.at, dtype=float)[..., None]
    sides = np.concatenate([at - SAME, at + SAME], axis=-1)
    moment, shear, torque = (each.at(speeds) for each in section_loads(crank, sides))
    middle = moment - shear * np.array([[-SAME], [SAME]])  # both in the section between
    return Passing(*(np.abs(np.diff(each, axis=-2))[..., 0, :] for each in (torque, middle, shear)))


def hub_safeties(engine: Engine, crank: LoadedCrank, speeds: np.ndarray) -> list[PartSafety]:
    """Return how safe all that sits on a shaft is against slipping, at overspeed too, as of every fixing.

    speeds : rad/s, (speeds, options...); what holds at overspeed is told beside the fastest of them.
    """
    over = np.broadcast_to(np.asarray(engine.speed.most) * engine.speed.overspeed, speeds.shape[1:])
    return [_safety(crank, each, speeds, over) for each in hubbed(engine, crank.shaft, crank.hand)]


def _safety(crank: LoadedCrank, part: Hubbed, speeds: np.ndarray, over: np.ndarray) -> PartSafety:
    unknown = part.unknown(crank.shaft.material)
    held = None if unknown else part.grip(crank.shaft.material)
    if held is None:
        return PartSafety(part.name, {} if unknown else {"one piece": np.full(speeds.shape, np.inf)}, unknown)
    load = passing(crank, part, np.concatenate([speeds, over[None]]))
    grips = held.safety(load.torque, load.moment, load.force)
    fastest = speeds == np.max(speeds, axis=0)
    return PartSafety(part.name, {"grip": grips[:-1], "grip at overspeed": np.where(fastest, grips[-1], np.inf)})
