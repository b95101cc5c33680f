"""The plate of a counterweight that sits on a crankpin: arm, eye and hole are part of what balances."""

from dataclasses import replace

import numpy as np

from balance.machine.counterweights import Counterweights, OutlineShape
from balance.plates.pinned import PinArm, Pinned, added
from balance.plates.plate import Measures, Plate, RoundHole
from balance.plates.sector import Sector
from balance.plates.segment import Segment
from balance.quantities import Number, result
from balance.weights.plate_choice import Mixed, stated_plate

ROUNDS = 60  # the arm's moment moves a little with the weight, and the weight with it; each round is a tenth as far off
CLOSE = 1e-12


@result
class OnPin:
    """A plate on a pin, (options...).   plate : the whole.   moment : its complex moment, kg m.

    needed : mass times radius that the weight beside hub and arm had to have, kg m.
    """

    plate: Plate
    moment: Number
    needed: Number


def plate_on_pin(counterweights: Counterweights, wanted: np.ndarray, arm: PinArm) -> OnPin:
    """Return the plate whose moment with hub, arm, eye and hole is a wanted complex one, kg m, or comes near to it.

    Its shape is the stated one; the weight makes up for what hub and arm bring: found by turns, as what they share with
    the weight depends on it.
    """
    brought = np.zeros(np.shape(wanted), dtype=complex)
    for _ in range(ROUNDS):
        before = brought
        plate, brought, extra = _one_pass(counterweights, wanted - brought, arm)
        if np.all(np.abs(brought - before) <= CLOSE * np.maximum(np.abs(wanted), 1e-9)):
            break
    return _on_pin(plate, wanted - before, brought, (arm, extra))


def _one_pass(
    counterweights: Counterweights, asked: np.ndarray, arm: PinArm
) -> tuple[Plate, np.ndarray, tuple[Number, Number, Number]]:
    """Return the weight for a moment, what hub and arm then bring to it, kg m, and their integrals."""
    plate = stated_plate(counterweights, np.abs(asked))
    assert isinstance(plate.edge, Sector | Segment)
    area, first, polar = added(plate.edge, np.angle(asked), arm)
    hole = np.pi / 4 * np.asarray(arm.pin) ** 2
    brought = plate.density * plate.thickness * (first - hole * arm.radius * np.exp(1j * np.asarray(arm.angle)))
    return plate, brought, (area, first, polar)


def _on_pin(
    plate: Plate, asked: np.ndarray, brought: np.ndarray, more: tuple[PinArm, tuple[Number, Number, Number]]
) -> OnPin:
    arm, (area, first, polar) = more
    middle, measures = np.angle(asked), plate.edge.measures
    moment = plate.moment * np.exp(1j * middle) + brought
    facing = np.angle(moment)
    middle_at, pin_at = middle - facing, np.asarray(arm.angle) - facing
    along = measures.first * np.cos(middle_at) + np.real(first * np.exp(-1j * facing))
    holes: list[RoundHole] = [(*_turned(x, y, middle_at), diameter) for x, y, diameter in plate.holes]
    holes.append((arm.radius * np.sin(pin_at), arm.radius * np.cos(pin_at), arm.pin))
    assert isinstance(plate.edge, Sector | Segment)
    edge = Pinned(plate.edge, arm, middle_at, pin_at, Measures(measures.area + area, along, measures.polar + polar))
    return OnPin(replace(plate, edge=edge, holes=tuple(holes)), moment, np.abs(asked))


def _turned(x: Number, y: Number, angle: Number) -> tuple[Number, Number]:
    """Turn a point from +y toward +x."""
    return x * np.cos(angle) + y * np.sin(angle), y * np.cos(angle) - x * np.sin(angle)


def either_plate(on_pin: Plate, plain: Plate, there: np.ndarray) -> Plate:
    """Return the plate on a pin for options where that is `there`, else the plain one; its hole is then of no size."""
    *bolts, pin = on_pin.holes
    holes: list[RoundHole] = [
        (np.where(there, turned[0], bolt[0]), np.where(there, turned[1], bolt[1]), bolt[2])
        for turned, bolt in zip(bolts, plain.holes, strict=True)
    ]
    holes.append((pin[0], pin[1], np.where(there, pin[2], 0.0)))
    thickness = np.where(there, on_pin.thickness, plain.thickness)
    return replace(plain, edge=Mixed(on_pin.edge, plain.edge, there), thickness=thickness, holes=tuple(holes))


def takes_arm(counterweights: Counterweights) -> bool:
    """Return whether an arm to the pin is added: an outline of the user's own has one already."""
    return not isinstance(counterweights.shape, OutlineShape)
