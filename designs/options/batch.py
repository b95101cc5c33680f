"""Verdicts on very many options: in chunks that fit the cache, on as many processes as there are, or on a cluster.

Options are grouped by how many crank angles their motion needs, so that each is worked out exactly as it
would be alone. Memory does not grow with the number of options: blocks come back one after another.
"""

from collections.abc import Collection, Iterable, Iterator
from concurrent.futures import Executor
from dataclasses import dataclass
from functools import partial

import numpy as np

from balance.many import legal, one, options_of, picked
from designs.design import Design
from designs.evaluate import Evaluation
from designs.many.chunks import chunks
from designs.many.memory import keep_freed
from designs.many.parallel import in_parallel
from designs.options import figures
from designs.verdict import MANY, verdict_of
from designs.verdict.figure import Figure, of_limits


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

    blocks : designs that hold many options each; see `split`.   executor, workers : see `in_parallel`.
    """
    yield from in_parallel(partial(judge_options, keys=keys), blocks, executor, workers)


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
    known = {key: figure for key, figure in usual.items() if figure is not None}
    return known | _one_by_one(evaluation.design, [key for key in keys if key not in known])


def _one_by_one(design: Design, keys: list[str]) -> dict[str, Figure]:
    """Return figures of options that are each worked out alone, once for all of them."""
    if not keys:
        return {}
    count = options_of(design)
    assert count is not None
    singles = (Evaluation(one(design, option)) for option in range(count))
    rows = [[alone(single, key) for key in keys] for single in singles]
    columns = {}
    for key, (first, *others) in zip(keys, zip(*rows, strict=True), strict=True):
        values = np.array([np.nan if each.value is None else float(each.value) for each in (first, *others)])
        columns[key] = Figure(key, first.what, first.unit, values, better=first.better)
    return columns


def alone(evaluation: Evaluation, key: str) -> Figure:
    """Return any figure of a single design, a limit's or a table's; raises NoFigureError."""
    limits = of_limits(verdict_of(evaluation))
    return limits[key] if key in limits else figures.of_tables(evaluation, key)
