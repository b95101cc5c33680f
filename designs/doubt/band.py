"""The gap over speed in all machines that a design may be."""

from dataclasses import dataclass

import numpy as np

from balance.doubt.draws import explained, latin_hypercube
from balance.many import planted
from designs.doubt.judging import Judge, Place
from designs.doubt.unknowns import Unknown, machines, unknowns_of
from designs.evaluate import Evaluation
from designs.verdict import gap

SPEED = tuple(("speed", name) for name in ("least", "rated", "most"))
DRAWS, SEED = 128, 1
SHARES = (0.05, 0.5, 0.95)


@dataclass(frozen=True, eq=False)
class Band:
    """The least gap of one pair of yokes over speed.

    speed : rad/s, (speeds,).   gap : of each drawn machine, m, (speeds, machines).
    wide : what makes it wide at the fastest of these speeds, and the part of its spread that each explains.
    """

    speed: np.ndarray
    gap: np.ndarray
    wide: list[tuple[Unknown, float]]

    @property
    def ends(self) -> np.ndarray:
        """Below what 5, 50 and 95 of 100 machines lie, (3, speeds); a machine that cannot be built has no gap."""
        return np.nanquantile(self.gap, SHARES, axis=1)


def gap_bands(evaluation: Evaluation, speeds: np.ndarray, draws: int = DRAWS) -> list[Band]:
    """Return the band of every pair of yokes of a single design; none where nothing is in doubt."""
    unknowns = unknowns_of(evaluation.design)
    rows = gap.rows(evaluation)
    if not unknowns or not rows:
        return []
    judge = Judge(evaluation, unknowns, rows)
    shares = latin_hypercube([each.identity for each in unknowns], draws, SEED)
    everywhere = machines(evaluation.design, unknowns, np.tile(shares, len(speeds)))
    found = judge.of(planted(everywhere, SPEED, np.repeat(speeds, draws)), draws * len(speeds))
    places: list[Place] = [place for place in found if place[0] == "gap"]
    values = (found[place].values.reshape(len(speeds), draws) for place in places)
    return [Band(speeds, each, _wide(unknowns, shares, each[-1])) for each in values]


def _wide(unknowns: list[Unknown], shares: np.ndarray, last: np.ndarray) -> list[tuple[Unknown, float]]:
    known = np.isfinite(last)
    if np.count_nonzero(known) < 32:
        return []
    parts = [(each, explained(share[known], last[known], 8)) for each, share in zip(unknowns, shares, strict=True)]
    return sorted(parts, key=lambda each: -each[1])[:3]
