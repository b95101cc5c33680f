"""Where crankpins and shafts sit in webs, and how safe a part is: what the laws of all joints and parts share."""

from collections.abc import Iterator
from functools import reduce

import numpy as np

from balance.machine.crank import Pin, Web, place_in_frame
from balance.machine.joint import Joint
from balance.machine.materials import Material
from balance.quantities import Number, Scalar, result
from shafts.crank.layout import layout
from shafts.crank.loaded import LoadedCrank
from shafts.engine import Engine
from shafts.pieces import HAIR
from shafts.shaft import Shaft
from shafts.strength.sections import diameter_at


@result
class PartSafety:
    """How safe one part is.

    by : safety factors against each way in which it may fail, (speeds, options...); empty if none could be looked at.
    unknown : entries to give so that the rest can be looked at.
    """

    name: str
    by: dict[str, np.ndarray]
    unknown: tuple[str, ...] = ()

    @property
    def least(self) -> np.ndarray:
        """The least of them, (speeds, options...)."""
        return reduce(np.minimum, self.by.values())

    @property
    def weakest(self) -> str:
        """How it fails first."""
        return min(self.by, key=lambda way: float(np.min(self.by[way])))


@result
class Seat:
    """A crankpin or the shaft where it sits in a web.

    throw : name of the crankpin's throw; None for the shaft.   number : of the web among the webs.
    z : the web's face there, m.   inward : into the web, +1 or -1 along z.   x, y : the axis in the crank frame, m.
    """

    hand: str
    throw: str | None
    number: int
    web: Web
    z: Number
    inward: float
    x: Number
    y: Number
    diameter: Number | None
    joint: Joint | None
    material: Material
    web_material: Material

    @property
    def name(self) -> str:
        """What sits where, in words."""
        what = "shaft" if self.throw is None else f"crankpin {self.throw}"
        return f"{self.hand} {what} in web {self.number + 1}"

    @property
    def entry(self) -> str:
        """Where a design says how it is held."""
        return f"cranks.webs.{self.number}.joint" if self.throw is None else f"cranks.throws.{self.throw}.pin.joint"


def seats(engine: Engine, crank: LoadedCrank) -> list[Seat]:
    """Return every seat of a crank whose web has a known size, in order along z."""
    return list(seats_of(engine, crank.shaft, crank.hand))


def seats_of(engine: Engine, shaft: Shaft, hand: str) -> Iterator[Seat]:
    """Yield the same of a crank on some shaft, without its loads."""
    row = layout(shaft, engine.cranks, hand)
    for index, joint in enumerate(row.joints):
        if joint.web is None:
            continue
        web = engine.cranks.webs[joint.web]
        for axis, z, inward in ((row.axes[index], joint.low, 1.0), (row.axes[index + 1], joint.high, -1.0)):
            throw = None if axis.throw is None else engine.cranks.throws[axis.throw]
            diameter, held, material = _of_shaft(shaft, web, z + inward * HAIR) if throw is None else _of_pin(throw.pin)
            yield Seat(hand, axis.throw, joint.web, web, z, inward, *place_in_frame(throw), diameter, held,
                       material or shaft.material, web.material or shaft.material)  # fmt: skip


def _of_shaft(shaft: Shaft, web: Web, z: Number) -> tuple[Number, Joint | None, Material]:
    return diameter_at(shaft, z), web.joint, shaft.material


def _of_pin(pin: Pin | None) -> tuple[Number | None, Joint | None, Material | None]:
    return (None, None, None) if pin is None else (pin.diameter, pin.joint, pin.material)


def inverse(used: Scalar) -> np.ndarray:
    """Return a safety factor from the share that is used, infinite where nothing is; negative shares count as all."""
    used = np.asarray(used, dtype=float)
    return np.where(used < 0, 0.0, np.where(used > 1e-9, 1 / np.where(used > 1e-9, used, 1.0), np.inf))


def swing(stress: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    """Return half the range of a stress over the cycle and the middle of it, angles last."""
    most, least = np.max(stress, axis=-1), np.min(stress, axis=-1)
    return (most - least) / 2, (most + least) / 2
