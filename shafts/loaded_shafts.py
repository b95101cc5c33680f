"""Both cranks under their loads: where all that is known of the shafts meets."""

from collections.abc import Callable, Sequence
from dataclasses import fields, replace
from functools import cached_property
from typing import Any, Literal

import numpy as np

from balance.cycle.load import Load
from balance.joints import YokeForces
from balance.motion import Motion
from balance.quantities import result
from balance.torque import Torques
from balance.turning import HANDS
from shafts.crank.loaded import LoadedCrank
from shafts.crank.loaded_cranks import loaded_cranks
from shafts.crank.loads import CrankLoad, crank_loads
from shafts.engine import Engine

Case = Literal["expected", "worst"]
"""Plays and errors at the middle of their range, or all at their worst."""


@result
class LoadedShafts:
    """Both cranks with their loads, right then left, and what they follow from.

    peaks : speeds at which they vibrate most, rad/s, rising, of a single design that does; looked for when called.
    """

    engine: Engine
    motion: Motion
    forces: dict[str, YokeForces]
    cranks: tuple[LoadedCrank, LoadedCrank]
    peaks: Callable[[], Sequence[float]] = tuple

    @property
    def vibrates(self) -> bool:
        """Whether what vibration adds is among the loads."""
        return self.cranks[0].vibration is not None

    @cached_property
    def tooth(self) -> Load | None:
        """Tangential force of the gear teeth on the right gear, N; None without gears."""
        return self.cranks[0].tooth

    def of(self, hand: str) -> LoadedCrank:
        """Return the right or left crank."""
        return self.cranks[list(HANDS).index(hand)]

    def under(self, forces: dict[str, YokeForces], torques: Torques) -> "LoadedShafts":
        """Return the same shafts under other joint forces and torques over the same cycle."""
        right, left = (crank_loads(self.engine, forces, torques, hand) for hand in HANDS)
        cranks = self._with_loads(right, left, self.motion.theta, mirrored(self.engine, forces))
        return replace(self, forces=forces, cranks=cranks)

    def _with_loads(
        self, right: list[CrankLoad], left: list[CrankLoad], theta: np.ndarray, alike: bool
    ) -> tuple[LoadedCrank, LoadedCrank]:
        """Return both cranks under other loads.   alike : whether these mirror each other."""
        first = self.cranks[0].under(right, theta)
        return first, self.cranks[1].under(left, theta, first if alike else None)

    def at_angles(self, kept: np.ndarray) -> "LoadedShafts":
        """Return the same at some angles of each option, given by their numbers, (options, angles)."""
        pick = _angle_picker(kept, self.motion.theta.shape[-1])
        motion = Motion(pick(self.motion.theta), pick(self.motion.yokes), self.motion.sense)

        def picked(load: CrankLoad) -> CrankLoad:
            return replace(load, force=pick(load.force), torque=pick(load.torque))

        right, left = ([picked(load) for load in each.loads] for each in self.cranks)
        cranks = self._with_loads(right, left, motion.theta, self.cranks[1].mirrored is not None)
        return replace(self, motion=motion, forces=pick(self.forces), cranks=cranks)


def load_shafts(engine: Engine, motion: Motion, forces: dict[str, YokeForces], torques: Torques) -> LoadedShafts:
    """Return both shafts under the loads that the joints put on them; what gravity brings is not told apart here."""
    forces, torques = {name: each.untold for name, each in forces.items()}, torques.untold
    right, left = (crank_loads(engine, forces, torques, hand) for hand in HANDS)
    cranks = loaded_cranks(engine, (right, left), motion.theta, engine.speed.rated, mirrored(engine, forces))
    return LoadedShafts(engine, motion, forces, cranks)


def mirrored(engine: Engine, forces: dict[str, YokeForces]) -> bool:
    """Return whether the rods' forces on both cranks, and the weight of these, are known to be mirror images."""
    return not np.any(np.asarray(engine.gravity.x)) and all(each.pin.mirrored for each in forces.values())


def _angle_picker(kept: np.ndarray, count: int) -> Callable[[Any], Any]:
    """Return what picks the kept of so many angles out of anything that runs over them."""
    flat = kept + np.arange(len(kept))[:, None] * count
    known: dict[int, Any] = {}  # many parts stand in several places

    def pick(part: Any) -> Any:
        if id(part) not in known:
            known[id(part)] = picked(part)
        return known[id(part)]

    def picked(part: Any) -> Any:
        if isinstance(part, np.ndarray | float | bool):
            if np.ndim(part) == 0 or np.shape(part)[-1] == 1:  # the same at every angle
                return part
            return np.take(part, flat if np.size(part) > count else kept)
        if isinstance(part, dict):
            return {name: pick(each) for name, each in part.items()}
        return part and replace(part, **{each.name: pick(getattr(part, each.name)) for each in fields(part)})

    return pick
