"""Laws of the elastic crank in its engine: reciprocity, supports, sides apart, more bearings, a load that is added."""

from dataclasses import replace

import numpy as np
import pytest
from limits.gaps import carried
from random_engines import own_fields, random_engine

from balance.cycle.load import Load, PlanarForce
from balance.machine.machine import Flywheel
from balance.machine.materials import MATERIALS
from balance.turning import on_bench
from shafts.bent_line import bent_line
from shafts.crank.loaded_cranks import loaded_cranks
from shafts.crank.loads import CrankLoad
from shafts.shaft import Plate, Shaft, Shafts

SEEDS = range(10)
SPEED = 90.0


def with_plates(engine, *places, **more):
    """Return the engine with plates of unequal tilt at these places, alike on both shafts."""
    plates = tuple(
        Plate(at=at, thickness=0.006 + 0.001 * number, width=0.05, height=0.04, material=MATERIALS["aluminium"], **more)
        for number, at in enumerate(places)
    )
    right, left = (replace(shaft, plates=plates) for shaft in engine.shafts.pair)
    return replace(engine, shafts=Shafts(**own_fields(right), left=Shaft(**own_fields(left))))


@pytest.mark.parametrize("bearings", [2, 3, 4])
@pytest.mark.parametrize("seed", SEEDS)
def test_what_a_load_does_at_another_the_other_does_at_it(seed, bearings):
    """Maxwell and Betti: the whole compliance is symmetric, on plates too, and no force moves back against itself."""
    plain = random_engine(seed, bearings)
    ends = [float(each.at) for each in (plain.shafts.bearings[0], plain.shafts.bearings[-1])]
    for engine in (plain, with_plates(plain, *ends)):
        for crank in carried(engine, 24).cranks:
            rows = range(len(crank.stations.columns))
            flat = [int(crank.columns[row]) for row in rows]
            found = crank.response.by_members(flat) + crank.response.by_supports(flat, crank.compliance)
            found = found[..., flat]
            size = np.sqrt(np.diag(found))
            scale = np.where(size > 0, size, 1.0)
            np.testing.assert_allclose(found / np.outer(scale, scale), found.T / np.outer(scale, scale), atol=1e-9)
            assert np.all(np.linalg.eigvalsh(found / np.outer(scale, scale)) > -1e-9)


@pytest.mark.parametrize("bearings", [2, 3, 4])
@pytest.mark.parametrize("seed", SEEDS)
def test_at_each_bearing_the_shaft_moves_as_its_supports_let_it(seed, bearings):
    """By its seat, and by the plate that holds it, which turns by its tilt per moment times that of all its loads."""
    engine = random_engine(seed, bearings)
    at = [float(each.at) for each in engine.shafts.bearings]
    engine = with_plates(engine, at[0] - 0.003, at[-1] + 0.002)
    loaded = carried(engine, 24)
    for place, crank in enumerate(loaded.cranks):
        stand = np.array([float(each.at) for each in crank.shaft.bearings])
        loads = [np.stack(way) for way in zip(*(each.on_bench(SPEED) for each in crank.bearings), strict=True)]
        moved = bent_line(loaded, place, stand).deflections(SPEED)
        nearest = np.argmin([np.abs(stand - plate.at) for plate in crank.shaft.plates], axis=0)
        for load, found in zip(loads, moved, strict=True):
            expected = np.zeros_like(load)
            for row, bearing in enumerate(crank.shaft.bearings):
                plate = crank.shaft.plates[nearest[row]]
                mine = nearest == nearest[row]
                moment = np.sum((stand[mine] - plate.at)[:, None] * load[mine], axis=0)
                expected[row] = load[row] / bearing.seat_stiffness + plate.tilt * moment * (stand[row] - plate.at)
            np.testing.assert_allclose(found, expected, rtol=0, atol=1e-8 * np.abs(expected).max())


@pytest.mark.parametrize("seed", SEEDS)
def test_a_crank_that_mirrors_the_other_does_what_it_does_by_itself(seed):
    """Whether the right crank's loads serve for it, or its own are laid out."""
    left = carried(random_engine(seed, 2), 24).cranks[1]
    alone = replace(left, mirrored=None)
    for weights in (left.pushes, *left.weights.values()):
        for found, expected in zip(left.squares(weights, [SPEED]), alone.squares(weights, [SPEED]), strict=True):
            np.testing.assert_allclose(found, expected, rtol=0, atol=1e-12 * np.max(expected))


@pytest.mark.parametrize("seed", SEEDS)
def test_tied_plates_do_not_tilt(seed):
    """As if there were none."""
    plain = random_engine(seed)
    at = [float(each.at) for each in plain.shafts.bearings]
    tied = with_plates(plain, at[0] - 0.004, at[-1] + 0.004, tied=True)
    for one, other in zip(carried(plain, 24).cranks, carried(tied, 24).cranks, strict=True):
        for name in plain.yokes:
            for way, expected in zip(other.pin(name).at(SPEED), one.pin(name).at(SPEED), strict=True):
                np.testing.assert_allclose(way, expected, rtol=0, atol=1e-12 * np.abs(expected).max())


@pytest.mark.parametrize("seed", SEEDS)
def test_each_side_bends_as_its_own_shaft_does(seed):
    """A left shaft of its own leaves the right crank as it is, and bends as a pair of such shafts would."""
    engine = random_engine(seed)
    right, other = engine.shafts.pair
    fields = [own_fields(shaft) for shaft in (right, other)]
    thicker = tuple(replace(each, diameter=1.3 * each.diameter) for each in other.segments)
    left = Shaft(**(fields[1] | {"segments": thicker}))
    mixed = Shafts(**fields[0], left=left)
    pairs = [Shafts(**fields[0]), Shafts(**(fields[1] | {"segments": thicker}))]
    cranks = carried(replace(engine, shafts=mixed), 24).cranks
    alike = [carried(replace(engine, shafts=each), 24).cranks for each in pairs]
    for number, crank in enumerate(cranks):
        same = alike[number][number]
        for ours, theirs in (
            (crank.pushes, same.pushes),
            *zip(crank.weights.values(), same.weights.values(), strict=True),
        ):
            np.testing.assert_allclose(ours, theirs, rtol=0, atol=1e-12 * np.abs(theirs).max())
        for name in engine.yokes:
            stations = crank.stations.rods[name], same.stations.rods[name]
            ours, theirs = crank.influence([stations[0]]), same.influence([stations[1]])
            np.testing.assert_allclose(ours, theirs, rtol=0, atol=1e-12 * np.abs(theirs).max())
    assert not np.allclose(cranks[1].pushes, 0.0)


@pytest.mark.parametrize("bearings", [2, 3])
@pytest.mark.parametrize("seed", SEEDS)
def test_a_shaft_that_is_told_twice_is_told_once(seed, bearings):
    """Where no gear joins the cranks, each is held by where its own power leaves it: here a wheel on one side alone."""
    engine = random_engine(seed, bearings)
    wheel = Flywheel(on="right", at=0.03, inertia=1e-4, mass=0.1)
    right = own_fields(engine.shafts.pair[0])
    once = replace(engine, cranks=replace(engine.cranks, gears=None), flywheel=wheel, shafts=Shafts(**right))
    twice = replace(once, shafts=Shafts(**right, left=Shaft(**right)))
    for one, other in zip(carried(once, 24).cranks, carried(twice, 24).cranks, strict=True):
        for name in engine.yokes:
            for way, expected in zip(one.pin(name).at(SPEED), other.pin(name).at(SPEED), strict=True):
                np.testing.assert_allclose(way, expected, rtol=0, atol=1e-9 * np.abs(expected).max())


@pytest.mark.parametrize("hand", ["right", "left"])
@pytest.mark.parametrize("seed", SEEDS)
def test_one_more_load_is_one_more_entry_and_nothing_else(seed, hand):
    """A pull that no part of the program knows by name loads the bearings and moves the pins, by reciprocity."""
    engine = random_engine(seed)
    loaded = carried(engine, 24)
    place, theta = (0 if hand == "right" else 1), loaded.motion.theta
    at = float(engine.shafts.pair[place].ends_at) - 0.004
    pull = PlanarForce(Load(steady=np.array([30.0])), Load(steady=np.array([-12.0])))
    sides = [list(crank.loads) for crank in loaded.cranks]
    sides[place].append(CrankLoad("hand crank", "belt", at, force=pull))
    more = loaded_cranks(engine, (sides[0], sides[1]), theta, engine.speed.rated)
    crank, before = more[place], loaded.cranks[place]
    total = [sum(each.on_bench(SPEED)[way] for each in crank.bearings) for way in (0, 1)]
    rest = [sum(each.on_bench(SPEED)[way] for each in before.bearings) for way in (0, 1)]
    for way, force in enumerate((30.0, -12.0)):
        np.testing.assert_allclose(total[way] - rest[way], force, rtol=0, atol=1e-9 * np.abs(total[way]).max())
    for name in engine.yokes:
        station = crank.stations.rods[name]
        column = list(crank.stations.others["hand crank"][0])
        by_pull = crank.influence([station])[..., column]
        sine, cosine, sign = np.sin(theta), np.cos(theta), crank.sign
        across, along = 30.0 * sign * cosine + 12.0 * sine, 30.0 * sign * sine - 12.0 * cosine
        shift = by_pull[0, 0] * across + by_pull[0, 1] * along, by_pull[1, 0] * across + by_pull[1, 1] * along
        moved = crank.pin(name).on_bench(SPEED), before.pin(name).on_bench(SPEED)
        for ours, was, wanted in zip(*moved, on_bench(*shift, theta, sign), strict=True):
            np.testing.assert_allclose(ours - was, wanted, rtol=0, atol=1e-9 * np.abs(ours).max())
        assert np.abs(by_pull).max() > 1e-10
    other = more[1 - place].bearings, loaded.cranks[1 - place].bearings
    for ours, theirs in zip(*other, strict=True):
        np.testing.assert_allclose(ours.size(SPEED), theirs.size(SPEED), rtol=1e-11)
