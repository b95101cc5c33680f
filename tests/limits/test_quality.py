"""How good the balance is: drilled holes, and small slips against the machine that has them."""

from dataclasses import replace

import numpy as np
import pytest
from limits.evaluated import close, one_yoke, run, size
from random_designs import random_machine
from shapely.geometry import Point

from balance.cycle.harmonics import orders
from balance.machine.crank import Gears, Web
from balance.machine.yoke import Rod, Slot
from balance.quality import Hole, largest_of_order
from balance.sensitivity import residual_unbalance, sensitivities, side_shaking, step_sensitivity, turning_mass

ROD = Rod(length=0.05, mass=0.01, cg=0.02, inertia=2e-6)


def test_hole_takes_away_what_it_drills() -> None:
    hole = Hole(diameter=0.004, depth=0.006, radius=0.018, density=7850.0)
    area = Point(18.0, 0.0).buffer(2.0, quad_segs=256).area * 1e-6
    assert hole.mass == pytest.approx(area * 0.006 * 7850, rel=1e-4)
    assert hole.moment == pytest.approx(area * 0.006 * 7850 * 0.018, rel=1e-4)


@pytest.mark.parametrize("seed", range(4))
def test_largest_of_an_order(seed: int) -> None:
    x, y = np.random.default_rng(seed).normal(size=(2, 2)) @ [1, 1j]
    turn = np.exp(1j * np.linspace(0, 2 * np.pi, 20001))
    assert largest_of_order(x, y) == pytest.approx(np.hypot((x * turn).real, (y * turn).real).max(), rel=1e-6)


@pytest.mark.parametrize("seed", range(12))
def test_two_sides_make_the_whole(seed: int) -> None:
    found = run(random_machine(seed))
    whole = side_shaking(found.machine, found.moved, "right") + side_shaking(found.machine, found.moved, "left")
    for name, values in vars(found.shaking).items():
        close(getattr(whole, name), values, max(size(values), size(found.shaking.y)))


def test_one_gram_does_what_a_gram_does() -> None:
    """The machine with one gram more on the right crankpin alone, against the machine without."""
    machine = one_yoke({"rod": ROD})
    gram = Web(at=-0.02, mass=1e-3, cg=(0.0, machine.cranks.throws["pin"].radius), on="right")
    bare, more = run(machine), run(replace(machine, cranks=replace(machine.cranks, webs=(gram,))))
    change = {
        name: orders(getattr(more.shaking, name) - getattr(bare.shaking, name), 1)[1] for name in ("x", "y", "roll")
    }
    slip = sensitivities(machine, bare.moved, None)[0]
    assert slip.across == pytest.approx(abs(change["x"]))
    assert slip.along == pytest.approx(abs(change["y"]))
    assert slip.roll == pytest.approx(abs(change["roll"]))
    assert slip.force == pytest.approx(1e-3 * 0.01)


@pytest.mark.parametrize("radii", [(0.010, 0.012), (0.012, 0.010)])
def test_the_gram_is_put_on_the_crankpin_where_it_tells_most(radii: tuple) -> None:
    machine = one_yoke({"rod": ROD})
    first, second = (replace(machine.cranks.throws["pin"], radius=radius) for radius in radii)
    two = replace(machine, cranks=replace(machine.cranks, throws={"pin": first, "other": second}))
    assert sensitivities(two, run(machine).moved, None)[0].force == pytest.approx(1e-3 * 0.012)


def test_weights_and_radius() -> None:
    machine = one_yoke({"rod": ROD})
    named = {each.name: each for each in sensitivities(machine, run(machine).moved, (0.05, 0.05 * 0.017))}
    assert named["one gram on one counterweight"].force == pytest.approx(1e-3 * 0.017)
    assert named["0.1 mm of one counterweight's radius"].force == pytest.approx(0.05 * 1e-4)


def test_step_of_turning_weights_is_a_chord() -> None:
    """Weights of m r on both shafts, the left one ahead by d: 2 m r sin(d/2) more, along and across."""
    machine = one_yoke({"slot": Slot()})
    weight = Web(at=0.0, mass=0.05, cg=(0.0, -0.02))
    machine = replace(
        machine,
        cranks=replace(machine.cranks, webs=(weight,)),
        yokes={"only": replace(machine.yokes["only"], parts={})},
    )
    slip = step_sensitivity(machine, run(machine).moved, "step", 0.3)
    assert slip.along == pytest.approx(2 * 0.05 * 0.02 * np.sin(0.15))
    assert slip.across == pytest.approx(slip.along)
    assert slip.force == pytest.approx(slip.along)


def test_tooth_and_backlash_are_angles_of_the_gears() -> None:
    machine = one_yoke({"rod": ROD})
    gears = Gears(module=0.001, teeth=44, at=0.01, backlash=1e-4)
    machine = replace(machine, cranks=replace(machine.cranks, gears=gears))
    moved = run(machine).moved
    named = {each.name: each for each in sensitivities(machine, moved, None)}
    tooth = step_sensitivity(machine, moved, "", 2 * np.pi / 44)
    play = step_sensitivity(machine, moved, "", 1e-4 / 0.022)
    assert named["gears one tooth out of step"].force == pytest.approx(tooth.force)
    assert named["backlash taken up"].force == pytest.approx(play.force)
    assert tooth.force / play.force == pytest.approx(2 * np.sin(np.pi / 44) / (1e-4 / 0.022), rel=1e-4)


def test_residual_and_turning_mass() -> None:
    machine = one_yoke({"rod": ROD})
    web = Web(at=0.0, mass=0.05, cg=(0.0, -0.02))
    machine = replace(machine, cranks=replace(machine.cranks, webs=(web,)))
    found = run(machine)
    assert turning_mass(machine) == pytest.approx(2 * 0.05 + 2 * 0.01 * 0.6)
    assert residual_unbalance(found.shaking) == pytest.approx(abs(orders(found.shaking.y, 1)[1]))
