"""A left side that is made otherwise than the right one: what it does to the gap, alone, among many, and in bounds."""

from dataclasses import replace

import numpy as np
import pytest
from limits.gaps import Side, carried, placed, rise, tilt
from limits.test_bounds import TOP, loaded
from limits.test_gap import RODDED, THETA, first_order, looked
from random_engines import random_engine

from balance.many import planted
from balance.turning import HANDS
from shafts.bearings.play import clearance_range
from shafts.engine import Engine
from shafts.gap.bounds.largest_shift import largest_shift
from shafts.gap.bounds.pruning import pruned_pairs
from shafts.gap.facing import facing_yokes
from shafts.gap.items import bearing_clearance, unlike_sides
from shafts.gap.pair import yoke_pairs

KINDS = {
    "length": lambda name, throw: ("yokes", name, "rod", "left_length"),
    "span": lambda name, throw: ("yokes", name, "left_half_span"),
    "radius": lambda name, throw: ("cranks", "throws", throw, "left_radius"),
    "ahead": lambda name, throw: ("cranks", "throws", throw, "left_phase"),
}


def right_size(engine: Engine, name: str, kind: str) -> float:
    yoke = engine.yokes[name]
    throw = engine.cranks.throws[yoke.throw]
    return {
        "length": yoke.rod and yoke.rod.length,
        "span": yoke.half_span,
        "radius": throw.radius,
        "ahead": throw.phase,
    }[kind]


def unlike(engine: Engine, sizes: dict[str, object]) -> Engine:
    """Return an engine whose left sides are otherwise by some amounts, each a number or an array (options,)."""
    for name, yoke in engine.yokes.items():
        for kind, more in sizes.items():
            if yoke.rod is not None or kind in ("radius", "ahead"):
                path = KINDS[kind](name, yoke.throw)
                engine = planted(engine, (path,), right_size(engine, name, kind) + more)
    return engine


@pytest.mark.parametrize("kind", KINDS)
@pytest.mark.parametrize(("seed", "name"), RODDED[:5])
def test_against_exact_kinematics(seed: int, name: str, kind: str) -> None:
    engine, _, yoke, _ = looked(seed, name)
    unit = 1 / 0.02 if kind == "ahead" else 1.0
    step = 1e-7
    path = KINDS[kind](name, yoke.throw)
    so = carried(planted(engine, (path,), right_size(engine, name, kind) + step * unit), len(THETA))
    shift = rise(so, unlike_sides, name) / step, tilt(so, unlike_sides, name) / step

    def measure(size):
        return placed(engine, name, Side(), Side(**{kind: size * unit}), THETA)

    first_order(measure, shift, yoke.half_span)


def test_alike_sides_add_nothing() -> None:
    (found,) = yoke_pairs(carried(random_engine(1), 36))
    assert "unlike sides" in found.items(0.0) and not np.any(found.items(0.0)["unlike sides"])


@pytest.mark.parametrize("seed", range(6))
def test_many_are_as_each_alone_and_keep_within_their_bounds(seed: int) -> None:
    random = np.random.default_rng(seed)
    more = {kind: random.uniform(-5e-4, 5e-4, 8) for kind in KINDS}
    many = loaded(unlike(random_engine(seed), more))
    top = np.full(8, TOP)
    whole = {(each.upper, each.lower): each for each in yoke_pairs(many)}
    for pruned in pruned_pairs(many, top):
        both = whole[(pruned.upper, pruned.lower)]
        for speed in (0.0, TOP):
            ours = pruned.least(np.full(8, speed))[0]
            np.testing.assert_allclose(ours, np.broadcast_to(both.least(np.full(8, speed))[0], 8), rtol=1e-12)
            for place in range(8):
                one = loaded(unlike(random_engine(seed), {kind: sizes[place] for kind, sizes in more.items()}))
                alone = next(each for each in yoke_pairs(one) if each.upper == pruned.upper)
                np.testing.assert_allclose(alone.least(speed)[0], ours[place], rtol=1e-11)
    one = carried(unlike(random_engine(seed), {kind: sizes[0] for kind, sizes in more.items()}), 72)
    for facing in facing_yokes(one.engine, one.motion):
        added = unlike_sides.line(one, facing, "expected").clearances(0.0)
        assert np.any(np.abs(added) > 1e-5)
        without = largest_shift(carried(random_engine(seed), 72), facing, np.asarray(TOP))
        assert np.all(np.max(np.abs(added), axis=-1) + 0.99 * without <= largest_shift(one, facing, np.asarray(TOP)))


def test_the_left_bearings_clearance_counts_on_the_left_alone() -> None:
    engine = random_engine(3, geared=True)
    bearings = tuple(replace(each, left_clearance=2e-4) for each in engine.shafts.bearings)
    other = replace(engine, shafts=replace(engine.shafts, bearings=bearings))
    right, left = other.shafts.pair
    assert [clearance_range(each) for each in right.bearings] == [
        clearance_range(each) for each in engine.shafts.bearings
    ]
    assert all(each.clearance == 2e-4 for each in left.bearings)
    so, plain = (carried(each, 36) for each in (other, engine))
    for name in engine.yokes:
        wider = rise(so, bearing_clearance, name) - rise(plain, bearing_clearance, name)
        assert np.any(np.abs(wider) > 1e-6)
    for hand in HANDS:  # what bends is the same structure on both sides
        one, two = (each.of(hand) for each in (so, plain))
        np.testing.assert_array_equal(one.bearings[0].x.inertia, two.bearings[0].x.inertia)
