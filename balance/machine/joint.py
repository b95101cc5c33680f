"""How parts are held in each other, and what guides a yoke: for their strength. All of it may be left out."""

from typing import Annotated, Literal

from balance.machine.materials import Material
from balance.quantities import Length, NotNegative, Positive, Torque, definition

Thread = Literal["M2", "M2.5", "M3", "M4", "M5", "M6", "M8", "M10", "M12"]


@definition
class Joint:
    """How a crankpin, or the shaft, is held in a web."""

    kind: Annotated[Literal["pressed", "glued", "soldered", "screwed", "one piece"], "what holds it"]
    length: Annotated[Length | None, Positive, "how deep it sits in the web"] = None
    interference: Annotated[Length | None, NotNegative, "least interference on the diameter, of a pressed joint"] = None
    thread: Annotated[Thread | None, "of a joint that is screwed home against its shoulder"] = None
    tightening: Annotated[Torque | None, Positive, "torque with which that is tightened"] = None
    fillet: Annotated[Length | None, Positive, "radius at the web's face, of one piece; sharp if left out"] = None


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
