"""The mounted case against scipy's integrator and against mujoco's rigid body.

The case's own equations are not shared: the integrator gets each foot's force by cross products and all
orders of the load; mujoco gets bodies, joints and springs.
"""

import mujoco
import numpy as np
import pytest
from limits.evaluated import one_yoke, run
from random_designs import random_machine
from scipy.integrate import solve_ivp
from scipy.interpolate import CubicSpline
from scipy.spatial.transform import Rotation

from balance.case.body import case
from balance.case.loads import case_loads
from balance.case.vibration import NUMBERS, vibration
from balance.machine.machine import Gravity
from balance.machine.mount import Feet, Mount
from balance.machine.yoke import Slot
from balance.motion import crank_angles

PLACES = ((-0.05, -0.03, -0.07), (0.05, -0.03, -0.07), (-0.04, -0.02, 0.05), (0.06, -0.03, 0.04))
MOUNT = Mount(
    mass=2.8,
    inertia=(0.011, 0.008, 0.009),
    cg=(0.004, 0.02, -0.01),
    feet=Feet(stiffness=6e4, across=2e4, along_shafts=3e4, damping_ratio=0.06, places=PLACES),
)


@pytest.mark.parametrize(("seed", "speed"), [(21, 60.0), (22, 95.0), (23, 150.0)])
def test_steady_motion_against_an_integrator(seed: int, speed: float) -> None:
    found = run(random_machine(seed, "B"), 720)
    loads = case_loads(found.moved, found.machine, found.forces, found.torques, found.shaking)
    response = vibration(case(MOUNT), loads, np.array([speed]))
    cg, mass, inertia = np.array(MOUNT.cg), MOUNT.mass, np.array(MOUNT.inertia)
    arms = [np.array(place) - cg for place in PLACES]
    stiffness = np.array([2e4, 6e4, 3e4]) / 4
    lag = 2 * 0.06 * np.sqrt(mass / 6e4)

    theta = crank_angles(720)
    roll = np.broadcast_to(loads.roll.at(speed), theta.shape)
    shaken = loads.shaking
    pushes = np.stack(
        [*(each * speed**2 for each in (shaken.x, shaken.y, 0 * shaken.y, shaken.pitch, shaken.yaw)), roll]
    )
    spectrum = np.fft.rfft(pushes, axis=1)
    spectrum[:, 0] = 0  # steady loads only shift the place of rest
    spectrum[:, 9:] = 0  # orders above 8 are left out on both sides
    pushes = np.fft.irfft(spectrum, 720, axis=1)
    spline = CubicSpline(
        np.append(theta, 2 * np.pi), np.append(pushes, pushes[:, :1], axis=1), axis=1, bc_type="periodic"
    )

    def slopes(time: float, state: np.ndarray) -> np.ndarray:
        shift, turn, velocity, spin = state.reshape(4, 3)
        load = spline(speed * time % (2 * np.pi))
        force, couple = load[:3].copy(), load[3:] - np.cross(cg, load[:3])
        for arm in arms:
            held = -stiffness * (shift + np.cross(turn, arm) + lag * (velocity + np.cross(spin, arm)))
            force, couple = force + held, couple + np.cross(arm, held)
        return np.concatenate([velocity, spin, force / mass, couple / inertia])

    modes = response.case.shapes @ response.modal[0].T  # freedoms by order
    rates = modes * (1j * NUMBERS * speed)
    times = np.linspace(0, 2 * np.pi / speed, 41)
    turned = solve_ivp(
        slopes,
        (0, times[-1]),
        np.concatenate([modes.sum(1).real, rates.sum(1).real]),
        t_eval=times,
        rtol=1e-10,
        atol=1e-14,
    )
    expected = (modes @ np.exp(1j * NUMBERS[:, None] * speed * times)).real
    for ours, theirs in zip(expected, turned.y[:6], strict=True):
        np.testing.assert_allclose(ours, theirs, rtol=0, atol=1e-6 * np.abs(turned.y[:6]).max())

    place = (0.03, 0.12, -0.05)
    arm = np.array(place) - cg
    moved = turned.y[:3] + np.cross(turned.y[3:6].T, arm).T
    for axis, theirs in zip("xyz", moved, strict=True):
        ours = (response.shift(place)[axis][0] @ np.exp(1j * NUMBERS[:, None] * speed * times)).real
        np.testing.assert_allclose(ours, theirs, rtol=0, atol=2e-6 * np.abs(moved).max())


def floating_case(spring: float, damping: float) -> mujoco.MjModel:
    """Return a case of 1.5 kg on a slide along y with a spring, and in it a yoke of 0.2 kg on a slide of its own."""
    return mujoco.MjModel.from_xml_string(
        f"""<mujoco><option gravity="0 0 0" timestep="2e-5" integrator="RK4"/><worldbody>
        <body name="case"><inertial pos="0 0 0" mass="1.5" diaginertia="1 1 1"/>
        <joint name="case" type="slide" axis="0 1 0" stiffness="{spring}" damping="{damping}"/>
        <body name="yoke"><inertial pos="0 0 0" mass="0.2" diaginertia="1 1 1"/>
        <joint name="yoke" type="slide" axis="0 1 0"/></body></body></worldbody></mujoco>"""
    )


@pytest.mark.parametrize("stiffness", [0.0, 2e4, 4e5])
def test_case_with_a_yoke_in_it_against_mujoco(stiffness: float) -> None:
    """The yoke goes as r cos(w t) in the case; the whole engine weighs 1.7 kg.

    mujoco's inverse dynamics must find no outside force on the case as it moves by our account, feet included.
    """
    speed, radius = 130.0, 0.01
    found = run(one_yoke({"slot": Slot()}))
    loads = case_loads(found.moved, found.machine, found.forces, found.torques, found.shaking)
    feet = Feet(stiffness=stiffness, damping_ratio=0.08) if stiffness else None
    shift = vibration(case(Mount(mass=1.7, feet=feet)), loads, np.array([speed])).shift((0.0, 0.0, 0.0))["y"][0]
    damping = 2 * 0.08 * np.sqrt(stiffness * 1.7)
    model = floating_case(stiffness, damping)
    data = mujoco.MjData(model)
    worst = 0.0
    for angle in np.linspace(0, 2 * np.pi, 25):
        turn = np.exp(1j * NUMBERS * angle)
        rate = 1j * NUMBERS * speed
        data.qpos[:] = [(shift @ turn).real, radius * np.cos(angle)]
        data.qvel[:] = [(shift @ (rate * turn)).real, -radius * speed * np.sin(angle)]
        data.qacc[:] = [(shift @ (rate**2 * turn)).real, -radius * speed**2 * np.cos(angle)]
        mujoco.mj_inverse(model, data)
        worst = max(worst, abs(data.qfrc_inverse[0]))
    assert worst < 1e-6 * 0.2 * radius * speed**2


SOFT = Mount(
    mass=6.5,
    inertia=(0.027, 0.017, 0.029),
    cg=(0.004, 0.025, -0.006),
    feet=Feet(
        stiffness=6e3,
        across=5e3,
        dynamic_ratio=1.3,
        damping_ratio=0.03,
        loss_factor=0.1,
        places=tuple((x, -0.045, z) for x in (-0.06, 0.06) for z in (-0.05, 0.05)),
    ),
)
UPRIGHT = Gravity(y=-9.80665)


def energy(mount: Mount, state: np.ndarray) -> float:
    """Energy of springs and weight at a shift and a turn of any size, the feet's tops moved as a rigid body moves.

    The springs are as soft as they vibrate, and pressed beforehand by what each bears of the weight.
    """
    assert mount.feet is not None
    stiff = np.array(mount.feet.stiffnesses) / len(mount.feet.places)
    cg, turned = np.array(mount.cg), Rotation.from_rotvec(state[3:]).as_matrix()
    arms = [np.array(place) - cg for place in mount.feet.places]
    pushes = borne(mount, arms)
    moved = [state[:3] + (turned - np.eye(3)) @ arm for arm in arms]
    springs = sum(stiff @ (each - push / stiff) ** 2 / 2 for each, push in zip(moved, pushes, strict=True))
    return springs + mount.mass * 9.80665 * state[1]


def borne(mount: Mount, arms: list[np.ndarray]) -> list[np.ndarray]:
    """Return what each of four feet pushes with: statics, and the one shift and two turns that keep them in a plane."""
    plan = np.array([[1.0, arm[0], arm[2]] for arm in arms])
    loads = plan @ np.linalg.solve(plan.T @ plan, [mount.mass * 9.80665, 0.0, 0.0])
    return [np.array([0.0, load, 0.0]) for load in loads]


def second_derivatives(mount: Mount, step: float = 2e-4) -> np.ndarray:
    unit = np.eye(6) * step
    rows = [
        [sum(a * b * energy(mount, a * one + b * other) for a in (1, -1) for b in (1, -1)) for other in unit]
        for one in unit
    ]
    return np.array(rows) / (4 * step**2)


def test_frequencies_with_weight_against_the_energy_of_finite_turns() -> None:
    stiffness = second_derivatives(SOFT)
    masses = np.diag([SOFT.mass] * 3 + list(SOFT.inertia))
    expected = np.sort(np.sqrt(np.linalg.eigvals(np.linalg.solve(masses, stiffness)).real))
    np.testing.assert_allclose(case(SOFT, UPRIGHT).frequency, expected, rtol=2e-5)
    assert np.max(case(SOFT).frequency / expected) > 1.05


@pytest.mark.parametrize("seed", [21, 22])
def test_forced_motion_with_weight_against_six_equations_solved_at_once(seed: int) -> None:
    """Damping acts on the springs alone, in all six freedoms; ours leaves out what it couples of the modes."""
    found = run(random_machine(seed, "B"), 720)
    loads = case_loads(found.moved, found.machine, found.forces, found.torques, found.shaking)
    with_weight = second_derivatives(SOFT)
    arms = [np.array(place) - np.array(SOFT.cg) for place in SOFT.feet.places]
    crossed = [np.hstack([np.eye(3), np.array([np.cross(axis, arm) for axis in np.eye(3)]).T]) for arm in arms]
    springs = sum(row.T @ np.diag(np.array(SOFT.feet.stiffnesses) / 4) @ row for row in crossed)
    masses = np.diag([SOFT.mass] * 3 + list(SOFT.inertia))
    lag = 2 * 0.03 * np.sqrt(SOFT.mass / 6e3)
    speeds = np.linspace(15.0, 160.0, 60)
    response = vibration(case(SOFT, UPRIGHT), loads, speeds)
    steady, growing = loads.by_order(SOFT)
    worst, largest = 0.0, 0.0
    for place, speed in enumerate(speeds):
        for number in NUMBERS:
            w = number * speed
            left = with_weight + 1j * loads.sense * springs * (w * lag + 0.1) - w**2 * masses
            expected = np.linalg.solve(left, steady[number - 1] + speed**2 * growing[number - 1])
            ours = response.case.shapes @ response.modal[place, number - 1]
            worst = max(worst, np.abs(ours - expected)[:3].max() * w)
            largest = max(largest, np.abs(expected)[:3].max() * w)
    assert worst < 0.02 * largest


def test_power_lost_in_the_feet_is_what_the_loads_put_in() -> None:
    """At steady running the loads' power over a turn, force times velocity, all goes into the feet."""
    found = run(random_machine(21, "B"), 720)
    loads = case_loads(found.moved, found.machine, found.forces, found.torques, found.shaking)
    speed = np.array([18.0, 30.0, 55.0, 110.0])
    response = vibration(case(SOFT, UPRIGHT), loads, speed)
    steady, growing = loads.by_order(SOFT)
    pushes = steady + speed[:, None, None] ** 2 * growing
    moved = np.einsum("fm,snm->snf", response.case.shapes, response.modal)
    rates = 1j * loads.sense * response.frequency[..., None] * moved
    put_in = np.sum(pushes.conj() * rates, axis=(-2, -1)).real / 2
    np.testing.assert_allclose(response.power(), put_in, rtol=1e-9)
    assert np.all(put_in > 0)
