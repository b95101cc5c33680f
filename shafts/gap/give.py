"""What a throw's displacement is made of: weights of the loads on its shaft, and webs that give across."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from balance.machine.crank import Throw, Web
from balance.quantities import Scalar, side_by_side
from balance.shaft_loads import ShaftLoads
from shafts.carried import LoadedShafts
from shafts.deflection import ShaftResponse
from shafts.shaft import Shaft
from shafts.superposition import force_count


@dataclass(frozen=True, eq=False)
class Side:
    """One shaft, the right (`place` 0) or the left one (1), with its loads, and yokes whose throws are asked for."""

    carried: LoadedShafts
    place: int
    yokes: tuple[str, ...]

    @property
    def shaft(self) -> Shaft:
        """The shaft."""
        return self.carried.engine.shafts.pair[self.place]

    @property
    def loads(self) -> ShaftLoads:
        """What pulls on it."""
        return self.carried.loads[self.place]

    @property
    def state(self) -> ShaftResponse:
        """How it bends."""
        return self.carried.states[self.place]

    @property
    def throws(self) -> dict[str, Throw]:
        """Its throws by name."""
        return self.carried.engine.cranks.throws

    @property
    def asked(self) -> list[Throw]:
        """The throws of the yokes."""
        return [self.throws[self.carried.engine.yokes[name].throw] for name in self.yokes]

    @property
    def webs(self) -> list[Web]:
        """Its webs."""
        return [web for web in self.carried.engine.cranks.webs if web.on in (self.loads.hand, "both")]


def sides(carried: LoadedShafts, *yokes: str) -> tuple[Side, Side]:
    """Return the right and the left side of some yokes."""
    return Side(carried, 0, yokes), Side(carried, 1, yokes)


@dataclass(frozen=True, eq=False)
class Give:
    """How the throws of some yokes are displaced by the loads on their shaft.

    weights : displacement per unit load at each station, m/N, (options..., yokes, forces).
    arms : for each web that bends, what of it is across its arm alone, and the arm's angle in the crank frame, rad.
    twist : by how much they turn ahead of the gear per unit of each torque on the shaft, rad/(N m),
    (options..., yokes, torques); None where wind-up is not in it.
    """

    weights: np.ndarray
    arms: tuple[tuple[np.ndarray, Scalar], ...] = ()
    twist: np.ndarray | None = None

    @property
    def option_axes(self) -> int:
        """How many option axes it has: one, or none."""
        matrices = [self.weights, *(across for across, _ in self.arms)]
        matrices += [] if self.twist is None else [self.twist]
        return max([each.ndim - 2 for each in matrices] + [np.ndim(angle) for _, angle in self.arms])

    def __add__(self, other: "Give") -> "Give":
        return Give(self.weights + other.weights, self.arms + other.arms)


def rigid(side: Side) -> Give:
    """Return the give of throws that nothing displaces."""
    return Give(np.zeros((len(side.yokes), force_count(side.loads))))


def levers(places: Sequence[Scalar], root: Scalar, sign: np.ndarray) -> np.ndarray:
    """Return how far outward of `root` places stand, m, (options..., places); zero if inward."""
    return np.maximum(sign[..., None] * (side_by_side(places) - np.asarray(root)[..., None]), 0.0)
