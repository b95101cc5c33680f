"""Laws that rigid-body motion must keep whatever the numbers: symmetry, speed, work, reactions, steps."""

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from limits.evaluated import PARTS, close, largest, loads_sum, named_forces, one_yoke, run, size, teeth
from random_designs import machines, random_machine

from balance import motion
from balance.cycle.harmonics import orders
from balance.cycle.load import Load, PlanarForce
from balance.machine.crank import Web
from balance.machine.machine import Gravity, IndicatedGas, IsothermalGas, Machine, NoGas, PressureTable
from balance.machine.yoke import Displacer, Part, Rod, RodMasses, Yoke

property_of_machines = settings(max_examples=40, deadline=None, suppress_health_check=[HealthCheck.too_slow])


# Symmetry


def differing(share: float) -> Machine:
    """Return a machine whose left-hand rod and one-sided web differ from the right by a share of what is given."""
    rod = Rod(
        length=0.05,
        mass=0.02,
        cg=0.019,
        inertia=6e-6,
        left=RodMasses(mass=0.02 * (1 + share), cg=0.019, inertia=6e-6 * (1 + share)),
    )
    machine = one_yoke({"rod": rod}, half_span=0.015)
    web = Web(at=-0.01, mass=0.03 * share, cg=(0.004, -0.007), on="left")
    return replace(machine, cranks=replace(machine.cranks, webs=(web,)))


def test_mirrored_machine_neither_sways_nor_rolls() -> None:
    found = run(differing(0.0))
    for way in ("x", "yaw", "roll"):
        close(getattr(found.shaking, way), 0.0, size(found.shaking.y), 1e-15)
    for part in PARTS:
        close(getattr(found.forces["only"].guide, part), 0.0, 1.0, 1e-15)
        close(getattr(found.torques.right, part), getattr(found.torques.left, part), 1.0, 1e-15)


def test_sway_and_roll_grow_in_proportion_to_a_difference() -> None:
    none, small, large = (run(differing(share)) for share in (0.0, 0.1, 0.3))
    for way in ("x", "y", "pitch", "yaw", "roll"):
        first, third = (getattr(each.shaking, way) - getattr(none.shaking, way) for each in (small, large))
        assert size(first) > 0
        close(third, 3 * first, size(third))
    first, third = small.forces["only"].guide.inertia, large.forces["only"].guide.inertia
    assert size(first) > 0
    close(third, 3 * first, size(third))


def mirrored(machine: Machine) -> Machine:
    """Return the machine as seen in a mirror: right and left exchanged, gravity's x turned round."""
    other = {"right": "left", "left": "right", "both": "both"}
    webs = tuple(replace(web, on=other[web.on]) for web in machine.cranks.webs)
    yokes = {name: replace(each, rod=_mirrored_rod(each.rod)) for name, each in machine.yokes.items()}
    wheel = machine.flywheel and replace(machine.flywheel, on=other[machine.flywheel.on])
    cranks = replace(machine.cranks, webs=webs, load_on=other[machine.cranks.load_on])
    gravity = Gravity(x=-machine.gravity.x, y=machine.gravity.y)
    return replace(machine, cranks=cranks, yokes=yokes, flywheel=wheel, gravity=gravity)


def _mirrored_rod(rod: Rod | None) -> Rod | None:
    if rod is None or rod.left is None:
        return rod
    left = RodMasses(mass=rod.mass, cg=rod.cg, inertia=rod.inertia)
    return replace(rod, mass=rod.left.mass, cg=rod.left.cg, inertia=rod.left.inertia, left=left)


@property_of_machines
@given(machines())
def test_the_mirror_image_has_the_mirrored_forces(machine: Machine) -> None:
    one, image = run(machine), run(mirrored(machine))
    for name, forces in one.forces.items():
        for joint in ("pivot", "pin"):
            here, there = getattr(forces, joint), getattr(image.forces[name], joint)
            for part in PARTS:
                scale = size(*(getattr(way, part) for way in (here.right.x, here.right.y, here.left.x, here.left.y)))
                close(getattr(there.right.x, part), -np.asarray(getattr(here.left.x, part)), scale)
                close(getattr(there.right.y, part), getattr(here.left.y, part), scale)
    for part in PARTS:
        scale = size(getattr(one.torques.right, part), getattr(one.torques.left, part))
        close(getattr(image.torques.left, part), getattr(one.torques.right, part), scale)
        close(getattr(image.torques.mesh, part), -np.asarray(getattr(one.torques.mesh, part)), scale)
    for way, sign in {"x": -1, "y": 1, "pitch": 1, "yaw": -1, "roll": -1}.items():
        close(getattr(image.shaking, way), sign * getattr(one.shaking, way), size(one.shaking.x, one.shaking.y))


@property_of_machines
@given(machines(), st.integers(1, 71))
def test_counting_the_crank_angle_from_elsewhere_changes_nothing(machine: Machine, steps: int) -> None:
    """With every throw, mass and pressure turned on by some steps, all curves move back by as many."""
    one = run(machine)
    count = len(one.moved.theta)
    two = run(turned(machine, 2 * np.pi * steps / count), count)
    for (name, before), (_, after) in zip(named_forces(one), named_forces(two), strict=True):
        for part in PARTS:
            old, new = (np.broadcast_to(getattr(each, part), count) for each in (before, after))
            close(new, np.roll(old, -steps), largest(one, name, part), 1e-9)
    for way in ("x", "y", "pitch", "yaw", "roll"):
        close(getattr(two.shaking, way), np.roll(getattr(one.shaking, way), -steps), size(one.shaking.x, one.shaking.y))


def turned(machine: Machine, angle: float) -> Machine:
    """Return the machine with everything on its cranks turned on by an angle."""
    cos, sin = np.cos(angle), np.sin(angle)

    def on(part):
        x, y = part.cg
        return replace(part, cg=(x * cos + y * sin, y * cos - x * sin))

    cranks = machine.cranks
    throws = {name: replace(each, phase=each.phase + angle) for name, each in cranks.throws.items()}
    gears = cranks.gears and on(cranks.gears)
    cranks = replace(cranks, throws=throws, webs=tuple(map(on, cranks.webs)), gears=gears)
    if not isinstance(machine.gas, IndicatedGas):
        return replace(machine, cranks=cranks)
    table = machine.gas.table
    angles = (table.angle - angle) % (2 * np.pi)
    order = np.argsort(angles)
    shifted = PressureTable(angle=angles[order], pressure=table.pressure[order])
    return replace(machine, cranks=cranks, gas=replace(machine.gas, table=shifted))


# Speed


@property_of_machines
@given(machines())
def test_zero_speed_leaves_gas_and_gravity_and_double_speed_brings_four_times_the_rest(machine: Machine) -> None:
    found = run(machine)
    still = replace(machine, yokes=without_mass(machine), cranks=replace(machine.cranks, webs=(), gears=None))
    resting = run(still)  # without gravity and masses only the gas is left, whatever the speed
    for (_, load), (_, gas_only) in zip(named_forces(found), named_forces(resting), strict=True):
        close(load.at(80.0) - load.at(0.0), 4 * (load.at(40.0) - load.at(0.0)), size(load.at(80.0), load.at(0.0)))
        close(load.at(0.0), load.gas + load.gravity, size(load.gas, load.gravity), 1e-15)
        close(gas_only.gas, load.gas, size(load.gas, 1.0), 1e-12)
        close(gas_only.gravity, 0.0, 1.0, 1e-15)
        close(gas_only.inertia, 0.0, 1.0, 1e-15)


def without_mass(machine: Machine) -> dict[str, Yoke]:
    yokes = {}
    for name, yoke in machine.yokes.items():
        rod = yoke.rod and replace(yoke.rod, mass=0.0, inertia=0.0, left=None)
        carries = replace(yoke.carries, flow_loss=None) if isinstance(yoke.carries, Displacer) else yoke.carries
        yokes[name] = replace(yoke, rod=rod, carries=carries, parts={"nothing": Part(mass=0.0)})
    return yokes


# Reactions and work


@property_of_machines
@given(machines())
def test_reactions_on_the_case_are_the_shaking_force_and_the_weight(machine: Machine) -> None:
    """What bearings, guides and gas put on the case, part by part; the teeth push the shafts, and cancel."""
    found = run(machine)
    sums = sum((loads_sum(machine, each, found.moved.theta, hand) for hand, each in found.loads.items()), PlanarForce())
    guides = sum((each.guide for each in found.forces.values()), Load())
    pushes = sum(found.gas.push.values(), Load())
    weight = moving_mass(machine)
    expected = {
        "gas": (0.0, 0.0),
        "gravity": (weight * machine.gravity.x, weight * machine.gravity.y),
        "inertia": (found.shaking.x, found.shaking.y),
    }
    for part, (x, y) in expected.items():
        scale = max(largest(found, "any force", part), size(x, y))
        close(getattr(sums.x - guides, part), x, scale)
        close(getattr(sums.y - pushes, part), y, scale)


def moving_mass(machine: Machine) -> float:
    """Return the mass of everything that moves, kg."""
    twice = {"right": 1, "left": 1, "both": 2}
    total = sum(web.mass * twice[web.on] for web in machine.cranks.webs)
    total += 0.0 if machine.cranks.gears is None else 2 * machine.cranks.gears.mass
    total += 0.0 if machine.flywheel is None else machine.flywheel.mass * twice[machine.flywheel.on]
    for yoke in machine.yokes.values():
        total += sum(part.mass for part in yoke.parts.values())
        total += 0.0 if yoke.rod is None else yoke.rod.mass + (yoke.rod.left or yoke.rod).mass
    return total


@property_of_machines
@given(machines())
def test_roll_couple_is_what_bearings_and_load_put_on_the_case(machine: Machine) -> None:
    """Moments about the origin of all that acts on the moving parts, and what they do to the angular momentum.

    Bearings act at the shafts, guides at the height of the pivots (they take no tilting moment), and the load takes
    from each shaft what its crank makes and what comes across the teeth; minus their sum is the roll couple.
    """
    found = run(machine)
    moment = sum(np.asarray(found.moved.yokes[name].height * each.guide.inertia) for name, each in found.forces.items())
    for hand, sign in (("right", 1), ("left", -1)):
        loads, arm = found.loads[hand], sign * machine.cranks.centre_distance / 2
        mesh = teeth(loads)
        across = 0.0 if mesh is None else arm * mesh.force.y.inertia * sign
        taken = getattr(found.torques, hand).inertia + across
        moment = moment + arm * loads_sum(machine, loads, found.moved.theta, hand).y.inertia - sign * taken
    close(moment, found.shaking.roll, size(found.shaking.x, found.shaking.y) * machine.cranks.centre_distance)


@property_of_machines
@given(machines())
def test_mean_torque_is_the_indicated_work_of_a_turn(machine: Machine) -> None:
    found = run(machine)
    work = found.gas.indicated_work(found.moved)
    total = found.torques.total
    for part in PARTS:
        scale = size(getattr(total, part))
        close(2 * np.pi * np.mean(getattr(total, part)), np.squeeze(getattr(work, part)), scale, 1e-8)
    loss = any(isinstance(y.carries, Displacer) and y.carries.flow_loss is not None for y in machine.yokes.values())
    assert np.all(work.inertia <= 0.0) if loss else work.inertia == 0.0
    close(np.mean(total.gravity), 0.0, size(total.gravity), 1e-8)


ISOTHERMAL = [seed for seed in range(300) if isinstance(random_machine(seed).gas, IsothermalGas)][:20]


@pytest.mark.parametrize("seed", ISOTHERMAL)
def test_indicated_work_is_the_area_of_pressure_over_volume(seed: int) -> None:
    """The work of all pushes but springs is the integral of p dV, here by the spectral derivative of V."""
    machine = random_machine(seed)
    found = run(machine, 576)
    volume = found.gas.volumes.total
    number = np.arange(len(volume) // 2 + 1)
    rate = np.fft.irfft(1j * number * np.fft.rfft(volume), len(volume))
    area = 2 * np.pi * np.mean(found.gas.pressure * rate)
    scale = 2 * np.pi * np.mean(np.abs(found.gas.pressure * rate))
    close(float(np.squeeze(found.gas.indicated_work(found.moved).gas)), area, scale, 1e-9)


@pytest.mark.parametrize("seed", ISOTHERMAL[:5])
def test_no_work_without_a_temperature_difference(seed: int) -> None:
    machine = random_machine(seed)
    even = run(replace(machine, gas=replace(machine.gas, hot=machine.gas.cold)))
    close(np.mean(even.torques.total.gas), 0.0, size(even.torques.total.gas), 1e-9)


# Steps


def smooth(seed: int) -> Machine:
    """Return a machine without what is not smooth over the cycle: measured pressure and quadratic flow loss."""
    machine = random_machine(seed, gas=NoGas())
    yokes = {
        name: replace(each, carries=None if isinstance(each.carries, Displacer) else each.carries)
        for name, each in machine.yokes.items()
    }
    return replace(machine, yokes=yokes)


@pytest.mark.parametrize("seed", range(30))
def test_orders_are_exact_at_the_usual_number_of_angles(seed: int) -> None:
    machine = smooth(seed)
    count = len(motion.move(machine).theta)
    usual, double = run(machine), run(machine, 2 * count)
    for way in ("x", "y", "pitch", "yaw", "roll"):
        values = [orders(getattr(each.shaking, way)) for each in (usual, double)]
        close(*values, size(usual.shaking.x, usual.shaking.y), 1e-9)
    for (name, before), (_, after) in zip(named_forces(usual), named_forces(double), strict=True):
        for part in ("gravity", "inertia"):
            values = [np.broadcast_to(getattr(load, part), n) for load, n in ((before, count), (after, 2 * count))]
            close(orders(values[0]), orders(values[1]), largest(usual, name, part), 1e-9)


@pytest.mark.parametrize("seed", ISOTHERMAL[:10])
def test_isothermal_pressure_hardly_changes_with_twice_the_angles(seed: int) -> None:
    """Extremes between the angles are found on the curve that the orders describe, so nothing is left to halve."""
    machine = random_machine(seed)
    count = len(motion.move(machine).theta)
    usual, double = (run(machine, n * count).gas.pressure[::n] for n in (1, 2))
    assert size(double / usual - 1) < 1e-8
