"""Bodies of what turns with the shafts: shafts, webs, crankpins, gears and wheels.

A web is taken to be an arm with round ends from what is next inward of it to the crankpin next outward.
"""

from collections.abc import Iterator

import numpy as np

from balance.bodies.usual import gear_face, least_radius, web_size, wheel_size
from balance.machine.crank import Web, joined_by, outward, place_in_frame
from balance.machine.machine import Machine
from balance.machine.wheels import Wheel
from balance.motion import Motion
from balance.obstacles import Missing, Obstacle, ShaftPiece, about
from balance.turning import HANDS, on_bench

HAIR = 1e-6  # m; a wheel of unknown thickness is looked at in its middle plane at least


def crank_bodies(machine: Machine, motion: Motion, hand: str, pieces: list[ShaftPiece]) -> Iterator[Obstacle]:
    """Yield the bodies that turn with the right or left shaft, whose pieces are given, but for the counterweights."""
    x = HANDS[hand] * float(machine.cranks.centre_distance) / 2
    for start, end, radius in pieces:
        yield _round(hand, "shaft", x, (start, end), radius)
    if pieces:
        yield from _webs(machine, motion, hand, pieces)
    gears = machine.cranks.gears
    if gears is not None:
        taken = "cranks.gears.face" if gears.face is None else ""
        z = about(gears.at, gear_face(gears))
        yield _round(hand, "gear", x, z, float(gears.tip_radius), taken)
    for name, wheel in machine.wheels(hand).items():
        yield from _wheel(name, wheel, hand, x)


def wheels_without(machine: Machine) -> Iterator[Missing]:
    """Yield the wheels that nothing tells the size of."""
    for hand in HANDS:
        for name, wheel in machine.wheels(hand).items():
            if wheel_size(wheel) is None:
                z = float(wheel.z(hand))
                yield Missing(f"{hand} {name} ({name}.diameter and .thickness)", (z - 0.02, z + 0.02))


def _round(hand: str, what: str, x: float, z: tuple[float, float], radius: float, taken: str = "") -> Obstacle:
    """Return a round body about a shaft; `what` it is tells its kind."""
    import shapely

    name, kind = f"{hand} {what}", what if what in ("shaft", "gear") else "wheel"
    return Obstacle(
        name, hand, z, shapely.points(x, 0.0), radius, ("shaft", ""), (), (x, 0.0, radius), kind=kind, taken=taken
    )


def _wheel(name: str, wheel: Wheel, hand: str, x: float) -> Iterator[Obstacle]:
    """Yield a wheel as it is given; if it is not, the least that it can be, and as it would usually be."""
    size, least = wheel_size(wheel), least_radius(wheel)
    at = wheel.z(hand)
    if wheel.diameter is not None and wheel.thickness is not None:
        yield _round(hand, name, x, about(at, wheel.thickness), float(wheel.diameter) / 2)
        return
    if least is not None:
        thickness = HAIR if wheel.thickness is None else wheel.thickness
        yield _round(hand, name, x, about(at, thickness), least)
    if size is not None:
        taken = f"{name}.diameter and .thickness"
        yield _round(hand, name, x, about(at, size[1]), size[0], taken)


def _webs(machine: Machine, motion: Motion, hand: str, pieces: list[ShaftPiece]) -> Iterator[Obstacle]:
    import shapely

    throws, sign = machine.cranks.throws, HANDS[hand]
    ends = min(start for start, _, _ in pieces), max(end for _, end, _ in pieces)
    for number, web in enumerate(machine.cranks.webs, start=1):
        inner, outer = joined_by(web, throws, ends, float(outward(web.at, ends)))
        if web.on not in (hand, "both") or outer is None:
            continue
        size = web_size(web, throws[outer], 2 * max(radius for _, _, radius in pieces))
        if size is None:
            continue
        line = []
        for throw in (None if inner is None else throws[inner], throws[outer]):
            x, y = on_bench(*place_in_frame(throw), motion.theta, sign)
            line.append(np.stack([sign * float(machine.cranks.centre_distance) / 2 + x, y], axis=-1))
        yield Obstacle(
            f"{hand} web {number}",
            hand,
            about(web.at, size[1]),
            shapely.linestrings(np.stack(line, axis=-2)),
            size[0] / 2,
            ("web", ""),
            tuple(name for name in (inner, outer) if name is not None),
            kind="web",
            taken=_ungiven(web, number - 1),
        )


def _ungiven(web: Web, index: int) -> str:
    return f"cranks.webs.{index}.width and .thickness" if web.width is None or web.thickness is None else ""
