"""Deflection, slope and bearing loads of random stepped shafts against scikit-fem's beam of the same theory."""

from dataclasses import replace

import numpy as np
import pytest
from bare_shafts import influence
from engines.timoshenko import Steps, solve

from balance.machine.materials import MATERIALS
from shafts.bearings.bearing import Bearing
from shafts.bearings.bush import Bush
from shafts.shaft import Segment, Shaft

BUSH = Bush(bore=0.01, length=0.01)
RELATIVE = 1e-6
SEEDS = range(40)


def random_case(seed):
    """Return a shaft, places of forces and couples beside, between and beyond its bearings, and their give."""
    random = np.random.default_rng(seed)
    segments = tuple(
        Segment(length=length, diameter=diameter, bore=diameter * hollow)
        for length, diameter, hollow in zip(
            random.uniform(0.004, 0.05, 4),
            random.uniform(0.004, 0.02, 4),
            random.choice([0.0, 0.3, 0.8], 4),
            strict=True,
        )
    )
    start = random.uniform(-0.05, 0.0)
    length = sum(each.length for each in segments)
    count = 2 + seed % 3
    at = start + length * np.sort(random.uniform(0.1, 0.9, count) + np.arange(count)) / count
    shaft = Shaft(
        material=MATERIALS[random.choice(["steel", "aluminium", "titanium"])],
        segments=segments,
        starts_at=start,
        bearings=tuple(Bearing(at=place, bush=Bush(bore=0.01, length=float(np.min(np.diff(at))))) for place in at),
    )
    forces = start + length * np.array([-0.15, 0.02, *random.uniform(0.1, 0.9, 3), 0.97, 1.1])
    couples = start + length * np.array([-0.1, *random.uniform(0.0, 1.0, 3)])
    gives = np.where(random.uniform(size=count) < 0.5, 0.0, random.uniform(1e-9, 1e-7, count))
    return shaft, list(forces), [*couples, *at], list(gives)


def steps_of(shaft):
    """Return what the finite elements need; section properties and Cowper's coefficient are written out again here."""
    poisson = shaft.material.young / (2 * shaft.material.shear) - 1
    bends, shears = [], []
    for each in shaft.segments:
        out, hole = each.diameter / 2, each.bore / 2
        m = hole / out
        kappa = 6 * (1 + poisson) * (1 + m**2) ** 2
        kappa /= (7 + 6 * poisson) * (1 + m**2) ** 2 + (20 + 12 * poisson) * m**2
        bends.append(shaft.material.young * np.pi / 4 * (out**4 - hole**4))
        shears.append(kappa * shaft.material.shear * np.pi * (out**2 - hole**2))
    ends = shaft.starts_at + np.cumsum([0.0, *(each.length for each in shaft.segments)])
    return Steps(ends, np.array(bends), np.array(shears))


def near(found, expected, relative=RELATIVE):
    """Assert agreement, each entry against the geometric mean of its two own responses."""
    own = np.sqrt(np.abs(np.diag(expected)))
    scale = np.maximum(np.outer(own, own), 1e-30)
    assert np.all(np.isfinite(found))
    np.testing.assert_allclose(found / scale, expected / scale, rtol=0, atol=relative)


@pytest.mark.parametrize("seed", SEEDS)
def test_deflections_slopes_and_bearing_loads(seed):
    shaft, forces, couples, gives = random_case(seed)
    at = [each.at for each in shaft.bearings]
    with np.errstate(divide="ignore"):
        stiffness = 1 / np.array(gives)
    found = influence(shaft, forces, couples, gives)
    rigid = solve(steps_of(shaft), at, np.full(len(at), np.inf), forces, couples)
    sprung = solve(steps_of(shaft), at, stiffness, forces, couples)
    near(found.bending, rigid.response)
    near(found.bending + found.seating, sprung.response)
    size = np.max(np.abs(sprung.bearings), axis=0)
    np.testing.assert_allclose(found.share / size, sprung.bearings / size, rtol=0, atol=RELATIVE)


@pytest.mark.parametrize("seed", SEEDS[:10])
def test_reciprocity_and_statics(seed):
    """A force here moves a point there as much as the same force there the point here; bearings carry it all."""
    shaft, forces, couples, gives = random_case(seed)
    found = influence(shaft, forces, couples, gives)
    both = found.bending + found.seating
    near(both, both.T, 1e-12)
    sums = found.share.sum(axis=0)
    np.testing.assert_allclose(sums[: len(forces)], 1.0, rtol=0, atol=1e-9)
    np.testing.assert_allclose(sums[len(forces) :] * 0.1, 0.0, atol=1e-9 * np.abs(found.share).max())
    moments = np.array([each.at for each in shaft.bearings]) @ found.share
    arms = np.abs(found.share).max()
    np.testing.assert_allclose(moments[: len(forces)], forces, rtol=0, atol=1e-10 * arms)
    np.testing.assert_allclose(moments[len(forces) :], 1.0, rtol=0, atol=1e-10 * arms)
    assert np.all(np.linalg.eigvalsh((both + both.T) / 2) > -1e-9 * np.trace(both))


@pytest.mark.parametrize("seed", SEEDS[:10])
def test_cutting_a_segment_changes_nothing(seed):
    shaft, forces, couples, gives = random_case(seed)
    parts = []
    for place, each in enumerate(shaft.segments):
        share = (0.3, 0.5, 1e-6, 0.999)[place]
        parts += [replace(each, length=each.length * share), replace(each, length=each.length * (1 - share))]
    whole = influence(shaft, forces, couples, gives)
    cut = influence(replace(shaft, segments=tuple(parts)), forces, couples, gives)
    near(cut.bending, whole.bending, 1e-9)
    near(cut.seating, whole.seating, 1e-9)
    np.testing.assert_allclose(cut.share, whole.share, rtol=0, atol=1e-9 * np.abs(whole.share).max())


@pytest.mark.parametrize("seed", SEEDS[:10])
def test_loads_on_two_bearings_follow_the_lever_law(seed):
    shaft, forces, _, _ = random_case(3 * seed)
    assert len(shaft.bearings) == 2
    found = influence(shaft, forces, [], [0.0, 1e-7]).share
    first, last = (each.at for each in shaft.bearings)
    np.testing.assert_allclose(found[1], (np.array(forces) - first) / (last - first), rtol=0, atol=1e-12)
    np.testing.assert_allclose(found[0], 1 - found[1], rtol=0, atol=1e-12)


def test_many_options_are_each_what_they_are_alone():
    shaft, forces, couples, gives = random_case(4)
    factors = np.array([1.0, 1.3, 0.8])
    parts = tuple(replace(each, diameter=each.diameter * factors, bore=each.bore * factors) for each in shaft.segments)
    every = influence(replace(shaft, segments=parts), forces, couples, [give * factors for give in gives])
    for option, factor in enumerate(factors):
        single = tuple(
            replace(each, diameter=each.diameter * factor, bore=each.bore * factor) for each in shaft.segments
        )
        alone = influence(replace(shaft, segments=single), forces, couples, [give * factor for give in gives])
        for name in ("bending", "seating", "share"):
            mine = getattr(every, name)[option]
            np.testing.assert_allclose(mine, getattr(alone, name), rtol=1e-12, atol=1e-15 * np.abs(mine).max())
