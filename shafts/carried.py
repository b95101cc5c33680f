"""Both shafts under their loads: where all that is known of them meets."""

from dataclasses import dataclass, replace
from functools import cached_property
from typing import Literal

from balance.joints import YokeForces
from balance.motion import Motion
from balance.shaft_loads import ShaftLoads, shaft_loads
from balance.torque import Torques
from balance.turning import HANDS
from shafts.deflection import ShaftState, flexible_shafts, shaft_state
from shafts.shaft import Engine
from shafts.whirl.twisting import TorqueAt, torques_along

Case = Literal["expected", "worst"]
"""Plays and errors at the middle of their range, or all at their worst."""


@dataclass(frozen=True, eq=False)
class Carried:
    """The shafts with their loads and states, right then left, and what they follow from."""

    engine: Engine
    motion: Motion
    forces: dict[str, YokeForces]
    torques: Torques
    loads: tuple[ShaftLoads, ShaftLoads]
    states: tuple[ShaftState, ShaftState]

    @cached_property
    def twisting(self) -> tuple[list[TorqueAt], list[TorqueAt]]:
        """Every torque on the right and on the left shaft."""
        right, left = (torques_along(self.engine, self.motion, loads, self.torques) for loads in self.loads)
        return right, left


def carry(engine: Engine, motion: Motion, forces: dict[str, YokeForces], torques: Torques) -> Carried:
    """Return both shafts under the loads that the joints put on them.

    Of many options, gas and gravity are added up first: nothing asks for them apart, and a third of the work is saved.
    """
    many = any(moved.height.ndim > 1 for moved in motion.yokes.values())
    if many:
        forces, torques = {name: each.added_up for name, each in forces.items()}, torques.added_up
    right, left = (replace(shaft_loads(engine, forces, torques, hand), added_up=many) for hand in HANDS)
    shafts, sides = engine.shafts.pair, [right, left]
    if shafts[0] is shafts[1]:
        bends = flexible_shafts(shafts[0], sides)
    else:
        bends = [each for shaft, loads in zip(shafts, sides, strict=True) for each in flexible_shafts(shaft, [loads])]
    states = [
        shaft_state(*each[:2], motion.theta, engine.speed.rated, each[2])
        for each in zip(shafts, sides, bends, strict=True)
    ]
    return Carried(engine, motion, forces, torques, (right, left), (states[0], states[1]))
