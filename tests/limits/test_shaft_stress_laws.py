"""Laws that moments, torque and stress inside a shaft must keep, on random engines."""

from dataclasses import replace

import numpy as np
import pytest
from limits.evaluated import close, run, torques_on
from random_designs import random_engine
from shaft_samples import BUSH, THETA, bearing_up, one_section, simple_shaft

from balance.cycle.load import Load
from balance.machine.materials import MATERIALS
from balance.turning import on_bench
from shafts.bearings.bearing import Bearing
from shafts.loaded_shafts import load_shafts
from shafts.shaft import Notch, Segment, Shafts
from shafts.strength.fatigue import PIECE, cycle, fatigue_safety, goodman, safeties, strength, yield_safety
from shafts.strength.sections import SAME, sections
from shafts.strength.stress import inside_shaft, internal_loads

SEEDS = range(24)
SPEED = np.asarray(120.0)


def worked(seed: int, family: str | None = None, **fixed):
    """Return an engine with its shafts under load, and what these carry inside."""
    engine = random_engine(seed, family, **fixed)
    found = run(engine)
    loaded = load_shafts(engine, found.moved, found.forces, found.torques)
    return engine, loaded, internal_loads(loaded)


@pytest.mark.parametrize("seed", SEEDS)
def test_what_acts_on_one_side_balances_what_acts_on_the_other(seed: int):
    """Moment and shear summed from the far end, force by force in space, are those summed from the front."""
    _, loaded, inside = worked(seed)
    theta = loaded.motion.theta
    for crank, found in zip(loaded.cranks, inside, strict=True):
        forces = []
        for load in crank.loads:
            if load.force is not None:
                push = load.apart * np.abs(load.force.y.at(SPEED))
                forces.append((load.at, load.force.x.at(SPEED) + push, load.force.y.at(SPEED)))
            if load.kind == "turning mass":
                x, y = on_bench(*load.turning, theta, crank.sign)
                weight = [load.mass * each for each in crank.gravity]
                forces.append((load.at, x * SPEED**2 + weight[0], y * SPEED**2 + weight[1]))
        for bearing, load in zip(crank.shaft.bearings, crank.bearings, strict=True):
            x, y = load.on_bench(SPEED)
            forces.append((bearing.at, -x, -y))
        back = np.exp(-1j * theta)
        turned = [(at, (y + 1j * crank.sign * x) * back) for at, x, y in forces]
        moment, shear = found.moment.at(SPEED), found.shear.at(SPEED)
        scale = max(np.max(np.abs(moment)), 1e-6)
        for place, at in enumerate(found.sections.at):
            cut = at + (SAME if found.sections.behind[place] else -SAME)
            behind = sum(force * max(other - cut, 0.0) for other, force in turned)
            close(moment[place], behind, scale, 1e-9)
            close(shear[place], -sum(force for other, force in turned if other > cut), scale / 0.01, 1e-9)


@pytest.mark.parametrize("seed", SEEDS)
def test_torque_in_a_section_is_all_that_turns_the_crank_before_it(seed: int):
    _, loaded, inside = worked(seed)
    for crank, found in zip(loaded.cranks, inside, strict=True):
        torques = torques_on(crank, loaded.motion.theta, float(SPEED))
        scale = max(float(np.max(np.abs(each))) for _, each in torques) + 1e-9
        close(sum(each for _, each in torques), 0.0, scale)
        carried = found.torque.at(SPEED[None])
        for place, at in enumerate(found.sections.at):
            cut = at + (SAME if found.sections.behind[place] else -SAME)
            close(carried[place], sum((each for other, each in torques if other < cut), 0.0), scale, 1e-9)


def test_a_moment_that_turns_with_the_shaft_is_steady_and_one_that_stands_alternates():
    capacity = bearing_up(0.01, (1.0, 1.0), (1.0, 1.0, 1.0))
    turning = cycle(one_section(0.01, (3.0, 0.0), (0.0, 0.0)), capacity, SPEED)
    close(turning.alternating, 0.0, 1.0, 1e-6)
    modulus = np.pi / 32 * 1e-6
    np.testing.assert_allclose(turning.steady.max(), 3.0 / modulus, rtol=1e-9)
    standing = cycle(one_section(0.01, (0.0, 3.0), (0.0, 0.0)), capacity, SPEED)
    close(standing.steady, 0.0, 3.0 / modulus, 1e-12)
    np.testing.assert_allclose(standing.alternating, 3.0 / modulus, rtol=2e-3)  # 72 angles


@pytest.mark.parametrize("seed", range(6))
def test_weights_that_turn_with_the_shaft_leave_no_alternating_moment(seed: int):
    """With nothing on the shaft but centrifugal force, moment and shear stand still for it, on either side."""
    _, loaded, _ = worked(seed, "B")
    for crank in loaded.cranks:
        turning = [load for load in crank.loads if load.kind == "turning mass"]
        found = inside_shaft(replace(crank.under(turning, crank.theta), gravity=(0.0, 0.0)))
        for inside in (found.moment.at(SPEED), found.shear.at(SPEED)):
            steady = np.mean(inside, axis=-1, keepdims=True)
            close(inside, steady, max(float(np.max(np.abs(inside))), 1e-12))


@pytest.mark.parametrize("seed", [1, 5, 9])
def test_twice_the_load_is_half_as_safe(seed: int):
    """Goodman's line and von Mises stress are linear in the loads."""
    inside = worked(seed)[2][0]
    capacity = strength(inside.shaft, inside.sections)
    twice = replace(
        inside,
        moment=replace(inside.moment, linear=inside.moment.linear * 2.0, apart=inside.moment.apart * 2),
        shear=replace(inside.shear, linear=inside.shear.linear * 2.0, apart=inside.shear.apart * 2),
        torque=inside.torque * 2.0,
    )
    for safety in (fatigue_safety, lambda *each: yield_safety(*each)[0]):
        one, half = safety(inside, capacity, SPEED), safety(twice, capacity, SPEED)
        loaded = one < 1e5
        assert np.any(loaded)
        np.testing.assert_allclose(half[loaded], one[loaded] / 2, rtol=1e-9)


@pytest.mark.parametrize("seed", [0, 2, 4])
def test_a_thicker_shaft_under_the_same_loads_is_safer(seed: int):
    """Two bearings carry the same whatever the shaft: twice the diameter, an eighth of the nominal stress."""
    engine = random_engine(seed)
    ends = engine.shafts.bearings[0], engine.shafts.bearings[-1]
    plain = replace(engine.shafts, left=None, notches=(), bearings=ends)
    doubled = tuple(replace(each, diameter=2 * each.diameter, bore=2 * each.bore) for each in plain.segments)
    thick = replace(plain, segments=doubled)
    stresses = []
    for shafts in (plain, thick):
        inside = worked(seed, shafts=shafts)[2][0]
        capacity = strength(inside.shaft, inside.sections)
        capacity = replace(
            capacity, bending=capacity.bending / capacity.notch, torsion=capacity.torsion / capacity.notch_torsion
        )
        stresses.append(cycle(inside, capacity, SPEED).alternating)
    np.testing.assert_allclose(stresses[1], stresses[0] / 8, rtol=1e-6, atol=1e-9 * stresses[0].max())


def test_left_and_right_shaft_are_alike_where_nothing_tells_them_apart():
    """No flywheel, load on both, no sideways gravity, equal shafts: every stress of the left is that of the right."""
    engine = random_engine(6, "B", flywheel=None)
    rods = {
        name: replace(y, rod=None if y.rod is None else replace(y.rod, left=None)) for name, y in engine.yokes.items()
    }
    engine = replace(
        engine,
        yokes=rods,
        gravity=replace(engine.gravity, x=0.0),
        shafts=replace(engine.shafts, left=None),
        cranks=replace(engine.cranks, load_on="both", webs=tuple(replace(w, on="both") for w in engine.cranks.webs)),
    )
    found = run(engine)
    right, left = internal_loads(load_shafts(engine, found.moved, found.forces, found.torques))
    one, other = right.moment.at(SPEED), left.moment.at(SPEED)
    close(one, other, float(np.max(np.abs(one))))
    close(
        right.torque.at(SPEED[None]), left.torque.at(SPEED[None]), float(np.max(np.abs(right.torque.at(SPEED[None]))))
    )


def known_shafts(*segments: Segment) -> Shafts:
    """Return two like shafts of steel without notches on two bearings."""
    bearings = (Bearing(at=0.0, bush=BUSH), Bearing(at=0.06, bush=BUSH))
    return Shafts(material=MATERIALS["steel"], segments=segments, starts_at=-0.02, bearings=bearings)


@pytest.mark.parametrize("kind", ["shoulder", "groove", "keyway", "cross hole", "set-screw flat", "press fit"])
def test_every_notch_weakens_its_section_and_no_other(kind: str):
    smooth = known_shafts(Segment(length=0.1, diameter=0.008))
    at = smooth.starts_at + 0.037
    diameter = 0.001 if kind == "cross hole" else None
    notched = replace(smooth, notches=(Notch(at=at, kind=kind, fillet=2e-4, depth=3e-4, diameter=diameter),))
    before, after = (worked(8, shafts=shafts)[2][0] for shafts in (smooth, notched))
    plain, weak = (fatigue_safety(each, strength(each.shaft, each.sections), SPEED) for each in (before, after))
    place = [each.kind for each in after.sections.places].index("notch")
    mine = [place, place + len(after.sections.places)]
    capacity = strength(after.shaft, after.sections)
    smooth_there = cycle(after, replace(capacity, bending=capacity.bending / capacity.notch), SPEED)
    assert np.all(capacity.notch[mine] > 1.05)
    assert np.all(
        weak[mine] < np.min(goodman(smooth_there, capacity.endurance[:, None], capacity.tensile), axis=-1)[mine]
    )
    others = np.delete(weak, mine)
    np.testing.assert_allclose(others, plain, rtol=1e-9)


def test_a_larger_fillet_is_safer_and_steps_count_without_being_stated():
    step = (Segment(length=0.03, diameter=0.006), Segment(length=0.08, diameter=0.009))
    shafts = known_shafts(*step)
    at = shafts.starts_at + 0.03
    found = {}
    for name, notches in {
        "unstated": (),
        "sharp": (Notch(at=at, kind="shoulder", fillet=0.02 * 0.006),),
        "round": (Notch(at=at, kind="shoulder", fillet=1e-3),),
    }.items():
        inside = worked(8, shafts=replace(shafts, notches=notches))[2][0]
        found[name] = strength(inside.shaft, inside.sections).notch.max()
    np.testing.assert_allclose(found["unstated"], found["sharp"], rtol=1e-12)
    assert found["round"] < 0.85 * found["sharp"]


@pytest.mark.parametrize(("bore", "factor"), [(0.0, 4 / 3), (0.999, 2.0)])
def test_shear_peaks_at_the_neutral_axis(bore: float, factor: float):
    """4/3 of the mean in a round bar, twice the mean in a thin tube (any textbook on strength of materials)."""
    shaft = replace(
        simple_shaft(0.1, 0.01, MATERIALS["steel"]), segments=(Segment(length=0.1, diameter=0.01, bore=bore * 0.01),)
    )
    capacity = strength(shaft, sections(shaft, {}))
    area = np.pi / 4 * 0.01**2 * (1 - bore**2)
    np.testing.assert_allclose(capacity.shear, factor / area, rtol=2e-3)


def test_a_short_stout_overhang_yields_by_shear_first():
    """No moment and no torque to speak of: safety is yield strength over sqrt(3) times the shear peak."""
    plain = one_section(0.01, (0.0, 0.0), (0.0, 0.0))
    force = replace(plain.shear, linear=Load(steady=np.full((2, THETA.size), 1000.0 + 0j)))
    capacity = strength(plain.shaft, sections(plain.shaft, {}))
    capacity = replace(bearing_up(0.01, (1.0, 1.0), (1.0, 1.0, 300e6)), shear=capacity.shear[..., :2])
    safety, _ = yield_safety(replace(plain, shear=force), capacity, SPEED)
    np.testing.assert_allclose(safety, 300e6 / (np.sqrt(3) * 4 / 3 * 1000 / (np.pi / 4 * 1e-4)), rtol=1e-9)


def test_both_sides_of_a_step_have_their_own_diameter():
    shafts = simple_shaft(0.1, 0.01, MATERIALS["steel"])
    stepped = replace(
        shafts, segments=(Segment(length=0.04, diameter=0.006, bore=0.002), Segment(length=0.06, diameter=0.01))
    )
    found = sections(stepped, {"pulley": 0.07, "off the end": 0.2})
    names = [place.name for place in found.places]
    assert "off the end" not in names
    for place, diameters, bores in (("step 1", (0.006, 0.01), (0.002, 0.0)), ("pulley", (0.01, 0.01), (0.0, 0.0))):
        first = names.index(place)
        sides = [first, first + len(names)]
        np.testing.assert_allclose(found.diameter[sides], diameters)
        np.testing.assert_allclose(found.bore[sides], bores)
        assert list(found.behind[sides]) == [False, True]


def test_what_stands_in_one_place_is_one_section_and_what_mirrors_it_another():
    """A step 10 mm one way from the origin and a bearing 10 mm the other way are two; a load on the step is not."""
    step = (Segment(length=0.03, diameter=0.006), Segment(length=0.05, diameter=0.009))
    shaft = replace(known_shafts(*step), bearings=(Bearing(at=-0.01, bush=BUSH), Bearing(at=0.03, bush=BUSH)))
    names = [place.name for place in sections(shaft, {"gear": 0.01, "wheel": -0.03, "pulley": 0.02}).places]
    assert names == ["front end", "far end", "step 1", "bearing 1", "bearing 2", "pulley"]


def test_sections_of_options_are_each_what_they_are_alone():
    """Lengths and diameters that differ from option to option, and a load that passes from piece to piece."""
    lengths, thick, at = np.array([0.021, 0.03, 0.04]), np.array([0.009, 0.01, 0.012]), np.array([-0.01, 0.015, 0.03])

    def made(length, diameter):
        first, middle = Segment(length=length, diameter=0.006), Segment(length=0.012, diameter=diameter)
        return known_shafts(first, middle, Segment(length=0.06, diameter=0.007, bore=0.002))

    together = sections(made(lengths, thick), {"load": at})
    for option in range(3):
        alone = sections(made(float(lengths[option]), float(thick[option])), {"load": float(at[option])})
        for name in ("at", "diameter", "bore"):
            values = np.broadcast_to(getattr(together, name), (3, alone.at.size))[option]
            np.testing.assert_allclose(values, getattr(alone, name), rtol=1e-12)


@pytest.mark.parametrize(("kind", "left"), [("groove", 0.008), ("set-screw flat", 0.009), ("keyway", 0.01)])
def test_a_notch_leaves_the_section_that_it_leaves(kind: str, left: float):
    """Stress per moment is the notch factor over pi d^3/32 of what is left: a groove takes its depth on both sides."""
    shaft = simple_shaft(0.1, 0.01, MATERIALS["steel"])
    shaft = replace(shaft, notches=(Notch(at=0.05, kind=kind, depth=0.001, fillet=2e-4),))
    found = sections(shaft, {})
    capacity = strength(shaft, found)
    place = [each.kind for each in found.places].index("notch")
    np.testing.assert_allclose(capacity.bending[place], capacity.notch[place] * 32 / (np.pi * left**3), rtol=1e-9)
    np.testing.assert_allclose(
        capacity.torsion[place], capacity.notch_torsion[place] * 16 / (np.pi * left**3), rtol=1e-9
    )


def test_many_speeds_are_as_safe_as_each_alone():
    """They are worked out a few at a time; a section's moment here grows with speed."""
    loads, capacity = one_section(0.01, (1.0, 2.0), (3.0, 1.0)), bearing_up(0.01, (1.5, 1.2), (2e8, 5e8, 4e8))
    linear = replace(loads.moment.linear, inertia=loads.moment.linear.steady / SPEED**2)
    loads = replace(loads, moment=replace(loads.moment, linear=linear))
    speeds = np.linspace(1.0, 4.0, 2 * PIECE + 1) * SPEED
    yielding, angle, fatigue = safeties(loads, capacity, speeds)
    assert len(set(yielding[:, 0])) == len(speeds)
    for place, speed in enumerate(speeds):
        np.testing.assert_allclose([yielding[place], angle[place]], yield_safety(loads, capacity, speed), rtol=1e-12)
        np.testing.assert_allclose(fatigue[place], fatigue_safety(loads, capacity, speed), rtol=1e-12)
