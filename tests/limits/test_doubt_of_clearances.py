"""Parts that come near each other in the machines that a design may be: by hand, and against many drawn at random."""

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from scipy.stats import norm

from balance.many import one
from balance.motion import crank_angles, move
from balance.obstacles import ANGLES
from designs.counsel.advised import judge
from designs.doubt import one_by_one, under_doubt
from designs.doubt.judging import Judge
from designs.doubt.unknowns import machines, unknowns_of
from designs.evaluate import evaluate_finely
from designs.reading import read
from designs.verdict import clearances
from shafts.clearance.clearances import every_part, rigid_distance

SHIPPED = Path(__file__).parents[2] / "designs"
DRAWN = 160


def near_parts(name: str, limit: float | None = None):
    """Return a judge of a shipped design and the parts that come near each other.   limit : least clearance, m."""
    design = read(SHIPPED / name)
    if limit is not None:
        design = replace(design, limits=replace(design.limits, gap=limit))
    evaluation = evaluate_finely(design)
    found = Judge(evaluation, unknowns_of(design), judge(evaluation))
    return found, one_by_one._near(
        found, {key for group, (key, _) in clearances.KEYS.items() if group in found.middle.shapes.pairs}
    )


def test_one_machine_stands_where_nineteen_of_twenty_are_no_nearer() -> None:
    """The fifth percentile of machines drawn at random, each drawn anew and its parts with it, for every pair."""
    found, near = near_parts("redesign.yaml")
    bodies, count = found.middle.bodies, len(found.unknowns)
    own = [np.where(np.abs(slopes) > one_by_one.MOVES, norm.cdf(-1.645 * slopes / np.linalg.norm(slopes)), 0.5)
           for slopes in one_by_one._per_deviation(found, near)]  # fmt: skip
    shares = np.column_stack([*own, np.random.default_rng(5).uniform(size=(count, DRAWN))])
    drawn = machines(found.middle.design, found.unknowns, shares)
    apart = np.zeros((len(near), shares.shape[1]))
    for number in range(shares.shape[1]):
        design = one(drawn, number)
        parts = every_part(design, move(design, crank_angles(ANGLES)), bodies.shapes.weights)
        for row, each in zip(apart, near, strict=True):
            places = [one_by_one._place(part, bodies.shapes.parts) for part in (each.pair.one, each.pair.other)]
            row[number] = rigid_distance(*(parts[place] for place in places), np.arange(ANGLES) == each.degree)
    for number, each in enumerate(near):
        at_random, here = apart[number, len(near) :], apart[number, number]
        spread = np.std(at_random)
        assert spread > 1e-6, each.pair.names
        # Of so many draws the quantile itself is known to half a deviation.
        assert here == pytest.approx(np.quantile(at_random, 0.05), abs=0.5 * spread), each.pair.names
        assert np.mean(at_random >= here) == pytest.approx(0.95, abs=0.06), each.pair.names
        assert here < each.rigid - 1.2 * spread


def test_wheels_stand_nearer_by_what_the_distance_of_the_shafts_is_made_to() -> None:
    """48 mm made to 0.1 mm in three deviations: 1.645 of these are 0.055 mm, nothing else moves round wheels."""
    found, near = near_parts("redesign.yaml")
    (wheels,) = (each for each in near if each.pair.names == "right flywheel and left shaft")
    slopes = one_by_one._per_deviation(found, [wheels])
    moved = {found.unknowns[n].paths: slopes[0, n] for n in np.flatnonzero(np.abs(slopes[0]) > one_by_one.MOVES)}
    middle = next(each.range for each in found.unknowns if each.paths == "cranks.centre_distance")
    assert moved == {"cranks.centre_distance": pytest.approx((middle.high - middle.low) / 6, rel=0.02)}
    wide = replace(wheels, least=found.middle.design.limits.gap)
    (machine,) = one_by_one._own(found, [wide], np.full(len(found.unknowns), 0.9), 0.95)
    place = next(n for n, each in enumerate(found.unknowns) if each.paths == "cranks.centre_distance")
    assert machine[place] == pytest.approx(0.05, abs=1e-6)
    np.testing.assert_array_equal(np.delete(machine, place), 0.9)  # all else as bad as it is for the yokes
    assert one_by_one._own(found, [replace(wheels, least=1.0)], machine, 0.95) == []
    assert one_by_one._own(found, [], machine, 0.95) == []


def test_parts_that_meet_only_in_a_corner_of_their_own_do_not_pass() -> None:
    """A rod is 0.88 mm from a yoke in the middle and where other limits are worst, 0.76 where its own lengths are."""
    found, _ = near_parts("as-built.yaml", 0.8e-3)
    (row,) = (row for row in under_doubt(found.middle, judge(found.middle)).rows if row.key == "clearance")
    assert float(row.value) == pytest.approx(0.879e-3, abs=1e-6)
    assert row.state == "depends"
    assert row.doubt.worst == pytest.approx(0.757e-3, abs=5e-6)
    assert row.doubt.count == 5


def test_of_mirror_images_one_is_looked_at_and_at_most_two_pairs_get_machines() -> None:
    found, near = near_parts("redesign.yaml")
    pairs = [
        frozenset(part.name.replace("left", "right") for part in (each.pair.one, each.pair.other)) for each in near
    ]
    assert len({*pairs}) == len(pairs)
    close = [replace(each, least=0.0) for each in near]
    assert len(one_by_one._own(found, close, np.full(len(found.unknowns), 0.5), 0.95)) == one_by_one.OWN
    sure = one_by_one._own(found, close, np.full(len(found.unknowns), 0.5), 1.0)
    assert np.all((np.array(sure) > 0) & (np.array(sure) < 1))
