"""What sits on the shafts by a hub, what is said of how it is held there, and what that does to the shaft."""

from collections.abc import Iterator

import numpy as np

from balance.machine.joint import Hub, Joint
from balance.machine.materials import Material
from balance.quantities import Number, Scalar, result
from balance.weights.balancing import counterweight_name
from shafts.engine import Engine
from shafts.shaft import Notch, Shaft
from shafts.strength.grips import Grip, grip_of, missing_of, most_interference, untold
from shafts.strength.seats import seats_of
from shafts.strength.sections import Place, diameter_at
from shafts.weights_beside import carriers

NEEDS_OUTSIDE = ("pressed", "pinned")  # or that of what is solid; a slit needs a boss of its own
NEAR = 1e-3  # m; a notch of the same kind that a design gives as near to one that follows stands for it


@result
class Hubbed:
    """A part that turns with a shaft and sits on it by a hub.

    name : in words.   entry : where a design says how it is held.   at : its middle along the shaft, m.
    diameter : of the shaft there, m.   outside : of what it is made of if that is solid, m; None if not known.
    material : what the hub is made of; None if not known.
    """

    name: str
    entry: str
    at: Number
    hub: Hub | None
    diameter: Number
    outside: Scalar | None
    material: Material | None

    @property
    def missing(self) -> tuple[str, ...]:
        """The entries without which it is not known what holds it."""
        if self.hub is None:
            return (self.entry,)
        found = [f"{self.entry}.{name}" for name in missing_of(self.hub)]
        wide = self.hub.outside if self.hub.kind == "clamped" else self.own_outside
        if wide is None and self.hub.kind in (*NEEDS_OUTSIDE, "clamped"):
            found.append(f"{self.entry}.outside")
        if self.hub.kind in (*NEEDS_OUTSIDE, "keyed") and self._material is None:
            found.append(f"{self.entry}.material")
        return tuple(found)

    @property
    def own_outside(self) -> Scalar | None:
        """How wide the hub is, m, (options...); None if that is not known."""
        return self.outside if self.hub is None or self.hub.outside is None else self.hub.outside

    @property
    def _material(self) -> Material | None:
        return self.material if self.hub is None or self.hub.material is None else self.hub.material

    def unknown(self, shaft: Material) -> tuple[str, ...]:
        """Return what is not known of what holds it on a shaft of a material: entries to give, else in words."""
        if self.hub is None or self.missing:
            return self.missing
        return untold(self.hub, self.diameter, (self._material or shaft, shaft))

    def most_interference(self, shaft: Material) -> Number | None:
        """Return the interference on the diameter, m, beyond which its hub splits; None if not known."""
        return most_interference(self.hub, self.diameter, self.own_outside, (self._material or shaft, shaft))

    def grip(self, shaft: Material) -> Grip | None:
        """Return what holds it on a shaft of a material; None where it is of one piece with it."""
        assert self.hub is not None
        outside = 2 * np.asarray(self.diameter) if self.own_outside is None else self.own_outside
        return grip_of(self.hub, self.diameter, self.hub.length, outside, (self._material or shaft, shaft))


def hubbed(engine: Engine, shaft: Shaft, hand: str) -> Iterator[Hubbed]:
    """Yield all that sits on one shaft by a hub: its gear, wheels, and fitted counterweights that it carries."""
    gears = engine.cranks.gears
    if gears is not None:
        yield Hubbed(f"{hand} gear", "cranks.gears.hub", gears.at, gears.hub, diameter_at(shaft, gears.at),
                     2 * gears.root_radius, gears.material_of(hand))  # fmt: skip
    for name, wheel in engine.wheels(hand).items():
        solid = None if wheel.diameter is None or np.any(np.asarray(wheel.inside) > 0) else wheel.diameter
        at = wheel.z(hand)
        yield Hubbed(f"{hand} {name}", f"{name}.hub", at, wheel.hub, diameter_at(shaft, at), solid, wheel.material)
    weights = engine.counterweights
    if weights is None or not weights.fitted:
        return
    for plane, (at, carrier) in enumerate(zip(weights.planes, carriers(engine)[hand], strict=True)):
        if np.any(carrier.chosen.get("shaft", False)):
            metal = (None if weights.screws is None else weights.screws.into) or shaft.material
            diameter, ring = diameter_at(shaft, at), 2 * np.asarray(weights.smallest_radius)
            outside = ring if np.all(ring > diameter) else None
            name = counterweight_name(hand, plane, len(weights.planes))
            yield Hubbed(name, "counterweights.hub", at, weights.hub, diameter, outside, metal)


def held_places(engine: Engine, shaft: Shaft, hand: str) -> list[Place]:
    """Return where hubs, and the webs that a shaft sits in, are notches to it, beside those that are given.

    Of webs at their faces, of hubs at both ends; a hole, or the dents of set screws, in the middle.
    """
    found: list[Place] = []
    for part in hubbed(engine, shaft, hand):
        if part.hub is not None:
            half = 0.0 if part.hub.length is None else np.asarray(part.hub.length) / 2
            found += _places(part.name.split(" ", 1)[1], part.hub, part.at, (part.at - half, part.at + half))
    for seat in seats_of(engine, shaft, hand):
        if seat.throw is None and seat.joint is not None:
            found += _places(f"web {seat.number + 1}", seat.joint, seat.z, (seat.z,))
    return [each for each in found if not any(_same(each.notch, own) for own in shaft.notches)]


def _places(what: str, joint: Joint, middle: Number, ends: tuple[Number, ...]) -> list[Place]:
    return [Place(f"{joint.kind} {what}", each.at, "notch", each) for each in _notches(joint, middle, ends)]


def _notches(joint: Joint, middle: Number, ends: tuple[Number, ...]) -> list[Notch]:
    """What is glued, soldered or clamped is taken for a press fit, which raises stress by more."""
    if joint.kind == "pinned":
        return [] if joint.pin is None else [Notch(at=middle, kind="cross hole", diameter=joint.pin.diameter)]
    if joint.kind == "set screws":
        return [Notch(at=middle, kind="set-screw flat")]
    if joint.kind == "keyed":
        return [Notch(at=at, kind="keyway") for at in ends]
    return [] if joint.kind in ("one piece", "screwed") else [Notch(at=at, kind="press fit") for at in ends]


def _same(one: Notch | None, own: Notch) -> bool:
    return one is not None and one.kind == own.kind and bool(np.all(np.abs(np.asarray(one.at) - own.at) < NEAR))
