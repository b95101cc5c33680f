"""Bearing loads of both cranks of a shipped engine, as they vibrate, by Newton's law for every body and by levers.

All that moves, as the harmonic balance says it does, is put on the bench: each body's mass times acceleration, the
change of its angular momentum, what it does along the shaft as it tilts, the rods' ends, drag, and the teeth's spring
and damper. With two bearings statics then decides. `test_vibration_in_time` holds the motion itself to its equations.
"""

from collections.abc import Iterator
from dataclasses import replace

import numpy as np
import pytest
from engines.test_vibration_in_time import pressed, vibration_of

from balance.motion import move_yoke
from balance.turning import in_crank, on_bench
from shafts.strength.stress import section_loads
from shafts.whirl.bodies import FEW, bodies
from shafts.whirl.periodic import between, derivatives
from shafts.whirl.vibrating import vibrating
from shafts.whirl.vibration import ShaftVibration

Acting = tuple[float, np.ndarray, np.ndarray]
"""Place along the shaft, force and couple on the bench, (2, angles): of a left crank mirrored."""


@pytest.fixture(scope="module")
def vibration() -> ShaftVibration:
    """With the damping of every motion, however quick, so that the balance is met to the last digit."""
    found = vibration_of("rhombic", 14)
    found.pair.__dict__["system"] = replace(found.pair.system, top=np.inf)
    return found


@pytest.mark.parametrize("number", [0, 1])
def test_bearing_loads_and_moment_by_levers(vibration: ShaftVibration, number: int):
    """What vibration adds to both bearings, and to the moment midway between them."""
    speed = 0.9 * float(vibration.pair.engine.speed.most)
    moving, still = vibrating(vibration).cranks[number], vibration.loaded.cranks[number]
    every = list(acting(vibration, number, speed))
    low, high = (float(bearing.at) for bearing in moving.shaft.bearings)
    _, moment = all_beyond(every, -np.inf, high)
    first = np.stack([moment[1], -moment[0]]) / (low - high)
    loads = first, all_beyond(every, -np.inf, high)[0] - first
    for load, vector, before in zip(loads, moving.bearings, still.bearings, strict=True):
        close(vibration, load, np.array(vector.at(speed)) - np.array(before.at(speed)))
    middle = (low + high) / 2
    _, (about_x, about_y) = all_beyond([*every, (low, -first, 0 * first)], -np.inf, middle, middle)
    sections = (section_loads(each, np.array([middle]))[0].at(speed)[0] for each in (moving, still))
    bend = np.subtract(*sections)
    close(vibration, np.stack([-about_y, about_x]), np.stack([bend.imag, bend.real]))


def all_beyond(every: list[Acting], low: float, about: float, high: float = np.inf) -> tuple[np.ndarray, np.ndarray]:
    """Sum of forces and of moments about x and y at a place, of all between two places."""
    among = [each for each in every if low < each[0] < high]
    moments = (couple + (z - about) * np.stack([-force[1], force[0]]) for z, force, couple in among)
    return np.sum([force for _, force, _ in among], axis=0), sum(moments)


def close(vibration: ShaftVibration, bench: np.ndarray, added: np.ndarray) -> None:
    theta = vibration.pair.theta
    found = np.stack(in_crank(*bench, theta, 1.0)) @ between(len(theta), added.shape[-1])
    np.testing.assert_allclose(found, added, rtol=0, atol=5e-4 * np.max(np.abs(added)))


def acting(vibration: ShaftVibration, number: int, speed: float) -> Iterator[Acting]:
    both, side = vibration.pair, vibration.pair.sides[number]
    theta, rotor, engine = both.theta, side.rotor, both.engine
    speeds = np.array([speed])
    motion = vibration.motion(speeds)[0]
    rate = derivatives(len(theta))[0] * speed
    still = rotor.flexibility[:, vibration._acting(side)] @ vibration._static(number, speeds)[0]
    moved = motion @ both.basis[number].T + still.T
    if number == 1:
        moved = moved + vibration._turned(speeds)[0][:, None] * rotor.rigid
    none = np.zeros((2, len(theta)))

    def bench(columns: list[int]) -> np.ndarray:
        return np.stack(on_bench(*moved[:, columns].T, theta, 1.0))

    start = 2 * len(rotor.points)
    for body in bodies(engine, side.hand, FEW):
        columns = list(rotor.points.get(body.name, (start, start + 1)))
        start += 2 * (body.name not in rotor.points)
        yield float(body.at), -float(body.mass) * (bench(columns) @ rate.T @ rate.T), none
        if body.polar or body.diametral or body.x or body.y:
            yield float(body.at), none, couple_of(body, bench([start, start + 1]), theta, speed)
            start += 3
    for name, yoke in engine.yokes.items():
        at, x, y = float(engine.throw_of(yoke).at), *bench(side.columns(f"rod of {name}"))
        yield at, rod_end(engine, yoke, theta, x, y, rate), none
    yield float(engine.cranks.gears.at), teeth(vibration, number, motion, speed), none
    drag = vibration._drag(motion[None] + vibration._settled(speeds), speeds)[0] @ vibration._carriers[number].T
    for (unit, *_), pulled in zip(rotor.columns, -drag.T, strict=True):
        if np.any(pulled):
            ways = np.array([[unit.fx, unit.fy], [unit.cx, unit.cy]], dtype=float)
            force, couple = (np.stack(on_bench(*np.outer(way, pulled), theta, 1.0)) for way in ways)
            yield float(unit.z), force, couple


def couple_of(body, tilt: np.ndarray, theta: np.ndarray, speed: float) -> np.ndarray:
    """What a body's inertia puts on its shaft as this tilts about x and y; it turns clockwise."""
    rate = derivatives(len(theta))[0] * speed
    x, y = on_bench(float(body.x), float(body.y), theta, 1.0)
    spun = speed * float(body.polar) * (np.stack([tilt[1], -tilt[0]]) @ rate.T)
    lift = float(body.mass) * (tilt[0] * y - tilt[1] * x)
    # It is lifted, and pulls outward from where it has been lifted to.
    lifted = (lift @ rate.T @ rate.T + speed**2 * lift) * np.stack([-y, x])
    return lifted + spun - float(body.diametral) * (tilt @ rate.T @ rate.T)


def rod_end(engine, yoke, theta: np.ndarray, x: np.ndarray, y: np.ndarray, rate: np.ndarray) -> np.ndarray:
    """What half a yoke and the rod's end there, and the rod's turning, put on a crankpin that moves by x and y."""
    rod, way = yoke.rod, move_yoke(yoke, engine.throw_of(yoke), engine.cranks.centre_distance, theta).rod
    lean, share = way.x / way.y, float(rod.cg / rod.length)
    heavy = float(yoke.mass) / 2 + float(rod.mass) * share
    beyond = float(rod.inertia) - float(rod.mass) * share * (1 - share) * float(rod.length) ** 2
    turns = 1 / (float(rod.length) * way.y)
    lifted, turned = heavy * ((y + x * lean) @ rate.T @ rate.T), beyond * ((x * turns) @ rate.T @ rate.T)
    return -np.stack([lifted * lean + turned * turns, lifted])


def teeth(vibration: ShaftVibration, number: int, motion: np.ndarray, speed: float) -> np.ndarray:
    """What the teeth push more than at rest: their spring and damper along the flank, and apart by the whole of it."""
    both, cranks = vibration.pair, vibration.pair.engine.cranks
    angle, place = float(cranks.working_pressure_angle), sum(len(side.frequencies) for side in both.sides)
    closing = np.array([pressed(vibration, each) @ row for each, row in zip(both.theta, motion, strict=True)])
    turned = motion[:, place] + vibration._turned(np.array([speed]))[0]
    yields = derivatives(len(both.theta))[0] @ turned * speed * both.system.damping[place, place]
    more = both.mesh * np.cos(angle) * closing - yields / float(cranks.pitch_radius)
    still = vibration._onto_balance(vibration.loaded.tooth.at(speed))
    apart = (np.abs(still + more) - np.abs(still)) * np.tan(angle)
    return np.stack([apart, more * (1.0, -1.0)[number]])
