"""The gap over speed in all machines that a design may be."""

from dataclasses import dataclass

import numpy as np

from balance.doubt.draws import latin_hypercube
from balance.doubt.fitted import fitted
from balance.many import legal, picked
from designs.doubt.unknowns import Unknown, machines, unknowns_of
from designs.evaluate import Evaluation
from designs.many.chunks import chunks

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
    """Return the band of every pair of yokes of a single design; none where nothing is in doubt.

    speeds : rad/s, (speeds,). The quicker look at many machines leaves out what only a closer one sees, as vibration:
    what that changes at the middle machine changes all of them alike, at each speed.
    """
    unknowns = unknowns_of(evaluation.design)
    if not unknowns or not evaluation.pairs:
        return []
    shares = np.insert(latin_hypercube([each.identity for each in unknowns], draws, SEED), 0, 0.5, axis=1)
    drawn = machines(evaluation.design, unknowns, shares)
    gaps = {(pair.upper, pair.lower): np.full((len(speeds), draws + 1), np.nan) for pair in evaluation.pairs}
    for places in chunks(drawn, legal(drawn, draws + 1)):
        for pair in Evaluation(picked(drawn, places), cut=evaluation.weights).pairs:
            if (pair.upper, pair.lower) in gaps:
                every = [pair.least(np.full(len(places), speed))[0] for speed in speeds]
                gaps[pair.upper, pair.lower][:, places] = every
    bands = []
    for pair in evaluation.pairs:
        gap = gaps[pair.upper, pair.lower]
        closer = np.nan_to_num(pair.least(speeds)[0] - gap[:, 0])
        each = gap[:, 1:] + closer[:, None]
        bands.append(Band(speeds, np.where(np.isfinite(each), each, np.nan), _wide(unknowns, shares[:, 1:], each[-1])))
    return bands


def _wide(unknowns: list[Unknown], shares: np.ndarray, last: np.ndarray) -> list[tuple[Unknown, float]]:
    known = np.isfinite(last)
    if np.count_nonzero(known) < 32:
        return []
    parts = map(float, fitted(shares[:, known], last[known]).alone)
    return sorted(zip(unknowns, parts, strict=True), key=lambda each: -each[1])[:3]
