"""The gap of two yokes over the cycle as arrays that wait for a speed: what is fast to work out again and again.

Items in proportion to the loads, and all that stands still, are added up; what follows a load's direction or
sign is kept as that load and what it moves.
"""

from collections.abc import Callable
from dataclasses import dataclass, fields
from functools import reduce
from typing import Any

import numpy as np

from balance.cycle.load import Load, absent
from balance.quantities import Number, Scalar, over_angle
from shafts.bearings.play import taken_up

WITH_ROWS = ("across", "along", "slack")
"""Fields with a row for each bearing or rod at each place."""


@dataclass(frozen=True, eq=False)
class GapCurve:
    """The gap at places and angles, for one design or many; bearings and rods are rows.

    plain : without play, m, (options..., places, angles).
    tooth : tangential force of the teeth, N, (options..., 1, angles).   apart : shift per unit of its size, same shape
    as `plain`.   leads : shift by cranks out of step with that force positive, negative, and nought, m.
    x, y : loads of the bearings without what the teeth push them apart, N, (options..., rows, angles);
    x_apart : what each takes along x per unit of the tooth force's size.   across, along : shift as a bearing takes up
    its play along x and y, m, (options..., places, rows, angles).
    thrust : of the rods, N, (options..., rows, angles).   slack : shift as each rod takes up its play when pulled, m,
    (options..., places, rows, angles).
    """

    plain: Load
    tooth: Load
    apart: np.ndarray
    leads: tuple[np.ndarray, np.ndarray, np.ndarray]
    x: Load
    y: Load
    x_apart: np.ndarray
    across: np.ndarray
    along: np.ndarray
    thrust: Load
    slack: np.ndarray

    def rooms(self, speed: Number) -> np.ndarray:
        """Return the gap at each place at a speed (see Load.at), m, (options..., places, angles)."""
        at = np.asarray(speed)[..., None]
        tooth = self.tooth.at(at)
        push, (ahead, behind, neither) = np.abs(tooth), self.leads
        x, y = taken_up((self.x.at(at) + self.x_apart * push, self.y.at(at)), 2.0)  # of a unit's play each side
        loose = _over_rows(self.across, x) + _over_rows(self.along, y)
        slack = _over_rows(self.slack, np.sign(self.thrust.at(at)))
        lead = np.where(tooth > 0, ahead, np.where(tooth < 0, behind, neither))
        plain = self.plain.at(at) + self.apart * push
        return plain + lead + loose - slack

    def gap(self, speed: Number) -> np.ndarray:
        """Return the gap where it is least at a speed, m, (options..., angles)."""
        return reduce(np.minimum, np.moveaxis(self.rooms(speed), -2, 0))  # for two or three places the quickest

    def at(self, kept: np.ndarray, places: np.ndarray) -> "GapCurve":
        """Return the same at some angles of each option, (options, kept), and at some places, (places,) of booleans."""

        def cut(name: str, values: np.ndarray) -> np.ndarray:
            if name in (*WITH_ROWS, "plain", "apart", "leads") and values.shape[1] > 1 and not np.all(places):
                values = values[:, places]
            return values if values.shape[-1] == 1 else at_numbers(values, kept)

        return self._each(cut)

    def of(self, options: np.ndarray) -> "GapCurve":
        """Return some of the options."""
        return self._each(lambda _, values: values[options])

    def spread(self, options: int) -> "GapCurve":
        """Return the same with an option axis everywhere."""

        def wide(name: str, values: np.ndarray) -> np.ndarray:
            own = 3 if name in WITH_ROWS else 2
            return np.broadcast_to(values, (options, *(1,) * (own - values.ndim), *values.shape[-own:]))

        return self._each(wide)

    def _each(self, change: Callable[[str, np.ndarray], np.ndarray]) -> "GapCurve":
        """Return the same with every array changed; a part of a load that is left out stays so."""

        def changed(name: str, value: Any) -> Any:
            if isinstance(value, Load):
                return value.each(lambda part: change(name, np.asarray(part)))
            if isinstance(value, tuple):
                return tuple(change(name, each) for each in value)
            return change(name, value)

        return GapCurve(**{each.name: changed(each.name, getattr(self, each.name)) for each in fields(self)})


def at_numbers(values: np.ndarray, numbers: np.ndarray) -> np.ndarray:
    """Return arrays (options or 1, ..., angles) at the angles of these numbers, (options, kept): (options, ..., kept).

    What numpy's take_along_axis does, in a fraction of the time.
    """
    rows = np.broadcast_to(values, (len(numbers), *values.shape[1:]))
    first = np.arange(rows[..., 0].size).reshape(*rows.shape[:-1], 1) * rows.shape[-1]
    return rows.reshape(-1).take(first + numbers.reshape(len(numbers), *(1,) * (rows.ndim - 2), -1))


def _over_rows(shifts: np.ndarray, rows: np.ndarray) -> np.ndarray:
    """Return the sum over rows of shifts (options..., places, rows, angles) times (..., rows, angles)."""
    return np.einsum("...pra,...ra->...pa", shifts, rows)


def in_rows(loads: list[Load]) -> Load:
    """Return several loads as rows of one, (options..., rows, angles); one row of nothing if there are none."""
    parts = zip(*(load.parts for load in loads or [Load(gas=np.zeros(1))]), strict=True)

    def in_one(each: tuple) -> Scalar:
        return 0.0 if all(map(absent, each)) else rows_of([np.atleast_1d(part) for part in each])

    return Load(*map(in_one, parts))


def at_rows(value: Scalar) -> np.ndarray:
    """Return a number of shape (options...) as (options..., 1, 1), ready to meet rows and angles."""
    return over_angle(over_angle(value))


def rows_of(courses: list[np.ndarray]) -> np.ndarray:
    """Return several courses over angle as rows, (options..., rows, angles)."""
    return np.stack(np.broadcast_arrays(*courses), axis=-2)
