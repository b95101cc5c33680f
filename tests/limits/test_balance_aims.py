"""Every aim of the balance is met as well as it can be: laws, and a search by brute force that finds nothing better."""

from dataclasses import replace

import numpy as np
import pytest
from limits.evaluated import close
from limits.test_laws_of_balance import rhombic
from random_designs import random_machine
from scipy.optimize import nnls

from balance import motion, shaking
from balance.cycle.harmonics import orders
from balance.machine.counterweights import Counterweights, SegmentShape, Trim
from balance.machine.machine import Machine
from balance.machine.yoke import Rod, RodMasses
from balance.weights import balancing
from balance.weights.added_mass import trade_off
from balance.weights.aims import _in_one_disc, _lighter, cancel_first, least_peak, least_rms, refined
from balance.weights.balancing import Effects, fit, shaking_effects, solved
from balance.weights.complete import complete_balance, nonnegative
from balance.weights.mass_budget import MassBudget
from balance.weights.plate_choice import plate_for

SETS = 100_000
CHUNK = 2_000


def weighted(machine: Machine, planes=-0.01, thickness=0.05, trims=None, **others) -> Machine:
    """Return the machine with counterweights to be sized, unbounded for practical purposes unless said otherwise."""
    entries = {"largest_radius": 0.04, "smallest_radius": 0.002, "trims": trims or {}} | others
    return replace(machine, counterweights=Counterweights(at=planes, thickness=thickness, **entries))


def effects(machine: Machine, angles: int | None = None) -> Effects:
    moved = motion.move(machine, None if angles is None else motion.crank_angles(angles))
    return shaking_effects(machine, moved, shaking.shaking(machine, moved))


def shaken(machine: Machine) -> shaking.Shaking:
    return shaking.shaking(machine, motion.move(machine))


def legal_sets(problem: Effects, near: np.ndarray, generator: np.random.Generator) -> np.ndarray:
    """Return random unknowns within their bounds: half anywhere, half drawn toward `near`, closer and closer."""
    planes = len(problem.caps)
    radius = np.sqrt(generator.random((SETS, planes))) * problem.caps
    turn = generator.random((SETS, planes)) * 2 * np.pi
    sets = np.empty((SETS, 2 * planes + len(problem.most)))
    sets[:, 0 : 2 * planes : 2], sets[:, 1 : 2 * planes : 2] = radius * np.cos(turn), radius * np.sin(turn)
    sets[:, 2 * planes :] = generator.random((SETS, len(problem.most))) * problem.most
    toward = 10.0 ** -generator.uniform(0, 5, (SETS // 2, 1))
    sets[: SETS // 2] = near + (sets[: SETS // 2] - near) * toward  # the legal sets are convex
    return sets


def coarse(fine: Effects) -> Effects:
    """Return every tenth angle: the peak over these is never above that over all, so it serves to sort out."""
    return replace(fine, base=fine.base[..., ::10], by_unknown=fine.by_unknown[..., ::10])


def best_of(sets: np.ndarray, size, sort_out=None) -> float:
    """Return the least size of any set; with `sort_out`, a bound from below, only of those that could be the least."""
    if sort_out is not None:
        bounds = np.concatenate([sort_out(sets[place : place + CHUNK]) for place in range(0, len(sets), CHUNK)])
        sets = sets[bounds <= size(sets[np.argmin(bounds)])]
    return min(float(np.min(size(sets[place : place + CHUNK]))) for place in range(0, len(sets), CHUNK))


BOUNDED = [  # seed, family, planes, plate thickness so thin that it binds or thick enough
    (3, "A", -0.01, 0.05),
    (5, "B", (-0.01, -0.03), 0.0005),
    (8, "B", (-0.01, -0.04), 0.003),
]


@pytest.mark.parametrize(("seed", "family", "planes", "thickness"), BOUNDED)
@pytest.mark.parametrize("aim", [least_rms, least_peak])
def test_no_random_set_is_better(seed, family, planes, thickness, aim):
    machine = random_machine(seed, family)
    trims = {name: Trim(at_most=0.03) for name in machine.yokes}
    problem = effects(weighted(machine, planes, thickness, trims))
    found = aim(problem)
    fine = replace(problem, base=refined(problem.base), by_unknown=refined(problem.by_unknown))
    size, sort_out = (problem.rms, None) if aim is least_rms else (fine.peak, coarse(fine).peak)
    count = 2 * len(problem.caps)
    assert np.all(np.hypot(found[0:count:2], found[1:count:2]) <= problem.caps * (1 + 1e-9))
    assert np.all((found[count:] >= 0) & (found[count:] <= problem.most * (1 + 1e-9)))
    best = best_of(legal_sets(problem, found, np.random.default_rng(seed)), size, sort_out)
    assert float(size(found)) <= best * (1 + 1e-6)
    assert float(size(found)) < float(size(np.zeros_like(found)))


@pytest.mark.parametrize("full", [0, 1])
@pytest.mark.parametrize("aim", [least_rms, least_peak])
def test_one_plane_full_and_one_not(full, aim):
    """The plate of one plane holds three quarters of what it would, that of the other more than that."""
    machine = random_machine(5, "B")
    free = effects(weighted(machine, (-0.01, -0.03), 0.01, {name: Trim(at_most=0.03) for name in machine.yokes}))
    wanted = least_rms(replace(free, caps=100 * free.caps))[:4]
    caps = np.hypot(wanted[0::2], wanted[1::2]) * np.where(np.arange(2) == full, 0.75, 2.0)
    problem = replace(free, caps=caps)
    found = aim(problem)
    sizes = np.hypot(found[0:4:2], found[1:4:2])
    assert sizes[full] == pytest.approx(caps[full], rel=1e-6)
    assert sizes[1 - full] < 0.9 * caps[1 - full]
    fine = replace(problem, base=refined(problem.base), by_unknown=refined(problem.by_unknown))
    size, sort_out = (problem.rms, None) if aim is least_rms else (fine.peak, coarse(fine).peak)
    best = best_of(legal_sets(problem, found, np.random.default_rng(full)), size, sort_out)
    assert float(size(found)) <= best * (1 + 1e-6)


@pytest.mark.parametrize("aim", [cancel_first, least_rms, least_peak])
def test_a_trim_of_nothing_is_as_none(aim):
    machine = rhombic(0.30, 0.22)
    trims = {"up": Trim(at_most=0.0), "down": Trim(at_most=0.04)}
    found = aim(effects(weighted(machine, -0.02, trims=trims)))
    alone = aim(effects(weighted(machine, -0.02, trims={"down": Trim(at_most=0.04)})))
    assert found[2] == pytest.approx(0.0, abs=1e-12)
    np.testing.assert_allclose(found[[0, 1, 3]], alone, rtol=0, atol=1e-6 * np.abs(alone).max())


def projected(problem: Effects) -> np.ndarray:
    """Return the unknowns of least rms by gradient steps, each drawn back into the discs and bounds (FISTA).

    Beck and Teboulle, SIAM J. Imaging Sci. 2 (2009) 183; in units of the bounds.
    """
    count = 2 * len(problem.caps)
    scale = np.concatenate([np.repeat(problem.caps, 2), problem.most])
    each = problem.by_unknown * scale[:, None, None]
    hessian = np.einsum("ipa,jpa->ij", each, each)
    pull = -np.einsum("ipa,pa->i", each, problem.base)
    rate = 1 / np.linalg.eigvalsh(hessian)[-1]
    now = ahead = np.zeros(len(scale))
    for step in range(6000):
        new = ahead - rate * (hessian @ ahead - pull)
        new[:count] /= np.repeat(np.maximum(1.0, np.hypot(new[0:count:2], new[1:count:2])), 2)
        new[count:] = np.clip(new[count:], 0.0, 1.0)
        if step % 500 == 499:  # begun anew, which keeps it from swinging
            now, ahead = new, new
            continue
        now, ahead = new, new + step % 500 / (step % 500 + 3) * (new - now)
    return now * scale


@pytest.mark.parametrize("thickness", [0.0005, 0.001, 0.003])
@pytest.mark.parametrize("shares", [(1.0, 1.0), (0.4, 1.0), (1.0, 0.4)])
@pytest.mark.parametrize("seed", [5, 8])
def test_least_rms_is_what_small_steps_downhill_come_to(seed, shares, thickness):
    machine = random_machine(seed, "B")
    trims = {name: Trim(at_most=0.03) for name in machine.yokes}
    problem = effects(weighted(machine, (-0.01, -0.03), thickness, trims))
    problem = replace(problem, caps=problem.caps * shares)
    left = float(problem.rms(projected(problem)))
    assert float(problem.rms(least_rms(problem))) == pytest.approx(left, rel=1e-7)


def test_the_problems_above_are_of_both_kinds():
    """Where the plate is thin its bound is met, else not: both ways of solving are looked at."""
    found = {}
    for seed, family, planes, thickness in BOUNDED:
        machine = random_machine(seed, family)
        problem = effects(weighted(machine, planes, thickness, {name: Trim(at_most=0.03) for name in machine.yokes}))
        unknowns, count = least_rms(problem), 2 * len(problem.caps)
        found[seed] = bool(np.any(np.hypot(unknowns[0:count:2], unknowns[1:count:2]) >= problem.caps * (1 - 1e-6)))
    assert found == {3: False, 5: True, 8: True}


@pytest.mark.parametrize("seed", range(4))
def test_one_plane_leaves_no_first_order(seed):
    machine = random_machine(seed)
    unbalanced = shaken(machine)
    weights = balancing.size_weights(weighted(machine, thickness=1.0, largest_radius=0.1).counterweights, unbalanced)
    after = shaken(fit(weighted(machine, thickness=1.0), weights))
    close(orders(after.y, 1)[1], 0.0, abs(orders(unbalanced.y, 1)[1]), 1e-12)


@pytest.mark.parametrize("seed", range(4))
def test_two_planes_leave_no_first_order_of_force_nor_of_pitch(seed):
    machine = random_machine(seed)
    unbalanced = shaken(machine)
    ready = weighted(machine, (-0.3, 0.2), thickness=0.4, largest_radius=0.1)
    after = shaken(fit(ready, balancing.size_weights(ready.counterweights, unbalanced)))
    close(orders(after.y, 1)[1], 0.0, abs(orders(unbalanced.y, 1)[1]), 1e-12)
    close(
        orders(after.pitch, 1)[1],
        0.0,
        abs(orders(unbalanced.pitch, 1)[1]) + 0.3 * abs(orders(unbalanced.y, 1)[1]),
        1e-12,
    )


@pytest.mark.parametrize("seed", range(3))
@pytest.mark.parametrize("planes", [-0.01, (-0.2, 0.15)])
def test_what_the_effects_say_is_what_the_fitted_machine_does(seed, planes):
    """The linear problem against the shaking computed afresh with weights and trims as masses of the machine."""
    machine = random_machine(seed, "B")
    trims = {name: Trim(at_most=0.05, at=0.01 if place else None) for place, name in enumerate(machine.yokes)}
    ready = weighted(machine, planes, thickness=0.3, trims=trims)
    problem, count = effects(ready), len(ready.counterweights.planes)
    unknowns = np.concatenate([problem.caps.repeat(2) * np.tile([0.3, -0.5], count), [0.02, 0.04]])
    after = shaken(fit(ready, solved(ready.counterweights, unknowns)))
    said = problem.residual(unknowns)
    size = np.abs(problem.base).max()
    close(np.sum(said[:count], axis=0), after.y, size, 1e-12)
    close(np.sum(said[count:], axis=0), after.x, size, 1e-12)
    if count == 2:
        close(-np.tensordot(planes, said[:2], axes=1), after.pitch, size, 1e-12)


@pytest.mark.parametrize(("up", "down"), [(0.30, 0.22), (0.22, 0.30), (0.25, 0.25)])
def test_it_finds_by_itself_that_equal_masses_balance_every_order(up, down):
    machine = rhombic(up, down)
    moved, unbalanced = motion.move(machine), shaken(machine)
    complete = complete_balance(machine, moved, unbalanced, (-0.02,))
    assert complete.order is None
    close([complete.trims["up"], complete.trims["down"]], [max(0.0, down - up), max(0.0, up - down)], 0.1, 1e-9)
    for aim in (cancel_first, least_rms, least_peak):
        ready = weighted(machine, -0.02, trims={name: Trim(at_most=0.2) for name in ("up", "down")})
        weights = solved(ready.counterweights, aim(effects(ready)))
        close(shaken(fit(ready, weights)).size, 0.0, unbalanced.size.max(), 1e-7 if aim is least_peak else 1e-12)
        assert sum(weights.trims.values()) == pytest.approx(abs(up - down), abs=1e-7)  # and nothing beyond need


def test_it_says_why_masses_alone_cannot_balance():
    machine = rhombic(0.3, 0.25)
    rod = replace(machine.yokes["down"].rod, length=0.04)
    unlike = replace(machine, yokes=machine.yokes | {"down": replace(machine.yokes["down"], rod=rod)})
    found = complete_balance(unlike, motion.move(unlike), shaken(unlike), (-0.02,))
    assert found.order is not None
    assert found.residual > 0
    assert "differ in throw over rod length (0.2941 and 0.2500)" in found.reason
    alone = replace(machine, yokes={"up": machine.yokes["up"]})
    assert "nothing moves against yoke up" in complete_balance(alone, motion.move(alone), shaken(alone), (0.0,)).reason
    above = replace(machine, yokes=machine.yokes | {"down": replace(machine.yokes["down"], side="above")})
    assert "both stand above" in complete_balance(above, motion.move(above), shaken(above), (0.0,)).reason


def test_a_bounded_trim_stops_at_its_bound_and_the_rest_remains():
    """40 g of the 80 g needed are allowed; what is left is that of the other 40 g, which no counterweight reaches."""
    ready = weighted(rhombic(0.30, 0.22), -0.02, trims={"down": Trim(at_most=0.04)})
    found = solved(ready.counterweights, cancel_first(effects(ready)))
    assert found.trims["down"] == pytest.approx(0.04)
    left = shaken(fit(ready, found)).orders()["y"]
    needs = shaken(rhombic(0.30, 0.26)).orders()["y"]
    close(left[1], 0.0, abs(needs[1]), 1e-12)
    close(left[2:], needs[2:], abs(needs[2]), 1e-9)


def test_trade_off_falls_is_convex_and_ends_at_the_aim():
    for planes, peak in ((-0.01, False), ((-0.01, -0.04), False), (-0.01, True)):
        machine = random_machine(8, "B")
        problem = effects(weighted(machine, planes, 0.02, {name: Trim(at_most=0.03) for name in machine.yokes}))
        curve = trade_off(problem, np.full(len(problem.caps), 0.012), peak, steps=6)
        assert curve.mass[0] == 0.0
        assert np.all(np.diff(curve.mass) > 0)
        assert np.all(np.diff(curve.left) < 0)
        assert np.all(np.diff(curve.left, 2) > -1e-4 * curve.left[0])
        best = (least_peak if peak else least_rms)(problem)
        assert curve.left[-1] == pytest.approx(float((problem.peak if peak else problem.rms)(best)), rel=1e-3)


def test_nothing_random_is_better_for_its_mass():
    machine = random_machine(8, "B")
    problem = effects(weighted(machine, -0.01, 0.02, {name: Trim(at_most=0.03) for name in machine.yokes}))
    radius = np.array([0.012])
    curve = trade_off(problem, radius, steps=6)
    sets = legal_sets(problem, curve.unknowns[3], np.random.default_rng(1))
    mass = 2 * np.hypot(sets[:, 0], sets[:, 1]) / radius[0] + sets[:, 2:].sum(axis=1)
    light = sets[mass <= curve.mass[3]]
    assert len(light) > 100
    assert curve.left[3] <= best_of(light, problem.rms) * (1 + 1e-6)


def test_refined_angles_keep_the_curve():
    theta = motion.crank_angles(72)
    curve = 2.0 + np.cos(theta - 0.3) + 0.2 * np.sin(7 * theta)
    fine = motion.crank_angles(720)
    close(refined(curve), 2.0 + np.cos(fine - 0.3) + 0.2 * np.sin(7 * fine), 1.0, 1e-13)


def test_a_segment_in_place_of_a_sector_balances_as_well():
    machine = random_machine(2)
    ready = weighted(machine, thickness=1.0, largest_radius=0.1, shape=SegmentShape())
    unbalanced = shaken(machine)
    after = shaken(fit(ready, balancing.size_weights(ready.counterweights, unbalanced)))
    close(orders(after.y, 1)[1], 0.0, abs(orders(unbalanced.y, 1)[1]), 1e-12)


def test_forces_across_two_planes_do_what_force_and_yaw_couple_do():
    shaken_so = shaken(random_machine(6, "B"))
    one, two = balancing.across_planes((-0.2, 0.15), shaken_so)
    size = np.abs(shaken_so.x).max() + np.abs(shaken_so.yaw).max()
    assert size > 0
    close(one + two, shaken_so.x, size, 1e-12)
    close(-0.2 * one + 0.15 * two, shaken_so.yaw, size, 1e-12)


def test_what_two_trims_only_add_to_each_other_is_taken_off():
    """X - y = 1 with both from 0 to 5: of all that do it, 1 and 0 is the lightest; with y at 1 or more, 2 and 1."""
    matrix, both = np.array([[1.0, -1.0]]), np.ones(2)
    np.testing.assert_allclose(_lighter(matrix, np.array([3.0, 2.0]), 0 * both, 5 * both, both), [1, 0], atol=1e-9)
    found = _lighter(matrix, np.array([3.0, 2.0]), np.array([0.0, 1.0]), 5 * both, both)
    np.testing.assert_allclose(found, [2, 1], atol=1e-9)


def test_the_order_that_is_said_to_remain_is_the_largest_that_does():
    machine = rhombic(0.3, 0.25)
    rod = replace(machine.yokes["down"].rod, length=0.04)
    unlike = replace(machine, yokes=machine.yokes | {"down": replace(machine.yokes["down"], rod=rod)})
    found = complete_balance(unlike, motion.move(unlike), shaken(unlike), (-0.02,))
    ready = weighted(unlike, -0.02, trims={name: Trim(at_most=1.0) for name in found.trims})
    unknowns = np.array([0.0, 0.0, *found.trims.values()])
    left = np.abs(shaken(fit(ready, solved(ready.counterweights, unknowns))).orders()["y"])
    assert found.order == int(np.argmax(left[2:])) + 2
    assert found.residual == pytest.approx(left[found.order], rel=1e-9)


def test_unlike_sides_are_said_to_stand_in_the_way():
    machine = rhombic(0.3, 0.3)
    rod = replace(machine.yokes["up"].rod, left=RodMasses(mass=0.012, cg=0.013))
    lame = replace(machine, yokes=machine.yokes | {"up": replace(machine.yokes["up"], rod=rod)})
    found = complete_balance(lame, motion.move(lame), shaken(lame), (-0.02,))
    assert found.order is not None
    assert "right-hand and the left-hand side differ" in found.reason


def unlike(**changes) -> Machine:
    """Return the machine that masses balance, with its lower yoke or the throw that drives it changed."""
    machine = rhombic(0.3, 0.25)
    throw = {key: each for key, each in changes.items() if key in ("phase", "at")}
    yoke = {key: each for key, each in changes.items() if key not in throw}
    throws = machine.cranks.throws | {"other": replace(machine.cranks.throws["pin"], **throw)}
    down = replace(machine.yokes["down"], throw="other", **yoke)
    return replace(machine, cranks=replace(machine.cranks, throws=throws), yokes=machine.yokes | {"down": down})


IN_THE_WAY = [  # rods of 34 mm on throws of 10 mm, pivots 15 mm inside their shafts, driven at 0.3 rad
    ({"half_span": 0.002}, "differ in offset over rod length (0.4412 and 0.3824)"),
    ({"phase": 0.3 + np.deg2rad(30)}, "are driven 30.0 deg apart"),
    ({"phase": 0.3 - np.deg2rad(30)}, "are driven 330.0 deg apart"),
    ({"phase": 0.3 + np.deg2rad(180)}, "are driven 180.0 deg apart"),
    ({"at": -0.015}, "lie in planes 5.0 mm apart, which leaves a couple"),
    ({"side": "above"}, "both stand above the cranks"),
]


@pytest.mark.parametrize(("changes", "words"), IN_THE_WAY)
def test_what_is_in_the_way_is_named_and_nothing_else(changes, words):
    machine = unlike(**changes)
    found = complete_balance(machine, motion.move(machine), shaken(machine), (-0.03, 0.01))
    assert found.reason == f"yokes up and down do not move as mirror images: they {words}"
    assert found.residual > 0


@pytest.mark.parametrize("changes", [{}, {"phase": 0.3 + 2 * np.pi}, {"at": -0.015}])
def test_nothing_is_in_the_way_in_one_plane_of_throws_a_turn_or_a_step_along_the_shaft_apart(changes):
    machine = unlike(**changes)
    found = complete_balance(machine, motion.move(machine), shaken(machine), (-0.02,))
    assert (found.order, found.reason) == (None, "")
    close([found.trims["up"], found.trims["down"]], [0.0, 0.05], 0.1, 1e-9)


def test_of_three_yokes_the_two_that_are_most_alike_are_compared():
    """Up and down differ in one thing, each of them from the third in two."""
    machine = unlike(half_span=0.002)
    third = replace(machine.yokes["up"], rod=replace(machine.yokes["up"].rod, length=0.04), half_span=0.004)
    for yokes in ({"third": third} | machine.yokes, machine.yokes | {"third": third}):
        three = replace(machine, yokes=yokes)
        assert "yokes up and down do" in complete_balance(three, motion.move(three), shaken(three), (0.0,)).reason


def test_slope_of_the_added_mass_is_its_difference_quotient():
    """Two weights of m r at 12 and 20 mm on each of two shafts and two trims: 2 (m r)/r each, and the trims."""
    budget, at = MassBudget(np.array([0.012, 0.020]), 0.05), np.array([3e-4, -4e-4, 0.0, 5e-4, 0.01, 0.02])
    assert float(budget.mass(at)) == pytest.approx(2 * 5e-4 / 0.012 + 2 * 5e-4 / 0.020 + 0.03)
    steps = 1e-8 * np.eye(6)
    np.testing.assert_allclose(budget.slope(at), (budget.mass(at + steps) - budget.mass(at - steps)) / 2e-8, rtol=1e-6)
    np.testing.assert_array_equal(budget.slope(np.zeros(6)), [0, 0, 0, 0, 1, 1])  # its one-sided slopes cancel
    assert float(budget.mass(budget.kept(at))) == pytest.approx(0.05)
    np.testing.assert_allclose(budget.kept(at) / at[0], at / at[0] * 0.05 / float(budget.mass(at)))
    np.testing.assert_array_equal(budget.kept(at / 10), at / 10)


def test_a_difference_of_a_thousandth_still_stands_in_the_way():
    machine = rhombic(0.3, 0.3)
    rod = machine.yokes["up"].rod
    sides = replace(rod, left=RodMasses(mass=rod.mass * 1.001, cg=rod.cg, inertia=rod.inertia))
    lengths = replace(rod, length=rod.length * 1.001)
    for changed, words in ((sides, "right-hand and the left-hand side differ"), (lengths, "throw over rod length")):
        near = replace(machine, yokes=machine.yokes | {"up": replace(machine.yokes["up"], rod=changed)})
        found = complete_balance(near, motion.move(near), shaken(near), (-0.02,))
        assert found.order is not None
        assert words in found.reason
        assert 0 < found.residual < 1e-5 * 0.6 / 0.034  # a thousandth of masses of 0.6 kg on throws of 10 mm, and less


def test_a_machine_without_masses_is_balanced():
    machine = rhombic(0.0, 0.0)
    bare = {name: replace(yoke, rod=Rod(length=0.034)) for name, yoke in machine.yokes.items()}
    bare = replace(machine, yokes=bare)
    found = complete_balance(bare, motion.move(bare), shaken(bare), (-0.02,))
    assert (found.order, found.residual, found.reason) == (None, 0.0, "")


@pytest.mark.parametrize("wanted", [3e-4, 3e-11])
def test_what_a_plate_lacks_is_told_whatever_its_size(wanted):
    """A plate of half the moment is short of half; one that has it all but rounding is short of nothing."""
    stock = weighted(random_machine(2)).counterweights
    plate = plate_for(stock, 0.5 * wanted)
    assert float(balancing.Weight(-0.01, wanted, 0.0, plate).short) == pytest.approx(0.5 * wanted)
    whole = plate_for(stock, wanted * (1 - 1e-12))
    assert float(balancing.Weight(-0.01, wanted, 0.0, whole).short) == 0.0


@pytest.mark.parametrize("seed", range(40))
def test_shares_none_below_zero_are_those_of_a_reference_library(seed):
    """Against the non-negative least squares of SciPy; where columns make up for each other, by what is left."""
    random = np.random.default_rng(seed)
    columns, wanted = random.normal(size=(20, 5)), random.normal(size=20)
    found = nonnegative(columns, wanted)
    np.testing.assert_allclose(found, nnls(columns, wanted)[0], atol=1e-9)
    columns[:, 1], columns[:, 2] = -2 * columns[:, 0], 3 * columns[:, 3]
    found, least = nonnegative(columns, wanted), nnls(columns, wanted)[1]
    assert np.all(found >= 0)
    assert not (found[0] and found[1])  # one takes away what the other adds
    assert np.linalg.norm(columns @ found - wanted) == pytest.approx(least, rel=1e-12)


@pytest.mark.parametrize("seed", range(20))
def test_one_moment_within_a_bound_is_the_best_of_all_directions(seed):
    random = np.random.default_rng(seed)
    matrix, wanted = random.normal(size=(10, 2)), random.normal(size=10)
    free = np.linalg.lstsq(matrix, wanted, rcond=None)[0]
    np.testing.assert_allclose(_in_one_disc(matrix, wanted, 1.01 * np.linalg.norm(free)), free)
    most = random.uniform(0.1, 0.9) * np.linalg.norm(free)
    found, turn = _in_one_disc(matrix, wanted, most), np.linspace(0, 2 * np.pi, 2001)
    round_about = matrix @ (most * np.array([np.cos(turn), np.sin(turn)])) - wanted[:, None]
    assert np.linalg.norm(found) == pytest.approx(most)
    assert np.linalg.norm(matrix @ found - wanted) <= np.min(np.linalg.norm(round_about, axis=0)) + 1e-12
