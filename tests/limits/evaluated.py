"""A machine with all that is computed of its motion and forces, and how two results are compared."""

from collections.abc import Iterator
from types import SimpleNamespace

import numpy as np

from balance import gas, joints, motion, shaft_loads, shaking, torque
from balance.cycle.load import Load
from balance.machine.crank import Cranks, Throw
from balance.machine.machine import Machine, SpeedRange
from balance.machine.yoke import Part, Yoke

PARTS = ("gas", "gravity", "inertia")
SPEED = SpeedRange(least=20.0, rated=90.0, most=150.0)


def run(machine: Machine, count: int | None = None) -> SimpleNamespace:
    """Return everything that is known of a machine's motion and forces."""
    moved = motion.move(machine, None if count is None else motion.crank_angles(count))
    state = gas.gas_state(machine, moved)
    forces = joints.joint_forces(machine, moved, state)
    torques = torque.torques(machine, moved, forces)
    loads = {hand: shaft_loads.shaft_loads(machine, forces, torques, hand) for hand in ("right", "left")}
    shaken = shaking.shaking(machine, moved)
    return SimpleNamespace(
        machine=machine, moved=moved, gas=state, forces=forces, torques=torques, loads=loads, shaking=shaken
    )


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
