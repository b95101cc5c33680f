"""Each line of the gap budget is moved by its own cause alone, and in proportion."""

from dataclasses import replace

import numpy as np
import pytest
from limits.gaps import pair
from random_engines import exact, hinder, random_engine

from shafts.shaft import Shafts

SEEDS = [seed for seed in range(40) if all(y.rod is not None for y in random_engine(seed, 2).yokes.values())][:8]
SPEED = 90.0


# Each cause and its own line


def softer_shafts(engine):
    fields = {name: each for name, each in vars(engine.shafts).items() if name != "left"}
    left = engine.shafts.left
    left = left and replace(left, material=hinder(left.material, 0.5))
    right = fields | {"material": hinder(engine.shafts.material, 0.5)}
    return replace(engine, shafts=Shafts(**right, left=left))


def softer_seats(engine):
    def soft(shaft):
        return tuple(replace(each, seat_stiffness=each.seat_stiffness / 2) for each in shaft.bearings)

    left = engine.shafts.left
    left = left and replace(left, bearings=soft(left))
    return replace(engine, shafts=replace(engine.shafts, bearings=soft(engine.shafts), left=left))


def wider_bushes(engine):
    def wide(shaft):
        return tuple(replace(each, bush=replace(each.bush, play=2 * each.bush.play)) for each in shaft.bearings)

    left = engine.shafts.left
    left = left and replace(left, bearings=wide(left))
    return replace(engine, shafts=replace(engine.shafts, bearings=wide(engine.shafts), left=left))


def with_cranks(engine, **changes):
    return replace(engine, cranks=replace(engine.cranks, **changes))


def softer_pins(engine):
    throws = engine.cranks.throws.items()
    soft = {name: replace(t, pin=replace(t.pin, material=hinder(t.pin.material, 0.5))) for name, t in throws}
    return with_cranks(engine, throws=soft)


def softer_webs(engine):
    webs = engine.cranks.webs
    return with_cranks(engine, webs=tuple(replace(w, material=w.material and hinder(w.material, 0.5)) for w in webs))


def with_yokes(engine, change):
    return replace(engine, yokes={name: change(yoke) for name, yoke in engine.yokes.items()})


def softer_rods(engine):
    def soft(yoke):
        rod = yoke.rod
        return replace(yoke, rod=replace(rod, material=rod.material and hinder(rod.material, 0.5)))

    return with_yokes(engine, soft)


def softer_arms(engine):
    return with_yokes(
        engine, lambda yoke: replace(yoke, arm=replace(yoke.arm, material=hinder(yoke.arm.material, 0.5)))
    )


def looser_pins(engine):
    return with_yokes(engine, lambda yoke: replace(yoke, rod=replace(yoke.rod, play=2 * yoke.rod.play)))


def hotter(engine):
    fits = engine.fits
    warm = replace(fits, case_temperature=2 * fits.case_temperature - fits.set_up_at)
    heated = with_yokes(engine, lambda yoke: replace(yoke, temperature=2 * yoke.temperature - fits.set_up_at))
    return replace(heated, fits=warm)


def out_of_step(engine):
    gears = replace(engine.cranks.gears, backlash=2 * engine.cranks.gears.backlash)
    fits = replace(engine.fits, timing_error=2 * engine.fits.timing_error)
    return replace(with_cranks(engine, gears=gears), fits=fits)


def coarser(engine):
    doubled = {name: 2 * each for name, each in vars(engine.fits.tolerances).items()}
    return replace(engine, fits=replace(engine.fits, tolerances=type(engine.fits.tolerances)(**doubled)))


CAUSES = {
    softer_shafts: ("shaft bending", "shaft twist"),  # one material, which both bends and twists
    softer_seats: ("support deflection",),
    softer_pins: ("crankpin bending",),
    softer_webs: ("crank web bending",),
    softer_rods: ("rod stretch",),
    softer_arms: ("yoke arm bending",),
    wider_bushes: ("bearing clearance",),
    looser_pins: ("rod pin play",),
    hotter: ("thermal expansion",),
    out_of_step: ("timing and backlash",),
    coarser: ("making tolerances",),
}


@pytest.mark.parametrize("cause", CAUSES, ids=lambda cause: cause.__name__)
@pytest.mark.parametrize("seed", SEEDS)
def test_half_the_stiffness_or_twice_the_play_doubles_its_own_line_and_no_other(seed, cause):
    """Two bearings, whose loads do not depend on what gives; on three they do, and then other lines move too."""
    engine = random_engine(seed, 2)
    before, after = pair(engine), pair(cause(engine))
    for case in ("expected", "worst"):
        one, two = before.items(SPEED, case), after.items(SPEED, case)
        for name, old in one.items():
            factor = 2.0 if name in CAUSES[cause] else 1.0
            usable = np.isfinite(old)
            scale = np.abs(old[usable]).max()
            np.testing.assert_allclose(two[name][usable], factor * old[usable], rtol=0, atol=1e-10 * scale)


@pytest.mark.parametrize("cause", CAUSES, ids=lambda cause: cause.__name__)
def test_its_own_line_is_there_to_be_doubled(cause):
    sizes = []
    for seed in SEEDS:
        items = pair(random_engine(seed, 2)).items(SPEED, "worst")
        sizes += [np.abs(items[name][np.isfinite(items[name])]).max() for name in CAUSES[cause]]
    assert np.max(sizes) > 1e-7


@pytest.mark.parametrize("seed", SEEDS[:4])
def test_parts_without_a_stated_size_count_as_rigid(seed):
    engine = random_engine(seed, 2)
    throws = {name: replace(each, pin=None) for name, each in engine.cranks.throws.items()}
    webs = tuple(replace(each, thickness=None) for each in engine.cranks.webs)
    bare = with_cranks(engine, throws=throws, webs=webs)
    bare = with_yokes(bare, lambda yoke: replace(yoke, arm=None, rod=replace(yoke.rod, section=None)))
    items = pair(exact(bare)).items(SPEED)
    for name in ("crankpin bending", "crank web bending", "rod stretch", "yoke arm bending", "bearing clearance"):
        assert not np.any(items[name]), name
    assert np.any(items["shaft bending"])
