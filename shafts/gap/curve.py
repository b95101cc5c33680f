"""The gap of two yokes over the cycle, or one line of its budget, as arrays that wait for a speed.

What is in proportion to the loads, and all that stands still, is one load. Play that follows a load's direction is
kept as that load and what it moves. Lines add up to the gap: there is no other way in which it is worked out.
"""

from collections.abc import Callable
from dataclasses import fields, is_dataclass, replace
from functools import reduce
from typing import Any

import numpy as np

from balance.cycle.at_speed import AtSpeed, stacked
from balance.cycle.load import Load, absent
from balance.quantities import Number, Scalar, over_angle, result
from shafts.bearings.play import taken_up

NOTHING = Load()


@result
class Leads:
    """Shift by cranks out of step, m, (options..., places, angles), by the sign of the tooth force: +, -, zero."""

    ahead: np.ndarray
    behind: np.ndarray
    neither: np.ndarray


@result
class BearingRows:
    """Bearings in which the shaft is pressed along its load, a row each; loads in the crank frame.

    x, y : loads without what the teeth push apart, N, (options..., rows, angles).   x_apart, y_apart : what each takes
    of that per newton of the tooth force's size.   across, along : shift as a bearing takes up its play along x and
    along y, m, (options..., places, rows, angles).
    """

    x: Load
    y: Load
    x_apart: np.ndarray
    y_apart: np.ndarray
    across: np.ndarray
    along: np.ndarray


@result
class RodRows:
    """Pins of rods, and guides in which a yoke leans, a row each.

    thrust : along the rod, N, positive where it is pressed, (options..., rows, angles); of a guide its couple, N m.
    slack : shift as each takes up its play when pulled, m, (options..., places, rows, angles).
    """

    thrust: Load
    slack: np.ndarray


@result
class GapCurve:
    """A gap, or what adds to it, at places and angles; for one design or many.

    plain : without play, m, (options..., places, angles).   apart : per newton of the size of the tooth force.
    tooth : tangential force of the teeth, N, (options..., 1, angles); needed by `apart`, `leads` and `bearings`.
    """

    plain: Load = NOTHING
    apart: Scalar = 0.0
    tooth: Load | None = None
    leads: Leads | None = None
    bearings: BearingRows | None = None
    rods: RodRows | None = None

    def __add__(self, other: "GapCurve") -> "GapCurve":
        parts = {name: _the_one_given(getattr(self, name), getattr(other, name))
                 for name in ("tooth", "leads", "bearings")}  # fmt: skip
        parts["rods"] = _rows_of_both(self.rods, other.rods)
        return GapCurve(self.plain + other.plain, self.apart + other.apart, **parts)

    def clearances(self, speed: Number) -> np.ndarray:
        """Return the gap at each place at a speed (see Load.at), m, (options..., places, angles)."""
        at = np.asarray(speed)[..., None]
        gap = self.plain.at(at)
        tooth = None if self.tooth is None else self.tooth.at(at)
        push = 0.0 if tooth is None else np.abs(tooth)
        if tooth is not None:
            gap = gap + self.apart * push
        if self.leads is not None:
            sense = 0.0 if tooth is None else tooth
            leads = self.leads
            gap = gap + np.where(sense > 0, leads.ahead, np.where(sense < 0, leads.behind, leads.neither))
        if self.bearings is not None:
            rows = self.bearings
            x, y = rows.x.at(at) + rows.x_apart * push, rows.y.at(at) + rows.y_apart * push
            x, y = taken_up((x, y), 2.0)  # of a unit's play each side
            gap = gap + sum_over_rows(rows.across, x) + sum_over_rows(rows.along, y)
        if self.rods is not None:
            gap = gap - sum_over_rows(self.rods.slack, np.sign(self.rods.thrust.at(at)))
        return gap

    def gap(self, speed: Number) -> np.ndarray:
        """Return the gap where it is least at a speed, m, (options..., angles)."""
        return reduce(np.minimum, np.moveaxis(self.clearances(speed), -2, 0))  # for two or three places the quickest

    def each(self, change: Callable[[str, np.ndarray], np.ndarray]) -> "GapCurve":
        """Return the same with every array changed, called with its field's name; what is left out stays so."""
        return _changed("", self, change)


def _changed(name: str, part: Any, change: Callable[[str, np.ndarray], np.ndarray]) -> Any:
    if part is None:
        return part
    if isinstance(part, Load):
        return part.each(lambda values: change(name, np.asarray(values)))
    if is_dataclass(part) and not isinstance(part, type):
        return replace(part, **{each.name: _changed(each.name, getattr(part, each.name), change)
                                for each in fields(part)})  # fmt: skip
    return part if absent(part) else change(name, np.asarray(part))


def _the_one_given(one: Any, other: Any) -> Any:
    """Return the one that is there; each kind of play is in one line alone, and the teeth are the same in all."""
    return one if other is None else other


def _rows_of_both(one: RodRows | None, other: RodRows | None) -> RodRows | None:
    """Return the rows of two lines together."""
    if one is None or other is None:
        return _the_one_given(one, other)
    counts = one.slack.shape[-2], other.slack.shape[-2]
    parts: list[Any] = []
    for both in zip(one.thrust.parts, other.thrust.parts, strict=True):
        if any(part is None for part in both):
            parts.append(None)
            continue
        filled = [np.zeros((rows, 1)) if absent(part) else part for part, rows in zip(both, counts, strict=True)]
        parts.append(0.0 if all(map(absent, both)) else _concatenated(*filled))
    return RodRows(Load(*parts), _concatenated(one.slack, other.slack))


def _concatenated(*rows: Any) -> Any:
    """Return rows (options..., rows, angles) one after the other."""
    if any(isinstance(each, AtSpeed) for each in rows):  # of a single design
        return stacked([each[index] for each in rows for index in range(each.shape[0])])
    options = np.broadcast_shapes(*(each.shape[:-2] for each in rows))
    angles = max(each.shape[-1] for each in rows)
    return np.concatenate([np.broadcast_to(each, (*options, each.shape[-2], angles)) for each in rows], axis=-2)


def sum_over_rows(shifts: np.ndarray, rows: np.ndarray) -> np.ndarray:
    """Return the sum over rows of shifts (options..., places, rows, angles) times (..., rows, angles)."""
    return np.einsum("...pra,...ra->...pa", shifts, rows)


def in_rows(loads: list[Load]) -> Load:
    """Return several loads as rows of one, (options..., rows, angles)."""
    parts = zip(*(load.parts for load in loads), strict=True)

    def in_one(same_part: tuple) -> Any:
        if any(part is None for part in same_part):
            return None
        if any(isinstance(part, AtSpeed) for part in same_part):
            return stacked(list(same_part))
        return 0.0 if all(map(absent, same_part)) else rows_of([np.atleast_1d(part) for part in same_part])

    return Load(*map(in_one, parts))


def at_rows(value: Scalar) -> np.ndarray:
    """Return a number of shape (options...) as (options..., 1, 1), ready to meet rows and angles."""
    return over_angle(over_angle(value))


def rows_of(histories: list[np.ndarray]) -> np.ndarray:
    """Return several arrays over angle as rows, (options..., rows, angles)."""
    return np.stack(np.broadcast_arrays(*histories), axis=-2)
