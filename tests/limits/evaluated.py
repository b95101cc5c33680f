"""A machine with all that is computed of its motion and forces, and how two results are compared."""

from collections.abc import Iterator
from dataclasses import fields
from types import SimpleNamespace

import numpy as np

from balance import gas, joints, motion, shaking, torque
from balance.cycle.load import Load, PlanarForce, weight
from balance.machine.crank import Cranks, Throw
from balance.machine.machine import Machine, SpeedRange
from balance.machine.materials import MATERIALS
from balance.machine.yoke import Part, Yoke
from balance.quantities import over_angle
from balance.turning import HANDS, on_bench
from shafts.bearings.bearing import Bearing
from shafts.bearings.bush import Bush
from shafts.crank.loaded import LoadedCrank
from shafts.crank.loads import CrankLoad, crank_loads
from shafts.engine import Engine
from shafts.shaft import Segment, Shafts

PARTS = ("gas", "gravity", "inertia")
SPEED = SpeedRange(least=20.0, rated=90.0, most=150.0)


def run(machine: Machine, count: int | None = None) -> SimpleNamespace:
    """Return everything that is known of a machine's motion and forces."""
    moved = motion.move(machine, None if count is None else motion.crank_angles(count))
    state = gas.gas_state(machine, moved)
    forces = joints.joint_forces(machine, moved, state)
    torques = torque.torques(machine, moved, forces)
    loads = {hand: crank_loads(on_shafts(machine), forces, torques, hand) for hand in HANDS}
    shaken = shaking.shaking(machine, moved)
    return SimpleNamespace(
        machine=machine, moved=moved, gas=state, forces=forces, torques=torques, loads=loads, shaking=shaken
    )


def on_shafts(machine: Machine) -> Engine:
    """Return a machine on shafts of some kind: where its loads act does not depend on them."""
    if isinstance(machine, Engine):
        return machine
    bearings = tuple(Bearing(at=at, bush=Bush(bore=0.01, length=0.01)) for at in (-0.9, 0.9))
    segments = (Segment(length=2.0, diameter=0.01),)
    shafts = Shafts(material=MATERIALS["steel"], segments=segments, starts_at=-1.0, bearings=bearings)
    return Engine(**{each.name: getattr(machine, each.name) for each in fields(machine)}, shafts=shafts)


def teeth(loads: list[CrankLoad]) -> CrankLoad | None:
    """Return what the gear teeth put on a crank; None without gears."""
    return next((load for load in loads if load.kind == "teeth"), None)


def loads_sum(machine: Machine, loads: list[CrankLoad], theta: np.ndarray, hand: str) -> PlanarForce:
    """Return the sum of all forces on a crank, what the teeth push apart left out, N."""
    total = sum((load.force for load in loads if load.force is not None), PlanarForce())
    for mass in (load for load in loads if load.kind == "turning mass"):
        x, y = on_bench(*map(over_angle, mass.turning), theta, HANDS[hand])
        pull = [weight(over_angle(mass.mass * each)) for each in (machine.gravity.x, machine.gravity.y)]
        total = total + PlanarForce(Load(inertia=x) + pull[0], Load(inertia=y) + pull[1])
    return total


def torques_on(crank: LoadedCrank, theta: np.ndarray, speed: float) -> list[tuple[float, np.ndarray]]:
    """Return where all torques act on a crank, m, and how large they are in its own direction of rotation, N m."""
    sine, cosine = np.sin(theta), np.cos(theta)
    found = []
    for load in crank.loads:
        torque = np.zeros_like(theta) if load.torque is None else load.torque.at(speed) + 0 * theta
        if load.kind == "rod":
            x, y = load.point
            out, up = x * cosine + y * sine, y * cosine - x * sine  # where the pin stands, seen from its own side
            torque = torque + crank.sign * load.force.x.at(speed) * up - load.force.y.at(speed) * out
        if load.kind == "turning mass":
            across, along = load.turning
            out, up = across * cosine + along * sine, along * cosine - across * sine
            torque = torque + crank.sign * crank.gravity[0] * up - crank.gravity[1] * out
        found.append((float(load.at), torque))
    return found


def close(value, expected, scale: float, relative: float = 1e-10) -> None:
    """Assert that two arrays agree to a share of a stated size; a part of a load may be a plain number."""
    value, expected = np.broadcast_arrays(value, expected)
    assert np.all(np.isfinite(value))
    np.testing.assert_allclose(value, expected, rtol=0, atol=relative * scale + 1e-300)


def size(*values) -> float:
    return float(max(np.max(np.abs(each)) for each in values))


def named_forces(found: SimpleNamespace) -> Iterator[tuple[str, Load]]:
    """Yield every joint force and torque with its name."""
    for name, each in found.forces.items():
        yield f"{name} guide", each.guide
        for joint in ("pivot", "pin"):
            for hand in ("right", "left"):
                pull = getattr(getattr(each, joint), hand)
                yield from ((f"{name} {joint} {hand} x", pull.x), (f"{name} {joint} {hand} y", pull.y))
    for hand in ("right", "left", "mesh"):
        yield f"torque {hand}", getattr(found.torques, hand)


def largest(found: SimpleNamespace, name: str, part: str) -> float:
    """Return the largest of all forces (or of all torques, if `name` is one) in one part of the load.

    At least 1e-9 N (or N m), far below any load here: where all of them cancel, what is left is rounding.
    """
    alike = [load for other, load in named_forces(found) if other.startswith("torque") == name.startswith("torque")]
    return max(size(*(getattr(load, part) for load in alike)), 1e-9)


def one_yoke(hung: dict, half_span: float = 0.022) -> Machine:
    yoke = Yoke(throw="pin", half_span=half_span, parts={"all": Part(mass=0.2)}, **hung)
    cranks = Cranks(centre_distance=0.044, throws={"pin": Throw(radius=0.01, at=-0.02)})
    return Machine(speed=SPEED, cranks=cranks, yokes={"only": yoke})
