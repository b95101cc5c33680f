"""All that acts on one crank, by name: rods, turning masses, gear teeth, a belt, and what takes the torque away.

A new load is one more entry here: where it acts, its force by growth with speed, and its kind.
"""

from collections.abc import Iterator
from typing import Literal

import numpy as np

from balance.cycle.load import Load, PlanarForce
from balance.joints import YokeForces
from balance.machine.crank import place_in_frame
from balance.quantities import Number, over_angle, result
from balance.torque import Torques, share_of
from balance.turning import HANDS, turning_masses
from shafts.engine import Engine

Kind = Literal["rod", "turning mass", "teeth", "belt", "torque"]


@result
class CrankLoad:
    """One load on a crank.

    name : in words; a rod's is its yoke's.   at : place along the shaft, m, (options...).
    point : where it acts in the crank frame, x and y in m; the shaft's axis if left out.
    force : as it stands on the bench, N, (options..., angles).   torque : about the shaft, beyond that of the force at
    its point, N m, positive where it helps crank angle grow.
    apart : for gear teeth, what they push along +x per unit size of their force along y, whichever way that goes.
    mass, turning : of a mass that turns with the crank, kg, and times its mass centre [x, y] in the crank frame, kg m.
    """

    name: str
    kind: Kind
    at: Number
    point: tuple[Number, Number] = (0.0, 0.0)
    force: PlanarForce | None = None
    torque: Load | None = None
    apart: Number = 0.0
    mass: Number = 0.0
    turning: tuple[Number, Number] = (0.0, 0.0)


def crank_loads(engine: Engine, forces: dict[str, YokeForces], torques: Torques, hand: str) -> list[CrankLoad]:
    """Return all that acts on the right or left crank; together it turns the crank at no angle."""
    return [
        *_rods(engine, forces, hand),
        *_masses(engine, hand),
        *_belt(engine, hand),
        _crossing(engine, torques, hand),
        *_leaving(engine, hand, torques),
    ]


def _rods(engine: Engine, forces: dict[str, YokeForces], hand: str) -> Iterator[CrankLoad]:
    for name, each in forces.items():
        throw = engine.throw_of(engine.yokes[name])
        yield CrankLoad(name, "rod", throw.at, place_in_frame(throw), getattr(each.pin, hand))


def _masses(engine: Engine, hand: str) -> Iterator[CrankLoad]:
    for mass in turning_masses(engine, hand):
        yield CrankLoad(mass.name, "turning mass", mass.at, mass=mass.mass, turning=(mass.crank_x, mass.crank_y))


def _belt(engine: Engine, hand: str) -> Iterator[CrankLoad]:
    """A belt pulls its shaft one way at every angle; what it drives is in the load's torque already."""
    belt = engine.cranks.belt
    if belt is not None and belt.on in (hand, "both"):
        x, y = belt.pull * np.sin(belt.direction), belt.pull * np.cos(belt.direction)
        yield CrankLoad("belt", "belt", belt.at, force=PlanarForce(Load(over_angle(x)), Load(over_angle(y))))


def _crossing(engine: Engine, torques: Torques, hand: str) -> CrankLoad:
    """What crosses between the shafts: at the pitch point both gears move toward +y, and are pushed apart along x.

    Without described gears it is taken to cross where the load is.
    """
    gears, sign = engine.cranks.gears, HANDS[hand]
    crossing = torques.mesh if sign > 0 else -torques.mesh
    if gears is None:
        return CrankLoad("coupling", "torque", leaves_at(engine, hand), torque=crossing)
    tangential = crossing * (1 / over_angle(engine.cranks.pitch_radius))
    spread = sign * np.tan(engine.cranks.working_pressure_angle)
    return CrankLoad("gear teeth", "teeth", gears.at, force=PlanarForce(y=tangential), torque=crossing, apart=spread)


def _leaving(engine: Engine, hand: str, torques: Torques) -> Iterator[CrankLoad]:
    """At constant speed the load takes the mean torque and the flywheel, without one the load, the ripple."""
    wheel, share = engine.flywheel, share_of(engine.cranks.load_on, hand)
    if share:
        taken = (torques.steady if wheel is not None else torques.total) * -share
        yield CrankLoad("load", "torque", leaves_at(engine, hand), torque=taken)
    if wheel is not None and wheel.on in (hand, "both"):
        yield CrankLoad("flywheel", "torque", wheel.z(hand), torque=torques.ripple * -share_of(wheel.on, hand))


def leaves_at(engine: Engine, hand: str) -> Number:
    """Return where the power leaves a shaft, m, (options...).

    As given, else at its pulley, else at its flywheel, else at its far end.
    """
    if engine.cranks.load_at is not None:
        return engine.cranks.load_at
    wheels = list(engine.wheels(hand).values())
    if wheels:
        return wheels[-1].z(hand)
    shaft = engine.shafts.pair[hand == "left"]
    throws = [throw.at for throw in engine.cranks.throws.values()]
    middle = (shaft.starts_at + shaft.ends_at) / 2
    return np.where(sum(throws) / len(throws) < middle, shaft.ends_at, shaft.starts_at)
