"""One limit and how a design stands against it."""

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from typing import Literal

import numpy as np

from balance.doubt.ranges import Range
from balance.quantities import Scalar

Sense = Literal["at most", "at least"]
State = Literal["pass", "FAIL", "depends", "not checked"]
"""The only states of a limit; a pass says that all that could break it was looked at."""


@dataclass(frozen=True, eq=False)
class Turn:
    """An entry that decides whether a limit holds, all others at their middle.

    range : what is known of it.   explains : part of the value's spread that is gone once it is known.
    at : value from which on the limit holds, run and confirmed; None if it does not turn, or turns more than once.
    side : on which side of `at` it holds.
    """

    name: str
    range: Range
    explains: float
    at: float | None
    side: Literal["above", "below"] | None


@dataclass(frozen=True, eq=False)
class Doubt:
    """How a limit stands in machines drawn from all that is not known.

    count : machines looked at.   share, low, high : of those in which it holds, with its 95 percent interval (Wilson).
    sure : share that must hold for a pass.   spread : between which values 90 of 100 machines lie.
    worst : value in the worst corner: each entry by itself at its worst end, all together; None if there is none.
    one_way : whether the value rises or falls all along each entry by itself, so that the worst is in that corner
    unless entries turn each other round; else `worst` is only the worst that was found.
    turns : the one to three entries that decide it.   fit : part of the margin's spread that entries one by one
    account for (R^2 of the fit that ranks them); the rest is what several do only together. NaN where none is ranked.
    note : how it was looked at, if not by draws.   words : on what it depends, and how to find that out.
    vibration : how vibration of the shafts was looked at in the machines, in words, where it bears upon the limit.
    vibration_off : by how much machines with vibration of their own were found off at most; None if none was tried.
    """

    count: int
    share: float
    low: float
    high: float
    sure: float
    spread: tuple[float, float]
    worst: float | None
    turns: tuple[Turn, ...] = ()
    one_way: bool = False
    fit: float = float("nan")
    note: str = ""
    words: str = ""
    vibration: str = ""
    vibration_off: float | None = None

    @property
    def held(self) -> str:
        """In how many machines it holds: of each hundred that may be drawn, or of the few that were looked at."""
        return f"{round(self.share * self.count)} of {self.count}" if self.note else f"{100 * self.share:.0f} of 100"

    @property
    def all_hold(self) -> bool:
        """Whether enough machines hold: surely so, unless a few corners are all that was looked at."""
        return self.share == 1.0 if self.note else self.low >= self.sure

    @property
    def all_fail(self) -> bool:
        """Whether enough machines fail."""
        return self.share == 0.0 if self.note else self.high <= 1.0 - self.sure


@dataclass(frozen=True, eq=False)
class Row:
    """One limit; numbers in SI, of shape (options...) where many designs are judged at once.

    key : name of the limit as in `limits:`, and of what it is looked at on where there are several ("bearing_life").
    what : in words, with the part ("life of right bearing 1").
    value, limit : None where the limit was not checked; then `change` says what was left out.
    unit : SI unit of both.
    speed, angle : worst speed, rad/s, and crank angle, rad, where they matter.
    unlooked : what to give so that the rest of what could break the limit can be looked at; while there is something,
    a value within the limit is no pass.
    asked : False for a limit that nobody asked for: it weighs nothing in the whole.
    advice : what to give so that it can be checked; for a single design that fails, what to change, worked out by
    designs.counsel when it is first read.
    doubt : how it stands in all machines that this one may be; None where nothing is in doubt, or it was not looked at.
    where : the part that is worst, in a few words, for a short line; "" where there is but one.
    """

    key: str
    what: str
    value: Scalar | None
    limit: Scalar | None
    unit: str
    sense: Sense
    advice: str | Callable[[], str] = ""
    speed: Scalar | None = None
    angle: Scalar | None = None
    unlooked: str = ""
    asked: bool = True
    doubt: Doubt | None = None
    where: str = ""

    @property
    def name(self) -> str:
        """The limit in a few words, as every list of limits has it."""
        return name_of(self.key)

    @cached_property
    def change(self) -> str:
        """The advice in words, worked out when it is first read."""
        return self.advice if isinstance(self.advice, str) else self.advice()

    @property
    def checked(self) -> bool:
        """Whether there was enough to go on."""
        return self.value is not None and self.limit is not None

    @cached_property
    def passed(self) -> np.ndarray | None:
        """Whether the limit holds on what was looked at, (options...); None where nothing was. NaN never holds."""
        if self.value is None or self.limit is None:
            return None
        value, limit = np.asarray(self.value), np.asarray(self.limit)
        return value <= limit if self.sense == "at most" else value >= limit

    @property
    def state(self) -> State:
        """How a single design stands: what fails on the part that was looked at fails, whatever else is unlooked."""
        if self.passed is None:
            return "not checked"
        holds = bool(np.all(self.passed))
        if self.doubt is not None and not (self.doubt.all_hold if holds else self.doubt.all_fail):
            return "depends"
        if not holds:
            return "FAIL"
        return "not checked" if self.unlooked else "pass"

    @property
    def left_out(self) -> bool:
        """Whether somebody asked for it and it could not be looked at."""
        return self.state == "not checked" and self.asked

    @property
    def words(self) -> str:
        """What to change, or what to find out or give so that all that could break the limit is looked at."""
        if self.doubt is not None and self.state == "depends":
            return self.doubt.words
        return self.unlooked if self.unlooked and self.state == "not checked" else self.change

    @cached_property
    def margin(self) -> np.ndarray | None:
        """How far the value is on the safe side, as a share of the limit; negative where it fails."""
        if self.value is None or self.limit is None:
            return None
        value, limit = np.asarray(self.value, dtype=float), np.asarray(self.limit, dtype=float)
        reserve = limit - value if self.sense == "at most" else value - limit
        against_zero = np.where(reserve == 0, 0.0, np.copysign(np.inf, reserve))
        return np.where(limit != 0, reserve / np.where(limit != 0, np.abs(limit), 1.0), against_zero)


NAMES = {
    "contact": "first contact",
    "uplift": "foot uplift",
    "stands": "safety from tipping",
    "gap_uneven": "gap as speed swings",
    "shaking_force_uneven": "shaking as speed swings",
    "in_plates": "bearings in plates",
    "on_yokes": "hold of yokes",
    "weight_screws": "screws of counterweights",
    "axial_room": "clearance along shafts",
    "pushed_on": "way of bearings onto shaft",
    "pin_seats": "depth of seats in webs and hubs",
    "engine_mass": "mass of the engine",
}
"""Limits whose key alone says too little; all others are called by the words of their key."""


def name_of(key: str) -> str:
    """Return the name of a limit in a few words."""
    return NAMES.get(key, key.replace("_", " "))


def names_of(keys: Iterable[str]) -> str:
    """Return the names of limits in one line."""
    return ", ".join(map(name_of, keys))


ORDER: tuple[State, ...] = ("FAIL", "depends", "not checked", "pass")
"""States in the order in which they are shown."""


def used(row: Row, value: float | None = None) -> float | None:
    """Return the share of its limit that a row uses, or that a value would use; None where a limit has no size.

    Of a limit that asks for at least so much it is the limit over the value: half the least safety factor is 2.
    """
    if row.value is None or row.limit is None or not float(row.limit) > 0:
        return None
    value_used, limit = float(row.value) if value is None else value, float(row.limit)
    if row.sense == "at most":
        return value_used / limit
    return limit / value_used if value_used > 0 else np.inf


def worst_first(rows: Iterable[Row]) -> list[Row]:
    """Return rows by state, and in each by the share of the limit that is used; what nobody asked for goes last."""

    def place(row: Row) -> tuple[int, bool, float]:
        share = used(row)
        share = np.inf if share is None and row.state == "FAIL" else share or 0.0
        return ORDER.index(row.state), not row.asked, -share

    return sorted(rows, key=place)


def not_checked(key: str, what: str, missing: str, asked: bool = True) -> Row:
    """Return a row for a limit whose inputs were left out; `asked` is False if the limit itself was."""
    return Row(key, what, None, None, "", "at most", missing, asked=asked)


def failing_keys(rows: Iterable[Row]) -> tuple[str, ...]:
    """Return the keys of the limits that fail, each once, in order."""
    return tuple(dict.fromkeys(row.key for row in rows if row.state == "FAIL"))


def wordless(row: Row) -> Row:
    """Return a row without words that wait to be asked for: they would hold all that was worked out of its design."""
    return row if isinstance(row.advice, str) else replace(row, advice="")


def worst_of(
    values: Sequence[tuple[Scalar, np.ndarray, np.ndarray]], sense: Sense
) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """Return the worst of several (speed, value, angle) for each option, as (value, speed, angle)."""
    every = np.stack(np.broadcast_arrays(*(number for each in values for number in each)))
    every = every.reshape(len(values), 3, *every.shape[1:])
    worst = np.argmax if sense == "at most" else np.argmin
    speed, value, angle = np.take_along_axis(every, worst(every[:, 1], axis=0)[None, None], axis=0)[0]
    return value, speed, angle


def of_worst(shares: Sequence[np.ndarray], values: Sequence[Sequence[Scalar]]) -> list[np.ndarray]:
    """Return, for each option, the values of the part with the largest share of its limit."""
    index = np.argmax(np.stack(np.broadcast_arrays(*shares)), axis=0)[None]
    stacks = [np.stack(np.broadcast_arrays(*each, index[0]))[:-1] for each in zip(*values, strict=True)]
    return [np.take_along_axis(each, index, axis=0)[0] for each in stacks]
