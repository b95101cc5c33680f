"""How parts are held in each other and on shafts, and what guides a yoke: for strength. All of it may be left out."""

from collections.abc import Iterator
from typing import Annotated, Literal

import numpy as np

from balance.errors import Complaint
from balance.machine.materials import Material
from balance.machine.threads import Thread, most_tightening
from balance.quantities import Bound, Length, NotNegative, Number, Positive, Torque, definition

FASTENED = ("interference", "thread", "number", "tightening", "pin", "fillet")
NOT_OF = {
    kind: tuple(each for each in FASTENED if each not in own)
    for kind, own in {
        "set screws": ("thread", "number"), "clamped": ("thread", "number", "tightening"), "pinned": ("pin",),
        "keyed": (),
    }.items()
}  # fmt: skip
"""Entries that say nothing of a kind of joint; files of before may have them beside the older kinds."""


@definition
class CrossPin:
    """A solid pin or roll pin across a shaft and what sits on it."""

    diameter: Annotated[Length, Positive, "of the pin"]
    material: Annotated[Material | None, "what it is made of; the shaft's material if left out"] = None


@definition
class Joint:
    """How a crankpin, or the shaft, is held in a web."""

    kind: Annotated[
        Literal["pressed", "glued", "soldered", "screwed", "set screws", "clamped", "pinned", "keyed", "one piece"],
        "what holds it: screwed means home against a shoulder, clamped a slit that screws close, pinned across",
    ]
    length: Annotated[Length | None, Positive, "how deep it sits in what holds it, along the shafts"] = None
    interference: Annotated[Length | None, NotNegative, "least interference on the diameter, of a pressed joint"] = None
    thread: Annotated[
        Thread | None, "of a joint that is screwed home against its shoulder, of set screws, or of a clamp's screws"
    ] = None
    number: Annotated[
        int | None, Bound(1, 8), "how many set screws, or screws of a clamp; one if left out, and more than two set "
        "screws hold no more than two"
    ] = None  # fmt: skip
    tightening: Annotated[
        Torque | None, Positive, "torque with which what is screwed home, or a clamp, is tightened"
    ] = None
    pin: Annotated[CrossPin | None, "the pin across, of a pinned joint"] = None
    fillet: Annotated[Length | None, Positive, "radius at the web's face, of one piece; sharp if left out"] = None

    @property
    def screws(self) -> int:
        """How many set screws, or screws of a clamp."""
        return 1 if self.number is None else self.number

    def disagreements(self) -> Iterator[Complaint]:
        """Yield what does not fit together: an entry that another kind of joint has, a screw that is overtightened."""
        for name in NOT_OF.get(self.kind, ()):
            if getattr(self, name) is not None:
                kinds = " or ".join(kind for kind, others in NOT_OF.items() if name not in others)
                allowed = "none here" + f", it belongs to kind: {kinds}" * bool(kinds)
                yield Complaint((name,), f"an entry beside kind: {self.kind}", allowed)
        if self.thread is not None and self.tightening is not None:
            most = most_tightening(self.thread)
            if np.any(wrong := np.asarray(self.tightening) > most):
                read = f"{float(np.max(self.tightening)):g} N m"
                allowed = f"at most {most:.2g} N m, which the strongest {self.thread} bears"
                yield Complaint(("tightening",), read, allowed, wrong)


@definition
class Hub(Joint):
    """How a gear, a wheel or a counterweight is held on its shaft."""

    outside: Annotated[Length | None, Positive, "outside diameter of the hub; of what it holds if that is solid"] = None
    material: Annotated[Material | None, "what the hub is made of, if it is not what it holds"] = None


def with_hub(length: Number | None, hub: Hub | None) -> Number | None:
    """Return how long a part is along its shaft with its hub, m, (options...); None if neither is known.

    A hub is taken to lie about the middle of what it holds.
    """
    known = [each for each in (length, None if hub is None else hub.length) if each is not None]
    return np.max(np.broadcast_arrays(*known), axis=0) if known else None


@definition
class YokePin:
    """The pin on which a rod hangs at its yoke; the yoke holds it."""

    diameter: Annotated[Length, Positive, "of the pin"]
    held: Annotated[Literal["one end", "both ends"], "whether the yoke holds it beside the rod or on both its sides"]
    wall: Annotated[Length | None, Positive, "how thick the yoke is there on each side, if it holds both ends"] = None
    material: Annotated[Material | None, "what it is made of"] = None


@definition
class Guide:
    """What keeps a yoke upright."""

    length: Annotated[Length, Positive, "guided length along the cylinder, from end to end"]
