"""Along the cylinder: how high piston and displacer stand over the turn and what clearance that leaves; for one design.

Heights are counted from the line between the shafts, positive toward the hot end.
"""

import numpy as np

from balance.bodies.yokes import Upright, upright
from balance.gas import circle
from balance.machine.carried import Displacer
from balance.machine.machine import IsothermalGas, Machine
from balance.many import refuse_many
from balance.motion import Motion
from balance.quantities import result

Rises = dict[str, np.ndarray]
"""How far each yoke is raised by deflection and play, m, by name, (angles,)."""


@result
class Inside:
    """A piston, diaphragm or displacer in the cylinder.

    yoke : its name.   body : above the yoke's pivot line.   height : of that line, m, (angles,).
    """

    yoke: str
    body: Upright
    height: np.ndarray

    def low(self, rises: Rises) -> np.ndarray:
        """Return the height of its lower end, m, (angles,)."""
        return self.height + self.body.low + rises.get(self.yoke, 0.0)

    def rim(self, rises: Rises) -> np.ndarray:
        """Return the height of its upper end at the rim, m, (angles,)."""
        return self.height + self.body.rim + rises.get(self.yoke, 0.0)

    def top(self, rises: Rises) -> np.ndarray:
        """Return the height of its upper end in the middle, m, (angles,)."""
        return self.height + self.body.top + rises.get(self.yoke, 0.0)


@result
class AlongCylinder:
    """What moves along one cylinder: the displacer, and the piston or diaphragm below it; None where unknown."""

    machine: Machine
    displacer: Inside | None
    piston: Inside | None

    @property
    def known(self) -> list[Inside]:
        """Those whose height is known."""
        return [each for each in (self.piston, self.displacer) if each is not None]

    def between(self, rises: Rises) -> np.ndarray:
        """Return the distance from the piston's crown to the displacer, m, (angles,)."""
        assert self.displacer is not None and self.piston is not None
        return self.displacer.low(rises) - self.piston.top(rises)

    def to_hot_end(self, rises: Rises) -> np.ndarray:
        """Return the distance from the displacer to the hot end, at the rim or in the middle, m, (angles,)."""
        cylinder = self.machine.cylinder
        assert self.displacer is not None and cylinder is not None and cylinder.length is not None
        end = float(cylinder.starts_at) + float(cylinder.length)
        middle = end + float(cylinder.dome) - self.displacer.top(rises)
        return np.minimum(end - self.displacer.rim(rises), middle)

    def held(self, rises: Rises) -> np.ndarray:
        """Return the length of the piston that is within the cylinder, m, (angles,); negative once it has left it."""
        cylinder = self.machine.cylinder
        assert self.piston is not None and cylinder is not None
        start = float(cylinder.starts_at)
        end = np.inf if cylinder.length is None else start + float(cylinder.length)
        return np.minimum(self.piston.rim(rises), end) - np.maximum(self.piston.low(rises), start)

    def needed_length(self, clearance: float) -> float:
        """Return the length of cylinder, m, that keeps a clearance at the hot end.

        From its open end; where that is not given, from where it holds the piston wholly.
        """
        assert self.displacer is not None and self.piston is not None
        cylinder = self.machine.cylinder
        dome = 0.0 if cylinder is None else float(cylinder.dome)
        top = max(float(np.max(self.displacer.rim({}))), float(np.max(self.displacer.top({}))) - dome)
        start = float(np.min(self.piston.low({}))) if cylinder is None else float(cylinder.starts_at)
        return top + clearance - start

    def least_volumes(self) -> dict[str, float]:
        """Return the gas volume, m^3, that the clearances alone hold, by the name of the dead volume; as far as known.

        Hot: above the displacer at its highest, domes included. Cold: between displacer and piston where they are
        nearest. Regenerator: the ring about the displacer, through which the gas passes it.
        """
        assert isinstance(self.machine.gas, IsothermalGas)
        if self.displacer is None:
            return {}
        carried = self.machine.yokes[self.displacer.yoke].carries
        assert isinstance(carried, Displacer)
        cylinder = self.machine.cylinder
        bore = float(circle(carried.bore if cylinder is None else cylinder.bore))
        body = self.displacer.body
        volumes = {"regenerator": (bore - float(circle(2 * body.radius))) * (body.rim - body.low)}
        if cylinder is not None and cylinder.length is not None:
            end = float(cylinder.starts_at) + float(cylinder.length)
            flat = bore * (end - float(np.max(self.displacer.rim({}))))
            volumes["hot"] = (
                flat + cap(float(cylinder.bore) / 2, float(cylinder.dome)) - cap(body.radius, body.top - body.rim)
            )
        if self.piston is not None and self.machine.yokes[self.piston.yoke].carries.kind == "piston":  # type: ignore[union-attr]
            stem = float(circle(carried.stem_diameter))
            volumes["cold"] = (bore - stem) * float(np.min(self.between({})))
        return {name: max(volume, 0.0) for name, volume in volumes.items()}


def cap(radius: float, height: float) -> float:
    """Return the volume of a spherical cap over a circle, pi h (3 a^2 + h^2)/6, m^3."""
    return np.pi * height * (3 * radius**2 + height**2) / 6


def along_cylinder(machine: Machine, motion: Motion) -> AlongCylinder | None:
    """Return what moves along the cylinder; None if the machine has not one displacer and one piston or diaphragm."""
    refuse_many(machine, "what moves along the cylinder")
    displacers = [name for name, yoke in machine.yokes.items() if isinstance(yoke.carries, Displacer)]
    pistons = [name for name, yoke in machine.yokes.items()
               if yoke.carries is not None and not isinstance(yoke.carries, Displacer)]  # fmt: skip
    if len(displacers) != 1 or len(pistons) != 1:
        return None
    parts = []
    for name in (*displacers, *pistons):
        body = upright(name, machine.yokes[name])
        parts.append(None if body is None else Inside(name, body, motion.yokes[name].height))
    return AlongCylinder(machine, *parts)
