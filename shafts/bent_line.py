"""The bent line of a shaft: its deflection at any place along it, not at its throws alone."""

import numpy as np

from balance.many import refuse_many
from balance.quantities import Number, result
from shafts.crank.build import crank
from shafts.crank.compliance import Unit, respond
from shafts.crank.vectors import CrankVector
from shafts.loaded_shafts import LoadedShafts


@result
class BentLine:
    """Deflections of one shaft at places along its axis, all that yields included.

    at : places, m, (places,).   vectors : deflection over the cycle at each of them, m.
    """

    at: np.ndarray
    vectors: list[CrankVector]

    def deflections(self, speed: Number) -> tuple[np.ndarray, np.ndarray]:
        """Return the deflections x and y at a speed, rad/s, m, each (places, angles); for a single design."""
        shifts = [vector.on_bench(speed) for vector in self.vectors]
        return np.stack([x for x, _ in shifts]), np.stack([y for _, y in shifts])


def bent_line(loaded: LoadedShafts, side: int, at: np.ndarray) -> BentLine:
    """Return the bent line of the right (`side` 0) or left (1) shaft at places along it, m; for a single design.

    Beyond the shaft's ends it is what lies there that moves: webs and crankpins, seen at the shaft's axis.
    """
    refuse_many(loaded.engine, "the bent line of a shaft")
    loaded_crank = loaded.cranks[side]
    asked = [column for z in at for column in ((Unit(z, fx=1.0),), (Unit(z, fy=1.0),))]
    bearings = [bearing.at for bearing in loaded_crank.shaft.bearings]
    held = next(each.at for each in loaded_crank.loads if each.name in ("gear teeth", "coupling"))
    columns = [*loaded_crank.stations.columns[: loaded_crank.stations.loads], *asked]
    marks = [*bearings, held, *(unit.z for column in columns for unit in column)]
    chain = crank(loaded_crank.shaft, loaded.engine.cranks, loaded_crank.hand, marks)
    response = respond(chain, columns, bearings, held, loaded_crank.compliance)
    rows = list(range(loaded_crank.stations.loads, len(columns)))
    weights = response.by_members(rows) + response.by_supports(rows, loaded_crank.compliance)
    return BentLine(at, loaded_crank.vectors(weights[..., : loaded_crank.stations.loads]))
