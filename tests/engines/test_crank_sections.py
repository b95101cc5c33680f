"""Moment, shear and torque in every section of shaft and crankpins against a space frame, on random cranks."""

from types import SimpleNamespace
from typing import cast

import numpy as np
import pytest
from engines import crank_frame as frame
from engines.test_crank_chain import LAYOUTS, cranks_of, plain, shaft_of
from random_cranks import random_crank

from balance.cycle.load import Load, PlanarForce
from balance.turning import in_crank
from shafts.crank.build import crank
from shafts.crank.compliance import respond
from shafts.crank.loaded import LoadedCrank
from shafts.crank.loads import CrankLoad
from shafts.crank.stations import stations_of
from shafts.engine import Engine
from shafts.strength.stress import section_loads

THETA = np.array([0.0, 0.9, 2.2, 3.7, 5.5])
SPEED = 60.0


def history(rng: np.random.Generator) -> Load:
    """A load at every angle: one part that stands, and one that grows with speed."""
    gas, inertia = rng.uniform(-50.0, 50.0, (2, len(THETA)))
    return Load(steady=gas, inertia=inertia / SPEED**2)


def loads_on(one: frame.Crank, rng: np.random.Generator) -> list[CrankLoad]:
    """Rods on every pin, teeth, a belt and a mass on the shaft, and a load that takes all torque away."""
    along = [float(rng.uniform(step.start, step.end)) for step in one.shaft for _ in range(4)]
    teeth, belt, mass, taken = rng.permutation(along)[:4]
    found = []
    for number, pin in enumerate(one.pins):
        at = (pin.start + pin.end) / 2
        point = pin.radius * np.sin(pin.angle), pin.radius * np.cos(pin.angle)
        found.append(CrankLoad(f"rod {number}", "rod", at, point, PlanarForce(history(rng), history(rng))))
    tooth = PlanarForce(y=history(rng))
    found.append(CrankLoad("gear teeth", "teeth", teeth, force=tooth, torque=history(rng) * 0.01, apart=0.36))
    found.append(CrankLoad("belt", "belt", belt, force=PlanarForce(history(rng), history(rng))))
    found.append(CrankLoad("wheel", "turning mass", mass, mass=0.3, turning=(2e-3, -1e-3)))
    turned = sum(torque for _, _, torque in acting(found))
    found.append(CrankLoad("load", "torque", taken, torque=Load(steady=-turned)))
    return found


GRAVITY = (3.0, -9.0)


def acting(loads: list[CrankLoad]) -> list[tuple[CrankLoad, np.ndarray, np.ndarray]]:
    """Force in the crank frame, (2, angles), and the torque that it and the load itself make, own sense, at SPEED."""
    found = []
    for load in loads:
        x, y, torque = np.zeros((3, len(THETA)))
        if load.force is not None:
            push = load.apart * np.abs(load.force.y.at(SPEED))
            x, y = in_crank(load.force.x.at(SPEED) + push, load.force.y.at(SPEED), THETA, 1.0)
        if load.kind == "turning mass":
            pull = in_crank(*GRAVITY, THETA, 1.0)
            x, y = (load.turning[way] * SPEED**2 + load.mass * pull[way] for way in (0, 1))
            torque = load.turning[1] * pull[0] - load.turning[0] * pull[1]
        if load.torque is not None:
            torque = torque + load.torque.at(SPEED)
        found.append((load, np.array([x, y]), torque + load.point[1] * x - load.point[0] * y))
    return found


def by_chain(one: frame.Crank, loads: list[CrankLoad]) -> LoadedCrank:
    shaft, engine = shaft_of(one), cast(Engine, SimpleNamespace(cranks=SimpleNamespace(gears=None)))
    stations, places = stations_of(engine, shaft, loads), [bearing.at for bearing in shaft.bearings]
    chain = crank(shaft, cranks_of(one), "right", [*places, *(load.at for load in loads)])
    supports = np.diag([1 / each.stiffness for each in one.bearings])
    response = respond(chain, stations.columns, places, loads[-1].at, supports)
    columns = np.arange(len(stations.columns))
    parts = {"supports": supports}
    return LoadedCrank(shaft, "right", loads, GRAVITY, THETA, None, stations, response, columns, parts)


def by_frame(one: frame.Crank, loads: list[CrankLoad]) -> frame.Bent:
    forces = acting(loads)
    cases = []
    for angle in range(len(THETA)):
        case = []
        for load, force, torque in forces:
            on = int(load.name.split()[1]) if load.kind == "rod" else frame.SHAFT
            alone = torque[angle] - load.point[1] * force[0, angle] + load.point[0] * force[1, angle]
            place = frame.Place(float(load.at), on)
            case.append(frame.Load(place, (*force[:, angle], 0.0), (0.0, 0.0, -alone)))
        cases.append(case)
    return frame.bend(one, cases, [])


@pytest.mark.parametrize("throws", [1, 2])
@pytest.mark.parametrize("layout", LAYOUTS)
@pytest.mark.parametrize("seed", range(6))
def test_sections_carry_what_the_ends_of_a_frames_members_do(layout: str, throws: int, seed: int) -> None:
    rng = np.random.default_rng([seed, throws, LAYOUTS.index(layout), 7])
    one = plain(random_crank(rng, layout, throws))
    loads = loads_on(one, rng)
    found, bent = by_chain(one, loads), by_frame(one, loads)
    np.testing.assert_allclose(bent.torque, 0.0, atol=1e-9)  # the torques are in balance
    kinds = {member.kind for member in bent.members}
    assert kinds == {"shaft", "pin", "web"}
    scale = np.max(np.abs(bent.ends), axis=(0, 1))
    size, moments = np.max(scale[:3]), np.max(scale[3:6])
    for place, member in enumerate(bent.members):
        if member.kind == "web":
            continue
        x, y = 0.0, 0.0
        if member.kind == "pin":
            pin = one.pins[member.number]
            x, y = pin.radius * np.sin(pin.angle), pin.radius * np.cos(pin.angle)
        for z, column, sign in ((member.start, 0, 1.0), (member.end - 1e-7, 6, -1.0)):
            moment, shear, torque = section_loads(found, np.array([z]), x, y)
            theirs = (
                sign * bent.ends[:, place, column : column + 6].T
            )  # what lies at smaller z acts on what lies beyond
            bend, push, turned = moment.at(SPEED)[0], shear.at(SPEED)[0], torque.at(SPEED)[0]
            np.testing.assert_allclose([push.imag, push.real], theirs[:2], rtol=0, atol=1e-6 * size)
            np.testing.assert_allclose([bend.real, -bend.imag], theirs[3:5], rtol=0, atol=1e-6 * moments + 2e-7 * size)
            np.testing.assert_allclose(-turned, theirs[5], rtol=0, atol=1e-6 * moments)
