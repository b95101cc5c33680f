"""Both cranks' steady vibration by harmonic balance against their equations of motion integrated in time.

The equations are put together here anew, at each instant from the rods' geometry of that instant: what goes to and fro,
the teeth along their line of action, gyroscopic terms, damping. Only the cranks' modes are taken over; those are held
to a frame in space and to finite elements elsewhere.
"""

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from scipy.integrate import solve_ivp

from designs.evaluate import Evaluation
from designs.reading import read
from shafts.whirl.guided import guided
from shafts.whirl.pair import pair, rotors
from shafts.whirl.periodic import derivatives
from shafts.whirl.vibration import ShaftVibration

STEP = 1e-4  # rad, for the derivatives of the rods' directions
ENGINES = Path(__file__).parents[2] / "designs"


def vibration_of(name: str, orders: int) -> ShaftVibration:
    """A shipped engine, softer in its teeth, turning evenly: stiff springs would take the integrator long."""
    design = read(ENGINES / f"{name}.yaml")
    gears = replace(design.cranks.gears, mesh_stiffness=4e6)
    found = Evaluation(replace(design, cranks=replace(design.cranks, gears=gears)), 2)
    carried = found.still_shafts
    both = pair(carried, rotors(carried), orders, 0.02, reach=10.0)
    return ShaftVibration(carried, replace(both, even=True))


def way_of(vibration: ShaftVibration, theta: np.ndarray) -> list[tuple[float, np.ndarray]]:
    """Each mass that goes to and fro, and its direction among the freedoms at angles."""
    found = []
    for side, basis in zip(vibration.pair.sides, vibration.pair.basis, strict=True):
        for each in guided(vibration.pair.engine, side.hand, theta):
            x, y = side.columns(each.point)
            found.append((each.mass, each.x[:, None] * basis[x] + each.y[:, None] * basis[y]))
    return found


def pressed(vibration: ShaftVibration, theta: float) -> np.ndarray:
    """How far each freedom brings the teeth together along their line of action, from where both gears stand."""
    both, engine = vibration.pair, vibration.pair.engine
    angle = float(engine.cranks.working_pressure_angle)
    mean = float(np.mean(both.sides[0].crank.tooth.at(engine.speed.rated)))
    normal = np.array([np.sin(angle) * np.sign(mean), np.cos(angle)])  # on the right gear; the left one's is mirrored
    found = 0.0
    turn = np.array([[np.cos(theta), np.sin(theta)], [-np.sin(theta), np.cos(theta)]])
    for side, basis, mirror in zip(both.sides, both.basis, (1.0, -1.0), strict=True):
        moved = turn @ basis[side.columns("teeth")]
        found = found - normal[0] * moved[0] - mirror * normal[1] * moved[1]
    place = sum(len(side.frequencies) for side in both.sides)
    found[place] -= normal[1] * float(engine.cranks.pitch_radius)
    return found


@pytest.mark.parametrize(("name", "share"), [("as-built", 1.0), ("as-built", 0.87), ("rhombic", 0.9)])
def test_the_balance_stays_on_the_motion_in_time(name: str, share: float):
    vibration = vibration_of(name, 14)
    both, system = vibration.pair, vibration.pair.system
    speed = share * float(both.engine.speed.most)
    force = vibration._driving(np.array([speed]))[0]
    motion = vibration.motion(np.array([speed]))[0]
    count, size = motion.shape
    number = np.arange(-(count // 2), count // 2 + 1)
    waves = np.exp(-1j * np.outer(number, both.theta)) @ force / count
    springs = np.diag(np.append(np.concatenate([side.frequencies for side in both.sides]) ** 2, 0.0))

    def matrix(theta: float) -> tuple[np.ndarray, np.ndarray]:
        mass, rate, spring = system.mass.copy(), -system.cross.copy(), system.spin.copy()
        for heavy, way in way_of(vibration, np.array([theta, theta + STEP, theta - STEP])):
            turned, bent = (way[1] - way[2]) / (2 * STEP), (way[1] - 2 * way[0] + way[2]) / STEP**2
            mass += heavy * np.outer(way[0], way[0])
            rate += 2 * heavy * np.outer(way[0], turned)
            spring += heavy * np.outer(way[0], bent)
        teeth = pressed(vibration, theta)
        spring += (springs + both.mesh * np.outer(teeth, teeth)) / speed**2 - system.damping @ system.aside / speed
        inverse = np.linalg.inv(mass)
        found = np.zeros((2 * size, 2 * size))
        found[:size, size:] = np.eye(size)
        found[size:, :size], found[size:, size:] = -inverse @ spring, -inverse @ (rate + system.damping / speed)
        return found, inverse

    def rates(theta: float, state: np.ndarray) -> np.ndarray:
        moves, inverse = matrix(theta)
        found = moves @ state
        found[size:] += inverse @ np.real(np.exp(1j * number * theta) @ waves) / speed**2
        return found

    start = np.concatenate([motion[0], (derivatives(count)[0] @ motion)[0]])
    turn = solve_ivp(rates, (0, 2 * np.pi), start, method="Radau", jac=lambda theta, _: matrix(theta)[0],
                     rtol=1e-5, atol=1e-10, t_eval=both.theta)  # fmt: skip
    pins = [basis[side.columns(point)] for side, basis in zip(both.sides, both.basis, strict=True)
            for point in side.rotor.points]  # fmt: skip
    largest = max(np.max(np.abs(motion @ rows.T)) for rows in pins)
    for rows in pins:
        np.testing.assert_allclose(motion @ rows.T, turn.y[:size].T @ rows.T, rtol=0, atol=0.01 * largest)
