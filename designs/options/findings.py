"""What a search has found so far: the best, the front between several aims, and which limits stand in the way."""

from dataclasses import dataclass, field
from typing import Literal

import numpy as np

from designs.options.batch import Verdicts
from designs.options.varying import BadSearchError

MARGIN = "margin"
"""The key of the least margin among all limits, which any search may aim at."""
KEPT = 2000  # passing options kept for ranking and picture
CROWD = 20_000  # above so many, all but the front and the KEPT best are dropped
BINDS = 0.02  # a limit binds where its margin is no more than this


@dataclass(frozen=True)
class Aim:
    """A figure that is to be small or large."""

    sense: Literal["least", "most"]
    key: str

    @property
    def sign(self) -> float:
        """What makes the figure a cost."""
        return 1.0 if self.sense == "least" else -1.0

    def value(self, verdicts: Verdicts) -> np.ndarray:
        """Return the figure of each option, (options,)."""
        return least_margin(verdicts)[0] if self.key == MARGIN else verdicts.of(self.key)

    def cost(self, verdicts: Verdicts) -> np.ndarray:
        """Return what is to be small, (options,)."""
        return self.sign * self.value(verdicts)

    def __str__(self) -> str:
        return f"{self.sense} {self.key}"


def aim(text: str) -> Aim:
    """Return the aim that a text such as "least:shaking_force" names; raises BadSearchError."""
    sense, _, key = (part.strip() for part in text.partition(":"))
    if sense not in ("least", "most") or not key:
        raise BadSearchError(repr(text), "least:KEY or most:KEY")
    return Aim(sense, key)  # type: ignore[arg-type]


def least_margin(verdicts: Verdicts) -> tuple[np.ndarray, np.ndarray]:
    """Return each option's least margin and the place of its limit among the keys, (options,); inf without limits."""
    # A margin of zero that holds is a fit, or a row against zero that is met to the last digit: held, and no closer.
    unknown = np.isnan(verdicts.margins) | (verdicts.passed & (verdicts.margins == 0))
    margins = np.where(unknown, np.where(verdicts.passed, np.inf, -np.inf), verdicts.margins)
    return np.min(margins, axis=0), np.argmin(margins, axis=0)


@dataclass
class Findings:
    """Grows block by block; arrays of options run along the last axis.

    tried, illegal, passing : counts.   fails, alone : options that fail each limit, and that fail it alone, by key.
    """

    aims: tuple[Aim, ...]
    keys: tuple[str, ...]
    entries: int
    tried: int = 0
    illegal: int = 0
    passing: int = 0
    interrupted: bool = False
    _passed: list[tuple[np.ndarray, Verdicts]] = field(default_factory=list)
    _failed: list[tuple[np.ndarray, Verdicts]] = field(default_factory=list)

    def __post_init__(self) -> None:
        self.fails, self.alone = np.zeros((2, len(self.keys)), dtype=int)

    def add(self, values: np.ndarray, verdicts: Verdicts) -> None:
        """Take in a block: its options' values in the written units, (variations, options), and what came of them."""
        failed = ~verdicts.passed & verdicts.legal
        self.tried += values.shape[1]
        self.illegal += int(np.sum(~verdicts.legal))
        self.passing += int(np.sum(verdicts.passes))
        self.fails += np.sum(failed, axis=1)
        self.alone += np.sum(failed & (np.sum(failed, axis=0) == 1), axis=1)
        self._passed.append(_some(values, verdicts, verdicts.passes))
        self._failed = [_nearest(_joined([*self._failed, _some(values, verdicts, verdicts.legal & ~verdicts.passes)]))]
        if sum(kept.shape[1] for kept, _ in self._passed) > CROWD:
            self._passed = [self._thinned()]

    def _thinned(self) -> tuple[np.ndarray, Verdicts]:
        values, verdicts = _joined(self._passed)
        order, front = self._order(verdicts)
        keep = np.union1d(order[:KEPT], np.flatnonzero(front))
        return _some(values, verdicts, keep)

    def _order(self, verdicts: Verdicts) -> tuple[np.ndarray, np.ndarray]:
        """Return the options from best to worst, and which lie on the front of the aims."""
        costs = np.stack([aim.cost(verdicts) for aim in self.aims])
        front = on_front(costs)
        places = np.stack([np.unique(each, return_inverse=True)[1] for each in costs])
        return np.lexsort((np.sum(places, axis=0), ~front)), front

    def ranked(self) -> "Ranking":
        """Return the passing options from best to worst, each once; those nearest to passing if none does."""
        any_passes = self.passing > 0
        values, verdicts = _joined(self._passed if any_passes else self._failed)
        _, first = np.unique(values, axis=1, return_index=True)
        values, verdicts = _some(values, verdicts, np.sort(first))
        if any_passes:
            order, front = self._order(verdicts)
        else:
            order = np.argsort(_shortfall(verdicts), kind="stable")
            front = np.zeros(len(order), dtype=bool)
        values, verdicts = _some(values, verdicts, order)
        return Ranking(values, verdicts, front[order], any_passes)


@dataclass(frozen=True, eq=False)
class Ranking:
    """Options from best to worst.

    values : in the written units, (variations, options).   front : whether no other is better by every aim.
    passes : whether these pass; else they are those that come nearest to it.
    """

    values: np.ndarray
    verdicts: Verdicts
    front: np.ndarray
    passes: bool


def on_front(costs: np.ndarray) -> np.ndarray:
    """Return which options no other one beats: none is at least as good by all costs and better by one.

    costs : (aims, options).
    """
    front = np.ones(costs.shape[1], dtype=bool)
    order = np.lexsort(costs[::-1])
    remaining = order
    while len(remaining):
        here = costs[:, remaining[0], None]
        others = costs[:, remaining[1:]]
        beaten = np.all(here <= others, axis=0) & np.any(here < others, axis=0)
        front[remaining[1:][beaten]] = False
        remaining = remaining[1:][~beaten]
    return front & ~np.any(np.isnan(costs), axis=0)


def _some(values: np.ndarray, verdicts: Verdicts, which: np.ndarray) -> tuple[np.ndarray, Verdicts]:
    picked = (each[..., which] for each in (verdicts.legal, verdicts.values, verdicts.margins, verdicts.passed))
    return values[:, which], Verdicts(verdicts.keys, *picked)


def _joined(parts: list[tuple[np.ndarray, Verdicts]]) -> tuple[np.ndarray, Verdicts]:
    values = np.concatenate([each for each, _ in parts], axis=1)
    names = ("legal", "values", "margins", "passed")
    arrays = (np.concatenate([getattr(verdicts, name) for _, verdicts in parts], axis=-1) for name in names)
    return values, Verdicts(parts[0][1].keys, *arrays)


def _shortfall(verdicts: Verdicts) -> np.ndarray:
    """Return how far an option is from passing: how many limits fail, then by how much together, (options,)."""
    short = np.where(verdicts.passed, 0.0, np.nan_to_num(-verdicts.margins, nan=1e3, posinf=1e3))
    amount = np.sum(short, axis=0)
    return np.sum(~verdicts.passed, axis=0) + amount / (1 + amount)


def _nearest(options_judged: tuple[np.ndarray, Verdicts]) -> tuple[np.ndarray, Verdicts]:
    return _some(*options_judged, np.argsort(_shortfall(options_judged[1]), kind="stable")[:KEPT])
