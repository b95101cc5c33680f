"""Both shafts as one twisting system, joined by the gears.

Angles count in each crank's own sense of turning, so that the gears make both shafts turn alike. Free
shafts have no fixed point: what twists is measured from the gear of the right shaft, and the motion
that is free of torque there is what is left once turning as a whole is taken out. Shafts that no gear
joins twist by themselves. Crank webs and pins count as rigid.
"""

from dataclasses import dataclass

import numpy as np

from balance.cycle.harmonics import orders
from balance.cycle.load import Load
from balance.quantities import Number, Scalar, side_by_side
from balance.torque import Torques
from balance.turning import HANDS
from shafts.crank.rows import by_part
from shafts.shaft import Engine, Shaft
from shafts.whirl.discs import carried_mass, discs

PIECES = 4  # of each segment, for its own inertia
HIGHEST = 12  # order of the torque that is looked at
STRONG = 0.05  # share of the strongest order from which an order counts


@dataclass(frozen=True, eq=False)
class TorsionalSystem:
    """The inertias that twist; n of them.

    give : angle of each from the right gear per unit torque on each, rad/(N m), (options..., n, n).
    inertia : kg m^2, (options..., n).   names : "right web 1" and so on.
    """

    names: list[str]
    give: np.ndarray
    inertia: np.ndarray


def twist_systems(engine: Engine) -> list[TorsionalSystem]:
    """Return the twisting system of both shafts, or of each where no gear joins them."""
    gears = engine.cranks.gears
    right, left = (_side(engine, hand, 0.0 if gears is None else gears.at) for hand in HANDS)
    if gears is None:
        return [right, left]
    mesh: Scalar = 0.0
    if gears.mesh_stiffness is not None:
        mesh = 1 / (gears.mesh_stiffness * (gears.pitch_radius * np.cos(gears.pressure_angle)) ** 2)
    return [_joined(right, left, mesh)]


def _joined(right: TorsionalSystem, left: TorsionalSystem, mesh: Scalar) -> TorsionalSystem:
    count, other = len(right.names), len(left.names)
    options = np.broadcast_shapes(right.give.shape[:-2], left.give.shape[:-2], np.shape(mesh))
    give = np.zeros((*options, count + other, count + other))
    give[..., :count, :count] = right.give
    give[..., count:, count:] = left.give + np.asarray(mesh)[..., None, None]
    both = np.broadcast_arrays(right.inertia[..., :1], left.inertia[..., :1])
    inertia = [np.broadcast_to(each.inertia, (*both[0].shape[:-1], len(each.names))) for each in (right, left)]
    return TorsionalSystem(right.names + left.names, give, np.concatenate(inertia, axis=-1))


def _side(engine: Engine, hand: str, origin: Number) -> TorsionalSystem:
    shaft = engine.shafts.pair[hand == "left"]
    found = [(disc.name, disc.at, disc.polar) for disc in discs(engine, hand)]
    for name, yoke in engine.yokes.items():
        throw = engine.throw_of(yoke)
        found.append((f"throw of {name}", throw.at, carried_mass(yoke, hand) * throw.radius**2))
    found += [("shaft", at, inertia) for at, inertia in _own_inertia(shaft)]
    places = [at for _, at, _ in found]
    give = twist_give(shaft, places, places, origin)
    return TorsionalSystem(
        [f"{hand} {name}" for name, *_ in found], give, side_by_side([inertia for *_, inertia in found])
    )


def _own_inertia(shaft: Shaft) -> list[tuple[Number, Number]]:
    found, start = [], shaft.starts_at
    for each in shaft.segments:
        polar = shaft.material.density * each.length * np.pi / 32 * (each.diameter**4 - each.bore**4)
        found += [(start + each.length * (part + 0.5) / PIECES, polar / PIECES) for part in range(PIECES)]
        start = start + each.length
    return found


def twist_give(shaft: Shaft, at: list[Number], places: list[Number], origin: Number) -> np.ndarray:
    """Return how far m places twist, seen from `origin`, per unit torque at n, rad/(N m), (options..., m, n).

    Two places on one side of the origin share the twist of what lies between it and the nearer one.
    """
    ahead = twists(shaft, origin, [*at, *places])
    here, there = ahead[..., : len(at), None], ahead[..., None, len(at) :]
    return np.where(here * there > 0, np.minimum(np.abs(here), np.abs(there)), 0.0)


def twists(shaft: Shaft, start: Number, ends: list[Number]) -> np.ndarray:
    """Return the twist per unit torque from one place to others, rad/(N m), (options..., places), negative backwards.

    Beyond the shaft's ends its arms are rigid.
    """
    bounds = [np.asarray(each)[..., None] for each in shaft.boundaries]
    places, origin, twist = side_by_side(ends), np.asarray(start)[..., None], np.zeros(1)
    for each, low, high in zip(shaft.segments, bounds[:-1], bounds[1:], strict=True):
        polar = np.asarray(np.pi / 32 * (each.diameter**4 - each.bore**4) * shaft.material.shear)[..., None]
        inside, from_there = (np.minimum(np.maximum(place, low), high) for place in (places, origin))
        twist = twist + (inside - from_there) / polar
    return twist


def torsional_frequencies(system: TorsionalSystem) -> np.ndarray:
    """Return the natural frequencies, rad/s, rising, (options..., n - 1), turning as a whole left out."""
    root = np.sqrt(system.inertia)
    whole = root / np.sqrt(np.sum(system.inertia, axis=-1, keepdims=True))
    springs = root[..., :, None] * system.give * root[..., None, :]
    free = np.eye(root.shape[-1]) - whole[..., :, None] * whole[..., None, :]
    inverse = np.linalg.eigvalsh(free @ springs @ free)[..., ::-1][..., :-1]
    real = inverse > 1e-12 * inverse[..., :1]
    return np.where(real, 1 / np.sqrt(np.where(real, inverse, 1.0)), np.inf)


def wind_up(shaft: Shaft, torques: list[tuple[Number, Load]], at: list[Number], origin: Number) -> Load:
    """Return by how much places on a shaft are twisted ahead of `origin`, rad, (places, options..., angles)."""
    give = twist_give(shaft, at, [place for place, _ in torques], origin)
    rows = by_part(enumerate(torque for _, torque in torques), np.zeros(1))
    return Load(**{part: each.times(give) for part, each in rows.items()})


def torque_orders(torques: Torques, speed: Number, most: int = HIGHEST) -> np.ndarray:
    """Return the sizes of orders 1 to `most` of the torque on a crank, the larger of both, N m, (options..., most)."""
    sizes = [np.abs(orders(each.at(speed), most)[..., 1:]) for each in (torques.right, torques.left)]
    return np.maximum(*sizes)


def highest_strong_order(torques: Torques, speed: Number) -> np.ndarray:
    """Return the highest order of the crank torque that has STRONG of its strongest order at a speed, (options...)."""
    sizes = torque_orders(torques, speed)
    strong = sizes >= STRONG * np.max(sizes, axis=-1, keepdims=True)
    return np.max(np.where(strong, np.arange(1, sizes.shape[-1] + 1), 1), axis=-1)
