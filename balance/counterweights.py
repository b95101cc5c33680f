"""Counterweights that cancel the first order of the shaking force, and how far plate can provide them."""

from dataclasses import dataclass, replace

import numpy as np

from balance.crank import Web
from balance.growth import orders
from balance.machine import Counterweights, Machine
from balance.plates import AnnularSector, sector_for
from balance.quantities import Number
from balance.shaking import Shaking


@dataclass(frozen=True, eq=False)
class Weight:
    """The mirrored weight of each shaft; fields of shape (options...).

    wanted : mass times radius that the aim asks for, kg m, on each shaft.
    angle : its place in the crank frame, rad ahead of crank angle zero's crankpin direction (+y).
    shape : what is cut, which falls short of `wanted` where the plate cannot hold it.
    """

    wanted: Number
    angle: Number
    shape: AnnularSector

    @property
    def short(self) -> Number:
        """Mass times radius that the plate cannot provide, kg m; zero where it fits."""
        return np.maximum(self.wanted - self.shape.moment, 0.0)


def first_order_moment(unbalanced: Shaking) -> np.ndarray:
    """Return the mass times radius on each shaft that cancels order 1 along the cylinder, kg m.

    Complex, (options...): along + i across in the crank frame. Two mirrored weights push along the
    cylinder with 2 Re((along + i across) exp(i theta)) per (rad/s)^2, and cancel each other across it.
    """
    return -orders(unbalanced.y, 1)[..., 1] / 2


def size_weights(counterweights: Counterweights, unbalanced: Shaking) -> Weight:
    """Return the weights for a machine whose other parts shake as given."""
    moment = first_order_moment(unbalanced)
    wanted = np.abs(moment)
    shape = sector_for(
        wanted,
        counterweights.smallest_radius,
        counterweights.largest_radius,
        counterweights.thickness,
        counterweights.material.density,
    )
    return Weight(wanted, np.angle(moment), shape)


def fit(machine: Machine, weight: Weight) -> Machine:
    """Return the machine with the weights on both cranks: once cut, they are masses that turn like any other."""
    assert machine.counterweights is not None
    radius = weight.shape.moment / np.where(weight.shape.mass > 0, weight.shape.mass, 1.0)
    added = Web(
        at=machine.counterweights.at,
        mass=weight.shape.mass,
        cg=(radius * np.sin(weight.angle), radius * np.cos(weight.angle)),
    )
    return replace(machine, cranks=replace(machine.cranks, webs=(*machine.cranks.webs, added)))
