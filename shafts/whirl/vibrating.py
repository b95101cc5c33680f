"""Both cranks as they vibrate: the same cranks under all that vibration adds to their loads.

Whatever asks for a displacement, a slope, a bearing load, a moment or a tooth's force of them finds vibration in it:
there is one solution, and no second way in which vibration enters. The loads that it adds act where the masses are, so
that these places join the crank's columns of loads.
"""

from collections.abc import Callable, Sequence
from dataclasses import replace

import numpy as np

from balance.cycle.at_speed import AtSpeed, Last, Rows
from balance.cycle.load import Load, PlanarForce
from balance.joints import YokeForces, vibrating_forces
from balance.turning import HANDS
from shafts.crank.loaded import LoadedCrank
from shafts.crank.loads import CrankLoad
from shafts.crank.stations import Pair as Columns
from shafts.crank.stations import Stations
from shafts.loaded_shafts import LoadedShafts
from shafts.whirl.periodic import between
from shafts.whirl.rotor import Rotor
from shafts.whirl.vibration import ShaftVibration


def vibrating(vibration: ShaftVibration, peaks: Callable[[], Sequence[float]] = tuple) -> LoadedShafts:
    """Return both shafts under their loads as they vibrate, for a single design.

    peaks : returns the speeds at which they vibrate most, rad/s, rising; one that looks at few speeds need not know.
    """
    still = vibration.loaded
    right, left = (_crank(vibration, number) for number in range(len(HANDS)))
    return replace(still, forces=_forces(vibration), cranks=(right, left), peaks=peaks)


def _crank(vibration: ShaftVibration, number: int) -> LoadedCrank:
    still, rotor = vibration.loaded.cranks[number], vibration.pair.sides[number].rotor
    count, own = still.stations.loads, len(rotor.columns) - len(still.stations.columns)
    stations = _with(still.stations, rotor, own)
    order = np.concatenate([own + np.arange(count), np.arange(own)])
    further = Rows(
        Last(lambda speeds: vibration.further(number, speeds)[:, order]),
        count + own,
        between(vibration.few, len(still.theta)),
    )
    return replace(
        still,
        loads=[_with_teeth(vibration, each, still.sign) for each in still.loads],
        stations=stations,
        response=rotor.response,
        columns=np.concatenate([order, np.arange(own + count, len(rotor.columns))]),
        mirrored=None,
        vibration=further,
    )


def _with(stations: Stations, rotor: Rotor, own: int) -> Stations:
    """Return the stations with the rotor's first columns as further loads behind theirs."""

    def moved(pair: Columns) -> Columns:
        return pair[0] + own, pair[1] + own

    count = stations.loads
    return replace(
        stations,
        columns=[*stations.columns[:count], *rotor.columns[:own], *stations.columns[count:]],
        loads=count + own,
        slopes=[moved(each) for each in stations.slopes],
        gear_slope=None if stations.gear_slope is None else moved(stations.gear_slope),
    )


def _with_teeth(vibration: ShaftVibration, load: CrankLoad, sign: float) -> CrankLoad:
    """Return the load of the gear teeth with what vibration adds; others as they are."""
    if load.kind != "teeth" or load.force is None:
        return load
    more = Load(vibration=AtSpeed(vibration.tooth, vibration.loaded.motion.theta.shape).kept * sign)
    return replace(load, force=PlanarForce(load.force.x, load.force.y + more))


def _forces(vibration: ShaftVibration) -> dict[str, YokeForces]:
    """Return the joint forces with the inertia of yokes and rods that follow pins which vibrate."""
    engine, motion, forces = vibration.loaded.engine, vibration.loaded.motion, {}
    for name, still in vibration.loaded.forces.items():
        right, left = (_displaced(vibration, number, name) for number in range(len(HANDS)))
        forces[name] = still + vibrating_forces(engine.yokes[name], motion.yokes[name], right, left)
    return forces


def _displaced(vibration: ShaftVibration, number: int, yoke: str) -> tuple[AtSpeed, AtSpeed]:
    shape = vibration.loaded.motion.theta.shape
    both = AtSpeed(lambda speeds: np.stack(vibration.displaced(number, yoke, speeds), axis=1), (2, *shape)).kept
    return both[0], both[1]
