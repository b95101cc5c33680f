"""One crank with one throw and a slotted yoke on a shaft alike in all directions: what can be solved by hand."""

from dataclasses import dataclass

import numpy as np
from shaft_samples import BUSH

from balance.gas import gas_state
from balance.joints import joint_forces
from balance.machine.crank import Cranks, Throw, Web
from balance.machine.machine import Gravity, NoGas, SpeedRange
from balance.machine.materials import Material
from balance.machine.yoke import Part, Rod, Slot, Yoke
from balance.motion import crank_angles, move
from balance.torque import torques
from shafts.engine import Engine
from shafts.loaded_shafts import LoadedShafts, load_shafts
from shafts.shaft import Bearing, Segment, Shafts

YOUNG, LENGTH, DIAMETER = 200e9, 0.1, 0.006
STUB = 0.02
LIGHT = Material(density=1e-6, young=YOUNG, shear=1e15)  # neither shear nor twist to speak of


@dataclass
class OneThrow:
    """A mass that turns with the pin and a yoke; stiffness of the shaft at the pin, N/m."""

    engine: Engine
    turning: float
    yoke: float

    @property
    def stiffness(self) -> float:
        return 3 * YOUNG * np.pi / 64 * DIAMETER**4 / LENGTH**3

    @property
    def across(self) -> float:
        """Natural frequency across the guide, rad/s."""
        return np.sqrt(self.stiffness / self.turning)

    @property
    def along(self) -> float:
        """Natural frequency along the guide, where half the yoke goes with each pin."""
        return np.sqrt(self.stiffness / (self.turning + self.yoke / 2))


def one_throw(
    turning: float = 0.05, yoke: float = 0.2, radius: float = 2e-4, rod: Rod | None = None, **cranks
) -> OneThrow:
    """Two cranks with a stub four hundred times as thick as good as built in; the yoke on a slot, or on rods."""
    bearings = (Bearing(at=-STUB, bush=BUSH), Bearing(at=0.0, bush=BUSH))
    segments = (Segment(length=STUB, diameter=400 * DIAMETER), Segment(length=LENGTH, diameter=DIAMETER))
    shafts = Shafts(material=LIGHT, segments=segments, starts_at=-STUB, bearings=bearings)
    joint = {"slot": Slot()} if rod is None else {"rod": rod, "half_span": 0.015}
    engine = Engine(
        speed=SpeedRange(least=10.0, rated=50.0, most=100.0),
        cranks=Cranks(
            centre_distance=0.05,
            throws={"only": Throw(radius=radius, at=LENGTH)},
            webs=(Web(at=LENGTH, mass=turning, cg=(0.0, radius)),),
            **cranks,
        ),
        yokes={"only": Yoke(throw="only", parts={"all": Part(mass=yoke)}, **joint)},
        gas=NoGas(),
        gravity=Gravity(x=0.0, y=0.0),
        shafts=shafts,
    )
    return OneThrow(engine, turning, yoke)


def loaded(engine: Engine, angles: int = 72) -> LoadedShafts:
    """Both shafts under their loads."""
    moved = move(engine, crank_angles(angles))
    forces = joint_forces(engine, moved, gas_state(engine, moved))
    return load_shafts(engine, moved, forces, torques(engine, moved, forces))
