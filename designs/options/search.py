"""Looking for the best among many options: what is asked for, in which order options are tried, what is found.

Every limit that can be judged for many at once is a constraint. The same search gives the same answer,
whether it runs through or is resumed from what an interrupted run has kept.
"""

from collections.abc import Callable, Iterator
from concurrent.futures import Executor
from dataclasses import dataclass
from typing import Literal

import numpy as np

from balance.many import planted
from designs.changing.groups import grouped
from designs.design import Design
from designs.options.batch import Verdicts, judge_many, judge_options
from designs.options.findings import Aim, Findings
from designs.options.journal import Journal
from designs.options.varying import BadSearchError, Variation

Method = Literal["grid", "hypercube", "global"]
MOST_OPTIONS = 10_000_000
BLOCKS = 16  # a small search is still cut into this many blocks, so that every processor has work
LEAST_BLOCK, MOST_BLOCK = 64, 1024
FEW = 256  # options that are done sooner than a second process has started
POPULATION = 12  # members of the global search's population for each varied entry
ILLEGAL, FAILING = 1e18, 1e9  # costs in the global search: any passing option beats any failing one


@dataclass(frozen=True, eq=False)
class Search:
    """What is asked for.

    design : what is varied.   keys : the figures that are worked out of each option.
    samples : how many options are tried; a grid has as many as it has.
    """

    design: Design
    variations: tuple[Variation, ...]
    aims: tuple[Aim, ...]
    keys: tuple[str, ...]
    method: Method
    samples: int
    seed: int

    @property
    def count(self) -> int:
        """How many options are tried, at most."""
        if self.method == "grid":
            return int(np.prod([len(each.even) for each in self.variations], dtype=float))
        return self.samples

    @property
    def block(self) -> int:
        """How many options are tried at a time."""
        if self.method == "global":
            return POPULATION * len(self.variations)
        return int(np.clip(-(-self.count // BLOCKS), LEAST_BLOCK, MOST_BLOCK))

    def options(self, values: np.ndarray) -> Design:
        """Return the options with these values in the written units, (variations, options), as one design."""
        design = self.design
        for each, numbers in zip(self.variations, values, strict=True):
            if each.group:
                design = grouped(design, each.si(numbers))
        for each, numbers in zip(self.variations, values, strict=True):
            design = planted(design, each.targets, each.si(numbers))
        return design


def check(search: Search) -> None:
    """Refuse a search that cannot be made; raises BadSearchError."""
    if search.count > MOST_OPTIONS:
        raise BadSearchError(
            f"{search.count:,} options", f"up to {MOST_OPTIONS:,}; give fewer values, or --method hypercube"
        )
    if search.method == "global" and len(search.aims) > 1:
        raise BadSearchError("several aims for the global method", "one aim; or --method hypercube")
    paths = [target for each in search.variations for target in each.targets]
    twice = next((".".join(path) for path in paths if paths.count(path) > 1), None)
    if twice is not None:
        raise BadSearchError(f"{twice} varied twice", "each entry varied once")


def run(
    search: Search,
    journal: Journal,
    told: Callable[[int], None],
    executor: Executor | None = None,
    workers: int | None = None,
) -> Findings:
    """Try the options and return what is found; what is done so far, if it is interrupted.

    told : called with the number of options done since the last call.
    """
    findings = Findings(search.aims, search.keys, len(search.variations))

    def take(values: np.ndarray, verdicts: Verdicts) -> None:
        findings.add(values, verdicts)
        told(values.shape[1])

    try:
        if search.method == "global":
            _evolve(search, journal, take)
        else:
            for values, verdicts in _planned(search, journal, executor, workers):
                take(values, verdicts)
    except KeyboardInterrupt:
        findings.interrupted = True
    return findings


def _planned(
    search: Search, journal: Journal, executor: Executor | None, workers: int | None
) -> Iterator[tuple[np.ndarray, Verdicts]]:
    """Yield the blocks of a grid or a hypercube with what came of them, in order."""
    plan = _grid(search) if search.method == "grid" else _hypercube(search)
    numbers = range(-(-search.count // search.block))
    missing = [number for number in numbers if number not in journal]
    few = len(missing) * search.block <= FEW
    judged = judge_many(
        (search.options(plan(number)) for number in missing), search.keys, executor, 1 if few else workers
    )
    results = zip(missing, judged, strict=True)
    awaited = set(missing)  # as planned: what comes to the folder meanwhile is not looked at
    for number in numbers:
        values = plan(number)
        verdicts = None if number in awaited else journal.verdicts(number, values)
        if number in awaited:
            done, verdicts = next(results)
            assert done == number
            journal.keep(number, values, verdicts)
        elif verdicts is None:
            verdicts = judge_options(search.options(values), search.keys)
            journal.keep(number, values, verdicts)
        yield values, verdicts


def _grid(search: Search) -> Callable[[int], np.ndarray]:
    axes = [each.even for each in search.variations]

    def plan(number: int) -> np.ndarray:
        places = np.arange(number * search.block, min((number + 1) * search.block, search.count))
        steps = np.unravel_index(places, [len(axis) for axis in axes])
        return np.stack([axis[step] for axis, step in zip(axes, steps, strict=True)])

    return plan


def _hypercube(search: Search) -> Callable[[int], np.ndarray]:
    from scipy.stats import qmc  # takes longer to import than all else

    generator = np.random.default_rng(search.seed)
    shares = qmc.LatinHypercube(len(search.variations), rng=generator).random(search.samples).T

    def plan(number: int) -> np.ndarray:
        part = shares[:, number * search.block : (number + 1) * search.block]
        return np.stack([each.at(share) for each, share in zip(search.variations, part, strict=True)])

    return plan


def _evolve(search: Search, journal: Journal, take: Callable[[np.ndarray, Verdicts], None]) -> None:
    """Let populations evolve toward the aim: differential evolution, Storn and Price, J. Glob. Optim. 11 (1997) 341."""
    from scipy.optimize import differential_evolution  # a heavy import that only this method needs

    number = 0

    def cost(shares: np.ndarray) -> np.ndarray:
        nonlocal number
        values = np.stack([each.at(share) for each, share in zip(search.variations, shares, strict=True)])
        verdicts = journal.verdicts(number, values)
        if verdicts is None:
            verdicts = judge_options(search.options(values), search.keys)
            journal.keep(number, values, verdicts)
        number += 1
        take(values, verdicts)
        return _costs(verdicts, search.aims[0])

    differential_evolution(
        cost,
        [(0.0, 1.0)] * len(search.variations),
        maxiter=max(search.samples // search.block - 1, 1),
        popsize=POPULATION,
        tol=1e-9,  # goes on until the samples are used up or all members are alike
        rng=np.random.default_rng(search.seed),
        polish=False,  # a search by slopes makes no sense across limits
        updating="deferred",
        vectorized=True,
    )


def _costs(verdicts: Verdicts, aim: Aim) -> np.ndarray:
    """Return what the global search makes least: the aim where all limits hold, else how far they are from holding."""
    missed = np.sum(np.where(verdicts.passed, 0.0, np.nan_to_num(-verdicts.margins, nan=1e3, posinf=1e3)), axis=0)
    wanted = np.nan_to_num(aim.cost(verdicts), nan=ILLEGAL, posinf=FAILING / 2, neginf=-FAILING / 2)
    failing = FAILING * (1 + np.minimum(missed, 1e6))
    return np.where(verdicts.passes, wanted, np.where(verdicts.legal, failing, ILLEGAL))
