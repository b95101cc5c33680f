"""Between what the gap of two yokes can be at every angle: what it is without play, give or take all that has play."""

import numpy as np

from balance.quantities import Number, result
from shafts.gap.curve import GapCurve


@result
class GapBounds:
    """Between what the gap surely is: in proportion to speed squared from `rest` to `top`, give or take `loose`, m.

    Each (options, places, angles).
    """

    rest: np.ndarray
    top: np.ndarray
    loose: np.ndarray

    @property
    def least(self) -> np.ndarray:
        """The least that the gap can be at any speed."""
        return np.minimum(self.rest, self.top) - self.loose

    @property
    def most(self) -> np.ndarray:
        """The most that the gap can be at any speed."""
        return np.maximum(self.rest, self.top) + self.loose

    @property
    def dip(self) -> np.ndarray:
        """The most by which a parabola through each angle and its neighbours can fall below it, if it is the lowest."""
        beside = np.min(self.most, axis=-2, keepdims=True)
        bend = np.roll(beside, 1, axis=-1) + np.roll(beside, -1, axis=-1) - 2 * self.least
        return np.maximum(bend, 0.0) / 8  # as much as where a neighbour is as low


def bounds_of(curve: GapCurve, top: Number) -> GapBounds:
    """Return bounds of the gap at speeds from 0 to `top`, rad/s."""
    ends = np.zeros_like(top), np.asarray(top)
    rest, end = (curve.plain.at(speed[..., None]) for speed in ends)
    loose = np.zeros(1)
    if curve.tooth is not None:
        # The size of the tooth force is convex in speed squared: it is largest at an end.
        push = np.maximum(*(np.abs(curve.tooth.at(speed[..., None])) for speed in ends))
        loose = loose + np.abs(curve.apart) * push
    if curve.bearings is not None:
        loose = loose + np.sum(np.sqrt(curve.bearings.across**2 + curve.bearings.along**2), axis=-2)
    if curve.rods is not None:
        loose = loose + np.sum(np.abs(curve.rods.slack), axis=-2)
    if curve.leads is not None:
        leads = curve.leads.ahead, curve.leads.behind, curve.leads.neither
        loose = loose + np.max(np.abs(np.stack(np.broadcast_arrays(*leads))), axis=0)
    return GapBounds(rest, end, np.broadcast_to(loose, rest.shape))
