"""Work on many blocks of options at once: on as many processes as there are, or on a cluster."""

import multiprocessing
import os
import signal
import threading
from collections import deque
from collections.abc import Callable, Iterable, Iterator
from concurrent.futures import Executor, ProcessPoolExecutor
from contextvars import ContextVar
from dataclasses import dataclass
from multiprocessing.connection import wait
from typing import TypeVar

Asked = TypeVar("Asked")
Done = TypeVar("Done")

AHEAD = 3  # blocks under way for each process


@dataclass(frozen=True, eq=False)
class Helpers:
    """Who does the work in place of processes of this machine.   workers : how many there are."""

    executor: Executor
    workers: int


HELPERS: ContextVar[Helpers | None] = ContextVar("helpers", default=None)


def in_parallel(
    work: Callable[[Asked], Done],
    blocks: Iterable[Asked],
    executor: Executor | None = None,
    workers: int | None = None,
) -> Iterator[Done]:
    """Yield what some work makes of each block, in order; a few blocks are drawn ahead of what is yielded.

    executor : anything that keeps to concurrent.futures, e.g. that of a cluster; by default as many
    processes as there are processors, or `workers`; 1 works in this process. Those in `HELPERS` come before these.
    """
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


def _in_order(executor: Executor, work: Callable[[Asked], Done], blocks: Iterable[Asked], ahead: int) -> Iterator[Done]:
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
