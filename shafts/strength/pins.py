"""Crankpins and yoke pins as round bars: yielding, and fatigue at the notch where they are held.

A crankpin is looked at where its webs' faces cut it and on both sides of the rod's plane, in the turning crank's own
frame, with all that passes through it. A yoke pin held at one end bends as a cantilever by half the rod's thickness;
between two walls by F/2 (t1/3 + t/4), t1 a wall's and t the rod's thickness (the usual rule for knuckle pins, from
memory). Yielding is by the plain stress: a notch does not make a tough metal yield across.
"""

from collections.abc import Iterator
from dataclasses import replace
from typing import Any

import numpy as np

from balance.cycle.load import Load, PlanarForce, absent, added, over_places
from balance.machine.materials import Material
from balance.machine.yoke import Rod
from balance.quantities import Number, over_angle, side_by_side
from balance.turning import HANDS
from shafts.crank.layout import layout
from shafts.crank.loaded import LoadedCrank
from shafts.engine import Engine
from shafts.loaded_shafts import LoadedShafts
from shafts.shaft import Shaft
from shafts.strength.concentration import press_fit
from shafts.strength.endurance import reliability_factor, size_factor, specimen_limit, surface_factor
from shafts.strength.fatigue import Strength, fatigue_safety, yield_safety
from shafts.strength.joints import left_by_soldering, notch
from shafts.strength.seats import PartSafety, Seat, seats
from shafts.strength.sections import SAME, Place, Sections
from shafts.strength.stress import Inside, InternalLoads, section_loads


def crankpin_safeties(engine: Engine, crank: LoadedCrank, speeds: np.ndarray) -> list[PartSafety]:
    """Return how safe every crankpin of a crank is.   speeds : rad/s, (speeds, options...)."""
    every = seats(engine, crank)
    return [_crankpin(engine, crank, name, [seat for seat in every if seat.throw == name], speeds)
            for name in engine.cranks.throws]  # fmt: skip


def _crankpin(engine: Engine, crank: LoadedCrank, name: str, held: list[Seat], speeds: np.ndarray) -> PartSafety:
    pin, what = engine.cranks.throws[name].pin, f"{crank.hand} crankpin {name}"
    if pin is None:
        return PartSafety(what, {}, (f"cranks.throws.{name}.pin",))
    material = pin.material or crank.shaft.material
    if material.tensile_strength is None or material.yield_strength is None:
        return PartSafety(what, {}, (f"tensile_strength and yield_strength of crankpin {name}'s material",))
    unknown = tuple(dict.fromkeys(seat.entry for seat in held if seat.joint is None))
    if not held:
        unknown += ("cranks.webs, each with width and thickness",)
    inside = _inside_pin(engine, crank, name, held)
    factors = [notch(seat) for seat in held] or [(1.0, 1.0)] * 2
    factors += [(1.0, 1.0)] * (inside.sections.at.shape[-1] - len(factors))
    kept = np.min(np.broadcast_arrays(1.0, *(left_by_soldering(seat) for seat in held)), axis=0)
    capacity = round_strength(inside.sections.diameter, factors, material, kept, crank.shaft)
    return PartSafety(what, safeties(inside, capacity, speeds), unknown)


def _inside_pin(engine: Engine, crank: LoadedCrank, name: str, held: list[Seat]) -> InternalLoads:
    """Return what a crankpin carries: at its webs' faces, or its ends if none is known, and beside the rod's plane."""
    throw = engine.cranks.throws[name]
    assert throw.pin is not None
    axis = next(each for each in layout(crank.shaft, engine.cranks, crank.hand).axes if each.throw == name)
    cuts = [seat.z - seat.inward * SAME for seat in held] or [axis.low + SAME, axis.high - SAME]
    cuts += [throw.at - SAME, throw.at + SAME]
    z = side_by_side(cuts)
    x, y = throw.radius * np.sin(throw.phase), throw.radius * np.cos(throw.phase)
    wide = np.zeros(np.broadcast_shapes(z.shape, (*np.shape(throw.pin.diameter), 1)))
    cut = _sections([f"crankpin {name}"] * len(cuts), wide + z, wide + over_angle(throw.pin.diameter))
    moment, shear, torque = section_loads(crank, z, wide + over_angle(x), wide + over_angle(y))
    return InternalLoads(crank.shaft, cut, moment, shear, torque.linear, torque)


def _sections(names: list[str], at: np.ndarray, diameter: np.ndarray) -> Sections:
    places = [Place(name, at[..., index]) for index, name in enumerate(names)]
    return Sections(places, at, diameter, np.zeros_like(diameter), np.zeros(len(names), dtype=bool))


def round_strength(
    diameter: np.ndarray, factors: list[tuple], material: Material, kept: Number, shaft: Shaft
) -> Strength:
    """Return what sections of a solid round bar bear, (options..., sections).

    factors : fatigue notch factors in bending and torsion of each.   kept : share of the metal's strength that is left.
    shaft : whose surface and reliability count for its pins too.
    """
    notched, twisted = (side_by_side([each[way] for each in factors]) for way in (0, 1))
    modulus = np.pi / 32 * diameter**3
    assert material.tensile_strength is not None and material.yield_strength is not None
    tensile = np.asarray(material.tensile_strength) * kept
    limit = np.asarray(specimen_limit(material)) * kept
    limit = limit * surface_factor(shaft.finish, tensile) * reliability_factor(shaft.reliability)
    return Strength(
        notched / modulus,
        twisted / (2 * modulus),
        16 / (3 * np.pi) / diameter**2,
        notched,
        twisted,
        np.asarray(limit)[..., None] * size_factor(diameter),
        tensile,
        np.asarray(material.yield_strength) * kept,
    )


def safeties(inside: InternalLoads, capacity: Strength, speeds: np.ndarray) -> dict[str, np.ndarray]:
    """Return the least safety of a bar against yielding and fatigue, (speeds, options...)."""
    plain = replace(
        capacity, bending=capacity.bending / capacity.notch, torsion=capacity.torsion / capacity.notch_torsion
    )
    return {
        "yielding": np.min(yield_safety(inside, plain, speeds)[0], axis=-1),
        "fatigue": np.min(fatigue_safety(inside, capacity, speeds), axis=-1),
    }


def yoke_pin_safeties(loaded: LoadedShafts, speeds: np.ndarray) -> Iterator[PartSafety]:
    """Yield how safe every pin is on which a rod hangs at its yoke."""
    for name, yoke in loaded.engine.yokes.items():
        if yoke.rod is None:
            continue
        for hand in HANDS:
            force = getattr(loaded.forces[name].pivot, hand)
            yield _yoke_pin(loaded, f"{hand} yoke pin of {name}", f"yokes.{name}.rod", yoke.rod, force, speeds)


def _yoke_pin(
    loaded: LoadedShafts, what: str, entry: str, rod: Rod, force: PlanarForce, speeds: np.ndarray
) -> PartSafety:
    pin = rod.yoke_pin
    if pin is None:
        return PartSafety(what, {}, (f"{entry}.yoke_pin",))
    unknown = tuple(f"{entry}.{key}" for key, value in (
        ("thickness", rod.thickness), ("yoke_pin.material", pin.material),
        ("yoke_pin.wall", pin.wall if pin.held == "both ends" else 0.0)) if value is None)  # fmt: skip
    if unknown:
        return PartSafety(what, {}, unknown)
    assert rod.thickness is not None and pin.material is not None
    if pin.material.tensile_strength is None or pin.material.yield_strength is None:
        return PartSafety(what, {}, (f"tensile_strength and yield_strength of the material of {entry}.yoke_pin",))
    ends = pin.held == "both ends"
    arm = (np.asarray(pin.wall if ends else 0.0) / 3 + rod.thickness / 4) / 2 if ends else np.asarray(rod.thickness) / 2
    diameter = np.asarray(pin.diameter)[..., None]
    across = Load(*(_complex(y, x) for x, y in zip(force.x.parts, force.y.parts, strict=True)))
    inside = InternalLoads(
        loaded.engine.shafts,
        _sections([what], np.zeros(1), diameter),
        Inside(across * arm[..., None, None], np.zeros(1), None),
        Inside(across * (0.5 if ends else 1.0), np.zeros(1), None),
        Load(steady=np.zeros((1, 1))),
    )
    factors = (1.0, 1.0) if ends else press_fit(pin.material.tensile_strength)
    capacity = round_strength(diameter, [factors], pin.material, 1.0, loaded.engine.shafts)
    return PartSafety(what, safeties(inside, capacity, speeds))


def _complex(real: Any, imaginary: Any) -> Any:
    """Return parts of a load (options..., angles) as one complex part of a single section, (options..., 1, angles)."""
    if real is None or imaginary is None:
        return None
    if absent(real) and absent(imaginary):
        return 0.0
    return over_places(added(real, imaginary * 1j))
