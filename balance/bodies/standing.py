"""Bodies of what stands still: walls and the cylinder."""

from collections.abc import Iterator

from balance.bodies.yokes import axis_of
from balance.machine.machine import Machine
from balance.obstacles import Missing, Obstacle, about
from balance.outlines import polygon

TALL = 3.0  # bores; as long as a cylinder without a length is taken to be


def standing_bodies(machine: Machine) -> Iterator[Obstacle]:
    """Yield the walls and the cylinder."""
    for name, wall in machine.walls.items():
        yield Obstacle(name, "both", (float(wall.z[0]), float(wall.z[1])), polygon(wall))
    yield from _cylinder(machine)


def standing_without(machine: Machine) -> Iterator[Missing]:
    """Yield what has no body among what stands still."""
    if not machine.walls:
        yield Missing("case (walls)")


def _cylinder(machine: Machine) -> Iterator[Obstacle]:
    import shapely

    if machine.cylinder is None:
        return
    cylinder = machine.cylinder
    inside, outside, low = float(cylinder.bore) / 2, float(cylinder.outside), float(cylinder.starts_at)
    top = low + (TALL * float(cylinder.bore) if cylinder.length is None else float(cylinder.length))
    z = about(axis_of(machine), 2 * outside)
    walls = shapely.multipolygons([shapely.box(inside, low, outside, top), shapely.box(-outside, low, -inside, top)])
    yield Obstacle("cylinder", "both", z, walls, kind="cylinder")
