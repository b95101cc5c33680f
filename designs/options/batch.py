"""Verdicts on very many options: in chunks that fit the cache, on as many processes as there are, or on a cluster.

Options are grouped by how many crank angles their motion needs, so that each is worked out exactly as it
would be alone. Memory does not grow with the number of options: blocks come back one after another.
"""

import multiprocessing
import os
import signal
import threading
from collections import deque
from collections.abc import Callable, Collection, Iterable, Iterator
from concurrent.futures import Executor, ProcessPoolExecutor
from contextvars import ContextVar
from dataclasses import dataclass
from functools import partial
from itertools import pairwise
from multiprocessing.connection import wait
from typing import TypeVar

import numpy as np

from balance.many import legal, one, options_of, picked
from balance.motion import angle_count
from designs.design import Design
from designs.evaluate import Evaluation
from designs.options import figures
from designs.options.figures import Figure, of_limits
from designs.options.memory import keep_freed
from designs.verdict import MANY, verdict_of
from shafts.crank.layout import order

CHUNK = 1024  # options worked out together: fewer cost more calls for each, more leave the cache
USUAL_ANGLES, USUAL_PLACES = 72, 20  # of a design of which so many fit
BLOCK = 2048  # options sent to a process at a time: enough to forget what sending costs, few enough to end together
Done = TypeVar("Done")
AHEAD = 3  # blocks under way for each process


@dataclass(frozen=True, eq=False)
class Helpers:
    """Who does the work in place of processes of this machine.   workers : how many there are."""

    executor: Executor
    workers: int


HELPERS: ContextVar[Helpers | None] = ContextVar("helpers", default=None)


@dataclass(frozen=True, eq=False)
class Verdicts:
    """What came of a block of options; arrays (options,), or (figures, options) in the order of `keys`.

    legal : whether the option can be computed at all; where not, all else is NaN and False.
    values, margins : of each figure, SI, and as a share of its limit; NaN where there is none.
    passed : whether each figure's limit holds; True where there is no limit, or its inputs were left out.
    """

    keys: tuple[str, ...]
    legal: np.ndarray
    values: np.ndarray
    margins: np.ndarray
    passed: np.ndarray

    @property
    def passes(self) -> np.ndarray:
        """Whether every limit holds, (options,)."""
        return self.legal & np.all(self.passed, axis=0)

    def of(self, key: str) -> np.ndarray:
        """Return the values of one figure, (options,)."""
        return self.values[self.keys.index(key)]


def judge_many(
    blocks: Iterable[Design], keys: tuple[str, ...], executor: Executor | None = None, workers: int | None = None
) -> Iterator[Verdicts]:
    """Yield the verdicts on blocks of options, in order, as they are done.

    blocks : designs that hold many options each; see `split`. A few are drawn ahead of what is yielded.
    executor : anything that keeps to concurrent.futures, e.g. that of a cluster; by default as many
    processes as there are processors, or `workers`; 1 works in this process. Those in `HELPERS` come before these.
    """
    yield from in_parallel(partial(judge_options, keys=keys), blocks, executor, workers)


def in_parallel(
    work: Callable[[Design], Done],
    blocks: Iterable[Design],
    executor: Executor | None = None,
    workers: int | None = None,
) -> Iterator[Done]:
    """Yield what some work makes of each block, in order; see `judge_many`."""
    helpers = HELPERS.get()
    if helpers is not None and executor is None and workers != 1:
        executor, workers = helpers.executor, helpers.workers
    workers = workers or usable_processors()
    if executor is not None:
        yield from _in_order(executor, work, blocks, AHEAD * workers)
    elif workers == 1:
        yield from (work(block) for block in blocks)
    else:
        with ProcessPoolExecutor(workers, initializer=serve) as pool:
            yield from _in_order(pool, work, blocks, AHEAD * workers)


def serve() -> None:
    """Make a process one that works for another: Ctrl-C is for that one, and without it there is nothing to do."""
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    signal.signal(signal.SIGTERM, signal.SIG_DFL)
    threading.Thread(target=_end_with_parent, daemon=True).start()


def _end_with_parent() -> None:
    parent = multiprocessing.parent_process()
    assert parent is not None
    wait([parent.sentinel])  # readable once the parent is gone, however it ended
    os._exit(1)


def _in_order(
    executor: Executor, work: Callable[[Design], Done], blocks: Iterable[Design], ahead: int
) -> Iterator[Done]:
    under_way: deque = deque()
    try:
        for block in blocks:
            under_way.append(executor.submit(work, block))
            if len(under_way) >= ahead:
                yield under_way.popleft().result()
        while under_way:
            yield under_way.popleft().result()
    finally:
        for each in under_way:
            each.cancel()


def usable_processors() -> int:
    """Return how many processors this process may use."""
    return len(os.sched_getaffinity(0)) if hasattr(os, "sched_getaffinity") else os.cpu_count() or 1


def split(design: Design, size: int = BLOCK) -> Iterator[Design]:
    """Yield the options of a design in blocks of at most `size`, as many for each processor, and all alike."""
    count = options_of(design)
    assert count is not None
    return (picked(design, part) for part in _parts(count, size, usable_processors()))


def _parts(count: int, size: int, several: int = 1) -> Iterator[slice]:
    """Yield parts of so many things, each of `size` at the most, all alike, their number a multiple of `several`."""
    parts = -(-count // (size * several)) * several
    ends = [count * part // parts for part in range(parts + 1)]
    return (slice(start, end) for start, end in pairwise(ends) if start < end)


def judge_options(design: Design, keys: tuple[str, ...]) -> Verdicts:
    """Return the figures `keys` and every limit among them for a design that holds many options, in this process.

    Raises NoFigureError for a key that is neither a limit nor a column of a table.
    """
    keep_freed()
    count = options_of(design)
    assert count is not None
    fine = legal(design, count)
    values, margins = np.full((2, len(keys), count), np.nan)
    passed = np.zeros((len(keys), count), dtype=bool)
    for places in chunks(design, fine):
        for row, figure in enumerate(figures_of(picked(design, places), keys)):
            values[row, places] = np.nan if figure.value is None else figure.value
            margins[row, places] = np.nan if figure.margin is None else figure.margin
            passed[row, places] = True if figure.passed is None else figure.passed
    return Verdicts(keys, fine, values, margins, passed)


def chunks(design: Design, fine: np.ndarray) -> Iterator[np.ndarray]:
    """Yield the numbers of the legal options in chunks whose cranks are built alike and need as many crank angles."""
    places = np.flatnonzero(fine)
    if not len(places):
        return
    some = picked(design, places) if len(places) < len(fine) else design
    counts = np.broadcast_to(angle_count(some), places.shape)
    columns = [counts[:, None]]
    for shaft in some.shafts.pair:
        standing = order(shaft, some.cranks)
        columns.append(np.broadcast_to(standing, (len(places), standing.shape[-1])))
    keys = np.concatenate(columns, axis=1)
    unlike = np.any(keys != keys[0], axis=0)  # mostly none, and what is alike in all need not be sorted
    unlike[0] = True
    for key in np.unique(keys[:, unlike], axis=0):
        same = places[np.all(keys[:, unlike] == key, axis=1)]
        yield from (same[part] for part in _parts(len(same), together(design, int(key[0]))))


def together(design: Design, angles: int = USUAL_ANGLES) -> int:
    """Return how many options of a design are worked out together, at so many crank angles."""
    return max(1, int(CHUNK * min(USUAL_ANGLES / angles, (USUAL_PLACES / _places(design)) ** 2, 1.0)))


def _places(design: Design) -> int:
    """Return at how many places along its cranks a design has something; memory grows with their square."""
    return (
        max(len(shaft.segments) + len(shaft.bearings) for shaft in design.shafts.pair)
        + 2 * (len(design.cranks.throws) + len(design.yokes))
        + len(design.cranks.webs)
    )


def figures_of(design: Design, keys: tuple[str, ...]) -> list[Figure]:
    """Return figures of a chunk of options; those that only tables have are worked out one option at a time."""
    evaluation = Evaluation(design)
    limits = limits_of(evaluation, keys)
    known = limits | _of_tables(evaluation, [key for key in keys if key not in limits])
    return [known[key] for key in keys]


def limits_of(evaluation: Evaluation, keys: Collection[str] | None = None) -> dict[str, Figure]:
    """Return the figure of each limit that can be judged for many options at once.

    keys : the limits that are wanted; only they, and what is judged along with them, are worked out.
    """
    sources = [source for source in MANY if keys is None or not set(source.KEYS).isdisjoint(keys)]
    return of_limits([row for source in sources for row in source.rows(evaluation)])


def _of_tables(evaluation: Evaluation, keys: list[str]) -> dict[str, Figure]:
    usual = {key: figures.usual(evaluation, key) for key in keys if key in figures.TABLE_FIGURES}
    found = {key: figure for key, figure in usual.items() if figure is not None}
    return found | _one_by_one(evaluation.design, [key for key in keys if key not in found])


def _one_by_one(design: Design, keys: list[str]) -> dict[str, Figure]:
    """Return figures of options that are each worked out alone, once for all of them."""
    if not keys:
        return {}
    count = options_of(design)
    assert count is not None
    singles = (Evaluation(one(design, place)) for place in range(count))
    found = [[alone(single, key) for key in keys] for single in singles]
    columns = {}
    for key, (first, *others) in zip(keys, zip(*found, strict=True), strict=True):
        values = np.array([np.nan if each.value is None else float(each.value) for each in (first, *others)])
        columns[key] = Figure(key, first.what, first.unit, values, better=first.better)
    return columns


def alone(evaluation: Evaluation, key: str) -> Figure:
    """Return any figure of a single design, a limit's or a table's; raises NoFigureError."""
    limits = of_limits(verdict_of(evaluation))
    return limits[key] if key in limits else figures.of_tables(evaluation, key)
