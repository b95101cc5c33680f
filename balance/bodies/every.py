"""Every body of a machine, and what has none."""

from balance.bodies.cranks import crank_bodies, wheels_without
from balance.bodies.standing import standing_bodies, standing_without
from balance.bodies.yokes import yoke_bodies, yokes_without
from balance.machine.machine import Machine
from balance.many import refuse_many
from balance.motion import Motion
from balance.obstacles import Missing, Obstacle, ShaftPiece
from balance.turning import HANDS


def bodies(machine: Machine, motion: Motion, shafts: dict[str, list[ShaftPiece]]) -> list[Obstacle]:
    """Return every part that has a body, but for the counterweights and what the shafts run in.

    shafts : the pieces of the right and the left shaft.
    """
    refuse_many(machine, "the bodies of its parts")
    turning = [body for hand in HANDS for body in crank_bodies(machine, motion, hand, shafts.get(hand, []))]
    return [*turning, *yoke_bodies(machine, motion), *standing_bodies(machine)]


def without_body(machine: Machine) -> list[Missing]:
    """Return every part that has no body and so was not looked at, with what to give."""
    return [*wheels_without(machine), *yokes_without(machine), *standing_without(machine)]
