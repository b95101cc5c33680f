"""The unit loads on one crank: a column for each thing that acts on it, and for each that is asked of it."""

from balance.quantities import Number, result
from shafts.crank.compliance import Column, Unit
from shafts.crank.loads import CrankLoad
from shafts.engine import Engine
from shafts.shaft import Shaft

Pair = tuple[int, int]
"""The columns of two unit loads along x and along y."""


@result
class Stations:
    """The unit loads on one crank.

    columns : of the loads, then of what is asked for alone.   rods : by yoke.   teeth, gear_slope : None without gears.
    slopes : of the shaft at each bearing.   loads : how many of the columns are loads.
    turning : the column of all that turns with the crank, and those of its weight.   others : by name of a load, the
    columns of its force and of its torque.
    """

    columns: list[Column]
    loads: int
    rods: dict[str, Pair]
    turning: tuple[int, int, int] | None
    others: dict[str, tuple[Pair | None, int | None]]
    slopes: list[Pair]
    gear_slope: Pair | None

    def of(self, load: CrankLoad) -> tuple[Pair | None, int | None]:
        """Return the columns of a load's force and of its torque; of a turning mass none of its own."""
        return (self.rods[load.name], None) if load.kind == "rod" else self.others.get(load.name, (None, None))

    @property
    def teeth(self) -> Pair | None:
        """The columns of the force of the gear teeth."""
        return self.others.get("gear teeth", (None, None))[0]


def stations_of(engine: Engine, shaft: Shaft, loads: list[CrankLoad]) -> Stations:
    """Return the unit loads on a crank on this shaft, under these loads."""
    columns: list[Column] = []

    def add(*each: Column) -> range:
        columns.extend(each)
        return range(len(columns) - len(each), len(columns))

    rods: dict[str, Pair] = {}
    others: dict[str, tuple[Pair | None, int | None]] = {}
    for load in loads:
        if load.kind == "turning mass":
            continue
        force = None if load.force is None else _pair(add(*_forces(load)))
        if load.kind == "rod" and force is not None:
            rods[load.name] = force
        else:
            torque = None if load.torque is None else add((Unit(load.at, cz=1.0),))[0]
            others[load.name] = force, torque
    masses = [load for load in loads if load.kind == "turning mass"]
    turning = tuple(add(*_turning(masses))) if masses else None
    count = len(columns)
    slopes = [_pair(add(*_slopes(bearing.at))) for bearing in shaft.bearings]
    gears = engine.cranks.gears
    gear_slope = None if gears is None else _pair(add(*_slopes(gears.at)))
    return Stations(columns, count, rods, turning, others, slopes, gear_slope)  # type: ignore[arg-type]


def _pair(columns: range) -> Pair:
    return columns[0], columns[1]


def _forces(load: CrankLoad) -> tuple[Column, Column]:
    x, y = load.point
    return (Unit(load.at, x, y, fx=1.0),), (Unit(load.at, x, y, fy=1.0),)


def _slopes(at: Number) -> tuple[Column, Column]:
    """Couples whose displacements are the slopes of the shaft's x and y along z."""
    return (Unit(at, cy=1.0),), (Unit(at, cx=-1.0),)


def _turning(masses: list[CrankLoad]) -> tuple[Column, Column, Column]:
    """All masses together: what turns with the crank per speed squared, and their weight along x and y of the frame."""
    return (
        tuple(Unit(each.at, fx=each.turning[0], fy=each.turning[1]) for each in masses),
        tuple(Unit(each.at, fx=each.mass, cz=-each.turning[1]) for each in masses),
        tuple(Unit(each.at, fy=each.mass, cz=each.turning[0]) for each in masses),
    )
