"""Quantities of many machines that readings speak of, worked out in blocks on all processors."""

from collections.abc import Sequence
from dataclasses import dataclass
from functools import partial
from typing import Literal, Protocol

import numpy as np

from balance.machine.machine import IsothermalGas
from balance.many import legal, options_of, picked
from balance.turning import added_masses, turning_masses
from balance.weights.balancing import Weights
from designs.design import Design
from designs.design.readings import Feeler, Push
from designs.evaluate import Evaluation
from designs.many.chunks import chunks, split
from designs.many.memory import keep_freed
from designs.many.parallel import in_parallel
from designs.measuring.predicted import at_rest, pair_of, parallel_gap, pushed
from designs.verdict import gap

FEW = 2048
"""Machines up to which handing them out costs more than it saves."""
TOGETHER = 256
"""Machines worked out together: each process then holds 150 MB; of more it holds up to twice that, and is no faster."""


class Observable(Protocol):
    """Something that can be read off a machine; gives some columns of numbers."""

    @property
    def columns(self) -> int:
        """How many numbers it gives for each machine."""

    def values(self, evaluation: Evaluation) -> np.ndarray:
        """Return them for many options, (options, columns)."""


@dataclass(frozen=True)
class Touching:
    """Speed of first contact, rad/s, and least gap over the speed range, m, of the pair that is worst."""

    columns: int = 2

    def values(self, evaluation: Evaluation) -> np.ndarray:
        """Return both, (options, 2); inf where no yokes face each other."""
        speeds = []
        for key in gap.KEYS[::-1]:
            rows = [np.asarray(row.value, dtype=float) for row in gap.rows(evaluation) if row.key == key]
            speeds.append(np.min(rows, axis=0) if rows else np.full(evaluation.options or 1, np.inf))
        return np.stack(np.broadcast_arrays(*speeds), axis=-1)


@dataclass(frozen=True)
class AtRest:
    """Gap of two yokes at rest at a crank angle, m."""

    feeler: Feeler
    columns: int = 1

    def values(self, evaluation: Evaluation) -> np.ndarray:
        """Return it, (options, 1), straight between the angles that are looked at."""
        resting = Evaluation(at_rest(evaluation.design), cut=evaluation.cut, without_vibration=True)
        pair = pair_of(resting, self.feeler)
        if pair is None:
            return np.full((evaluation.options or 1, 1), np.nan)
        course = parallel_gap(pair)
        count = course.shape[-1]
        at = self.feeler.at % (2 * np.pi) / (2 * np.pi) * count
        low, share = int(at) % count, at - int(at)
        gaps = (1 - share) * course[..., low] + share * course[..., (low + 1) % count]
        return np.broadcast_to(gaps, (evaluation.options or 1,))[:, None]


@dataclass(frozen=True)
class Pushed:
    """Deflection over force under a push, m/N."""

    push: Push
    columns: int = 1

    def values(self, evaluation: Evaluation) -> np.ndarray:
        """Return it, (options, 1)."""
        return np.broadcast_to(pushed(evaluation, self.push), (evaluation.options or 1,))[:, None]


@dataclass(frozen=True)
class BareCrank:
    """Unbalance of a bare crank, x and y, kg m."""

    hand: Literal["right", "left"]
    columns: int = 2

    def values(self, evaluation: Evaluation) -> np.ndarray:
        """Return both, (options, 2)."""
        whole = added_masses(turning_masses(evaluation.design, self.hand))
        parts = np.broadcast_arrays(whole.crank_x, whole.crank_y, np.zeros(evaluation.options or 1))
        return np.stack(parts[:2], axis=-1)


@dataclass(frozen=True)
class DeadVolume:
    """Dead volume in all, m^3."""

    columns: int = 1

    def values(self, evaluation: Evaluation) -> np.ndarray:
        """Return it, (options, 1)."""
        gas = evaluation.design.gas
        assert isinstance(gas, IsothermalGas)
        dead = np.asarray(gas.dead.hot + gas.dead.cold + gas.dead.regenerator)
        return np.broadcast_to(dead, (evaluation.options or 1,))[:, None]


def observed(design: Design, wanted: Sequence[Observable], cut: Weights | None) -> np.ndarray:
    """Return what is wanted of many machines, (machines, columns); NaN where a machine cannot be built.

    cut : counterweights as they were cut for the machine in the middle; None if there are none.
    """
    count = options_of(design)
    assert count is not None
    work = partial(observe, wanted=tuple(wanted), cut=cut)
    return np.concatenate(list(in_parallel(work, split(design), workers=1 if count <= FEW else None)))


def observe(design: Design, wanted: tuple[Observable, ...], cut: Weights | None) -> np.ndarray:
    """Return the same for one block, in this process."""
    keep_freed()
    count = options_of(design)
    assert count is not None
    fine = legal(design, count)
    values = np.full((count, sum(each.columns for each in wanted)), np.nan)
    for places in chunks(design, fine, TOGETHER):
        part = Evaluation(picked(design, places), cut=cut)
        values[places] = np.concatenate([each.values(part) for each in wanted], axis=1)
    return values
