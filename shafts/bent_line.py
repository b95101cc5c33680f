"""The bent line of a shaft: its deflection at any place along it, not at its throws alone."""

from dataclasses import dataclass

import numpy as np

from balance.quantities import Number
from shafts.beam import influence
from shafts.carried import LoadedShafts
from shafts.superposition import Response, force_places


@dataclass(frozen=True, eq=False)
class BentLine:
    """Deflections of one shaft at places along it, the give of bearings and seats included.

    at : places, m, (places,).   responses : deflection over the cycle at each of them, m.
    """

    at: np.ndarray
    responses: list[Response]

    def along(self, speed: Number) -> tuple[np.ndarray, np.ndarray]:
        """Return the deflections x and y at a speed, rad/s, m, each (places, angles); for a single design."""
        each = [response.at(speed) for response in self.responses]
        return np.stack([x for x, _ in each]), np.stack([y for _, y in each])


def bent_line(carried: LoadedShafts, place: int, at: np.ndarray) -> BentLine:
    """Return the bent line of the right (`place` 0) or left (1) shaft at places along it, m; for a single design.

    Beyond the shaft's ends the line goes on straight, as the rigid arm that holds the throw does.
    """
    shaft, loads, state = carried.engine.shafts.pair[place], carried.loads[place], carried.states[place]
    forces = force_places(loads)
    found = influence(shaft, [*forces, *at], [], state.gives)
    weights = (found.bending + found.seating)[len(forces) :, : len(forces)]
    return BentLine(at, state.loads.respond(weights))
