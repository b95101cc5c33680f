"""Drawn machines vibrate as the middle one does; those nearest to a limit are worked out with their own vibration."""

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from balance.doubt.draws import latin_hypercube
from balance.many import one
from designs.doubt.judging import AS_SEEN, Judge
from designs.doubt.scan import scanned
from designs.doubt.unknowns import machines, unknowns_of
from designs.doubt.vibrated import AS_MIDDLE, shifted, vibrating_alone, words_of
from designs.evaluate import Evaluation
from designs.reading import read
from designs.verdict import gap, shafts

GAP = ("gap", 0)


@pytest.fixture(scope="module")
def looked():
    """A shipped design whose gap is asked to be what it is in about half of the machines; 24 of them."""
    design = read(Path(__file__).parents[2] / "designs" / "redesign.yaml")
    middle = Evaluation(replace(design, limits=replace(design.limits, gap=5.6e-4)))
    assert middle.vibrates
    unknowns = unknowns_of(middle.design)
    judge = Judge(middle, unknowns, [*gap.rows(middle), *shafts.rows(middle)])
    shares = latin_hypercube([each.identity for each in unknowns], 24, 1)
    judged, scan = judge.draws(shares), scanned(judge, unknowns)
    return judge, judged, scan, shares, vibrating_alone(judge, scan, judged, shares)


def test_the_machine_nearest_to_the_limit_is_worked_out_by_itself(looked):
    judge, judged, scan, shares, own = looked
    assert list(own) == [GAP]  # slopes are far from their limits
    assert own[GAP].machines == 2
    apart = []
    for each in (scan.worst(GAP), shares[:, np.argmin(np.abs(judged[GAP].reserve))]):
        single = Evaluation(
            one(machines(judge.middle.design, judge.unknowns, each[:, None]), 0), cut=judge.middle.weights
        )
        (pair,) = single.pairs
        apart.append(min(float(pair.least(float(speed))[0]) for speed in single.every_speed)
                     - judge(each[:, None])[GAP].values[0])  # fmt: skip
    assert own[GAP].off == pytest.approx(np.max(np.abs(apart)), rel=1e-6)
    assert own[GAP].worse == pytest.approx(max(0.0, -min(apart)), rel=1e-6)
    assert 0 < own[GAP].off < 0.05 * 5.6e-4


def test_all_are_taken_as_much_worse(looked):
    _, judged, _, _, own = looked
    own = {GAP: replace(own[GAP], worse=2e-6)}
    before = judged[GAP].values
    np.testing.assert_allclose(shifted(judged, own)[GAP].values, before - 2e-6, rtol=0, atol=1e-15)
    assert np.sum(shifted(judged, own)[GAP].holds) <= np.sum(judged[GAP].holds)
    assert own[GAP].closer("at most").more == 2e-6
    assert AS_SEEN.more == 0


def test_it_is_said_where_shares_are_read(looked):
    own = looked[-1]
    off, words = words_of(GAP, own)
    assert off == own[GAP].off
    assert "percent of the limit in 2 worked out by themselves" in words
    assert words_of(("slope_at_gears", 0), own) == (None, AS_MIDDLE)
    assert words_of(("shaking_force", 0), own) == (None, "")
