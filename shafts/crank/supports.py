"""What holds a crank: bearings that yield, in seats that yield, in plates that tilt.

What the bearings of one shaft move under their loads is a matrix, metres at each per newton at each: the bearings'
own and their seats' on its diagonal, and the tilt of each plate, which moves all its bearings at once. It is taken
alike in all directions across the shaft, with the softer of two where they differ.
"""

import numpy as np

from balance.quantities import Number, side_by_side
from shafts.bearings.stiffness import by_contact, own_compliance
from shafts.shaft import Shaft

PARTS = ("bearing deflection", "support deflection", "support tilt")


def support_parts(shaft: Shaft, loads: list[Number] | None = None) -> dict[str, np.ndarray]:
    """Return the compliance of a shaft's bearings by its parts, m/N, each (options..., bearings, bearings).

    loads : mean load of each bearing, N. With them, ball bearings whose balls are known and whose stiffness is not
    given yield as contact theory says; without them they count as rigid.
    """
    bearings = [own_compliance(bearing, None if loads is None else loads[index])
           for index, bearing in enumerate(shaft.bearings)]  # fmt: skip
    seats = [0.0 if each.seat_stiffness is None else 1 / each.seat_stiffness for each in shaft.bearings]
    return dict(zip(PARTS, (_diagonal(bearings), _diagonal(seats), _tilt(shaft)), strict=True))


def whole_of(parts: dict[str, np.ndarray]) -> np.ndarray:
    """Return what all parts of the supports yield together, m/N, (options..., bearings, bearings)."""
    return sum(parts.values(), np.zeros(()))


def contact_decides(shaft: Shaft) -> bool:
    """Return whether contact theory decides what any bearing yields, so that its load must be known."""
    return any(by_contact(bearing) for bearing in shaft.bearings)


def left_out(shaft: Shaft) -> list[str]:
    """Return the entries to give so that no support need count as rigid."""
    missing = [f"shafts.bearings.{index}.seat_stiffness" for index, bearing in enumerate(shaft.bearings)
               if bearing.seat_stiffness is None]  # fmt: skip
    return missing if shaft.plates or shaft.tilt_stiffness is not None else [*missing, "shafts.plates"]


def _diagonal(values: list[Number]) -> np.ndarray:
    row = side_by_side(values)
    return row[..., None] * np.eye(row.shape[-1])


def _tilt(shaft: Shaft) -> np.ndarray:
    """A plate turns by its tilt per moment under its bearings' loads times their distance from its middle.

    A tilt stiffness given for all together counts from the middle between the outer bearings.
    """
    total = np.zeros((len(shaft.bearings), len(shaft.bearings)))
    if shaft.tilt_stiffness is not None:
        middle = (np.asarray(shaft.bearings[0].at) + shaft.bearings[-1].at) / 2
        arm = side_by_side([bearing.at - middle for bearing in shaft.bearings])
        return arm[..., :, None] * arm[..., None, :] / np.asarray(shaft.tilt_stiffness)[..., None, None]
    if not shaft.plates:
        return total
    away = side_by_side([bearing.at for bearing in shaft.bearings])
    distances = [away - np.asarray(plate.at)[..., None] for plate in shaft.plates]
    nearest = np.argmin(np.abs(np.stack(np.broadcast_arrays(*distances))), axis=0)
    for number, (plate, distance) in enumerate(zip(shaft.plates, distances, strict=True)):
        arm = np.where(nearest == number, distance, 0.0)
        total = total + np.asarray(plate.tilt)[..., None, None] * arm[..., :, None] * arm[..., None, :]
    return total
