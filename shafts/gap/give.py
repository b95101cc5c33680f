"""What a throw's displacement is made of: weights of the loads on its shaft, and webs that give across."""

from dataclasses import dataclass

import numpy as np

from balance.crank import Throw, Web
from balance.quantities import Scalar
from balance.shaft_loads import ShaftLoads
from shafts.carried import Carried
from shafts.deflection import ShaftState
from shafts.shaft import Shaft
from shafts.superposition import force_count, force_places


@dataclass(frozen=True, eq=False)
class Side:
    """One shaft, the right (`place` 0) or the left one (1), with its loads."""

    carried: Carried
    place: int

    @property
    def shaft(self) -> Shaft:
        """The shaft."""
        return self.carried.engine.shafts.pair[self.place]

    @property
    def loads(self) -> ShaftLoads:
        """What pulls on it."""
        return self.carried.loads[self.place]

    @property
    def state(self) -> ShaftState:
        """How it bends."""
        return self.carried.states[self.place]

    @property
    def throws(self) -> dict[str, Throw]:
        """Its throws by name."""
        return self.carried.engine.cranks.throws

    @property
    def webs(self) -> list[Web]:
        """Its webs."""
        return [web for web in self.carried.engine.cranks.webs if web.on in (self.loads.hand, "both")]


@dataclass(frozen=True, eq=False)
class Give:
    """How the throw of a yoke is displaced by the loads on its shaft.

    weights : displacement per unit load at each station, m/N, (options..., forces).
    arms : for each web that bends, what of it is across its arm alone, and the arm's angle in the crank frame, rad.
    """

    weights: np.ndarray
    arms: tuple[tuple[np.ndarray, Scalar], ...] = ()

    def __add__(self, other: "Give") -> "Give":
        return Give(self.weights + other.weights, self.arms + other.arms)


def rigid(side: Side) -> Give:
    """Return the give of a throw that nothing displaces."""
    return Give(np.zeros(force_count(side.loads)))


def throw_of(side: Side, name: str) -> Throw:
    """Return the throw of a yoke."""
    return side.throws[side.carried.engine.yokes[name].throw]


def levers(side: Side, root: Scalar, sign: np.ndarray) -> np.ndarray:
    """Return how far outward of `root` every force station stands, m, (options..., stations); zero if inward."""
    return np.stack(np.broadcast_arrays(*(lever(place, root, sign) for place in force_places(side.loads))), axis=-1)


def lever(place: Scalar, root: Scalar, sign: np.ndarray) -> np.ndarray:
    """Return how far outward of `root` a place stands, m, (options...); zero if inward."""
    return np.maximum(sign * (np.asarray(place) - root), 0.0)
