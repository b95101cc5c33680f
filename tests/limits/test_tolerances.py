"""Making tolerances against brute force: builds whose every dimension is really off, their yokes placed exactly."""

from dataclasses import replace
from itertools import product

import numpy as np
import pytest
from limits.gaps import Side, pair, placed
from random_engines import exact, random_engine, stiff
from shafts.gap.tolerances import Draw, builds, wilson, worst_sum

from shafts.gap.pair import YokePair
from shafts.shaft import Engine, Fits, Tolerances

COUNT = 24
THETA = np.arange(COUNT) * (2 * np.pi / COUNT)
HALF = {"rod_length": 2e-5, "throw_radius": 1.5e-5, "half_span": 2.5e-5, "yoke_height": 1e-5, "centre_distance": 3e-5}
# Tolerances small enough that the second order, which the code leaves out, does not count.
TOLERANCES = Tolerances(throw_phase=1e-3, **HALF)
SEED = next(
    seed
    for seed in range(60)
    if all(yoke.rod is not None and yoke.half_span > 0.008 for yoke in random_engine(seed).yokes.values())
)


def rigid() -> Engine:
    return replace(stiff(exact(random_engine(SEED))), fits=Fits(tolerances=TOLERANCES))


def brute_gap(engine: Engine, found: YokePair, off: dict[str, np.ndarray]) -> np.ndarray:
    """Return the gap at every place and angle with dimensions off by given amounts, (builds, places, angles).

    off : by the names of the budget's deviations, arrays (builds,).
    """
    edges = []
    for name in (found.upper, found.lower):
        throw = engine.yokes[name].throw

        def side(hand: str, name: str = name, throw: str = throw) -> Side:
            return Side(
                out=off["centre distance"][:, None] / 2,
                length=off[f"rod length of {name}, {hand}"][:, None],
                span=off[f"half-span of {name}, {hand}"][:, None],
                radius=off[f"throw radius of {throw}, {hand}"][:, None],
                ahead=off[f"throw phase of {throw}, {hand}"][:, None],
            )

        height, tilt = placed(engine, name, side("right"), side("left"), THETA)
        height = height + off[f"yoke height of {name}"][:, None]
        edges.append(height[:, None, :] + found.x[None, :, None] * tilt[:, None, :])
    nominal = [found.carried.motion.yokes[name].height for name in (found.upper, found.lower)]
    return found.nominal - (nominal[0] - nominal[1]) + edges[0] - edges[1]


def drawn(found: YokePair, count: int, seed: int) -> dict[str, np.ndarray]:
    """Return deviations of many builds by a draw of its own."""
    random = np.random.default_rng(seed)
    return {
        name: half * np.clip(random.normal(0.0, 1 / 3, count), -1, 1) for name, (half, _) in found.deviations.items()
    }


def test_every_dimension_is_among_the_deviations():
    """Both sides of rod length, half-span, throw radius and phase, on two yokes; two heights; one centre distance."""
    found = pair(rigid(), COUNT)
    assert len(found.deviations) == 2 * 2 * 4 + 2 + 1
    for name, (half, _) in found.deviations.items():
        kind = name.split(",")[0].split(" of ")[0].replace("-", "_").replace(" ", "_")
        assert half == getattr(TOLERANCES, kind)


@pytest.mark.parametrize("worse_share", [0.2, 0.6])
def test_share_of_builds_that_touch_and_spread_of_the_gap(worse_share):
    """Program against brute force: share within both confidence intervals, and the same distribution."""
    engine = rigid()
    found = pair(engine, COUNT)
    brute = brute_gap(engine, found, drawn(found, 5000, 7))
    usable = np.isfinite(brute)
    least = np.where(usable, brute, np.inf).min(axis=(1, 2))
    lifted = np.quantile(least, worse_share)  # the faces brought so near that this share touches
    ours = builds(found.nominal - lifted, found.x, found.deviations, [], Draw(6000, 3))
    share, low, high = wilson(int(np.sum(least <= lifted)), len(least))
    assert low <= ours.high
    assert ours.low <= high
    assert abs(ours.touch - share) < 0.04
    # A quantile of 5000 normal draws has a standard error of 0.03 of their spread at most between these two.
    wanted = np.array([0.05, 0.25, 0.5, 0.75, 0.95])
    spread = np.std(least)
    np.testing.assert_allclose(
        np.quantile(ours.least + lifted, wanted), np.quantile(least, wanted), rtol=0, atol=0.12 * spread
    )


def test_worst_case_is_the_worst_of_all_corners():
    """Every rod length, half-span and radius of one yoke at either end of its range, placed exactly: 64 corners."""
    engine = rigid()
    found = pair(engine, COUNT)
    moving = [name for name in found.deviations if found.upper in name and "height" not in name][:4]
    throw = engine.yokes[found.upper].throw
    moving += [f"throw radius of {throw}, right", f"throw radius of {throw}, left"]
    none = {name: np.zeros(1) for name in found.deviations}
    worst = np.full(found.nominal.shape, np.inf)
    for signs in product((-1.0, 1.0), repeat=len(moving)):
        off = none | {
            name: sign * np.atleast_1d(found.deviations[name][0]) for name, sign in zip(moving, signs, strict=True)
        }
        worst = np.minimum(worst, brute_gap(engine, found, off)[0])
    taken = worst_sum({name: found.deviations[name] for name in moving}, found.x)
    usable = np.isfinite(worst)
    np.testing.assert_allclose((found.nominal - taken)[usable], worst[usable], rtol=0, atol=0.01 * taken.max())
    assert taken.max() > 2e-5


def test_worst_case_of_the_budget_takes_all_of_them():
    found = pair(rigid(), COUNT)
    taken = found.items(0.0, "worst")["making tolerances"]
    np.testing.assert_allclose(taken, -worst_sum(found.deviations, found.x), rtol=1e-15)
    assert not np.any(found.items(0.0)["making tolerances"])


def test_a_dimension_that_both_yokes_share_counts_once():
    """The centre distance moves both yokes; against each other they shift by the difference, not the sum."""
    engine = replace(rigid(), fits=Fits(tolerances=Tolerances(centre_distance=HALF["centre_distance"])))
    found = pair(engine, COUNT)
    taken = worst_sum(found.deviations, found.x)
    both = [brute_gap(engine, found, off) for off in _centre_distance(found, engine)]
    worst = np.minimum(*both)[0]
    usable = np.isfinite(worst)
    np.testing.assert_allclose((found.nominal - taken)[usable], worst[usable], rtol=0, atol=0.01 * taken.max())


def _centre_distance(found, engine):
    names = pair(rigid(), COUNT).deviations
    for sign in (-1.0, 1.0):
        yield {name: np.zeros(1) for name in names} | {"centre distance": np.atleast_1d(sign * HALF["centre_distance"])}


def test_the_same_seed_draws_the_same_builds_and_another_does_not():
    found = pair(rigid(), COUNT)
    one, again, other = (builds(found.nominal, found.x, found.deviations, [], Draw(500, seed)) for seed in (1, 1, 2))
    np.testing.assert_array_equal(one.least, again.least)
    assert np.any(one.least != other.least)


@pytest.mark.parametrize("seed", range(3))
def test_clearances_are_drawn_from_their_range(seed):
    """Against a brute-force draw in which every bearing's shift is worked out anew for its own clearance."""
    engine = stiff(random_engine(seed, 2))
    found = pair(replace(engine, fits=Fits()), COUNT)
    ranged = [replace(each, clearance=(1e-5, 6e-5)) for each in found.bearings]
    found = replace(found, bearings=ranged)
    speed = 60.0
    ours = builds(found.rooms(speed), found.x, {}, [(each, speed) for each in ranged], Draw(3000, 5))
    random = np.random.default_rng(11)
    rest = found.rooms(speed) - sum(each.at(speed, 3.5e-5).at(found.x) for each in ranged)
    unit = np.array([each.at(speed, 1.0).at(found.x) for each in ranged])
    usable = np.isfinite(rest)
    draws = random.uniform(1e-5, 6e-5, (3000, len(ranged)))
    least = (rest[usable] + draws @ unit[:, usable]).min(axis=1)
    spread = least.max() - least.min()
    wanted = np.array([0.05, 0.5, 0.95])
    np.testing.assert_allclose(np.quantile(ours.least, wanted), np.quantile(least, wanted), rtol=0, atol=0.03 * spread)
    assert spread > 1e-6


def test_exact_builds_are_all_alike():
    found = pair(replace(rigid(), fits=Fits()), COUNT)
    alike = builds(found.nominal, found.x, {}, [], Draw(10, 1))
    np.testing.assert_array_equal(alike.least, np.min(found.nominal))
    assert alike.touch == float(np.min(found.nominal) <= 0)


def test_wilson_interval():
    """Newcombe, Statistics in Medicine 17 (1998) 857, table I (recalled): 81 of 263 and 0 of 20."""
    np.testing.assert_allclose(wilson(81, 263), [81 / 263, 0.2553, 0.3662], atol=5e-5)
    np.testing.assert_allclose(wilson(0, 20), [0.0, 0.0, 0.1611], atol=5e-5)
    np.testing.assert_allclose(wilson(20, 20), [1.0, 0.8389, 1.0], atol=5e-5)
