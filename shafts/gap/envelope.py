"""Bounds of the gap of two yokes at every angle: what it is without play, give or take all that has play."""

from dataclasses import dataclass

import numpy as np

from balance.quantities import Number
from shafts.gap.course import GapCurve


@dataclass(frozen=True, eq=False)
class Envelope:
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


def envelope_of(course: GapCurve, top: Number) -> Envelope:
    """Return bounds of the gap at speeds from 0 to `top`, rad/s."""
    rest, end = (course.plain.at(speed[..., None]) for speed in (np.zeros_like(top), np.asarray(top)))
    # The size of the tooth force is convex in speed squared: it is largest at an end.
    push = np.maximum(*(np.abs(course.tooth.at(speed[..., None])) for speed in (np.zeros_like(top), np.asarray(top))))
    play = np.sum(np.sqrt(course.across**2 + course.along**2), axis=-2) + np.sum(np.abs(course.slack), axis=-2)
    lead = np.max(np.abs(np.stack(np.broadcast_arrays(*course.leads))), axis=0)
    return Envelope(rest, end, play + lead + np.abs(course.apart) * push)
