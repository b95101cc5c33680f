"""Counterweights and trims that balance a machine: the closed form for order 1, and the aims that need a search.

The shaking force is linear in every mass. What each weight changes is written as a complex moment, along +
i across in the crank frame: two mirrored weights push along the cylinder with 2 Re(moment exp(i theta)) per
(rad/s)^2 and cancel each other across it. In two planes the force and the pitch couple are first turned into
the pair of forces in the two planes that does the same; making both small makes force and couple small.
"""

from dataclasses import replace
from typing import TypeVar

import numpy as np

from balance.cycle.harmonics import order
from balance.errors import BadDesign, Complaint
from balance.machine.counterweights import Counterweights, Trim
from balance.machine.crank import Web
from balance.machine.machine import Machine
from balance.machine.yoke import Part
from balance.many import refuse_many, unchecked
from balance.motion import Motion
from balance.plates.pinned import PinArm
from balance.plates.plate import Plate
from balance.quantities import Number, Scalar, result
from balance.shaking import Shaking
from balance.weights.on_pin import either_plate, plate_on_pin, takes_arm
from balance.weights.plate_choice import largest_moment, plate_for

Arms = tuple[PinArm | None, ...]
Whole = TypeVar("Whole", bound=Machine)


@result
class Weight:
    """The mirrored weight of each shaft in one plane; fields of shape (options...).

    at : place along the shafts, m.
    wanted : mass times radius that the aim asks for, kg m, on each shaft.
    angle : its place in the crank frame, rad ahead of crank angle zero's crankpin direction (+y).
    shape : what is cut, which falls short of `wanted` where the plate cannot hold it.
    astray : mass times radius by which size and direction together miss what the aim asks for, kg m.
    """

    at: Number
    wanted: Number
    angle: Number
    shape: Plate
    astray: Number = 0.0

    @property
    def short(self) -> Number:
        """Mass times radius that the plate cannot provide, kg m; zero (to rounding) where it fits."""
        missing = np.maximum(self.wanted - self.shape.moment, self.astray)
        return np.where(missing > 1e-9 * np.abs(self.wanted), missing, 0.0)


def counterweight_name(hand: str, plane: int, planes: int) -> str:
    """Return a counterweight in words, by its side, its plane counted from 0, and how many planes there are."""
    return f"{hand} counterweight {plane + 1}" if planes > 1 else f"{hand} counterweight"


@result
class Weights:
    """All that is added to balance a machine.

    planes : the weights of each plane.   trims : mass added to each yoke, kg, by the yoke's name.
    """

    planes: tuple[Weight, ...]
    trims: dict[str, Number]

    @property
    def mass(self) -> Number:
        """All the mass that is added, kg: a weight on each of both shafts in every plane, and the trims."""
        return sum(2 * each.shape.mass for each in self.planes) + sum(self.trims.values(), np.float64(0.0))


@result
class Effects:
    """What is to be small, and what each unknown changes in it, over the cycle; for a single design.

    base : (parts, angles), before anything is added.
    by_unknown : (unknowns, parts, angles), per unit of each unknown: along and across of each plane in turn,
    kg m, then each trim, kg.
    caps : most mass times radius of each plane, kg m, (planes,).   most : largest trims, kg, (trims,).
    """

    base: np.ndarray
    by_unknown: np.ndarray
    caps: np.ndarray
    most: np.ndarray

    def residual(self, unknowns: np.ndarray) -> np.ndarray:
        """Return what is left with these unknowns: (parts, angles), or (sets, parts, angles) for (sets, unknowns)."""
        return self.base + np.tensordot(unknowns, self.by_unknown, axes=(-1, 0))

    def rms(self, unknowns: np.ndarray) -> np.ndarray:
        """Return the root mean square over the cycle of the size of what is left."""
        return np.sqrt(np.mean(np.sum(self.residual(unknowns) ** 2, axis=-2), axis=-1))

    def peak(self, unknowns: np.ndarray) -> np.ndarray:
        """Return the largest size over the cycle of what is left."""
        return np.sqrt(np.max(np.sum(self.residual(unknowns) ** 2, axis=-2), axis=-1))


def in_planes(planes: tuple[Scalar, ...], shaken: Shaking) -> list[np.ndarray]:
    """Return the forces along the cylinder in each plane that do what the force and the pitch couple do, kg m.

    With one plane, the force alone. With two: f1 + f2 = y and z1 f1 + z2 f2 = -pitch.
    """
    if len(planes) == 1:
        return [shaken.y]
    first, second = (np.asarray(each, dtype=float)[..., None] for each in planes)
    part = (second * shaken.y + shaken.pitch) / (second - first)
    return [part, shaken.y - part]


def across_planes(planes: tuple[Scalar, ...], shaken: Shaking) -> list[np.ndarray]:
    """Return the forces across the cylinder in each plane, likewise from force and yaw couple, kg m."""
    if len(planes) == 1:
        return [shaken.x]
    first, second = (np.asarray(each, dtype=float)[..., None] for each in planes)
    part = (second * shaken.x - shaken.yaw) / (second - first)
    return [part, shaken.x - part]


def cancelling(planes: tuple[Scalar, ...], unbalanced: Shaking) -> list[np.ndarray]:
    """Return the complex moment of each plane that leaves no first order, kg m, each (options...)."""
    return [-order(force, 1) / 2 for force in in_planes(planes, unbalanced)]


def weights_of(
    counterweights: Counterweights, moments: list[np.ndarray], trims: dict[str, Number], arms: Arms = ()
) -> Weights:
    """Return the weights that are cut for the complex moments of each plane, kg m, each (options...).

    arms : by which those of each plane sit on a crankpin, None where they do not.
    """
    each_arm = arms or (None,) * len(moments)
    planes = [
        _weight(counterweights, at, moment, arm)
        for at, moment, arm in zip(counterweights.planes, moments, each_arm, strict=True)
    ]
    return Weights(tuple(planes), trims)


def _weight(counterweights: Counterweights, at: Number, moment: np.ndarray, arm: PinArm | None) -> Weight:
    wanted, angle = np.abs(moment), np.angle(moment)
    if arm is None or not takes_arm(counterweights):
        return Weight(at, wanted, angle, plate_for(counterweights, wanted))
    pinned = plate_on_pin(counterweights, moment, arm)
    shape, towards, astray = pinned.plate, np.angle(pinned.moment), np.abs(pinned.moment - moment)
    if not np.all(arm.there):
        shape = either_plate(shape, plate_for(counterweights, wanted), np.asarray(arm.there, dtype=bool))
        towards, astray = np.where(arm.there, towards, angle), np.where(arm.there, astray, 0.0)
    return Weight(at, wanted, towards, shape, astray)


def size_weights(counterweights: Counterweights, unbalanced: Shaking, arms: Arms = ()) -> Weights:
    """Return the weights that cancel the first order, no trims: for many options at once, in closed form."""
    return weights_of(counterweights, cancelling(counterweights.planes, unbalanced), {}, arms)


def yoke_effect(motion: Motion, name: str, at: Scalar) -> Shaking:
    """Return what one kilogram more on a yoke at a place along the shafts adds to the shaking."""
    moved = motion.yokes[name]
    still = np.zeros_like(moved.acceleration)
    z = np.asarray(at, dtype=float)[..., None]
    return Shaking(still, -moved.acceleration, z * moved.acceleration, still, still)


def place_of(machine: Machine, name: str, trim: Trim) -> Scalar:
    """Return where along the shafts a trim sits, m: by default in the plane of its yoke's throw."""
    return machine.throw_of(machine.yokes[name]).at if trim.at is None else trim.at


def shaking_effects(machine: Machine, motion: Motion, unbalanced: Shaking) -> Effects:
    """Return what the weights and trims of a single design change in its shaking, in the planes of its weights.

    Parts: the force along the cylinder in each plane, then that across in each, which no weight changes.
    """
    refuse_many(machine, "what weights change in its shaking")
    counterweights = machine.counterweights
    assert counterweights is not None
    planes, theta = counterweights.planes, motion.theta
    parts = [*in_planes(planes, unbalanced), *across_planes(planes, unbalanced)]
    base = np.array([np.broadcast_to(part, theta.shape) for part in parts])
    by_unknown = []
    for plane in range(len(planes)):
        for wave in (2 * np.cos(theta), -2 * np.sin(theta)):
            by_unknown.append(np.zeros_like(base))
            by_unknown[-1][plane] = wave
    for name, trim in counterweights.trims.items():
        effect = yoke_effect(motion, name, place_of(machine, name, trim))
        by_unknown.append(np.zeros_like(base))
        by_unknown[-1][: len(planes)] = in_planes(planes, effect)
    return Effects(base, np.array(by_unknown), caps_of(counterweights), most_of(counterweights))


def caps_of(counterweights: Counterweights) -> np.ndarray:
    """Return the most mass times radius of a plate in each plane of a single design, kg m, (planes,)."""
    return np.full(len(counterweights.planes), float(largest_moment(counterweights)))


def most_of(counterweights: Counterweights) -> np.ndarray:
    """Return the largest trims of a single design, kg, (trims,)."""
    return np.array([float(each.at_most) for each in counterweights.trims.values()])


def solved(counterweights: Counterweights, unknowns: np.ndarray, arms: Arms = ()) -> Weights:
    """Return the weights and trims that a set of unknowns stands for; unknowns of shape (options..., unknowns)."""
    count = 2 * len(counterweights.planes)
    moments = [unknowns[..., index] + 1j * unknowns[..., index + 1] for index in range(0, count, 2)]
    trims = dict(zip(counterweights.trims, np.moveaxis(unknowns[..., count:], -1, 0), strict=True))
    return weights_of(counterweights, moments, trims, arms)


def fit(machine: Whole, weights: Weights) -> Whole:
    """Return the machine with the weights on both cranks: once cut, they are masses that turn like any other.

    Trims become parts of their yokes. Nothing that a machine is checked for when it is made depends on these masses.
    """
    assert machine.counterweights is not None
    webs = tuple(_as_web(each) for each in weights.planes)
    yokes = dict(machine.yokes)
    for name, mass in weights.trims.items():
        part = Part(mass=mass, at=place_of(machine, name, machine.counterweights.trims[name]))
        yokes[name] = replace(yokes[name], parts={**yokes[name].parts, _free_name(yokes[name].parts): part})
    cranks = unchecked(machine.cranks, {"webs": (*machine.cranks.webs, *webs)})
    return unchecked(machine, {"yokes": yokes, "cranks": cranks})


def _free_name(parts: dict[str, Part]) -> str:
    """Return a name for a trim that no part of its yoke has yet."""
    name = "trim weight"
    while name in parts:
        name += " added"
    return name


def _as_web(weight: Weight) -> Web:
    if np.any(np.asarray(weight.shape.mass) < 0):
        where = ("counterweights", "shape")
        raise BadDesign(Complaint(where, "holes that take away more than the weight has", "fewer or smaller holes"))
    radius = weight.shape.centre
    return Web(
        at=weight.at,
        mass=weight.shape.mass,
        cg=(radius * np.sin(weight.angle), radius * np.cos(weight.angle)),
        inertia=weight.shape.inertia,
    )
