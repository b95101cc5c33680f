"""Both cranks as one twisting system, joined by their gear teeth, with flywheels and load.

Angles count as each crank's angle does, so that the gears make both turn alike. Free cranks have no
fixed point: what twists is measured from the gear of the right one, and the motion that is free of torque there is
what is left once turning as a whole is taken out. Cranks that no gear joins twist by themselves. Twist is that of the
elastic crank: its shaft and pins twist, its webs bend in their planes.
"""

from itertools import pairwise

import numpy as np

from balance.cycle.harmonics import orders
from balance.machine.crank import place_in_frame
from balance.quantities import Number, Scalar, result, side_by_side
from balance.torque import Torques
from balance.turning import HANDS
from shafts.crank.build import crank
from shafts.crank.compliance import Unit, respond
from shafts.crank.loaded import LoadedCrank
from shafts.crank.loads import leaves_at
from shafts.crank.supports import support_parts, whole_of
from shafts.engine import Engine
from shafts.shaft import Shaft
from shafts.whirl.bodies import big_end, carried_bodies, rod_of

PIECES = 4  # of each segment, for its own inertia
HIGHEST = 12  # order of the torque that is looked at
STRONG = 0.05  # share of the strongest order from which an order counts

Piece = tuple[str, Unit, Number]
"""What twists: its name, the couple that twists it there, and its moment of inertia about the shaft, kg m^2."""


@result
class TorsionalSystem:
    """The inertias that twist; n of them.

    compliance : angle of each from the right gear per unit torque on each, rad/(N m), (options..., n, n).
    inertia : kg m^2, (options..., n).   names : "right web 1" and so on.
    """

    names: list[str]
    compliance: np.ndarray
    inertia: np.ndarray


def twist_systems(engine: Engine) -> list[TorsionalSystem]:
    """Return the twisting system of both cranks, or of each where no gear joins them."""
    gears = engine.cranks.gears
    right, left = (_side(engine, hand) for hand in HANDS)
    if gears is None:
        return [right, left]
    mesh: Scalar = 0.0
    if gears.stiffness is not None:
        mesh = 1 / (gears.stiffness * (engine.cranks.pitch_radius * np.cos(engine.cranks.working_pressure_angle)) ** 2)
    return [joined(right, left, mesh)]


def joined(right: TorsionalSystem, left: TorsionalSystem, mesh: Scalar) -> TorsionalSystem:
    """Return two systems as one; mesh : how far one gear turns against the other per unit torque, rad/(N m)."""
    count, other = len(right.names), len(left.names)
    options = np.broadcast_shapes(right.compliance.shape[:-2], left.compliance.shape[:-2], np.shape(mesh))
    flexibility = np.zeros((*options, count + other, count + other))
    flexibility[..., :count, :count] = right.compliance
    flexibility[..., count:, count:] = left.compliance + np.asarray(mesh)[..., None, None]
    both = np.broadcast_arrays(right.inertia[..., :1], left.inertia[..., :1])
    inertia = [np.broadcast_to(each.inertia, (*both[0].shape[:-1], len(each.names))) for each in (right, left)]
    return TorsionalSystem(right.names + left.names, flexibility, np.concatenate(inertia, axis=-1))


def _side(engine: Engine, hand: str) -> TorsionalSystem:
    shaft, pieces = engine.shafts.pair[hand == "left"], [*_carried(engine, hand)]
    pieces += _own(shaft)
    held = leaves_at(engine, hand) if engine.cranks.gears is None else engine.cranks.gears.at
    places = [bearing.at for bearing in shaft.bearings]
    chain = crank(shaft, engine.cranks, hand, [*places, held, *(unit.z for _, unit, _ in pieces)])
    supports = whole_of(support_parts(shaft))
    response = respond(chain, [(unit,) for _, unit, _ in pieces], places, held, supports)
    every = range(len(pieces))
    # Couples along the shaft load no bearing that is alike in all directions but where webs turn them into forces.
    flexibility = response.by_members(every) + response.by_supports(every, supports)
    return TorsionalSystem(
        [f"{hand} {name}" for name, *_ in pieces], flexibility, side_by_side([each for *_, each in pieces])
    )


def _carried(engine: Engine, hand: str) -> list[Piece]:
    inertias = [(body.name, Unit(body.at, cz=1.0), body.polar + body.mass * (body.x**2 + body.y**2))
             for body in carried_bodies(engine, hand) if not body.name.startswith("rod of")]  # fmt: skip
    for name, yoke in engine.yokes.items():
        throw = engine.throw_of(yoke)
        x, y = place_in_frame(throw)
        inertias.append((f"throw of {name}", Unit(throw.at, x, y, cz=1.0), _ridden(yoke, hand) * throw.radius**2))
    return inertias


def _ridden(yoke, hand: str) -> Number:
    """Return the mass that a throw carries round, kg: the rod's big end, and half of what goes to and fro.

    What a pin moves in one direction of two counts half on average: common practice, no source.
    """
    if yoke.rod is None:
        return yoke.mass / 4
    rod, share = rod_of(yoke, hand)
    return big_end(yoke, hand) + (rod.mass * share + yoke.mass / 2) / 2


def _own(shaft: Shaft) -> list[Piece]:
    inertias: list[Piece] = []
    start = shaft.starts_at
    for each in shaft.segments:
        polar = shaft.material.density * each.length * np.pi / 32 * (each.diameter**4 - each.bore**4)
        inertias += [("shaft", Unit(start + each.length * (part + 0.5) / PIECES, cz=1.0), polar / PIECES)
                  for part in range(PIECES)]  # fmt: skip
        start = start + each.length
    return inertias


def torsional_frequencies(system: TorsionalSystem) -> np.ndarray:
    """Return the natural frequencies, rad/s, rising, (options..., n - 1), turning as a whole left out."""
    root = np.sqrt(system.inertia)
    whole = root / np.sqrt(np.sum(system.inertia, axis=-1, keepdims=True))
    springs = root[..., :, None] * system.compliance * root[..., None, :]
    free = np.eye(root.shape[-1]) - whole[..., :, None] * whole[..., None, :]
    inverse = np.linalg.eigvalsh(free @ springs @ free)[..., ::-1][..., :-1]
    real = inverse > 1e-12 * inverse[..., :1]
    return np.where(real, 1 / np.sqrt(np.where(real, inverse, 1.0)), np.inf)


def torque_orders(torques: Torques, speed: Number, most: int = HIGHEST) -> np.ndarray:
    """Return the sizes of orders 1 to `most` of the torque on a crank, the larger of both, N m, (options..., most)."""
    sizes = [np.abs(orders(each.at(speed), most)[..., 1:]) for each in (torques.right, torques.left)]
    return np.maximum(*sizes)


def highest_strong_order(torques: Torques, speed: Number) -> np.ndarray:
    """Return the highest order of the crank torque that has STRONG of its strongest order at a speed, (options...)."""
    sizes = torque_orders(torques, speed)
    strong = sizes >= STRONG * np.max(sizes, axis=-1, keepdims=True)
    return np.max(np.where(strong, np.arange(1, sizes.shape[-1] + 1), 1), axis=-1)


def stretches(engine: Engine, loaded: LoadedCrank) -> list[tuple[str, str, float]]:
    """Return every length of one design's shaft between neighbours that turn it: both names, and its middle, m."""
    places = {f"crankpin of {name}": float(engine.throw_of(yoke).at) for name, yoke in engine.yokes.items()}
    places |= {each.name: float(each.at) for each in loaded.loads if each.kind in ("teeth", "torque")}
    row = sorted(places, key=lambda name: places[name])
    return [(one, other, (places[one] + places[other]) / 2) for one, other in pairwise(row)
            if places[other] > places[one]]  # fmt: skip
