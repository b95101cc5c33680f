"""Counterweights and trims that serve any aim, the bearings' loads among them.

The bearing loads are linear in the weights but for the gears' separating force, whose side at each angle is
kept as it is without weights. The weight of a counterweight (not its pull) is left out of the search; the
loads that are shown afterwards have it.
"""

from dataclasses import replace

import numpy as np

from balance.gas import GasState, gas_state
from balance.joints import joint_forces
from balance.machine.crank import Web
from balance.machine.yoke import Part
from balance.many import one, options_of, refuse_many
from balance.motion import Motion, crank_angles, move
from balance.shaking import shaking
from balance.torque import torques
from balance.weights.aims import cancel_first, least_peak, least_rms
from balance.weights.balancing import Effects, Weights, caps_of, most_of, place_of, shaking_effects, solved
from shafts.crank.vectors import CrankVector
from shafts.engine import Engine
from shafts.loaded_shafts import LoadedShafts, load_shafts
from shafts.weights_beside import arms

ANGLES = 360
FAR = 1e6  # m and 1/kg: a moment of one kg m by a mass too small to weigh anything


def bearing_effects(engine: Engine) -> Effects:
    """Return what weights and trims change in the bearing loads at the fastest speed, N; for a single design.

    The angles of all bearings of both shafts follow each other, so that a peak is that of the worst of them.
    """
    refuse_many(engine, "what weights change in its bearing loads")
    assert engine.counterweights is not None
    motion = move(engine, crank_angles(ANGLES))
    gas = gas_state(engine, motion)
    speed = np.asarray(engine.speed.most, dtype=float)
    bare = _loaded(engine, motion, gas)
    base = _loads(bare, bare, speed)
    by_unknown = [_loads(_loaded(changed, motion, gas), bare, speed) - base for changed in _unit_changes(engine)]
    shape = (len(by_unknown), *base.shape)
    return Effects(
        base, np.array(by_unknown).reshape(shape), caps_of(engine.counterweights), most_of(engine.counterweights)
    )


def _unit_changes(engine: Engine) -> list[Engine]:
    """Return the engine with one unit of each unknown in turn."""
    counterweights = engine.counterweights
    assert counterweights is not None
    engines = []
    for at in counterweights.planes:
        for cg in ((0.0, FAR), (FAR, 0.0)):
            web = Web(at=at, mass=1 / FAR, cg=cg)
            engines.append(replace(engine, cranks=replace(engine.cranks, webs=(*engine.cranks.webs, web))))
    for name, trim in counterweights.trims.items():
        part = Part(mass=1.0, at=place_of(engine, name, trim))
        yoke = replace(engine.yokes[name], parts={**engine.yokes[name].parts, "one kilogram of trim": part})
        engines.append(replace(engine, yokes={**engine.yokes, name: yoke}))
    return engines


def _loaded(engine: Engine, motion: Motion, gas: GasState) -> LoadedShafts:
    forces = joint_forces(engine, motion, gas)
    return load_shafts(engine, motion, forces, torques(engine, motion, forces))


def _loads(loaded: LoadedShafts, bare: LoadedShafts, speed: np.ndarray) -> np.ndarray:
    """Return the load of every bearing, the teeth on the flank of the bare machine, N, (2, bearings * angles)."""
    by_bearing = [
        _load(now, then, speed)
        for crank, before in zip(loaded.cranks, bare.cranks, strict=True)
        for now, then in zip(crank.bearings, before.bearings, strict=True)
    ]
    return np.concatenate(by_bearing, axis=-1)


def _load(now: CrankVector, bare: CrankVector, speed: np.ndarray) -> np.ndarray:
    x, y = now.x.at(speed), now.y.at(speed)
    if now.tooth is not None and bare.tooth is not None:
        push = np.sign(bare.tooth.at(speed)) * now.tooth.at(speed)
        x, y = x + now.apart[0] * push, y + now.apart[1] * push
    return np.array(np.broadcast_arrays(x, y))


def effects_of(engine: Engine) -> Effects:
    """Return what the aim of a single design's counterweights wants small."""
    assert engine.counterweights is not None
    if engine.counterweights.aim == "least bearing load":
        return bearing_effects(engine)
    motion = move(engine)
    return shaking_effects(engine, motion, shaking(engine, motion))


def unknowns_for(engine: Engine) -> np.ndarray:
    """Return the unknowns that serve the aim of a single design best: see Effects, shape (unknowns,)."""
    assert engine.counterweights is not None
    search = {"cancel order 1": cancel_first, "least rms": least_rms}.get(engine.counterweights.aim, least_peak)
    return search(effects_of(engine))


def balanced(engine: Engine) -> Weights:
    """Return the weights and trims for the aim of a design, or of many, which are solved one after the other."""
    assert engine.counterweights is not None
    options = options_of(engine)
    if options is None:
        return solved(engine.counterweights, unknowns_for(engine), arms(engine))
    unknowns = [unknowns_for(one(engine, option)) for option in range(options)]
    return solved(engine.counterweights, np.array(unknowns), arms(engine))
