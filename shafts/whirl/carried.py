"""The inertia of a crank that moves in a few ways: masses times ways are worked out once, not at every speed."""

from functools import cached_property

import numpy as np

from balance.quantities import result
from shafts.whirl.pair import Side
from shafts.whirl.periodic import between, derivatives, finer


@result
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
        count = courses.shape[-1]
        once, twice = derivatives(count)
        forces = self.massed @ np.concatenate([courses @ twice.T, courses @ once.T, courses], axis=-2)
        if not self.side.guided:
            return forces
        fine = between(count, finer(count))
        x, y = self._points
        moved = courses @ fine
        along = self._x * (self.ways[x] @ moved) + self._y * (self.ways[y] @ moved)
        pull = self._mass * (along @ derivatives(finer(count))[1].T)
        back = fine.T * (count / finer(count))
        for columns, way in ((x, self._x), (y, self._y)):
            for place, each in zip(columns, np.moveaxis(way * pull @ back, -2, 0), strict=True):
                forces[:, place] += each
        return forces

    @cached_property
    def _points(self) -> tuple[list[int], list[int]]:
        """Columns x and y of what each guided mass follows."""
        x, y = zip(*(self.side.columns(each.point) for each in self.side.guided), strict=True)
        return list(x), list(y)

    @cached_property
    def _x(self) -> np.ndarray:
        return np.stack([each.x for each in self.side.guided])

    @cached_property
    def _y(self) -> np.ndarray:
        return np.stack([each.y for each in self.side.guided])

    @cached_property
    def _mass(self) -> np.ndarray:
        return np.array([[each.mass] for each in self.side.guided])


def carried(side: Side, ways: np.ndarray) -> Carried:
    """Return what a crank carries along in some ways, (columns, ways)."""
    rotor = side.rotor
    return Carried(side, ways, np.concatenate([rotor.mass @ ways, -rotor.cross @ ways, rotor.spin @ ways], axis=1))
