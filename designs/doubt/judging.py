"""Every limit of many machines that one design may be, counterweights as they were cut for it."""

from collections.abc import Iterable
from dataclasses import dataclass, replace

import numpy as np

from balance.many import legal, one, picked
from designs.design import Design
from designs.doubt.unknowns import Unknown, machines
from designs.evaluate import Evaluation
from designs.many.chunks import chunks
from designs.verdict import MANY, SOURCES, source_of, uneven
from designs.verdict.row import Row, wordless

RowKey = tuple[str, int]
"""A row: its key, and which of the rows of that key it is."""


def placed(rows: Iterable[Row]) -> dict[RowKey, Row]:
    """Return rows by their key and number."""
    counts: dict[str, int] = {}
    keyed = {}
    for row in rows:
        counts[row.key] = counts.get(row.key, -1) + 1
        keyed[(row.key, counts[row.key])] = row
    return keyed


@dataclass(frozen=True, eq=False)
class Judged:
    """One limit of many machines, (machines,): NaN and False where a machine cannot be built at all."""

    values: np.ndarray
    limits: np.ndarray
    sense: str

    @property
    def reserve(self) -> np.ndarray:
        """How far each value is on the safe side of its limit; less than zero where it fails."""
        with np.errstate(invalid="ignore"):
            reserve = self.limits - self.values if self.sense == "at most" else self.values - self.limits
        return np.where(np.isnan(self.values), -np.inf, np.where(np.isnan(reserve), 0.0, reserve))

    @property
    def holds(self) -> np.ndarray:
        """Whether the limit holds; NaN never does."""
        return self.values <= self.limits if self.sense == "at most" else self.values >= self.limits

    def seen(self, look: "Closer") -> "Judged":
        """Return the same as a closer look would see it."""
        return replace(self, values=self.values * look.factor + look.more)

    def of(self, machines: np.ndarray | slice) -> "Judged":
        """Return the same of some machines."""
        return replace(self, values=self.values[machines], limits=self.limits[machines])


def joined(first: dict[RowKey, Judged], count: int, more: dict[RowKey, Judged], further: int) -> dict[RowKey, Judged]:
    """Return the limits of so many machines and of further ones; of which a limit is not known, that is not built."""

    def of(judged: dict[RowKey, Judged], row_key: RowKey, machines: int) -> tuple[np.ndarray, np.ndarray]:
        limit = judged.get(row_key)
        return (np.full(machines, np.nan),) * 2 if limit is None else (limit.values, limit.limits)

    joint = {}
    for row_key, each in (more | first).items():
        values, limits = map(np.append, of(first, row_key, count), of(more, row_key, further))
        joint[row_key] = Judged(values, limits, each.sense)
    return joint


@dataclass(frozen=True)
class Closer:
    """What a closer look makes of a value."""

    factor: float = 1.0
    more: float = 0.0


ALONG = {"gap_uneven": "gap", "shaking_force_uneven": "shaking_force"}
"""Limits with the speed as it swings: what the swing changes at the middle machine changes all of them alike."""
AS_SEEN = Closer()
NEARLY = 0.25  # a size that changes by no more is taken to change by that factor in every machine, else by as much


def value_of(row: Row | None) -> float:
    """Return the value of a row; NaN where there is none."""
    return np.nan if row is None or row.value is None else float(np.ravel(row.value)[0])


def closer_look(closer: float, quick: float, nearly: float = NEARLY) -> Closer:
    """Return what the closer look at a row makes of the value that the quick one found for the same machine."""
    if not (np.isfinite(closer) and np.isfinite(quick)):
        return AS_SEEN
    if quick > 0 and abs(closer / quick - 1) <= nearly:
        return Closer(factor=closer / quick)
    return Closer(more=closer - quick)


class Judge:
    """Judges machines that a design may be, by the limits that are among the rows of its own verdict."""

    def __init__(self, middle: Evaluation, unknowns: list[Unknown], rows: list[Row]):
        self.middle, self.unknowns = middle, unknowns
        self._at = placed(rows)
        keys = {row.key for row in rows if row.checked}
        self.sources = [source for source in MANY if not keys.isdisjoint(source.KEYS)]
        self._closer: dict[RowKey, Closer] = {}
        self._last: tuple[bytes, Evaluation | None] = (b"", None)

    @property
    def top(self) -> float:
        """The fastest speed at which the machines are looked at, rad/s."""
        return float(self.middle.top_speed)

    def closer_of(self, row_key: RowKey) -> Closer:
        """Return what the closer look makes of a limit."""
        return self._closer.get(row_key, AS_SEEN)

    def draws(self, shares: np.ndarray) -> dict[RowKey, Judged]:
        """Return every limit of drawn machines, and note what a closer look changes at the middle one."""
        judged = self(np.insert(shares, 0, 0.5, axis=1))
        judged |= self._along(judged)
        for row_key, each in judged.items():
            # A force that stands in proportion, at another speed.
            nearly = np.inf if row_key[0] == "shaking_force_uneven" else NEARLY
            self._closer[row_key] = closer_look(value_of(self._at.get(row_key)), each.values[0], nearly)
        return {row_key: each.of(slice(1, None)).seen(self._closer[row_key]) for row_key, each in judged.items()}

    def __call__(self, shares: np.ndarray, only: Iterable[RowKey] | None = None) -> dict[RowKey, Judged]:
        """Return every limit that is judged for many machines at once; shares (unknowns, machines).

        only : the limits that are wanted; what is judged along with them comes, too.

        The quicker look leaves out what only a closer one sees: every degree, and vibration of the shafts. What that
        changes at the middle machine, once it is drawn, changes all of them alike.
        """
        return self.of(machines(self.middle.design, self.unknowns, shares), shares.shape[1], only)

    def of(self, design: Design, count: int, only: Iterable[RowKey] | None = None) -> dict[RowKey, Judged]:
        """Return the same for machines that are made already."""
        keys = None if only is None else {ALONG.get(key, key) for key, _ in only}
        sources = [source for source in self.sources if keys is None or not keys.isdisjoint(source.KEYS)]
        fine = legal(design, count)
        judged: dict[RowKey, Judged] = {}
        for places in chunks(design, fine):
            part = Evaluation(picked(design, places), cut=self.middle.weights)
            for row_key, row in placed(row for source in sources for row in source.rows(part)).items():
                if row.value is None or row.limit is None:
                    continue
                into = judged.setdefault(row_key, Judged(np.full(count, np.nan), np.full(count, np.nan), row.sense))
                into.values[places], into.limits[places] = row.value, row.limit
        judged |= {row_key: each for row_key, each in self._along(judged).items() if row_key in self._closer}
        return {row_key: each.seen(self._closer.get(row_key, AS_SEEN)) for row_key, each in judged.items()}

    def _along(self, judged: dict[RowKey, Judged]) -> dict[RowKey, Judged]:
        """Return the limits that are judged along with others, still as those."""
        bases = {row_key: (ALONG[row_key[0]], row_key[1]) for row_key in self._at if row_key[0] in ALONG}
        return {row_key: judged[base] for row_key, base in bases.items() if base in judged}

    def whole(self, shares: np.ndarray, keys: set[str]) -> list[Row] | None:
        """Return limits that are judged for one machine at a time, without words; None if it cannot be built."""
        single = self._single(shares)
        if single is None:
            return None
        asked = {source_of(key, self.middle) for key in keys}
        sources = (source for source in SOURCES if source in asked and source not in (*MANY, uneven))
        return [wordless(row) for source in sources for row in source.rows(single) if row.key in keys]

    def alone(self, shares: np.ndarray, keys: set[str]) -> dict[RowKey, float]:
        """Return limits that are judged for many machines at once, of one worked out whole; none if it is not built."""
        single = self._single(shares)
        judging = [*self.sources, uneven]
        sources = [] if single is None else [source for source in judging if not keys.isdisjoint(source.KEYS)]
        rows = placed(row for source in sources for row in source.rows(single))
        return {row_key: value_of(row) for row_key, row in rows.items() if row.value is not None}

    def knows(self, shares: np.ndarray) -> bool:
        """Whether a machine, (unknowns,), was the last to be worked out whole: one is kept, as each may take 100 MB."""
        return shares.tobytes() == self._last[0]

    def _single(self, shares: np.ndarray) -> Evaluation | None:
        """Return one machine, (unknowns,), looked at as closely as the middle one; None if it cannot be built."""
        if not self.knows(shares):
            self._last = b"", None  # let go of before the next one is there
            design = machines(self.middle.design, self.unknowns, shares[:, None])
            fine = legal(design, 1)[0]
            look = Evaluation(one(design, 0), self.middle.oversampling, self.middle.weights) if fine else None
            self._last = shares.tobytes(), look
        return self._last[1]
