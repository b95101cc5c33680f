"""Yoke arms as cantilevers from the yoke's middle: bent by their rod, yielding and fatigue.

M = F_y b + |F_x| h/2 at the middle of the yoke, b its half-span and h its height: as if all that the rod passes came
from there, since the arm's own mass takes some on the way. A displacer's stem is taken to go through the bar along
the cylinder, as another yoke's does through a given hole: 2 + (1 - d/w)^3 at its edge (Heywood's fit, from memory,
check against the standard).
"""

from collections.abc import Iterator

import numpy as np

from balance.machine.yoke import Displacer, Yoke
from balance.quantities import over_angle
from balance.turning import HANDS
from shafts.loaded_shafts import LoadedShafts
from shafts.strength.rods import of_stress
from shafts.strength.seats import PartSafety
from shafts.strength.webs import web_endurance


def arm_safeties(loaded: LoadedShafts, speeds: np.ndarray) -> Iterator[PartSafety]:
    """Yield how safe the arms of every yoke are.   speeds : rad/s, (speeds, options...)."""
    for name, yoke in loaded.engine.yokes.items():
        metal = None if yoke.arm is None else yoke.arm.material
        if metal is None:
            yield PartSafety(f"arms of {name}", {}, (f"yokes.{name}.arm",))
        elif metal.yield_strength is None or metal.tensile_strength is None:
            unknown = f"tensile_strength and yield_strength of the material of yokes.{name}.arm"
            yield PartSafety(f"arms of {name}", {}, (unknown,))
        else:
            for hand in HANDS:
                yield PartSafety(f"{hand} arm of {name}", _arm(loaded, name, hand, speeds))


def _arm(loaded: LoadedShafts, name: str, hand: str, speeds: np.ndarray) -> dict[str, np.ndarray]:
    yoke = loaded.engine.yokes[name]
    assert yoke.arm is not None
    width, height = (np.asarray(each) for each in (yoke.arm.section.width, yoke.arm.section.height))
    span = over_angle(yoke.half_span) if yoke.rod is not None else np.abs(loaded.motion.yokes[name].pin.x)
    hole = _hole(yoke)
    net = np.maximum(width - hole, 1e-9)
    force = getattr(loaded.forces[name].pivot, hand)
    across, along = force.x.at(speeds), force.y.at(speeds)
    moment = along * span + np.sign(along) * np.abs(across) * over_angle(height / 2)
    bent, pulled = moment / over_angle(net * height**2 / 6), across / over_angle(net * height)
    limit = web_endurance(yoke.arm.material, net, height, loaded.engine.shafts)
    edge = np.where(hole > 0, 2 + np.maximum(1 - hole / width, 0.0) ** 3, 1.0)
    metal = yoke.arm.material
    both = [(of_stress(stress, limit, metal), of_stress(stress * over_angle(edge), limit, metal))
            for stress in (bent + pulled, pulled - bent)]  # fmt: skip
    plain, notched = (np.min([each[index][way] for each in both], axis=0)
                      for index, way in ((0, "yielding"), (1, "fatigue")))  # fmt: skip
    gone = width <= hole
    return {"yielding": np.where(gone, 0.0, plain), "fatigue": np.where(gone, 0.0, notched)}


def _hole(yoke: Yoke) -> np.ndarray:
    stem = yoke.carries.stem_diameter if isinstance(yoke.carries, Displacer) else 0.0
    return np.maximum(stem, 0.0 if yoke.hole is None else yoke.hole)
