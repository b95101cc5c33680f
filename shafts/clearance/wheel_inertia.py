"""Whether a wheel can have the inertia and mass that are given, by its size."""

from collections.abc import Iterator

from balance.machine.wheels import gyration
from shafts.clearance.joined import Joint
from shafts.engine import Engine


def wheel_joints(engine: Engine) -> Iterator[Joint]:
    """Yield of wheels with inertia, mass and diameter how far the radius of gyration lies beyond their rim, m."""
    for name, wheel in {**engine.wheels("right"), **engine.wheels("left")}.items():
        mass = float(wheel.wheel_mass)
        if wheel.diameter is not None and wheel.inertia is not None and mass:
            short = float(gyration(wheel.inertia, mass)) - float(wheel.diameter) / 2
            yield Joint(name, short, "no wheel of that mass and size has that inertia")
