"""The inertia of a crank that moves in a few ways: masses times ways are worked out once, not at every speed."""

from dataclasses import dataclass

import numpy as np

from shafts.whirl.pair import Side
from shafts.whirl.periodic import derivatives, projected, pulled, refined


@dataclass(frozen=True, eq=False)
class Carried:
    """What a crank carries along as it moves in some ways.

    side : the crank.   ways : what each way moves in its columns, (columns, ways).
    massed : M, -G and S of all columns, times the ways, one beside the other, (columns, 3 ways).
    """

    side: Side
    ways: np.ndarray
    massed: np.ndarray

    def inertia(self, courses: np.ndarray) -> np.ndarray:
        """Return what W^2 multiplies, (speeds, columns, angles), for courses of the ways, (speeds, ways, angles)."""
        once, twice = derivatives(courses.shape[-1])
        found = self.massed @ np.concatenate([courses @ twice.T, courses @ once.T, courses], axis=-2)
        for each in self.side.guided:
            columns = self.side.columns(each.point)
            both = refined(np.swapaxes(self.ways[columns] @ courses, -1, -2))
            pull = pulled(each.mass, each.x * both[..., 0] + each.y * both[..., 1])
            for column, way in zip(columns, (each.x, each.y), strict=True):
                found[:, column] += projected((way * pull)[..., None])[..., 0]
        return found


def carried(side: Side, ways: np.ndarray) -> Carried:
    """Return what a crank carries along in some ways, (columns, ways)."""
    rotor = side.rotor
    return Carried(side, ways, np.concatenate([rotor.mass @ ways, -rotor.cross @ ways, rotor.spin @ ways], axis=1))
