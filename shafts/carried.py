"""Both shafts under their loads: where all that is known of them meets."""

from dataclasses import dataclass, fields, replace
from functools import cached_property
from typing import Any, Literal

import numpy as np

from balance.joints import YokeForces
from balance.motion import Motion
from balance.shaft_loads import ShaftLoads, shaft_loads
from balance.torque import Torques
from balance.turning import HANDS
from shafts.deflection import ShaftResponse, flexible_shafts, shaft_state
from shafts.shaft import Engine
from shafts.superposition import Rows, by_part
from shafts.twisting import TorqueAt, torques_along

Case = Literal["expected", "worst"]
"""Plays and errors at the middle of their range, or all at their worst."""


@dataclass(frozen=True, eq=False)
class LoadedShafts:
    """The shafts with their loads and states, right then left, and what they follow from.

    twisting : every torque on the right and on the left shaft.
    """

    engine: Engine
    motion: Motion
    forces: dict[str, YokeForces]
    loads: tuple[ShaftLoads, ShaftLoads]
    states: tuple[ShaftResponse, ShaftResponse]
    twisting: tuple[list[TorqueAt], list[TorqueAt]]

    @cached_property
    def option_axes(self) -> int:
        """How many option axes the loads on the shafts have: one, or none."""
        return max(state.loads.option_axes for state in self.states)

    @cached_property
    def torque_rows(self) -> list[dict[str, Rows]]:
        """All that twists the right and the left shaft, as rows in the order of `twisting`."""
        return [by_part(enumerate(each.torque for each in side), self.motion.theta) for side in self.twisting]

    def at_angles(self, kept: np.ndarray) -> "LoadedShafts":
        """Return the same at some angles of each option, given by their numbers, (options, angles)."""
        count = self.motion.theta.shape[-1]
        flat = kept + np.arange(len(kept))[:, None] * count

        known: dict[int, Any] = {}  # many of them stand in several places

        def pick(part: Any) -> Any:
            if id(part) not in known:
                known[id(part)] = picked(part)
            return known[id(part)]

        def picked(part: Any) -> Any:
            if isinstance(part, np.ndarray | float):
                if np.ndim(part) == 0 or np.shape(part)[-1] == 1:  # the same at every angle
                    return part
                return np.take(part, flat if np.size(part) > count else kept)
            if isinstance(part, dict):
                return {name: pick(each) for name, each in part.items()}
            return part and replace(part, **{each.name: pick(getattr(part, each.name)) for each in fields(part)})

        motion = Motion(pick(self.motion.theta), pick(self.motion.yokes), self.motion.sense)
        right, left = (each.with_courses(pick) for each in self.loads)
        first, second = (state.under(each, motion.theta)
                         for each, state in zip((right, left), self.states, strict=True))  # fmt: skip
        twisting = [[replace(each, torque=pick(each.torque)) for each in side] for side in self.twisting]
        return replace(
            self,
            motion=motion,
            forces=pick(self.forces),
            loads=(right, left),
            states=(first, second),
            twisting=(twisting[0], twisting[1]),
        )


def load_shafts(engine: Engine, motion: Motion, forces: dict[str, YokeForces], torques: Torques) -> LoadedShafts:
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
    twisting = [torques_along(engine, motion, loads, torques) for loads in sides]
    return LoadedShafts(engine, motion, forces, (right, left), (states[0], states[1]), (twisting[0], twisting[1]))
